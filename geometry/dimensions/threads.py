"""Metric threads: the coarse series and the hexagon and socket-head sizes that go with it; fine pitches.

Sources: pitches from ISO 261, width across flats and nut height (m max) from ISO 4032, socket heads from ISO 4762.
Typed from general knowledge of these standards; the second-choice diameters 14, 18, 22, 27, 33, 39 mm have not been
checked against a printed copy. Of several fine pitches of one diameter the table of fine threads holds a usual one.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True)
class ScrewThread:
    """A metric thread of any pitch, figures in mm."""

    nominal_mm: float
    pitch_mm: float

    @property
    def radius_mm(self) -> float:
        """Major radius."""
        return self.nominal_mm / 2

    @property
    def root_radius_mm(self) -> float:
        """Radius at the root of the external thread, ISO 724: d3 = d - 1.22687 p."""
        return self.nominal_mm / 2 - 0.613435 * self.pitch_mm


@dataclass(frozen=True)
class Thread(ScrewThread):
    """One coarse metric thread with its hexagon and its socket head; all figures in mm."""

    across_flats_mm: float
    nut_height_mm: float
    head_diameter_mm: float
    head_height_mm: float


@cache
def thread_table() -> tuple[Thread, ...]:
    """Return the table, smallest thread first."""
    text = resources.files(__package__).joinpath("threads.csv").read_text(encoding="utf-8")
    return tuple(Thread(**{k: float(v) for k, v in row.items()}) for row in csv.DictReader(text.splitlines()))


@cache
def fine_threads() -> tuple[ScrewThread, ...]:
    """Return the usual fine threads, smallest first."""
    text = resources.files(__package__).joinpath("fine_threads.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return tuple(ScrewThread(float(row["nominal_mm"]), float(row["pitch_mm"])) for row in rows)


def fine_pitch_mm(diameter_mm: float) -> float:
    """Return the usual fine pitch of the diameter nearest to ``diameter_mm``.

    >>> fine_pitch_mm(14.0), fine_pitch_mm(24.0)
    (1.5, 2.0)
    """
    return min(fine_threads(), key=lambda t: abs(t.nominal_mm - diameter_mm)).pitch_mm


def nearest_thread(diameter_mm: float) -> Thread:
    """Return the thread whose nominal diameter is nearest to ``diameter_mm``.

    >>> nearest_thread(9.6).nominal_mm
    10.0
    """
    return min(thread_table(), key=lambda t: (abs(t.nominal_mm - diameter_mm), t.nominal_mm))
