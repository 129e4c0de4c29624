"""Fits of ISO 286-1: limits of a shaft in its hole, and what the rotor's play on its shaft takes from a running gap.

Deviations of g and m are typed from general knowledge of the standard and agree with its own formulas (tests); the
standard was not read. Grades are those of :mod:`.clearances`.

Not verified: shaft and bore are taken as round and straight; the rotor is taken to lie over by all its play, as it may
before its nut is tight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .clearances import SIZE_STEPS, tolerance_mm
from .figures import Figure, Input, Limit, make_figure
from .topics import EARLIER, SIZE, Topic

STANDARD = "ISO 286-1"
_G_UM = (4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20)
"""How far a shaft g lies below its nominal size, µm, for sizes from above 3 mm on up to each step; 2 below."""
_M_UM = (4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23)
"""How far a shaft m lies above its nominal size at least; 2 below 3 mm."""


@dataclass(frozen=True)
class Fit:
    """Least and greatest clearance of a shaft in a hole H, on diameter, mm; an interference is below zero."""

    least_mm: float
    most_mm: float


def deviation_mm(nominal_mm: float, letter: Literal["g", "m"]) -> float:
    """Return the fundamental deviation of a shaft, mm: the upper one of g (below zero), the lower one of m.

    Raises:
        ValueError: if the size lies outside of the table.

    >>> deviation_mm(24, "g"), deviation_mm(16, "m")
    (-0.007, 0.007)
    """
    if not 0 < nominal_mm <= SIZE_STEPS[-1]:
        raise ValueError(f"no deviation for {nominal_mm:g} mm; sizes go up to {SIZE_STEPS[-1]} mm")
    table = (2, *(_G_UM if letter == "g" else _M_UM))
    step = next(n for n, s in enumerate(SIZE_STEPS) if nominal_mm <= s)
    return (-table[step] if letter == "g" else table[step]) / 1000


def fit_h7(nominal_mm: float, letter: Literal["g", "m"], grade: int = 6) -> Fit:
    """Return the fit of a shaft ``letter`` with ``grade`` in a hole H7.

    Raises:
        ValueError: if the size or the grade lies outside of the tables.

    >>> fit_h7(24, "g")
    Fit(least_mm=0.007, most_mm=0.041)
    """
    hole, shaft = tolerance_mm(nominal_mm, 7), tolerance_mm(nominal_mm, grade)
    deviation = deviation_mm(nominal_mm, letter)
    upper, lower = (deviation, deviation - shaft) if letter == "g" else (deviation + shaft, deviation)
    return Fit(round(-upper, 6), round(hole - lower, 6))


def rotor_fit_figures(fit_mm: float, running_gap_mm: float, gap: str) -> tuple[Figure, ...]:
    """Return what the greatest play of a rotor on its shaft, H7/g6, leaves of a gap; ``radial``: the play, too.

    Args:
        fit_mm: diameter of the rotor fit.
        running_gap_mm: nominal running gap.
        gap: key of its chain: ``radial``, one rotor lying over towards its bore, ``mesh``, both towards each other. The
            gaps along the shafts lose nothing.
    """
    if gap not in ("radial", "mesh"):
        return ()
    source = Topic("source.fit", standard=STANDARD)
    play = make_figure(
        "fit.play", Topic("figure.rotor_play"), "s", "mm", "(T₇ + T₆ + a)/1000",
        (
            Input("T₇", Topic("input.hole_tolerance"), 1000 * tolerance_mm(fit_mm, 7), "µm", source),
            Input("T₆", Topic("input.shaft_tolerance"), 1000 * tolerance_mm(fit_mm, 6), "µm", source),
            Input("a", Topic("input.shaft_deviation"), -1000 * deviation_mm(fit_mm, "g"), "µm", source),
        ),
        source, not_verified=Topic("caveat.typed"),
    )  # fmt: skip
    left = make_figure(
        f"fit.{gap}.left", Topic(f"figure.fit_left.{gap}"), "w", "mm", "g - s/2" if gap == "radial" else "g - s",
        (Input("g", Topic("input.running_gap"), running_gap_mm, "mm", SIZE, 4), play.as_input("s")),
        EARLIER, limit=Limit(0.0, None, "mm", Topic("source.no_touch")),
    )  # fmt: skip
    return (play, left) if gap == "radial" else (left,)
