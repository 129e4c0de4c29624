"""The rotor nut, and the disc spring and O-rings in it."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import by_rule, fixed, of_c, of_dimension


@dataclass(frozen=True, kw_only=True)
class DiscSpringDimensions:
    """The disc spring (Belleville washer) under the rotor nut."""

    disc_spring_inner_mm: float = by_rule(
        "disc spring bore: the rotor thread and 0.4 mm", lambda d: d["rotor_thread_mm"] + 0.4, 0.95, 1.1
    )
    disc_spring_outer_mm: float = of_dimension(
        "disc spring outer diameter", 1.6, "disc_spring_inner_mm", "its bore", 0.9, 1.15
    )
    disc_spring_thickness_mm: float = of_dimension(
        "disc spring thickness", 0.065, "disc_spring_outer_mm", "its outer diameter", 0.6, 1.5
    )
    disc_spring_cone_mm: float = of_dimension(
        "free cone height h0", 0.45, "disc_spring_thickness_mm", "the thickness", 0.5, 1.6
    )
    disc_spring_deflection: float = fixed("share of h0 taken up when the nut is home", 0.75, "", 0.3, 1.2)
    disc_spring_play_mm: float = fixed("nut's pocket round the disc spring, on radius", 0.15, " mm")


@dataclass(frozen=True, kw_only=True)
class RotorNutDimensions:
    """The rotor nut: flange, hexagon, pocket, thread."""

    retainer_inset_share: float = fixed(
        "centre of the retainer O-ring within the pocket's wall, in sections", 0.12
    )
    nut_groove_wall_mm: float = fixed("metal between the retainer's and the nut O-ring's groove", 0.6, " mm")
    nut_flange_rim_mm: float = of_c("nut's flange beyond its O-ring's groove", 0.01, at_least_mm=0.8)
    nut_flange_thickness_mm: float = of_c("thickness of the nut's flange", 0.035, at_least_mm=1.5)
    nut_corner_gap_mm: float = fixed("hexagon's corners within the nut's flange, at least", 0.25, " mm")
    nut_thread_length_mm: float = of_dimension(
        "thread in the rotor nut", 0.8, "rotor_thread_mm", "its diameter"
    )
    nut_crown_mm: float = of_dimension(
        "closed end of the rotor nut", 0.2, "rotor_thread_mm", "its thread's diameter"
    )
    thread_engagement_share: float = fixed("shaft's thread in the rotor nut, share of the nut's thread", 0.92)
