"""The rotor nut: its thread, the room in the hub for it, the disc spring and O-rings in it.

The thread is the largest fine one that hub and shaft have room for: about it lies a stock disc spring, about that the
nut's pocket with its O-rings, and the hub's wall about all of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from ...engineering.springs.disc_springs import FLAT_STRESS_MPA, DiscSpring, spring_table
from ...engineering.wrench_sockets import SOCKET_OUTSIDE
from ..shaft_stock import HEXAGONS_MM, largest_up_to
from ..threads import fine_pitch_mm, fine_threads
from .rules import Dimensions, by_rule, fixed, of_c, of_dimension

WIDEST_THREAD = 0.72
"""Largest thread of the shaft's end, share of the rotor fit."""
THREAD_IN_WIDTH = 0.28
"""Largest thread of the shaft's end, share of the rotor's width: a nut that is longer leaves the hub no length."""
THREAD_IN_SPRING_MM = 0.2
"""Least difference of a disc spring's bore and the thread that it passes over."""
SERIES = ("A", "B")
"""Series of DIN EN 16983 that the nut's disc spring is taken from: the stiffest that bears to be pressed flat."""
GUIDE_PLAY_MM = (
    (16.0, 0.2), (20.0, 0.3), (26.0, 0.4), (31.5, 0.5), (50.0, 0.6), (80.0, 0.8), (140.0, 1.0), (250.0, 1.6)
)  # fmt: skip
"""Outer diameter of a disc spring up to which its guide has which play, on diameter: usual of the trade (DIN 2093)."""
LEAST_ENGAGED = 0.8
"""Thread of the shaft that the nut engages, in diameters."""


@cache
def stock_springs() -> tuple[DiscSpring, ...]:
    """Return the usual stock disc springs of a nut, smallest first: one of each diameter that bears to be flat."""
    found: dict[float, DiscSpring] = {}
    for row in (row for series in SERIES for row in spring_table() if row.series == series):
        spring = row.spring
        if abs(spring.stress_mpa(spring.cone_mm)["OM"]) <= FLAT_STRESS_MPA:
            found.setdefault(spring.outer_mm, spring)
    return tuple(found[outer] for outer in sorted(found))


def spring_over(thread_mm: float) -> DiscSpring:
    """Return the smallest stock disc spring that passes over a thread; beyond the table, its largest.

    >>> spring_over(14.0).outer_mm, spring_over(14.0).thickness_mm
    (28.0, 1.5)
    """
    springs = stock_springs()
    return next((s for s in springs if s.inner_mm >= thread_mm + THREAD_IN_SPRING_MM - 1e-9), springs[-1])


def nearest_spring(outer_mm: float) -> DiscSpring:
    """Return the stock disc spring whose outer diameter is nearest."""
    return min(stock_springs(), key=lambda s: abs(s.outer_mm - outer_mm))


def guide_play_mm(outer_mm: float) -> float:
    """Return the play of a disc spring's guide on radius."""
    return next((play for most, play in GUIDE_PLAY_MM if outer_mm <= most), GUIDE_PLAY_MM[-1][1]) / 2


def pocket_radius_mm(d: Dimensions) -> float:
    """Return the radius of the nut's pocket for the disc spring."""
    return d["disc_spring_outer_mm"] / 2 + d["disc_spring_play_mm"]


def _beyond_pocket_mm(d: Dimensions) -> float:
    """Return what the nut's flange needs beyond the pocket: retainer, wall, O-ring's groove, rim."""
    groove = d["gland_width_share"] * d["nut_oring_section_mm"]
    return (
        d["spring_retaining_oring_section_mm"] / 2 + d["nut_groove_wall_mm"] + groove + d["nut_flange_rim_mm"]
    )


def flange_radius_mm(d: Dimensions) -> float:
    """Return the radius of the nut's flange."""
    return pocket_radius_mm(d) + _beyond_pocket_mm(d)


def hub_radius_mm(d: Dimensions) -> float:
    """Return the radius of a rotor's hub: what the other rotor's tip leaves free."""
    return d["shaft_centre_distance_mm"] - d["rotor_diameter_mm"] / 2 - d["running_gap_mm"]


def land_height_mm(d: Dimensions) -> float:
    """Return the height of the land under the disc spring."""
    return d["spring_retaining_oring_section_mm"] + d["land_rise_mm"]


def pocket_depth_mm(d: Dimensions) -> float:
    """Return the depth of the nut's pocket: the land and the disc spring pressed home."""
    pressed = d["disc_spring_cone_mm"] * (1 - d["disc_spring_deflection"])
    return land_height_mm(d) + d["disc_spring_thickness_mm"] + pressed


def nut_height_mm(d: Dimensions) -> float:
    """Return the height of the nut over all."""
    return pocket_depth_mm(d) + d["nut_thread_length_mm"] + d["nut_crown_mm"]


def _largest_thread(d: Dimensions) -> float:
    room = hub_radius_mm(d) - d["hub_wall_mm"] - d["nut_recess_gap_mm"] - _beyond_pocket_mm(d)
    most = min(WIDEST_THREAD * d["rotor_fit_mm"], THREAD_IN_WIDTH * d["rotor_width_mm"])
    fits = [fine_threads()[0].nominal_mm]
    for thread in (t.nominal_mm for t in fine_threads() if t.nominal_mm <= most):
        spring = spring_over(thread)
        passes = spring.inner_mm >= thread + THREAD_IN_SPRING_MM - 1e-9
        if passes and spring.outer_mm / 2 + guide_play_mm(spring.outer_mm) <= room:
            fits.append(thread)
    return max(fits)


def _stock_hexagon(d: Dimensions) -> float:
    flange = flange_radius_mm(d)
    corners = math.sqrt(3) * (flange - d["nut_corner_gap_mm"])
    socket = 2 * (flange + d["nut_recess_gap_mm"]) / SOCKET_OUTSIDE
    return largest_up_to(HEXAGONS_MM, min(corners, socket))


@dataclass(frozen=True, kw_only=True)
class RotorThreadDimensions:
    """The thread of the shaft's end, and the room that the hub leaves round the nut."""

    hub_wall_mm: float = of_c("least wall of the hub round the nut's recess", 0.022, at_least_mm=1.5)
    nut_recess_gap_mm: float = of_c("nut's recess round its flange, on radius", 0.006, at_least_mm=0.5)
    nut_groove_wall_mm: float = fixed("metal between the retainer's and the nut O-ring's groove", 0.6, " mm")
    nut_flange_rim_mm: float = of_c("nut's flange beyond its O-ring's groove", 0.01, at_least_mm=0.8)
    rotor_thread_mm: float = by_rule(
        "shaft's end and rotor nut: largest thread with a fine pitch (ISO 261) up to 0.72 of the rotor fit and "
        "0.28 of the rotor's width whose nut, with its stock disc spring, goes into the hub",
        _largest_thread,
        0.5,
        1.5,
    )
    rotor_thread_pitch_mm: float = by_rule(
        "pitch of the shaft's end and rotor nut: a usual fine one of ISO 261 for its diameter",
        lambda d: fine_pitch_mm(d["rotor_thread_mm"]),
        0.3,
        2.5,
    )


@dataclass(frozen=True, kw_only=True)
class DiscSpringDimensions:
    """The disc spring (Belleville washer) under the rotor nut, and the land that it stands on."""

    disc_spring_inner_mm: float = by_rule(
        "disc spring bore: stock spring of DIN EN 16983 (series A, B where A is overstressed flat) next above the "
        "rotor thread",
        lambda d: spring_over(d["rotor_thread_mm"]).inner_mm,
        0.7,
        1.6,
    )
    disc_spring_outer_mm: float = by_rule(
        "disc spring outer diameter: that of the stock spring (DIN EN 16983)",
        lambda d: min(stock_springs(), key=lambda s: abs(s.inner_mm - d["disc_spring_inner_mm"])).outer_mm,
        0.6,
        1.6,
    )
    disc_spring_thickness_mm: float = by_rule(
        "disc spring thickness: that of the stock spring (DIN EN 16983)",
        lambda d: nearest_spring(d["disc_spring_outer_mm"]).thickness_mm,
        0.3,
        2.0,
    )
    disc_spring_cone_mm: float = by_rule(
        "free cone height h0: that of the stock spring (DIN EN 16983)",
        lambda d: nearest_spring(d["disc_spring_outer_mm"]).cone_mm,
        0.4,
        3.0,
    )
    disc_spring_deflection: float = fixed("share of h0 taken up when the nut is home", 0.75, "", 0.3, 1.2)
    disc_spring_play_mm: float = by_rule(
        "nut's pocket round the disc spring, on radius: half the guide's play of DIN 2093",
        lambda d: guide_play_mm(d["disc_spring_outer_mm"]),
    )
    land_share: float = fixed(
        "rim of the land under the disc spring, share of the way from its bore outwards", 0.45
    )
    land_gap_mm: float = fixed("land from the retainer O-ring, on radius", 0.25, " mm")
    land_rise_mm: float = fixed("land before the retainer O-ring", 0.35, " mm")


@dataclass(frozen=True, kw_only=True)
class RotorNutDimensions:
    """The rotor nut: flange round the pocket, hexagon, thread, closed end."""

    spring_retaining_inset_share: float = fixed(
        "centre of the retainer O-ring within the pocket's wall, in sections", 0.12
    )
    nut_flange_thickness_mm: float = by_rule(
        "thickness of the nut's flange: its pocket and 0.02 C, at least 1.2 mm",
        lambda d: pocket_depth_mm(d) + max(1.2, 0.02 * d["shaft_centre_distance_mm"]),
        0.5,
        1.6,
    )
    nut_corner_gap_mm: float = fixed("hexagon's corners within the nut's flange, at least", 0.25, " mm")
    nut_across_flats_mm: float = by_rule(
        "rotor nut's width across flats: largest of ISO 272 within its flange whose socket, 1.3 times as wide, goes "
        "into the recess",
        _stock_hexagon,
        0.7,
        1.5,
    )
    nut_thread_length_mm: float = by_rule(
        "thread in the rotor nut: 0.8 of its diameter engaged, and 1 pitch for the bevel and the end of the shaft's",
        lambda d: LEAST_ENGAGED * d["rotor_thread_mm"] + d["rotor_thread_pitch_mm"],
        0.7,
        2.0,
    )
    nut_end_room_mm: float = of_dimension(
        "thread in the rotor nut beyond the shaft's end", 0.5, "rotor_thread_pitch_mm", "its pitch"
    )
    nut_crown_mm: float = by_rule(
        "closed end of the rotor nut: 0.2 of its thread's diameter, at least 1.5 mm",
        lambda d: max(1.5, 0.2 * d["rotor_thread_mm"]),
    )
    nut_sink_mm: float = of_c("nut below the rotor's front face", 0.01)
