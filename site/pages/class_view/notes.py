"""The presenter's notes: of each step why it stands there, questions with their answers, and common faults."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ...words.catalogue import Words
from ...words.value_words import value_in_words
from ..booklet import Booklet, Chapter, StepView
from ..cards.cards import CardView
from ..upkeep_pages import LinkedText


@dataclass(frozen=True)
class ClassQuestion:
    """A question to the class with its answer, one sentence or more."""

    text: str
    answer: tuple[str, ...]


@dataclass(frozen=True)
class CommonFault:
    """What goes wrong at a step, and where it is told."""

    text: str
    told: str
    href: str


@dataclass(frozen=True)
class StepNotes:
    """What the presenter sees beside one step."""

    step: StepView
    why: tuple[str, ...]
    questions: tuple[ClassQuestion, ...]
    faults: tuple[CommonFault, ...]
    then: str
    """Title of the step that follows; empty at the end."""


def class_notes(booklet: Booklet, chapter: Chapter, words: Words) -> tuple[StepNotes, ...]:
    """Return the notes on each step of a chapter, in order."""
    steps = chapter.steps
    follows = [s.step.title for s in steps[1:]] + [""]
    made = []
    for view, then in zip(steps, follows, strict=True):
        here = f"{chapter.id}.html#{view.anchor}"
        cards = [
            c for c in (booklet.proof.cards if booklet.proof else ()) if here in {u.href for u in c.steps}
        ]
        why = tuple(text for text in (view.step.why, view.why_now) if text)
        faults = (*_of_cards(cards, words), *_of_trouble(booklet, here, words))
        made.append(StepNotes(view, why, tuple(_questions(view, cards, words)), faults, then))
    return tuple(made)


def _questions(view: StepView, cards: Iterable[CardView], words: Words) -> Iterator[ClassQuestion]:
    step = view.step
    hazards = [*step.cautions, *(r.caution for r in step.reminders)]
    if hazards:
        answers = tuple(f"{c.hazard} {c.avoidance} {c.added}".rstrip() for c in hazards)
        yield ClassQuestion(words("class.ask_hazard"), answers)
    for card in cards:
        yield ClassQuestion(card.question, card.answer)
    for value in view.values:
        told = value_in_words(value, words)
        answer = (
            f"{told.text}: {told.source}" if told.known else words("values.blank_where", where=told.where)
        )
        yield ClassQuestion(words("class.ask_value", name=told.title), (answer,))
    if step.look:
        yield ClassQuestion(words("class.ask_look"), step.look)


def _of_cards(cards: Iterable[CardView], words: Words) -> Iterator[CommonFault]:
    for c in cards:
        title = f"{c.title}, {words('mistake.left_out')}" if c.forgotten else c.title
        effect = c.wrong[0] if c.wrong else ""
        yield CommonFault(f"{title}. {effect}".strip(), words("which_way.title"), f"cards.html#{c.anchor}")


def _of_trouble(booklet: Booklet, here: str, words: Words) -> Iterator[CommonFault]:
    if booklet.upkeep is None:
        return

    def leads(causes: Iterable[LinkedText]) -> Iterator[LinkedText]:
        return (cause for cause in causes if here in {u.href for u in cause.steps})

    for symptom in booklet.upkeep.symptoms:
        for cause in leads(symptom.causes):
            yield CommonFault(
                f"{symptom.title}: {cause.text}", words("trouble.short"), f"trouble.html#symptom-{symptom.id}"
            )
    for gap in booklet.upkeep.clearances:
        for cause in leads((*gap.too_small, *gap.too_large)):
            yield CommonFault(
                f"{gap.title}: {cause.text}", words("trouble.short"), f"trouble.html#limits-{gap.id}"
            )
