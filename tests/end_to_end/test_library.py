"""The demo fleet, built for real (with small pictures) and opened page by page in Chromium from disk.

Set ``BENCHLEAF_LIBRARY`` to the folder of a demo library that is there already, and that one is opened instead.
"""

from __future__ import annotations

import io
import json
import os
import re
from collections.abc import Iterator, Mapping
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.pairs import SIZE as PAIR
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import plan_head
from benchleaf.sequences.proof.head_work import solid_head
from benchleaf.site.booklets.library import build_library
from benchleaf.site.extras.checking import check_fleet
from benchleaf.site.extras.exporting import export_parts
from benchleaf.site.folders.marks import KEPT_PUMPS, KEPT_VALUES, MARK
from benchleaf.site.pages.paper.pdf_files import PdfUnavailable, make_pdf, pdf_maker
from browsing import DESK, PHONE, Visit, browser, dead_links, pdf_pages, pictures_on_sheets, viewport
from demo_library import FLEET, HEADS, demo_library, demo_store
from long_words import WIDTHS, pushed_out, spread_long_words
from lxml import html
from picture_sizes import SMALL
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

pytestmark = pytest.mark.slow  # a library is built


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_library(tmp_path_factory)


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def _pages(library: Path) -> list[Path]:
    pages = sorted(library.rglob("*.html"))
    assert len(pages) >= 2 + 7
    return pages


def test_every_page_opens_clean_wide_and_narrow(chrome: Browser, library: Path) -> None:
    bad: dict[str, object] = {}
    for view in (DESK, PHONE):
        context = chrome.new_context(viewport=view)
        for file in _pages(library):
            visit = Visit(context, file)
            found = (visit.broken_pictures(), visit.troubles, visit.outside(), visit.too_wide())
            if found != ([], [], [], 0):
                bad[f"{file.relative_to(library)} at {view['width']}"] = found
            visit.page.close()
        context.close()
    assert bad == {}


def test_no_dead_link(library: Path) -> None:
    assert dead_links(_pages(library)) == []


class Steps(HTMLParser):
    """What each step of a page holds, in order of appearance."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.steps: list[list[str]] = []
        self.alts: list[str] = []
        self.film_alts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        classes = (named.get("class") or "").split()
        if tag == "section" and "step" in classes:
            self.steps.append([])
        elif self.steps:
            self.steps[-1] += [c for c in classes if c in {"safety", "again", "acts"}]
            if tag == "img":
                kind = "film" if "moving" in classes else "picture"
                self.steps[-1].append(kind)
                {"film": self.film_alts, "picture": self.alts}[kind].append(named.get("alt") or "")


@cache
def masses_of(slug: str) -> Mapping[str, float]:
    """Return the masses of a head's parts: what is heavy brings a message."""
    return masses_kg(solid_head(next(h for h in load_fleet(FLEET).heads if h.slug == slug)))


@pytest.mark.parametrize("sequence", ["assembly", "disassembly", "inspection"])
def test_every_step_has_picture_alt_text_and_caution_before_its_acts(library: Path, sequence: str) -> None:
    fleet = load_fleet(FLEET)
    files = sorted(library.glob(f"*/{sequence}.html"))
    assert files
    for file in files:
        head = next(h for h in fleet.heads if h.slug == file.parent.name)
        plan = plan_head(head, fleet.sequences[sequence], masses_of(head.slug))
        page = Steps(file.read_text("utf-8"))
        assert len(page.steps) == len(plan.steps)
        for held, step, alt in zip(page.steps, plan.steps, page.alts, strict=True):
            assert held.count("picture") == 1, step.id
            assert min(held.index(c) for c in ("safety", "again") if c in held) < held.index("acts"), step.id
            assert held.count("again") == len(step.reminders), step.id
            assert alt.startswith(step.title.rstrip(".")), step.id
            assert len(alt) > len(step.title) + 10, "the alt text names the parts"
            assert held.count("film") == 1 or not step.moves, f"{step.id}: what moves is seen in motion"
            pulled = any(o.tool != "hand" for o in step.operations)
            assert held.count("film") == 0 or step.moves or step.shaft_turn_deg or pulled, step.id
        assert all(a.startswith("The same in motion") for a in page.film_alts)
        assert "-film." not in (file.parent / "paper.html").read_text("utf-8"), "no film on paper"


def test_every_part_of_a_head_is_listed_once_and_pointed_out(library: Path) -> None:
    fleet = load_fleet(FLEET)
    for file in sorted(library.glob("*/index.html")):
        head = next(h for h in fleet.heads if h.slug == file.parent.name)
        text = file.read_text("utf-8")
        counts = [int(n) for n in re.findall(r'</th><td class="num">(\d+)</td>', text)]
        assert sum(counts) == len(head.parts)
        items = {int(n) for n in re.findall(r'id="item-(\d+)"', text)}
        assert items == set(range(1, len(items) + 1))
        manifest = json.loads((file.parent / "pictures" / "overview.json").read_text("utf-8"))
        assert set(manifest["parts"]) == set(head.parts)
        assert {int(n) for n in re.findall(r'href="#item-(\d+)"', text)} == items


_OVERLAPS = """() => {
    const bad = [];
    for (const plate of document.querySelectorAll('.plate.called')) {
        const calls = [...plate.querySelectorAll('.call')].filter(c => c.getClientRects().length);
        const boxes = calls.map(c => c.getBoundingClientRect());
        const all = plate.getBoundingClientRect();
        boxes.forEach((a, i) => {
            if (a.left < -0.5 || a.right > document.documentElement.clientWidth + 0.5
                || a.top < all.top - 0.5 || a.bottom > all.bottom + 0.5)
                bad.push('out of its frame: ' + calls[i].textContent);
            boxes.slice(i + 1).forEach((b, j) => {
                const [across, down] = [Math.min(a.right, b.right) - Math.max(a.left, b.left),
                    Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top)];
                if (across > 0.5 && down > 0.5)
                    bad.push(calls[i].textContent + ' over ' + calls[i + 1 + j].textContent);
            });
        });
        if (!calls.length) bad.push('no callout at all');
    }
    return bad;
}"""


def test_callouts_never_overlap_at_any_width(chrome: Browser, library: Path) -> None:
    context, bad = chrome.new_context(), dict[str, object]()
    for name in ("index.html", "assembly.html"):
        for file in sorted(library.glob(f"*/{name}")):
            page: Page = Visit(context, file).page
            for width in (320, 360, 412, 480, 560, 640, 768, 900, 1024, 1280, 1440, 1920):
                page.set_viewport_size(viewport(width, 900))
                assert page.evaluate("innerWidth") == width
                if found := page.evaluate(_OVERLAPS):
                    bad[f"{file.parent.name}/{name} at {width}"] = found
            page.close()
    context.close()
    assert bad == {}


@pytest.mark.parametrize("sequence", ["assembly", "disassembly", "inspection"])
def test_names_of_sections_are_whole_above_the_steps(chrome: Browser, library: Path, sequence: str) -> None:
    context = chrome.new_context()
    page = Visit(context, library / "p-104" / f"{sequence}.html").page
    cut = {}
    for width in (720, 768, 800, 900, 1024, 1280, 1440):
        page.set_viewport_size({"width": width, "height": 800})
        cut[width] = page.evaluate(
            """() => [...document.querySelectorAll('.strip a span')]
                .filter(n => n.scrollHeight > n.clientHeight + 1 || n.scrollWidth > n.clientWidth + 1)
                .map(n => n.textContent)"""
        )
    assert page.locator(".strip a span").count() >= 4
    context.close()
    assert not any(cut.values()), cut


def test_missing_values_are_the_same_on_page_table_and_check(library: Path) -> None:
    built = {p.parent.name for p in library.glob("*/index.html")}
    expected = sorted(
        (m.tag, m.name) for m in check_fleet(FLEET).missing if m.tag.casefold().replace(" ", "-") in built
    )
    import csv

    with (library / "missing.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))[1:]
    assert sorted((row[0], row[2]) for row in rows) == expected
    for slug in built:
        blanks = (library / slug / "values.html").read_text("utf-8").count('class="unknown"')
        assert blanks == sum(tag.casefold().replace(" ", "-") == slug for tag, _ in expected)


def test_every_page_says_that_the_plant_is_invented(library: Path) -> None:
    for file in _pages(library):
        assert "Quillmere Creamery does not exist." in file.read_text("utf-8"), file.name


def test_every_file_may_be_read_by_whoever_may_read_the_first_page(library: Path) -> None:
    """A library is put on a shared drive, or behind a web server."""
    usual = (library / "index.html").stat().st_mode
    assert [p for p in library.rglob("*") if p.is_file() and p.stat().st_mode != usual] == []


def test_a_booklet_is_light_enough_to_send(library: Path) -> None:
    """Pages and manifests weigh the same whatever the size of the pictures."""
    for booklet in (p.parent for p in library.glob("*/paper.html")):
        files = [p for p in booklet.rglob("*") if p.is_file()]
        words = sum(p.stat().st_size for p in files if p.suffix in (".html", ".json"))
        assert words < 5.6e6, booklet.name
        whole = sum(p.stat().st_size for p in files)
        assert whole < 16e6, booklet.name
        assert whole - sum(p.stat().st_size for p in files if p.parent.name == "viewer") < 12e6, booklet.name


def test_only_pages_pictures_and_their_assets_are_written(library: Path) -> None:
    endings = {
        p.suffix for p in library.rglob("*") if p.is_file() and p.name not in (MARK, KEPT_PUMPS, KEPT_VALUES)
    }
    assert endings <= {".html", ".css", ".js", ".json", ".webp", ".avif", ".png", ".csv", ".txt"}
    assert not [p for p in library.rglob("*") if p.is_symlink()]


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_paper_has_every_step_whole_on_a_sheet_with_its_picture(
    chrome: Browser, library: Path, tmp_path: Path, size: str
) -> None:
    """Printed as soon as the page is open, when no one has scrolled to a picture."""
    file = sorted(library.glob("*/paper.html"))[-1]
    context = chrome.new_context()
    visit = Visit(context, file)
    steps, figures = visit.page.locator(".step").count(), visit.page.locator("picture").count()
    lists = [
        " ".join(text.split()) for text in visit.page.locator(".step.plain .at-step").all_text_contents()
    ]
    assert 10 < len(lists) < steps, "those of checklists have no picture"
    assert visit.page.locator("[loading=lazy]").count() == 0
    sheets = pdf_pages(visit.page, tmp_path / "paper.pdf", size)
    context.close()
    pictures = pictures_on_sheets(tmp_path / "paper.pdf")
    assert pictures.total() == figures
    torn, seen = [], 0
    for number, sheet in enumerate(sheets, start=1):
        flat = " ".join(sheet.split())
        heads = len(re.findall(r"· step \d+ of \d+", flat))
        seen += heads
        plain = sum(flat.count(where) for where in lists)
        assert pictures[number] >= heads - plain, f"sheet {number} holds its steps' pictures"
        if heads != len(re.findall(r"Done(?! by)", flat)):
            torn.append(number)
        assert f"Page {number} of {len(sheets)}" in flat
    assert torn == []
    assert seen == steps


@pytest.mark.slow
def test_the_pdf_file_of_a_head_is_compact_and_light_and_tears_no_step(library: Path) -> None:
    """Each step stands on one page from its title and first safety message to its tools."""
    try:
        pdf_maker()
    except PdfUnavailable as e:
        pytest.skip(str(e))
    folder = sorted(library.glob("*/paper.html"))[0].parent
    text = (folder / "paper.html").read_text("utf-8")
    pdf = make_pdf(text, lambda path: (folder / path).read_bytes(), "A4")
    assert len(pdf) < 8e6
    pages = ["".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(pdf)).pages]
    assert len(pages) < 90
    steps = [
        e for e in html.document_fromstring(text).iter("section") if "step" in e.get("class", "").split()
    ]
    assert len(steps) > 80
    torn = []  # compared without spaces: a line may end at a hyphen
    for step in steps:
        told = [e for e in step.iter() if e.tag == "h3" or e.get("class") == "hazard"]
        told += [e for e in step.iter("strong", "li") if e.tag == "strong" or _within(e, "acts", "look")]
        told += [e for e in step.iter("dd") if _within(e, "kit")]
        wanted = ["".join(e.text_content().split()) for e in told]
        if not any(all(t in page for t in wanted) for page in pages):
            torn.append(wanted[0])
    assert torn == []


def _within(element: html.HtmlElement, *classes: str) -> bool:
    return any(c in e.get("class", "").split() for e in element.iterancestors() for c in classes)


def test_pictures_have_the_pixels_that_paper_needs(chrome: Browser, library: Path) -> None:
    """300 a inch at the width at which each kind of picture is printed on A4, whose text is 180 mm wide."""
    full, pixels = PictureSettings(), dict[str, int]()
    pixels |= {"step": full.width, "overview": full.overview_width, "fit-card": PAIR[0]}
    context = chrome.new_context(viewport={"width": round(210 / 25.4 * 96), "height": 1000})
    file = sorted(library.glob("*/paper.html"))[0]
    page = Visit(context, file).page
    page.emulate_media(media="print")
    page.evaluate("document.body.style.width = '180mm'")
    widest = page.evaluate(
        """kinds => kinds.map(kind => {
            const pictures = [...document.querySelectorAll('.' + kind + ' picture img')];
            return Math.max(0, ...pictures.map(i => i.clientWidth));
        })""",
        list(pixels),
    )
    context.close()
    assert widest[0] > 200, "pictures are laid out"
    for (kind, has), css in zip(pixels.items(), widest, strict=True):
        assert has >= 300 * css / 96, kind


def test_leaders_hide_nothing_but_a_hair_beside_them(chrome: Browser, library: Path) -> None:
    """A halo of lines in a stretched drawing is as wide as it is told, and lies over no other part of the page."""
    for name in ("index.html", "assembly.html"):
        for view in (DESK, PHONE):
            context = chrome.new_context(viewport=view)
            visit = Visit(context, library / HEADS[0].lower() / name)
            found = visit.page.evaluate(
                """() => [...document.querySelectorAll(".calls")].filter(c => c.clientWidth).slice(0, 6).map(c => {
                    c.scrollIntoView({block: "center"});
                    const box = c.getBoundingClientRect();
                    let under = 0, all = 0;
                    for (let x = .5; x < 24; x++) for (let y = .5; y < 24; y++) {
                        const at = [box.left + box.width * x / 24, box.top + box.height * y / 24];
                        if (at[1] < 0 || at[1] > innerHeight) continue;
                        all++;
                        under += document.elementsFromPoint(...at).some(e => e.closest(".halo"));
                    }
                    return [all, under];
                })"""
            )
            context.close()
            assert found or view is PHONE, name
            assert all(under <= 0.1 * every for every, under in found), (name, view, found)


@pytest.fixture
def kept(library: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store with all that the library is made of."""
    if os.environ.get("BENCHLEAF_LIBRARY"):
        pytest.skip("of the given library no store is known")
    return demo_store(tmp_path_factory)


def test_a_section_is_handed_out_as_one_file(kept: Path, tmp_path: Path) -> None:
    """As PDF or as one page: its steps and its messages, under its own title, and no step of another section."""
    given = {"part": "disassembly/cover", "cache": kept, "pictures": SMALL}
    assert export_parts(FLEET, tmp_path / "pdf", HEADS[:1], sizes=("A4",), **given) == 1  # type: ignore[arg-type]
    (file,) = (tmp_path / "pdf").rglob("*.pdf")
    reader = PdfReader(file)
    fleet = load_fleet(FLEET)
    head = fleet.head(HEADS[0])
    plan = plan_head(head, fleet.sequences["disassembly"], masses_of(head.slug))
    (title,) = [s.title for s in plan.sections if s.id == "cover"]
    assert reader.metadata is not None
    assert reader.metadata.title == f"{HEADS[0]} · Disassembly: {title}"
    assert export_parts(FLEET, tmp_path / "page", HEADS[:1], sizes=(), **given) == 1  # type: ignore[arg-type]
    (one,) = (tmp_path / "page").rglob("*.html")
    sheets = "".join("".join(p.extract_text().split()) for p in reader.pages)
    texts = {"pdf": sheets, "page": "".join(html.fromstring(one.read_text("utf-8")).text_content().split())}
    for kind, said in texts.items():
        for step in plan.steps:
            heading = "".join(f"{step.number}{step.title}".split())
            assert (heading in said) == (step.section == "cover"), (kind, step.title)
        messages = {c.hazard for s in plan.steps if s.section == "cover" for c in s.cautions}
        assert [m for m in messages if "".join(m.split()) not in said] == [], kind


def test_building_again_gives_the_same_bytes(library: Path, tmp_path: Path) -> None:
    """Once in workers, once in this process: the booklet of a head is the same to the last byte."""
    if os.environ.get("BENCHLEAF_LIBRARY"):
        pytest.skip("the given library has pictures of another size")
    build_library(FLEET, tmp_path / "again", only=HEADS[:1], workers=1, pictures=SMALL, prove=True)
    slug = HEADS[0].lower()
    first = {
        p.relative_to(library / slug): p.read_bytes() for p in (library / slug).rglob("*") if p.is_file()
    }
    again = {
        p.relative_to(tmp_path / "again" / slug): p.read_bytes()
        for p in (tmp_path / "again" / slug).rglob("*")
        if p.is_file()
    }
    assert first.keys() == again.keys()
    assert [str(k) for k in first if first[k] != again[k]] == []


def test_each_question_of_the_bench_is_one_tap_from_the_front_page(chrome: Browser, library: Path) -> None:
    """With the real cards, on a phone: one tap, each pair within one screen at full width, one tap back."""
    asked = {"edges", "dowels", "rings", "notches", "keyways", "material"}
    context = chrome.new_context(viewport=PHONE, has_touch=True)
    for front in sorted(library.glob("*/cards.html")):
        visit = Visit(context, front.with_name("index.html"))
        page, home = visit.page, visit.page.url
        first = page.evaluate("[...document.querySelectorAll('main a')].map(a => a.getAttribute('href'))")
        assert first[: len(asked)] == [h for h in first if "#ask-" in h], "the first tile"
        assert {h.rpartition("-")[2] for h in first[: len(asked)]} == asked, front
        taps, screens = dict[str, int](), dict[str, int]()
        for href in first[: len(asked)]:
            page.tap(f"main a[href='{href}']")
            page.wait_for_url(f"**/{href}")
            taps[href] = 1
            bottoms = page.evaluate(
                """async () => {
                    const cards = [...document.querySelectorAll('.fit-card')].filter(c => c.getClientRects().length);
                    const images = cards.flatMap(c => [...c.querySelectorAll('.pair img')]);
                    images.forEach(i => { i.loading = "eager"; });  // one far below would never be decoded
                    await Promise.all(images.map(i => i.decode()));
                    const room = document.querySelector('.thumb').getBoundingClientRect().top;
                    return cards.map((c, n) => {
                        if (n) c.querySelector('.pair').scrollIntoView();
                        const all = [...c.querySelectorAll('.pair img')].map(i => i.getBoundingClientRect());
                        const wide = all.every(b => b.left === 0 && b.width === innerWidth);
                        return [wide, all[0].top >= 0 && all[1].bottom <= room];
                    });
                }"""
            )
            assert all(wide and seen for wide, seen in bottoms), (href, bottoms)
            screens[href] = len(bottoms)
            page.tap(".thumb .back")
            page.wait_for_url(home)
        assert set(taps.values()) == {1}
        assert screens["cards.html#ask-dowels"] == 2, "the body's and the cover's"
        assert max(screens.values()) <= 3
        assert visit.troubles == []
        page.close()
    context.close()


def test_picture_acts_and_look_of_most_steps_lie_within_two_screens(chrome: Browser, library: Path) -> None:
    """All but those with several new safety messages or values in full, and these within two and a half."""
    context, spans = chrome.new_context(viewport=PHONE), list[float]()
    for file in sorted(library.glob("p-101/*.html")):
        if file.stem in ("assembly", "disassembly", "inspection"):
            page = Visit(context, file).page
            spans += page.evaluate(
                """() => [...document.querySelectorAll(".step")].map(s => Math.max(...[".plate", ".do", ".look"]
                    .map(n => s.querySelector(n)).filter(Boolean).map(e => e.getBoundingClientRect().bottom))
                    - s.getBoundingClientRect().top)"""
            )
            page.close()
    context.close()
    assert len(spans) > 80
    screen = PHONE["height"]
    assert sum(s <= 2 * screen for s in spans) >= 0.85 * len(spans)
    assert max(spans) <= 2.5 * screen


def test_words_of_thirty_letters_push_nothing_out_of_the_window(chrome: Browser, library: Path) -> None:
    context, bad = chrome.new_context(), dict[str, list[str]]()
    for file in (*library.glob("*.html"), *(library / "p-101").glob("*.html")):
        page = Visit(context, file).page
        spread_long_words(page)
        for width in WIDTHS:
            page.set_viewport_size(viewport(width, 800))
            assert page.evaluate("innerWidth") == width
            if found := pushed_out(page):
                bad[f"{file.name} at {width}"] = found[:9]
        page.close()
    context.close()
    assert bad == {}
