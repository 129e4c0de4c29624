"""STEP and glTF of a head, read back: every part with its name, volume and place."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.cad_export import ExportError, write_glb, write_step
from benchleaf.geometry.exchange.mesh_shapes import MOST_FACETS
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.geometry.meshes.tessellation import mesh_of_shape
from mesh_samples import bracket, mesh_solid
from sample_solids import kernel


@pytest.fixture(scope="module")
def head() -> Head:
    return make_head("T-1", make_size("80", example_measures(80.0)), Options(seal="double", cover="relief"))


def read_glb(path: Path) -> tuple[dict[str, object], bytes]:
    data = path.read_bytes()
    magic, version, length = struct.unpack("<III", data[:12])
    assert (magic, version, length) == (0x46546C67, 2, len(data))
    size = struct.unpack("<I", data[12:16])[0]
    return json.loads(data[20 : 20 + size]), data[28 + size :]


def test_glb_has_metres_and_one_primitive_a_part(head: Head, tmp_path: Path) -> None:
    path = tmp_path / "head.glb"
    write_glb(head, path)
    scene, blob = read_glb(path)
    nodes = {n["name"]: n for n in scene["nodes"] if "mesh" in n}  # type: ignore[attr-defined]
    assert set(nodes) == set(head.parts)
    to_y_up = np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]], dtype=float)
    for part in head:
        mesh = scene["meshes"][nodes[part.key]["mesh"]]  # type: ignore[index]
        assert len(mesh["primitives"]) == 1, part.key
        accessor = scene["accessors"][mesh["primitives"][0]["attributes"]["POSITION"]]  # type: ignore[index]
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
        assert shape.Volume() == pytest.approx(kernel(part.solid).Volume(), rel=1e-4), part.key
        there, here = (
            shape.Center(),
            kernel(part.placed()).Center(),
        )  # same integral: a few tenths of a micrometre off
        assert (there - here).Length < 1e-3, part.key
        assert child.color is not None


def test_mesh_parts_are_written_too(tmp_path: Path) -> None:
    """STEP holds small ones as solids of plane faces and leaves large ones out, which is told; glTF holds all."""
    small, large = mesh_solid(cq.Workplane().box(4, 5, 6)), mesh_solid(bracket(), 0.01, 5.0)
    assert len(large.triangles) > MOST_FACETS
    twin = Part("block_2", "block", "Block", "steel", small, Place.turn(90.0).moved(20, 0, 0))
    parts = [
        Part("plate", "plate", "Plate", "steel", bracket()),
        Part("block_1", "block", "Block", "FKM", small, Place.at(0, 30, 0)),
        twin,
        Part("bracket", "bracket", "Bracket", "steel", large, Place.at(0, -30, 0)),
    ]
    assembly = Assembly("mixed", {p.key: p for p in parts})
    assert write_step(assembly, tmp_path / "a.step") == ("bracket",)
    back = {child.name: child for child in cq.Assembly.importStep(str(tmp_path / "a.step")).children}
    assert set(back) == {"plate", "block_1", "block_2"}
    (block,) = [s.moved(back["block_2"].loc) for s in back["block_2"].shapes]
    assert block.isValid()
    assert block.Volume() == pytest.approx(120.0, rel=1e-9)
    assert (block.Center() - cq.Vector(20, 0, 0)).Length < 1e-6
    write_glb(assembly, tmp_path / "a.glb")
    scene, _ = read_glb(tmp_path / "a.glb")
    assert {n["name"] for n in scene["nodes"] if "mesh" in n} == {p.key for p in parts}  # type: ignore[attr-defined]
    witness = trimesh.load_scene(tmp_path / "a.glb")
    for part in parts:
        matrix, name = witness.graph[part.key]
        mesh = witness.geometry[name].apply_scale(1000.0)
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        assert mesh.is_watertight, part.key
        assert mesh.volume == pytest.approx(part.volume_mm3, rel=2e-3), part.key
        shift = np.array(part.place.shift)[[0, 2, 1]] * (1, 1, -1)
        assert matrix[:3, 3] * 1000 == pytest.approx(shift, abs=1e-3)


def test_an_assembly_of_large_meshes_alone_is_no_step_file(tmp_path: Path) -> None:
    large = Part("bracket", "bracket", "Bracket", "steel", mesh_solid(bracket(), 0.01, 5.0))
    with pytest.raises(ExportError, match="all parts are meshes"):
        write_step(Assembly("large", {"bracket": large}), tmp_path / "a.step")
    assert not (tmp_path / "a.step").exists()


def test_masses_are_volume_times_density(head: Head) -> None:
    masses = masses_kg(head)
    dowel = head.part("body_dowel_large")
    # 316L: 8000 kg/m3, chamfers included by the solid's own volume.
    assert masses["body_dowel_large"] == pytest.approx(8000e-9 * kernel(dowel.solid).Volume(), rel=1e-12)
    assert masses["body"] > 5 > masses["rotor_drive"] > masses["key_drive"] > 0
    assert masses["rotor_drive"] == masses["rotor_driven"]
