"""Rotors: hub, web, nut recess and keyways; the outline follows from the measured dimensions."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import fixed, of_c, zero_or


@dataclass(frozen=True, kw_only=True)
class RotorDimensions:
    """Hub and web of a rotor, the recess for its nut, and its keyways."""

    web_mm: float = of_c("rotor's web that the nut presses on", 0.05, 0.8, 1.8)
    keyed_length_mm: float = of_c("hub length on the shaft behind the web, two-wing form", 0.17, 0.9, 3)
    hub_wall_mm: float = of_c("least wall of the hub round the nut's recess", 0.022, at_least_mm=1.5)
    nut_recess_gap_mm: float = of_c("nut's recess round its flange, on radius", 0.006, at_least_mm=0.5)
    nut_sink_mm: float = of_c("nut below the rotor's front face", 0.01)
    thread_hole_gap_mm: float = fixed("web's hole round the shaft's thread, on radius", 0.12, " mm")
    land_share: float = fixed(
        "rim of the land under the disc spring, share of the way from its bore outwards", 0.45
    )
    land_gap_mm: float = fixed("land from the retainer O-ring, on radius", 0.25, " mm")
    land_rise_mm: float = fixed("land before the retainer O-ring", 0.35, " mm")
    keyway_play_mm: float = fixed("play of the key in the rotor's keyway, to each side", 0.03, " mm")
    keyway_room_mm: float = fixed("rotor's keyway above the key", 0.15, " mm")
    rotor_cleaning_hole_mm: float = of_c("diameter of a cleaning hole in a rotor", 0.056)
    rotor_cleaning_share: float = fixed(
        "radius of a rotor's cleaning holes, share of hub and tip radius together", 0.5
    )
    wing_half_angle_deg: float = zero_or("half angle of a wing, 0 for the widest that turns clear", 20, 60)
