"""The page of readings over time in words: what reaches its limit first, each series with its plot and its table.

API::

    make_trend(read, found, words) -> TrendPages
    readings_csv(series, words), drift_csv(series, words) -> str
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ....geometry.engineering.units import MINUS, NBSP
from ....sequences.records.drift import LEAST_DEGREES
from ....sequences.records.read_records import RecordsRead
from ....sequences.records.record_form import State
from ....sequences.records.series import Prospect, Series, SeriesFound, soonest
from ...words.catalogue import Words
from ...words.report_words import csv_text

STATE_WORDS: Mapping[State, str] = {
    "as found": "trend.found",
    "as left": "trend.left",
    "in service": "trend.service",
}


@dataclass(frozen=True)
class SoonRow:
    """A line of what reaches its limit first."""

    tag: str
    anchor: str
    title: str
    limit: str
    when: str
    between: str
    change: str


@dataclass(frozen=True)
class TrendReading:
    """A line of a series' table."""

    day: str
    state: str
    figure: str
    entered: str
    order: str
    file: str


@dataclass(frozen=True)
class TrendView:
    """One series as the page shows it."""

    anchor: str
    plot: str
    """Path of its plot, from the page."""
    tag: str
    title: str
    limits: str
    said: tuple[str, ...]
    alt: str
    readings: tuple[TrendReading, ...]


@dataclass(frozen=True)
class TrendPages:
    """All that the page shows."""

    records: int
    soon: tuple[SoonRow, ...]
    series: tuple[TrendView, ...]
    faults: tuple[str, ...]
    files_left_out: int
    readings_left_out: tuple[str, ...]
    superseded: tuple[str, ...]


def make_trend(read: RecordsRead, found: SeriesFound, words: Words) -> TrendPages:
    """Put series and what was left out into words."""
    anchors = dict(zip(found.series, _anchors(found.series), strict=True))
    return TrendPages(
        len(read.records),
        tuple(_soon(s, p, anchors[s], words) for s, p in soonest(found.series)),
        tuple(_view(s, anchors[s], words) for s in found.series),
        tuple(str(f) for f in read.faults),
        len({f.file for f in read.faults}),
        tuple(
            words("trend.no_figure", file=r.file, tag=r.tag, text=r.text, entered=r.entered)
            if r.why == "no figure"
            else words(
                "trend.other_unit", file=r.file, tag=r.tag, text=r.text, entered=r.entered, unit=r.unit
            )
            for r in found.left_out
        ),
        tuple(words("trend.superseded_line", file=file, taken=taken) for file, taken in read.superseded),
    )


def _anchors(series: Sequence[Series]) -> list[str]:
    """Return a name for each series that goes into addresses and file names, no two alike in any case of letters."""
    found: list[str] = []
    for s in series:
        name = re.sub(r"[^a-z0-9]+", "-", f"{s.tag} {s.name}".casefold()).strip("-")[:60] or "reading"
        count = sum(f == name or re.fullmatch(rf"{re.escape(name)}-\d+", f) is not None for f in found)
        found.append(f"{name}-{count + 1}" if count else name)
    return found


def series_title(series: Series, words: Words) -> str:
    """Return what a series is called: the value that judges it, or what was read."""
    return words.get(f"value.{series.name}.title", series.text)


def _amount(figure: float, unit: str) -> str:
    return f"{figure:.4g}".replace("-", MINUS) + NBSP + unit


def _view(s: Series, anchor: str, words: Words) -> TrendView:
    said = [prospect_in_words(s, p, words) for p in s.prospects] or [words("trend.no_limits")]
    ends = []
    if s.low is not None:
        ends.append(words("trend.least", value=_amount(s.low, s.unit)))
    if s.high is not None:
        ends.append(words("trend.most", value=_amount(s.high, s.unit)))
    title = series_title(s, words)
    first, last = s.readings[0].day, s.readings[-1].day
    alt = words(
        "trend.plot",
        count=len(s.readings),
        title=title,
        tag=s.tag,
        first=first,
        last=last,
        said=" ".join(said),
    )
    rows = tuple(
        TrendReading(
            r.day.isoformat(), words(STATE_WORDS[r.state]), _amount(r.figure, s.unit), f"{r.entered}{NBSP}{r.unit}",
            r.work_order, r.file,
        )
        for r in s.readings
    )  # fmt: skip
    return TrendView(anchor, f"plots/{anchor}.svg", s.tag, title, ", ".join(ends), tuple(said), alt, rows)


def prospect_in_words(s: Series, p: Prospect, words: Words) -> str:
    """Return what becomes of a series at one limit."""
    limit, points = _amount(p.limit, s.unit), s.points(p.end)
    if p.outlook == "too few":
        runs = len({point.run for point in points})
        needed = runs + 1 + LEAST_DEGREES
        return words(f"trend.few.{p.end}", limit=limit, count=len(points), runs=runs, needed=needed)
    if p.outlook == "beyond":
        return words(f"trend.beyond.{p.end}", limit=limit, figure=_amount(points[-1].figure, s.unit))
    if p.outlook == "steady":
        text = words(f"trend.steady.{p.end}", limit=limit, count=len(points))
        return f"{text} {words('trend.steady_earliest', day=p.earliest)}" if p.earliest else text
    if p.outlook == "away":
        return words(f"trend.away.{p.end}", limit=limit, rate=_rate(s, p))
    return words(
        f"trend.towards.{p.end}",
        limit=limit,
        rate=_rate(s, p),
        when=_when(p.day, words),
        span=_span(p, words),
    )


def _rate(s: Series, p: Prospect) -> str:
    rate = p.per_year
    return "" if rate is None else f"{rate:+.3g}".replace("-", MINUS) + NBSP + s.unit


def _when(day: date | None, words: Words) -> str:
    return words("trend.far") if day is None else words("trend.about", day=day)


def _span(p: Prospect, words: Words) -> str:
    if p.earliest is None:
        return words("trend.far")
    if p.latest is None:
        return words("trend.span_open", earliest=p.earliest)
    return words("trend.span", earliest=p.earliest, latest=p.latest)


def _soon(s: Series, p: Prospect, anchor: str, words: Words) -> SoonRow:
    bound = "trend.least" if p.end == "low" else "trend.most"
    beyond = p.outlook == "beyond"
    return SoonRow(
        s.tag,
        anchor,
        series_title(s, words),
        words(bound, value=_amount(p.limit, s.unit)),
        words("trend.beyond_now") if beyond else _when(p.day, words),
        "" if beyond else _span(p, words),
        _rate(s, p),
    )


# ------------------------------------------------------------------ tables
def readings_csv(series: Iterable[Series], words: Words) -> str:
    """Return every reading as CSV, a line each; a cell that looks like a formula is disarmed."""
    heads = (
        "plant", "tag", "name", "text", "day", "state", "figure", "unit", "entered", "entered_unit", "verdict", "order",
        "job", "file",
    )  # fmt: skip
    rows = [tuple(words(f"trend_csv.{h}") for h in heads)]
    for s in series:
        rows += [
            (s.plant, s.tag, s.name, r.text, r.day.isoformat(), r.state, f"{r.figure:g}", s.unit, r.entered, r.unit,
             r.verdict, r.work_order, r.job, r.file)
            for r in s.readings
        ]  # fmt: skip
    return csv_text(rows)


def drift_csv(series: Iterable[Series], words: Words) -> str:
    """Return what becomes of every reading at every limit as CSV, a line each."""
    heads = (
        "plant", "tag", "name", "text", "unit", "end", "limit", "outlook", "count", "runs", "per_year", "scatter",
        "day_reached", "earliest", "latest",
    )  # fmt: skip
    rows = [tuple(words(f"trend_csv.{h}") for h in heads)]
    for s in series:
        for p in s.prospects:
            points, line = s.points(p.end), p.line
            known = ("", "") if line is None else (f"{line.slope * 365.25:.4g}", f"{line.scatter:.3g}")
            days = (d.isoformat() if d else "" for d in (p.day, p.earliest, p.latest))
            rows.append((
                s.plant, s.tag, s.name, series_title(s, words), s.unit, p.end, f"{p.limit:g}", p.outlook,
                str(len(points)), str(len({x.run for x in points})), *known, *days,
            ))  # fmt: skip
    return csv_text(rows)
