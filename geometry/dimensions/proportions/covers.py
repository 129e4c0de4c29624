"""Covers: the plate, its relief valve and its jacket."""

from __future__ import annotations

from dataclasses import dataclass

from ..stock_sizes import clearance_holes
from .rules import by_rule, fixed, of_c, of_dimension, thread_of_c


@dataclass(frozen=True, kw_only=True)
class CoverDimensions:
    """The plate, and the pad on its front; its outline is the body's."""

    cover_thickness_mm: float = of_c("cover", 0.24, 0.6, 1.8)
    cover_bevel_mm: float = of_c("bevel round the cover", 0.014)
    cover_pad_radius_mm: float = of_c("raised pad on the cover's front, radius about the shafts' axes", 0.52)
    cover_pad_height_mm: float = of_c("raised pad on the cover's front", 0.03)
    dowel_hole_spare_mm: float = of_c("cover's dowel holes deeper than the dowels reach", 0.02)
    # jacket
    jacket_radius_mm: float = of_c("jacket, radius about the shafts' axes", 0.6)
    jacket_height_mm: float = of_c("jacket before the cover's plate", 0.24)
    jacket_wall_mm: float = of_c("wall of the jacket", 0.05)
    jacket_round_mm: float = of_c("rounded rim of the jacket", 0.06)
    wing_nut_room_mm: float = of_c("room between jacket and a turning wing nut", 0.01)
    jacket_baffle_mm: float = of_c("thickness of the jacket's baffle", 0.04)
    jacket_baffle_length_mm: float = of_c("length of the jacket's baffle across the cover", 0.85)
    jacket_pipe_mm: float = of_c("diameter of a jacket connection", 0.21)
    jacket_pipe_length_mm: float = of_c("jacket connection before the jacket", 0.15)
    jacket_pipe_bore_mm: float = of_c("bore of a jacket connection", 0.12)
    jacket_pipe_thread_mm: float = of_c("diameter of a jacket connection's thread", 0.17)
    jacket_pipe_offset_mm: float = of_c("jacket connection from the cover's middle", 0.55)


@dataclass(frozen=True, kw_only=True)
class ReliefDimensions:
    """The relief valve of a relief cover: piston, spring, cap.

    Piston and spring go together: as shares of C they give the same shear stress at every size for one set pressure
    (EN 13906-1), and the cap is long enough for the solid spring, its least gaps and the piston's lift.
    """

    relief_bore_mm: float = of_c("diameter of the relief piston's bore", 0.36, 0.5, 1.5)
    relief_step_share: float = fixed(
        "step that stops the piston, share of the cover's thickness", 0.6, most=1.4
    )
    relief_counterbore_gap_mm: float = of_c("counterbore before the piston's bore, on radius", 0.05)
    # piston
    piston_collar_step_mm: float = of_c("piston's collar beyond its bore, on radius", 0.035)
    piston_collar_mm: float = of_c("thickness of the piston's collar", 0.03)
    piston_guide_mm: float = of_c("diameter of the piston's spring guide", 0.2, most=1.3)
    piston_guide_length_mm: float = of_c("piston's spring guide, from the step", 0.15)
    # spring
    relief_wire_mm: float = of_c("wire of the relief spring", 0.065)
    relief_spring_mm: float = of_c("mean diameter of the relief spring", 0.3)
    relief_spring_turns: float = fixed("active turns of the relief spring, two more are closed ends", 5.0)
    # cap
    relief_cap_height_mm: float = of_c("room for the relief spring in its cap", 0.46)
    relief_cap_mm: float = of_c("outside diameter of the relief cap", 0.53)
    relief_cap_room_mm: float = of_c("diameter of the room in the relief cap", 0.42)
    relief_cap_flange_mm: float = of_c("diameter of the relief cap's flange", 0.94)
    relief_cap_flange_thickness_mm: float = of_c("thickness of the relief cap's flange", 0.06)
    relief_cap_top_mm: float = of_c("top of the relief cap", 0.06)
    relief_vent_mm: float = of_c("diameter of a vent in the relief cap", 0.06)
    relief_vent_height_mm: float = of_c("vents in the relief cap before its flange's face", 0.2)
    # screws of the cap
    relief_screw_thread_mm: float = thread_of_c("relief cap's screws", 0.07)
    relief_screw_circle_mm: float = of_c("diameter of the circle of the relief cap's screws", 0.8)
    relief_screw_hole_mm: float = by_rule(
        "hole for a relief cap's screw: medium series of ISO 273",
        lambda d: clearance_holes()[d["relief_screw_thread_mm"]],
    )
    relief_screw_reach_mm: float = of_dimension(
        "relief cap's screws in the cover", 1.5, "relief_screw_thread_mm", "their thread"
    )
    relief_screw_hole_depth_mm: float = of_dimension(
        "threaded holes for the relief cap's screws", 1.7, "relief_screw_thread_mm", "their thread"
    )
