"""Sentences about tools that do not reach."""

from __future__ import annotations

from typing import get_args

import pytest
from benchleaf.sequences.reach.tool_places import ReachFault, ReachFound
from benchleaf.sequences.steps.operations import SurfaceOf, Tool
from benchleaf.site.words.findings import finding_sentence
from benchleaf.site.words.reach_words import reach_sentence
from named_parts import NAMES, bare_evidence, slugs, text_keys

HEXAGON = SurfaceOf("rotor_nut_drive", "hexagon")


def test_every_fault_and_every_tool_has_its_text() -> None:
    assert text_keys("reach_fault") == slugs(ReachFault) | {"at", "too_narrow"}
    tools = {t.replace("-", "_") for t in slugs(Tool)} - {"hand"}
    assert text_keys("reach_tool") == tools


FAULTS = [
    (ReachFound(1, "s0", 0, HEXAGON, "torque wrench", "meets", "body", 0.414),
     "The torque wrench does not go to “hexagon” of the rotor nut (drive side): it meets the body, 0.41 mm deep."),
    (ReachFound(1, "s0", 0, HEXAGON, "torque wrench", "no swing", "cover", 15.0),
     "The torque wrench at “hexagon” of the rotor nut (drive side) has no room to swing: 15 degrees, and the cover is in the way."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive"), "soft block", "does not reach"),
     "The soft block does not reach the rotor (drive side)."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive", "tip"), "feeler blade", "does not reach", "body", 0.02),
     "The feeler blade does not enter at “tip” of the rotor (drive side): the gap to the body is 0.02 mm too narrow."),
    (ReachFound(1, "s0", 0, SurfaceOf("rotor_drive", "tip"), "soft block", "does not hold", "rotor_drive", 1.5),
     "The soft block at “tip” of the rotor (drive side) does not hold against the turn: it bears on 1.50 mm."),
    (ReachFound(1, "s0", 0, SurfaceOf("cover", "nose"), "straightedge", "no surface"),
     "The straightedge has nothing to go on: there is no “nose” of the cover."),
]  # fmt: skip


@pytest.mark.parametrize(("found", "text"), FAULTS, ids=[f.fault for f, _ in FAULTS])
def test_a_tool_that_does_not_reach_is_said(found: ReachFound, text: str) -> None:
    assert reach_sentence(NAMES, found) == text
    assert text in finding_sentence(NAMES, bare_evidence(), found)


def test_faults_are_all_tried() -> None:
    assert {f.fault for f, _ in FAULTS} == set(get_args(ReachFault))
