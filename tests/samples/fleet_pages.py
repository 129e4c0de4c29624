"""Booklets and library of a fleet without solids and pictures, for tests of what the pages say."""

from __future__ import annotations

from pathlib import Path

from benchleaf.sequences.calculations.load_fleet import JudgedFleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.proof.head_work import make_plans
from benchleaf.site.build.head_pages import option_words, spring_uses, standing_cautions
from benchleaf.site.pages.booklet import Booklet, Change, make_chapter, make_values
from benchleaf.site.pages.pages import HeadLine, Setting, missing_line, write_booklet, write_library
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words

WORDS = load_words()


def make_booklet(fleet: JudgedFleet, row: FleetHead, changes: tuple[Change, ...] = ()) -> Booklet:
    """Return the booklet of a head with all that needs no solid."""
    plans = make_plans(row, tuple(fleet.sequences.values()))
    return Booklet(
        identity=Identity(row.tag, row.size.name, row.service, "1", "2031-01-01", option_words(row, WORDS)),
        standing=standing_cautions(plans),
        overview=None,
        parts=(),
        chapters=tuple(make_chapter(p, {}, row.values, spring_uses(row, p)) for p in plans),
        values=make_values(row.values, plans, WORDS),
        changes=changes,
        groups=fleet.figures[row.tag].sheets,
        doubts=fleet.figures[row.tag].doubts,
    )


def write_fleet_pages(fleet: JudgedFleet, folder: Path) -> dict[str, Booklet]:
    """Write every booklet and the library; return tag to booklet."""
    setting = Setting(WORDS, fleet.plant, fleet.demo, "2031-01-01")
    booklets = {row.tag: make_booklet(fleet, row) for row in fleet.heads}
    for row in fleet.heads:
        write_booklet(booklets[row.tag], folder / row.slug, setting, "../index.html")
    heads = tuple(
        HeadLine(
            r.slug,
            r.tag,
            r.size.name,
            r.service,
            option_words(r, WORDS),
            f"{r.slug}/index.html",
            "",
            1,
            1,
            len(booklets[r.tag].missing),
        )
        for r in fleet.heads
    )
    missing = tuple(missing_line(r.tag, r.slug, v) for r in fleet.heads for v in booklets[r.tag].missing)
    write_library(heads, missing, folder, setting, tuple(d for b in booklets.values() for d in b.doubts))
    return booklets
