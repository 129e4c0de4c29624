"""A user's own file stands in for a part of a head, STEP or mesh alike; what cannot is refused with a reason."""

from __future__ import annotations

import pickle
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.mesh_files import UNITS_MM, Unit
from benchleaf.geometry.exchange.own_parts import (
    PART_ENDINGS,
    OwnPart,
    OwnPartError,
    read_solid,
    read_solids,
    remarks_on,
    with_own_parts,
)
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.geometry.solid import MeshSolid, box_mm
from mesh_samples import FORMATS, bracket, in_format, mesh_solid, soup


@pytest.fixture(scope="module")
def head() -> Head:
    return make_head("T-1", make_size("80", example_measures(80.0)), Options(cover="relief"))


def solid_of(part: Part) -> cq.Shape:
    assert isinstance(part.solid, cq.Shape)
    return part.solid


def write_step(file: Path, shape: cq.Shape) -> Path:
    cq.exporters.export(cq.Workplane(shape), str(file))
    return file


def write_mesh(file: Path, shape: cq.Shape, tolerance_mm: float = 0.05, unit_mm: float | None = None) -> Path:
    points, triangles = soup(mesh_solid(shape, tolerance_mm))
    file.write_bytes(in_format(points, triangles, file.suffix[1:], unit_mm))
    return file


@pytest.mark.parametrize("ending", ["step", *FORMATS])
def test_own_part_stands_in(head: Head, tmp_path: Path, ending: str) -> None:
    cover = solid_of(head.part("cover"))
    file, moved = tmp_path / f"cover.{ending}", cover.translate(cq.Vector(5, 0, 0))
    unit: Unit | None = "mm" if ending in ("stl", "obj", "ply") else None
    write_step(file, moved) if ending == "step" else write_mesh(file, moved)
    changed = with_own_parts(head, {"cover": OwnPart(file, Place.at(-5, 0, 0), unit)})
    assert isinstance(changed, Head)
    own, usual = changed.part("cover"), head.part("cover")
    allowed = 1e-6 * usual.volume_mm3 if ending == "step" else 0.05 * cover.Area()
    assert own.volume_mm3 == pytest.approx(usual.volume_mm3, abs=allowed)
    assert np.allclose(own.placed_box(), usual.placed_box(), atol=0.05)
    assert isinstance(own.solid, MeshSolid) == (ending != "step")
    assert changed.part("body") is head.part("body")
    assert masses_kg(changed, ["cover"])["cover"] == pytest.approx(
        masses_kg(head, ["cover"])["cover"], rel=1e-3
    )
    assert all(r.startswith("Cover: its facets lie up to about 0.0") for r in remarks_on(changed))
    assert len(remarks_on(changed)) == (ending != "step")


def test_parts_that_name_one_file_share_its_solid(head: Head, tmp_path: Path) -> None:
    own = OwnPart(write_step(tmp_path / "rotor.step", solid_of(head.part("rotor_drive"))))
    changed = with_own_parts(head, {"rotor_drive": own, "rotor_driven": own})
    assert changed.part("rotor_drive").solid is changed.part("rotor_driven").solid


@pytest.mark.parametrize(
    ("factor", "words"),
    [(25.4, "inches"), (1 / 25.4, "inches"), (0.1, "centimetres"), (5.0, "states its unit")],
)
def test_own_part_in_another_unit(head: Head, tmp_path: Path, factor: float, words: str) -> None:
    file = write_step(tmp_path / "key.step", solid_of(head.part("key_drive")).scale(factor))
    with pytest.raises(OwnPartError, match=words):
        with_own_parts(head, {"key_drive": OwnPart(file)})


@pytest.mark.parametrize("said", UNITS_MM)
@pytest.mark.parametrize("drawn", UNITS_MM)
def test_a_mesh_in_another_unit_than_is_said_is_refused_with_the_right_one(
    head: Head, tmp_path: Path, said: Unit, drawn: Unit
) -> None:
    cover = solid_of(head.part("cover"))
    file = write_mesh(tmp_path / "cover.stl", cover, 0.2, UNITS_MM[drawn])
    own = {"cover": OwnPart(file, unit=said)}
    if said == drawn:
        assert with_own_parts(head, own).part("cover").volume_mm3 == pytest.approx(cover.Volume(), rel=0.01)
        return
    with pytest.raises(OwnPartError) as caught:
        with_own_parts(head, own)
    ratio = UNITS_MM[said] / UNITS_MM[drawn]
    # So far off that no part is as large or as small: told before it is compared with the cover.
    at_once = not 0.2 < ratio * np.linalg.norm(np.subtract(*box_mm(cover))) < 20_000
    assert f"unit: {drawn}" in caught.value.fix or (at_once and "check the unit" in caught.value.fix)


def test_files_are_read_together_and_each_fault_is_its_own(tmp_path: Path) -> None:
    (tmp_path / "words.step").write_text("hello")
    (tmp_path / "words.stl").write_text("hello")
    sound = write_step(tmp_path / "a.step", bracket())
    mesh = write_mesh(tmp_path / "a.ply", bracket())
    asked: list[tuple[Path, Unit | None]] = [
        (tmp_path / "none.step", None),
        (sound, None),
        (tmp_path / "words.step", None),
        (mesh, "mm"),
        (tmp_path / "words.stl", "mm"),
    ]
    none, solid, words, triangles, text = read_solids(asked)
    assert isinstance(solid, cq.Solid)
    assert isinstance(triangles, MeshSolid)
    told = []
    for fault in (none, words, text):
        assert isinstance(fault, OwnPartError)
        assert fault.fix
        told.append(fault.found)
    assert told[:2] == ["no such file", "no STEP header"]
    assert told[2].startswith("no STL file: too short")
    assert str(pickle.loads(pickle.dumps(words))) == str(words)
    with pytest.raises(OwnPartError, match=r"none\.step: found no such file"):
        read_solid(tmp_path / "none.step")


def test_endings_are_those_of_the_formats() -> None:
    assert set(PART_ENDINGS) == {".step", ".stp", *(f".{e}" for e in FORMATS)}
