"""Which kind of assembly a booklet is of, and what that kind knows of it.

kind_of(work, words) -> Kind
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Protocol

from ....sequences.own.designs import Work
from ....sequences.own.own_work import OwnWork
from ....sequences.steps.plan import Plan
from ....sequences.values.sourced_values import ResolvedValue
from ...pages.booklet import Booklet
from ...pages.cards.cards import CardView
from ...pages.library.head_lines import ComparedRow, KitLine
from ...pages.upkeep_pages import UpkeepPages
from ...pages.view_models import Identity, PartRow, PictureView, Use
from ...words.catalogue import Words
from ..head_job import HeadJob
from .head_kind import HeadKind
from .own_kind import OwnKind, own_words

if TYPE_CHECKING:
    from ..head_pictures import HeadPictures


class Kind(Protocol):
    """What the pages ask of the kind of assembly that a booklet is of."""

    @property
    def values(self) -> Mapping[str, ResolvedValue]:
        """Those that the values page may list, on file or not."""

    @property
    def stated(self) -> Mapping[str, ResolvedValue]:
        """All that a step may ask for, blanks among them."""

    def in_words(self, plan: Plan) -> Plan:
        """Return a plan with all its texts."""

    def identity(self, job: HeadJob) -> Identity:
        """Return what the booklet is of, in words."""

    def told(self, plan: Plan) -> dict[str, tuple[Use, ...]]:
        """Return what figures say about the steps of a plan, by step id."""

    def cards(self, cards: tuple[CardView, ...]) -> tuple[CardView, ...]:
        """Return the cards with what figures say about them."""

    def upkeep(
        self, plans: Iterable[Plan], rows: Iterable[PartRow], pictures: HeadPictures | None
    ) -> UpkeepPages | None:
        """Return the pages beside the sequences; None where there are none."""

    def face(self, figures: Mapping[str, Mapping[str, PictureView]]) -> PictureView | None:
        """Return the picture that stands for it in a list; None: its overview."""

    def rows(self, booklet: Booklet) -> tuple[ComparedRow, ...]:
        """Return what the library's pages compare it by."""

    def kit(self) -> tuple[KitLine, ...]:
        """Return the lines of its spares kit."""


def words_for(work: Work, words: Words) -> Words:
    """Return the words in which a work is spoken of."""
    return own_words(words, work.row) if isinstance(work, OwnWork) else words


def kind_of(work: Work, words: Words) -> Kind:
    """Return the kind of a work, in the words of its booklet's language."""
    return OwnKind(work, words) if isinstance(work, OwnWork) else HeadKind(work, words)
