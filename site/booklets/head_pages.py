"""One booklet put together for its pages; what only a head or an assembly of one's own knows comes from its kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ...sequences.own.designs import Work
from ...sequences.proof.assembly_proof import AssemblyProof
from ...sequences.steps.plan import Caution, Plan
from ...sequences.values.instruments import instruments
from ..pages.booklet import Booklet, Chapter, make_chapter, make_parts_list, make_values
from ..pages.cards.cards import MergedCard
from ..pages.cards.which_way import bench_questions
from ..pages.markup.page_links import named_for
from ..pages.paper.pdf_files import pdf_name
from ..pages.picture_views import Items, overview_picture_view, step_picture_view
from ..pages.practice.order_page import ShownPictures
from ..pages.proof_pages import ProofPages, make_proof_pages
from ..pages.view_models import PictureView
from ..pages.viewer.viewer_files import step_name
from ..words.catalogue import Words, load_words
from ..words.findings import proof_sentences
from .head_job import HeadJob
from .kinds.kinds import Kind, kind_of, words_for

if TYPE_CHECKING:
    from .head_pictures import HeadPictures

Figures = Mapping[str, Mapping[str, PictureView]]
"""Sequence and step id to the step's picture as a page shows it."""


def picture_items(work: Work, words: Words) -> Items:
    """Return the rows of a head's parts list, as its pictures point to them."""
    return Items(work.assembly, make_parts_list(work.assembly, words))


def plans_in_words(work: Work, words: Words) -> tuple[Plan, ...]:
    """Return the plans of a head with all their texts."""
    kind = kind_of(work, words)
    return tuple(kind.in_words(plan) for plan in work.plans)


def checklists_in_words(work: Work, words: Words) -> tuple[Plan, ...]:
    """Return the plans of a head's checklists with all their texts."""
    kind = kind_of(work, words)
    return tuple(kind.in_words(plan) for plan in work.checklist_plans)


def fault_sentences(work: Work, proof: AssemblyProof) -> tuple[str, ...]:
    """Return what the proof of a head found wrong, in English for the command line."""
    words = words_for(work, load_words())
    return proof_sentences(proof, work.assembly, plans_in_words(work, words), words)


def picture_figures(plans: tuple[Plan, ...], pictures: HeadPictures, items: Items, words: Words) -> Figures:
    """Return the picture of every step as a page shows it."""
    return {
        plan.sequence: {
            s.id: replace(
                step_picture_view(pictures.steps[plan.sequence, s.id], s, items, words),
                turns=step_name(plan.sequence, s.number),
            )
            for s in plan.steps
        }
        for plan in plans
    }


def proof_pages(
    work: Work,
    plans: tuple[Plan, ...],
    proof: AssemblyProof,
    cards: tuple[MergedCard, ...],
    pictures: HeadPictures,
    words: Words,
) -> ProofPages:
    """Return the pages that rest on the proof of a head, its spring's figures on the card that they belong to."""
    shown = ShownPictures(pictures.overview, pictures.steps)
    kind = kind_of(work, words)
    pages = make_proof_pages(work.assembly, plans, proof, cards, pictures.pairs, words, shown, kind.stated)
    views = kind.cards(pages.cards)
    return replace(pages, cards=views, asked_at_bench=bench_questions(views, words))


def make_head_booklet(
    job: HeadJob,
    plans: tuple[Plan, ...],
    pictures: HeadPictures,
    items: Items,
    figures: Figures,
    proven: ProofPages | None,
) -> Booklet:
    """Return the booklet of a head, ready for its pages."""
    work, words = job.work, job.setting.words
    kind, lists = kind_of(work, words), checklists_in_words(work, words)
    chapters = [_chapter(kind, plan, figures, proven) for plan in plans]
    chapters += [checklist_chapter(kind, plan) for plan in lists]
    return Booklet(
        identity=kind.identity(job),
        standing=standing_cautions(plans),
        overview=overview_picture_view(pictures.overview, items, words),
        parts=items.rows,
        chapters=tuple(chapters),
        values=make_values(kind.values, (*plans, *lists)),
        changes=job.changes,
        demo_short=words("demo.short") if job.setting.invented else "",
        groups=work.sheets,
        doubts=work.doubts,
        proof=proven,
        upkeep=kind.upkeep((*plans, *lists), items.rows, pictures),
        pdfs=tuple((size, named_for(pdf_name(job.file_slug, size), job.setting.suffix)) for size in job.pdf),
    )


def checklist_chapter(kind: Kind, plan: Plan) -> Chapter:
    """Return the chapter of a checklist, which has no pictures."""
    return make_chapter(plan, {}, kind.stated, instruments=instruments, pictured=False)


def _chapter(kind: Kind, plan: Plan, figures: Figures, proven: ProofPages | None) -> Chapter:
    return make_chapter(
        plan,
        figures[plan.sequence],
        kind.stated,
        kind.told(plan),
        proven.whys.get(plan.sequence) if proven else None,
        proven.card_links.get(plan.sequence) if proven else None,
        instruments,
    )


def standing_cautions(plans: tuple[Plan, ...]) -> tuple[Caution, ...]:
    """Return the safety messages of the front page: those of all plans, each once."""
    return tuple(dict.fromkeys(c for p in plans for c in p.cautions))
