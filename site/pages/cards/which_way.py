"""Which way round? The questions that are asked at the bench, each with the cards that answer it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ....sequences.misfits.orientation_cards import Telling
from ....sequences.steps.claims import MistakeKind
from ...words.catalogue import Words
from .cards import PAGE, CardView

ASKED: tuple[tuple[str, tuple[Telling, ...], tuple[MistakeKind, ...]], ...] = (
    ("edges", ("edges",), ()),
    ("dowels", ("dowels",), ()),
    ("rings", ("flats", "notches"), ("end for end",)),
    ("notches", ("notches",), ("part turn",)),
    ("keyways", ("keyways",), ()),
    ("material", ("sheathed", "solid rubber"), ()),
)
"""Questions in the order in which they are asked: id, what its pictures are told apart by, kinds of mistake (empty:
any)."""


@dataclass(frozen=True)
class BenchQuestion:
    """A question asked at the bench, and the cards that answer it."""

    id: str
    text: str
    cards: tuple[CardView, ...]
    own: bool = True
    """Whether the cards stand under this question; else another, asked before, has them."""

    @property
    def anchor(self) -> str:
        """Its place on the page of cards."""
        return f"ask-{self.id}"

    @property
    def href(self) -> str:
        """Its address from any page of the booklet."""
        return f"{PAGE}#{self.anchor if self.own else self.cards[0].anchor}"


def bench_questions(cards: Sequence[CardView], words: Words) -> tuple[BenchQuestion, ...]:
    """Return the questions that ``cards`` answer; one that none answers is left out."""
    found: list[BenchQuestion] = []
    taken: set[str] = set()
    for name, tellings, kinds in ASKED:
        mine = tuple(c for c in cards if c.telling in tellings and (not kinds or c.mistakes & set(kinds)))
        fresh = tuple(c for c in mine if c.anchor not in taken)
        taken |= {c.anchor for c in fresh}
        if mine:
            part = mine[0].part
            text = words(f"which_way.{name}", part=part, it=words("naming.the", part=part))
            found.append(BenchQuestion(name, text, fresh or mine, own=bool(fresh)))
    return tuple(found)


def other_cards(cards: Sequence[CardView], questions: Sequence[BenchQuestion]) -> tuple[CardView, ...]:
    """Return the cards that answer none of ``questions``, in their order."""
    asked = {c.anchor for q in questions for c in q.cards}
    return tuple(c for c in cards if c.anchor not in asked)
