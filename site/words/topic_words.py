"""Topics in words: what a figure, an input, a source or a limit is called, and how amounts are printed.

topic_in_words(topic, words) -> str
limit_in_words(limit, words), value_of_figure(figure, words) -> str
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

from ...geometry.engineering.figures import Figure, Limit, amount, number
from ...geometry.engineering.topics import Fact, Topic
from ...geometry.engineering.units import text
from .catalogue import MissingWord, Words

ON_FILE = "source.on_file"
"""Key of the topic that names a document of the owner's."""
_NAMED = {"gap": "gap.{}.name", "value": "value.{}.title", "method": "method.{}.name", "part": "part.{}"}
"""Fact that is the key of a table to the key of its name in the catalogue."""
_WITHIN = {
    "gap": "gap.{}.within",
    "value": "value.{}.within",
    "method": "method.{}.within",
    "part": "parts.{}.one",
    "gland": "parts.{}.one",
    "material": "material.{}",
    "elastomer": "elastomer.{}",
    "medium": "medium.{}",
    "dimension": "dimension.{}",
    "threads": "threads.{}",
    "temperature": "temperature.{}",
}
"""The same for its name within a sentence."""
_SIGNED = ("upper_mm", "lower_mm")
"""Deviations, printed with their sign and to a thousandth."""


def topic_in_words(topic: Topic, words: Words) -> str:
    """Return the text of a topic with its facts filled in.

    Raises:
        MissingWord: if the catalogue lacks it, or its text needs a fact that the topic does not have.

    >>> from .catalogue import load_words
    >>> topic_in_words(Topic("figure.gap_hot", gap="front", process_c=95.0), load_words("en"))
    'Front clearance at 95 °C'
    """
    facts = dict(topic.facts)
    if topic.key == ON_FILE:
        return _document({k: str(v) for k, v in facts.items()}, words)
    fields = {name: _field(name, facts, topic, words) for name in words.fields(topic.key)}
    return words(topic.key, **fields)


def _field(name: str, facts: dict[str, Fact], topic: Topic, words: Words) -> str:
    fact = name.removesuffix("_within")
    if fact not in facts:
        raise MissingWord(f"'{topic.key}' in '{words.language}' needs the fact '{fact}'")
    value = facts[fact]
    stem = (_NAMED if name == fact and name in _NAMED else _WITHIN).get(fact)
    if stem is not None:
        return words(stem.format(value))
    if fact in _SIGNED:
        return f"{value:+.3f}"
    return text(value) if isinstance(value, int) else f"{value:g}" if isinstance(value, float) else value


def joined(texts: Iterable[str], words: Words, key: str) -> str:
    """Return the texts that are not empty as one, two and two joined by the catalogue's ``key``."""
    return reduce(lambda first, second: words(key, first=first, second=second), [t for t in texts if t])


def _document(facts: dict[str, str], words: Words) -> str:
    """Return a document of the owner's: its name, revision, table, page and day, as far as they are given."""
    table = facts["table"]
    # A table that is more than a number or letter says itself what it is: "sheet 4".
    named = table if " " in table else table and words("document.table", table=table)
    parts = (
        facts["document"],
        facts["revision"] and words("document.revision", revision=facts["revision"]),
        named,
        facts["page"] and words("document.page", page=facts["page"]),
    )
    return words("document.dated", document=joined(parts, words, "document.joined"), date=facts["date"])


def value_of_figure(figure: Figure, words: Words) -> str:
    """Return value and unit as printed, with the span in brackets where print can tell it."""
    ends = figure.shown_span
    if ends is None:
        return words.figures(figure.amount)
    spanned = [words.figures(text) for text in (figure.amount, *ends)]
    return words("amount.spanned", amount=spanned[0], low=spanned[1], high=spanned[2])


def limit_in_words(limit: Limit, words: Words) -> str:
    """Return what a limit allows: ``15.0 to 30.0 %``, ``0.200 mm at most``.

    Raises:
        ValueError: if it is open on both sides.
    """
    if limit.low is not None and limit.high is not None:
        low = words.figures(number(limit.low, limit.unit))
        return words("amount.range", low=low, high=words.figures(amount(limit.high, limit.unit)))
    if limit.high is not None:
        return words("amount.most", high=words.figures(amount(limit.high, limit.unit)))
    if limit.low is not None:
        return words("amount.least", low=words.figures(amount(limit.low, limit.unit)))
    raise ValueError("a limit that is open on both sides limits nothing")
