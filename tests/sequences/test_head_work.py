"""The work on one head: results are kept by what its solids are made from, never by what the CAD kernel writes."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.exchange.own_parts import OwnPart
from benchleaf.geometry.frame import Place
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.proof.head_work import design_key
from benchleaf.sequences.steps.plan import Plan
from program_files import DEMO

IN_A_PROCESS = """\
import sys
from pathlib import Path
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.proof.head_work import head_works
fleet = load_fleet(Path(sys.argv[1]))
(work,) = head_works(fleet, [fleet.head("P-101")])
print(work.head.made_from, *(k.digest for k in evidence_keys(work.head, work.plans)))
"""


@pytest.fixture(scope="module")
def row() -> FleetHead:
    return load_fleet(DEMO).head("P-101")


@pytest.mark.slow
def test_one_key_in_every_process(row: FleetHead) -> None:
    """The kernel's own bytes of a rotor key differ from process to process; two of them and one key."""
    found = {
        subprocess.run(
            [sys.executable, "-c", IN_A_PROCESS, str(DEMO)],
            env={"PYTHONHASHSEED": seed}, capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("0", "4711")
    }  # fmt: skip
    assert len(found) == 1
    made_from, *keys = found.pop().split()
    assert made_from == design_key(row).digest
    assert len(set(keys)) == 3


def test_names_make_no_other_design(row: FleetHead) -> None:
    renamed = replace(
        row, tag="Q-9", slug="q-9", service="Other", values={}, size=replace(row.size, name="other")
    )
    assert design_key(renamed) == design_key(row)


def test_what_solids_are_made_from_makes_another(row: FleetHead, tmp_path: Path) -> None:
    step = tmp_path / "cover.step"
    step.write_bytes(b"one")
    own = replace(row, own_parts={"cover": OwnPart(step)})
    others = {
        "dimensions": replace(row, size=replace(row.size, web_mm=row.size.web_mm + 0.001)),
        "options": replace(row, options=replace(row.options, cover="relief")),
        "own_parts": own,
    }
    for name, other in others.items():
        assert design_key(other).changed_from(design_key(row)) == (name,)
    before = design_key(own)
    moved = replace(row, own_parts={"cover": OwnPart(step, Place.at(0, 0, 1))})
    assert design_key(moved) != before
    step.write_bytes(b"two")
    assert design_key(own) != before


def test_where_the_inputs_are_known_no_solid_is_asked() -> None:
    def assembly(made_from: str, key: str = "a") -> Assembly:
        part = Part(key, key, "A", "steel", None)  # type: ignore[arg-type]
        return Assembly("x", {key: part}, made_from=made_from)

    plan = Plan("assembly", "T", "x", (), ())
    (one,) = evidence_keys(assembly("1"), [plan])
    assert evidence_keys(assembly("1"), [plan]) == [one]
    assert evidence_keys(assembly("2"), [plan]) != [one]
    assert evidence_keys(assembly("1", "b"), [plan]) != [one]
