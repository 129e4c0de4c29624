"""An assembly of mesh files gets the same evidence as the same one of STEP files; faults are told with their place."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import pytest
from benchleaf.geometry.solid import MeshSolid
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.proof.prove import prove
from benchleaf.site.command import main
from mesh_samples import in_format, mesh_solid, soup

FILES = {"base": "stl", "bush": "ply", "plate": "3mf", "nut": "obj", "ring": "glb", "ring_pressed": "stl"}
"""Each part in a format of its own."""
FIT = """\
sequence: assembly
title: Fit the clamp
given: [base]
sections: [{id: all, title: All}]
steps:
  - {id: bush, section: all, title: Put the bush in, fit: bush, travel: find, cautions: sharp_edges}
  - {id: ring, section: all, title: Lay the ring on, fit: ring, cautions: sharp_edges}
  - {id: plate, section: all, title: Put the plate on, fit: plate, travel: find, cautions: sharp_edges}
  - {id: nut, section: all, title: Turn the nut on, fit: nut, cautions: sharp_edges}
"""


def solids() -> dict[str, cq.Workplane]:
    """Return a base with a bore and a stud, a bush, a plate over both, a ring under it, and a nut."""
    base = cq.Workplane().box(60, 30, 10, centered=(True, True, False)).faces(">Z").workplane()
    base = base.pushPoints([(-15, 0)]).hole(12)
    base = base.union(cq.Workplane().center(15, 0).circle(4).extrude(30).faces(">Z").chamfer(0.8))
    bush = (
        cq.Workplane()
        .circle(5.95)
        .circle(3)
        .extrude(10)
        .faces(">Z")
        .workplane()
        .circle(9)
        .circle(3)
        .extrude(4)
    )
    plate = cq.Workplane().box(60, 30, 6, centered=(True, True, False)).edges("|Z").fillet(5)
    plate = plate.cut(cq.Workplane().center(15, 0).circle(4.2).extrude(10))
    plate = plate.cut(cq.Workplane().center(-15, 0).circle(9.3).extrude(4.1)).faces(">Z").chamfer(0.5)
    nut = cq.Workplane().polygon(6, 15).circle(4.05).extrude(6)
    ring = cq.Workplane(obj=cq.Solid.makeTorus(6.5, 0.8))
    pressed = cq.Workplane(obj=cq.Solid.makeTorus(6.5, 0.7))
    return {"base": base, "bush": bush, "plate": plate, "nut": nut, "ring": ring, "ring_pressed": pressed}


def assembly_of(ending: dict[str, str], unit: bool = True) -> str:
    """Return the text of the assembly file, its parts of these formats."""

    def entry(part: str, more: str) -> str:
        bare = unit and any(
            ending[n] in ("stl", "obj", "ply") for n in (part, f"{part}_pressed") if n in ending
        )
        said = ", unit: mm" if bare else ""
        named = f"part: {part}, name: {part.capitalize()}, material: steel, file: {part}.{ending[part]}"
        return f"  - {{{named}{said}{more}}}\n"

    elastic = f", elastic: {{pressed: ring_pressed.{ending['ring_pressed']}, squeeze_mm: 0.1}}"
    return (
        "assembly: Clamp\nparts:\n"
        + entry("base", "")
        + entry("bush", ", shift_mm: [-15, 0, 0]")
        + entry("ring", ", shift_mm: [15, 0, 10.7]" + elastic)
        + entry("plate", ", shift_mm: [0, 0, 11.4]")
        + entry("nut", ", shift_mm: [15, 0, 17.4], thread: true")
        + "sequences: [fit.yaml]\n"
    )


def write(folder: Path, ending: dict[str, str], coarse: float = 1.0, unit: bool = True) -> Path:
    """Write the clamp with each part in its format."""
    folder.mkdir(exist_ok=True)
    for name, work in solids().items():
        file = folder / f"{name}.{ending[name]}"
        if ending[name] == "step":
            cq.exporters.export(work, str(file))
        else:
            solid = work.val()
            assert isinstance(solid, cq.Shape)
            file.write_bytes(in_format(*soup(mesh_solid(solid, 0.005 * coarse, 8.0 * coarse)), ending[name]))
    (folder / "fit.yaml").write_text(FIT, "utf-8")
    (folder / "clamp.yaml").write_text(assembly_of(ending, unit), "utf-8")
    return folder / "clamp.yaml"


STEP = dict.fromkeys(FILES, "step")


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[UserAssembly, Evidence]]:
    """Return the clamp of STEP files and of mesh files, each with its evidence."""
    found = {}
    for name, ending in (("step", STEP), ("mesh", FILES)):
        user = load_user_assembly(write(tmp_path_factory.mktemp(name), ending))
        found[name] = (user, prove(user.assembly, user.plans[0], workers=1))
    return found


def test_all_parts_are_meshes(both: dict[str, tuple[UserAssembly, Evidence]]) -> None:
    assert all(isinstance(p.solid, MeshSolid) for p in both["mesh"][0].assembly)
    assert not any(isinstance(p.solid, MeshSolid) for p in both["step"][0].assembly)
    ring = both["mesh"][0].assembly.part("ring")
    assert ring.elastic is not None
    assert isinstance(ring.elastic.core, MeshSolid)


def test_evidence_is_the_same(both: dict[str, tuple[UserAssembly, Evidence]]) -> None:
    step, mesh = both["step"][1], both["mesh"][1]
    assert step.violations == ()
    assert mesh.violations == ()
    for a, b in zip(step.moves, mesh.moves, strict=True):
        assert (a.parts, a.path.clear, a.path.found) == (b.parts, b.path.clear, b.path.found)
        assert [s.turn_deg for s in a.path.stretches] == [s.turn_deg for s in b.path.stretches]
        for s, t in zip(a.path.stretches, b.path.stretches, strict=True):
            assert t.slide == pytest.approx(s.slide, abs=0.1)
        assert (a.path.gap is None) == (b.path.gap is None)
        if a.path.gap is not None and b.path.gap is not None:
            # Two meshes, each within 0.005 mm of its solid and 0.01 mm of what the kernel's proof takes.
            assert b.path.gap.mm == pytest.approx(a.path.gap.mm, abs=0.03)
    assert step.arrows == mesh.arrows
    assert [(r.step, r.earliest, r.latest) for r in step.reasons] == [
        (r.step, r.earliest, r.latest) for r in mesh.reasons
    ]
    assert [(f.parts, f.kind, f.verdict, f.stopped_by) for f in step.wrong_fits] == [
        (f.parts, f.kind, f.verdict, f.stopped_by) for f in mesh.wrong_fits
    ]
    assert {f.verdict for f in step.wrong_fits} == {"stopped", "goes in", "no difference"}
    assert [(c.kind, c.parts) for c in step.cards] == [(c.kind, c.parts) for c in mesh.cards]


def test_evidence_is_kept_for_the_same_meshes_alone(
    both: dict[str, tuple[UserAssembly, Evidence]], tmp_path: Path
) -> None:
    user, evidence = both["mesh"]
    again = load_user_assembly(write(tmp_path / "again", FILES))
    finer = load_user_assembly(write(tmp_path / "finer", FILES, coarse=0.5))
    (key,) = evidence_keys(user.assembly, user.plans)
    assert evidence_keys(again.assembly, again.plans) == [key]
    assert key.digest == evidence.key
    assert [k.digest for k in evidence_keys(finer.assembly, finer.plans)] != [evidence.key]


def test_what_is_to_be_known_of_a_coarse_mesh_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write(tmp_path, {**STEP, "bush": "stl"}, coarse=8.0)
    assert main(["check", str(file)]) == 0
    said = capsys.readouterr().out
    assert "Clamp: 5 parts" in said
    assert "  Bush: its facets lie up to about 0.0" in said
    assert "Plate" not in said


def test_mesh_that_is_open_is_told_with_its_place_and_the_others_are_read(tmp_path: Path) -> None:
    file = write(tmp_path, FILES)
    points, triangles = soup(mesh_solid(cq.Workplane().circle(5.95).circle(3).extrude(10)))
    (tmp_path / "bush.ply").write_bytes(in_format(points, triangles[1:], "ply"))
    (tmp_path / "nut.obj").write_bytes(b"v 0 0 0")
    with pytest.raises(FaultsFound) as found:
        load_user_assembly(file)
    lines = str(found.value).splitlines()
    assert lines[0] == "2 mistakes in the data:"
    assert (
        "line 4, column 53 (parts > #2 > file): found 'bush.ply', 3 open edges round 1 hole, one at ("
        in lines[1]
    )
    assert "likely fix: close and heal the mesh" in lines[1]
    assert (
        "(parts > #5 > file): found 'nut.obj', no triangles; allowed: a whole OBJ file of a solid" in lines[2]
    )


def test_a_unit_is_asked_for_where_there_is_none_and_refused_where_there_is_one(tmp_path: Path) -> None:
    file = write(tmp_path, FILES, unit=False)
    text = file.read_text("utf-8").replace("file: plate.3mf", "file: plate.3mf, unit: in")
    file.write_text(text.replace("file: nut.obj", "file: nut.obj, unit: inch"), "utf-8")
    with pytest.raises(FaultsFound) as found:
        load_user_assembly(file)
    lines = [line.split(": ", 1)[1] for line in str(found.value).splitlines()[1:]]
    asked = "allowed: unit: mm, cm, m or in; .stl, .obj or .ply files state none; likely fix: add the unit"
    wanted = [
        ("(parts > #1 > file)", f"found 'base.stl' without a unit; {asked}"),
        ("(parts > #2 > file)", f"found 'bush.ply' without a unit; {asked}"),
        ("(parts > #3 > file)", f"found 'ring_pressed.stl' without a unit; {asked}"),
        (
            "(parts > #4 > unit)",
            "found a unit for 'plate.3mf', which states its own; allowed: a unit for .stl, .obj or",
        ),
        ("(parts > #5 > unit)", "found 'inch'; allowed: mm, cm, m or in"),
    ]
    for (place, words), line, whole in zip(wanted, lines, str(found.value).splitlines()[1:], strict=True):
        assert place in whole
        assert words in line
