"""Calculation sheets as they are read: figures with their formulas, inputs, sources and limits, all in words.

group_in_words(group, words) -> GroupText
"""

from __future__ import annotations

from dataclasses import dataclass

from ...geometry.engineering.figures import Figure, Input, Judgement, Limit
from ...geometry.engineering.topics import Topic
from ...sequences.calculations.calculation_sheets import Blank, CalculationSheet, SheetGroup
from .catalogue import Words
from .finding_words import finding_in_words
from .topic_words import limit_in_words, topic_in_words, value_of_figure
from .value_words import value_title, where_to_look


@dataclass(frozen=True)
class InputText:
    """What goes into a formula, as it is read."""

    symbol: str
    amount: str
    name: str
    source: str


@dataclass(frozen=True)
class LimitText:
    """A limit as it is read: what it allows, under which condition, by which source."""

    allowed: str
    condition: str
    source: str
    not_verified: str


@dataclass(frozen=True)
class FigureText:
    """A figure as it is read; ``working`` is empty where no formula gives its value."""

    id: str
    name: str
    value: str
    equation: str
    """Its formula, or in words how it was had."""
    working: str
    inputs: tuple[InputText, ...]
    span: str
    source: str
    limit: LimitText | None
    not_verified: str
    judgement: Judgement


@dataclass(frozen=True)
class BlankText:
    """Something that is not on file, and where to look for it."""

    title: str
    unit: str
    where: str


@dataclass(frozen=True)
class SheetText:
    """A calculation sheet as it is read."""

    id: str
    title: str
    figures: tuple[FigureText, ...]
    sentences: tuple[str, ...]
    blanks: tuple[BlankText, ...]
    notes: tuple[str, ...]
    steps: tuple[str, ...]
    tools: tuple[str, ...]


@dataclass(frozen=True)
class GroupText:
    """Sheets under one heading."""

    id: str
    sheets: tuple[SheetText, ...]


def group_in_words(group: SheetGroup, words: Words) -> GroupText:
    """Return sheets as they are read."""
    return GroupText(group.id, tuple(sheet_in_words(s, words) for s in group.sheets))


def sheet_in_words(sheet: CalculationSheet, words: Words) -> SheetText:
    """Return a calculation sheet as it is read."""
    return SheetText(
        sheet.id,
        topic_in_words(sheet.topic, words),
        tuple(figure_in_words(f, words) for f in sheet.figures),
        tuple(finding_in_words(f, words) for f in sheet.findings),
        tuple(_blank(b, words) for b in sheet.blanks),
        tuple(topic_in_words(n, words) for n in sheet.notes),
        words.lines(f"method.{sheet.method}.steps") if sheet.method else (),
        words.lines(f"method.{sheet.method}.tools") if sheet.method else (),
    )


def figure_in_words(figure: Figure, words: Words) -> FigureText:
    """Return a figure as it is read."""
    return FigureText(
        id=figure.id,
        name=topic_in_words(figure.topic, words),
        value=value_of_figure(figure, words),
        equation=words.figures(figure.equation()) or _said(figure.derivation, words),
        working=words.figures(figure.working()),
        inputs=tuple(_input(i, words) for i in figure.inputs),
        span=_said(figure.span, words),
        source=topic_in_words(figure.source, words),
        limit=None if figure.limit is None else _limit(figure.limit, words),
        not_verified=_said(figure.not_verified, words),
        judgement=figure.judgement,
    )


def _said(topic: Topic | None, words: Words) -> str:
    return "" if topic is None else topic_in_words(topic, words)


def _input(given: Input, words: Words) -> InputText:
    name, source = topic_in_words(given.topic, words), topic_in_words(given.source, words)
    return InputText(given.symbol, words.figures(given.amount), name, source)


def _limit(limit: Limit, words: Words) -> LimitText:
    return LimitText(
        limit_in_words(limit, words),
        _said(limit.condition, words),
        topic_in_words(limit.source, words),
        _said(limit.not_verified, words),
    )


def _blank(blank: Blank, words: Words) -> BlankText:
    return BlankText(value_title(blank.name, words), blank.unit, where_to_look(blank.name, words))
