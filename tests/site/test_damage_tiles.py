"""Examples of damage: each has a drawing of its own and its words, and a page shows those of its step."""

from __future__ import annotations

import doctest
import re
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import pytest
from benchleaf.sequences.steps.plan import Damage, Step
from benchleaf.site.pages.booklet import EXAMPLES_ABREAST, Booklet, make_chapter
from benchleaf.site.pages.examples import grounds
from benchleaf.site.pages.examples.damage_marks import MARKS
from benchleaf.site.pages.examples.damage_tiles import damage_drawing, damage_tiles
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from site_samples import sample_booklet, sample_plan, sample_values

WORDS = load_words()
ALL: tuple[Damage, ...] = get_args(Damage)
SHAPES = {"svg", "path", "circle", "ellipse"}
KNOWN = {
    "viewBox",
    "width",
    "height",
    "role",
    "aria-label",
    "d",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-linecap",
}
KNOWN |= {"stroke-linejoin", "stroke-dasharray", "opacity", "transform", "cx", "cy", "r", "rx", "ry"}


def test_every_damage_has_a_drawing_and_words_of_its_own() -> None:
    assert tuple(MARKS) == ALL
    tiles = damage_tiles(ALL, WORDS)
    assert len({t.title for t in tiles}) == len({t.tell for t in tiles}) == len(ALL)
    alts = {WORDS(f"damage_alt.{d}") for d in ALL}
    assert len(alts) == len(ALL)
    assert all(t.title and t.tell and max(map(len, t.title.split())) <= 12 for t in tiles), "fits a column"


@pytest.mark.parametrize("damage", ALL)
def test_a_drawing_is_shapes_alone_the_same_each_time(damage: Damage) -> None:
    assert MARKS[damage]() == MARKS[damage]()
    drawing = ElementTree.fromstring(str(damage_drawing(damage, 'a "b" <c>')))
    assert drawing.attrib["aria-label"] == 'a "b" <c>'
    assert drawing.attrib["role"] == "img"
    parts = list(drawing.iter())
    assert {p.tag for p in parts} <= SHAPES
    # No style attribute, which the pages' policy refuses, and no id, which would stand in a page twice.
    assert {a for p in parts for a in p.attrib} <= KNOWN
    assert len(str(damage_drawing(damage, ""))) < 8000


def test_drawings_share_grounds_but_no_marks() -> None:
    for one, other in combinations(ALL, 2):
        ours, theirs = (set(re.findall(r"<[a-z]+ [^>]*/>", MARKS[d]())) for d in (one, other))
        assert ours - theirs, (one, other)
        assert theirs - ours, (one, other)


def test_the_golden_section_spreads() -> None:
    assert doctest.testmod(grounds).failed == 0


def test_a_page_shows_the_examples_of_a_step_and_says_what_they_are(tmp_path: Path) -> None:
    plan = sample_plan()
    steps = list(plan.steps)
    steps[0] = replace(steps[0], examples=("scratch", "cut ring"))
    write_booklet(_booklet(tuple(steps)), tmp_path, Setting(WORDS, "Invented Works", True, "2025-03-01"))
    for file in ("assembly.html", "paper.html"):
        page = (tmp_path / file).read_text("utf-8")
        assert page.count('class="examples"') == 1
        found = re.search(r'<div class="examples"><p>(.*?)</p>\s*<ul>(.*?)</ul></div>', page, re.S)
        assert found is not None
        assert found[1] == "Examples of what to look for, not of this pump."
        assert re.findall(r"<b>(.*?)</b>", found[2]) == ["Scratch", "Nicked"]
        assert re.findall(r'role="img" aria-label="(.*?)"', found[2]) == [
            WORDS(f"damage_alt.{d}") for d in ("scratch", "cut ring")
        ]
        assert "style=" not in page


def test_examples_take_their_room_on_a_sheet() -> None:
    step = replace(sample_plan().steps[0], acts=("x" * 46,) * 12)
    views = [_booklet((replace(step, examples=ALL[:n]),)).chapters[0].steps[0] for n in range(len(ALL) + 1)]
    long = [n for n, view in enumerate(views) if view.long]
    assert long == list(range(long[0], len(views))), "rows of them leave the picture less room"
    assert long[0] > 0
    assert long[0] % EXAMPLES_ABREAST == 1, "from the first of a row on"


def test_a_step_with_examples_leaves_the_sheet_of_its_sections_head_before_it_is_torn() -> None:
    step = replace(sample_plan().steps[0], acts=("x" * 46,) * 20)
    shown = [_booklet((replace(step, examples=ALL[:n]),)).chapters[0].steps[0] for n in (0, 2, 9)]
    assert [view.apart for view in shown] == [False, False, True]


def _booklet(steps: tuple[Step, ...]) -> Booklet:
    plan = replace(sample_plan(), steps=steps)
    return replace(sample_booklet(), chapters=(make_chapter(plan, {}, sample_values()),))
