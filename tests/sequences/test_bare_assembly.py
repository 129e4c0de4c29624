"""An assembly without its solids gives the same plans, masses and keys as with them."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.proof.bare_assembly import BareAssembly, bare
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.proof.head_proof import proof_keys
from benchleaf.sequences.proof.head_work import HeadWork, head_works, parts_key
from benchleaf.sequences.work.json_data import from_json, json_bytes
from benchleaf.site.command import DEMO_FLEET
from proof_samples import coupling, plan_of


@pytest.fixture(scope="module", name="work", params=["P-101", "P-104"])
def _work(request: pytest.FixtureRequest) -> HeadWork:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    return next(head_works(fleet, [fleet.head(request.param)]))


def test_it_comes_back_from_its_file_as_it_was(work: HeadWork) -> None:
    known = bare(work.head)
    assert from_json(BareAssembly, json_bytes(known)) == known
    assert b"P-10" not in json_bytes(known), "two pumps of one design share it"


def test_plans_sheets_masses_and_keys_are_those_of_the_solids(work: HeadWork) -> None:
    known = from_json(BareAssembly, json_bytes(bare(work.head)))
    without = dataclasses.replace(work, known=known)
    assert without.plans == work.plans
    assert without.sheets == work.sheets
    assert masses_kg(without.assembly) == masses_kg(work.head)
    assert proof_keys(without.assembly, without.plans) == proof_keys(work.head, work.plans)
    assert "head" not in vars(without), "no solid was made"


def test_twins_share_one_solid_still() -> None:
    whole = coupling()
    without = bare(whole).named("x", "")
    same = [(a.key, b.key) for a in whole for b in whole if a.solid is b.solid]
    assert same == [(a.key, b.key) for a in without for b in without if a.solid is b.solid]


def test_what_it_is_kept_under_is_not_what_evidence_is(work: HeadWork) -> None:
    keys = {parts_key(work.design).digest, *(k.digest for k in proof_keys(work.head, work.plans).all)}
    assert len(keys) == 1 + len(proof_keys(work.head, work.plans).all)


def test_an_assembly_of_unknown_make_is_kept_by_its_solids(tmp_path: Path) -> None:
    whole, plan = coupling(), plan_of()
    (key,) = evidence_keys(whole, [plan])
    moved = dataclasses.replace(whole, made_from="a design")
    assert evidence_keys(moved, [plan]) != [key]
    assert "solids" in key.changed_from(evidence_keys(moved, [plan])[0])
