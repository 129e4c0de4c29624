"""Shafts and keys."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import by_rule, fixed, of_c


@dataclass(frozen=True, kw_only=True)
class ShaftDimensions:
    """Steps of a shaft from the gear case outwards, its ends, and the key under the rotor."""

    # collar and steps
    collar_length_mm: float = of_c("shaft collar with the two flats, before the case", 0.05, 0.8, 2)
    collar_setback_mm: float = of_c("shaft collar's rear behind the gear case's front face", 0.01)
    collar_step_mm: float = of_c("collar above the seal journal, on radius", 0.03, 0.9, 1.2)
    flats_step_mm: float = of_c("flats above the seal journal, half width", 0.012, 0.6, 1.5)
    bearing_step_mm: float = of_c("bearing seat above the seal journal, on radius", 0.045, 0.9, 1.5)
    journal_step_mm: float = of_c("rotor journal below the seal journal, on radius", 0.04, 0.95, 1.3)
    journal_setback_mm: float = of_c("end of the rotor journal behind the rotor's web", 0.008)
    thread_relief_mm: float = fixed("relief before the shaft's thread below its root, on radius", 0.1, " mm")
    shaft_bevel_mm: float = of_c("bevels of the shaft's ends", 0.012)
    # key
    key_width_mm: float = by_rule(
        "key width: 0.07 C, to the half millimetre",
        lambda d: round(0.14 * d["shaft_centre_distance_mm"]) / 2,
        0.6,
        1.4,
    )
    key_rise_mm: float = of_c("key above the rotor journal", 0.018, 0.6, 1.3)
    key_depth_mm: float = of_c("key below the rotor journal", 0.028, 0.6, 1.3)
    key_start_gap_mm: float = of_c("key before the hub O-ring's gland", 0.015)
    key_end_gap_mm: float = of_c("key from the end of the rotor journal", 0.02)
    # ends in and behind the gear case
    bearing_reach_mm: float = of_c("drive shaft's bearing seat behind the gear case", 0.02)
    drive_end_mm: float = of_c("drive shaft's end behind the gear case", 0.75)
    drive_end_share: float = fixed("radius of the drive shaft's end, share of the seal journal's", 0.9)
    driven_end_mm: float = of_c("driven shaft's end before the gear case's rear", 0.12)
    drive_key_width_mm: float = of_c("width of the keyway in the drive shaft's end", 0.11)
    drive_key_depth_mm: float = of_c("depth of the keyway in the drive shaft's end", 0.05)
    drive_key_start_mm: float = of_c("keyway from the drive shaft's end", 0.08)
    drive_key_stop_mm: float = of_c("far end of the keyway from the drive shaft's end", 0.6)
