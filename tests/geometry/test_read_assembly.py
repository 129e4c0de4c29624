"""Assemblies of strangers: every schema, unit, tree and oddity that CAD programs write, by files made here."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.exchange.assemblies.read_assembly import (
    AssemblyFileError,
    StrangerAssembly,
    read_assembly,
)
from benchleaf.geometry.solid import box_mm, moved, volume_mm3
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.TopoDS import TopoDS_Shape
from sample_solids import solid_of
from step_writing import SCHEMAS, Branch, Look, Placed, shift, write_step


def bracket() -> TopoDS_Shape:
    """A plate with a hole off its middle and a lug: no mirror image of it is the same."""
    plate = cq.Workplane().box(40, 30, 6).faces(">Z").workplane().pushPoints([(10, 5)]).hole(6)
    return solid_of(plate.union(cq.Workplane().box(6, 9, 20).translate((-14, 8, 7)))).wrapped


def pin() -> TopoDS_Shape:
    return solid_of(cq.Workplane().circle(2.9).extrude(18).faces(">Z").chamfer(0.5)).wrapped


def boxes(found: StrangerAssembly) -> list[tuple[str, list[float]]]:
    """Return the name of each part and the box of its placed solid."""
    out = []
    for part in found.parts:
        low, high = box_mm(moved(found.solids[part.solid].solid, part.place))
        out.append((part.name, np.round([*low, *high], 3).tolist()))
    return out


def corners(shape: cq.Shape) -> np.ndarray:
    return np.array([v.toTuple() for v in shape.Vertices()])


@pytest.mark.parametrize("schema", SCHEMAS)
def test_names_colours_instances_and_nested_places_are_read(schema: str, tmp_path: Path) -> None:
    plate, peg = bracket(), pin()
    inner = Branch("Gruppe ä", [Placed(peg, shift(0, 0, 10)), Placed(peg, shift(0, 0, 40))])
    tree = Branch(
        "Vorrichtung", [Placed(plate), Placed(inner, shift(100, 0, 0)), Placed(inner, shift(0, 200, 0))]
    )
    looks = {id(plate): Look("Платаформа", (0.2, 0.4, 0.6)), id(peg): Look("销 1")}
    found = read_assembly([write_step(tree, looks, tmp_path / "a.step", schema)])
    assert found.name == "Vorrichtung"
    assert (len(found.parts), len(found.solids)) == (5, 2)
    assert [p.name for p in found.parts] == ["Платаформа", *["销 1"] * 4]
    assert [p.colour for p in found.parts] == ["#336699", "", "", "", ""]
    assert [p.names[1:-1] for p in found.parts[1:3]] == [("Gruppe ä",)] * 2
    low = [box[1][:3] for box in boxes(found)[1:]]
    assert np.allclose(low, [[97.1, -2.9, 10], [97.1, -2.9, 40], [-2.9, 197.1, 10], [-2.9, 197.1, 40]])
    assert found.remarks == ()


@pytest.mark.parametrize(("unit", "mm"), [("MM", 1.0), ("INCH", 1.0), ("M", 1.0)])
def test_the_unit_that_a_file_states_is_converted(unit: str, mm: float, tmp_path: Path) -> None:
    """The kernel writes the same solid in another unit; read back, it is as large."""
    plate = bracket()
    found = read_assembly([write_step(Branch("x", [Placed(plate)]), {}, tmp_path / "a.step", unit=unit)])
    text = (tmp_path / "a.step").read_text("latin-1")
    assert ("INCH" in text, ".METRE." in text and ".MILLI." not in text) == (unit == "INCH", unit == "M")
    (part,) = found.parts
    assert volume_mm3(found.solids[part.solid].solid) == pytest.approx(
        mm * cq.Shape.cast(plate).Volume(), rel=1e-6
    )


def test_a_mirrored_instance_is_another_solid_in_its_true_place(tmp_path: Path) -> None:
    plate, mirror = bracket(), gp_Trsf()
    mirror.SetMirror(gp_Ax2(gp_Pnt(50, 0, 0), gp_Dir(1, 0, 0)))
    mirrored = BRepBuilderAPI_Transform(plate, mirror, True).Shape()
    tree = Branch("pair", [Placed(plate), Placed(mirrored), Placed(plate, shift(0, 90, 0))])
    found = read_assembly([write_step(tree, {}, tmp_path / "a.step")])
    assert [p.solid for p in found.parts] == [0, 1, 0]
    assert np.allclose([b[1][0] for b in boxes(found)], [-20, 80, -20])


def test_equal_parts_drawn_anew_in_their_places_are_found(tmp_path: Path) -> None:
    """As files have them that were written without instances: each solid where it stands, turned as it stands."""
    turn = gp_Trsf()
    turn.SetRotation(gp_Ax2(gp_Pnt(3, 4, 5), gp_Dir(1, 2, 3)).Axis(), 1.1)
    own = cq.Shape.cast(bracket())
    shapes = [own.wrapped, own.moved(cq.Location((70, 5, 9), (0, 0, 1), 33)).wrapped]
    shapes.append(BRepBuilderAPI_Transform(own.wrapped, turn, True).Shape())
    baked = [BRepBuilderAPI_Transform(s, gp_Trsf(), True).Shape() for s in shapes]
    found = read_assembly([write_step(Branch("x", [Placed(s) for s in baked]), {}, tmp_path / "a.step")])
    assert [p.solid for p in found.parts] == [0, 0, 0]
    for part, shape in zip(found.parts, baked, strict=True):
        placed = moved(found.solids[0].solid, part.place)
        assert isinstance(placed, cq.Shape)
        there, true = corners(placed), corners(cq.Shape.cast(shape))
        assert max(np.linalg.norm(true - p, axis=1).min() for p in there) < 1e-4
        assert len(there) == len(true)


def test_shells_compounds_and_what_is_no_solid(tmp_path: Path) -> None:
    """Closed shells become solids, several solids of one product are parts of their own, the rest is told."""
    shell = solid_of(cq.Workplane().box(10, 10, 10)).Shells()[0].wrapped
    loose = [f for f in cq.Workplane().box(8, 8, 8).faces("<Z or >Z or <X").vals() if isinstance(f, cq.Shape)]
    surfaces = cq.Compound.makeCompound(loose).wrapped
    two = cq.Compound.makeCompound(  # half balls, as the kernel makes them where nothing is said
        [cq.Solid.makeSphere(3), cq.Solid.makeSphere(4, cq.Vector(20, 0, 0))]
    ).wrapped
    flat = solid_of(cq.Workplane().rect(5, 5).extrude(1e-5)).wrapped
    edge = cq.Edge.makeLine(cq.Vector(), cq.Vector(5, 0, 0)).wrapped
    every = [Placed(s) for s in (shell, surfaces, two, flat, edge)]
    looks = dict(
        zip(
            map(id, (shell, surfaces, two, flat, edge)),
            map(Look, ("hull", "skin", "balls", "foil", "wire")),
            strict=True,
        )
    )
    found = read_assembly([write_step(Branch("odd", every), looks, tmp_path / "a.step")])
    assert [p.name for p in found.parts] == ["", "balls 1", "balls 2"]
    assert [round(volume_mm3(s.solid)) for s in found.solids] == [1000, 57, 134]
    assert found.remarks == (
        "a: 'skin' holds surfaces that close no solid and is left out",
        "a: 'foil' has no thickness and is left out",
        "a: 'wire' holds curves or points alone and is left out",
    )


def test_parts_without_names_and_products_stand_by_their_file(tmp_path: Path) -> None:
    found = read_assembly(
        [
            write_step(
                Branch("", [Placed(bracket()), Placed(pin(), shift(0, 0, 50))]), {}, tmp_path / "jig.step"
            )
        ]
    )
    assert [bool(p.name) for p in found.parts] == [True, True]


def test_names_encoded_twice_are_read_and_a_made_up_number_is_no_name(tmp_path: Path) -> None:
    plate, peg = bracket(), pin()
    looks = {id(plate): Look("GehÃ¤use"), id(peg): Look("Stift Ã¼")}
    tree = Branch("ad822582-ece8-11f1-b1db-02fc00000001", [Placed(plate), Placed(peg, shift(0, 0, 50))])
    found = read_assembly([write_step(tree, looks, tmp_path / "clamp.step")])
    assert [p.name for p in found.parts] == ["Gehäuse", "Stift ü"]
    assert found.name == "clamp"


def test_what_a_file_says_that_parts_are_made_of_is_read(tmp_path: Path) -> None:
    plate, peg = bracket(), pin()
    looks = {id(plate): Look("Plate", material="Stainless  1.4404"), id(peg): Look("Peg")}
    tree = Branch("x", [Placed(plate), Placed(peg, shift(0, 0, 50)), Placed(plate, shift(0, 0, 90))])
    found = read_assembly([write_step(tree, looks, tmp_path / "a.step")])
    assert [(p.name, p.material) for p in found.parts] == [
        ("Plate", "Stainless 1.4404"),
        ("Peg", ""),
        ("Plate", "Stainless 1.4404"),
    ]


def test_several_files_and_meshes_make_one_assembly(tmp_path: Path) -> None:
    step = write_step(Branch("", [Placed(bracket())]), {}, tmp_path / "plate.step")
    mesh = trimesh.creation.box((4, 5, 6))
    for name, at in (("block_1.stl", 0.0), ("block_2.stl", 30.0)):
        moved_mesh = mesh.copy()
        moved_mesh.apply_translation((at, 0, 0))
        moved_mesh.export(tmp_path / name)
    mesh.apply_scale(0.001)
    mesh.export(tmp_path / "cube.glb")
    files = [step, tmp_path / "block_1.stl", tmp_path / "block_2.stl", tmp_path / "cube.glb"]
    found = read_assembly(files, "mm")
    assert [p.solid for p in found.parts][1:3] == [1, 1], "equal meshes are found"
    assert np.allclose(boxes(found)[2][1], [28, -2.5, -3, 32, 2.5, 3])
    assert boxes(found)[3][1] == pytest.approx([-2, -2.5, -3, 2, 2.5, 3])


def test_what_cannot_be_read_is_told_with_every_file(tmp_path: Path) -> None:
    (tmp_path / "bad.step").write_text("ISO-10303-21;\nHEADER;\nrubbish")
    (tmp_path / "no.step").write_text("hello")
    trimesh.creation.box((1, 1, 1)).export(tmp_path / "bare.stl")
    with pytest.raises(AssemblyFileError) as caught:
        read_assembly([tmp_path / "bad.step", tmp_path / "no.step"])
    lines = str(caught.value).splitlines()
    assert [line.split(":")[0] for line in lines] == ["bad.step", "no.step"]
    assert all("allowed:" in line and "likely fix:" in line for line in lines)
    with pytest.raises(AssemblyFileError, match=r"bare\.stl: found no unit; .* add --unit mm"):
        read_assembly([tmp_path / "bare.stl"])
    with pytest.raises(AssemblyFileError, match=r"gone\.step: found no such file"):
        read_assembly([tmp_path / "gone.step"])
    (tmp_path / "a.txt").touch()
    with pytest.raises(AssemblyFileError, match=r"found '\.txt'"):
        read_assembly([tmp_path / "a.txt"])


def test_a_file_that_never_ends_is_given_up(tmp_path: Path) -> None:
    file = write_step(Branch("", [Placed(bracket())]), {}, tmp_path / "a.step")
    with pytest.raises(AssemblyFileError, match=r"longer than 0\.001 s"):
        read_assembly([file], seconds=0.001)


def test_a_file_without_a_unit_is_taken_for_millimetres_and_says_so(tmp_path: Path) -> None:
    file = write_step(Branch("", [Placed(pin())]), {}, tmp_path / "a.step")
    text = file.read_text("latin-1")
    file.write_text(
        text.replace("LENGTH_UNIT()", "").replace(
            "GLOBAL_UNIT_ASSIGNED_CONTEXT", "GLOBAL_UNIT_ASSIGNED_CONTEXT"
        ),
        "latin-1",
    )
    found = read_assembly([file])
    assert any("states no unit" in r for r in found.remarks)
    assert boxes(found)[0][1] == pytest.approx([-2.9, -2.9, 0, 2.9, 2.9, 18])
