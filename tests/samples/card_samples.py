"""Orientation cards without solids and proof, for tests of the pages that show them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import get_args

from benchleaf.sequences.misfits.orientation_cards import Telling
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.pages.cards.cards import CardView
from benchleaf.site.pages.cards.which_way import bench_questions
from benchleaf.site.pages.evidence_page import EvidenceView
from benchleaf.site.pages.proof_pages import ProofPages
from benchleaf.site.pages.view_models import PictureView, Use
from benchleaf.site.words.catalogue import load_words
from site_samples import draw_placeholder, sample_booklet

SHOWN: tuple[tuple[str, str, str, str], ...] = (
    ("spring", "end for end", "edges", "disc spring"),
    ("body", "half turn", "dowels", "body"),
    ("cover", "half turn", "dowels", "cover"),
    ("rotating", "end for end", "flats", "rotating seal ring"),
    ("stationary", "end for end", "notches", "stationary seal ring"),
    ("turned", "part turn", "notches", "stationary seal ring"),
    ("rotor", "other side", "keyways", "rotor"),
    ("oring", "swapped", "solid rubber", "cover O-ring"),
    ("taken", "swapped", "other part", "nut O-ring"),
    ("key", "left out", "gone", "key"),
    ("nut", "left out", "gone", "cover nut"),
)
"""Id, kind of mistake, telling and part of each card; the last three answer no question of the bench."""


def sample_card(name: str, mistake: str, telling: str, part: str) -> CardView:
    """Return a card with pictures of its own and words of usual length."""
    assert telling in get_args(Telling)
    forgotten = mistake == "left out"

    def figure(which: str) -> PictureView:
        return PictureView(f"pictures/card-{name}-{which}.png", 520, 390, f"The {part}, {which}.")

    return CardView(
        anchor=f"card-{name}",
        title=f"{part}, {mistake}",
        forgotten=forgotten,
        stopped=telling in ("dowels", "flats", "notches"),
        question=f"Would anything show you that the {part} was left out?"
        if forgotten
        else f"Which way round does the {part} go?",
        answer=("As the right picture shows it.", "Nothing stops the other way."),
        wrong=(f"The {part} no longer bears where it should.",),
        alike="",
        marked=False,
        hidden="Step 9 closes it in: after that it cannot be seen.",
        right_words="Outer edge on the nut",
        wrong_words="Inner edge on the nut",
        tell=(("By eye", "One side is hollow, the other crowned."),),
        drawn="",
        right_figure=figure("right"),
        wrong_figure=figure("wrong"),
        steps=(Use("Assembly, step 3", "assembly.html#step-3"),),
        covers=frozenset({(mistake, name)}),
        telling=telling,  # type: ignore[arg-type]
        part=part,
    )


def sample_cards() -> tuple[CardView, ...]:
    """Return the cards of :data:`SHOWN`."""
    return tuple(sample_card(*shown) for shown in SHOWN)


def carded_booklet() -> Booklet:
    """Return the sample booklet with these cards and a proof that found nothing wrong."""
    cards = sample_cards()
    links = {"assembly": {"step_3": (Use("Check the orientation", "cards.html#card-spring"),)}}
    evidence = EvidenceView("sound", (), (), (), (), (), ())
    proof = ProofPages(
        cards, (), evidence, "0.01 mm", {}, links, asked_at_bench=bench_questions(cards, load_words())
    )
    booklet = sample_booklet()
    chapter = booklet.chapters[0]
    sections = tuple(
        replace(
            sec,
            steps=tuple(replace(s, cards=links["assembly"].get(s.step.id, ())) for s in sec.steps),
        )
        for sec in chapter.sections
    )
    identity = replace(booklet.identity, slug="p-101")
    return replace(booklet, identity=identity, chapters=(replace(chapter, sections=sections),), proof=proof)


def draw_card_pictures(folder: Path) -> None:
    """Draw the pictures of :func:`sample_cards`."""
    for name, *_ in SHOWN:
        for which in ("right", "wrong"):
            draw_placeholder(folder / "pictures" / f"card-{name}-{which}.png", 520, 390)
