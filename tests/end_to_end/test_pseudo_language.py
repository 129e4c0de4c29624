"""Every word of every page is the catalogue's or the user's: built in a language of brackets, none stands outside."""

from __future__ import annotations

import dataclasses
import shutil
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Side
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.geometry.profiles.pair_turn import turn_pair
from benchleaf.geometry.profiles.solid_turn import SolidTurn, StillGap
from benchleaf.render.drawing.manifest import CameraSeen, FilmSeen, Manifest, PartSeen
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.proof.assembly_proof import AssemblyProof
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.proof.shaft_timing import OutOfPhase, TimingEvidence
from benchleaf.sequences.steps import cautions, sequence_file
from benchleaf.sequences.steps.plan import Plan, Step
from benchleaf.site.booklets.head_pictures import HeadPictures
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_parts_list
from benchleaf.site.pages.pages import QUESTIONS, Setting, page_text, write_booklet
from benchleaf.site.pages.picture_views import Items, overview_picture_view, step_picture_view
from benchleaf.site.pages.proof_pages import ProofPages, cards_to_show, make_proof_pages
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words
from fleet_pages import make_booklet, named_parts, worded_plans, write_fleet_pages
from proof_samples import ROWS, backwards, coupling, plan_of
from pseudo_language import OPEN, bracketed, pseudo_words, untranslated, write_bracketed

WORDS = pseudo_words()
FORMULAS = {("dd", "formula"), ("span", "formula"), ("span", "symbol"), ("span", "unit")}
"""What holds no words in any language, as (tag, class): formulas, their symbols, the unit beside a reading."""
TAG = "P-101"


def own_words(fleet: JudgedFleet) -> set[str]:
    """Return the user's own words: what stands in the fleet file, and names that only machines give."""
    booklet = fleet.booklet
    words = {fleet.plant, booklet.title or "", "benchleaf"}
    for row in fleet.heads:
        words |= {row.tag, row.size.name, row.service, row.slug}
        words |= {str(getattr(row.options, f.name)) for f in dataclasses.fields(row.options)}
        words |= {row.options.elastomer, row.options.body_metal, row.options.rotor_metal}
        words |= {*row.name_plate.values(), *(o.record for o in row.as_found)}
        words |= {text for s in row.spare_parts.values() for text in (s.number, s.compound)}
        for given in (v.given for v in row.values.values() if v.given):
            words |= {given.value if isinstance(given.value, str) else "", given.condition}
            words |= set(vars(given.source).values())
    words |= set(designations(fleet.figures))
    return {w for w in words if any(map(str.isalpha, w))} - {"True", "False", *_worded_choices()}


def designations(found: object) -> Iterator[str]:
    """Yield what no language changes in all that figures rest on: names of standards, works and files."""
    if isinstance(found, Topic):
        yield from (
            str(fact)
            for name, fact in found.facts
            if name in ("standard", "work", "file", "diameters", "form", "profile", "case", "grade")
        )
    elif isinstance(found, Mapping):
        for value in found.values():
            yield from designations(value)
    elif isinstance(found, tuple):
        for value in found:
            yield from designations(value)
    elif dataclasses.is_dataclass(found):
        for field in dataclasses.fields(found):
            yield from designations(getattr(found, field.name))


def _worded_choices() -> set[str]:
    """Return the choices of options that the catalogue has words for: they must not stand bare."""
    return {k.rsplit(".", 1)[1] for k in load_words().texts if k.startswith("option.")}


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[JudgedFleet]:
    """The demo fleet with shipped and own sequences and cautions in brackets."""
    folder = tmp_path_factory.mktemp("bracketed")
    for file in (*cautions.DATA.glob("*.yaml"), DEMO_FLEET / "cautions.yaml"):
        to = folder / ("own" if file.parent == DEMO_FLEET else "shipped")
        to.mkdir(exist_ok=True)
        write_bracketed(file, to / file.name)
    shutil.copy(DEMO_FLEET / "fleet.yaml", folder / "own" / "fleet.yaml")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cautions, "DATA", folder / "shipped")
        patch.setattr(sequence_file, "DATA", folder / "shipped")
        yield load_fleet(folder / "own" / "fleet.yaml")


def found_in(folder: Path, own: set[str]) -> dict[str, list[str]]:
    """Return what stands outside the brackets, by page."""
    pages = sorted(folder.rglob("*.html"))
    assert all(p.read_text("utf-8").count(OPEN) > 20 for p in pages)
    told = {p.name: list(untranslated(p.read_text("utf-8"), own, FORMULAS)) for p in pages}
    for script in sorted(folder.rglob(QUESTIONS)):
        data = script.read_text("utf-8").partition(" = ")[2].removesuffix(";\n")
        page = f'<script type="application/json">{data}</script>'
        told[script.name] = list(untranslated(page, own, FORMULAS))
    return {name: texts for name, texts in told.items() if texts}


def seen(assembly: Assembly, step: Step | None) -> Manifest:
    """Return the manifest of a picture in which every part is seen."""
    camera = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    keys = list(assembly.parts)
    parts = {
        k: PartSeen("focus", 900, 1.0, (0.05 + 0.9 * n / len(keys), 0.5), (0.0, 0.0, 1.0, 1.0))
        for n, k in enumerate(keys)
    }
    film = FilmSeen("film.webp", 640, 480, (100,), camera, (None,)) if step else None
    return Manifest(
        "step" if step else "overview", step.id if step else "", step.number if step else 0,
        {"webp": "picture.webp"}, 1600, 1200, camera, True, parts, film=film,
    )  # fmt: skip


def with_pictures(booklet: Booklet, row: FleetHead, plans: tuple[Plan, ...]) -> Booklet:
    """Return a booklet whose steps and overview have pictures with callouts."""
    head = named_parts(row)
    items = Items(head, booklet.parts)
    chapters = [
        make_chapter(
            p, {s.id: step_picture_view(seen(head, s), s, items, WORDS) for s in p.steps}, row.values
        )
        for p in plans
    ]
    overview = overview_picture_view(seen(head, None), items, WORDS)
    lists = booklet.chapters[len(plans) :]
    return dataclasses.replace(booklet, chapters=(*chapters, *lists), overview=overview)


def test_pages_of_a_booklet_say_nothing_outside_the_catalogue(fleet: JudgedFleet, tmp_path: Path) -> None:
    row = fleet.head(TAG)
    plans = worded_plans(fleet, row, WORDS)
    manifests = {(p.sequence, s.id): seen(named_parts(row), s) for p in plans for s in p.steps}
    pictures = HeadPictures(seen(named_parts(row), None), manifests, {})
    booklet = with_pictures(make_booklet(fleet, row, words=WORDS, pictures=pictures), row, plans)
    write_booklet(booklet, tmp_path, Setting(WORDS, fleet.plant, fleet.demo, "2031-01-01"), "../index.html")
    assert {p.name for p in tmp_path.glob("*.html")} >= {
        "index.html",
        "assembly.html",
        "values.html",
        "record.html",
        "pump.html",
        "cleaning.html",
        "start_up.html",
        "trouble.html",
        "year.html",
        "glossary.html",
    }
    assert found_in(tmp_path, own_words(fleet)) == {}


def test_pages_of_a_library_say_nothing_outside_the_catalogue(fleet: JudgedFleet, tmp_path: Path) -> None:
    few = (fleet.head(TAG), fleet.heads[-1])
    write_fleet_pages(dataclasses.replace(fleet, heads=few), tmp_path, WORDS)
    for name in ("index.html", "missing.html"):
        page = (tmp_path / name).read_text("utf-8")
        assert OPEN in page
        assert list(untranslated(page, own_words(fleet), FORMULAS)) == [], name


# ---- what the proof says: the coupling in a head's names

NAMED = {
    "housing": ("gear_case", "gear_case"),
    "shaft": ("shaft_drive", "shaft"),
    "dowel_large": ("body_dowel_large", "body_dowel"),
    "dowel_small": ("body_dowel_small", "body_dowel"),
    "key": ("key_drive", "key"),
    "wheel": ("rotor_drive", "rotor"),
    "washer": ("disc_spring_drive", "disc_spring"),
    "nut": ("rotor_nut_drive", "rotor_nut"),
    "ring": ("cover_oring", "cover_oring"),
    "cover": ("cover", "cover"),
    "screw_1": ("cover_nut_1", "cover_nut"),
    "screw_2": ("cover_nut_2", "cover_nut"),
}
OF_KIND = {old.split("_")[0]: kind for old, (_, kind) in NAMED.items()}


def named_coupling() -> Assembly:
    """Return the coupling with keys, kinds and names of a head's parts."""
    parts = {}
    for part in coupling():
        key, kind = NAMED[part.key]
        features = tuple(dataclasses.replace(f, mates=OF_KIND.get(f.mates, f.mates)) for f in part.features)
        side: Side | None = "drive" if key.endswith("_drive") else None
        changed = dataclasses.replace(
            part, key=key, kind=kind, name=KINDS[kind], material="316L", features=features
        )
        parts[key] = dataclasses.replace(changed, side=side)
    return Assembly("coupling", parts)


def named_plan(order: list[str] | None = None) -> Plan:
    """Return the coupling's plan over :func:`named_coupling`."""
    rows = dict(ROWS)
    named = [
        (step, tuple((tuple(NAMED[k][0] for k in keys), legs) for keys, legs in rows[step]))
        for step in order or list(rows)
    ]
    return plan_of(named, ("gear_case", "shaft_drive"))


def in_brackets(plan: Plan) -> Plan:
    """Return a plan with all titles in brackets."""
    steps = tuple(dataclasses.replace(s, title=bracketed(s.title)) for s in plan.steps)
    sections = tuple(dataclasses.replace(s, title=bracketed(s.title)) for s in plan.sections)
    return dataclasses.replace(plan, title=bracketed(plan.title), steps=steps, sections=sections)


TIMINGS = tuple(
    TimingEvidence(3, "wheel", "rotor_drive", "key_drive", ranges, proven, 0.05, limit, tried)
    for ranges, proven, limit, tried in (
        (
            ((0.0, 360.0),),
            True,
            4.5,
            (OutOfPhase(90.0, True, True, 0.5), OutOfPhase(180.0, True, True, None)),
        ),
        (
            ((0.0, 360.0),),
            False,
            None,
            (OutOfPhase(90.0, False, True, 0.5), OutOfPhase(9.0, False, False, None)),
        ),
        (((10.0, 20.0), (30.0, 40.0)), False, None, ()),
        ((), False, 1.2, ()),
    )
)


def turned() -> SolidTurn:
    """Return the whole turn of a pair that collides."""
    angles = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    disc = 30 * np.column_stack([np.cos(angles), np.sin(angles)])
    still = (StillGap("rotor_drive", "gear_case", 0.0, 3.0), StillGap("rotor_nut_drive", "cover", 0.2, 0.0))
    return SolidTurn(turn_pair(disc, disc, 50.0, 0.0, 0.1), still, 0.005, 1.0)


@cache
def proof_pages(*order: str) -> tuple[tuple[Plan, ...], AssemblyProof, ProofPages]:
    """Return the pages that rest on the proof of the coupling, its steps in an order of their own."""
    assembly, plan = named_coupling(), named_plan(list(order))
    plans = (in_brackets(plan), in_brackets(backwards(plan)))
    found = prove_plans(assembly, plans, workers=1)
    proof = AssemblyProof(
        "coupling", {p.sequence: e for p, e in zip(plans, found, strict=True)}, None, turns=True
    )
    cards = cards_to_show(assembly, plans, proof)
    pictures = {c.id: (seen(assembly, None), seen(assembly, None)) for c in cards[::2]}
    return plans, proof, make_proof_pages(assembly, plans, proof, cards, pictures, WORDS)


RING_TOO_LATE = ("dowels", "key", "wheel", "washer", "nut", "cover", "ring", "screws")


@pytest.mark.parametrize("order", [(), RING_TOO_LATE], ids=["sound", "unsound"])
def test_pages_of_the_proof_say_nothing_outside_the_catalogue(tmp_path: Path, order: tuple[str, ...]) -> None:
    plans, proof, pages = proof_pages(*order)
    assert bool(pages.faults) == bool(order)
    assert pages.cards
    chapters = [
        make_chapter(p, {}, {}, None, pages.whys[p.sequence], pages.card_links[p.sequence]) for p in plans
    ]
    booklet = Booklet(
        Identity("C-1", "60", "", "1", "2031-01-01"), (), None, make_parts_list(named_coupling(), WORDS),
        tuple(chapters), (), proof=pages,
    )  # fmt: skip
    write_booklet(booklet, tmp_path, Setting(WORDS, "", False, "2031-01-01"))
    written = {p.name for p in tmp_path.glob("*.html")}
    assert written >= {"evidence.html", "cards.html", "practice.html", "paper.html", "assembly.html"}
    assert (tmp_path / QUESTIONS).is_file()
    # A fault is told with the names that stand in the user's sequence file.
    names = {s.id for p in plans for s in p.steps} | set(proof.by_sequence) if order else set()
    assert found_in(tmp_path, {"C-1", "benchleaf", *names}) == {}


def test_page_of_an_own_assembly_says_nothing_outside_the_catalogue() -> None:
    _, _, pages = proof_pages()
    text = page_text(
        "own_evidence.html.j2",
        w=WORDS,
        booklet_demo=False,
        name="Latch",
        e=pages.evidence,
        tolerance="0.01\u00a0mm",
    )
    assert list(untranslated(text, {"Latch", "benchleaf"})) == []


# ---- the check itself


@pytest.mark.parametrize(
    "page",
    [
        "<p>⟦Stopped by ⟧the key</p>",
        "<p>⟦Stopped⟧ <b>by</b></p>",
        '<img alt="⟦Right⟧ wrong">',
        '<a aria-label="Next" href="x">⟦Next⟧</a>',
        "<title>Cover</title>",
        '<div data-right="that works"></div>',
        '<script type="application/json">{"why": "Now."}</script>',
        '<style>@page { content: "\\27e6 Page\\27e7  of"; }</style>',
        "<svg><text><tspan>⟦Stationary rings</tspan><tspan>⟧ and more</tspan></text></svg>",
    ],
)  # fmt: skip
def test_a_word_outside_is_found(page: str) -> None:
    assert list(untranslated(page, {"P-101"}))


@pytest.mark.parametrize(
    "page",
    [
        "<p>⟦Stopped by ⟧⟦the ⟧⟦key⟧, 18.0\u00a0mm⟦ short⟧</p>",
        "<p>⟦Set of ⟧P-101 · 12 N·m · 4&nbsp;°C</p>",
        "<script>var word = 1;</script>",
        '<style>@page { content: "\\27e6 Page\\27e7 "; }</style>',
        "<svg><text><tspan>⟦Stationary rings with</tspan><tspan>their …</tspan></text></svg>",
    ],
)  # fmt: skip
def test_words_in_brackets_units_and_own_words_pass(page: str) -> None:
    assert list(untranslated(page, {"P-101"})) == []
