"""What a page draws alike several times stands in it once."""

from __future__ import annotations

import re

import pytest
from benchleaf.site.pages.markup.drawn_once import LEAST, drawn_in_full, drawn_once
from hypothesis import given
from hypothesis import strategies as st

SHAPE = f'<path d="M0 0{"h1v1" * LEAST}"/>'
SIGN = f'<svg class="sign" viewBox="0 0 9 9">{SHAPE}</svg>'


def page(*drawings: str) -> str:
    return "<html><head></head><body class='x'>" + "<p>".join(drawings) + "</body></html>"


def test_each_place_names_the_one_drawing_and_keeps_its_own_size_and_words() -> None:
    told = '<svg role="img" aria-label="A sign" class="sign" width="20">' + SHAPE + "</svg>"
    made = drawn_once(page(SIGN, told, SIGN))
    assert made.count(SHAPE) == 1
    assert made.count('<use href="#d0"/>') == 3
    assert '<svg role="img" aria-label="A sign" class="sign" width="20"><use href="#d0"/></svg>' in made
    assert "<body class='x'><svg class=\"drawn-once\"" in made


@pytest.mark.parametrize(
    "drawings",
    [
        (SIGN,),
        (SIGN, SIGN.replace('class="sign"', 'class="other"')),
        ('<svg><path d="M0 0h1"/></svg>',) * 2,
        (SIGN.replace("<path", '<path id="own"'),) * 2,
        (SIGN.replace("<path", '<a href="#x"/><path'),) * 2,
        (SIGN.replace("<path", "<title>Words</title><path"),) * 2,
    ],
    ids=["once", "other class", "short", "names", "links", "words"],
)
def test_what_stands_once_or_has_names_of_its_own_stays(drawings: tuple[str, ...]) -> None:
    assert drawn_once(page(*drawings)) == page(*drawings)


def test_a_halo_takes_the_line_over_it() -> None:
    line = "M.1 .2L.3 .4" * 5
    leaders = f'<svg><path class="halo" d="{line}"/><path d="{line}"/></svg>'
    other = leaders.replace("M.1", "M.7")
    made = drawn_once(page(leaders, other))
    assert made.count(line) == 1
    assert re.findall(r'id="(\w+)"', made) == re.findall(r'href="#(\w+)"', made) == ["l0", "l1"]
    assert drawn_once(page(SIGN, SIGN, leaders, other)).count("drawn-once") == 1


@given(
    st.lists(st.sampled_from([SIGN, SIGN.replace("h1v1", "h2v2"), f"<svg><g>{SHAPE}</g></svg>"]), max_size=6)
)
def test_drawn_in_full_it_is_the_page_that_was(drawings: list[str]) -> None:
    assert drawn_in_full(drawn_once(page(*drawings))) == page(*drawings)
