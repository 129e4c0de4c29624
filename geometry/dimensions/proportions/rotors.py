"""Rotors: hub, its neck in the body's hub, web and keyways; the outline follows from the measured dimensions.

The hub sits on two steps of the shaft: its rear on the seal journal, with the hub O-ring in a groove of its bore; the
rest, with the key, on the rotor fit. The step between them is the shoulder that bears the nut's preload. Where the
hub is longer than the body's hub leaves room for, its rear goes on as a neck inside that.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..shaft_stock import KEY_LENGTHS_MM, key_for, largest_up_to
from .nuts import hub_radius_mm, nut_height_mm
from .orings import radial_gland_mm
from .rules import Dimensions, by_rule, fixed, of_c, zero_or

FIT_LENGTH = 1.35
"""Longest rotor fit that is usual, in its diameters."""
FULL_HUB, NECK_WALL, SHORTEST_BOSS = 0.17, 0.025, 0.04
"""Usual length of a hub's full width, wall of its neck, and shortest body hub where it has none, as shares of C."""
LEAST_WALL = 0.01
"""Least wall of a part, as a share of C: with less, the CAD kernel makes no solid of it, or an empty one."""


def pilot_length_mm(d: Dimensions) -> float:
    """Return how much of the seal journal a hub needs: the O-ring's groove and the land on either side of it."""
    return d["gland_width_share"] * d["hub_oring_section_mm"] + 2 * d["hub_land_mm"]


def _before_hub_mm(d: Dimensions) -> float:
    """Return what of the rotor's width lies before its fit: nut and web."""
    return nut_height_mm(d) + d["nut_sink_mm"] + d["web_mm"]


def _neck_room_mm(d: Dimensions) -> float:
    """Return what the hub O-ring's groove leaves the walls of a neck and of the body's hub round it, together."""
    return hub_radius_mm(d) - hub_groove_radius_mm(d) - d["hub_neck_gap_mm"]


def _neck_fits(d: Dimensions) -> bool:
    return _neck_room_mm(d) >= 2.1 * LEAST_WALL * d["shaft_centre_distance_mm"]


def _full_hub(d: Dimensions) -> float:
    """Return the length of a hub's full width: where no neck fits into the body's hub, all of the hub has it."""
    c = d["shaft_centre_distance_mm"]
    if _neck_fits(d):
        return FULL_HUB * c
    room = d["rotor_width_mm"] - _before_hub_mm(d) - SHORTEST_BOSS * c
    return max(FULL_HUB * c, min(FIT_LENGTH * d["rotor_fit_mm"] + pilot_length_mm(d), room))


def _fit_length(d: Dimensions) -> float:
    room = d["rotor_width_mm"] - _before_hub_mm(d) - d["hub_neck_gap_mm"]
    if not _neck_fits(d):
        room = min(room, d["keyed_length_mm"])
    return max(0.25 * d["rotor_fit_mm"], min(FIT_LENGTH * d["rotor_fit_mm"], room - pilot_length_mm(d)))


def _key_length(d: Dimensions) -> float:
    room = d["rotor_fit_length_mm"] - d["journal_setback_mm"] - d["key_end_gap_mm"] - d["key_start_gap_mm"]
    return largest_up_to(KEY_LENGTHS_MM, min(room, key_for(d["rotor_fit_mm"]).longest_mm))


def hub_groove_radius_mm(d: Dimensions) -> float:
    """Return the bottom radius of the hub O-ring's groove."""
    return d["shaft_diameter_mm"] / 2 + radial_gland_mm(d, d["hub_oring_section_mm"])


def _neck_wall(d: Dimensions) -> float:
    usual = NECK_WALL * d["shaft_centre_distance_mm"]
    return min(usual, max(_neck_room_mm(d) / 2, 0.2 * usual))


@dataclass(frozen=True, kw_only=True)
class RotorDimensions:
    """Hub, neck and web of a rotor, its keyways and its key's length."""

    web_mm: float = of_c("rotor's web before the rotor fit", 0.04, 0.6, 2.5)
    hub_land_mm: float = of_c(
        "hub on the seal journal, to each side of its O-ring's groove", 0.012, at_least_mm=0.8
    )
    hub_neck_gap_mm: float = of_c(
        "hub's neck from the body's hub round it and behind it", 0.008, at_least_mm=0.5
    )
    keyed_length_mm: float = by_rule(
        "hub's full width behind the web, two-wing form: 0.17 C, more where the body's hub takes no neck",
        _full_hub,
        0.6,
        3.0,
    )
    hub_neck_wall_mm: float = by_rule(
        "wall of the hub's neck round its O-ring's groove: 0.025 C, less where the body's hub leaves less",
        _neck_wall,
        0.5,
        2.5,
    )
    hub_lead_mm: float = by_rule(
        "bevels of the shaft's shoulder and of the hub's mouth: 0.2 mm and 0.1 of the hub O-ring's section, at least "
        "0.4 mm",
        lambda d: max(0.4, 0.2 + 0.1 * d["hub_oring_section_mm"]),
    )
    rotor_fit_length_mm: float = by_rule(
        "rotor fit, from its shoulder to the web: 1.35 of its diameter, less where the rotor's width leaves less",
        _fit_length,
        0.4,
        1.3,
    )
    # key and keyways
    key_start_gap_mm: float = of_c("key from the shoulder, at least", 0.005, at_least_mm=0.3)
    key_end_gap_mm: float = of_c("key from the end of the rotor journal", 0.005, at_least_mm=0.3)
    key_length_mm: float = by_rule(
        "key length: longest of DIN 6885-1 that the rotor fit takes", _key_length, 0.25, 1.4
    )
    keyway_play_mm: float = fixed("play of the key in the rotor's keyway, to each side", 0.03, " mm")
    # nut's side of the web
    thread_hole_gap_mm: float = by_rule(
        "web's hole round the shaft's thread, on radius: half of what the disc spring's bore leaves, up to 0.12 mm",
        lambda d: min(0.12, (d["disc_spring_inner_mm"] - d["rotor_thread_mm"]) / 4),
    )
    rotor_cleaning_hole_mm: float = of_c("diameter of a cleaning hole in a rotor", 0.056)
    rotor_cleaning_share: float = fixed(
        "radius of a rotor's cleaning holes, share of hub and tip radius together", 0.5
    )
    wing_half_angle_deg: float = zero_or("half angle of a wing, 0 for the widest that turns clear", 20, 60)
