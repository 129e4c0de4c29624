"""What only a fluid head knows of its booklet: its options, its disc spring, its values, the pages beside its steps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from ....sequences.calculations.head_calculations import nut_spring_turned
from ....sequences.fleet.heads import FleetHead
from ....sequences.proof.head_work import HeadWork
from ....sequences.steps.plan import Plan
from ....sequences.values.head_values import blank_values
from ....sequences.values.sourced_values import ResolvedValue
from ...pages.booklet import Booklet
from ...pages.cards.cards import CardView
from ...pages.library.head_lines import ComparedRow, KitLine
from ...pages.upkeep_pages import UpkeepPages
from ...pages.view_models import Identity, PartRow, PictureView, Use
from ...words.catalogue import Words
from ...words.finding_words import turned_over_in_words
from ...words.plan_words import option_in_words, plan_in_words
from ..head_job import HeadJob
from ..head_rows import compared_rows, kit_lines
from ..head_upkeep import upkeep_pages

if TYPE_CHECKING:
    from ..head_pictures import HeadPictures

ALWAYS_SHOWN = ("rotor", "seal", "cover")
"""Options that the library page shows of every head, also where all heads share them."""


@dataclass(frozen=True)
class HeadKind:
    """A fluid head, in the words of its booklet's language."""

    work: HeadWork
    words: Words

    @property
    def values(self) -> Mapping[str, ResolvedValue]:
        """Those of the head, on file or not."""
        return self.work.row.values

    @property
    def stated(self) -> Mapping[str, ResolvedValue]:
        """All that a step may ask for: what the head has no use for is a blank."""
        return {**blank_values(), **self.work.row.values}

    def in_words(self, plan: Plan) -> Plan:
        """Return a plan with all its texts."""
        return head_plan_in_words(plan, self.work.row, self.words)

    def identity(self, job: HeadJob) -> Identity:
        """Return which pump it is."""
        row = self.work.row
        options = option_words(row, self.words)
        return Identity(
            row.tag, row.size.name, row.service, job.revision, job.setting.date, options, row.slug
        )

    def told(self, plan: Plan) -> dict[str, tuple[Use, ...]]:
        """Return what figures say about the steps of a plan."""
        return spring_uses(self.work.row, plan, self.words)

    def cards(self, cards: tuple[CardView, ...]) -> tuple[CardView, ...]:
        """Return the cards with what figures say about them."""
        return cards_with_spring(self.work.row, cards, self.words)

    def upkeep(
        self, plans: Iterable[Plan], rows: Iterable[PartRow], pictures: HeadPictures | None
    ) -> UpkeepPages | None:
        """Return the pages beside the sequences."""
        catalogue = self.work.sequences[0].catalogue
        return upkeep_pages(self.work.row, self.work.assembly, plans, rows, catalogue, pictures, self.words)

    def face(self, figures: Mapping[str, Mapping[str, PictureView]]) -> PictureView | None:
        """Return the picture in which the cover's O-ring is fitted: the head open, with its rotors to be seen."""
        for plan in self.work.plans:
            for step in plan.steps:
                if any(self.work.assembly.parts[k].kind == "cover_oring" for k in step.moving):
                    return figures[plan.sequence][step.id]
        return None

    def rows(self, booklet: Booklet) -> tuple[ComparedRow, ...]:
        """Return what the library's pages compare it by."""
        plans = (*self.work.plans, *self.work.checklist_plans)
        return compared_rows(self.work.row, plans, booklet, self.words)

    def kit(self) -> tuple[KitLine, ...]:
        """Return the lines of its spares kit."""
        return kit_lines(self.work.row, self.words)


def head_plan_in_words(plan: Plan, row: FleetHead, words: Words) -> Plan:
    """Return a plan of a head with all its texts; a value that the head has no use for is a blank."""
    values = {**blank_values(), **row.values}
    return plan_in_words(plan, row.parts, words, vars(row.options), values, row.left_hand)


def cards_with_spring(row: FleetHead, cards: tuple[CardView, ...], words: Words) -> tuple[CardView, ...]:
    """Return the cards, that of the disc spring turned over with what this does to the nut, by its figures."""
    effect = turned_over_in_words(nut_spring_turned(row), words)
    return tuple(
        replace(c, wrong=(" ".join((*c.wrong[:1], effect)), *c.wrong[1:]))
        if any(kind == "end for end" and row.parts.get(part) == "disc_spring" for kind, part in c.covers)
        else c
        for c in cards
    )


def spring_uses(row: FleetHead, plan: Plan, words: Words) -> dict[str, tuple[Use, ...]]:
    """Return what turning the nut's disc spring over does, for each step that handles or inspects a loose one."""
    use = (Use(turned_over_in_words(nut_spring_turned(row), words), "values.html#sheet-disc-spring"),)
    found: dict[str, tuple[Use, ...]] = {}
    for step in plan.steps:
        fitted = {row.parts[k] for m in step.moves if not m.group for k in m.parts}
        if "disc_spring" in fitted or {row.parts[k] for k in step.focus} == {"disc_spring"}:
            found[step.id] = use
    return found


def option_words(row: FleetHead, words: Words) -> tuple[tuple[str, str], ...]:
    """Return name and choice of every option of a head, in words."""
    found = []
    for f in fields(row.options):
        choice = getattr(row.options, f.name)
        if choice is False:
            continue
        found.append((words(f"options.{f.name}"), option_in_words(f.name, choice, words)))
    return tuple(found)


def always_shown(words: Words) -> tuple[str, ...]:
    """Return the names, in words, of the options that the library page shows of every head."""
    return tuple(words(f"options.{name}") for name in ALWAYS_SHOWN)
