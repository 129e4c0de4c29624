"""Threads of studs and screws; where studs, screws and dowels stand and how far they reach."""

from __future__ import annotations

from dataclasses import dataclass

from ..stock_sizes import PINS_MM, clearance_holes, next_below
from .rules import (
    Dimensions,
    Rule,
    by_rule,
    count,
    fixed,
    of_c,
    of_dimension,
    stock_of_c,
    thread_of_c,
)

SIX_STUDS_FROM_MM, EIGHT_STUDS_FROM_MM = 80.0, 180.0
"""Centre distances from which a cover has six and eight studs."""
DOWELS_MM = tuple(size for size in PINS_MM if 4.0 <= size <= 40.0)
"""Stock diameters of body dowels."""


def _usual_studs(d: Dimensions) -> float:
    c = d["shaft_centre_distance_mm"]
    return 8.0 if c >= EIGHT_STUDS_FROM_MM else 6.0 if c >= SIX_STUDS_FROM_MM else 4.0


def _with_studs(usual: float, with_eight: float) -> Rule:
    """An angle that differs where eight studs share the corners with screws and dowels."""
    return lambda d: with_eight if d["studs"] == 8 else usual


def _hole_for(thread_name: str) -> Rule:
    return lambda d: clearance_holes()[d[thread_name]]


@dataclass(frozen=True, kw_only=True)
class ThreadDimensions:
    """Nominal diameters of the threads, all of the metric coarse series."""

    stud_thread_mm: float = thread_of_c("studs", 0.115, at_least_mm=6.0)
    body_screw_thread_mm: float = thread_of_c("body retaining screws", 0.09)


@dataclass(frozen=True, kw_only=True)
class FastenerDimensions:
    """Studs with their cover nuts, body retaining screws, body dowels: number, place and reach.

    Clearance holes are those of ISO 273, medium series.
    """

    corner_share: float = fixed("studs and dowels beyond the bores, share of the wall", 0.9, most=1.1)
    # studs
    studs: float = count(
        "studs for the cover: 4, from C = 80 mm on 6, from C = 180 mm on 8", _usual_studs, (4, 6, 8)
    )
    stud_angle_deg: float = by_rule(
        "studs about the nearer shaft, from the plane of the shafts: 58 degrees, 63 where there are eight",
        _with_studs(58.0, 63.0),
        0.6,
        1.3,
    )
    low_stud_angle_deg: float = fixed(
        "the other four of eight studs about the nearer shaft, from the plane of the shafts", 28.0, " degrees"
    )
    stud_hole_mm: float = by_rule(
        "hole for a stud: medium series of ISO 273", _hole_for("stud_thread_mm"), 0.9, 1.3
    )
    stud_root_mm: float = of_dimension("stud in the gear case", 2.0, "stud_thread_mm", "its thread")
    stud_thread_length_mm: float = of_dimension(
        "stud's thread below the cover's front face", 1.0, "stud_thread_mm", "its diameter"
    )
    stud_end_pitches: float = fixed("stud beyond its nut, in pitches", 2.0)
    ear_radius_mm: float = of_dimension(
        "ears that carry the end ones of six studs, radius", 1.25, "stud_thread_mm", "their thread"
    )
    wing_nut_height_mm: float = of_dimension("height of a wing nut", 1.15, "stud_thread_mm", "its thread")
    wing_nut_span_mm: float = of_dimension(
        "reach of a wing nut's wings from its axis", 2.0, "stud_thread_mm", "its thread"
    )
    wing_nut_wing_mm: float = of_dimension(
        "thickness of a wing nut's wings", 0.34, "stud_thread_mm", "its thread"
    )
    # body retaining screws
    body_screw_angle_deg: float = by_rule(
        "body screws about the nearer shaft, from the plane of the shafts: 31 degrees, 45.5 between eight studs",
        _with_studs(31.0, 45.5),
    )
    body_screw_share: float = fixed("body screws beyond the bores, share of the wall", 1.0, most=1.2)
    body_screw_hole_mm: float = by_rule(
        "hole for a body screw: medium series of ISO 273", _hole_for("body_screw_thread_mm"), 0.9, 1.3
    )
    body_screw_reach_mm: float = of_dimension(
        "body screw in the gear case", 1.6, "body_screw_thread_mm", "its thread"
    )
    body_screw_sink_mm: float = of_c("body screw's head below the body's front face", 0.02)
    body_screw_head_gap_mm: float = fixed("counterbore round a body screw's head, on radius", 0.6, " mm")
    # body dowels
    large_dowel_mm: float = stock_of_c("large body dowel (ISO 8734, m6)", 0.125, DOWELS_MM)
    small_dowel_mm: float = by_rule(
        "small body dowel (ISO 8734, m6): 1 stock size below the large one",
        lambda d: next_below(DOWELS_MM, d["large_dowel_mm"]),
    )
    dowel_angle_deg: float = by_rule(
        "body dowels about the nearer shaft, from the plane of the shafts: 31 degrees, 45.5 between eight studs",
        _with_studs(31.0, 45.5),
    )
    dowel_reach_mm: float = of_c("body dowels beyond the body, front and rear", 0.11)
