"""Booklets and library of a fleet without solids and pictures, for tests of what the pages say."""

from __future__ import annotations

import itertools
from pathlib import Path

from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.geometry.engineering.materials import materials
from benchleaf.sequences.calculations.load_fleet import JudgedFleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.proof.head_work import make_plans
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.values.head_values import blank_values
from benchleaf.sequences.values.instruments import instruments
from benchleaf.site.booklets.head_pages import standing_cautions
from benchleaf.site.booklets.head_pictures import HeadPictures
from benchleaf.site.booklets.head_rows import compared_rows, kit_lines
from benchleaf.site.booklets.head_upkeep import upkeep_pages
from benchleaf.site.booklets.kinds.head_kind import head_plan_in_words, option_words, spring_uses
from benchleaf.site.pages.booklet import Booklet, Chapter, make_chapter, make_parts_list, make_values
from benchleaf.site.pages.library.head_lines import HeadLine, missing_line
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import Words, load_words
from benchleaf.site.words.value_words import ChangeText

WORDS = load_words()


def named_parts(row: FleetHead) -> Assembly:
    """Return the parts of a head as names alone, each of a material."""
    of = itertools.cycle(materials())
    return Assembly(
        row.tag,
        {key: Part(key, kind, KINDS[kind], next(of), None) for key, kind in row.parts.items()},  # type: ignore[arg-type]
    )


def worded_plans(fleet: JudgedFleet, row: FleetHead, words: Words = WORDS) -> tuple[Plan, ...]:
    """Return the plans of a head with all their texts, masses left out."""
    plans = make_plans(row, fleet.sequences.values())
    return tuple(head_plan_in_words(p, row, words) for p in plans)


def worded_lists(fleet: JudgedFleet, row: FleetHead, words: Words = WORDS) -> tuple[Plan, ...]:
    """Return the plans of a head's checklists with all their texts."""
    return tuple(head_plan_in_words(p, row, words) for p in make_plans(row, fleet.checklists.values()))


def make_booklet(
    fleet: JudgedFleet,
    row: FleetHead,
    changes: tuple[ChangeText, ...] = (),
    words: Words = WORDS,
    pictures: HeadPictures | None = None,
) -> Booklet:
    """Return the booklet of a head with all that needs no solid; ``pictures`` are what its glossary is cut from."""
    plans, lists = worded_plans(fleet, row, words), worded_lists(fleet, row, words)
    rows = make_parts_list(named_parts(row), words)
    chapters = [
        make_chapter(p, {}, row.values, spring_uses(row, p, words), instruments=instruments) for p in plans
    ]
    return Booklet(
        identity=Identity(row.tag, row.size.name, row.service, "1", "2031-01-01", option_words(row, words)),
        standing=standing_cautions(plans),
        overview=None,
        parts=rows,
        chapters=(*chapters, *(_checklist(row, p) for p in lists)),
        values=make_values(row.values, (*plans, *lists)),
        changes=changes,
        groups=fleet.figures[row.tag].sheets,
        doubts=fleet.figures[row.tag].doubts,
        upkeep=upkeep_pages(row, named_parts(row), (*plans, *lists), rows, fleet.catalogue, pictures, words),
    )


def _checklist(row: FleetHead, plan: Plan) -> Chapter:
    values = {**blank_values(), **row.values}
    return make_chapter(plan, {}, values, instruments=instruments, pictured=False)


def write_fleet_pages(
    fleet: JudgedFleet, folder: Path, words: Words = WORDS, languages: tuple[str, ...] = ()
) -> dict[str, Booklet]:
    """Write every booklet and the library, as those of one of several ``languages``; return tag to booklet."""
    setting = Setting(words, fleet.plant, fleet.demo, "2031-01-01", languages=languages)
    booklets = {row.tag: make_booklet(fleet, row, words=words) for row in fleet.heads}
    for row in fleet.heads:
        write_booklet(booklets[row.tag], folder / row.slug, setting, "../index.html")
    heads = tuple(library_line(fleet, r, booklets[r.tag], words) for r in fleet.heads)
    missing = tuple(missing_line(r.tag, r.slug, v) for r in fleet.heads for v in booklets[r.tag].missing)
    write_library(heads, missing, folder, setting, tuple(d for b in booklets.values() for d in b.doubts))
    return booklets


def library_line(fleet: JudgedFleet, row: FleetHead, booklet: Booklet, words: Words = WORDS) -> HeadLine:
    """Return the line of a head in the library, without a picture."""
    plans = make_plans(row, (*fleet.sequences.values(), *fleet.checklists.values()))
    return HeadLine(
        row.slug,
        row.tag,
        row.size.name,
        row.service,
        option_words(row, words),
        f"{row.slug}/index.html",
        "",
        1,
        1,
        len(booklet.missing),
        rows=compared_rows(row, plans, booklet, words),
        kit=kit_lines(row, words),
    )
