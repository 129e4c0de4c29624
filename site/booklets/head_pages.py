"""One head's booklet put together for its pages, with what only a fluid head knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import TYPE_CHECKING

from ...sequences.calculations.head_calculations import nut_spring_turned
from ...sequences.fleet.heads import FleetHead
from ...sequences.proof.assembly_proof import AssemblyProof
from ...sequences.proof.head_work import HeadWork
from ...sequences.steps.plan import Caution, Plan
from ...sequences.values.head_values import blank_values
from ...sequences.values.instruments import instruments
from ..pages.booklet import Booklet, Chapter, make_chapter, make_parts_list, make_values
from ..pages.cards.cards import CardView, MergedCard
from ..pages.cards.which_way import bench_questions
from ..pages.markup.page_links import named_for
from ..pages.paper.pdf_files import pdf_name
from ..pages.picture_views import Items, overview_picture_view, step_picture_view
from ..pages.practice.order_page import ShownPictures
from ..pages.proof_pages import ProofPages, make_proof_pages
from ..pages.view_models import Identity, PictureView, Use
from ..pages.viewer.viewer_files import step_name
from ..words.catalogue import Words, load_words
from ..words.finding_words import turned_over_in_words
from ..words.findings import proof_sentences
from ..words.plan_words import option_in_words, plan_in_words
from .head_job import HeadJob
from .head_upkeep import upkeep_pages

if TYPE_CHECKING:
    from .head_pictures import HeadPictures

ALWAYS_SHOWN = ("rotor", "seal", "cover")
"""Options that the library page shows of every head, also where all heads share them."""
Figures = Mapping[str, Mapping[str, PictureView]]
"""Sequence and step id to the step's picture as a page shows it."""


def picture_items(work: HeadWork, words: Words) -> Items:
    """Return the rows of a head's parts list, as its pictures point to them."""
    return Items(work.assembly, make_parts_list(work.assembly, words))


def plans_in_words(work: HeadWork, words: Words) -> tuple[Plan, ...]:
    """Return the plans of a head with all their texts."""
    return tuple(head_plan_in_words(plan, work.row, words) for plan in work.plans)


def checklists_in_words(work: HeadWork, words: Words) -> tuple[Plan, ...]:
    """Return the plans of a head's checklists with all their texts."""
    return tuple(head_plan_in_words(plan, work.row, words) for plan in work.checklist_plans)


def head_plan_in_words(plan: Plan, row: FleetHead, words: Words) -> Plan:
    """Return a plan of a head with all its texts; a value that the head has no use for is a blank."""
    values = {**blank_values(), **row.values}
    return plan_in_words(plan, row.parts, words, vars(row.options), values, row.left_hand)


def fault_sentences(work: HeadWork, proof: AssemblyProof) -> tuple[str, ...]:
    """Return what the proof of a head found wrong, in English for the command line."""
    words = load_words()
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
    work: HeadWork,
    plans: tuple[Plan, ...],
    proof: AssemblyProof,
    cards: tuple[MergedCard, ...],
    pictures: HeadPictures,
    words: Words,
) -> ProofPages:
    """Return the pages that rest on the proof of a head, its spring's figures on the card that they belong to."""
    shown = ShownPictures(pictures.overview, pictures.steps)
    values = {**blank_values(), **work.row.values}
    pages = make_proof_pages(work.assembly, plans, proof, cards, pictures.pairs, words, shown, values)
    views = cards_with_spring(work.row, pages.cards, words)
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
    work, row, words = job.work, job.work.row, job.setting.words
    options, lists = option_words(row, words), checklists_in_words(work, words)
    chapters = [_chapter(row, plan, figures, proven, words) for plan in plans]
    chapters += [checklist_chapter(row, plan) for plan in lists]
    catalogue = work.sequences[0].catalogue
    return Booklet(
        identity=Identity(
            row.tag, row.size.name, row.service, job.revision, job.setting.date, options, row.slug
        ),
        standing=standing_cautions(plans),
        overview=overview_picture_view(pictures.overview, items, words),
        parts=items.rows,
        chapters=tuple(chapters),
        values=make_values(row.values, (*plans, *lists)),
        changes=job.changes,
        demo_short=words("demo.short") if job.setting.invented else "",
        groups=work.sheets,
        doubts=work.doubts,
        proof=proven,
        upkeep=upkeep_pages(row, work.assembly, (*plans, *lists), items.rows, catalogue, pictures, words),
        pdfs=tuple((size, named_for(pdf_name(row.slug, size), job.setting.suffix)) for size in job.pdf),
    )


def checklist_chapter(row: FleetHead, plan: Plan) -> Chapter:
    """Return the chapter of a checklist, which has no pictures."""
    values = {**blank_values(), **row.values}
    return make_chapter(plan, {}, values, instruments=instruments, pictured=False)


def _chapter(
    row: FleetHead, plan: Plan, figures: Figures, proven: ProofPages | None, words: Words
) -> Chapter:
    return make_chapter(
        plan,
        figures[plan.sequence],
        {**blank_values(), **row.values},  # a step may ask for what the head has no use for
        spring_uses(row, plan, words),
        proven.whys.get(plan.sequence) if proven else None,
        proven.card_links.get(plan.sequence) if proven else None,
        instruments,
    )


def standing_cautions(plans: tuple[Plan, ...]) -> tuple[Caution, ...]:
    """Return the safety messages of the front page: those of all plans, each once."""
    return tuple(dict.fromkeys(c for p in plans for c in p.cautions))


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
