"""The pages of a booklet that rest on the proof, and what it adds to the steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...sequences.proof.assembly_proof import AssemblyProof
from ...sequences.steps.plan import Plan
from ..words.catalogue import Words
from ..words.order_words import why_words
from ..words.part_names import PartNames
from .cards.cards import CardView, MergedCard, card_views, cards_by_step, merge_cards
from .cards.which_way import BenchQuestion, bench_questions, other_cards
from .evidence_page import EvidenceView, make_evidence
from .practice.order_page import PracticeView, ShownPictures, make_practices, practice_view
from .practice.question_views import NOTHING_ASKED, QuestionPages, ShownCard, question_pages
from .view_models import NBSP, Use

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from ...render.drawing.manifest import Manifest
    from ...sequences.values.sourced_values import ResolvedValue

FITTED = "assembly"
"""The sequence whose mistakes get cards."""


@dataclass(frozen=True)
class ProofPages:
    """Cards, practice and evidence of one booklet."""

    cards: tuple[CardView, ...]
    practices: tuple[PracticeView, ...]
    evidence: EvidenceView
    tolerance: str
    whys: Mapping[str, Mapping[str, str]]
    """Sequence and step id to why the step stands where it does."""
    card_links: Mapping[str, Mapping[str, tuple[Use, ...]]]
    """Sequence and step id to the cards to look at."""
    asked: QuestionPages = NOTHING_ASKED
    """Questions for rounds and tests."""
    asked_at_bench: tuple[BenchQuestion, ...] = ()
    """Which way round, each with its cards."""

    @property
    def other_cards(self) -> tuple[CardView, ...]:
        """The cards that answer none of these."""
        return other_cards(self.cards, self.asked_at_bench)

    @property
    def faults(self) -> tuple[str, ...]:
        """What the proof found wrong, in sentences; every page then says so."""
        return self.evidence.faults


def cards_to_show(assembly: Assembly, plans: Sequence[Plan], proof: AssemblyProof) -> tuple[MergedCard, ...]:
    """Return the cards of the sequence that fits the parts; their pictures are still to be taken."""
    for plan in plans:
        if plan.sequence == FITTED and FITTED in proof.by_sequence:
            return merge_cards(assembly, plan, proof.by_sequence[FITTED])
    return ()


def make_proof_pages(
    assembly: Assembly,
    plans: Sequence[Plan],
    proof: AssemblyProof,
    cards: Sequence[MergedCard],
    pictures: Mapping[str, tuple[Manifest, Manifest]],
    words: Words,
    shown: ShownPictures | None = None,
    values: Mapping[str, ResolvedValue] | None = None,
) -> ProofPages:
    """Return everything that the pages show of a proof.

    Args:
        assembly: what was proven.
        plans: its sequences, in words.
        proof: of it.
        cards: as :func:`cards_to_show` returns them.
        pictures: the cards', right and wrong, by card id.
        words: of the page's language.
        shown: what the pictures of the steps and the overview show.
        values: those that steps state, on file or not.
    """
    views: tuple[CardView, ...] = ()
    for plan in plans:
        if plan.sequence == FITTED and cards:
            views = card_views(assembly, plan, cards, pictures, words)
    links = cards_by_step(views, words)
    orders = make_practices(assembly, plans, proof, words, shown or ShownPictures())
    tolerance = max((e.tolerance_mm for e in proof.by_sequence.values()), default=0.0)
    return ProofPages(
        views,
        tuple(practice_view(o) for o in orders),
        make_evidence(assembly, plans, proof, views, words),
        words.figures(f"{tolerance:g}{NBSP}mm"),
        {p.sequence: _whys(assembly, p, proof, words) for p in plans if p.sequence in proof.by_sequence},
        {
            p.sequence: {
                s.id: links[at] for s in p.steps if (at := f"{p.sequence}.html#step-{s.number}") in links
            }
            for p in plans
        },
        asked=question_pages(
            orders,
            [ShownCard(m, v, pictures[m.id]) for m, v in zip(cards, views, strict=True) if m.id in pictures],
            values or {},
        ),
        asked_at_bench=bench_questions(views, words),
    )


def _whys(assembly: Assembly, plan: Plan, proof: AssemblyProof, words: Words) -> dict[str, str]:
    names, evidence = PartNames(words, assembly.parts, plan), proof.by_sequence[plan.sequence]
    return {r.step_id: why_words(names, evidence, r.step) for r in evidence.reasons}
