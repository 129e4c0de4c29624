"""Threads of studs and screws; where studs, screws and dowels stand and how far they reach."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import by_rule, count, fixed, of_c, of_dimension, thread_of_c


@dataclass(frozen=True, kw_only=True)
class ThreadDimensions:
    """Nominal diameters of the threads, all of the metric coarse series."""

    stud_thread_mm: float = thread_of_c("studs", 0.12)
    body_screw_thread_mm: float = thread_of_c("body retaining screws", 0.09)


@dataclass(frozen=True, kw_only=True)
class FastenerDimensions:
    """Studs with their cover nuts, body retaining screws, body dowels: number, place and reach.

    Clearance holes are about those of ISO 273, medium.
    """

    corner_share: float = fixed("studs, screws and dowels beyond the bores, share of the wall", 0.85)
    # studs
    studs: float = count("studs for the cover: 4 (or 6)", 4, (4, 6))
    stud_angle_deg: float = fixed(
        "studs about the nearer shaft, from the plane of the shafts", 58.0, " degrees"
    )
    stud_hole_mm: float = by_rule(
        "hole for a stud: 1.1 of its thread and 0.4 mm", lambda d: 1.1 * d["stud_thread_mm"] + 0.4
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
    body_screw_angle_deg: float = fixed(
        "body screws about the nearer shaft, from the plane of the shafts", 31.0, " degrees"
    )
    body_screw_hole_mm: float = by_rule(
        "hole for a body screw: 1.1 of its thread and 0.4 mm", lambda d: 1.1 * d["body_screw_thread_mm"] + 0.4
    )
    body_screw_reach_mm: float = of_dimension(
        "body screw in the gear case", 1.6, "body_screw_thread_mm", "its thread"
    )
    body_screw_sink_mm: float = of_c("body screw's head below the body's front face", 0.02)
    body_screw_head_gap_mm: float = fixed("counterbore round a body screw's head, on radius", 0.6, " mm")
    # body dowels
    large_dowel_mm: float = of_c("large body dowel", 0.12, 0.6, 1.2)
    small_dowel_mm: float = of_c("small body dowel", 0.1, 0.6, 1.45)
    dowel_angle_deg: float = fixed(
        "body dowels about the nearer shaft, from the plane of the shafts", 31.0, " degrees"
    )
    dowel_reach_mm: float = of_c("body dowels beyond the body, front and rear", 0.11)
