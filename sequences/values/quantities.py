"""What a named value is: its quantity and unit, what it bounds. What it is called, the catalogues of words say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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


@dataclass(frozen=True)
class ValueName:
    """A value that the fleet file may hold."""

    name: str
    quantity: Quantity
    bound: Bound = ""
    """most: a greatest allowed value, least: a least one, empty: a figure to reach."""
    when: Mapping[str, tuple[str | bool, ...]] = field(default_factory=dict)
    """Options that the value belongs to, name to choices; empty: all of them."""

    @property
    def unit(self) -> str:
        """Unit that a blank is printed with; empty for text."""
        return UNIT[self.quantity]

    def belongs(self, options: object) -> bool:
        """Return whether what has ``options`` (a field for each) has use for this value."""
        return all(getattr(options, name) in values for name, values in self.when.items())
