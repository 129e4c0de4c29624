"""The gear case: its casting, feet, filler plug and sight glass."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import fixed, of_c


@dataclass(frozen=True, kw_only=True)
class GearCaseDimensions:
    """Casting and fittings of the gear case; its outline is the body's."""

    gear_case_depth_mm: float = of_c("depth of the gear case", 1.5, 0.5, 2)
    case_flange_mm: float = of_c("gear case's flange below the body", 0.16, 0.65, 2)
    case_inset_mm: float = of_c("gear case's sides behind its flange drawn in", 0.045)
    case_rear_radius_mm: float = of_c("rounds of the gear case's rear", 0.06)
    case_rear_wall_mm: float = of_c("rear wall of the gear case before the driven shaft's bore", 0.1)
    case_bore_gap_mm: float = of_c("gear case's bores round the bearing seats, on radius", 0.004)
    case_boss_wall_mm: float = of_c(
        "drive shaft's boss behind the gear case, beyond the bearing seat on radius", 0.1
    )
    case_boss_length_mm: float = of_c("drive shaft's boss behind the gear case", 0.05)
    # feet
    foot_reach_mm: float = of_c("feet's soles below the body's side", 0.14)
    foot_width_share: float = fixed("feet as wide as the body: share", 0.8)
    foot_top_share: float = fixed("top of a foot, share of its sole's width", 0.7)
    foot_sole_mm: float = of_c("height of a foot's sole", 0.1)
    foot_height_mm: float = of_c("height of a foot up to its top", 0.4)
    foot_thickness_mm: float = of_c("a foot along the shafts", 0.22)
    front_foot_mm: float = of_c("front foot's rear side behind the gear case's front face", 0.36)
    rear_foot_mm: float = of_c("rear foot's rear side before the gear case's rear", 0.04)
    foot_hole_mm: float = of_c("diameter of the hole in a foot", 0.1)
    foot_hole_share: float = fixed("hole in a foot from its middle, share of half the sole's width", 0.88)
    # filler plug and sight glass
    filler_plug_mm: float = of_c("diameter of the filler plug", 0.18)
    filler_plug_length_mm: float = of_c("length of the filler plug, 0.05 C of it in the casting", 0.13)
    filler_plug_share: float = fixed("filler plug behind the front face, share of the depth", 0.55, most=1.5)
    sight_glass_mm: float = of_c("diameter of the sight glass", 0.24)
    sight_glass_height_mm: float = of_c("sight glass beyond the gear case's side", 0.03)
    sight_glass_window_mm: float = of_c("diameter of the sight glass's window", 0.17)
    sight_glass_window_height_mm: float = of_c("window of the sight glass beyond the gear case's side", 0.018)
    sight_glass_share: float = fixed("sight glass behind the front face, share of the depth", 0.62, most=1.4)
    sight_glass_drop_mm: float = of_c("sight glass below the shafts, ports upright", 0.25)
    sight_glass_offset_mm: float = of_c("sight glass from the middle, ports sideways", 0.2)
