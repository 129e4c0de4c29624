"""The body: walls and flanges of the casting, ports with their ferrules, small passages."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import fixed, of_c


@dataclass(frozen=True, kw_only=True)
class BodyDimensions:
    """Casting, ports and passages of the body; the cavity follows from the rotors, the seal bores from the seals."""

    # casting
    wall_mm: float = of_c("body wall round the bores", 0.2, 0.95, 1.6)
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
    port_wall_mm: float = of_c("wall of a port's neck", 0.038)
    ferrule_rim_mm: float = of_c("ferrule beyond the port's bore, on radius", 0.115)
    ferrule_thickness_mm: float = of_c("rim of the ferrule, along the port", 0.045)
    gasket_groove_inner_mm: float = of_c(
        "inside of the gasket's groove beyond the port's bore, on radius", 0.035
    )
    gasket_groove_outer_mm: float = of_c(
        "outside of the gasket's groove beyond the port's bore, on radius", 0.06
    )
    gasket_groove_depth_mm: float = of_c("depth of the gasket's groove in the ferrule", 0.016)
    # passages
    drain_slope_deg: float = fixed("fall of a free-draining body towards its ports", 3.0, " degrees")
    flush_hole_mm: float = of_c("diameter of a flush passage, double seal", 0.032)
    flush_thread_mm: float = of_c("diameter of a flush connection, double seal", 0.08)
    flush_thread_depth_mm: float = of_c("depth of a flush connection, double seal", 0.1)
    body_cleaning_hole_mm: float = of_c("diameter of a cleaning hole in the body", 0.028)
    body_cleaning_step_mm: float = of_c("cleaning hole in the body from the seal journal, on radius", 0.045)
