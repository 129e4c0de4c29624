"""Operations of a plan: words become parts that are there, names their surfaces; what is wrong has its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.files.faults import Fault, FaultsFound
from benchleaf.sequences.steps.cautions import DATA
from benchleaf.sequences.steps.conditions import all_options
from benchleaf.sequences.steps.operations import Operation, SurfaceOf
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence

WRITTEN = "does: {do: tighten, tool: torque wrench, on: {rotor_nut_drive: hexagon}}"


def _operations(
    name: str, step: str, options: Options | None = None, said_in: str = "acts"
) -> list[Operation]:
    options = options or Options()
    plan = resolve(load_sequence(name), options, part_kinds(options))
    (found,) = [s for s in plan.steps if s.id == step]
    return [o for o in found.operations if o.said_in == said_in]


def _faults(tmp_path: Path, instead: str) -> list[Fault]:
    text = (DATA / "assembly.yaml").read_text("utf-8")
    assert text.count(WRITTEN) == 1
    file = tmp_path / "a.yaml"
    file.write_text(text.replace(WRITTEN, instead), "utf-8")
    with pytest.raises(FaultsFound) as caught:
        resolve(load_sequence(file), Options(), part_kinds(Options()))
    line = next(n for n, t in enumerate(text.splitlines(), 1) if WRITTEN in t)
    column = file.read_text("utf-8").splitlines()[line - 1].index(instead) + 1
    assert {f.line for f in caught.value.faults} == {line}
    assert all(f.column is not None and f.column > column for f in caught.value.faults)
    return list(caught.value.faults)


@pytest.mark.parametrize(
    ("instead", "found", "fix"),
    [
        (
            "does: {do: tigten, tool: torque wrench, on: {rotor_nut_drive: hexagon}}",
            "tigten",
            "write tighten",
        ),
        (
            "does: {do: tighten, tool: torq wrench, on: {rotor_nut_drive: hexagon}}",
            "torq wrench",
            "write torque wrench",
        ),
        (
            "does: {do: tighten, tool: air gun, on: {rotor_nut_drive: hexagon}}",
            "the tool air gun to tighten",
            "name another tool",
        ),
        (
            "does: {do: tighten, tool: torque wrench}",
            "nothing that it is done to",
            "name the part and its surface",
        ),
        (
            "does: {do: tighten, tool: torque wrench, on: {rotor_nut_drve: hexagon}}",
            "the part 'rotor_nut_drve'",
            "write rotor_nut_drive",
        ),
        (
            "does: {do: tighten, tool: torque wrench, on: {rotor_nut_drive: hexagn}}",
            "the surface 'hexagn' of rotor_nut_drive",
            "write hexagon",
        ),
        (
            "does: {do: tighten, tool: torque wrench, on: {rotor_nut_drive: [hexagon, threads]}}",
            "the surface 'threads' of rotor_nut_drive",
            "write thread",
        ),
        (
            "does: {do: tighten, tool: torque wrench, on: {cover_nut: hexagon}}",
            "cover_nut, which is not there in this step",
            "move it to the step where it is, or put the part in focus",
        ),
        (
            "does: {do: hold, tool: soft block, between: {rotor_drive: flank}}",
            "1 surfaces to stand between",
            "name two",
        ),
    ],
)
def test_what_is_wrong_in_an_operation_has_its_place_and_fix(
    tmp_path: Path, instead: str, found: str, fix: str
) -> None:
    (fault,) = _faults(tmp_path, instead)
    assert found in fault.found
    assert fault.fix == fix
    assert fault.allowed


def test_kinds_and_rows_of_surfaces_mean_all_that_are_there() -> None:
    (screws,) = [o for o in _operations("assembly", "body_screws") if o.tool == "torque wrench"]
    assert screws.on == (SurfaceOf("body_screw_1", "socket"), SurfaceOf("body_screw_2", "socket"))
    assert screws.order == "in turn"
    (blown,) = [o for o in _operations("assembly", "clean_gear_case") if o.verb == "blow out"]
    assert [s.surface for s in blown.on] == [
        "large dowel hole", "small dowel hole", "screw hole 1", "screw hole 2",
    ]  # fmt: skip
    (ring,) = [o for o in _operations("assembly", "shaft_orings") if o.verb == "lubricate"]
    assert ring.on == (SurfaceOf("shaft_oring_drive"), SurfaceOf("shaft_oring_driven"))


def test_a_block_stands_between_two_surfaces_and_a_push_has_its_way() -> None:
    (block,) = [o for o in _operations("assembly", "torque_drive") if o.tool == "soft block"]
    assert block.between == (SurfaceOf("rotor_drive", "flank"), SurfaceOf("body", "drive bore"))
    (push,) = [o for o in _operations("assembly", "cover_on") if o.verb == "press"]
    assert push.towards == (0.0, 0.0, -1.0)


def test_an_operation_belongs_to_heads_by_its_condition_and_counts_sentences_that_belong() -> None:
    def faces(seal: str) -> list[str]:
        found = _operations("assembly", "faces", Options(seal=seal))  # type: ignore[arg-type]
        return [
            s.surface for o in found if o.verb == "clean" for s in o.on if s.part == "rotating_ring_drive"
        ]

    assert faces("single") == ["lapped face"]
    assert faces("double") == ["lapped face", "atmosphere-side lapped face"]
    for options in (Options(), Options(cover_nuts="wing")):
        plan = resolve(load_sequence("assembly"), options, part_kinds(options))
        for step in plan.steps:
            lists = {"acts": step.acts, "look": step.look, "measure": step.measure}
            assert all(0 <= o.sentence < len(lists[o.said_in]) for o in step.operations)
        (torque,) = [s for s in plan.steps if s.id == "cover_torque"]
        (tighten,) = [o for o in torque.operations if o.verb == "tighten"]
        assert torque.acts[tighten.sentence].startswith("Tighten crosswise")


def test_readings_and_what_is_looked_at_may_have_operations() -> None:
    relief = Options(cover="relief")
    assert {o.tool for o in _operations("assembly", "relief_spring", relief, "measure")} == {
        "caliper",
        "flat plate",
    }
    assert [o.verb for o in _operations("assembly", "relief_spring", relief, "look")] == ["look"]


@pytest.mark.parametrize("name", [*SHIPPED, *CHECKLISTS])
def test_every_shipped_operation_finds_its_parts_and_surfaces_on_every_head(name: str) -> None:
    sequence = load_sequence(name)
    reached = set()
    for options in all_options("rotor", "seal", "cover", "cover_nuts", "cleaning_in_place", "cover_oring"):
        for step in resolve(sequence, options, part_kinds(options)).steps:
            reached |= {
                (step.id, o.said_in, o.verb, s.surface) for o in step.operations for s in (*o.on, *o.between)
            }
    written = {
        (step.id, op.do)
        for step in sequence.steps
        for said in (step.acts, step.look, step.measure)
        for s in said
        for op in s.does
    }  # fmt: skip
    assert {(step, verb) for step, _, verb, _ in reached} == written


def test_parts_of_an_assembly_of_ones_own_have_no_surfaces_and_are_acted_on_whole(tmp_path: Path) -> None:
    parts = part_kinds(Options())
    with pytest.raises(FaultsFound) as caught:
        resolve(load_sequence("assembly"), Options(), parts, surfaces={})
    assert all("no named surfaces" in f.allowed for f in caught.value.faults)
    assert any(f.fix == "write rotor_nut_drive alone" for f in caught.value.faults)
