"""Questions as a person meets them: rounds of ten, and a test from a seed, on the page and on paper."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.site.words.catalogue import load_words
from browsing import Visit, browser, pdf_pages, viewport
from playwright.sync_api import Browser, Dialog, Page
from practice_booklets import write_coupling, write_practice
from practice_samples import BASE, practised

WORDS = load_words()
WIDTHS = (360, 820, 1440)
LEAST_TARGET_PX = 48
ROUND = 10


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A coupling with all its evidence, and a head whose order alone is proven: together they ask all kinds."""
    made = tmp_path_factory.mktemp("questions")
    head = write_practice(made / "head", *(practised(kind, BASE) for kind in ("assembly", "disassembly")))
    return {"coupling": write_coupling(made / "coupling"), "head": head}


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def data(folder: Path) -> list[dict[str, Any]]:
    head, _, text = (folder / "asked.js").read_text("utf-8").partition(" = ")
    assert head == "window.benchleafQuestions"
    questions: list[dict[str, Any]] = json.loads(text.removesuffix(";\n"))["questions"]
    return questions


def visit(chrome: Browser, folder: Path, name: str, width: int = 1440, anchor: str = "") -> Visit:
    context = chrome.new_context(viewport=viewport(width, 900))
    return Visit(context, folder / name, anchor)


SHOWN = """() => {
    const host = document.querySelector(".at-question");
    const pic = e => e ? [e.getAttribute("src"), e.style.left, e.style.top] : null;
    return {
        ask: host.querySelector("h2, h3").textContent,
        pic: pic(host.querySelector(".question-pic img")),
        answers: [...host.querySelectorAll(".answer")].map(b => [
            (b.querySelector(".text") || {textContent: ""}).textContent, pic(b.querySelector("img"))]),
    };
}"""


def same(pic: dict[str, Any] | None, shown: list[str] | None) -> bool:
    """Return whether a cut in the data is the one on the page."""
    if pic is None or shown is None:
        return pic is None and shown is None
    places = [float(p.removesuffix("%")) for p in shown[1:]]
    return bool(pic["src"] == shown[0] and places == pytest.approx([pic["left"], pic["top"]], abs=0.01))


def place_of(answer: dict[str, Any], shown: list[Any]) -> int:
    """Return where an answer stands on the page, -1 where it does not."""
    return next(
        (n for n, (text, pic) in enumerate(shown) if text == answer["text"] and same(answer["pic"], pic)), -1
    )


def right_one(page: Page, questions: list[dict[str, Any]]) -> tuple[dict[str, Any], int]:
    """Return the question on the page, as its data has it, and the place of the right answer."""
    shown = page.evaluate(SHOWN)
    for q in questions:
        if (
            q["ask"] == shown["ask"]
            and same(q["pic"], shown["pic"])
            and len(q["answers"]) == len(shown["answers"])
        ):
            places = [place_of(a, shown["answers"]) for a in q["answers"]]
            if sorted(places) == list(range(len(places))):
                return q, places[0]
    raise AssertionError(shown)


def test_data_hold_every_kind_and_pictures_that_are_there(folders: dict[str, Path]) -> None:
    kinds = {q["kind"] for f in folders.values() for q in data(f)}
    assert kinds == {"picture", "mistake", "name", "next", "outcome", "tool", "value"}
    for folder in folders.values():
        questions = data(folder)
        assert len(questions) > 30
        for q in questions:
            pics = [a["pic"] for a in q["answers"]] + [q["pic"]]
            assert all((folder / p["src"]).is_file() for p in pics if p)
            page, _, anchor = q["href"].partition("#")
            assert f'id="{anchor}"' in (folder / page).read_text("utf-8"), q["href"]
            assert q["at"]
            assert q["why"], "each has its reason"
            told = [(a["text"], str(a["pic"]) if not a["text"] else "") for a in q["answers"]]
            assert len(set(told)) == len(told)


@pytest.mark.parametrize("name", ["coupling", "head"])
def test_a_round_of_ten_right_is_told_and_kept_here(
    chrome: Browser, folders: dict[str, Path], name: str
) -> None:
    seen = visit(chrome, folders[name], "questions.html")
    page, questions, kinds = seen.page, data(folders[name]), []
    for n in range(ROUND):
        assert WORDS("question.at", number=n + 1, all=ROUND) in page.locator(".at-question").inner_text()
        q, right = right_one(page, questions)
        kinds.append(q["kind"])
        page.locator(".answer").nth(right).click()
        say = page.locator(".rounds .said")
        assert say.inner_text().startswith("✓")
        assert q["why"] in say.inner_text()
        assert say.locator("a").get_attribute("href") == q["href"]
        page.locator(".onwards").click()
    assert len(set(kinds)) >= 3, "a round is mixed"
    assert page.locator(".at-question h2").inner_text() == WORDS("question.end", right=ROUND, all=ROUND)
    page.reload()
    known = WORDS("question.known", known=ROUND, all=len(questions))
    assert page.locator(".rounds .score").inner_text() == known
    keys = page.evaluate("Object.keys(localStorage)")
    assert keys == [f"benchleaf:{page.get_attribute('body', 'data-booklet')}:questions"]
    page.once("dialog", lambda d: d.accept())
    page.locator("[data-do=forget]").click()
    assert page.evaluate("Object.keys(localStorage)") == []
    assert (seen.troubles, seen.outside()) == ([], [])
    page.context.close()


def test_what_was_wrong_comes_again_in_the_round_and_in_the_next(
    chrome: Browser, folders: dict[str, Path]
) -> None:
    seen = visit(chrome, folders["head"], "questions.html")
    page, questions = seen.page, data(folders["head"])
    missed, right = right_one(page, questions)
    wrong = (right + 1) % len(missed["answers"])
    page.locator(".answer").nth(wrong).click()
    answer = page.locator(".rounds .said").inner_text()
    assert answer.startswith("✗ " + WORDS("question.wrong", letter="ABCD"[right]))
    chosen = page.locator(".answer").nth(wrong).inner_text()
    why = (
        next(a["why"] for a in missed["answers"] if a["text"] and a["text"] in chosen)
        if missed["kind"] != "picture"
        else ""
    )
    assert why in answer
    page.locator(".onwards").click()
    for _ in range(ROUND - 1):
        q, right = right_one(page, questions)
        assert q["id"] != missed["id"]
        page.locator(".answer").nth(right).click()
        page.locator(".onwards").click()
    assert WORDS("question.again") in page.locator(".at-question").inner_text()
    q, right = right_one(page, questions)
    assert q["id"] == missed["id"]
    page.locator(".answer").nth((right + 1) % len(q["answers"])).click()
    page.locator(".onwards").click()
    page.reload()
    ids = []
    for _ in range(ROUND):
        q, right = right_one(page, questions)
        ids.append(q["id"])
        page.locator(".answer").nth(right).click()
        page.locator(".onwards").click()
    assert missed["id"] in ids, "it is among the first ten of the next visit"
    assert page.locator(".to-look a").count() == 0
    page.context.close()


def test_by_keys_alone(chrome: Browser, folders: dict[str, Path]) -> None:
    page, questions = visit(chrome, folders["head"], "questions.html").page, data(folders["head"])
    for n in range(3):
        _, right = right_one(page, questions)
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.locator(".answer").nth(right).evaluate("e => e === document.activeElement"):
                break
        page.keyboard.press("Enter")
        assert page.locator(".rounds .said").inner_text().startswith("✓"), n
        assert page.evaluate("document.activeElement.classList.contains('onwards')")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.tagName") == "H2", (
            "the next question is read from its head"
        )
    page.context.close()


# ---- a test

SETTING = "#seed=K7%20x&n=10&pass=80&topics=all"
DRAW = """() => document.querySelector(".test").draw().map(
    i => [i.q.id, i.answers.map(a => a.right), i.answers.map(a => a.text)])"""


def test_the_same_seed_gives_the_same_test_on_the_page_and_on_paper(
    chrome: Browser, folders: dict[str, Path], tmp_path: Path
) -> None:
    folder = folders["head"]
    drawn = []
    for show in ("test", "paper", "key"):
        page = visit(chrome, folder, "test.html", 1440, f"{SETTING}&show={show}").page
        drawn.append(page.evaluate(DRAW))
        if show != "test":
            sheets = pdf_pages(page, tmp_path / f"{show}.pdf", "A4")
            text = " ".join(" ".join(sheets).split())
            assert WORDS("test.facts", seed="K7 x", count=10, **{"pass": 80}).replace(
                "\u00a0", " "
            ) in text.replace("\u00a0", " ")
            assert (WORDS("test.signature") in text) == (show == "paper")
            assert (WORDS("test.how") in text) == (show == "paper")
        if show == "key":
            letters = page.locator(".key-list > li > b").all_inner_texts()
            assert letters == ["ABCD"[right.index(True)] for _, right, _ in drawn[-1]]
        page.context.close()
    assert drawn[0] == drawn[1] == drawn[2]
    assert len(drawn[0]) == len({q for q, _, _ in drawn[0]}) == 10
    other = visit(chrome, folder, "test.html", 1440, f"{SETTING.replace('K7', 'K8')}&show=test").page
    assert other.evaluate(DRAW) != drawn[0]
    other.context.close()


def test_the_paper_does_not_give_its_answers_away(chrome: Browser, folders: dict[str, Path]) -> None:
    page = visit(chrome, folders["head"], "test.html", 1440, f"{SETTING}&show=paper").page
    items = page.evaluate("() => document.querySelector('.test').draw().map(i => i.q.why)")
    text = page.locator(".sheet-of-test").inner_text()
    assert not [why for why in items if why and why in text]
    assert page.locator(".paper-questions > li").count() == 10
    assert page.locator(".paper-questions button").count() == 0
    page.context.close()


def test_a_trainer_picks_length_parts_and_pass_mark(chrome: Browser, folders: dict[str, Path]) -> None:
    seen = visit(chrome, folders["head"], "test.html")
    page, questions = seen.page, data(folders["head"])
    assert len(page.input_value("[name=seed]")) == 5, "a name is proposed"
    page.fill("[name=seed]", "Winter 1")
    page.fill("[name=length]", "6")
    page.fill("[name=pass]", "50")
    boxes = page.locator("[name=topic]")
    for n in range(1, boxes.count()):
        boxes.nth(n).uncheck()
    topic = int(boxes.nth(0).get_attribute("value") or "")
    pool = {q["id"] for q in questions if q["topic"] == topic}
    assert WORDS("test.pool", count=len(pool)) == page.locator(".pool").inner_text()
    page.click("[data-show=test]")
    assert f"seed=Winter%201&n=6&pass=50&topics={topic}&show=test" in page.url
    assert {q for q, _, _ in page.evaluate(DRAW)} <= pool
    assert (
        WORDS("test.facts", seed="Winter 1", count=6, **{"pass": 50}) in page.locator(".facts").inner_text()
    )
    page.go_back()
    assert page.locator(".test-form").is_visible()
    assert seen.troubles == []
    page.context.close()


@pytest.mark.parametrize(("right", "passed"), [(10, True), (8, True), (7, False)])
def test_the_score_is_held_against_the_pass_mark(
    chrome: Browser, folders: dict[str, Path], tmp_path: Path, right: int, passed: bool
) -> None:
    seen = visit(chrome, folders["head"], "test.html", 820, f"{SETTING}&show=test")
    page = seen.page
    for n, (_, rights, _) in enumerate(page.evaluate(DRAW)):
        page.locator(".answer").nth(rights.index(n < right)).click()
        assert page.locator(".said").count() == 0, "no answer is judged before the end"
        page.locator(".sheet-of-test .buttons button").last.click()
    told = page.locator(".sheet-of-test .said").inner_text()
    percent = right * 10
    score = WORDS("test.score", right=right, all=10, percent=percent, **{"pass": 80})
    assert told == ("✓ " if passed else "✗ ") + score + " " + WORDS(
        "test.passed" if passed else "test.failed"
    )
    assert page.locator(".given-answers > li").count() == 10
    assert page.locator(".given-answers .verdict-line", has_text="✗").count() == 10 - right
    sheets = " ".join(" ".join(pdf_pages(page, tmp_path / "result.pdf", "A4")).replace("\u00a0", " ").split())
    assert score.replace("\u00a0", " ") in sheets
    assert all(WORDS(f"test.{k}") in sheets for k in ("name", "date", "signature"))
    assert page.evaluate("[localStorage.length, sessionStorage.length]") == [0, 0], (
        "nothing of a person is kept"
    )
    assert (seen.troubles, seen.outside()) == ([], [])
    page.context.close()


def test_open_questions_are_told_before_a_test_is_handed_in(
    chrome: Browser, folders: dict[str, Path]
) -> None:
    page = visit(chrome, folders["head"], "test.html", 360, f"{SETTING}&show=test").page
    for _ in range(9):
        page.locator(".sheet-of-test .buttons button").last.click()
    page.locator(".answer").first.click()
    asked: list[str] = []

    def refuse(dialog: Dialog) -> None:
        asked.append(dialog.message)
        dialog.dismiss()

    page.once("dialog", refuse)
    page.locator(".sheet-of-test .buttons button").last.click()
    assert asked == [WORDS("test.open", count=9)]
    assert page.locator(".at-question").is_visible()
    page.locator(".sheet-of-test .buttons button").first.click()
    assert WORDS("question.at", number=9, all=10) in page.locator(".at-question").inner_text()
    page.context.close()


# ---- all of them


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    "place",
    ["questions.html", "test.html", *(f"test.html{SETTING}&show={s}" for s in ("test", "paper", "key"))],
)
def test_pages_are_clean_accessible_and_large_enough_to_touch(
    chrome: Browser, folders: dict[str, Path], width: int, place: str
) -> None:
    name, _, anchor = place.partition("#")
    seen = visit(chrome, folders["coupling"], name, width, f"#{anchor}" if anchor else "")
    page = seen.page
    if name == "questions.html":
        page.locator(".answer").first.click()
    assert (seen.troubles, seen.outside(), seen.too_wide(), seen.broken_pictures()) == ([], [], 0, [])
    found = Axe().run(page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    small = page.eval_on_selector_all(
        "main button, main a, main label, main input:not([type=checkbox])",
        "(all, least) => all.filter(e => e.offsetParent && (e.offsetHeight < least || e.offsetWidth < least))"
        ".map(e => e.outerHTML)",
        LEAST_TARGET_PX,
    )
    assert small == []
    page.context.close()


@pytest.mark.parametrize("name", ["questions.html", "test.html"])
def test_without_script_the_page_says_where_to_go(
    chrome: Browser, folders: dict[str, Path], name: str
) -> None:
    context = chrome.new_context(java_script_enabled=False)
    page = Visit(context, folders["coupling"] / name).page
    link = page.locator("noscript a").first
    told = (folders["coupling"] / name).read_text("utf-8")
    said = re.search(r"<noscript>(.*?)</noscript>", told, re.S)
    assert said is not None
    assert re.search(r'href="(cards|observed)\.html"', said[1])
    assert link.count() in (0, 1)
    assert not page.locator(".rounds, .test").first.is_visible()
    context.close()
