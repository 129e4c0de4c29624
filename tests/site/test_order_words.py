"""Sentences about the order: why a step stands there, what cannot be done, what speaks against a pick."""

from __future__ import annotations

from typing import get_args

import pytest
from benchleaf.sequences.order.order_graph import OrderFault, PlannedMove, Why
from benchleaf.sequences.proof.evidence import StepReason
from benchleaf.sequences.reach.tool_places import ReachFault, ReachFound
from benchleaf.sequences.steps.operations import SurfaceOf, Tool
from benchleaf.sequences.training.order_practice import HurdleKind
from benchleaf.site.words.findings import finding_sentence
from benchleaf.site.words.order_words import (
    fault_sentence,
    hurdle_sentence,
    reach_sentence,
    why_sentence,
    why_words,
)
from named_parts import FIT, NAMES, OFF, bare_evidence, slugs, text_keys, values_of

BOTH_WAYS = ("in", "out")


def test_every_kind_has_its_text_and_no_text_is_left_over() -> None:
    alone = {"loose", "shuts_out"}
    told = {f"{r}_{way}" for r in slugs(HurdleKind) - alone - {"rule"} for way in BOTH_WAYS}
    assert text_keys("practice_rule") == alone | told
    blocked = {"blocked_in", "blocked_in_fitted", "blocked_out"}
    assert (
        text_keys("order_fault") == (slugs(values_of(OrderFault, "kind")) - {"blocked", "no_way"}) | blocked
    )
    alone = {"holds", "held", "free"}
    told = {f"{k}_{way}" for k in slugs(values_of(Why, "kind")) - alone for way in BOTH_WAYS}
    assert text_keys("why") == alone | told


FAULTS = [
    (OrderFault("blocked", 1, "s0", "rotor_drive", "cover", 0, remaining_mm=12.34, fitted_in=3),
     "The rotor (drive side) cannot reach its place: the cover, fitted in step 3, stops it 12.3 mm before."),
    (OrderFault("no way", 1, "s0", "rotor_drive", "cover", 0, remaining_mm=12.34),
     "The rotor (drive side) cannot reach its place: the cover stops it 12.3 mm before."),
    (OrderFault("blocked", 1, "s0", "rotor_drive", "cover", 0, into=False, remaining_mm=3.0),
     "The rotor (drive side) cannot come out: the cover stops it after 3.0 mm."),
    (OrderFault("loose", 2, "s1", "rotor_nut_drive", move=1),
     "The unit “Rotor nut, built up” would have nothing to sit on or in: nothing that is there touches it."),
    (OrderFault("no thread", 4, "s3", "cover_nut_1", "body", 3, mates=("body",)),
     "Cover nut 1 would find no thread: the body does not reach it."),
    (OrderFault("no thread", 4, "s3", "cover_nut_1", "body", 3, mates=("body", "cover")),
     "Cover nut 1 would find no thread: the body and the cover do not reach it."),
    (OrderFault("interlocked", 1, "s0", "rotor_drive", "cover", 0, against=2),
     "The rotor (drive side) and the cover each close the other's way: with these travels no order works."),
    (OrderFault("twice", 3, "s2", "cover", move=2), "The cover is in place already."),
    (OrderFault("absent", 3, "s2", "cover", move=2, into=False), "The cover is not there to be taken off."),
    (OrderFault("forgotten", 4, "s3", "body"), "The body is never fitted."),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "text"), FAULTS, ids=lambda f: getattr(f, "kind", ""))
def test_what_cannot_be_done_is_said_in_a_sentence(fault: OrderFault, text: str) -> None:
    assert fault_sentence(NAMES, FIT, fault) == text


def test_every_fault_is_tried() -> None:
    assert {f.kind for f, _ in FAULTS} == set(get_args(values_of(OrderFault, "kind")))


WHYS = [
    (FIT, 1, Why("now", (1,), 2),
     "Do it now: the unit “Rotor nut, built up” (step 2) would close the way for the rotor (drive side)."),
    (OFF, 1, Why("now", (1,), 2),
     "Do it now: the rotor (drive side) would be in the way of the unit “Rotor nut, built up” (step 2)."),
    (FIT, 3, Why("not earlier", (0, 1)),
     "Not earlier: the cover would close the way for the unit “Rotor nut, built up” and the rotor (drive "
     "side)."),
    (OFF, 3, Why("not earlier", (3,)), "Not earlier: the 2 cover nuts would still be in the way."),
    (FIT, 1, Why("before its unit", (1,), 2), "Do it before you fit the unit “Rotor nut, built up” as one (step 2)."),
    (OFF, 2, Why("before its unit", (2,), 3), "Do it before you take the unit “Rotor nut, built up” apart (step 3)."),
    (FIT, 2, Why("after its parts", (0, 2)), "First put the rotor (drive side) and the cover on the bench unit."),
    (OFF, 3, Why("after its parts", (1,)), "First take the unit “Rotor nut, built up” off the head."),
    (FIT, 3, Why("holds", (3,), 4),
     "Do it now: without the cover, the 2 cover nuts (step 4) would have nothing to sit on or in."),
    (FIT, 4, Why("held"), "Not earlier: the 2 cover nuts would have nothing to sit on or in."),
    (FIT, 4, Why("free"), "The solids leave the order of the 2 cover nuts open here: the sequence sets it."),
]  # fmt: skip


@pytest.mark.parametrize(("moves", "step", "why", "text"), WHYS)
def test_why_a_step_stands_where_it_does_is_said_in_a_sentence(
    moves: list[PlannedMove], step: int, why: Why, text: str
) -> None:
    reason = StepReason(step, f"s{step - 1}", step, step, (why,))
    assert why_sentence(NAMES, moves, reason, why) == text


def test_reasons_of_a_step_are_said_one_after_another() -> None:
    reason = StepReason(3, "s2", 3, 3, (Why("now", (3,), 4), Why("not earlier", (0,))))
    found = bare_evidence(moves=tuple(FIT), reasons=(reason,))
    assert why_words(NAMES, found, 3) == (
        "Do it now: the 2 cover nuts (step 4) would close the way for the cover. "
        "Not earlier: the cover would close the way for the rotor (drive side)."
    )
    assert why_words(NAMES, found, 2) == ""


@pytest.mark.parametrize(
    ("into", "kind", "others", "text"),
    [
        (True, "needs", (0,), "First the rotor (drive side): the unit comes as one."),
        (False, "needs", (0,), "First the rotor (drive side), off the head as one."),
        (True, "blocked by", (3,), "The cover cannot come in: the 2 cover nuts would be in the way."),
        (False, "blocked by", (3,), "The cover cannot come out: the 2 cover nuts would be in the way."),
        (True, "shuts out", (0,),
         "With the cover in place, the rotor (drive side) could not come in any more."),
        (True, "loose", (), "The cover would have nothing to sit on or in yet."),
        (True, "not there", (0,), "There is nothing to work on yet: first the rotor (drive side)."),
        (False, "not there", (0,), "First the rotor (drive side), off the head."),
        (True, "too late", (), "With the cover in place, this could not be done any more: Torque the nut."),
        (False, "too late", (), "With the cover off, this could not be done any more: Torque the nut."),
    ],
)  # fmt: skip
def test_a_wrong_choice_is_answered_in_a_sentence(
    into: bool, kind: HurdleKind, others: tuple[int, ...], text: str
) -> None:
    moves = FIT if into else OFF
    said = hurdle_sentence(NAMES, kind, into, [moves[2]], [moves[n] for n in others], "Torque the nut")
    assert said == text


# ---- tools that do not reach

HEXAGON = SurfaceOf("rotor_nut_drive", "hexagon")


def test_every_fault_and_every_tool_has_its_text() -> None:
    assert text_keys("reach_fault") == slugs(ReachFault) | {"at", "too_narrow"}
    tools = {t.replace("-", "_") for t in slugs(Tool)} - {"hand"}
    assert text_keys("reach_tool") == tools


REACH_FAULTS = [
    (ReachFound(1, "s0", 0, HEXAGON, "torque wrench", "meets", "body", 0.414),
     "The torque wrench does not go to “hexagon” of the rotor nut (drive side): it meets the body, 0.41 mm deep."),
    (ReachFound(1, "s0", 0, HEXAGON, "torque wrench", "no swing", "cover", 15.0),
     "The torque wrench at “hexagon” of the rotor nut (drive side) has no room to swing: 15 degrees, "
     "and the cover is in the way."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive"), "soft block", "does not reach"),
     "The soft block does not reach the rotor (drive side)."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive", "tip"), "feeler blade", "does not reach", "body", 0.02),
     "The feeler blade does not enter at “tip” of the rotor (drive side): the gap to the body is 0.02 mm too narrow."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive", "tip"), "soft block", "does not hold", "rotor_drive", 1.5),
     "The soft block at “tip” of the rotor (drive side) does not hold against the turn: it bears on 1.50 mm."),
    (ReachFound(1, "s0", 0, SurfaceOf("cover", "nose"), "straightedge", "no surface"),
     "The straightedge has nothing to go on: there is no “nose” of the cover."),
]  # fmt: skip


@pytest.mark.parametrize(("found", "text"), REACH_FAULTS, ids=[f.fault for f, _ in REACH_FAULTS])
def test_a_tool_that_does_not_reach_is_said(found: ReachFound, text: str) -> None:
    assert reach_sentence(NAMES, found) == text
    assert text in finding_sentence(NAMES, bare_evidence(), found)


def test_all_reach_faults_are_tried() -> None:
    assert {f.fault for f, _ in REACH_FAULTS} == set(get_args(ReachFault))
