"""Pages that rest on the proof, made for real from a small assembly: evidence, cards, practice, banner."""

from __future__ import annotations

import dataclasses
import itertools
import json
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from benchleaf.geometry.profiles.pair_turn import turn_pair
from benchleaf.geometry.profiles.solid_turn import SolidTurn, StillGap
from benchleaf.render.drawing.manifest import Manifest
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.pairs import render_pairs
from benchleaf.sequences.proof.assembly_proof import AssemblyProof, PairNotClear, TurnIntoStill, write_proof
from benchleaf.sequences.proof.evidence import read_evidence
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.steps.plan import Plan
from benchleaf.site.pages.booklet import Booklet, make_chapter
from benchleaf.site.pages.cards.cards import GRAVEST
from benchleaf.site.pages.order_picture import BOX, Node, draw_order, layers_of, needed
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.picture_views import FOLDER
from benchleaf.site.pages.proof_pages import ProofPages, cards_to_show, make_proof_pages
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.misfit_words import outcome_words
from benchleaf.site.words.part_names import PartNames
from browsing import Visit, browser, viewport
from hypothesis import given, settings
from hypothesis import strategies as st
from long_words import WIDTHS, pushed_out, spread_long_words
from proof_samples import ROWS, backwards, coupling, plan_of, reordered

WORDS = load_words()
MOST_WORDS = 6
"""On a picture of a pair."""
SETTING = Setting(WORDS, "Invented Works", False, "2025-03-01")
SMALL = PictureSettings(width=480, height=360, supersample=1, measure_width=320, contact_shading=False)


@dataclasses.dataclass(frozen=True)
class Made:
    """A booklet of the coupling in ``folder``, and what it was made from."""

    folder: Path
    plans: tuple[Plan, ...]
    proof: AssemblyProof
    pages: ProofPages


def make(folder: Path, plans: tuple[Plan, ...]) -> Made:
    """Prove the plans over the coupling and write its booklet with the cards' pictures."""
    assembly = coupling()
    found = prove_plans(assembly, plans, workers=1)
    proof = AssemblyProof("coupling", {p.sequence: e for p, e in zip(plans, found, strict=True)}, None)
    cards = cards_to_show(assembly, plans, proof)
    taken: dict[str, tuple[Manifest, Manifest]] = {}
    for card, pair in zip(cards, render_pairs(assembly, [c.scene for c in cards], SMALL), strict=True):
        pair.right.write(folder / FOLDER)
        pair.wrong.write(folder / FOLDER)
        taken[card.id] = (pair.right.manifest, pair.wrong.manifest)
    pages = make_proof_pages(assembly, plans, proof, cards, taken, WORDS)
    write_booklet(booklet_of(plans, pages), folder, SETTING)
    write_proof(proof, folder / "evidence")
    return Made(folder, plans, proof, pages)


def booklet_of(plans: tuple[Plan, ...], pages: ProofPages) -> Booklet:
    """Return the booklet of the coupling."""
    return Booklet(
        Identity("C-1", "small", "", "1", "2025-03-01"),
        (),
        None,
        (),
        tuple(
            make_chapter(p, {}, {}, None, pages.whys[p.sequence], pages.card_links[p.sequence]) for p in plans
        ),
        (),
        proof=pages,
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return make(tmp_path_factory.mktemp("coupling"), (plan_of(), backwards(plan_of())))


@pytest.fixture(scope="module")
def unsound(tmp_path_factory: pytest.TempPathFactory) -> Made:
    order = [r[0] for r in ROWS]
    order.remove("ring")
    order.insert(order.index("cover") + 1, "ring")
    return make(tmp_path_factory.mktemp("unsound"), (reordered(order),))


class Elements(HTMLParser):
    """Elements of a page in order: tag and attributes."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.all: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.all.append((tag, dict(attrs)))


def sign_of(caption: str) -> str:
    """Return what is drawn before a caption: the sign itself, or the one on the page that it refers to."""
    found = re.search(r"<svg\b[^<>]*>(.+?)</svg>", caption, re.S)
    assert found is not None
    return found[1]


def read(made: Made, page: str) -> str:
    return (made.folder / page).read_text("utf-8")


def test_every_move_stands_in_the_gaps_with_what_was_measured(made: Made) -> None:
    for shown in made.pages.evidence.sequences:
        moves = made.proof.by_sequence[shown.id].moves
        links = [u.href for g in shown.gaps for u in g.steps]
        assert {u.rsplit("-", 1)[-1] for u in links} == {str(m.step) for m in moves}
        for m in moves:
            rows = [g for g in shown.gaps if f"{shown.id}.html#step-{m.step}" in {u.href for u in g.steps}]
            said = f"{m.path.gap.mm:.2f}\u00a0mm" if m.path.gap else "more than"
            assert any(said in g.gap for g in rows), (m.parts, said, rows)
        least = min(m.path.gap.mm for m in moves if m.path.gap)
        tightest = [g for g in shown.gaps if g.tightest]
        assert tightest
        assert all(g.gap == f"{least:.2f}\u00a0mm" for g in tightest)


def test_every_mistake_stands_in_the_table_under_its_verdict(made: Made) -> None:
    evidence = made.proof.by_sequence["assembly"]
    names = PartNames(WORDS, coupling().parts, made.plans[0])
    shown = dict(made.pages.evidence.sequences[0].wrong)
    assert {v for v, rows in shown.items() if rows} == {f.verdict for f in evidence.wrong_fits}
    for fit in evidence.wrong_fits:
        href = f"assembly.html#step-{fit.step}"
        rows = [r for r in shown[fit.verdict] if href in {u.href for u in r.steps}]
        bare = re.sub(r"\d", "", outcome_words(names, evidence.moves, fit))
        assert any(re.sub(r"\d", "", r.sentence) == bare for r in rows), fit
    page = Elements(read(made, "evidence.html"))
    verdicts = [a["data-verdict"] for t, a in page.all if t == "tr" and "data-verdict" in a]
    assert {v: verdicts.count(v) for v in shown} == {v: len(rows) for v, rows in shown.items()}


def test_figure_that_the_sentence_holds_is_not_told_again(made: Made) -> None:
    text = read(made, "evidence.html")
    assert "It sits 0.50\u00a0mm deeper than its place." in text
    assert "off its place" not in text


def test_what_goes_in_has_a_card_and_nothing_else_has(made: Made) -> None:
    fits = made.proof.by_sequence["assembly"].wrong_fits
    covered = {c for card in made.pages.cards if not card.stopped for c in card.covers}
    assert {(f.kind, k) for f in fits if f.verdict == "goes in" for k in f.parts} == covered
    asked = {c for card in made.pages.cards if card.stopped for c in card.covers}
    assert asked == {("half turn", "cover")}, "its dowels tell, and the wrong way is stopped"
    assert asked <= {(f.kind, k) for f in fits if f.verdict == "stopped" for k in f.parts}
    rows = dict(made.pages.evidence.sequences[0].wrong)
    assert all(r.card for r in rows["goes in"])
    assert not any(r.card for v, of in rows.items() if v != "goes in" for r in of)
    assert len(made.pages.cards) - 1 <= sum(1 for f in fits if f.verdict == "goes in")


def test_cards_are_few_and_the_gravest_come_first(made: Made) -> None:
    kinds = [min((k for k, _ in c.covers), key=GRAVEST.index) for c in made.pages.cards]
    forgotten = [c.forgotten for c in made.pages.cards]
    assert forgotten == sorted(forgotten)
    stopped = [c.stopped for c in made.pages.cards if not c.forgotten]
    assert stopped == sorted(stopped), "what nothing stops comes first"
    assert kinds[0] == "end for end"
    washer = made.pages.cards[0]
    assert "washer" in {p for _, p in washer.covers}
    screws = [c for c in made.pages.cards if ("left out", "screw_1") in c.covers]
    assert len(screws) == 1
    assert ("left out", "screw_2") in screws[0].covers


def test_each_card_has_both_pictures_words_and_a_question(made: Made) -> None:
    text = read(made, "cards.html")
    cards = re.findall(r'<article class="fit-card".*?</article>', text, re.S)
    assert len(cards) == len(made.pages.cards)
    for card in cards:
        elements = Elements(card).all
        pictures = [a for t, a in elements if t == "img"]
        assert len(pictures) == 2
        assert len({a["alt"] for a in pictures}) == 2
        for a in pictures:
            assert (made.folder / str(a["src"])).is_file()
            assert len(str(a["alt"])) > 12
        right, wrong = re.findall(r"<figcaption>(.*?)</figcaption>", card, re.S)
        assert "<svg" in right
        assert "<svg" in wrong
        for shown, said in ((right, "cards.right"), (wrong, "cards.wrong")):
            caption = re.search(r"<span>(\w+)<span class=\"few\">(.*?)</span>", shown)
            assert caption is not None
            assert caption[1] == WORDS(said)
            assert 1 <= len(caption[2].split()) <= MOST_WORDS
        assert sign_of(right) != sign_of(wrong)
        question, answer = re.search(
            r"<details class=\"ask\"><summary>(.*?)</summary><p>(.*?)</p>", card, re.S
        ).groups()  # type: ignore[union-attr]
        assert question.endswith("?")
        assert len(answer) > 20
        assert re.search(r'<p class="consequence">\S', card)


def test_the_cone_washer_is_drawn_steeper_and_said_so(made: Made) -> None:
    (card,) = [c for c in made.pages.cards if ("end for end", "washer") in c.covers]
    seen = [
        Manifest.from_json(
            (made.folder / FOLDER / f"card-{card.anchor}-{w}.json").read_text("utf-8")
        ).difference
        for w in ("right", "wrong")
    ]
    assert all(s is not None and s.steeper > 1.0 and s.as_it_is is not None for s in seen)
    times = f"{seen[0].steeper:g}" if seen[0] else ""
    assert WORDS("cards.steeper", times=times) == card.drawn
    assert card.drawn in read(made, "cards.html")
    assert card.right_words != card.wrong_words


def test_pair_is_of_one_view_and_scale_and_differs(made: Made) -> None:
    for card in made.pages.cards:
        manifests = [
            json.loads((made.folder / FOLDER / f"card-{card.anchor}-{which}.json").read_text("utf-8"))
            for which in ("right", "wrong")
        ]
        assert manifests[0]["camera"] == manifests[1]["camera"]
        files = [made.folder / f.src for f in (card.right_figure, card.wrong_figure)]
        assert files[0].read_bytes() != files[1].read_bytes()
        strong = [{k for k, p in m["parts"].items() if p["state"] == "moving"} for m in manifests]
        assert strong[0] <= {k for _, k in card.covers}
        assert bool(strong[1]) != card.forgotten
        assert sum(manifests[0]["parts"][k]["visible_px"] for k in strong[0]) > 0


def test_steps_link_to_their_cards_and_say_why_now(made: Made) -> None:
    text = read(made, "assembly.html")
    steps = dict(
        zip(
            (str(s.number) for s in made.plans[0].steps),
            re.findall(r'<section class="step".*?</section>', text, re.S),
            strict=True,
        )
    )
    for card in made.pages.cards:
        assert card.steps
        for use in card.steps:
            assert f'href="cards.html#{card.anchor}"' in steps[use.href.rsplit("-", 1)[-1]]
    for reason in made.proof.by_sequence["assembly"].reasons:
        shown = re.search(r'<p class="from-solids">(.*?)</p>', steps[str(reason.step)])
        assert shown
        assert len(re.findall(r"\w\.(?= |$)", shown[1])) == len(reason.why), "a sentence for each reason"
    wheel = next(s.number for s in made.plans[0].steps if s.id == "wheel")
    assert f"the cone washer (step {wheel + 1})" in steps[str(wheel)]


def test_sound_booklet_carries_no_banner(made: Made) -> None:
    assert made.proof.violations == ()
    for page in made.folder.glob("*.html"):
        assert WORDS("evidence.banner") not in page.read_text("utf-8")
    assert WORDS("evidence.sound") in read(made, "evidence.html")


def test_unsound_booklet_says_so_on_every_page_and_sheet(unsound: Made) -> None:
    pages = list(unsound.folder.glob("*.html"))
    assert {"index.html", "assembly.html", "evidence.html", "cards.html", "practice.html", "paper.html"} <= {
        p.name for p in pages
    }
    for page in pages:
        text = page.read_text("utf-8")
        assert WORDS("evidence.banner").replace("'", "&#39;") in text, page.name
        if page.name in (
            "cards-a4.html",
            "cards-letter.html",
        ):  # which are cut: each card says it on both sides
            cards = len(unsound.pages.cards)
            assert text.count(WORDS("evidence.banner_short")) >= 2 * cards > 0
            continue
        foot = re.search(r"@bottom-left \{ content: (.*?); \}", text)
        assert foot
        assert "The proof found faults" in foot[1]
    assert WORDS("evidence.sound") not in read(unsound, "evidence.html")


def test_violation_names_step_part_and_blocker(unsound: Made) -> None:
    ring = next(s.number for s in unsound.plans[0].steps if s.id == "ring")
    (found,) = unsound.proof.violations
    assert (found.sequence, found.finding.step, found.finding.part, found.finding.by) == (  # type: ignore[union-attr]
        "assembly", ring, "ring", "cover",
    )  # fmt: skip
    (said,) = unsound.pages.faults
    start, end = (
        f"assembly: Step {ring} (ring): The ring cannot reach its place: the cover, fitted in step {ring - 1},",
        "mm before.",
    )
    assert said.startswith(start)
    assert said.endswith(end)
    assert said in read(unsound, "evidence.html").replace("\u00a0", " ")
    rows = [g for g in unsound.pages.evidence.sequences[0].gaps if g.blocked]
    assert [g.parts for g in rows] == ["The ring"]
    assert "the cover" in rows[0].blocked


def test_turn_that_was_not_judged_is_not_called_sound(made: Made, tmp_path: Path) -> None:
    """The shafts of a head turn: while nobody knows whether its rotors stay clear, nobody may say that it is sound."""
    turning = dataclasses.replace(made.proof, turns=True)
    assert (made.proof.soundness, turning.soundness) == ("sound", "turn not judged")
    pages = make_proof_pages(coupling(), made.plans, turning, (), {}, WORDS)
    write_booklet(booklet_of(made.plans, pages), tmp_path, SETTING)
    page = (tmp_path / "evidence.html").read_text("utf-8")
    assert WORDS("soundness.turn_not_judged") in page
    assert WORDS("evidence.sound") not in page
    results = {m.title: m.result for m in pages.evidence.methods}
    assert results["Do the turning parts stay clear?"] == "not judged"
    assert "Do the turning parts stay clear?" not in {m.title for m in made.pages.evidence.methods}


def test_turn_that_is_not_clear_is_a_fault(made: Made) -> None:
    round_ = np.array(
        [(30 * np.cos(a), 30 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 60, endpoint=False)]
    )
    pair = turn_pair(round_, round_, 50.0, 0.0, 0.1)
    assert not pair.clear
    still = (StillGap("wheel", "housing", 0.0, 3.0), StillGap("nut", "cover", 0.2, 0.0))
    turned = dataclasses.replace(made.proof, turns=True, turn=SolidTurn(pair, still, 0.005, 1.0))
    assert turned.soundness == "unsound"
    assert [v.finding for v in turned.violations] == [
        PairNotClear(pair.smallest_at_deg), TurnIntoStill("wheel", "housing"),
    ]  # fmt: skip
    view = make_proof_pages(coupling(), made.plans, turned, (), {}, WORDS).evidence
    assert view.faults == (
        f"The rotors are not proven clear of each other: least gap at {pair.smallest_at_deg:.1f} degrees.",
        "The wheel turns into the housing.",
    )


@pytest.mark.parametrize("width", WIDTHS)
def test_pages_open_clean_and_words_of_thirty_letters_stay_in_their_place(made: Made, width: int) -> None:
    bad: dict[str, object] = {}
    with browser() as chrome:
        context = chrome.new_context(viewport=viewport(width, 800))
        for name in ("evidence.html", "cards.html", "practice.html", "assembly.html"):
            visit = Visit(context, made.folder / name)
            before = pushed_out(visit.page)
            assert spread_long_words(visit.page) > 5
            found = (visit.troubles, visit.outside(), before, pushed_out(visit.page))
            if found != ([], [], [], []):
                bad[name] = found
    assert bad == {}


def test_machine_readable_file_is_the_evidence(made: Made) -> None:
    for name, evidence in made.proof.by_sequence.items():
        assert read_evidence(made.folder / "evidence" / f"{name}.json") == evidence
        assert f'href="evidence/{name}.json"' in read(made, "evidence.html")


def test_practice_data_is_whole_and_harmless(made: Made) -> None:
    text = read(made, "practice.html")
    blocks = re.findall(r'<script type="application/json" class="practice-data">(.*?)</script>', text, re.S)
    assert len(blocks) == 2
    for block, plan in zip(blocks, made.plans, strict=True):
        assert "<" not in block
        data = json.loads(block)
        moves = made.proof.by_sequence[plan.sequence].practice.moves
        assert {c["step"] for c in data["choices"]} == {m.step for m in moves}
        assert sorted(k for c in data["choices"] for k in c["parts"]) == sorted(
            k for m in moves for k in m.parts
        )
    rows = Elements(text).all
    assert sum(t == "tr" for t, _ in rows) == 2 + sum(len(json.loads(b)["choices"]) for b in blocks)


# ---- the order as a picture

NAMESPACE = "{http://www.w3.org/2000/svg}"


def _drawn(edges: list[tuple[int, int]], count: int) -> ET.Element:
    nodes = [Node(n, f"Part <{n}> & more words to wrap", f"a.html#step-{n}") for n in range(count)]
    return ET.fromstring(str(draw_order(nodes, edges, 'order "x"', "x")))


def _reach(edges: list[tuple[int, int]]) -> set[tuple[int, int]]:
    found = set(edges)
    while True:
        more = {(a, d) for a, b in found for c, d in found if b == c} - found
        if not more:
            return found
        found |= more


graphs = st.integers(2, 14).flatmap(
    lambda n: st.tuples(
        st.just(n),
        st.lists(
            st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)).filter(lambda e: e[0] < e[1]), max_size=24
        ),
    )
)


@given(graphs)
@settings(deadline=None)
def test_needed_arrows_say_the_same_with_none_to_spare(graph: tuple[int, list[tuple[int, int]]]) -> None:
    _, edges = graph
    arrows = needed(edges)
    assert _reach(arrows) == _reach(edges)
    for arrow in arrows:
        assert arrow not in _reach([a for a in arrows if a != arrow])


@given(graphs)
@settings(deadline=None)
def test_picture_has_every_step_once_and_no_box_on_another(graph: tuple[int, list[tuple[int, int]]]) -> None:
    count, edges = graph
    picture = _drawn(edges, count)
    boxes = [(float(r.get("x", 0)), float(r.get("y", 0))) for r in picture.iter("rect")]
    assert len(boxes) == count
    for (x0, y0), (x1, y1) in itertools.combinations(boxes, 2):
        assert abs(x0 - x1) >= BOX[0] or abs(y0 - y1) >= BOX[1]
    left, top, width, height = (float(v) for v in str(picture.get("viewBox")).split())
    for x, y in boxes:
        assert left <= x <= left + width - BOX[0]
        assert top <= y <= top + height - BOX[1]
    ways = [p for g in picture.iter("g") for p in g.iter("path")]
    assert len(ways) == len(needed(edges))
    layer = layers_of(range(count), needed(edges))
    assert all(layer[a] < layer[b] for a, b in needed(edges))


def test_long_arrow_runs_past_the_boxes_between() -> None:
    edges = [(0, 1), (1, 2), (2, 3), (4, 1), (4, 3), (5, 6), (6, 3), (0, 6)]
    picture = _drawn(edges, 7)
    boxes = [(float(r.get("x", 0)), float(r.get("y", 0))) for r in picture.iter("rect")]
    for path in (p for g in picture.iter("g") for p in g.iter("path")):
        numbers = [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?", str(path.get("d")))]
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            inside = [b for b in boxes if b[0] < x < b[0] + BOX[0] and b[1] + 1 < y < b[1] + BOX[1] - 1]
            assert inside == []
