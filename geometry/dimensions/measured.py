"""The dimensions that are measured on a pump: nothing else is asked for."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any


@dataclass(frozen=True)
class MeasuredDimension:
    """What a measured dimension is, its least and greatest value in mm."""

    words: str
    least_mm: float
    most_mm: float


def _measured(words: str, least_mm: float, most_mm: float) -> Any:
    return field(metadata={"measurement": MeasuredDimension(words, least_mm, most_mm)})


@dataclass(frozen=True, kw_only=True)
class MeasuredDimensions:
    """The five measured dimensions, and what follows from them alone."""

    shaft_centre_distance_mm: float = _measured("distance between the two shafts' axes, C", 40.0, 320.0)
    rotor_diameter_mm: float = _measured("diameter over the rotor's tips", 50.0, 500.0)
    rotor_width_mm: float = _measured("axial width of the rotor at its tips", 20.0, 320.0)
    shaft_diameter_mm: float = _measured("diameter of the seal journal", 10.0, 145.0)
    port_bore_mm: float = _measured("inner diameter of the ports", 10.0, 300.0)

    @property
    def c(self) -> float:
        """Shaft centre distance."""
        return self.shaft_centre_distance_mm

    @property
    def tip_radius_mm(self) -> float:
        """Radius over the rotor's tips."""
        return self.rotor_diameter_mm / 2

    @property
    def shaft_radius_mm(self) -> float:
        """Radius of the seal journal."""
        return self.shaft_diameter_mm / 2


MEASURED: dict[str, MeasuredDimension] = {
    f.name: f.metadata["measurement"] for f in fields(MeasuredDimensions)
}
"""Measured dimension to what it is and its limits."""
