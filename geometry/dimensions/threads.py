"""Metric threads: the coarse series and the hexagon and socket-head sizes that go with it.

Sources: pitch from ISO 261, width across flats and nut height (m max) from ISO 4032, socket heads from ISO 4762. Typed
from general knowledge of these standards; the second-choice diameters 14, 18, 22, 27, 33, 39 mm have not been checked
against a printed copy.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True)
class Thread:
    """One coarse metric thread; all figures in mm."""

    nominal_mm: float
    pitch_mm: float
    across_flats_mm: float
    nut_height_mm: float
    head_diameter_mm: float
    head_height_mm: float

    @property
    def radius_mm(self) -> float:
        """Major radius."""
        return self.nominal_mm / 2

    @property
    def root_radius_mm(self) -> float:
        """Radius at the root of the external thread, ISO 724: d3 = d - 1.22687 p."""
        return self.nominal_mm / 2 - 0.613435 * self.pitch_mm


@cache
def thread_table() -> tuple[Thread, ...]:
    """Return the table, smallest thread first."""
    text = resources.files(__package__).joinpath("threads.csv").read_text(encoding="utf-8")
    return tuple(Thread(**{k: float(v) for k, v in row.items()}) for row in csv.DictReader(text.splitlines()))


def nearest_thread(diameter_mm: float) -> Thread:
    """Return the thread whose nominal diameter is nearest to ``diameter_mm``.

    >>> nearest_thread(9.6).nominal_mm
    10.0
    """
    return min(thread_table(), key=lambda t: (abs(t.nominal_mm - diameter_mm), t.nominal_mm))
