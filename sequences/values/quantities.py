"""What a named value is: its quantity and unit, what it bounds. What it is called, the catalogues of words say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ...geometry.engineering.units import UnitError, unit_named

Quantity = Literal["torque", "length", "temperature", "pressure", "mass", "text"]

Bound = Literal["", "most", "least"]

UNIT: dict[Quantity, str] = {
    "torque": "N·m",
    "length": "mm",
    "temperature": "°C",
    "pressure": "bar",
    "mass": "kg",
    "text": "",
}
"""Quantity to the unit that a blank is printed with; a value may have any unit of its quantity."""


FLOOR: dict[Quantity, float | None] = {
    "torque": 0.0,
    "length": 0.0,
    "temperature": None,
    "pressure": 0.0,
    "mass": 0.0,
    "text": None,
}
"""Quantity to what no reading of it lies below: run-outs, clearances and heights are amounts, pressures are gauge."""


def reading_floor(unit: str) -> float | None:
    """Return what no reading in ``unit`` lies below, None where it has no such end or ``unit`` is no unit.

    >>> reading_floor("mm"), reading_floor("°C"), reading_floor("pass")
    (0.0, None, None)
    """
    try:
        quantity = unit_named(unit).quantity
    except UnitError:
        return None
    return next((floor for name, floor in FLOOR.items() if name == quantity), None)


@dataclass(frozen=True)
class ValueName:
    """A value that the fleet file may hold."""

    name: str
    quantity: Quantity
    bound: Bound = ""
    """most: a greatest allowed value, least: a least one, empty: a figure to reach."""
    when: Mapping[str, tuple[str | bool, ...]] = field(default_factory=dict)
    """Options that the value belongs to, name to choices; empty: all of them."""
    own_unit: str = ""
    """Unit of its own among those of the quantity: a yield in MPa."""

    @property
    def unit(self) -> str:
        """Unit that a blank is printed with; empty for text."""
        return self.own_unit or UNIT[self.quantity]

    def belongs(self, options: object) -> bool:
        """Return whether what has ``options`` (a field for each) has use for this value."""
        return all(getattr(options, name) in values for name, values in self.when.items())
