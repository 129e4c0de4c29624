"""Symptoms, remedies, tasks and terms: each leads to steps of its head, on every combination of options."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.files.file_models import validate_file
from benchleaf.sequences.files.yaml_files import read_yaml
from benchleaf.sequences.steps.cautions import DATA, load_cautions
from benchleaf.sequences.steps.conditions import all_options
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.sequences.upkeep.as_found import READINGS
from benchleaf.sequences.upkeep.upkeep import head_upkeep
from benchleaf.sequences.upkeep.upkeep_entries import Cause, Term, Upkeep, UpkeepRow
from benchleaf.sequences.upkeep.upkeep_file import UpkeepFile, check_upkeep, entries, load_upkeep

SEQUENCES = [load_sequence(name) for name in (*SHIPPED, *CHECKLISTS)]
OPTIONS = all_options("rotor", "seal", "cover", "cover_nuts", "cover_oring", "body", "cleaning_in_place")


def plans_of(options: Options) -> list[Plan]:
    return [resolve(s, options, part_kinds(options)) for s in SEQUENCES]


def of_head(options: Options, plans: list[Plan] | None = None) -> Upkeep:
    return head_upkeep(
        load_upkeep(), options, plans if plans is not None else plans_of(options), load_cautions()
    )


def test_every_link_leads_to_a_step_of_its_head() -> None:
    """The file's own words are compared with each head's plans: what belongs to a head has all its steps there."""
    file, tried = load_upkeep(), set()
    for options in OPTIONS:
        plans = plans_of(options)
        there = {f"{p.sequence}/{s.id}": (p.title, s.number, s.title) for p in plans for s in p.steps}
        without = {id(c) for s in file.symptoms if s.when and not s.when.holds(options) for c in s.causes}
        for entry in entries(file):
            if (entry.when is None or entry.when.holds(options)) and id(entry) not in without:
                assert set(entry.steps) <= there.keys(), (entry.id, options)
                tried |= set(entry.steps)
        upkeep = of_head(options, plans)
        rows: list[UpkeepRow | Cause | Term] = [*upkeep.compare, *upkeep.tasks, *upkeep.terms]
        rows += [c for s in upkeep.symptoms for c in s.causes]
        rows += [r for c in upkeep.clearances for r in (*c.too_small, *c.too_large)]
        links = [link for row in rows for link in row.steps]
        assert len(links) > 80
        for link in links:
            assert there[f"{link.sequence}/{link.step}"] == (link.sequence_title, link.number, link.title)
    assert tried == {s for e in entries(file) for s in e.steps}, "each link belongs to some head"


def test_every_cause_leads_somewhere_or_is_referred() -> None:
    for options in (Options(), Options(seal="double", cover="relief"), Options(cover="jacketed")):
        upkeep = of_head(options)
        for symptom in upkeep.symptoms:
            assert all(c.steps for c in symptom.causes), symptom.id
        for clearance in upkeep.clearances:
            for remedies in (clearance.too_small, clearance.too_large):
                assert all(c.steps or c.refer for c in remedies), clearance.value
                assert remedies[0].id == "read_again", "measure again before anything is changed"
                assert remedies[-1].refer, "what is left is referred"
        assert [c.value for c in upkeep.clearances] == list(READINGS)
        shimmed = {r.id for c in upkeep.clearances for r in (*c.too_small, *c.too_large) if r.refer}
        assert {"shaft_forward", "shaft_back", "timing"} <= shimmed, "shims and gears are the gear case's job"


@pytest.mark.parametrize(
    ("options", "symptoms", "causes"),
    [
        (Options(), set(), set()),
        (Options(cover="relief"), {"leak_relief"}, {"relief_open", "relief_chatters"}),
        (Options(seal="double"), set(), {"flush", "ring_hangs_outside"}),
        (Options(cover="jacketed"), set(), {"jacket_hot"}),
        (Options(cover_oring="ptfe-encapsulated"), set(), {"sheath"}),
    ],
)
def test_options_decide_what_a_head_can_suffer_from(
    options: Options, symptoms: set[str], causes: set[str]
) -> None:
    special = {"leak_relief"}
    only = {"relief_open", "relief_chatters", "flush", "ring_hangs_outside", "jacket_hot", "sheath"}
    upkeep = of_head(options)
    assert {s.id for s in upkeep.symptoms} & special == symptoms
    assert {c.id for s in upkeep.symptoms for c in s.causes} & only == causes
    wanted = {"leak_cover", "leak_port", "leak_shaft", "low_flow", "noise", "metal", "heat"}
    assert wanted <= {s.id for s in upkeep.symptoms}


def test_a_step_that_the_owners_own_sequence_does_not_have_is_left_out() -> None:
    plans = plans_of(Options())
    fewer = [replace(p, steps=tuple(s for s in p.steps if s.id != "pipes_on")) for p in plans]

    def steps_in(upkeep: Upkeep) -> set[str]:
        return {link.step for s in upkeep.symptoms for c in s.causes for link in c.steps}

    whole, found = of_head(Options(), plans), of_head(Options(), fewer)
    assert steps_in(whole) - steps_in(found) == {"pipes_on"}
    assert [s.id for s in found.symptoms] == [s.id for s in whole.symptoms]


def test_each_page_has_its_messages_gravest_first() -> None:
    for messages in of_head(Options()).cautions.values():
        assert messages
        order = [("DANGER", "WARNING", "CAUTION", "NOTICE").index(c.signal_word) for c in messages]
        assert order == sorted(order)


def test_ids_are_used_once_in_their_list() -> None:
    file = load_upkeep()
    for rows in (file.compare, file.symptoms, file.tasks, file.terms):
        ids = [row.id for row in rows]
        assert len(ids) == len(set(ids))
    for symptom in file.symptoms:
        assert len({c.id for c in symptom.causes}) == len(symptom.causes), symptom.id


def test_a_name_that_is_not_known_is_told_with_its_place(tmp_path: Path) -> None:
    text = (DATA / "upkeep.yaml").read_text("utf-8")
    text = text.replace(
        "assembly/cover_oring, inspection/body_faces", "asembly/cover_oring, inspection/body_faces", 1
    )
    text = text.replace("value: mesh_clearance", "value: mesh_clearence").replace(
        "part: shaft,", "part: shafts,", 1
    )
    (tmp_path / "upkeep.yaml").write_text(text, "utf-8")
    faults = Faults()
    doc = read_yaml(tmp_path / "upkeep.yaml", faults)
    assert doc is not None
    file = validate_file(UpkeepFile, doc, faults)
    assert file is not None
    check_upkeep(file, doc, faults)
    assert [(f.found, f.fix) for f in sorted(faults, key=lambda f: f.order)] == [
        ("'asembly'", "write assembly"),
        ("'mesh_clearence'", "write mesh_clearance"),
        ("'shafts'", "write shaft"),
    ]
