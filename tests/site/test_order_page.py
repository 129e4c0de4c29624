"""Practice of the order as a person meets it: tapped, dragged, by keys alone; judged by solids and rules alike."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.site.words.catalogue import load_words
from browsing import Visit, browser, viewport
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Locator, Page
from practice_booklets import worded, write_practice
from practice_samples import Practised, practised

WORDS = load_words()
WIDTHS = (360, 820, 1440)
SEQUENCES = ("assembly", "disassembly")
LEAST_TARGET_PX = 48
MOUSE_OUT = (5, 5)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_practice(tmp_path_factory.mktemp("practice"), *(practised(kind) for kind in SEQUENCES))


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture
def page(chrome: Browser, folder: Path) -> Iterator[Page]:
    context = chrome.new_context(viewport=viewport(1440, 900))
    visit = Visit(context, folder / "practice.html")
    yield visit.page
    assert (visit.troubles, visit.outside()) == ([], [])
    context.close()


@pytest.fixture(scope="module")
def judge(chrome: Browser, folder: Path) -> Iterator[Page]:
    context = chrome.new_context()
    yield Visit(context, folder / "practice.html").page
    context.close()


JUDGED = """([sequence, states]) => {
    const drill = document.getElementById(sequence), count = drill.querySelectorAll(".tile").length;
    return states.map(done => Array.from({length: count}, (_, n) => drill.judge(done, n).map(said => said[0])));
}"""


@pytest.mark.parametrize("kind", SEQUENCES)
@settings(deadline=None, max_examples=12, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32))
def test_the_page_judges_every_order_as_the_graph_and_the_rules_do(judge: Page, kind: str, seed: int) -> None:
    """The page's own script, on a random way that is right from first to last, and on all that is wrong beside it."""
    p, pick = practised(kind), random.Random(seed)
    states: list[list[int]] = [[]]
    told: list[dict[int, set[str]]] = []
    while len(states[-1]) < len(p.practice.choices):
        done = states[-1]
        told.append({c.number: p.verdict(done, c.number) for c in p.practice.choices if c.number not in done})
        states.append([*done, pick.choice([n for n, wrong in told[-1].items() if not wrong])])
    shown = judge.evaluate(JUDGED, [kind, states[:-1]])
    for state, by_number, here in zip(states, told, shown, strict=False):
        for n, wrong in by_number.items():
            said = {"solids" if by_solids else "rule" for by_solids in here[n]}
            assert bool(said) == bool(wrong), (state, n, said, wrong)
            assert ("rule" in said) == ("rule" in wrong)


def number(p: Practised, step: str, part: str = "") -> int:
    return next(c.number for c in p.practice.choices if c.step_id == step and (not part or part in c.parts))


def tile(page: Page, n: int, kind: str = "assembly") -> Locator:
    return page.locator(f"#{kind} .tiles [data-choice='{n}']")


def do(page: Page, numbers: list[int], kind: str = "assembly") -> None:
    for n in numbers:
        tile(page, n, kind).click()


def said(page: Page, kind: str = "assembly") -> str:
    return page.locator(f"#{kind} .said").inner_text()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    ("step", "part", "without", "ground", "reason"),
    [
        ("key_drive", "key_drive", ("hub_oring_drive", "hub_oring_driven"), "by_rule", "Fit the hub O-rings first"),
        ("rotor_drive", "", ("body_screws", "body_home"), "by_rule", "Draw the body down first"),
        ("rotor_driven", "", ("torque_drive", "turn_to_position", "key_driven"), "by_rule", "Torque the first nut"),
        ("rotating_rings", "", ("shaft_orings",), "by_solids", "could not come in any more"),
        ("torque_drive", "", ("nut_drive",), "by_solids", "There is nothing to work on yet"),
    ],
)  # fmt: skip
def test_wrong_work_is_answered_with_its_ground_and_its_reason(
    chrome: Browser,
    folder: Path,
    width: int,
    step: str,
    part: str,
    without: tuple[str, ...],
    ground: str,
    reason: str,
) -> None:
    p = practised("assembly")
    context = chrome.new_context(viewport=viewport(width, 800), has_touch=width < 1000)
    visit = Visit(context, folder / "practice.html")
    wanted = number(p, step, part)
    before = [c.number for c in p.practice.choices if c.number < wanted and c.step_id not in without]
    do(visit.page, before)
    (tile(visit.page, wanted).tap if width < 1000 else tile(visit.page, wanted).click)()
    answer = said(visit.page)
    assert WORDS("practice.wrong", part="").strip() in answer
    assert WORDS(f"practice.{ground}") in answer
    assert reason in answer
    assert tile(visit.page, wanted).is_visible(), "it is still to do"
    assert visit.page.locator("#assembly .said").is_visible()
    box, bar = visit.page.locator("#assembly .said").bounding_box(), visit.page.locator(".bar").bounding_box()
    assert box is not None
    assert bar is not None
    assert bar["y"] <= box["y"] < 800, "the verdict is in view beside the tile that was chosen"
    assert visit.troubles == []
    context.close()


def test_the_written_order_is_right_tile_by_tile(page: Page) -> None:
    for kind in SEQUENCES:
        p = practised(kind)
        for c in p.practice.choices:
            tile(page, c.number, kind).click()
            assert said(page, kind).startswith("✓"), (c.step_id, said(page, kind))
        steps = {s.number: s for s in worded(p).steps}
        assert WORDS("practice.step", step=c.step, title=steps[c.step].title) in said(page, kind)
        count = len(p.practice.choices)
        assert WORDS("practice.all", tries=count, moves=count) in said(page, kind)
        assert page.locator(f"#{kind} .tiles li:not([hidden])").count() == 0
        assert page.locator(f"#{kind} .done-list li").count() == count


def test_a_tile_is_dragged_onto_the_bench_by_mouse(page: Page) -> None:
    first = tile(page, 0)
    first.scroll_into_view_if_needed()
    box, bench = first.bounding_box(), page.locator("#assembly .said").bounding_box()
    assert box is not None
    assert bench is not None
    page.mouse.move(box["x"] + 30, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(box["x"] + 60, box["y"] + 20, steps=4)
    assert page.locator("#assembly .ghost").count() == 1
    page.mouse.move(*MOUSE_OUT)
    page.mouse.up()
    assert page.locator("#assembly .done-list .none").count() == 1, "let go beside the bench, it is not done"
    assert page.locator(".ghost").count() == 0
    page.mouse.move(box["x"] + 30, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(bench["x"] + 40, bench["y"] + 20, steps=6)
    page.mouse.up()
    assert said(page).startswith("✓")
    assert page.locator("#assembly .done-list li:not(.none)").count() == 1


def test_a_tile_is_dragged_by_a_finger_after_a_long_press_and_a_short_one_scrolls(
    chrome: Browser, folder: Path
) -> None:
    context = chrome.new_context(viewport=viewport(360, 740), has_touch=True, is_mobile=True)
    visit = Visit(context, folder / "practice.html")
    page, finger = visit.page, context.new_cdp_session(visit.page)

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": at[1]}] if at else []
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    tile(page, 0).evaluate("e => e.scrollIntoView({block: 'center'})")
    box = tile(page, 0).bounding_box()
    assert box is not None
    x, y = box["x"] + 40, box["y"] + 40
    was = page.evaluate("scrollY")
    touch("touchStart", x, y)
    for n in range(1, 8):
        touch("touchMove", x, y - 15 * n)
    touch("touchEnd")
    page.wait_for_function(f"scrollY > {was} + 30")
    assert page.locator("#assembly .done-list .none").count() == 1
    tile(page, 0).evaluate("e => e.scrollIntoView({block: 'center'})")
    page.wait_for_timeout(200)
    box, bench = tile(page, 0).bounding_box(), page.locator("#assembly .said").bounding_box()
    assert box is not None
    assert bench is not None
    x, y = box["x"] + 40, box["y"] + 40
    touch("touchStart", x, y)
    page.wait_for_selector("#assembly .ghost", state="attached")
    for n in range(1, 11):
        touch("touchMove", x, y + (bench["y"] + 15 - y) * n / 10)
    page.wait_for_selector(".bench-seen.over", state="attached")
    touch("touchEnd")
    page.wait_for_function("document.querySelector('#assembly .said').innerText.startsWith('✓')")
    assert visit.troubles == []
    context.close()


def test_by_keys_alone(page: Page) -> None:
    first = page.locator("#assembly .tiles li button").first
    for _ in range(60):
        page.keyboard.press("Tab")
        if first.evaluate("e => e === document.activeElement"):
            break
    assert first.evaluate("e => e === document.activeElement"), "the tiles are reached by Tab"
    order = page.locator("#assembly .tiles li button").evaluate_all("all => all.map(b => b.dataset.choice)")
    for n in ("0", "1", "2"):
        for _ in range(len(order)):
            if page.evaluate("document.activeElement.dataset.choice") == n:
                break
            page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        assert said(page).startswith("✓"), (n, said(page))
        assert page.evaluate("document.activeElement.classList.contains('tile')"), (
            "the focus stays among the tiles"
        )
    assert page.locator("#assembly .done-list li").count() == 3


def test_what_is_done_is_kept_here_and_goes_when_started_again(page: Page) -> None:
    do(page, [0, 1, 2])
    wrong = number(practised("assembly"), "cover_on")
    tile(page, wrong).click()
    page.reload()
    assert page.locator("#assembly .done-list li:not(.none)").count() == 3
    assert WORDS("practice.score", right=3, tries=4) in page.locator("#assembly .score").inner_text()
    keys = page.evaluate("Object.keys(localStorage)")
    name = page.get_attribute("body", "data-booklet")
    assert keys == [f"benchleaf:{name}:practice-assembly"]
    page.locator("#assembly [data-do=back]").click()
    assert page.locator("#assembly .done-list li").count() == 2
    page.locator("#assembly [data-do=again]").click()
    assert page.evaluate("Object.keys(localStorage)") == []
    page.evaluate(
        "key => localStorage.setItem(key, JSON.stringify({of: 45, done: [30, 'x'], tries: 2}))", keys[0]
    )
    page.reload()
    assert page.locator("#assembly .done-list .none").count() == 1, "what is no order is not taken up"


def test_a_hint_marks_what_may_come_and_counts_as_a_try(page: Page) -> None:
    page.locator("#assembly [data-do=hint]").click()
    hinted = page.locator("#assembly .tile.hinted")
    assert hinted.count() == 1
    assert hinted.evaluate("e => e === document.activeElement")
    hinted.click()
    assert said(page).startswith("✓")
    assert WORDS("practice.score", right=1, tries=2) in page.locator("#assembly .score").inner_text()


def test_whoever_draws_the_head_beside_it_hears_what_is_done(page: Page) -> None:
    page.evaluate("document.addEventListener('practised', e => { window.heard = e.detail })")
    p = practised("assembly")
    rings = number(p, "shaft_orings")
    do(page, list(range(rings + 1)))
    heard = page.evaluate("window.heard")
    assert heard["sequence"] == "assembly"
    assert heard["steps"] == [c.step for c in p.practice.choices[: rings + 1]]
    assert sorted(heard["parts"]) == ["shaft_oring_drive", "shaft_oring_driven"]


@pytest.mark.parametrize("width", WIDTHS)
def test_page_is_clean_accessible_and_large_enough_to_touch(
    chrome: Browser, folder: Path, width: int
) -> None:
    context = chrome.new_context(viewport=viewport(width, 800))
    visit = Visit(context, folder / "practice.html")
    do(visit.page, [0, 1])
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    found = Axe().run(visit.page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    small = visit.page.eval_on_selector_all(
        "main button, main summary, .practice-ways a, .said a",
        "(all, least) => all.filter(e => e.offsetParent && (e.offsetHeight < least || e.offsetWidth < least))"
        ".map(e => e.textContent)",
        LEAST_TARGET_PX,
    )
    assert small == []
    context.close()


def test_without_script_the_rules_stand_in_words(chrome: Browser, folder: Path) -> None:
    context = chrome.new_context(java_script_enabled=False, viewport=viewport(360, 740))
    page = Visit(context, folder / "practice.html").page
    assert not page.locator(".board").first.is_visible()
    assert page.locator("noscript").count() == 1
    text = (folder / "practice.html").read_text("utf-8")
    for kind in SEQUENCES:
        for rule in practised(kind).plan.rules:
            assert rule.because.replace("'", "&#39;") in text, rule
    blocks = re.findall(r'<script type="application/json" class="practice-data">(.*?)</script>', text, re.S)
    rows = page.locator(".rule-table tbody tr").count()
    assert rows == sum(len(json.loads(b)["choices"]) for b in blocks)
    context.close()
