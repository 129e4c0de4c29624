"""A figure as it was typed, in the unit of its limits: the same sums as the record sheet's script.

API::

    figure_typed(text) -> float | None
    in_unit_of_limits(figure, unit, limits_unit) -> float
"""

from __future__ import annotations

import re

from ...geometry.engineering.units import convert

DIGITS = 12
"""More than any instrument has; what binary sums add is left out, so that 0.005 in is 0.127 mm and no hair less."""
_FIGURE = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)")


def figure_typed(text: str) -> float | None:
    """Return the figure that was typed, with a comma or a point; None where it is none.

    >>> figure_typed(" 0,12 "), figure_typed("0.1 mm")
    (0.12, None)
    """
    plain = text.strip().replace(",", ".", 1).replace("\u2212", "-", 1)
    return float(plain) if _FIGURE.fullmatch(plain) else None


def in_unit_of_limits(figure: float, unit: str, limits_unit: str) -> float:
    """Return a figure in the unit of its limits.

    Raises:
        UnitError: if a unit is not known, or the two measure different things.

    >>> in_unit_of_limits(0.005, "in", "mm"), in_unit_of_limits(68, "°F", "°C"), in_unit_of_limits(7, "pH", "pH")
    (0.127, 20.0, 7)
    """
    if unit == limits_unit:
        return figure
    return float(f"{float(convert(figure, unit, limits_unit)):.{DIGITS}g}")
