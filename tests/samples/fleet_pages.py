"""Booklets and library of a fleet without solids and pictures, for tests of what the pages say."""

from __future__ import annotations

from pathlib import Path

from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.fleet.heads import Fleet, FleetHead
from benchleaf.sequences.values.instruments import instruments
from benchleaf.site.build.head_booklet import make_plans, option_words, spring_told
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_values
from benchleaf.site.pages.pages import HeadLine, Setting, missing_line, write_booklet, write_library
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import Words, load_words
from benchleaf.site.words.value_words import ChangeText

WORDS = load_words()


def make_booklet(
    fleet: Fleet, row: FleetHead, changes: tuple[ChangeText, ...] = (), words: Words = WORDS
) -> Booklet:
    """Return the booklet of a head with all that needs no solid."""
    plans = make_plans(row, tuple(fleet.sequences.values()), words)
    return Booklet(
        identity=Identity(row.tag, row.size.name, row.service, "1", "2031-01-01", option_words(row, words)),
        standing=tuple(dict.fromkeys(c for p in plans for c in p.cautions)),
        overview=None,
        parts=(),
        chapters=tuple(
            make_chapter(p, {}, row.values, spring_told(row, p, words), instruments=instruments)
            for p in plans
        ),
        values=make_values(row.values, plans),
        changes=changes,
        groups=calculations(row),
        doubts=doubts(row),
    )


def write_fleet_pages(fleet: Fleet, folder: Path, words: Words = WORDS) -> dict[str, Booklet]:
    """Write every booklet and the library; return tag to booklet."""
    setting = Setting(words, fleet.plant, fleet.demo, "2031-01-01")
    booklets = {row.tag: make_booklet(fleet, row, words=words) for row in fleet.heads}
    for row in fleet.heads:
        write_booklet(booklets[row.tag], folder / row.slug, setting, "../index.html")
    heads = tuple(
        HeadLine(
            r.slug,
            r.tag,
            r.size.name,
            r.service,
            option_words(r, words),
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
