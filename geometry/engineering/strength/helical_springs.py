"""Helical compression springs: force, rate, and shear stress with the correction for curvature.

Method: EN 13906-1: R = G·d⁴/(8·D³·n), τ = 8·D·F/(π·d³), corrected by k = (w + 0.5)/(w - 0.75) with w = D/d. Wire of
1.4310 to EN 10270-3, normal strength; permissible 0.5 of its tensile strength.

Not verified: tensile strengths and the shear modulus are typed from general knowledge of the standards. EN 13906-1
asks for the corrected stress where the load changes; for a spring that rests most of its life it is on the safe side.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from ..figures import Figure, Input, Limit, make_figure
from ..topics import SIZE, Topic

HELICAL_SOURCE = Topic("source.helical_spring", standard="EN 13906-1")
WIRE_SOURCE = Topic("source.spring_wire", standard="EN 10270-3", grade="1.4310")
SHEAR_MODULUS_MPA = 73_000.0
PERMISSIBLE_SHARE = 0.5
_WIRE = (
    (0.80, 1950), (1.00, 1900), (1.25, 1850), (1.50, 1800), (1.75, 1750), (2.00, 1700), (2.50, 1650), (3.00, 1600),
    (3.50, 1550), (4.25, 1500), (5.00, 1450), (6.00, 1400), (7.00, 1350), (8.50, 1300), (10.00, 1250),
)  # fmt: skip
"""Wire diameter up to, mm, and least tensile strength, MPa."""


@dataclass(frozen=True)
class HelicalSpring:
    """A compression spring of round wire, mm: wire, mean diameter; turns that give way, beside two closed ends."""

    wire_mm: float
    mean_mm: float
    turns: float

    def __post_init__(self) -> None:
        if not (0 < self.wire_mm < self.mean_mm and self.turns > 0):
            raise ValueError(f"no spring: {self}")


def wire_strength_mpa(wire_mm: float) -> float | None:
    """Return the least tensile strength of spring wire 1.4310, None where no row is known.

    >>> wire_strength_mpa(2.9), wire_strength_mpa(12)
    (1600, None)
    """
    at = bisect_left([d for d, _ in _WIRE], wire_mm)
    return _WIRE[at][1] if at < len(_WIRE) else None


def opening_force_figure(pressure: Input, bore_mm: float) -> Figure:
    """Return the force of a pressure (bar, symbol p) on a piston in a bore of ``bore_mm``, N."""
    bore = Input("B", Topic("input.piston_bore"), bore_mm, "mm", SIZE)
    return make_figure(
        "strength.relief_force", Topic("figure.relief_force"), "F", "N", "0.1·p·π/4·B²", (pressure, bore),
        Topic("source.pressure_load"),
    )  # fmt: skip


def helical_figures(
    force: Figure, spring: HelicalSpring, solid_room_mm: float
) -> tuple[Figure, Figure, Figure]:
    """Return how far the force presses the spring together, mm, its index and the corrected shear stress, MPa.

    Args:
        force: N.
        spring: its dimensions.
        solid_room_mm: length that it has where it works; pressed solid it has to be shorter.
    """
    wire = Input("d", Topic("input.wire"), spring.wire_mm, "mm", SIZE)
    mean = Input("D", Topic("input.mean_diameter"), spring.mean_mm, "mm", SIZE)
    modulus = Input("G", Topic("input.shear_modulus"), SHEAR_MODULUS_MPA, "MPa", WIRE_SOURCE, 0)
    turns = Input("n", Topic("input.turns"), spring.turns, "", SIZE, 2)
    pressed = make_figure(
        "strength.relief_pressed", Topic("figure.relief_pressed"), "s", "mm", "8·F·D³·n/(G·d⁴)",
        (force.as_input("F"), mean, turns, modulus, wire), HELICAL_SOURCE,
    )  # fmt: skip
    solid = make_figure(
        "strength.relief_solid", Topic("figure.relief_solid"), "L", "mm", "(n + 2)·d", (turns, wire), HELICAL_SOURCE,
        limit=Limit(None, solid_room_mm, "mm", SIZE, Topic("limit.solid")),
    )  # fmt: skip
    strength = wire_strength_mpa(spring.wire_mm)
    limit = None
    if strength is not None:
        condition = Topic("limit.wire", share=PERMISSIBLE_SHARE, tensile_mpa=strength)
        limit = Limit(
            None, PERMISSIBLE_SHARE * strength, "MPa", WIRE_SOURCE, condition, Topic("caveat.typed")
        )
    stress = make_figure(
        "strength.relief_shear", Topic("figure.relief_shear"), "τ", "MPa",
        "(D/d + 0.5)/(D/d - 0.75)·8·D·F/(π·d³)", (force.as_input("F"), mean, wire), HELICAL_SOURCE, limit=limit,
    )  # fmt: skip
    return pressed, solid, stress
