"""Texts that stand in, as a page shows them: elements where there can be some, plain where not, well-formed always."""

from __future__ import annotations

import pytest
from benchleaf.site.pages.markup.in_english import in_english
from benchleaf.site.words.languages.fallback import BEGIN, END, stand_in
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

RING = stand_in("ring")
SHOWN = '<span class="in-english end" lang="en" dir="ltr">ring</span>'


@pytest.mark.parametrize(
    ("page", "shown"),
    [
        (f"<p>{RING}</p>", f"<p>{SHOWN}</p>"),
        (f'<img alt="{RING}">', '<img alt="ring">'),
        (f"<title>{RING}</title>", "<title>ring</title>"),
        (f"<option>{RING}</option>", "<option>ring</option>"),
        (f"<style>a{{content:'{RING}'}}</style>", "<style>a{content:'ring'}</style>"),
        (
            f"<text>{RING}</text><p>{RING}</p>",
            f'<text><tspan class="in-english end" lang="en">ring</tspan></text><p>{SHOWN}</p>',
        ),
        (f"<p>{stand_in(f'the {RING}')}</p>", None),
        ("<p>ring</p>", "<p>ring</p>"),
    ],
)
def test_where_elements_can_stand(page: str, shown: str | None) -> None:
    found = in_english(page)
    assert BEGIN not in found
    assert END not in found
    assert shown is None or found == shown


def test_a_text_that_a_page_breaks_up_is_shown_piece_by_piece() -> None:
    found = in_english(f'<p>Das {BEGIN}is <b class="nb">12 mm</b> wide{END} so.</p>')
    assert found == (
        '<p>Das <span class="in-english" lang="en" dir="ltr">is </span><b class="nb">'
        '<span class="in-english" lang="en" dir="ltr">12 mm</span></b>'
        '<span class="in-english end" lang="en" dir="ltr"> wide</span> so.</p>'
    )


@given(st.lists(st.sampled_from(["Der ", "ring", BEGIN, END, "<b>", "</b>"]), max_size=12))
def test_whatever_stands_in_the_page_stays_well_formed(parts: list[str]) -> None:
    depth, page = 0, []
    for part in parts:
        if part == "</b>" and not depth:
            continue
        depth += {"<b>": 1, "</b>": -1}.get(part, 0)
        page.append(part)
    found = in_english(f"<p>{''.join(page)}{'</b>' * depth}</p>")
    tree = etree.fromstring(found)
    assert "".join(tree.itertext()) == "".join(p for p in parts if p in ("Der ", "ring"))
