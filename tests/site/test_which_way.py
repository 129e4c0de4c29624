"""Which way round: questions and their cards, on the page, on sheets of A6 and in decks for the wall."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import segno
from benchleaf.site.pages.cards.cards import CardView
from benchleaf.site.pages.cards.decks import make_decks
from benchleaf.site.pages.cards.faces import card_face
from benchleaf.site.pages.cards.qr_codes import QUIET, qr_code
from benchleaf.site.pages.cards.sheets import COLUMNS, ROWS, card_sheets
from benchleaf.site.pages.cards.which_way import ASKED, bench_questions, other_cards
from benchleaf.site.pages.library.head_lines import HeadLine
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, dead_links, pdf_pages
from card_samples import SHOWN, carded_booklet, draw_card_pictures, sample_cards
from playwright.sync_api import Browser
from site_samples import draw_sample_pictures

WORDS = load_words()
ADDRESS = "https://training.invented.example/pumps/"
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01", address=ADDRESS)


@pytest.fixture(scope="module", name="library")
def _library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    booklet = carded_booklet()
    write_booklet(booklet, folder / "p-101", SETTING, "../index.html")
    draw_sample_pictures(folder / "p-101")
    draw_card_pictures(folder / "p-101")
    assert booklet.proof is not None
    faces = tuple(card_face(c) for c in booklet.proof.cards)
    line = HeadLine("p-101", "P-101", "IW/70", "Cream", (), "p-101/index.html", "", 1, 1, 0, cards=faces)
    write_library((line,), (), folder, SETTING)
    return folder


@pytest.fixture(scope="module", name="chrome")
def _chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def test_each_question_has_its_cards_and_the_others_follow() -> None:
    cards = sample_cards()
    questions = bench_questions(cards, WORDS)
    assert [q.id for q in questions] == [name for name, *_ in ASKED]
    assert [[c.anchor.removeprefix("card-") for c in q.cards] for q in questions] == [
        ["spring"],
        ["body", "cover"],
        ["rotating", "stationary"],
        ["turned"],
        ["rotor"],
        ["oring"],
    ]
    assert questions[0].text == "Which way does the disc spring go?"
    assert questions[5].text == "Which kind of cover O-ring?"
    assert [c.anchor for c in other_cards(cards, questions)] == ["card-taken", "card-key", "card-nut"]
    assert [q.id for q in bench_questions(cards[1:6], WORDS)] == ["dowels", "rings", "notches"]


def test_a_card_that_answers_two_questions_stands_once(tmp_path: Path) -> None:
    both = replace(
        sample_cards()[4], covers=frozenset({("end for end", "stationary"), ("part turn", "stationary")})
    )
    rings, notches = bench_questions((both,), WORDS)
    assert (rings.own, notches.own) == (True, False)
    assert (rings.href, notches.href) == ("cards.html#ask-rings", f"cards.html#{both.anchor}")
    booklet = carded_booklet()
    assert booklet.proof is not None
    proof = replace(booklet.proof, cards=(both,), asked_at_bench=(rings, notches))
    write_booklet(replace(booklet, proof=proof), tmp_path, SETTING)
    page = (tmp_path / "cards.html").read_text("utf-8")
    assert page.count(f'id="{both.anchor}"') == 1


def test_a_booklet_without_proof_has_no_such_tile(tmp_path: Path) -> None:
    write_booklet(replace(carded_booklet(), proof=None), tmp_path, SETTING)
    assert WORDS("which_way.title") not in (tmp_path / "index.html").read_text("utf-8")
    assert not [p.name for p in tmp_path.glob("cards*.html")]


def test_the_questions_come_before_every_other_link_of_the_front_page(library: Path) -> None:
    page = (library / "p-101" / "index.html").read_text("utf-8")
    main = page[page.index("<main") :]
    links = re.findall(r'href="([^"]+)"', main)
    assert links[:6] == [f"cards.html#ask-{name}" for name, *_ in ASKED]
    assert {f"cards.html#{c.anchor}" for c in sample_cards()[-3:]} <= set(links), "the others, one tap each"


def test_every_question_is_answered_by_one_tap_within_one_screen_a_card(
    chrome: Browser, library: Path
) -> None:
    """From the front page on a phone: taps, screens of each pair, and one tap back."""
    context = chrome.new_context(viewport=PHONE, has_touch=True)
    visit = Visit(context, library / "p-101" / "index.html")
    page, front = visit.page, visit.page.url
    hrefs = [q.href for q in bench_questions(sample_cards(), WORDS)]
    hrefs += [f"cards.html#{c.anchor}" for c in sample_cards()[-3:]]
    for href in hrefs:
        page.tap(f'main a[href="{href}"]')
        page.wait_for_url(f"**/{href}")
        expected = [
            c.anchor for q in bench_questions(sample_cards(), WORDS) if q.href == href for c in q.cards
        ]
        shown = page.evaluate(
            "[...document.querySelectorAll('.fit-card')].filter(c => c.getClientRects().length).map(c => c.id)"
        )
        assert shown == (expected or [href.partition("#")[2]])
        for n, card in enumerate(shown):
            if n:
                page.evaluate("id => document.querySelector(`#${id} .pair`).scrollIntoView()", card)
            left, right, top, bottom, seen = page.evaluate(
                """id => {
                    const all = [...document.querySelectorAll(`#${id} .pair img`)].map(i => i.getBoundingClientRect());
                    return [Math.max(...all.map(b => b.left)), Math.min(...all.map(b => b.right)), all[0].top,
                        all[all.length - 1].bottom, document.querySelector(".thumb").getBoundingClientRect().top];
                }""",
                card,
            )
            forgotten = card in ("card-key", "card-nut")
            if not forgotten:
                assert (left, right) == (0, PHONE["width"]), "full width"
            assert top >= 0, card
            assert bottom <= seen, f"{card}: the pair is within one screen"
        page.tap(".thumb .back")
        page.wait_for_url(front)
    assert visit.troubles == []
    context.close()


def test_back_leads_to_the_step_that_the_reader_came_from_and_without_script_to_the_front(
    chrome: Browser, library: Path
) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, library / "p-101" / "assembly.html", "#step-3").page
    page.click("#step-3 .to-cards a")
    page.click(".thumb .back")
    page.wait_for_url("**/assembly.html*")
    context.close()
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = Visit(context, library / "p-101" / "cards.html", "#card-spring").page
    page.click(".thumb .back")
    page.wait_for_url("**/index.html")
    context.close()


@pytest.mark.parametrize("paper", ROWS)
@pytest.mark.parametrize("count", [1, 3, 4, 5, 11])
def test_an_answer_lies_behind_its_question(paper: str, count: int) -> None:
    cards = sample_cards()[:count]
    sheets = card_sheets(cards, paper)
    full = COLUMNS * ROWS[paper]
    assert len(sheets) == -(-count // full)
    found = []
    for sheet in sheets:
        assert len(sheet.front) == len(sheet.back) == full
        for place, face in enumerate(sheet.front):
            row, column = divmod(place, COLUMNS)
            assert sheet.back[row * COLUMNS + COLUMNS - 1 - column] is face
            found += [face.id] if face else []
    assert found == [c.anchor for c in cards]


def test_pictures_to_choose_between_give_nothing_away_and_the_answer_fits() -> None:
    faces = [card_face(c) for c in sample_cards()]
    for face in faces:
        assert face.choices[face.answer] is face.right
        assert len(face.choices) == (1 if face.forgotten else 2)
    assert {face.answer for face in faces if not face.forgotten} == {0, 1}


@pytest.mark.parametrize("paper", ROWS)
def test_cards_are_a6_on_their_paper_behind_each_other_and_whole(
    chrome: Browser, library: Path, tmp_path: Path, paper: str
) -> None:
    context = chrome.new_context(viewport=DESK)
    visit = Visit(context, library / "p-101" / f"cards-{paper.lower()}.html")
    page = visit.page
    assert (visit.broken_pictures(), visit.troubles) == ([], [])
    page.emulate_media(media="print")
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('.a6')].map(a => [a.offsetWidth, a.offsetHeight,
            a.scrollHeight - a.clientHeight, a.scrollWidth - a.clientWidth])"""
    )
    mm = 96 / 25.4
    assert {(round(w / mm), round(h / mm)) for w, h, *_ in sizes} == {(105, 148)}
    assert [s for s in sizes if s[2] > 0 or s[3] > 0] == [], "nothing is cut off"
    pdf = tmp_path / "cards.pdf"
    page.pdf(path=str(pdf), prefer_css_page_size=True)
    context.close()
    told = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    wide, high = {"A4": (595, 842), "Letter": (612, 792)}[paper]
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told)
    assert size is not None
    assert (float(size[1]), float(size[2])) == pytest.approx((wide, high), abs=1)
    assert re.findall(r"Pages:\s+(\d+)", told) == [str(2 * len(card_sheets(sample_cards(), paper)))]
    # Where the text of a card begins on its sheet, by its question and by its name on the back.
    words = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True)
    sheets = words.stdout.split("<page ")[1:]
    for number, sheet in enumerate(card_sheets(sample_cards(), paper)):
        front, back = sheets[2 * number], sheets[2 * number + 1]
        made, scan = _places(front, "Rev."), _places(back, "Scan")
        asked = sum(face is not None for face in sheet.front)
        assert len(made) == len(scan) == asked
        mirrored = {(x < wide / 2, y) for x, y in made}
        assert {(x < wide / 2) for x, _ in made} == {(x > wide / 2) for x, _ in scan}
        assert len(mirrored) == asked, "each in its own place"


def _places(page: str, word: str) -> list[tuple[float, float]]:
    found = re.findall(rf'xMin="([\d.]+)" yMin="([\d.]+)"[^>]*>{re.escape(word)}<', page)
    return [(float(x), round(float(y))) for x, y in found]


def test_a_code_says_the_address_of_its_card(library: Path) -> None:
    address = f"{ADDRESS}p-101/cards.html#card-spring"
    page = (library / "p-101" / "cards-a4.html").read_text("utf-8")
    assert str(qr_code(address, WORDS("card_sheet.code", address=address))) in page
    # Drawn as rows of dark strokes: read back, they are the modules of the standard's symbol.
    code = segno.make_qr(address, error="m")
    drawn = str(qr_code(address, "x"))
    size = len(code.matrix) + 2 * QUIET
    assert f'viewBox="0 0 {size} {size}"' in drawn
    path = re.search(r'<path stroke="#000" d="([^"]+)"', drawn)
    dark = {(x, y) for y, row in enumerate(code.matrix) for x, bit in enumerate(row) if bit}
    assert path is not None
    assert _strokes(path[1]) == {(x + QUIET, y + QUIET) for x, y in dark}


def _strokes(path: str) -> set[tuple[int, int]]:
    """Return the modules that a path of horizontal strokes, half a module below their row's top, covers."""
    x, y, found = 0.0, 0.0, set()
    for sign, numbers in re.findall(r"([MmhH])([-\d. ]+)", path):
        at = [float(n) for n in re.findall(r"-?\d*\.?\d+", numbers)]
        if sign == "M":
            x, y = at
        elif sign == "m":
            x, y = x + at[0], y + at[1]
        else:
            found |= {(round(x) + n, int(y)) for n in range(int(at[0]))}
            x += at[0]
    return found


def test_without_an_address_cards_have_no_code_and_the_page_says_so(tmp_path: Path) -> None:
    write_booklet(carded_booklet(), tmp_path, replace(SETTING, address=""))
    page = (tmp_path / "cards-a4.html").read_text("utf-8")
    assert 'class="qr"' not in page
    assert WORDS("card_sheet.no_code") in page


def test_a_deck_holds_each_card_of_its_size_once_and_names_the_pumps() -> None:
    first, second, third = (card_face(c) for c in sample_cards()[:3])
    other = replace(second, digest="another shape")
    decks = make_decks(
        [
            ("IW 70", "P-1", "p-1", (first, second)),
            ("IW-70", "P-2", "p-2", (third,)),
            ("IW 70", "P-3", "p-3", (first, other)),
            ("IW 90", "P-4", "p-4", ()),
        ]
    )
    assert [(d.file, d.size, d.tags) for d in decks] == [
        ("deck-iw-70.html", "IW 70", ("P-1", "P-3")),
        ("deck-iw-70-2.html", "IW-70", ("P-2",)),
    ]
    assert [(c.face.id, c.tags, c.href) for c in decks[0].cards] == [
        (first.id, ("P-1", "P-3"), f"p-1/cards.html#{first.id}"),
        (second.id, ("P-1",), f"p-1/cards.html#{second.id}"),
        (other.id, ("P-3",), f"p-3/cards.html#{other.id}"),
    ]
    assert decks[0].cards[2].face.right.src == "p-3/pictures/card-body-right.png"


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_deck_has_a_card_a_sheet(chrome: Browser, library: Path, tmp_path: Path, size: str) -> None:
    context = chrome.new_context(viewport=DESK)
    page = Visit(context, library / "index.html").page
    page.click(".decks a")
    page.wait_for_url("**/deck-iw-70.html")
    sheets = pdf_pages(page, tmp_path / "deck.pdf", size)
    context.close()
    assert len(sheets) == len(SHOWN)
    for sheet, card in zip(sheets, sample_cards(), strict=True):
        flat = " ".join(sheet.split())
        assert (card.title if card.forgotten else card.question) in flat
        assert "Scan for the large" in flat
        assert "Pumps: P-101" in flat


def test_no_dead_link(library: Path) -> None:
    assert dead_links(sorted(library.rglob("*.html"))) == []


def test_cards_of_a_booklet_that_the_proof_speaks_against_say_so_and_go_on_no_wall(tmp_path: Path) -> None:
    booklet = carded_booklet()
    assert booklet.proof is not None
    proof = replace(booklet.proof, evidence=replace(booklet.proof.evidence, faults=("A part is blocked.",)))
    write_booklet(replace(booklet, proof=proof), tmp_path / "p-101", SETTING)
    said = WORDS("evidence.banner_short")
    for file in ("cards-a4.html", "cards-letter.html"):
        page = (tmp_path / "p-101" / file).read_text("utf-8")
        assert page.count(said) >= 2 * len(SHOWN), "on both sides of every card"
    wall = (tmp_path / "p-101" / "class-assembly.html").read_text("utf-8")
    assert wall.count(said) >= 10, "on every step that the class sees"
    faces = tuple(card_face(c) for c in proof.cards)
    line = HeadLine("p-101", "P-101", "IW-70", "", (), "p-101/index.html", "", 1, 1, 0, 1, cards=faces)
    write_library((line,), (), tmp_path, SETTING)
    assert not list(tmp_path.glob("deck*"))


def test_a_long_answer_is_set_smaller() -> None:
    card: CardView = sample_cards()[0]
    assert not card_face(card).long
    assert card_face(replace(card, wrong=("It bears elsewhere. " * 22,))).long
