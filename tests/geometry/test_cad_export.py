"""STEP and glTF of a head, read back: every part with its name, volume and place."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.cad_export import write_glb, write_step
from benchleaf.geometry.exchange.own_parts import OwnPart, OwnPartError, read_step, with_own_parts
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.geometry.meshes.tessellation import mesh_of_shape
from sample_solids import solid_of


@pytest.fixture(scope="module")
def head() -> Head:
    return make_head("T-1", make_size("80", example_measures(80.0)), Options(seal="double", cover="vented"))


def read_glb(path: Path) -> tuple[dict[str, Any], bytes]:
    data = path.read_bytes()
    magic, version, length = struct.unpack("<III", data[:12])
    assert (magic, version, length) == (0x46546C67, 2, len(data))
    size = struct.unpack("<I", data[12:16])[0]
    scene: dict[str, Any] = json.loads(data[20 : 20 + size])
    return scene, data[28 + size :]


def test_glb_has_metres_and_one_primitive_a_part(head: Head, tmp_path: Path) -> None:
    path = tmp_path / "head.glb"
    write_glb(head, path)
    scene, blob = read_glb(path)
    nodes = {n["name"]: n for n in scene["nodes"] if "mesh" in n}
    assert set(nodes) == set(head.parts)
    to_y_up = np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]], dtype=float)
    for part in head:
        mesh = scene["meshes"][nodes[part.key]["mesh"]]
        assert len(mesh["primitives"]) == 1, part.key
        accessor = scene["accessors"][mesh["primitives"][0]["attributes"]["POSITION"]]
        low, high = np.array(accessor["min"]), np.array(accessor["max"])
        node = nodes[part.key]
        assert "scale" not in node
        # Own frame in mm against the file's corners in metres, Z up turned to Y up.
        box = mesh_of_shape(part.solid, 0.05).box
        own = np.array(box)
        turned = np.sort(own @ to_y_up.T, axis=0)
        assert np.allclose(np.stack([low, high]) * 1000, turned, atol=0.2), part.key
        shift = np.array(node.get("translation", [0, 0, 0])) * 1000
        assert np.allclose(shift, to_y_up @ np.array(part.place.shift), atol=1e-3), part.key
    assert blob


def test_step_comes_back_with_names_volumes_and_places(
    head: Head, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1750000000")
    path = tmp_path / "head.step"
    write_step(head, path)
    assert "2025-06-15T15:06:40" in path.read_text(encoding="utf-8")[:600]
    back = cq.Assembly.importStep(str(path))
    found = {child.name: child for child in back.children}
    assert set(found) == set(head.parts)
    for part in head:
        child = found[part.key]
        shape = cq.Compound.makeCompound([s.moved(child.loc) for s in child.shapes])
        # The kernel integrates faces trimmed by intersection curves to about 1e-4.
        assert shape.Volume() == pytest.approx(part.solid.Volume(), rel=1e-4), part.key
        there, here = (
            shape.Center(),
            part.placed().Center(),
        )  # same integral: a few tenths of a micrometre off
        assert (there - here).Length < 1e-3, part.key
        assert child.color is not None


def test_own_part_stands_in(head: Head, tmp_path: Path) -> None:
    file = tmp_path / "cover.step"
    cq.exporters.export(cq.Workplane(head.part("cover").solid.translate(cq.Vector(5, 0, 0))), str(file))
    changed = with_own_parts(head, {"cover": OwnPart(file, Place.at(-5, 0, 0))})
    assert isinstance(changed, Head)
    own, usual = changed.part("cover"), head.part("cover")
    assert own.solid.Volume() == pytest.approx(usual.solid.Volume(), rel=1e-6)
    assert (own.placed().Center() - usual.placed().Center()).Length < 1e-4
    assert changed.part("body") is head.part("body")


def write_box(file: Path, size: float) -> None:
    cq.exporters.export(cq.Workplane().box(size, size, size), str(file))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda f: None, "no such file"),
        (lambda f: f.write_text("solid cube"), "no STEP header"),
        (lambda f: f.write_text("ISO-10303-21;\nHEADER;\nrubbish"), "allowed"),
        (lambda f: f.write_bytes(b"ISO-10303-21;" + b" " * 20_000_001), "20 MB"),
        (lambda f: cq.exporters.export(cq.Workplane().pushPoints([(0, 0), (50, 0)]).box(9, 9, 9), str(f)), "2 solids"),
        (lambda f: cq.exporters.export(cq.Workplane().box(9, 9, 9).faces(">Z"), str(f)), "no solid"),
    ],
    ids=["missing", "not STEP", "broken", "huge", "two solids", "a face"],
)  # fmt: skip
def test_own_files_that_cannot_stand_in(make: Callable[[Path], object], words: str, tmp_path: Path) -> None:
    file = tmp_path / "own.step"
    make(file)
    with pytest.raises(OwnPartError, match=words) as caught:
        read_step(file)
    assert caught.value.fix


@pytest.mark.parametrize(
    ("factor", "words"),
    [(25.4, "inches"), (1 / 25.4, "inches"), (0.1, "centimetres"), (5.0, "states its unit")],
)
def test_own_part_in_another_unit(head: Head, tmp_path: Path, factor: float, words: str) -> None:
    file = tmp_path / "key.step"
    cq.exporters.export(cq.Workplane(head.part("key_drive").solid.scale(factor)), str(file))
    with pytest.raises(OwnPartError, match=words):
        with_own_parts(head, {"key_drive": OwnPart(file)})


def test_open_solid_is_refused(head: Head, tmp_path: Path) -> None:
    faces = solid_of(cq.Workplane().box(10, 10, 10)).Faces()[:5]
    shell = cq.Shell.makeShell(faces)
    file = tmp_path / "open.step"
    cq.exporters.export(cq.Workplane(cq.Solid.makeSolid(shell)), str(file))
    with pytest.raises(OwnPartError, match=r"no solid|not closed"):
        read_step(file)


def test_masses_are_volume_times_density(head: Head) -> None:
    masses = masses_kg(head)
    dowel = head.part("body_dowel_large")
    # 316L: 8000 kg/m3, chamfers included by the solid's own volume.
    assert masses["body_dowel_large"] == pytest.approx(8000e-9 * dowel.solid.Volume(), rel=1e-12)
    assert masses["body"] > 5 > masses["rotor_drive"] > masses["key_drive"] > 0
    assert masses["rotor_drive"] == masses["rotor_driven"]
