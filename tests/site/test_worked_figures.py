"""Figures as a reader meets them: on the built page each shows formula, inputs, source and limit, and a reader who
takes nothing but the printed strings works out the printed result."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.geometry.engineering.figures import evaluate
from benchleaf.sequences.calculations.head_calculations import nut_spring_turned
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.site.booklets.kinds.head_kind import cards_with_spring
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.pages.cards.cards import CardView
from benchleaf.site.pages.pages import units
from benchleaf.site.pages.view_models import PictureView
from benchleaf.site.words.finding_words import turned_over_in_words
from benchleaf.site.words.topic_words import limit_in_words, topic_in_words
from browsing import DESK, PHONE, Visit, browser, dead_links, pdf_pages
from fleet_pages import WORDS, write_fleet_pages
from playwright.sync_api import Browser, ViewportSize

HEADS = ("p-101", "p-103", "p-104", "p-201", "p-202")
SIGNS = {
    k: WORDS(f"figures.sign.{k}") + " " + WORDS(f"figures.judged.{k}") for k in ("inside", "edge", "outside")
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Booklet]]:
    folder = tmp_path_factory.mktemp("demo")
    booklets = write_fleet_pages(load_fleet(DEMO_FLEET / "fleet.yaml"), folder)
    return folder, {tag.casefold(): b for tag, b in booklets.items()}


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


# ------------------------------------------------------------------ a reader with a calculator
@dataclass(frozen=True)
class Printed:
    """A figure as its strings stand on the page."""

    anchor: str
    name: str
    result: str
    judged: str
    rows: dict[str, str]
    inputs: dict[str, str]
    sources: tuple[str, ...]


def _plain(markup: str) -> str:
    text = re.sub(r"</?(?:wbr|span)\b[^>]*>", "", markup)
    return re.sub(r"[ \n]+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text))).strip()


def _one(pattern: str, text: str) -> str:
    found = re.search(pattern, text, re.S)
    return _plain(found[1]) if found else ""


def printed_figures(page: str) -> list[Printed]:
    """Read all figures off the text of a page."""
    found = []
    for m in re.finditer(r'<details class="worked" id="(figure-[^"]+)">(.*?)</details>', page, re.S):
        text = m[2]
        rows = {_plain(a): b for a, b in re.findall(r"<dt>(.*?)</dt><dd[^>]*>(.*?)</dd>", text, re.S)}
        items = re.findall(
            r'<li>.*?"symbol">(.*?)</span> = <span class="amount">(.*?)</span>.*?"source">(.*?)</span>',
            text,
            re.S,
        )
        found.append(
            Printed(
                m[1],
                _one(r'<span class="name">(.*?)</span>', text),
                _one(r'<span class="figure-of nb">(.*?)</span>', text),
                _one(r'<span class="judged[^"]*">(.*?)</summary>', text),
                {k: _plain(v) for k, v in rows.items()},
                {_plain(s): _plain(v) for s, v, _ in items},
                tuple(_plain(s) for *_, s in items),
            )
        )
    return found


_NUMBER = re.compile(r"[\u2212-]?\d[\d\u202f]*(?:\.\d+)?")


def _number(text: str) -> float:
    found = _NUMBER.match(text)
    assert found, text
    return float(found[0].replace("\u202f", "").replace("\u2212", "-"))


def _step(text: str) -> float:
    digits = _NUMBER.match(text)
    assert digits
    return float(10.0 ** -len(digits[0].partition(".")[2]))


@pytest.mark.parametrize("tag", HEADS)
def test_each_figure_shows_its_formula_inputs_and_source_and_can_be_worked_again(
    demo: tuple[Path, dict[str, Booklet]], tag: str
) -> None:
    folder, booklets = demo
    figures = printed_figures((folder / tag / "values.html").read_text("utf-8"))
    wanted = [f for g in booklets[tag].groups for f in g.figures]
    assert len(figures) == len(wanted) > 50
    worked = 0
    for shown, figure in zip(figures, wanted, strict=True):
        assert shown.rows[WORDS("figures.source")], shown.name
        assert shown.inputs, shown.name
        assert all(shown.sources)
        assert len(shown.inputs) == len(figure.inputs), "each symbol of a figure is one input"
        if figure.limit is not None:
            assert shown.rows[WORDS("figures.limit")].startswith(limit_in_words(figure.limit, WORDS))
            limit = shown.rows[WORDS("figures.limit")].replace("\u00a0", " ")
            assert limit.count(topic_in_words(figure.limit.source, WORDS).replace("\u00a0", " ")) == 1
        assert shown.name == units(topic_in_words(figure.topic, WORDS))
        if not figure.formula:
            assert shown.rows[WORDS("figures.method")]
            continue
        symbol, _, formula = shown.rows[WORDS("figures.formula")].partition(" = ")
        by_reader = evaluate(formula, {s: _number(v) for s, v in shown.inputs.items()})
        printed = _number(shown.result)
        allowed = max(_step(shown.result), 0.005 * abs(printed))
        assert abs(by_reader - printed) <= allowed * (1 + 1e-9), f"{shown.name}: {shown.rows}"
        working = shown.rows[WORDS("figures.working")]
        assert working.startswith(f"{symbol} = ")
        assert working.endswith(f" = {re.split(r' [(]', shown.result)[0]}")
        middle = working[len(symbol) + 3 :].rsplit(" = ", 1)[0].replace("\u202f", "")
        assert abs(evaluate(middle, {}) - by_reader) <= 1e-9 * max(1, abs(by_reader)), working
        worked += 1
    assert worked >= len(figures) - 5


@pytest.mark.parametrize("tag", HEADS)
def test_a_judgement_is_told_by_sign_and_word_and_is_right(
    demo: tuple[Path, dict[str, Booklet]], tag: str
) -> None:
    folder, booklets = demo
    figures = printed_figures((folder / tag / "values.html").read_text("utf-8"))
    for shown, figure in zip(figures, (f for g in booklets[tag].groups for f in g.figures), strict=True):
        if figure.limit is None:
            assert not shown.judged
        else:
            assert shown.judged == SIGNS[figure.judgement], shown.name


def test_signs_and_words_of_judgements_all_differ() -> None:
    assert len({s[0] for s in SIGNS.values()}) == len(SIGNS)
    assert len(set(SIGNS.values())) == len(SIGNS)


def test_the_spring_is_told_in_each_step_that_handles_it(demo: tuple[Path, dict[str, Booklet]]) -> None:
    folder, _ = demo
    for tag in HEADS:
        told = 0
        for kind in ("assembly", "disassembly", "inspection"):
            page = (folder / tag / f"{kind}.html").read_text("utf-8")
            for text in re.findall(r'<section class="step.*?</section>', page, re.S):
                tells = "Turned over" in text
                named = "values.html#sheet-disc-spring" in text
                assert tells == named
                told += tells
                assert not tells or "disc spring" in text.casefold()
        assert told >= 5, "two springs in and out, and one look at both"


# ------------------------------------------------------------------ in the browser
@pytest.mark.parametrize("tag", ["p-104", "p-202"])
@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_the_page_opens_clean_with_all_figures_open(
    chrome: Browser, demo: tuple[Path, dict[str, Booklet]], tag: str, view: ViewportSize
) -> None:
    context = chrome.new_context(viewport=view)
    visit = Visit(context, demo[0] / tag / "values.html")
    visit.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    clipped = visit.page.evaluate(
        """() => [...document.querySelectorAll('.worked dd, .worked summary > *, .told, .sheet-of p')]
            .filter(e => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
            .map(e => e.textContent.trim().slice(0, 60))"""
    )
    assert clipped == []
    context.close()


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_the_page_is_accessible(chrome: Browser, demo: tuple[Path, dict[str, Booklet]], colours: str) -> None:
    context = chrome.new_context(viewport=DESK, color_scheme=colours)  # type: ignore[arg-type]
    visit = Visit(context, demo[0] / "p-104" / "values.html")
    visit.page.evaluate("[...document.querySelectorAll('details')].slice(0, 9).forEach(d => d.open = true)")
    found = Axe().run(visit.page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    context.close()


def test_every_figure_opens_without_script(chrome: Browser, demo: tuple[Path, dict[str, Booklet]]) -> None:
    context = chrome.new_context(java_script_enabled=False, viewport=PHONE)
    page = context.new_page()
    page.goto((demo[0] / "p-101" / "values.html").as_uri())
    first = page.locator("#figure-gap-front-gap-front")
    assert not first.locator("dl").is_visible()
    first.locator("summary").click()
    assert first.locator("dl").is_visible()
    context.close()


def test_a_link_to_a_figure_opens_it(chrome: Browser, demo: tuple[Path, dict[str, Booklet]]) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, demo[0] / "p-101" / "values.html", "#figure-gap-front-gap-front").page
    assert page.locator("#figure-gap-front-gap-front dl").is_visible()
    context.close()


def test_paper_shows_every_working_without_a_click(
    chrome: Browser, demo: tuple[Path, dict[str, Booklet]], tmp_path: Path
) -> None:
    context = chrome.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo[0] / "p-101" / "values.html").as_uri())
    sheets = "".join(pdf_pages(page, tmp_path / "values.pdf", "A4"))
    context.close()
    count = sum(len(g.figures) for g in demo[1]["p-101"].groups)
    assert sheets.count("Inputs:") == count
    assert sheets.count("Source:") == count
    assert sheets.count("Worked:") + sheets.count("Method:") == count


def test_figures_and_units_never_part(chrome: Browser, demo: tuple[Path, dict[str, Booklet]]) -> None:
    """On the narrowest screen no figure stands at the end of a line with its unit on the next."""
    context = chrome.new_context(viewport={"width": 320, "height": 700})
    page = Visit(context, demo[0] / "p-104" / "values.html").page
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    parted = page.evaluate(
        r"""() => {
            const bad = [], walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
            const unit = /\d[\s\u00a0](?=(mm|µm|N|kN|N·m|%|°C|K|MPa|bar|kg)(?![\w·]))/g, range = document.createRange();
            for (let node = walk.nextNode(); node; node = walk.nextNode())
                for (const m of node.data.matchAll(unit)) {
                    range.setStart(node, m.index); range.setEnd(node, m.index + m[0].length + 1);
                    const tops = [...range.getClientRects()].filter(r => r.width).map(r => Math.round(r.top));
                    if (new Set(tops).size > 1) bad.push(node.data.slice(Math.max(0, m.index - 20), m.index + 20));
                }
            return bad;
        }"""
    )
    assert parted == []
    context.close()


def test_no_dead_link_from_steps_doubts_and_figures(demo: tuple[Path, dict[str, Booklet]]) -> None:
    assert dead_links(sorted(demo[0].rglob("*.html"))) == []


def test_the_card_of_the_spring_says_what_turning_it_over_does() -> None:
    row = load_fleet(DEMO_FLEET / "fleet.yaml", ()).head("P-101")
    bare = PictureView("", 4, 3, "")

    def card(kind: str, part: str) -> CardView:
        covers = frozenset({(kind, part)})
        return CardView(
            anchor="x", title="", forgotten=False, stopped=False, question="", answer=(), alike="", marked=False,
            wrong=("Nothing stops it.", "More."), hidden="", right_words="", wrong_words="", tell=(), drawn="",
            right_figure=bare, wrong_figure=bare, steps=(), covers=covers, telling="turned",
            part="",
        )  # fmt: skip

    given = (
        card("end for end", "disc_spring_drive"),
        card("left out", "disc_spring_drive"),
        card("end for end", "key_drive"),
    )
    spring, *others = cards_with_spring(row, given, WORDS)
    said = turned_over_in_words(nut_spring_turned(row), WORDS)
    assert "Turned over it bears on the wrong edges" in said
    assert spring.wrong == (f"Nothing stops it. {said}", "More.")
    assert tuple(others) == given[1:]
