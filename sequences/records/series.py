"""Readings over time: per pump or assembly and value, as found, as left and in service, with their drift.

API::

    series_of(records) -> SeriesFound          # series, and readings that make none
    Series.points(end), Series.prospect(end, today) -> Prospect
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from ...geometry.engineering.units import UnitError
from .drift import DriftLine, End, Point, fit, reach
from .figures_read import figure_typed, in_unit_of_limits
from .read_records import NamedRecord
from .record_form import RecordedReading, State

SETTINGS = frozenset({"set", "beyond", "incomplete", "nolimitsset"})
"""Verdicts on a torque wrench's setting, which shows no wear."""
Outlook = Literal["too few", "steady", "away", "towards", "beyond"]
"""``steady``: its slope cannot be told from none; ``beyond``: the last reading is outside the limit."""
LeftOutFor = Literal["no figure", "unit"]
ENDS: tuple[End, ...] = ("low", "high")
MOST_DAYS = 36525.0
"""A hundred years: later days are not told."""


@dataclass(frozen=True)
class ReadingSeen:
    """One reading of a series, in its unit."""

    day: date
    figure: float
    state: State
    text: str
    entered: str
    unit: str
    verdict: str
    file: str
    job: str
    work_order: str


@dataclass(frozen=True)
class LeftOut:
    """A reading that makes no point."""

    file: str
    tag: str
    text: str
    entered: str
    unit: str
    why: LeftOutFor


@dataclass(frozen=True)
class Prospect:
    """What becomes of a reading at one limit."""

    end: End
    limit: float
    outlook: Outlook
    line: DriftLine | None = None
    day: date | None = None
    earliest: date | None = None
    latest: date | None = None

    @property
    def per_year(self) -> float | None:
        """Change a year, None where it is not known."""
        return None if self.line is None else self.line.slope * 365.25


@dataclass(frozen=True)
class Series:
    """All readings of one value on one pump or assembly, the oldest first; limits are those of the latest record."""

    plant: str
    tag: str
    name: str
    """Name of the value that judges it; of a reading that none judges, its sequence and id."""
    text: str
    unit: str
    low: float | None
    high: float | None
    readings: tuple[ReadingSeen, ...]

    def limit(self, end: End) -> float | None:
        """Return the limit at one end."""
        return self.low if end == "low" else self.high

    def points(self, end: End) -> tuple[Point, ...]:
        """Return what counts towards one limit: of the readings of a job in one state the one nearest to it.

        What a job leaves begins a run of its own, unless it left what it found: then nothing was set.
        """
        worst = min if end == "low" else max
        jobs: dict[str, dict[State, list[ReadingSeen]]] = {}
        for r in self.readings:
            jobs.setdefault(r.job, defaultdict(list))[r.state].append(r)
        run = 0
        found: list[Point] = []
        for states in jobs.values():
            before: float | None = None
            for state in ("as found", "as left", "in service"):
                if not (readings := states.get(state, [])):
                    continue
                r = worst(readings, key=lambda seen: seen.figure)
                if state == "as left":
                    if before == r.figure:
                        continue
                    run += bool(found)
                before = r.figure if state == "as found" else before
                found.append(Point(float(r.day.toordinal()), r.figure, run))
        return tuple(found)

    def prospect(self, end: End) -> Prospect | None:
        """Return what becomes of it at one limit; None where there is no limit."""
        limit = self.limit(end)
        if limit is None:
            return None
        points = self.points(end)
        sign = 1.0 if end == "high" else -1.0
        line = fit(points)
        if sign * (points[-1].figure - limit) > 0:
            return Prospect(end, limit, "beyond", line)
        if line is None:
            return Prospect(end, limit, "too few")
        reached, last = reach(line, limit), points[-1].day
        earliest = _date(reached.earliest, last, math.floor)
        if not reached.sure:
            return Prospect(end, limit, "steady", line, None, earliest)
        if sign * line.slope <= 0:
            return Prospect(end, limit, "away", line)
        day, latest = _date(reached.day, last, round), _date(reached.latest, last, math.ceil)
        return Prospect(end, limit, "towards", line, day, earliest, latest)

    @property
    def prospects(self) -> tuple[Prospect, ...]:
        """What becomes of it at each limit that it has."""
        return tuple(p for end in ENDS if (p := self.prospect(end)) is not None)


def _date(day: float | None, last: float, whole: Callable[[float], int]) -> date | None:
    """Return a day, no earlier than the last reading; None for one that is further off than anybody plans.

    A millionth of a day is what binary sums add.
    """
    if day is None or day - last > MOST_DAYS or day >= date.max.toordinal():
        return None
    return date.fromordinal(whole(round(max(day, last), 6)))


@dataclass(frozen=True)
class SeriesFound:
    """All series, by plant, tag and name, and what makes none."""

    series: tuple[Series, ...]
    left_out: tuple[LeftOut, ...]


def series_of(records: Sequence[NamedRecord]) -> SeriesFound:
    """Return the readings of all records as series.

    A pass or fail and the setting of a torque wrench are no readings over time; what is no figure, or in a unit that
    does not measure the same, is left out and told.
    """
    grouped: dict[tuple[str, str, str], list[tuple[date, NamedRecord, RecordedReading]]] = defaultdict(list)
    for named in records:
        job = named.record.job.date
        for r in named.record.readings:
            if r.entered is None or r.unit == "pass" or r.limits_unit == "pass" or _is_setting(r):
                continue
            day = date.fromisoformat(job) if job else datetime.fromisoformat(r.at).date()
            book = named.record.booklet
            grouped[book.plant, book.tag, r.value or f"{r.sequence}/{r.id}"].append((day, named, r))
    series, left_out = [], []
    for (plant, tag, name), readings in sorted(grouped.items()):
        readings.sort(key=lambda of: (of[0], of[1].record.begun, of[1].record.id))
        latest = readings[-1][2]
        unit, seen = latest.limits_unit, []
        for day, named, r in readings:
            figure, why = _figure(r, unit)
            if figure is None:
                left_out.append(LeftOut(named.file, tag, r.text, r.entered or "", r.unit, why))
                continue
            record = named.record
            seen.append(
                ReadingSeen(
                    day,
                    figure,
                    r.state,
                    r.text,
                    r.entered or "",
                    r.unit,
                    r.verdict or "",
                    named.file,
                    record.id,
                    record.job.work_order or "",
                )
            )
        if seen:
            low, high = (None if x is None else float(x) for x in (latest.low, latest.high))
            series.append(Series(plant, tag, name, latest.text, unit, low, high, tuple(seen)))
    return SeriesFound(tuple(series), tuple(left_out))


def _is_setting(r: RecordedReading) -> bool:
    return r.verdict in SETTINGS or r.clicked or r.wrench_least is not None or r.wrench_most is not None


def _figure(r: RecordedReading, unit: str) -> tuple[float | None, LeftOutFor]:
    typed = figure_typed(r.entered or "")
    if typed is None:
        return None, "no figure"
    try:
        return in_unit_of_limits(typed, r.unit, unit), "unit"
    except UnitError:
        return None, "unit"


def soonest(series: Iterable[Series]) -> list[tuple[Series, Prospect]]:
    """Return what lies beyond a limit, then what drifts towards one, the soonest first."""
    all_of = [(s, p) for s in series for p in s.prospects if p.outlook in ("beyond", "towards")]
    far = date.max
    all_of.sort(
        key=lambda of: (
            of[1].outlook != "beyond",
            of[1].day or far,
            of[1].earliest or far,
            of[0].tag,
            of[0].name,
        )
    )
    return all_of
