"""Sourced values in words: how one is stated, where it stands in print, where to look for one that is missing.

value_in_words(value, words) -> ValueText
stated(given, bound, words) -> str
change_in_words(change, words) -> ChangeText
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ...geometry.engineering.measuring import Instrument
from ...geometry.engineering.units import Toward, both, both_tolerance, ends_in_both
from ...sequences.values.quantities import Bound
from ...sequences.values.sourced_values import ResolvedValue, SourcedValue, ValueUse, decision_rule
from ...sequences.values.value_changes import ValueChange
from .catalogue import Words
from .topic_words import joined, topic_in_words
from .torque_words import torque_doubt_in_words

_TOWARD: dict[Bound, Toward] = {"most": "down", "least": "up", "": "nearest"}


@dataclass(frozen=True)
class ValueText:
    """A value of a head as it is read."""

    name: str
    title: str
    unit: str
    known: bool
    text: str
    """In both systems of units, with the tolerance; empty for a blank."""
    source: str
    where: str
    doubt: str
    """What speaks against it; empty where nothing does."""


@dataclass(frozen=True)
class InstrumentText:
    """What a reading is taken with, and how exact that is, in the unit of the reading."""

    key: str
    uncertainty: float
    name: str
    text: str


@dataclass(frozen=True)
class ChangeText:
    """A value that differs from the last revision of the values; empty text: not on file."""

    title: str
    was: str
    now: str


def value_in_words(value: ResolvedValue, words: Words) -> ValueText:
    """Return a value as it is read."""
    return ValueText(
        name=value.name,
        title=value_title(value.name, words),
        unit=value.unit,
        known=value.known,
        text=_stated_with_threads(value, words),
        source="" if value.given is None else topic_in_words(value.given.reference, words),
        where=where_to_look(value.name, words),
        doubt=" ".join(
            doubt_of_value(value.name, torque_doubt_in_words(d, words), words) for d in value.doubts
        ),
    )


def value_title(name: str, words: Words) -> str:
    """Return what a value is called."""
    return words(f"value.{name}.title")


def where_to_look(name: str, words: Words) -> str:
    """Return where a person finds a value that is not on file."""
    return words(f"value.{name}.where")


def doubt_of_value(name: str, doubt: str, words: Words) -> str:
    """Return a doubt with the value that it is about."""
    return words("doubt.of_value", value=value_title(name, words), doubt=doubt)


def value_stated(value: ResolvedValue, words: Words) -> str:
    """Return how a value is stated; empty for a blank."""
    return "" if value.given is None else stated(value.given, value.bound, words)


def _stated_with_threads(value: ResolvedValue, words: Words) -> str:
    """Return how a value is stated; of a torque also that its source does not say for which threads it holds."""
    text = value_stated(value, words)
    if value.given is None or value.quantity != "torque" or value.given.threads:
        return text
    return joined((text, words("stated.no_threads")), words, "stated.joined")


def stated(given: SourcedValue, bound: Bound, words: Words) -> str:
    """Return a value in both systems of units, with its tolerance or span, the state of the threads and its condition.

    Limits are rounded to the safe side when they are converted: a greatest value down, a least one up.
    """
    figure = given.value
    if isinstance(figure, str):
        text = words.say(figure)
    elif given.tolerance is not None and figure is not None:
        text = words.figures(both_tolerance(figure, given.tolerance, given.unit))
    elif given.span is not None:
        text = _range(given.span, given.unit, words)
        if figure is not None:
            text = words("stated.joined", first=words.figures(both(figure, given.unit)), second=text)
    else:
        assert figure is not None
        text = words.figures(both(figure, given.unit, _TOWARD[bound]))
    threads = words("stated.threads", threads=words(f"threads.{given.threads}")) if given.threads else ""
    condition = words.say(given.condition) if given.condition else ""
    return joined((text, threads, condition), words, "stated.joined")


def _range(span: tuple[Decimal, Decimal], unit: str, words: Words) -> str:
    own, *other = (tuple(map(words.figures, ends)) for ends in ends_in_both(*span, unit))
    if not other:
        return words("amount.range", low=own[0], high=own[1])
    low, high = other[0]
    return words("amount.range_both", low=own[0], high=own[1], other_low=low, other_high=high)


def instrument_in_words(instrument: Instrument, unit: str, words: Words) -> InstrumentText:
    """Return an instrument as it is read beside a reading in ``unit``."""
    name = words(f"method.{instrument.key}.name")
    text = words("stated.instrument", instrument=name, reach=words.figures(instrument.reach(unit)))
    return InstrumentText(instrument.key, instrument.uncertainty, name, text)


def rule_in_words(value: ResolvedValue, words: Words) -> str:
    """Return how the plant has its readings of ``value`` judged; empty where it has chosen nothing."""
    given = value.given
    if given is None or (given.rule is None and not given.critical):
        return ""
    rule = decision_rule(value)
    said = words(f"rule.{rule.kind}", guard=f"{rule.guard:g}")
    if given.critical:
        said = words("rule.critical", rule=said)
    if given.rule is None or given.rule.rule != rule:
        return said
    return words("stated.sourced", value=said, source=topic_in_words(given.rule.reference, words))


def use_in_words(use: ValueUse, words: Words) -> str:
    """Return the step that asks for a value."""
    return words("values.use", title=use.title, number=use.step)


def change_in_words(change: ValueChange, words: Words) -> ChangeText:
    """Return what a value was and is now; with the sources where only these tell the two apart."""

    def said(value: SourcedValue | None) -> str:
        if value is None:
            return ""
        text = stated(value, change.bound, words)
        if not change.source_alone:
            return text
        return words("stated.sourced", value=text, source=topic_in_words(value.reference, words))

    # A name that an earlier version knew has no title any more.
    title = words.get(f"value.{change.name}.title", change.name)
    return ChangeText(title, said(change.was), said(change.now))
