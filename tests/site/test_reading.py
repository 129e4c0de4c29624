"""A booklet in the hand: on a phone with one thumb, read aloud, in the dark, in high contrast, at 400 % zoom."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.cards.faces import card_face
from benchleaf.site.pages.library.head_lines import HeadLine
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, viewport
from card_samples import carded_booklet, draw_card_pictures, sample_cards
from fleet_pages import make_booklet
from playwright.sync_api import Browser, Dialog, Page
from site_samples import draw_sample_pictures

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")
THUMB_PX = 48
"""Least height and width of what is pressed, CSS pixels."""
ZOOMED = viewport(320, 256)
"""What is left of a window of 1280 by 1024 pixels at 400 %."""


@pytest.fixture(scope="module", name="library")
def _library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    write_booklet(carded_booklet(), folder / "p-101", SETTING, "../index.html")
    draw_sample_pictures(folder / "p-101")
    draw_card_pictures(folder / "p-101")
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    write_booklet(make_booklet(fleet, fleet.head("P-104")), folder / "p-104", SETTING, "../index.html")
    faces = tuple(card_face(c) for c in sample_cards())
    line = HeadLine("p-101", "P-101", "IW-70", "Cream", (), "p-101/index.html", "", 1, 1, 0, cards=faces)
    write_library((line,), (), folder, SETTING)
    return folder


@pytest.fixture(scope="module", name="chrome")
def _chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def _pages(library: Path) -> list[Path]:
    return [p for p in sorted(library.rglob("*.html")) if p.name != "record.html"]


_SMALL = """least => {
    const bad = [];
    for (const e of document.querySelectorAll("a, button, summary, input, select, textarea")) {
        const label = e.tagName === "INPUT" && e.closest("label");
        const box = (label || e).getBoundingClientRect();
        const within = e.closest("svg, p:not(.source, .at-steps, .told, .begin)");
        if (!box.width || e.matches(".skip, .call") || within) continue;
        if (box.height < least - 0.5 || box.width < least - 0.5)
            bad.push(`${e.tagName} ${e.className} in ${e.parentElement.tagName} ${e.parentElement.className}: `
                + `${Math.round(box.width)} x ${Math.round(box.height)}`);
    }
    return [...new Set(bad)];
}"""
"""Links in a sentence stay in their line; numbers beside the overview's parts stand in the parts list too."""


def test_whatever_is_pressed_takes_a_gloved_thumb(chrome: Browser, library: Path) -> None:
    context, bad = chrome.new_context(viewport=PHONE), dict[str, list[str]]()
    for file in _pages(library):
        page = Visit(context, file).page
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        if found := page.evaluate(_SMALL, THUMB_PX):
            bad[str(file.relative_to(library))] = found
        page.close()
    context.close()
    assert bad == {}


def test_picture_acts_and_look_lie_within_two_screens(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101" / "assembly.html").page
    spans = page.evaluate(
        """() => [...document.querySelectorAll(".step")].map(s => {
            const [top, ...ends] = [s, s.querySelector(".do"), s.querySelector(".look"), s.querySelector(".plate")]
                .map((e, n) => e.getBoundingClientRect()[n ? "bottom" : "top"]);
            return Math.max(...ends) - top;
        })"""
    )
    context.close()
    assert len(spans) == 10
    covered = 120  # by the bars above and below
    assert max(spans) <= 2 * (PHONE["height"] - covered)


@pytest.mark.parametrize("width", [360, 820, 1440])
def test_the_menu_names_the_part_and_opens_all_parts(chrome: Browser, library: Path, width: int) -> None:
    booklet = carded_booklet()
    context = chrome.new_context(viewport=viewport(width, 800))
    page = Visit(context, library / "p-101" / "assembly.html").page
    summary = page.locator(".menu summary")
    assert (page.text_content(".menu .part") or "").strip() == "Assembly"
    assert page.locator(".pages .tabs").is_hidden()
    summary.click()
    listed = [p for p in booklet.page_list(WORDS) if p.listed]
    links = page.locator(".menu li a")
    assert links.evaluate_all("all => all.map(a => a.getAttribute('href'))") == [
        "../index.html",
        *(p.file for p in listed),
    ]
    assert all(links.nth(n).is_visible() for n in range(links.count()))
    assert page.locator(".menu [aria-current]").get_attribute("href") == "assembly.html"
    page.keyboard.press("Escape")
    assert not links.first.is_visible()
    summary.click()
    page.mouse.click(width / 2, 790)
    assert not links.first.is_visible()
    summary.click()
    page.click(".menu a[href='values.html']")
    page.wait_for_url("**/values.html")
    context.close()


def test_everything_is_one_tap_from_the_front_page(chrome: Browser, library: Path) -> None:
    booklet = carded_booklet()
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101" / "index.html").page
    for p in booklet.page_list(WORDS):
        if p.kind in ("front", "class_notes"):  # the class view opens its notes
            continue
        link = page.locator(f"main a[href='{p.file}']").first
        link.scroll_into_view_if_needed()
        assert link.is_visible(), p.file
    context.close()


def test_ticks_are_counted_and_taken_away_again(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101" / "assembly.html").page
    assert page.locator(".ticks").is_hidden()
    for n in (2, 3):
        page.check(f"#step-{n} .tick input")
    page.reload()
    assert page.text_content(".ticks output") == "2 of 10 steps ticked"
    answers: list[str] = []

    def refuse(dialog: Dialog) -> None:
        answers.append(dialog.message)
        dialog.dismiss()

    page.once("dialog", refuse)
    page.click("[data-do=reset]")
    assert answers == [WORDS("steps.reset_ask")]
    assert page.is_checked("#step-2 .tick input")
    page.once("dialog", lambda d: d.accept())
    page.click("[data-do=reset]")
    assert page.locator(".tick input:checked").count() == 0
    page.reload()
    assert page.locator(".tick input:checked").count() == 0
    assert page.locator(".ticks").is_hidden()
    context.close()


def test_two_libraries_on_one_disk_share_no_ticks(chrome: Browser, tmp_path: Path) -> None:
    for name, own in (("one", ""), ("two", "second")):
        setting = Setting(WORDS, "Invented Works", True, "2025-03-01", id=own)
        write_booklet(carded_booklet(), tmp_path / name, setting)
    context = chrome.new_context(viewport=PHONE)
    Visit(context, tmp_path / "one" / "assembly.html").page.check("#step-2 .tick input")
    other = Visit(context, tmp_path / "two" / "assembly.html").page
    assert not other.is_checked("#step-2 .tick input")
    other.check("#step-4 .tick input")
    other.once("dialog", lambda d: d.accept())
    other.click("[data-do=reset]")
    again = Visit(context, tmp_path / "one" / "assembly.html").page
    assert again.is_checked("#step-2 .tick input")
    kept: list[str] = again.evaluate("Object.keys(localStorage)")
    ids = [Setting(WORDS, "Invented Works", True, "", id=own).library_id for own in ("", "second")]
    assert all(
        k.startswith(tuple(f"{of}:{i} " for of in ("benchleaf", "benchleaf-job") for i in ids)) for k in kept
    )
    context.close()


VOICE = """
window.spoken = []; window.cancelled = 0;
window.SpeechSynthesisUtterance = function (text) { this.text = text; };
Object.defineProperty(window, "speechSynthesis", {value: {
    getVoices: () => VOICES, addEventListener() {},
    speak(u) { window.spoken.push([u.text, u.voice.name]); }, cancel() { window.cancelled += 1; },
}});
"""
"""A voice that notes what it is given: Chromium without a speech service has none of its own."""
NETWORK = "{name: 'far', lang: 'en-GB', localService: false}"
OTHER = "{name: 'autre', lang: 'fr-FR', localService: true}"
OWN = "{name: 'near', lang: 'en_US', localService: true}"


def _voiced(chrome: Browser, file: Path, voices: str, anchor: str = "") -> Visit:
    context = chrome.new_context(viewport=PHONE)
    context.add_init_script(VOICE.replace("VOICES", f"[{voices}]"))
    return Visit(context, file, anchor)


@pytest.mark.parametrize("voices", ["", NETWORK, OTHER, f"{NETWORK}, {OTHER}"])
def test_without_a_voice_of_the_device_in_its_language_nothing_is_offered(
    chrome: Browser, library: Path, voices: str
) -> None:
    visit = _voiced(chrome, library / "p-101" / "assembly.html", voices)
    assert visit.page.locator(".thumb .next").is_visible()
    assert visit.page.locator(".aloud").is_hidden()
    visit.page.context.close()


def test_a_step_is_read_warnings_first_and_next_reads_the_next(chrome: Browser, library: Path) -> None:
    visit = _voiced(chrome, library / "p-101" / "assembly.html", f"{NETWORK}, {OTHER}, {OWN}", "#step-7")
    page = visit.page
    step = carded_booklet().chapters[0].steps[6].step
    button, following = page.locator(".aloud"), page.locator(".thumb .next")
    for b in (button, following):
        box = b.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= THUMB_PX
    button.click()
    said = [text for text, voice in page.evaluate("window.spoken") if voice == "near"]
    assert said[0] == f"Step 7. {step.title}"
    warned = [
        n for n, text in enumerate(said) for c in step.cautions if c.hazard in text and c.avoidance in text
    ]
    acts = [said.index(act) for act in step.acts]
    assert len(warned) == len(step.cautions)
    assert max(warned) < min(acts)
    assert button.get_attribute("aria-pressed") == "true"
    page.evaluate("window.spoken.length = 0")
    following.click()
    page.wait_for_timeout(200)
    assert page.evaluate("window.spoken[0][0]").startswith("Step 8. ")
    page.evaluate("window.spoken.length = 0")
    before = page.evaluate("window.cancelled")
    button.click()
    assert page.evaluate("window.cancelled") == before + 1
    following.click()
    page.wait_for_timeout(200)
    assert page.evaluate("window.spoken") == []
    page.context.close()


def test_reading_stops_when_the_page_is_left(chrome: Browser, library: Path) -> None:
    visit = _voiced(chrome, library / "p-101" / "assembly.html", OWN, "#step-7")
    page = visit.page
    page.click(".aloud")
    before = page.evaluate("window.cancelled")
    page.evaluate("window.dispatchEvent(new PageTransitionEvent('pagehide'))")
    assert page.evaluate("window.cancelled") == before + 1
    page.evaluate(
        "Object.defineProperty(document, 'hidden', {value: true});"
        "document.dispatchEvent(new Event('visibilitychange'))"
    )
    assert page.evaluate("window.cancelled") == before + 2
    assert page.locator(".aloud").get_attribute("aria-pressed") == "false"
    page.context.close()


def test_at_four_hundred_per_cent_all_reflows_and_nothing_stands_in_the_way(
    chrome: Browser, library: Path
) -> None:
    context, bad = chrome.new_context(viewport=ZOOMED), dict[str, object]()
    for file in _pages(library):
        visit = Visit(context, file)
        stuck = visit.page.evaluate(
            """() => [...document.querySelectorAll('body *')].filter(e => e.getClientRects().length
                && ['fixed', 'sticky'].includes(getComputedStyle(e).position)).map(e => e.className)"""
        )
        # A sheet of A6 cards has its size on paper, and scrolls in its own frame.
        if (visit.too_wide(), stuck) != (0, []):
            bad[str(file.relative_to(library))] = (visit.too_wide(), stuck)
        visit.page.close()
    context.close()
    assert bad == {}


def _violations(page: Page) -> list[object]:
    found = Axe().run(page).response["violations"]
    return [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("name", ["p-101/index.html", "p-101/assembly.html", "p-101/cards.html#ask-dowels"])
def test_accessible_on_a_phone(chrome: Browser, library: Path, name: str, colours: str) -> None:
    file, _, anchor = name.partition("#")
    context = chrome.new_context(viewport=PHONE, color_scheme="dark" if colours == "dark" else "light")
    page = Visit(context, library / file, f"#{anchor}" if anchor else "").page
    assert _violations(page) == []
    if page.locator(".menu").count():
        page.click(".menu summary")
        assert _violations(page) == []
    context.close()


@pytest.mark.parametrize("name", ["class-assembly.html", "notes-assembly.html"])
@pytest.mark.parametrize("view", [PHONE, viewport(820, 1180), DESK], ids=["360", "820", "1440"])
def test_the_class_view_is_accessible_in_the_dark_too(
    chrome: Browser, library: Path, name: str, view: dict[str, int]
) -> None:
    for dark in (False, True):
        context = chrome.new_context(viewport=viewport(**view), color_scheme="dark" if dark else "light")
        visit = Visit(context, library / "p-101" / name, "#step-5")
        visit.page.wait_for_timeout(300)
        assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
        assert _violations(visit.page) == []
        context.close()


def test_pictures_stay_on_white_in_the_dark_in_a_frame(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE, color_scheme="dark")
    page = Visit(context, library / "p-101" / "assembly.html").page
    plate = page.evaluate(
        """() => {
            const s = getComputedStyle(document.querySelector('.plate'));
            return [s.backgroundColor, s.outlineStyle, s.outlineWidth, getComputedStyle(document.body).backgroundColor];
        }"""
    )
    context.close()
    assert plate[:3] == ["rgb(255, 255, 255)", "solid", "1px"]
    assert plate[3] != plate[0]


def test_in_high_contrast_signs_and_lines_say_what_colour_did(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=DESK, forced_colors="active")
    visit = Visit(context, library / "p-101" / "assembly.html", "#step-5")
    seen = visit.page.evaluate(
        """() => {
            const of = (s, p) => getComputedStyle(document.querySelector(s))[p];
            return [of('.safety', 'borderTopStyle'), of('.safety .signal', 'borderBottomWidth'),
                of('.plate', 'outlineStyle'), of('.strip a.here', 'borderTopStyle'),
                of('.strip a.past', 'borderTopStyle'),
                of('.strip a:not(.here, .past)', 'borderTopStyle'), of('.thumb .next', 'borderTopWidth')];
        }"""
    )
    assert seen == ["solid", "2px", "solid", "solid", "dashed", "dotted", "4px"]
    assert visit.troubles == []
    context.close()


def test_nothing_moves_where_less_motion_is_wanted(chrome: Browser, library: Path) -> None:
    context = chrome.new_context(viewport=PHONE, reduced_motion="reduce")
    for name in ("index.html", "assembly.html", "class-assembly.html"):
        page = Visit(context, library / "p-101" / name).page
        assert page.evaluate("document.getAnimations().length") == 0
        assert page.locator("img.moving:visible").count() == 0
    context.close()


def test_a_step_is_heard_in_the_order_in_which_it_is_done(chrome: Browser, library: Path) -> None:
    """A screen reader goes by the document: title, picture, safety messages, acts, look, then reasons and buttons."""
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101" / "assembly.html").page
    order = page.evaluate(
        """() => [...document.querySelectorAll('.step')].map(s =>
            ['h3', '.picture', '.safety', '.acts', '.look', '.why', '.tick'].map(name => s.querySelector(name))
                .every((e, n, all) => !n
                    || all[n - 1].compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING))"""
    )
    context.close()
    assert order == [True] * 10
