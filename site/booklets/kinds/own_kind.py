"""What only an assembly of a user's own knows of its booklet: its own names, its own values; no options, no spares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ....geometry.dimensions.options import Options
from ....sequences.own.own_work import OwnRow, OwnWork
from ....sequences.steps.plan import Plan
from ....sequences.values.head_values import blank_values
from ....sequences.values.sourced_values import ResolvedValue
from ...pages.booklet import Booklet
from ...pages.cards.cards import CardView
from ...pages.library.head_lines import ComparedRow, KitLine
from ...pages.upkeep_pages import UpkeepPages
from ...pages.view_models import Identity, PartRow, PictureView, Use
from ...words.catalogue import Words
from ...words.plan_words import plan_in_words
from ..head_job import HeadJob
from .own_upkeep_pages import own_upkeep_pages

if TYPE_CHECKING:
    from ..head_pictures import HeadPictures


def own_words(words: Words, row: OwnRow) -> Words:
    """Return the words of an assembly's booklet: no pump is spoken of, its parts and values have the owner's names."""
    texts = dict(words.without("part.", "parts.").over("own.").texts)
    for name, value in row.values.items():
        title = words.say(value.title)
        said = {"title": title, "within": title, "where": words.say(value.where)}
        texts |= {f"value.{name}.{key}": text for key, text in said.items()}
    return words.with_texts(texts)


def stated_values(row: OwnRow) -> Mapping[str, ResolvedValue]:
    """Return all values that a step of an assembly may ask for: its own, and of a pump's, each a blank."""
    return {**blank_values(), **{name: value.value for name, value in row.values.items()}}


@dataclass(frozen=True)
class OwnKind:
    """An assembly of a user's own, in the words of its booklet's language."""

    work: OwnWork
    words: Words

    @property
    def values(self) -> Mapping[str, ResolvedValue]:
        """Its own, on file or not."""
        return {name: value.value for name, value in self.work.row.values.items()}

    @property
    def stated(self) -> Mapping[str, ResolvedValue]:
        """All that a step may ask for: of a pump's, each is a blank."""
        return stated_values(self.work.row)

    def in_words(self, plan: Plan) -> Plan:
        """Return a plan with all its texts; all threads are right-handed."""
        return plan_in_words(plan, self.work.row.parts, self.words, vars(Options()), self.stated)

    def identity(self, job: HeadJob) -> Identity:
        """Return its name and what it is for; it has no size."""
        row = self.work.row
        return Identity(row.tag, "", row.service, job.revision, job.setting.date)

    def told(self, plan: Plan) -> dict[str, tuple[Use, ...]]:
        """Return nothing: no figure is reckoned of it."""
        return {}

    def cards(self, cards: tuple[CardView, ...]) -> tuple[CardView, ...]:
        """Return the cards as they are."""
        return cards

    def upkeep(
        self, plans: Iterable[Plan], rows: Iterable[PartRow], pictures: HeadPictures | None
    ) -> UpkeepPages | None:
        """Return the pages of what its file says of spares, symptoms and terms: only its maker and owner know."""
        return own_upkeep_pages(self.work.row, self.work.assembly, plans, rows, pictures, self.words)

    def face(self, figures: Mapping[str, Mapping[str, PictureView]]) -> PictureView | None:
        """Return None: its overview stands for it."""
        return None

    def rows(self, booklet: Booklet) -> tuple[ComparedRow, ...]:
        """Return nothing: it stands in no library."""
        return ()

    def kit(self) -> tuple[KitLine, ...]:
        """Return nothing: it has no spares on file."""
        return ()
