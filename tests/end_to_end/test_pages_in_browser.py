"""Pages of a sample booklet in Chromium, opened from disk: wide, narrow, dark, without script, on paper."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.steps.plan import Damage
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.pages.cards.faces import card_face
from benchleaf.site.pages.examples.damage_tiles import damage_drawing
from benchleaf.site.pages.library.head_lines import HeadLine, missing_line
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, dead_links, pdf_pages, viewport
from card_samples import carded_booklet, draw_card_pictures, sample_cards
from fleet_pages import make_booklet
from long_words import WIDTHS, pushed_out, spread_long_words
from PIL import Image
from playwright.sync_api import Browser, FloatRect, Page, ViewportSize
from site_samples import draw_placeholder, draw_sample_pictures, sample_booklet

WORDS = load_words()
PAGES = (
    "index.html",
    "missing.html",
    "p-101/index.html",
    "p-101/assembly.html",
    "p-101/values.html",
    "p-101/record.html",
    "p-101/paper.html",
    "p-101/cards.html",
    "p-101/cards-a4.html",
    "p-101/class-assembly.html",
    "p-101/notes-assembly.html",
    "deck-iw-70.html",
    "p-104/pump.html",
    "p-104/inspection.html",
    "p-104/start_up.html",
    "p-104/trouble.html",
    "p-104/year.html",
    "p-104/glossary.html",
)
"""Of the sample booklet, and of a pump of the demo that has most to tell, without pictures."""


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    setting = Setting(WORDS, "Invented Works", True, "2025-03-01")
    booklet: Booklet = carded_booklet()
    write_booklet(booklet, folder / "p-101", setting, "../index.html")
    draw_sample_pictures(folder / "p-101")
    draw_card_pictures(folder / "p-101")
    faces = tuple(card_face(c) for c in sample_cards())
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    write_booklet(make_booklet(fleet, fleet.head("P-104")), folder / "p-104", setting, "../index.html")
    draw_placeholder(folder / "p-101" / "pictures" / "small.png", 320, 200)
    heads = tuple(
        HeadLine(
            "p-101",
            tag,
            size,
            service,
            (("Rotors", rotor), ("Elastomer", "FKM")),
            "p-101/index.html",
            "p-101/pictures/small.png",
            320,
            200,
            missing,
            cards=faces,
        )
        for tag, size, service, rotor, missing in (
            ("P-101", "IW-70", "Cream", "two wings", 2),
            ("P-102", "IW-90", "Crème fraîche", "three lobes", 0),
            ("P-201", "IW-90", "Whey", "two wings", 0),
        )
    )
    lines = tuple(missing_line("P-101", "p-101", v) for v in booklet.missing)
    write_library(heads, lines, folder, setting, always=("Rotors", "Elastomer"))
    return folder


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def _box(page: Page, selector: str) -> FloatRect:
    box = page.locator(selector).bounding_box()
    if box is None:
        pytest.fail(f"{selector} is not to be seen")
    return box


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_page_opens_clean(chrome: Browser, library: Path, name: str, view: ViewportSize) -> None:
    context = chrome.new_context(viewport=view)
    visit = Visit(context, library / name)
    assert visit.broken_pictures() == []
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    context.close()


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", WIDTHS)
def test_words_of_thirty_letters_stay_in_their_place(
    chrome: Browser, library: Path, name: str, width: int
) -> None:
    context = chrome.new_context(viewport=viewport(width, 800))
    page = Visit(context, library / name).page
    assert pushed_out(page) == []
    assert spread_long_words(page) > 5
    assert pushed_out(page) == []
    context.close()


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("colours", ["light", "dark"])
def test_page_is_accessible(chrome: Browser, library: Path, name: str, colours: Any) -> None:
    context = chrome.new_context(viewport=DESK, color_scheme=colours)
    visit = Visit(context, library / name)
    found = Axe().run(visit.page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    context.close()


def test_no_dead_link(library: Path) -> None:
    assert dead_links(sorted(library.rglob("*.html"))) == []


def test_onward_by_button_and_key(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101/assembly.html").page
    page.click(".thumb .next")
    page.wait_for_function("document.querySelector('.at').textContent === '1 / 10'")
    # All in one go: none may be lost because the page has not told yet where it is.
    page.evaluate(
        "for (let n = 0; n < 4; n++) {"
        " document.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true})) }"
    )
    page.wait_for_function("document.querySelector('.at').textContent === '5 / 10'")
    assert page.text_content(".strip [aria-current]") == "Body"
    assert page.text_content(".now") == "Body · step 5 of 10"
    bar, title = _box(page, ".bar"), _box(page, "#step-5-title")
    assert title["y"] >= bar["y"] + bar["height"], "the bar must not cover the title"
    page.keyboard.press("ArrowLeft")
    page.wait_for_function("document.querySelector('.at').textContent === '4 / 10'")
    context.close()


def test_onward_buttons_fit_a_gloved_thumb(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101/assembly.html").page
    for name in ("back", "next"):
        box = _box(page, f".thumb .{name}")
        assert box["height"] >= 48
        assert box["width"] >= 96
    context.close()


def test_link_to_a_step_shows_its_title(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101/assembly.html", "#step-8").page
    page.wait_for_function("document.querySelector('.at').textContent === '8 / 10'")
    bar, title = _box(page, ".bar"), _box(page, "#step-8-title")
    assert bar["y"] + bar["height"] <= title["y"] < PHONE["height"] / 2
    context.close()


def test_everything_teaches_without_script(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = Visit(context, library / "p-101/assembly.html").page
    assert page.locator(".step .onward .next:visible").count() == 10
    assert page.locator(".step .acts:visible").count() == 10
    assert not page.locator(".thumb").is_visible()
    table = Visit(context, library / "index.html").page
    assert table.locator("tbody tr:visible").count() == 3
    assert not table.locator(".find").is_visible()
    record = Visit(context, library / "p-101/record.html").page
    assert record.locator(".by-hand:visible").count() == 2
    assert not record.locator("[data-do]").first.is_visible()
    context.close()


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_a_film_waits_to_be_asked_for_and_takes_the_place_of_its_picture(
    chrome: Browser, library: Path, view: Any, script: bool
) -> None:
    context = chrome.new_context(viewport=view, java_script_enabled=script)
    visit = Visit(context, library / "p-101/assembly.html", "#step-5")
    page, film = visit.page, visit.page.locator(".film img")
    assert page.locator(".film").count() == 1
    assert not film.is_visible(), "nothing moves before it is asked for"
    if script:  # without, browsers fetch lazy pictures at once
        assert not [u for u in visit.asked if "film" in u]
    assert _box(page, ".film summary")["height"] >= 44
    page.click(".film summary")
    film.wait_for(state="visible")
    still, over = _box(page, "#step-5 .shown img"), _box(page, ".film img")
    assert over["x"] <= still["x"] + 1
    assert over["y"] <= still["y"] + 1
    assert over["x"] + over["width"] >= still["x"] + still["width"] - 1
    assert over["y"] + over["height"] >= still["y"] + still["height"] - 1
    page.emulate_media(media="print")
    assert not film.is_visible()
    assert page.locator("#step-5 .shown img").is_visible()
    page.emulate_media(media="screen")
    page.click(".film summary")
    assert not film.is_visible()
    assert visit.troubles == []
    paper = Visit(context, library / "p-101/paper.html").page
    assert paper.locator(".film, .moving").count() == 0
    context.close()


@pytest.mark.parametrize(
    ("typed", "state"),
    [
        ("0.12", "within"),
        ("0,16", "within"),
        ("0.10", "near"),
        ("0.18", "near"),
        ("0.181", "outside"),
        ("0.0999", "outside"),
        ("0.20", "outside"),
        ("0.08", "outside"),
        ("-0.1", "below"),
        ("\u22120.1", "below"),
        ("0.1 mm", "nan"),
        ("1e-1", "nan"),
        ("", ""),
    ],
)
def test_reading_is_judged_by_sourced_limits(chrome: Browser, library: Path, typed: str, state: str) -> None:
    words = {
        "within": "record.within",
        "near": "record.near",
        "outside": "record.outside",
        "below": "record.below",
        "nan": "record.not_number",
    }
    context = chrome.new_context()
    page = Visit(context, library / "p-101/record.html").page
    page.fill(".reading", typed)
    assert page.text_content(".result") == (WORDS(words[state]) if state else "")
    if state == "outside":
        sign = page.evaluate("getComputedStyle(document.querySelector('.result'), '::before').content")
        assert "✗" in sign
    context.close()


def test_readings_and_ticks_are_kept_and_deleted(chrome: Browser, library: Path) -> None:
    context = chrome.new_context()
    page = Visit(context, library / "p-101/record.html").page
    page.fill(".reading", "0.12")
    page.check("input[value=fail]")
    page.reload()
    assert page.input_value(".reading") == "0.12"
    assert page.is_checked("input[value=fail]")
    assert page.text_content(".result") == WORDS("record.within")
    page.on("dialog", lambda d: d.accept())
    page.click("[data-do=delete-job]")
    assert page.input_value(".reading") == ""
    page.reload()
    assert page.input_value(".reading") == ""
    assert not page.is_checked("input[value=fail]")
    steps = Visit(context, library / "p-101/assembly.html").page
    steps.check("#step-2 .tick input")
    steps.reload()
    assert steps.is_checked("#step-2 .tick input")
    assert not steps.is_checked("#step-3 .tick input")
    context.close()


def test_two_plants_readings_are_kept_apart_and_a_new_build_finds_its_own(
    chrome: Browser, tmp_path: Path
) -> None:
    for folder, plant, own in (
        ("ours", "Invented Works", ""),
        ("theirs", "Other Works", ""),
        ("rebuilt", "Invented Works", ""),
        ("second", "Invented Works", "second"),
        ("renamed", "New Name Works", "Invented Works"),
    ):
        setting = Setting(WORDS, plant, True, "2025-03-01", id=own)
        write_booklet(sample_booklet(), tmp_path / folder, setting)
    context = chrome.new_context()
    Visit(context, tmp_path / "ours" / "record.html").page.fill(".reading", "0.12")
    read = {
        folder: Visit(context, tmp_path / folder / "record.html").page.input_value(".reading")
        for folder in ("ours", "theirs", "rebuilt", "second", "renamed")
    }
    assert read == {"ours": "0.12", "theirs": "", "rebuilt": "0.12", "second": "", "renamed": "0.12"}
    context.close()


@pytest.mark.parametrize(
    ("typed", "rows", "said"),
    [
        ("p-102", ["P-102"], "1 booklet"),
        ("iw-90 wings", ["P-201"], "1 booklet"),
        ("creme", ["P-102"], "1 booklet"),
        ("FKM", ["P-101", "P-102", "P-201"], "3 booklets"),
        ("pump of mars", [], WORDS("library.found_none")),
    ],
)
def test_filter_finds_by_tag_size_service_and_option(
    chrome: Browser, library: Path, typed: str, rows: list[str], said: str
) -> None:
    context = chrome.new_context()
    page = Visit(context, library / "index.html").page
    page.fill("input[type=search]", typed)
    assert page.locator("tbody tr:visible th").all_inner_texts() == rows
    assert page.text_content(".find output") == said
    context.close()


@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_examples_of_damage_are_whole_large_enough_and_inside_their_column(
    chrome: Browser, library: Path, view: ViewportSize
) -> None:
    context = chrome.new_context(viewport=view)
    visit = Visit(context, library / "p-104/inspection.html")
    rows: list[list[dict[str, float]]] = visit.page.evaluate(
        """() => [...document.querySelectorAll(".step .examples")].map(row => {
            // On a phone the picture gives them over to the step's own column.
            const boxes = [".picture", ".step"].map(name => row.closest(name));
            const column = boxes.find(e => e.getClientRects().length).getBoundingClientRect();
            return [...row.querySelectorAll("li")].map(li => {
                const tile = li.getBoundingClientRect(), sign = li.querySelector("svg").getBoundingClientRect();
                return {left: tile.left - column.left, right: column.right - tile.right, wide: sign.width,
                        ratio: sign.width / sign.height, spill: li.scrollWidth - li.clientWidth};
            });
        })"""
    )
    assert len(rows) > 15
    for tile in (t for row in rows for t in row):
        assert min(tile["left"], tile["right"]) >= -0.5, tile
        assert tile["wide"] >= 90, tile
        assert tile["ratio"] == pytest.approx(96 / 72, abs=0.03)
        assert tile["spill"] == 0
    assert (visit.troubles, visit.too_wide()) == ([], 0)
    context.close()


def test_no_two_drawings_of_damage_look_alike(chrome: Browser) -> None:
    """As drawn 96 pixels wide: of each two, a tenth of the pixels at least differ by more than an eye passes over."""
    context = chrome.new_context(viewport=viewport(200, 200))
    page, seen = context.new_page(), {}
    for damage in get_args(Damage):
        page.set_content(str(damage_drawing(damage, "")))
        with Image.open(io.BytesIO(page.locator("svg").screenshot())) as shot:
            seen[damage] = np.asarray(shot.convert("L"), dtype=float)
    context.close()
    for one, other in combinations(seen, 2):
        assert seen[one].shape == (72, 96)
        assert np.mean(np.abs(seen[one] - seen[other]) > 24) > 0.1, (one, other)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_paper_tears_no_step_and_heads_every_sheet(
    chrome: Browser, library: Path, tmp_path: Path, size: str
) -> None:
    context = chrome.new_context()
    visit = Visit(context, library / "p-101/paper.html")
    assert visit.broken_pictures() == []
    sheets = pdf_pages(visit.page, tmp_path / "paper.pdf", size)
    assert len(sheets) >= 6
    for number, sheet in enumerate(sheets, start=1):
        flat = " ".join(sheet.split())
        assert "P-101" in sheet.splitlines()[0]
        assert "Rev. C · 2025-03-01" in sheet.splitlines()[0]
        assert f"Page {number} of {len(sheets)}" in flat
        assert "Invented plant. Training material." in flat
        heads = sum(flat.count(f"step {n} of 10") for n in range(1, 11))
        assert heads == len(re.findall(r"Done(?! by)", flat))
    whole = " ".join(" ".join(sheets).split())
    assert all(f"step {n} of 10" in whole for n in range(1, 11))
    context.close()


def test_a_browser_without_the_modern_format_shows_the_other(chrome: Browser, tmp_path: Path) -> None:
    booklet = sample_booklet()
    assert booklet.overview is not None
    overview = replace(
        booklet.overview,
        src="pictures/overview.jpg",
        sources=(("image/webp", "pictures/overview.webp"),),
    )
    write_booklet(
        replace(booklet, overview=overview),
        tmp_path,
        Setting(WORDS, "Invented Works", True, "2025-03-01"),
        "",
    )
    draw_sample_pictures(tmp_path)
    for ending in ("webp", "jpg"):
        draw_placeholder(tmp_path / "pictures" / f"overview.{ending}")
    page = tmp_path / "index.html"
    old = tmp_path / "old.html"
    old.write_text(page.read_text("utf-8").replace('type="image/webp"', 'type="image/unheard-of"'), "utf-8")
    for file, shown in ((page, "overview.webp"), (old, "overview.jpg")):
        context = chrome.new_context(viewport=DESK)
        visit = Visit(context, file)
        source = visit.page.evaluate("document.querySelector('.overview img').currentSrc")
        assert source.endswith(shown)
        assert not visit.broken_pictures()
        context.close()
