"""Sentences about a whole plan or head: what is wrong with it, and how its shafts turn."""

from __future__ import annotations

import pytest
from benchleaf.geometry.meshes.overlaps import Clash, Overlap
from benchleaf.sequences.order.order_graph import OrderFault
from benchleaf.sequences.proof.evidence import METHODS, TurnClash
from benchleaf.sequences.proof.shaft_timing import OutOfPhase, TimingEvidence
from benchleaf.site.words.findings import finding_sentence, timing_sentences
from named_parts import FIT, NAMES, bare_evidence, text_keys

ORIGIN = (0.0, 0.0, 0.0)


def test_every_method_has_its_text() -> None:
    assert text_keys("evidence_method") == {m.replace(" ", "_") for m in METHODS}


def test_what_keeps_a_plan_from_being_sound_is_said_with_its_step() -> None:
    found = bare_evidence(moves=tuple(FIT))
    clash = Clash("body", "cover", Overlap(12.345, 0.1234, ORIGIN, ORIGIN, ORIGIN))
    assert (
        finding_sentence(NAMES, found, clash)
        == "The body and the cover overlap in place by 12.3 mm³, 0.123 mm deep."
    )
    fault = OrderFault("twice", 3, "s2", "cover", move=2)
    assert finding_sentence(NAMES, found, fault) == "Step 3 (s2): The cover is in place already."
    turn = TurnClash(4, "s3", "rotor_drive", "body")
    assert finding_sentence(NAMES, found, turn) == "Step 4 (s3): The rotor (drive side) turns into the body."


def _timing(**more: object) -> TimingEvidence:
    fields: dict[str, object] = {
        "step": 1, "step_id": "s", "part": "rotor_driven", "mate": "rotor_drive", "ranges_deg": ((0.0, 360.0),),
        "proven": True, "least_gap_mm": 0.05, "limit_deg": None, "out_of_phase": (),
    }  # fmt: skip
    return TimingEvidence(**(fields | more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("timing", "text"),
    [
        (_timing(), "Rotor (driven side): goes in at every angle of the shafts."),
        (_timing(limit_deg=1.2),
         "Rotor (driven side): goes in at every angle of the shafts. "
         "Out of time by more than 1.2 degrees it collides when turned, so one tooth out shows."),
        (_timing(limit_deg=4.5),
         "Rotor (driven side): goes in at every angle of the shafts. "
         "Out of time by more than 4.5 degrees it collides when turned, "
         "so one tooth out shows on gears of up to 80 teeth."),
        (_timing(proven=False),
         "Rotor (driven side): goes in at every angle looked at, 3 degrees apart."),
        (_timing(proven=False, ranges_deg=()), "Rotor (driven side): goes in at no angle of the shafts."),
        (_timing(proven=False, ranges_deg=((10.0, 20.5), (190.0, 200.0))),
         "Rotor (driven side): goes in with the drive shaft at 10.0 to 20.5, 190.0 to 200.0 degrees from its mark, and "
         "at no other angle."),
    ],
)  # fmt: skip
def test_angles_at_which_a_part_goes_in_are_said(timing: TimingEvidence, text: str) -> None:
    assert timing_sentences(NAMES, timing) == [text]


@pytest.mark.parametrize(
    ("tried", "text"),
    [
        (OutOfPhase(180.0, True, True, None), "goes in and turns free."),
        (OutOfPhase(180.0, False, True, None), "does not go in, and would turn free."),
        (OutOfPhase(180.0, True, True, 0.5),
         "goes in, but the pair collides with the drive shaft at 0.5 degrees."),
        (OutOfPhase(180.0, False, True, 0.5),
         "does not go in; the pair collides with the drive shaft at 0.5 degrees."),
        (OutOfPhase(180.0, True, False, None), "goes in."),
        (OutOfPhase(180.0, False, False, None), "does not go in."),
    ],
)  # fmt: skip
def test_a_part_set_over_is_told_to_go_in_and_to_turn(tried: OutOfPhase, text: str) -> None:
    said = timing_sentences(NAMES, _timing(out_of_phase=(tried,)))
    assert said[1:] == [f"Out of time by 180 degrees, the rotor (driven side) {text}"]
