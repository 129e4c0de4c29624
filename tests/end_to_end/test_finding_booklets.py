"""The library's pages in Chromium, opened from disk: search, filters, spares of a choice of pumps, two side by side."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.calculations.spares import kit
from benchleaf.sequences.upkeep.spare_parts import summed
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.words.report_words import spares_csv
from browsing import DESK, PHONE, Visit, browser
from fleet_pages import write_fleet_pages
from playwright.sync_api import Browser, Page, ViewportSize

TABLET: ViewportSize = {"width": 820, "height": 1180}
VIEWS = pytest.mark.parametrize("view", [PHONE, TABLET, DESK], ids=["phone", "tablet", "desk"])
FINGER = 48
"""Least width and height of what is tapped, CSS pixels."""


@pytest.fixture(scope="module")
def fleet() -> JudgedFleet:
    return load_fleet(DEMO_FLEET / "fleet.yaml")


@pytest.fixture(scope="module")
def library(fleet: JudgedFleet, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    write_fleet_pages(fleet, folder)
    return folder


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture
def visit(chrome: Browser, library: Path) -> Iterator[Visit]:
    context = chrome.new_context(viewport=DESK, accept_downloads=True)
    seen = Visit(context, library / "index.html")
    yield seen
    assert (seen.troubles, seen.outside()) == ([], [])
    context.close()


def shown(page: Page) -> list[str]:
    return page.locator("tr[data-find]:visible th a:first-child").all_inner_texts()


def choose(page: Page, tags: list[str]) -> None:
    page.locator("[data-do=none]").click(force=True) if page.locator(".pick input:checked").count() else None
    for tag in tags:
        page.get_by_label(f"Choose {tag}", exact=True).check()


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("p-20", ["P-201", "P-202"]),
        ("118", ["P-103", "P-202"]),
        ("double mechanical", ["P-104"]),
        ("IV-62-101", ["P-101", "P-105"]),
        ("1.78 x 20.35", ["P-101", "P-105"]),
        ("1,78 × 20,35", ["P-101", "P-105"]),
        ("0.35", []),
        ("no such pump", []),
    ],
)
def test_search_finds_tag_size_seal_number_and_ring(visit: Visit, words: str, found: list[str]) -> None:
    visit.page.get_by_role("searchbox").fill(words)
    assert shown(visit.page) == found


def test_filters_narrow_together_and_are_taken_back_at_once(visit: Visit, fleet: JudgedFleet) -> None:
    page = visit.page
    page.get_by_text("Filters").click()
    page.locator("select[data-filter='0']").select_option(label="80")
    page.locator("label", has_text="Shaft seal").locator("select").select_option(index=1)
    left = shown(page)
    assert 0 < len(left) < len(fleet.heads)
    assert ": 2 set" in page.locator(".filters summary").inner_text()
    page.get_by_role("button", name="Show all").click()
    assert len(shown(page)) == len(fleet.heads)


def test_spares_of_any_choice_are_those_of_the_command(
    visit: Visit, fleet: JudgedFleet, tmp_path: Path
) -> None:
    page, dice = visit.page, random.Random(7)
    for count in (1, 2, 3, len(fleet.heads)):
        rows = [fleet.heads[n] for n in sorted(dice.sample(range(len(fleet.heads)), count))]
        choose(page, [r.tag for r in rows])
        page.get_by_role("button", name="Spares of these").click()
        with page.expect_download() as saved:
            page.get_by_role("button", name="Save as a table").click()
        assert saved.value.suggested_filename == "spares.csv"
        saved.value.save_as(tmp_path / "spares.csv")
        table = (tmp_path / "spares.csv").read_bytes().decode("utf-8-sig")
        assert table == spares_csv(summed(kit(row) for row in rows))
        assert page.locator(".spares tbody tr").count() == table.count("\r\n") - 1


def test_all_shown_are_chosen_and_none_beside_them(visit: Visit) -> None:
    page = visit.page
    page.get_by_role("searchbox").fill("P-20")
    page.get_by_role("button", name="Choose all shown").click()
    assert page.locator(".chosen .count").inner_text() == "2 pumps chosen"
    page.get_by_role("button", name="Choose none").click()
    assert page.get_by_role("button", name="Spares of these").is_disabled()


def test_two_pumps_are_compared_from_the_list_and_each_entry_leads_to_its_place(
    visit: Visit, library: Path
) -> None:
    page = visit.page
    choose(page, ["P-101", "P-104"])
    page.get_by_role("link", name="Compare these two").click()
    page.wait_for_url(re.compile(r"compare\.html#P-101&P-104$"))
    seal = page.get_by_role("row", name=re.compile("^Shaft seal"))
    assert seal.locator("td").all_inner_texts() == ["single mechanical", "double mechanical, flushed"]
    total = int(re.findall(r"\d+", page.locator("output").inner_text())[0])
    assert page.locator(".compared tr.differs").count() == total > 20
    assert page.locator(".compared tr.same").count() == 0
    page.get_by_label("Also show what is the same").check()
    assert page.locator(".compared tr.same").count() > 20
    assert page.locator(".compared tr.differs").count() == total
    for href in {a.get_attribute("href") or "" for a in page.locator(".compared td a").all()[:200]}:
        file, _, anchor = href.partition("#")
        text = (library / file).read_text("utf-8")
        assert not anchor or f'id="{anchor}"' in text, href


def test_pumps_are_the_same_as_themselves(visit: Visit, library: Path) -> None:
    page = visit.page
    page.goto((library / "compare.html").as_uri() + "#P-102&P-102")
    assert page.locator("output").inner_text() == "Nothing differs."
    assert page.locator(".compared:visible").count() == 0


@VIEWS
@pytest.mark.parametrize("name", ["index.html", "compare.html#P-101&P-104", "changes.html"])
def test_pages_fit_and_are_in_reach_of_a_thumb(
    chrome: Browser, library: Path, view: ViewportSize, name: str
) -> None:
    context = chrome.new_context(viewport=view)
    file, _, anchor = name.partition("#")
    seen = Visit(context, library / file, f"#{anchor}" if anchor else "")
    if file == "index.html":
        seen.page.get_by_text("Filters").click()
        choose(seen.page, ["P-101", "P-202"])
        seen.page.get_by_role("button", name="Spares of these").click()
    assert (seen.troubles, seen.outside(), seen.too_wide()) == ([], [], 0)
    small = seen.page.evaluate(
        """least => [...document.querySelectorAll("button, select, summary, .pick label, .tick, input[type=search]")]
            .filter(e => e.getClientRects().length)
            .map(e => [e.outerHTML, e.getBoundingClientRect()])
            .filter(([_, box]) => Math.min(box.width, box.height) < least - 0.5).map(([html]) => html)""",
        FINGER,
    )
    assert small == []
    context.close()


def test_without_script_the_whole_table_stands(chrome: Browser, library: Path, fleet: JudgedFleet) -> None:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto((library / "index.html").as_uri())
    assert len(shown(page)) == len(fleet.heads)
    assert page.locator(".find:visible, .chosen:visible, .pick:visible, .spares:visible").count() == 0
    context.close()
