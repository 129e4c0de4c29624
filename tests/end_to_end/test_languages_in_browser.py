"""A fleet in several languages, opened: switched without losing the place; longer texts and right to left fit."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.files.spoken import spoken_texts
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.markup.page_links import named_for
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import Words
from benchleaf.site.words.languages.translated import words_in
from browsing import DESK, PHONE, Visit, browser, viewport
from card_samples import carded_booklet, draw_card_pictures, sample_cards
from fleet_pages import write_fleet_pages
from lxml import html
from playwright.sync_api import Browser
from practice_booklets import write_coupling
from pseudo_locales import LONG, LONGER, RIGHT_TO_LEFT, fleet_said, from_the_right, longer, pseudo_words
from pypdf import PdfReader

CODES = ("en", "de", "es")
OUT = """() => {
  const wide = document.documentElement.clientWidth, out = [];
  const scrolls = e => e && e !== document.body && (
    ["auto", "scroll", "hidden", "clip"].includes(getComputedStyle(e).overflowX) || scrolls(e.parentElement));
  document.querySelectorAll("details").forEach(d => { d.open = true; });
  document.querySelectorAll("body *").forEach(e => {
    const box = e.getBoundingClientRect();
    if (box.width > 1 && box.height > 1 && (box.right > wide + 1 || box.left < -1) && !scrolls(e)
        && !e.classList.contains("skip"))
      out.push(`${e.tagName.toLowerCase()}.${e.className} ${Math.round(Math.max(box.right - wide, -box.left))}`);
  });
  const over = document.documentElement.scrollWidth - wide;
  if (over > 0) out.push(`page ${over}`);
  return out;
}"""
"""What stands out of the window on either side."""


@pytest.fixture(scope="module", name="running")
def _running() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture(scope="module", name="fleet")
def _fleet() -> JudgedFleet:
    """One pump of the demo."""
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    return replace(fleet, heads=fleet.heads[:1])


def write(fleet: JudgedFleet, words: Words, folder: Path, languages: tuple[str, ...] = ()) -> None:
    write_fleet_pages(fleet_said(fleet, words), folder, words, languages)


@pytest.fixture(scope="module", name="library")
def _library(fleet: JudgedFleet, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library in three languages side by side."""
    folder = tmp_path_factory.mktemp("languages")
    for code in CODES:
        write(fleet, words_in(code), folder, CODES)
    return folder


@pytest.fixture(scope="module", name="pseudo", params=[LONG, RIGHT_TO_LEFT])
def _pseudo(
    request: pytest.FixtureRequest, fleet: JudgedFleet, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """All pages of a pump in a language of longer words, or in one that runs from right to left."""
    change = longer if request.param == LONG else from_the_right
    folder = tmp_path_factory.mktemp(f"pseudo-{request.param}")
    words = pseudo_words(request.param, change, fleet)
    write(fleet, words, folder)
    write_coupling(folder / "practice", words)
    return folder


def test_the_longer_language_is_longer(fleet: JudgedFleet) -> None:
    words, plain = pseudo_words(LONG, longer, fleet), words_in("en")
    before, after = (sum(map(len, w.texts.values())) for w in (plain, words))
    assert after / before >= LONGER - 0.05
    assert sum(map(len, words.said.values())) / sum(map(len, words.said)) >= LONGER - 0.05
    assert pseudo_words(RIGHT_TO_LEFT, from_the_right).direction == "rtl"


@pytest.mark.parametrize("wide", [360, 1440])
def test_no_page_of_a_longer_or_turned_language_overflows(pseudo: Path, running: Browser, wide: int) -> None:
    context = running.new_context(viewport=viewport(wide, 800))
    pages = [p for p in sorted(pseudo.rglob("*.html")) if not p.name.startswith("cards-")]
    assert len(pages) > 25
    out = {}
    for page in pages:
        visit = Visit(context, page)
        if found := visit.page.evaluate(OUT):
            out[page.relative_to(pseudo).as_posix()] = found[:5]
        visit.page.close()
    context.close()
    assert out == {}


def test_every_page_is_there_in_every_language_and_links_to_its_like(library: Path) -> None:
    first = [p for p in library.rglob("*.html") if not re.search(r"\.(de|es)\.html$", p.name)]
    assert len(first) > 20
    for page in first:
        for code, suffix in zip(CODES, ("", ".de", ".es"), strict=True):
            file = page.with_name(named_for(page.name, suffix))
            tree = html.fromstring(file.read_bytes())
            assert (tree.get("lang"), tree.get("dir")) == (code, "ltr")
            alternates = {e.get("hreflang"): e.get("href") for e in tree.xpath("//link[@rel='alternate']")}
            assert alternates == {
                c: named_for(page.name, s) for c, s in zip(CODES, ("", ".de", ".es"), strict=True)
            }
            current = tree.xpath("//nav[@class='languages']/a[@aria-current='true']/@hreflang")
            assert current == [code]
            for link in tree.xpath("//a[@href and not(@hreflang)]/@href"):
                to = link.split("#")[0]
                if to.endswith(".html") and "://" not in to:
                    assert (file.parent / to).is_file(), f"{file.name}: {link}"
                    assert to.endswith(f"{suffix}.html"), f"{file.name}: {link} leaves the language"


def test_safety_pages_say_that_nobody_has_released_them(library: Path) -> None:
    for page in sorted((library / "p-101").glob("*.de.html")):
        tree = html.fromstring(page.read_bytes())
        [said] = tree.xpath("//main/p[@class='unreleased']")
        assert "Keine qualifizierte Person" in said.text_content()
        assert "No qualified person has released this translation" in said.text_content()
        assert said.xpath("a[@hreflang='en']/@href") == [page.name.replace(".de.html", ".html")]
    english = html.fromstring((library / "p-101" / "assembly.html").read_bytes())
    assert english.xpath("//p[@class='unreleased']") == []


def test_what_the_plant_has_not_translated_is_told_as_english(library: Path, fleet: JudgedFleet) -> None:
    tree = html.fromstring((library / "p-101" / "index.de.html").read_bytes())
    marked = {e.text_content(): e.get("lang") for e in tree.xpath("//*[contains(@class, 'in-english')]")}
    own = {
        "cream to the standardising tank",
        *(t for _, t in spoken_texts(fleet.catalogue.entries["site_permit"])),
    }
    assert marked == dict.fromkeys(own, "en")
    assert 'class="in-english' not in (library / "p-101" / "index.html").read_text("utf-8")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_switch_keeps_the_place_and_the_choice(library: Path, running: Browser, size: object) -> None:
    context = running.new_context(viewport=size)  # type: ignore[arg-type]
    visit = Visit(context, library / "p-101" / "assembly.html")
    page = visit.page
    page.evaluate("document.getElementById('step-9').scrollIntoView()")
    page.locator(".menu summary").click()
    page.locator(".menu .languages a[hreflang=de]").click()
    page.wait_for_url(re.compile(r"assembly\.de\.html#step-9$"))
    top = page.evaluate("document.getElementById('step-9').getBoundingClientRect().top")
    assert 0 <= top < 300, "the step that was read stands below the bar"
    assert page.evaluate("document.documentElement.lang") == "de"
    # The list of the library, opened in English, leads on in the language that was chosen.
    page.goto((library / "index.html").as_uri())
    page.locator("table.heads th a").first.click()
    page.wait_for_url(re.compile(r"p-101/index\.de\.html$"))
    # And back by the switch at the head of the page.
    page.locator("nav.languages a[hreflang=en]").click()
    page.wait_for_url(re.compile(r"p-101/index\.html$"))
    page.goto((library / "index.html").as_uri())
    assert page.locator("table.heads th a").first.get_attribute("href") == "p-101/index.html"
    assert visit.troubles == []
    context.close()


def test_without_script_the_switch_is_a_link(library: Path, running: Browser) -> None:
    context = running.new_context(viewport=PHONE, java_script_enabled=False)
    page = Visit(context, library / "p-101" / "values.html").page
    page.locator("nav.languages a[hreflang=es]").click()
    page.wait_for_url(re.compile(r"values\.es\.html$"))
    context.close()


def test_arrow_keys_go_the_way_that_is_read(pseudo: Path, running: Browser) -> None:
    context = running.new_context(viewport=DESK)
    page = Visit(context, pseudo / "p-101" / "assembly.html").page
    onward = "ArrowLeft" if page.evaluate("document.dir") == "rtl" else "ArrowRight"
    page.keyboard.press(onward)
    page.keyboard.press(onward)
    assert page.evaluate("location.hash") == "#step-2"
    context.close()


def test_a_reading_takes_comma_or_point(library: Path, running: Browser) -> None:
    context = running.new_context(viewport=DESK)
    page = Visit(context, library / "p-101" / "record.de.html").page
    said = []
    for typed in ("0.07", "0,07"):
        row = page.locator("tr:has(.reading)[data-low], tr:has(.reading)[data-high]").first
        row.locator(".reading").fill(typed)
        row.locator(".reading").blur()
        said.append(row.inner_text().split("\n"))
    assert said[0] == said[1]
    context.close()


def test_printed_cards_keep_their_backs_behind_them(running: Browser, tmp_path: Path) -> None:
    """What is not released is told on each card: a leaf before the first would put every answer on another back."""
    words = words_in("de")
    write_booklet(
        carded_booklet(), tmp_path, Setting(words, "Erfundene Werke", True, "2025-03-01"), "index.html"
    )
    (tmp_path / "pictures").mkdir()
    draw_card_pictures(tmp_path)
    page = Visit(running.new_context(), tmp_path / "cards-a4.html").page
    leaves = page.locator(".sheet-page").count()
    assert leaves >= 2
    assert len(PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages) == leaves
    told = page.locator(".a6 .made", has_text=words("languages.english_short"))
    assert told.count() == page.locator(".a6 .made").count() == 2 * len(sample_cards())
    page.context.close()
