"""Sentences about wrong placements: each kind of effect and outcome has its own, whole, with its figures."""

from __future__ import annotations

import dataclasses
from typing import get_args

import pytest
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.sequences.misfits.findings import Effect, EffectKind, Misfit, Outcome, PinPair
from benchleaf.sequences.misfits.orientation_cards import OrientationCard, Telling
from benchleaf.sequences.steps.claims import MistakeKind
from benchleaf.site.words.misfit_words import (
    card_question,
    effect_sentence,
    mistake_words,
    outcome_words,
    picture_words,
    pin_sentence,
    telling_words,
    told_figures,
)
from benchleaf.site.words.part_names import PartNames
from named_parts import FIT, NAMES, UNIT, WORDS, bare_part, slugs, text_keys


def test_every_kind_has_its_text_and_no_text_is_left_over() -> None:
    assert text_keys("effect") == slugs(EffectKind)
    assert text_keys("outcome") == (slugs(Outcome) - {"goes_in"}) | {"stopped_by_material", "weak"}
    assert text_keys("card_question") == slugs(MistakeKind) - {"left_out"}
    assert text_keys("mistake") == slugs(MistakeKind) | {"replaced"}


EFFECTS = [
    (Effect("bears elsewhere", ("body",), mm=5.8, right_mm=7.7),
     "It bears on the body at a radius of 5.8 mm instead of 7.7 mm."),
    (Effect("bears no more", ("rotor_drive",)), "It no longer bears on the rotor (drive side)."),
    (Effect("bears wrongly", ("cover_nut_1",)), "It bears on the cover nut 1, where it should not."),
    (Effect("bears less", ("body",), percent=42.0), "It bears on only 42 % of its face on the body."),
    (Effect("sits proud", mm=0.5), "It sits 0.50 mm proud of its place."),
    (Effect("sits deep", mm=1.25), "It sits 1.25 mm deeper than its place."),
    (Effect("presses no more", ("nut_oring_drive",)), "It no longer presses the nut O-ring (drive side)."),
    (Effect("presses wrongly", ("nut_oring_drive",)), "It presses the nut O-ring (drive side), where it should not."),
    (Effect("pressed less", ("nut_oring_drive",)), "The nut O-ring (drive side) is pressed less than it should be."),
    (Effect("pressed more", ("nut_oring_drive",)), "The nut O-ring (drive side) is pressed more than it should be."),
    (Effect("feature unmet", feature="large dowel hole", mates="body_dowel"),
     "Its large dowel hole does not meet the body dowel."),
    (Effect("other ring", mm=30.0, right_mm=25.5, thick_mm=2.62, right_thick_mm=1.78),
     "It is 30.0 mm across and 2.62 mm thick instead of 25.5 mm and 1.78 mm."),
    (Effect("neighbour unmet", ("cover",)), "It does not meet the cover."),
    (Effect("points elsewhere", mm=35.0),
     "It points the other way: on one side it reaches 35.0 mm further than it should."),
    (Effect("other shape", mm3=201.0), "It is not the same that way round: 201 mm³ of it lie elsewhere."),
    (Effect("hollow empty", ("rotor_drive",), "keyway 1"), "The keyway 1 of the rotor (drive side) stays empty."),
    (Effect("feature unfilled", ("shaft_drive",), "seal journal"),
     "Nothing meets the shaft seal diameter of the shaft (drive side)."),
    (Effect("neighbours miss it", ("body",)), "The body then misses it."),
    (Effect("neighbours miss it", ("body", "cover")), "The body and the cover then miss it."),
    (Effect("nothing squeezed", ("body", "cover")), "Nothing is then squeezed between the body and the cover."),
    (Effect("nothing held", ("body", "cover")), "Nothing then holds the body and the cover together there."),
    (Effect("nothing keyed", ("shaft_drive", "rotor_drive")),
     "Nothing then keeps the shaft (drive side) and the rotor (drive side) from turning on each other."),
    (Effect("goes deeper", UNIT, move=1, mm=2.0), "The unit “Rotor nut, built up” then goes 2.0 mm deeper."),
    (Effect("goes deeper", ("cover_nut_1", "cover_nut_2"), move=3, mm=2.0), "The 2 cover nuts then go 2.0 mm deeper."),
    (Effect("goes far deeper", ("cover",), move=2), "The cover then goes far deeper."),
    (Effect("bears too soon", ("cover",), mm=0.12), "The cover then bears 0.12 mm too soon."),
    (Effect("stands turned", ("rotor_driven",), deg=90.0),
     "It stands turned by 90 degrees from where the rotor (driven side) stands."),
    (Effect("lies on the first", ("nut_oring_drive",)), "A second nut O-ring (drive side) lies on top of the first."),
    (Effect("collides turned", deg=0.5),
     "Out of time like this, the pair collides when the drive shaft has turned 0.5 degrees."),
]  # fmt: skip


@pytest.mark.parametrize(("effect", "text"), EFFECTS, ids=lambda e: getattr(e, "kind", ""))
def test_what_is_wrong_is_said_in_a_sentence(effect: Effect, text: str) -> None:
    assert effect_sentence(NAMES, FIT, effect) == text


def test_every_effect_is_tried() -> None:
    assert {e.kind for e, _ in EFFECTS} == set(get_args(EffectKind))


def _misfit(outcome: Outcome = "alike", **more: object) -> Misfit:
    fields: dict[str, object] = {
        "step": 1, "step_id": "s0", "parts": ("rotor_drive",), "lead": "rotor_drive", "kind": "half turn",
        "verdict": "stopped", "outcome": outcome,
    }  # fmt: skip
    return Misfit(**(fields | more))  # type: ignore[arg-type]


OUTCOMES = [
    (_misfit("stopped on its way", stopped_by=("body", "cover"), met=("body",), short_mm=18.02),
     "Stopped by the body, 18.0 mm short."),
    (_misfit("stopped on its way", stopped_by=("body",), met=("body",), short_mm=1.4, too_big_mm=0.07, weak=True),
     "Stopped by the body, 1.4 mm short (0.07 mm too much material). Do not rely on so small a stop."),
    (_misfit("stops what follows", stopped_by=("cover",), too_big_mm=0.4),
     "It reaches its place, but then the cover cannot (0.40 mm too much material)."),
    (_misfit("bars what holds it", stopped_by=("cover_nut_1", "cover_nut_2")),
     "Then the 2 cover nuts cannot come in to hold it."),
    (_misfit("nothing to sit on"), "It would have nothing to sit on or in there."),
    (_misfit("second stopped on its way", stopped_by=("body",), short_mm=2.04),
     "A second rotor (drive side) is stopped by the body, 2.0 mm short."),
    (_misfit("second stops what follows", stopped_by=("cover",), too_big_mm=1.0),
     "A second rotor (drive side) goes on top, but then the cover cannot come home."),
    (_misfit("missed by what sits on it", stopped_by=UNIT, noticed_by=1),
     "Noticed in step 2, where the unit “Rotor nut, built up” would have nothing to sit on or in."),
    (_misfit("missed by its thread", stopped_by=("cover_nut_2",), noticed_by=3),
     "Noticed in step 4, where cover nut 2 would find no thread."),
    (_misfit("same shape", verdict="no difference"), "No difference, it is the same shape that way."),
    (_misfit("alike", verdict="no difference"), "No difference, it bears, seals and drives alike."),
    (_misfit("goes in", verdict="goes in", wrong=(Effect("sits proud", mm=0.5), Effect("bears no more", ("body",)))),
     "It sits 0.50 mm proud of its place. It no longer bears on the body."),
]  # fmt: skip


@pytest.mark.parametrize(("fit", "text"), OUTCOMES, ids=lambda f: getattr(f, "outcome", ""))
def test_what_came_of_a_mistake_is_said_in_sentences(fit: Misfit, text: str) -> None:
    assert outcome_words(NAMES, FIT, fit) == text
    for name in ("short_mm", "too_big_mm"):
        shown = f"{getattr(fit, name):.{1 if name == 'short_mm' else 2}f} mm"
        if getattr(fit, name):
            assert (shown in text) == (name in told_figures(fit)), "a figure is told once"


def test_every_outcome_is_tried() -> None:
    assert {f.outcome for f, _ in OUTCOMES} == set(get_args(Outcome))
    assert told_figures(_misfit("goes in", wrong=(Effect("sits deep", mm=0.1),))) == {"shift_mm"}


@pytest.mark.parametrize(
    ("fit", "text"),
    [
        (_misfit(kind="end for end", about="y"), "turned end for end"),
        (_misfit(kind="part turn", about="z", turn_deg=22.5), "turned by 22.5 degrees"),
        (_misfit(kind="swapped", other="rotor_driven"), "swapped with the rotor (driven side)"),
        (_misfit(kind="swapped", parts=("body_dowel_small",), other="body_dowel_large"),
         "replaced by the large body dowel"),
        (_misfit(kind="other side", other="rotor_driven"), "on the other side"),
        (_misfit(kind="left out"), "left out"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_after_its_part(fit: Misfit, text: str) -> None:
    assert mistake_words(NAMES, fit) == text


def test_cards_ask_what_fits_their_mistake() -> None:
    def asked(kind: MistakeKind, *parts: str) -> str:
        return card_question(NAMES, OrientationCard("c", 1, "s", parts, (), kind, "", ()))

    assert asked("end for end", "rotor_drive") == "Which way round does the rotor (drive side) go?"
    assert asked("half turn", "cover") == asked("part turn", "cover") == "How is the cover turned?"
    assert asked("other side", "rotor_drive") == "On which side does the rotor (drive side) belong?"
    assert asked("swapped", "body_dowel_large") == "Which of the two is the large body dowel?"
    assert asked("fitted twice", "cover") == "What is there too often?"
    assert asked("left out", "cover") == "Would anything show you that the cover was left out?"


def test_pins_say_whether_they_tell_right_from_wrong() -> None:
    pins = PinPair("body_dowel_large", "body_dowel_small", 8.0, 6.0, 1.94, True)
    stem = "The large body dowel (8.00 mm) is {} mm too big for the hole of the small body dowel ({} mm): "
    assert pin_sentence(NAMES, pins) == stem.format("1.94", "6.00") + "that stops a part turned round."
    equal = dataclasses.replace(pins, small_mm=8.0, stop_mm=-0.06, enough=False)
    assert (
        pin_sentence(NAMES, equal) == stem.format("0.00", "8.00") + "too little to stop a part turned round."
    )


MOST_WORDS = 6
"""On a picture."""
EVERY_KIND = PartNames(WORDS, {k: bare_part(k, k, name=name) for k, name in KINDS.items()})
"""A part of each kind of a head, under the kind as its key."""


def _told(telling: Telling, outer: bool | None = None, part: str = "disc_spring") -> OrientationCard:
    met = Effect("bears elsewhere", ("rotor_nut",), mm=6.2, right_mm=8.9)
    return OrientationCard(
        "c", 1, "s", (part,), (), "end for end", "hub_oring", (met,), telling=telling, outer=outer
    )


@pytest.mark.parametrize("telling", get_args(Telling))
def test_pictures_of_a_pair_carry_few_words_that_differ(telling: Telling) -> None:
    card = _told(telling, True if telling == "edges" else None)
    right, wrong = (picture_words(EVERY_KIND, card, which) for which in ("right", "wrong"))
    assert right != wrong
    named = [picture_words(EVERY_KIND, _told(telling, card.outer, k), "right") for k in KINDS]
    for said in (right, wrong, *named):
        assert 1 <= len(said.split()) <= MOST_WORDS
        assert said[0].isupper()
        assert not said.endswith(".")
    ways = [way for way, _ in telling_words(EVERY_KIND, card)]
    assert ways == [
        w for w in (WORDS("tell_by.eye"), WORDS("tell_by.touch"), WORDS("tell_by.plate")) if w in ways
    ]
    assert ways or telling == "gone", "what is left out is seen"
    assert all(s.endswith(".") for _, s in telling_words(EVERY_KIND, card))


def test_the_edge_that_bears_and_the_side_that_is_hollow_follow_the_solids() -> None:
    outer, inner = _told("edges", True), _told("edges", False)
    assert (
        picture_words(EVERY_KIND, outer, "right")
        == picture_words(EVERY_KIND, inner, "wrong")
        == "Outer edge on the rotor nut"
    )
    assert (
        picture_words(EVERY_KIND, outer, "wrong")
        == picture_words(EVERY_KIND, inner, "right")
        == "Inner edge on the rotor nut"
    )
    assert "The hollow side looks at the rotor nut." in telling_words(EVERY_KIND, outer)[0][1]
    assert "The crowned side looks at the rotor nut." in telling_words(EVERY_KIND, inner)[0][1]


def test_no_words_of_pairs_are_left_over() -> None:
    stems = {t.replace(" ", "_") for t in get_args(Telling)}
    for key in (k for k in WORDS.texts if k.startswith(("pair_words.", "tell."))):
        assert any(key.split(".")[1].startswith(stem) for stem in stems), key
