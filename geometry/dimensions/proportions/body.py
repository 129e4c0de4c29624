"""The body: walls and flanges of the casting, ports with their ferrules, small passages."""

from __future__ import annotations

from dataclasses import dataclass

from ..stock_sizes import ferrule_for, ferrules
from .rules import Dimensions, by_rule, fixed, of_c

CLAMP_BACK_MM = 3.5
"""Least breadth of a ferrule's conical back that a clamp bears on."""
LEAST_NECK_MM = 1.0
"""Least wall of a port's neck."""


def _groove_circle(d: Dimensions) -> float:
    near = min(ferrules(), key=lambda f: abs(f.outer_mm - d["ferrule_mm"]))
    return d["ferrule_mm"] - (near.outer_mm - near.groove_mm)


def _neck(d: Dimensions) -> float:
    back = (d["ferrule_mm"] - d["port_bore_mm"]) / 2 - CLAMP_BACK_MM
    return max(LEAST_NECK_MM, min(0.038 * d["shaft_centre_distance_mm"], back))


@dataclass(frozen=True, kw_only=True)
class BodyDimensions:
    """Casting, ports and passages of the body; the cavity follows from the rotors, the seal bores from the seals."""

    # casting
    wall_mm: float = of_c("body wall round the bores", 0.2, 0.6, 2)
    front_wall_mm: float = of_c("metal between seal chamber and cavity", 0.06, 0.8, 3)
    corner_radius_mm: float = of_c("corner radius of body and cover", 0.3, 0.3, 1.1)
    rear_flange_mm: float = of_c("body's flange on the gear case", 0.2)
    front_flange_mm: float = of_c("body's flange below the cover", 0.24)
    waist_mm: float = of_c("body's sides drawn in between its flanges", 0.032)
    casting_bevel_mm: float = of_c("bevel round the flanges of body and gear case", 0.012)
    cover_groove_wall_mm: float = of_c("metal between bore and cover O-ring's groove", 0.026)
    shaft_hole_gap_mm: float = of_c("body's hole round the seal journal, on radius", 0.012)
    # ports
    port_reach_mm: float = of_c("port face beyond the body's side", 0.3, 0.6, 2)
    ferrule_mm: float = by_rule(
        "ferrule of a port (ISO 2852, DIN 32676): 1 stock size, the smallest that takes its bore",
        lambda d: ferrule_for(d["port_bore_mm"]).outer_mm,
        0.7,
        1.6,
    )
    gasket_groove_mm: float = by_rule(
        "middle circle of the gasket's groove, 1 with its ferrule (DIN 32676)", _groove_circle, 0.95, 1.05
    )
    port_wall_mm: float = by_rule(
        "wall of a port's neck: 0.038 C, and no more than leaves a clamp 3.5 mm of the ferrule's back", _neck
    )
    ferrule_thickness_mm: float = fixed("rim of the ferrule, along the port", 2.85, " mm")
    gasket_groove_width_mm: float = fixed("width of the gasket's groove in the ferrule", 3.2, " mm")
    gasket_groove_depth_mm: float = fixed("depth of the gasket's groove in the ferrule", 1.2, " mm")
    # passages
    drain_slope_deg: float = fixed("fall of a free-draining body towards its ports", 3.0, " degrees")
    flush_hole_mm: float = of_c("diameter of a flush passage, double seal", 0.032)
    flush_thread_mm: float = of_c("diameter of a flush connection, double seal", 0.08)
    flush_thread_depth_mm: float = of_c("depth of a flush connection, double seal", 0.1)
    body_cleaning_hole_mm: float = of_c("diameter of a cleaning hole in the body", 0.028)
    body_cleaning_step_mm: float = of_c("cleaning hole in the body from the seal journal, on radius", 0.045)
