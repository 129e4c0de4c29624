"""An orientation card as it stands on paper: a question with its pictures, and the answer."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from ..view_models import PictureView
from .cards import PAGE, CardView

LONG = 520
"""Letters of an answer for which its card has room in the usual size."""


@dataclass(frozen=True)
class FacePicture:
    """One picture of a card; ``src`` empty: it is missing. Width and height in pixels."""

    src: str
    width: int
    height: int
    alt: str
    sources: tuple[tuple[str, str], ...]
    """Media type and file of more modern formats of the same picture, best first."""
    words: str
    """Six at most."""

    @classmethod
    def of(cls, fig: PictureView, words: str) -> FacePicture:
        """Return the picture of a card with its few words."""
        return cls(fig.src, fig.width, fig.height, fig.alt, fig.sources, words)


@dataclass(frozen=True)
class CardFace:
    """What a card says on paper; it is kept beside its booklet, for the decks of the whole fleet."""

    id: str
    title: str
    question: str
    right: FacePicture
    wrong: FacePicture
    tell: tuple[tuple[str, str], ...]
    """How to tell right from wrong: way, sentence."""
    consequence: str
    hidden: str
    drawn: str
    forgotten: bool
    """Whether the mistake is that something is left out: then there is nothing to choose between."""
    digest: str = ""
    """Of both pictures' bytes: what tells this card from one of the same words about another shape."""

    @property
    def href(self) -> str:
        """Its place in its booklet."""
        return f"{PAGE}#{self.id}"

    @property
    def long(self) -> bool:
        """Whether its answer has to be set smaller to stay on the card."""
        tell = sum(len(way) + len(sentence) for way, sentence in self.tell)
        return tell + len(self.consequence) + len(self.hidden) > LONG

    @property
    def choices(self) -> tuple[FacePicture, ...]:
        """The pictures to choose between, in an order that gives nothing away and is the same in every build."""
        if self.forgotten:
            return (self.right,)
        pair = (self.right, self.wrong)
        return pair if hashlib.sha256(self.id.encode()).digest()[0] % 2 else pair[::-1]

    @property
    def answer(self) -> int:
        """Which of :attr:`choices` is right, from 0."""
        return self.choices.index(self.right)


def card_face(card: CardView, files: Mapping[str, bytes] | None = None) -> CardFace:
    """Return what a card says on paper; ``files`` are those of its booklet by their path in its folder."""
    pictures = (card.right_figure, card.wrong_figure)
    digest = hashlib.sha256()
    for picture in pictures:
        digest.update((files or {}).get(picture.src, b"") + b"\0")
    return CardFace(
        id=card.anchor,
        title=card.title,
        question=card.question,
        right=FacePicture.of(card.right_figure, card.right_words),
        wrong=FacePicture.of(card.wrong_figure, card.wrong_words),
        tell=card.tell,
        consequence=card.wrong[0] if card.wrong else "",
        hidden=card.hidden,
        drawn=card.drawn,
        forgotten=card.forgotten,
        digest=digest.hexdigest()[:16] if files else "",
    )
