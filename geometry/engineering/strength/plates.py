"""A flat cover under pressure: bending stress and bulge of a rectangular plate held along its edges.

Method: coefficients of a plate with simply supported edges (Roark's Formulas for Stress and Strain, table 11.4, case
1a, µ = 0.3), interpolated over the ratio of its sides: σ = β·p·a²/t², y = α·p·a⁴/(E·t³). A hole in the middle
weakens it as EN 13445-3 has it for flat ends: thickness counts as t·√((a - d)/a).

Not verified: on the safe side, since studs hold the edges against turning and rounded ends are stiffer than corners;
bosses, pads and the jacket are left out.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from ..figures import Figure, Input, Limit, make_figure
from ..topics import SIZE, Topic

_WORK = "Roark's Formulas for Stress and Strain"
PLATE_SOURCE = Topic("source.plate", work=_WORK, case="1a")
RATIOS = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0)
ALPHA = (0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1335, 0.1400, 0.1417)
BETA = (0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.7134, 0.7410, 0.7476)
"""Coefficients of bulge and stress by the ratio of the long side to the short one."""


@dataclass(frozen=True)
class Plate:
    """A plate, mm: its sides between the lines that hold it, thickness, and the hole in its middle (0 for none)."""

    short_mm: float
    long_mm: float
    thickness_mm: float
    hole_mm: float = 0.0

    def __post_init__(self) -> None:
        if not (0 <= self.hole_mm < self.short_mm <= self.long_mm and self.thickness_mm > 0):
            raise ValueError(f"no plate: {self}")


def coefficients(ratio: float) -> tuple[float, float]:
    """Return α and β for a ratio of sides, at least 1; beyond 5 those of 5.

    Raises:
        ValueError: if the ratio is below 1.

    >>> coefficients(1.5) == ((0.0770 + 0.0906) / 2, (0.4530 + 0.5172) / 2)
    True
    """
    if ratio < 1:
        raise ValueError(f"the long side comes first: a ratio of at least 1, got {ratio:g}")
    if ratio >= RATIOS[-1]:
        return ALPHA[-1], BETA[-1]
    n = max(1, bisect_left(RATIOS, ratio))
    share = (ratio - RATIOS[n - 1]) / (RATIOS[n] - RATIOS[n - 1])
    return tuple(c[n - 1] + share * (c[n] - c[n - 1]) for c in (ALPHA, BETA))  # type: ignore[return-value]


def plate_figures(
    pressure: Input, plate: Plate, modulus: Input, stress_limit: Limit | None, bulge_limit: Limit
) -> tuple[Figure, Figure, Figure]:
    """Return the thickness that counts, mm, the bending stress, MPa, and the bulge in the middle, mm.

    Args:
        pressure: bar, symbol p.
        plate: its dimensions.
        modulus: elastic modulus of its metal, MPa, symbol E.
        stress_limit: limit of the stress, None where the metal's yield is not known.
        bulge_limit: limit of the bulge, mm.
    """
    alpha, beta = coefficients(plate.long_mm / plate.short_mm)
    side = Input("a", Topic("input.plate_side"), plate.short_mm, "mm", SIZE)
    ratio = Topic("source.plate_ratio", work=_WORK, ratio=round(plate.long_mm / plate.short_mm, 3))
    counts = make_figure(
        "strength.cover_thickness", Topic("figure.cover_thickness"), "t", "mm", "s·√((a - d)/a)",
        (
            Input("s", Topic("input.plate_thickness"), plate.thickness_mm, "mm", SIZE),
            side,
            Input("d", Topic("input.plate_hole"), plate.hole_mm, "mm", SIZE),
        ),
        Topic("source.plate_hole", standard="EN 13445-3"),
    )  # fmt: skip
    stress = make_figure(
        "strength.cover_stress", Topic("figure.cover_stress"), "σ", "MPa", "β·0.1·p·a²/t²",
        (Input("β", Topic("input.plate_beta"), beta, "", ratio, 4), pressure, side, counts.as_input("t")),
        PLATE_SOURCE, limit=stress_limit,
    )  # fmt: skip
    bulge = make_figure(
        "strength.cover_bulge", Topic("figure.cover_bulge"), "y", "mm", "α·0.1·p·a⁴/(E·t³)",
        (Input("α", Topic("input.plate_alpha"), alpha, "", ratio, 4), pressure, side, modulus, counts.as_input("t")),
        PLATE_SOURCE, limit=bulge_limit,
    )  # fmt: skip
    return counts, stress, bulge
