"""Stock sizes: pins and dowels, spring strip, ferrules of pipe joints, clearance holes of screws.

Sources: parallel pins from ISO 8734 and ISO 2338, ferrules from ISO 2852 and DIN 32676 with the middle circle of the
gasket's groove, clearance holes from ISO 273, medium series, preferred threads from ISO 261. Typed from general
knowledge of these standards, not checked against a printed copy.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

PINS_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 40.0, 50.0)
"""Diameters of parallel pins, m6."""
STRIP_MM = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5)
"""Thicknesses of rolled spring strip."""
PREFERRED_THREADS_MM = (5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0, 30.0, 36.0, 42.0)
"""Metric coarse threads of first choice, of those in the table of threads."""
GROOVE_ROOM_MM = 5.2
"""Least difference of a ferrule's groove circle and its bore: half the groove to each side, and a land of 1 mm.

It gives each bore of DIN 32676, rows A and C, from 20 to 200 mm the ferrule that stands beside it there, but for
DN 150 of row A, which gets the 167 mm of row C.
"""


@dataclass(frozen=True)
class Ferrule:
    """A clamp ferrule; both figures are diameters in mm."""

    outer_mm: float
    groove_mm: float
    """Middle circle of the groove for the gasket."""

    @property
    def widest_bore_mm(self) -> float:
        """The widest bore that leaves a land inside the groove."""
        return self.groove_mm - GROOVE_ROOM_MM


@cache
def ferrules() -> tuple[Ferrule, ...]:
    """Return the table of ferrules, smallest first."""
    return tuple(Ferrule(row["outer_mm"], row["groove_mm"]) for row in _rows("ferrules.csv"))


def ferrule_for(bore_mm: float) -> Ferrule:
    """Return the smallest ferrule that takes a port of ``bore_mm``; beyond the table, its largest.

    >>> ferrule_for(48.0).outer_mm, ferrule_for(72.9).outer_mm
    (64.0, 91.0)
    """
    return next((f for f in ferrules() if bore_mm <= f.widest_bore_mm), ferrules()[-1])


@cache
def clearance_holes() -> Mapping[float, float]:
    """Return nominal diameter of a thread to its clearance hole, mm."""
    return {row["nominal_mm"]: row["hole_mm"] for row in _rows("clearance_holes.csv")}


def nearest(sizes: Iterable[float], wanted_mm: float) -> float:
    """Return the one of ``sizes`` that is nearest to ``wanted_mm``, the smaller of two as near.

    >>> nearest(PINS_MM, 2.4), nearest(PINS_MM, 3.5)
    (2.5, 3.0)
    """
    return min(sizes, key=lambda size: (abs(size - wanted_mm), size))


def next_below(sizes: Iterable[float], size_mm: float) -> float:
    """Return the next smaller one of ``sizes``; the least is returned itself.

    >>> next_below(PINS_MM, 16.0)
    12.0
    """
    return max((size for size in sizes if size < size_mm), default=size_mm)


def _rows(name: str) -> list[dict[str, float]]:
    text = resources.files(__package__).joinpath(name).read_text(encoding="utf-8")
    return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(text.splitlines())]
