"""Values: sourced, or blank; what is missing.

API::

    ResolvedValue(name, quantity, unit, bound, given, low, high, doubts)
    resolved(name, given) -> ResolvedValue                           # :func:`.head_values.resolve_values` for all
    limits_in(value, unit) -> (low, high)                            # in the unit of a reading
    decision_rule(value) -> DecisionRule                             # how a reading is held against them
    Missing, missing_values(values, used) -> list[Missing]

What a value is called, how it is stated and where to look for it, the catalogues of words say, by its name.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from ...geometry.engineering.measuring import BY_INSTRUMENT, GUARDED, DecisionRule
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.topics import Topic
from ...geometry.engineering.units import convert
from .quantities import Bound, Quantity, ValueName

Level = Literal["head", "size", "fleet", ""]


@dataclass(frozen=True)
class Source:
    """Where a value stands in print."""

    document: str
    revision: str = ""
    table: str = ""
    page: str = ""


@dataclass(frozen=True)
class ChosenRule:
    """A decision rule that the plant has chosen, for the whole fleet or one value."""

    rule: DecisionRule
    source: Source
    date: str

    @property
    def reference(self) -> Topic:
        """Source and date."""
        return _on_file(self.source, self.date)


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
    critical: bool = False
    """Whether the plant has marked it as critical: readings are then guarded."""
    rule: ChosenRule | None = None
    """Decision rule for its readings, None where the plant has chosen none."""

    @property
    def reference(self) -> Topic:
        """Source and date, as figures that rest on the value name them."""
        return _on_file(self.source, self.date)


def _on_file(s: Source, date: str) -> Topic:
    return Topic(
        "source.on_file", document=s.document, revision=s.revision, table=s.table, page=s.page, date=date
    )  # fmt: skip


@dataclass(frozen=True)
class ResolvedValue:
    """A value as the booklet states it; without one given it is a blank to fill in.

    ``low`` and ``high`` are the limits that judge a reading, in ``unit`` (the quantity's own, see
    :data:`.quantities.UNIT`); None where nothing on file judges it on that side.
    """

    name: str
    quantity: Quantity
    unit: str
    bound: Bound = ""
    given: SourcedValue | None = None
    low: float | None = None
    high: float | None = None
    doubts: tuple[TorqueDoubt, ...] = ()
    """What speaks against it (see :mod:`..calculations.plausibility`); it is then marked wherever it is stated."""

    @property
    def known(self) -> bool:
        """Whether it is on file; otherwise it is a blank to fill in."""
        return self.given is not None

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


def resolved(entry: ValueName, given: SourcedValue | None = None) -> ResolvedValue:
    """Return a value as a booklet states it, a blank where none is given."""
    low, high = (None, None) if given is None else _limits(entry, given)
    return ResolvedValue(entry.name, entry.quantity, entry.unit, entry.bound, given, low, high)


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


def decision_rule(value: ResolvedValue | None) -> DecisionRule:
    """Return how a reading is held against the limits of ``value``.

    The plant's own rule; guarded where the value is marked critical, with the factor of a guarded rule of the plant's;
    else by the instrument.
    """
    given = value.given if value is not None else None
    if given is None:
        return BY_INSTRUMENT
    chosen = given.rule.rule if given.rule is not None else BY_INSTRUMENT
    return GUARDED if given.critical and chosen.kind != "guarded" else chosen


# ---- what is missing
@dataclass(frozen=True)
class ValueUse:
    """A step that asks for a value: kind and title of its sequence, its number."""

    sequence: str
    title: str
    step: int


@dataclass(frozen=True)
class Missing:
    """A value that a booklet asks for and the fleet file does not hold."""

    tag: str
    name: str
    unit: str
    used: tuple[ValueUse, ...] = ()
    """Steps that ask for it."""


def missing_values(
    values: Mapping[str, Mapping[str, ResolvedValue]],
    used: Mapping[str, Mapping[str, Sequence[ValueUse]]] | None = None,
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
                found.append(Missing(tag, v.name, v.unit, steps))
    return found
