"""Values: sourced, or blank with where to look; what is missing.

API::

    ResolvedValue(name, title, unit, known, text, low, high, source, date, where, ...)
    resolved(name, given) -> ResolvedValue                           # :func:`.head_values.resolve_values` for all
    limits_in(value, unit) -> (low, high)                            # in the unit of a reading
    Missing, missing_values(values, used) -> list[Missing]; missing_csv(missing) -> text
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from ...geometry.engineering.preload import LUBRICATIONS
from ...geometry.engineering.units import both, both_range, both_tolerance, convert
from .quantities import Quantity, ValueName

Level = Literal["head", "size", "fleet", ""]


@dataclass(frozen=True)
class Source:
    """Where a value stands in print."""

    document: str
    revision: str = ""
    table: str = ""
    page: str = ""

    def __str__(self) -> str:
        """Return the source as one line.

        >>> str(Source("Manual 4711", revision="C", table="7", page="31"))
        'Manual 4711, rev. C, table 7, p. 31'
        """
        parts = [self.document]
        parts += [f"rev. {self.revision}"] if self.revision else []
        parts += [self.table if " " in self.table else f"table {self.table}"] if self.table else []
        parts += [f"p. {self.page}"] if self.page else []
        return ", ".join(parts)


@dataclass(frozen=True)
class SourcedValue:
    """A value as the fleet file gives it: figures keep the digits that were written."""

    value: Decimal | str | None
    unit: str
    source: Source
    date: str
    tolerance: Decimal | None = None
    span: tuple[Decimal, Decimal] | None = None
    condition: str = ""
    threads: str = ""
    """State of the threads that a torque holds for: a key of :data:`.LUBRICATIONS`, or empty."""
    medium: str = ""
    """Class of medium, for its effect on elastomers (see :mod:`.elastomers`); empty where not given."""
    level: Level = ""
    """Where it stands in the fleet file: at the head, its size, or for the whole fleet."""


@dataclass(frozen=True)
class ResolvedValue:
    """A value of one head as the booklet states it; ``known`` False is a blank to fill in.

    ``low`` and ``high`` are the limits that judge a reading, in ``unit`` (the quantity's own, see
    :data:`.value_names.UNIT`); None where nothing on file judges it on that side.
    """

    name: str
    title: str
    quantity: Quantity
    unit: str
    where: str
    known: bool = False
    text: str = ""
    """In both systems of units, with the tolerance; empty for a blank."""
    low: float | None = None
    high: float | None = None
    source: str = ""
    date: str = ""
    condition: str = ""
    level: Level = ""
    given: SourcedValue | None = None
    doubt: str = ""
    """What speaks against it (see :mod:`..calculations.plausibility`); it is then marked wherever it is stated."""

    @property
    def nominal(self) -> float | None:
        """The figure in ``unit``; the middle of a span; None for a text or a blank."""
        if self.given is None or self.quantity == "text":
            return None
        figure = self.given.value
        if not isinstance(figure, Decimal):
            if self.given.span is None:
                return None
            figure = sum(self.given.span, Decimal(0)) / 2
        return float(convert(figure, self.given.unit, self.unit))


def resolved(entry: ValueName, given: SourcedValue | None) -> ResolvedValue:
    """Return a value as a booklet states it, a blank where none is given."""
    if given is None:
        return ResolvedValue(entry.name, entry.title, entry.quantity, entry.unit, entry.where)
    low, high = _limits(entry, given)
    return ResolvedValue(
        name=entry.name,
        title=entry.title,
        quantity=entry.quantity,
        unit=entry.unit,
        where=entry.where,
        known=True,
        text=value_text(entry, given),
        low=low,
        high=high,
        source=f"{given.source}; {given.date}",
        date=given.date,
        condition=given.condition,
        level=given.level,
        given=given,
    )


def value_text(entry: ValueName, given: SourcedValue) -> str:
    """Return a value in words: both systems of units, tolerance or span, condition.

    Limits are rounded to the safe side when they are converted: a greatest value down, a least one up.
    """
    figure = given.value
    if entry.quantity == "text" or isinstance(figure, str):
        text = str(figure)
    elif given.tolerance is not None and figure is not None:
        text = both_tolerance(figure, given.tolerance, given.unit)
    elif given.span is not None:
        text = both_range(*given.span, given.unit)
        if figure is not None:
            text = f"{both(figure, given.unit)}, {text}"
    else:
        assert figure is not None
        toward: Literal["nearest", "down", "up"] = (
            "down" if entry.bound == "most" else "up" if entry.bound == "least" else "nearest"
        )
        text = both(figure, given.unit, toward)
    threads = f"threads {LUBRICATIONS[given.threads].name}" if given.threads else ""
    return ", ".join(words for words in (text, threads, given.condition) if words)


def _limits(entry: ValueName, given: SourcedValue) -> tuple[float | None, float | None]:
    """Return the limits in the quantity's own unit."""
    figure = given.value
    low: Decimal | None = None
    high: Decimal | None = None
    if given.span is not None:
        low, high = given.span
    elif isinstance(figure, Decimal) and given.tolerance is not None:
        low, high = figure - given.tolerance, figure + given.tolerance
    elif isinstance(figure, Decimal) and entry.bound == "most":
        high = figure
    elif isinstance(figure, Decimal) and entry.bound == "least":
        low = figure

    def own(x: Decimal | None) -> float | None:
        return None if x is None else float(convert(x, given.unit, entry.unit))

    return own(low), own(high)


def limits_in(value: ResolvedValue, unit: str) -> tuple[float | None, float | None]:
    """Return the limits of ``value`` in the unit of a reading.

    Raises:
        UnitError: if the unit measures another quantity.
    """
    if not value.known or value.quantity == "text":
        return None, None
    low, high = value.low, value.high
    if unit == value.unit:
        return low, high
    return (
        None if low is None else float(convert(low, value.unit, unit)),
        None if high is None else float(convert(high, value.unit, unit)),
    )


# ---- what is missing
@dataclass(frozen=True)
class Missing:
    """A value that a booklet asks for and the fleet file does not hold."""

    tag: str
    name: str
    title: str
    unit: str
    where: str
    used: tuple[str, ...] = ()
    """Steps that ask for it, in words."""


def missing_values(
    values: Mapping[str, Mapping[str, ResolvedValue]],
    used: Mapping[str, Mapping[str, Collection[str]]] | None = None,
) -> list[Missing]:
    """Return what is missing over all heads.

    Args:
        values: plant tag to the head's values.
        used: plant tag to value name to the steps that ask for it; left out, every blank counts.
    """
    found = []
    for tag, by_name in values.items():
        asked = None if used is None else used.get(tag, {})
        for v in by_name.values():
            if not v.known and (asked is None or v.name in asked):
                steps = tuple(asked[v.name]) if asked is not None else ()
                found.append(Missing(tag, v.name, v.title, v.unit, v.where, steps))
    return found


def missing_csv(missing: Iterable[Missing]) -> str:
    """Return the missing values as CSV to hand to the planner; a cell that looks like a formula is disarmed.

    >>> print(missing_csv([]).strip())
    plant tag,value,name in the fleet file,unit,where to look,asked for in
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(("plant tag", "value", "name in the fleet file", "unit", "where to look", "asked for in"))
    for m in missing:
        cells = (m.tag, m.title, m.name, m.unit, m.where, "; ".join(m.used))
        table.writerow([f"'{c}" if c[:1] in tuple("=+-@\t\r") else c for c in cells])
    return out.getvalue()
