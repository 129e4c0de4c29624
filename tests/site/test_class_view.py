"""The class view and its presenter's notes: what stands in them, and both windows driven as a presenter would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.site.pages.class_view.notes import class_notes
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.upkeep_pages import LinkedText, SymptomView, UpkeepPages
from benchleaf.site.pages.view_models import Use
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, dead_links, viewport
from card_samples import carded_booklet, draw_card_pictures
from playwright.sync_api import Browser, Page
from site_samples import draw_sample_pictures

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")
ROOM = viewport(1920, 1080)


@pytest.fixture(scope="module", name="folder")
def _folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("booklet")
    write_booklet(carded_booklet(), folder, SETTING)
    draw_sample_pictures(folder)
    draw_card_pictures(folder)
    return folder


@pytest.fixture(scope="module", name="chrome")
def _chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def test_notes_say_why_what_to_ask_and_what_goes_wrong() -> None:
    booklet = carded_booklet()
    trouble = UpkeepPages(
        {}, (), (), (), (), (), (), None,
        (SymptomView("leak", "Leaks at the seal", (
            LinkedText("a", "The ring is not on its flats", (Use("Assembly, step 3", "assembly.html#step-3"),)),
            LinkedText("b", "Dry run", (), True),
        )),),
        (), (), (), (), (),
    )  # fmt: skip
    notes = class_notes(replace(booklet, upkeep=trouble), booklet.chapters[0], WORDS)
    assert [n.step.step.number for n in notes] == list(range(1, 11))
    third = notes[2]
    assert third.why == (third.step.step.why,)
    cards = len(booklet.proof.cards) if booklet.proof else 0
    asked = [q.text for q in third.questions]
    assert asked[0] == WORDS("class.ask_hazard")
    assert asked[-1] == WORDS("class.ask_look")
    assert asked[1 : 1 + cards] == [c.question for c in booklet.proof.cards] if booklet.proof else []
    assert third.faults[-1].text == "Leaks at the seal: The ring is not on its flats"
    assert third.faults[-1].href == "trouble.html#symptom-leak"
    assert len(third.faults) == cards + 1
    assert notes[0].faults == ()
    assert (notes[0].then, notes[-1].then) == (notes[1].step.step.title, "")
    told = next(q for q in notes[7].questions if "stand" in q.text)
    assert "Invented Works, data sheet IW-70" in told.answer[0], "a figure has its source"
    blank = next(q for q in notes[8].questions if "stand" in q.text)
    assert blank.answer[0].startswith("Where to find it: ")


def _shown(page: Page) -> list[str]:
    """Return what is told beside the picture, item by item."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll('.slide.on [data-item]')].filter(i => i.getClientRects().length)
            .map(i => i.textContent.replace(/\\s+/g, ' ').trim())"""
    )
    return found


@pytest.mark.parametrize("window", [DESK, ROOM], ids=["1440", "1920"])
def test_a_clicker_leads_through_every_step_with_its_warnings_first(
    chrome: Browser, folder: Path, window: dict[str, int]
) -> None:
    context = chrome.new_context(viewport=viewport(**window))
    visit = Visit(context, folder / "class-assembly.html")
    page = visit.page
    page.wait_for_selector(".slide.on")
    seen: dict[str, list[str]] = {}
    for _ in range(200):
        if page.locator(".wall .next").is_disabled():
            break
        page.keyboard.press("PageDown")
        on = page.locator(".slide.on")
        assert on.count() == 1
        number = on.get_attribute("data-step") or ""
        seen.setdefault(number, []).extend(_shown(page))
        fits = page.evaluate(
            """() => {
                const box = document.querySelector('.slide.on .told-to');
                const size = parseFloat(getComputedStyle(box).fontSize) / innerHeight;
                const whole = document.documentElement.scrollHeight <= innerHeight;
                return [box.scrollHeight <= box.clientHeight + 1, size, whole];
            }"""
        )
        assert fits[0], f"step {number}: nothing of it is cut off"
        assert fits[1] >= 0.034, "large enough for the last row"
        assert fits[2], "nothing has to be scrolled"
        assert on.locator(".picture").is_visible()
    chapter = carded_booklet().chapters[0]
    assert list(seen) == [str(n) for n in range(1, 11)]
    for s in chapter.steps:
        told = seen[str(s.step.number)]
        hazards = [n for n, text in enumerate(told) for c in s.step.cautions if c.hazard in text]
        acts = [told.index(act) for act in s.step.acts]
        assert len(hazards) == len(s.step.cautions)
        assert max(hazards) < min(acts)
        assert acts == sorted(acts)
        assert set(s.step.look) <= set(told)
        assert len(told) == len(set(told)), "each is told once"
    for _ in range(200):
        if page.locator(".wall .back").is_disabled():
            break
        page.keyboard.press("PageUp")
    assert page.locator(".slide.on").get_attribute("id") == "opening"
    assert visit.troubles == []
    context.close()


def test_the_film_plays_in_its_place_and_stops_when_the_step_is_left(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, folder / "class-assembly.html", "#step-5").page
    page.wait_for_selector("#step-5.on")
    film = page.locator("#step-5 .film img")
    assert not film.is_visible()
    page.keyboard.press("m")
    assert film.is_visible()
    page.keyboard.press("End")
    page.evaluate("document.querySelector('.class-view')")
    assert page.locator(".slide.on").get_attribute("id") == "step-10"
    assert not page.evaluate("document.querySelector('#step-5 .film').open")
    context.close()


def test_keys_darken_the_screen_and_fill_it(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, folder / "class-assembly.html", "#step-3").page
    page.wait_for_selector("#step-3.on")
    page.keyboard.press("b")
    assert page.locator(".black").is_visible()
    page.keyboard.press(".")
    assert not page.locator(".black").is_visible()
    page.keyboard.press("f")
    page.wait_for_selector(":fullscreen", state="attached")
    page.keyboard.press("f")
    page.wait_for_selector("html:not(:fullscreen)", state="attached")
    page.click(".wall [data-do=full]")
    page.wait_for_selector(":fullscreen", state="attached")
    context.close()


def test_each_change_of_step_is_told_to_whatever_opens_in_a_picture(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, folder / "class-assembly.html", "#step-9").page
    page.wait_for_selector("#step-9.on")
    page.evaluate(
        "window.heard = []; document.addEventListener('benchleaf:step', e => window.heard.push(e.detail))"
    )
    page.keyboard.press("End")
    page.keyboard.press("Home")
    assert page.evaluate("window.heard") == [
        {"sequence": "assembly", "step": 10},
        {"sequence": "assembly", "step": 0},
    ]
    context.close()


def _note(window: Page) -> str:
    window.wait_for_selector(".note.on")
    assert window.locator(".note:visible").count() == 1
    return window.locator(".note.on").get_attribute("data-step") or ""


def test_the_notes_follow_in_a_second_window_and_lead_too(chrome: Browser, folder: Path) -> None:
    """Both are files on disk, as a library on a stick has them."""
    context = chrome.new_context(viewport=DESK)
    visit = Visit(context, folder / "class-assembly.html", "#step-3")
    page = visit.page
    page.wait_for_selector("#step-3.on")
    with context.expect_page() as opened:
        page.click(".wall [data-do=notes]")
    notes, troubles = opened.value, list[str]()
    notes.on("console", lambda m: troubles.append(m.text))
    assert notes.url.endswith("/notes-assembly.html")
    assert _note(notes) == "3"
    page.keyboard.press("End")
    notes.wait_for_selector("#step-10.on")
    notes.keyboard.press("Home")  # is the window's own
    parts = int(
        page.evaluate("document.querySelector('.wall .at').textContent.split(/[\u25cf\u25cb]/).length - 1")
    )
    assert parts > 1
    notes.click(".wall .back")
    page.wait_for_selector("#step-9.on")
    notes.wait_for_selector("#step-9.on")
    notes.keyboard.press("PageDown")
    page.wait_for_selector("#step-10.on")
    page.reload()
    notes.wait_for_timeout(1800)
    page.wait_for_selector("#step-10.on")
    page.keyboard.press("Home")
    page.keyboard.press("PageDown")
    notes.wait_for_selector("#step-1.on")
    assert (visit.troubles, troubles) == ([], [])
    context.close()


def test_messages_of_strangers_are_not_followed(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, folder / "class-assembly.html", "#step-3").page
    page.wait_for_selector("#step-3.on")
    with context.expect_page() as opened:
        page.keyboard.press("n")
    notes = opened.value
    assert _note(notes) == "3"
    before = page.text_content(".wall .at")
    for said in (
        "{benchleaf: 'another', step: 5, part: 0, parts: 1}",
        "{benchleaf: KEY, step: 1e9, part: 0, parts: 1}",
        "{benchleaf: KEY, step: '<b>', part: 0, parts: 1}",
        "null",
    ):
        page.evaluate(
            f"""() => {{
                const KEY = document.body.dataset.booklet + ' ' + document.body.dataset.class;
                window.open('', 'notes ' + KEY).postMessage({said}, '*');
            }}"""
        )
    # From the notes' own window, whose opener did not say it.
    notes.evaluate(
        "window.postMessage({benchleaf: document.body.dataset.booklet + ' assembly', step: 5, part: 0, parts: 1}, '*')"
    )
    page.evaluate("window.postMessage({benchleaf: document.body.dataset.booklet + ' assembly', go: 1}, '*')")
    page.wait_for_timeout(300)
    assert _note(notes) == "3"
    assert page.locator(".slide.on").get_attribute("id") == "step-3"
    assert page.text_content(".wall .at") == before, "not even a part further"
    context.close()


def test_both_are_whole_without_script_and_on_a_phone(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = Visit(context, folder / "class-assembly.html").page
    assert (
        page.locator(".slide [data-item]:visible").count() == page.locator(".slide [data-item]").count() > 30
    )
    assert not page.locator(".wall").is_visible()
    notes = Visit(context, folder / "notes-assembly.html").page
    assert notes.locator(".note:visible").count() == 10
    context.close()
    context = chrome.new_context(viewport=PHONE)
    visit = Visit(context, folder / "class-assembly.html", "#step-3")
    visit.page.wait_for_selector("#step-3.on")
    assert visit.too_wide() == 0
    alone = Visit(context, folder / "notes-assembly.html")
    assert alone.page.locator(".note:visible").count() == 10
    context.close()


def test_no_dead_link(folder: Path) -> None:
    assert [d for d in dead_links(sorted(folder.glob("*.html"))) if "trouble" not in d] == []
