"""Mesh files of every format come in with the right size and volume; damaged ones are refused with a plain reason."""

from __future__ import annotations

import io
import json
import re
import struct
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh
from benchleaf.geometry.exchange import mesh_files
from benchleaf.geometry.exchange.bounded import Refused, Task, read_bounded
from benchleaf.geometry.exchange.mesh_files import (
    MESH_ENDINGS,
    UNITS_MM,
    Unit,
    load_triangles,
    mesh_of_bytes,
    read_mesh_here,
)
from benchleaf.geometry.exchange.mesh_judgement import judge_mesh
from benchleaf.geometry.solid import MeshSolid
from hypothesis import example, given, settings
from hypothesis import strategies as st
from mesh_samples import FORMATS, as_trimesh, bracket, exported, in_format, mesh_solid, soup

PLATE = mesh_solid(bracket())


def read(folder: Path, data: bytes, ending: str, unit: Unit | None = None) -> MeshSolid:
    """Return what is read of a file with these bytes."""
    file = folder / f"part.{ending}"
    file.write_bytes(data)
    return mesh_of_bytes(read_mesh_here(file, unit))


def unit_for(ending: str) -> Unit | None:
    return "mm" if f".{ending}" in mesh_files.WITHOUT_UNIT else None


@pytest.mark.parametrize("ending", FORMATS)
def test_round_trip(ending: str, tmp_path: Path) -> None:
    solid = read(tmp_path, in_format(*soup(PLATE), ending), ending, unit_for(ending))
    # Text and single precision keep seven figures.
    assert solid.volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-6)
    assert np.allclose(solid.points.min(axis=0), PLATE.points.min(axis=0), atol=1e-5)
    assert np.allclose(solid.points.max(axis=0), PLATE.points.max(axis=0), atol=1e-5)
    assert len(solid.triangles) == len(PLATE.triangles)
    assert solid.volume_mm3 == pytest.approx(bracket().Volume(), abs=0.01 * bracket().Area())
    assert solid.remarks == ()


def test_every_format_is_tried() -> None:
    assert {f".{e}" for e in FORMATS} == set(MESH_ENDINGS)


@pytest.mark.parametrize("unit", UNITS_MM)
def test_figures_without_a_unit_are_in_the_unit_that_is_said(unit: Unit, tmp_path: Path) -> None:
    data = in_format(*soup(PLATE), "stl", UNITS_MM[unit])
    assert read(tmp_path, data, "stl", unit).volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-5)


def test_a_format_with_a_unit_keeps_it_whatever_is_said_of_others(tmp_path: Path) -> None:
    assert read(tmp_path, GLB, "glb", "in").volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-5)


@pytest.mark.parametrize(("unit", "mm"), mesh_files.UNITS_OF_3MF.items())
def test_3mf_is_in_the_unit_that_it_states(unit: str, mm: float, tmp_path: Path) -> None:
    data = in_model(
        in_format(*soup(PLATE), "3mf", mm), lambda text: text.replace(b'"millimeter"', f'"{unit}"'.encode())
    )
    assert read(tmp_path, data, "3mf").volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-5)


def in_model(
    data: bytes, change: Callable[[bytes], bytes], name: str = "3D/3dmodel.model", **more: bytes
) -> bytes:
    """Return a 3MF file with its model changed, or members put in."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for member in given.namelist():
            text = given.read(member)
            made.writestr(
                name if member == "3D/3dmodel.model" else member, change(text) if "model" in member else text
            )
        for member, text in more.items():
            made.writestr(member, text)
    return out.getvalue()


def test_text_stl_is_read_as_well(tmp_path: Path) -> None:
    text = exported(as_trimesh(*soup(PLATE)), "stl_ascii")
    assert read(tmp_path, text, "stl", "mm").volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-6)


def test_mirrored_and_moved_copies_in_a_scene_keep_their_outside(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    mirror = np.diag([-0.001, 0.001, 0.001, 1.0])
    mirror[:3, 3] = (0.1, 0.2, 0.3)
    scene.add_geometry(trimesh.Trimesh(*soup(PLATE), process=False), transform=mirror)
    solid = read(tmp_path, exported(scene, "glb"), "glb")
    assert solid.remarks == ()
    assert solid.volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-5)
    assert solid.points.min(axis=0) == pytest.approx(
        [100 - PLATE.points[:, 0].max(), 200 - 12, 300], abs=1e-3
    )


def test_lines_and_points_beside_the_part_are_left_out(tmp_path: Path) -> None:
    scene = trimesh.Scene([trimesh.Trimesh(PLATE.points / 1000, PLATE.triangles, process=False)])
    scene.add_geometry(trimesh.load_path(np.array([[0, 0, 0], [1.0, 0, 0]])))
    solid = read(tmp_path, exported(scene, "glb"), "glb")
    assert solid.volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-5)


def glb(change: Callable[[dict[str, object]], object], tail: bytes | None = None) -> bytes:
    """Return a sound GLB file with its header changed."""
    data = in_format(*soup(PLATE), "glb")
    size = struct.unpack("<I", data[12:16])[0]
    tree = json.loads(data[20 : 20 + size])
    change(tree)
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + size :] if tail is None else tail
    return (
        struct.pack("<4sII", b"glTF", 2, 20 + len(text) + len(rest))
        + struct.pack("<I", len(text))
        + b"JSON"
        + text
        + rest
    )


def elsewhere(tree: dict[str, object]) -> None:
    tree["buffers"] = [{"byteLength": 12, "uri": "../other.bin"}]


POINTS = trimesh.PointCloud(PLATE.points)  # type: ignore[no-untyped-call]

STL = in_format(*soup(PLATE), "stl")
OBJ = in_format(*soup(PLATE), "obj")
PLY = in_format(*soup(PLATE), "ply")
THREE = in_format(*soup(PLATE), "3mf")
GLB = in_format(*soup(PLATE), "glb")
FACET = b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 1 1 0\nendloop\nendfacet\n"
TEXT = b"solid a\n" + FACET + b"endsolid a\n"
DAMAGED = {
    "empty STL": ("stl", b"", "too short"),
    "cut STL": ("stl", STL[: len(STL) // 2], r"says it holds 4,620 triangles, with room for 2,309\.2"),
    "long STL": ("stl", STL + b"\0" * 7, "says it holds"),
    "STL that promises more": ("stl", b"\0" * 80 + struct.pack("<I", 2**32 - 1) + b"\0" * 50, "4,294,967,295 tri"),
    "STL of nothing": ("stl", b"\0" * 84, "no triangles"),
    "cut text STL": ("stl", TEXT[:-20], "ends before its end line"),
    "misspelt text STL": ("stl", TEXT.replace(b"1 1 0", b"1 l 0"), "damaged STL file"),
    "one triangle": ("stl", TEXT, "3 open edges round 1 hole"),
    "OBJ of words": ("obj", b"hello\n", "no triangles"),
    "OBJ with corners that are not there": ("obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "damaged OBJ file"),
    "OBJ counted backwards": ("obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -2 -1\n", "counted backwards"),
    "cut OBJ": ("obj", OBJ[: len(OBJ) - len(OBJ) // 9], "open edges|damaged OBJ"),
    "PLY of words": ("ply", b"hello", "no PLY header"),
    "cut PLY": ("ply", PLY[: len(PLY) // 2], "damaged PLY file"),
    "PLY of points": ("ply", exported(POINTS, "ply"), "no triangles"),
    "3MF that is none": ("3mf", b"hello", "damaged 3MF file"),
    "cut 3MF": ("3mf", THREE[: len(THREE) // 2], "damaged 3MF file"),
    "3MF without a model": ("3mf", in_model(THREE, lambda t: t, name="3D/other"), "without a 3D model"),
    "3MF with a broken model": ("3mf", in_model(THREE, lambda t: t[:-300]), "damaged 3MF file"),
    "3MF in furlongs": ("3mf", in_model(THREE, lambda t: t.replace(b"millimeter", b"furlong")), "the unit 'furlong'"),
    "3MF that requires more": (
        "3mf",
        in_model(THREE, lambda t: t.replace(b" unit=", b' requiredextensions="b" unit=')),
        "requires http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02",
    ),
    "GLB that is none": ("glb", b"hello", "no GLB header"),
    "cut GLB": ("glb", GLB[:-100], r"says it is [\d,]+ bytes long, and is"),
    "GLB with data elsewhere": ("glb", glb(elsewhere), "data in other files"),
    "GLB without its data": ("glb", glb(lambda t: None, b""), "damaged GLB file"),
    "compressed GLB": (
        "glb", glb(lambda t: t.update(extensionsRequired=["KHR_draco_mesh_compression"])), "requires KHR_draco",
    ),
    "GLB whose header is a list": ("glb", struct.pack("<4sIII4s", b"glTF", 2, 22, 2, b"JSON") + b"[]", "no GLB header"),
}  # fmt: skip


@pytest.mark.parametrize("name", DAMAGED)
def test_damaged_files_are_refused_with_a_reason(name: str, tmp_path: Path) -> None:
    ending, data, words = DAMAGED[name]
    with pytest.raises(Refused, match=words) as caught:
        read(tmp_path, data, ending, unit_for(ending))
    assert caught.value.allowed
    assert caught.value.fix


def test_an_archive_that_unpacks_to_much_is_not_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mesh_files, "MOST_UNPACKED", 30_000_000)
    data = in_model(THREE, lambda t: t, zeros=b"\0" * 40_000_000)
    assert len(data) < 200_000
    with pytest.raises(Refused, match=r"an archive of 4 files that unpack to 40 MB"):
        read(tmp_path, data, "3mf")
    monkeypatch.setattr(mesh_files, "MOST_UNPACKED", 50_000_000)
    assert read(tmp_path, data, "3mf").volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-6)


def test_too_large_a_file_and_too_many_triangles_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mesh_files, "MOST_TRIANGLES", 4_000)
    with pytest.raises(Refused, match="4,620 triangles") as caught:
        read(tmp_path, STL, "stl", "mm")
    assert "more coarsely" in caught.value.fix
    with pytest.raises(Refused, match="4,620 triangles"):
        read(tmp_path, GLB, "glb")
    monkeypatch.setattr(mesh_files, "MOST_BYTES", 100_000)
    with pytest.raises(Refused, match="0 MB"):
        read(tmp_path, STL, "stl", "mm")


def test_a_3mf_part_doubled_without_end_is_refused_and_the_next_file_is_read(tmp_path: Path) -> None:
    """Each object holds the one before it twice: a kilobyte asks for a thousand million copies of the part."""
    twice = b"".join(
        b'<object id="%d"><components><component objectid="%d"/><component objectid="%d"/></components></object>'
        % (n, n - 1, n - 1)
        for n in range(2, 32)
    )
    data = in_model(
        THREE,
        lambda t: t.replace(b"</resources>", twice + b"</resources>").replace(
            b' objectid="1" transform', b' objectid="31" transform'
        ),
    )
    (tmp_path / "doubled.3mf").write_bytes(data)
    (tmp_path / "sound.stl").write_bytes(STL)
    given = [("doubled.3mf", None), ("sound.stl", "mm")]
    refused, sound = read_bounded(
        [Task(read_mesh_here, tmp_path / name, (unit,)) for name, unit in given], seconds=8.0
    )
    assert isinstance(refused, Refused)
    # Whichever limit a machine meets first.
    assert re.search(r"longer than 8 s|more than 4 GB|\d triangles", refused.found), refused.found
    assert isinstance(sound, bytes)
    assert mesh_of_bytes(sound).volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-6)


def test_nothing_beside_the_file_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "own.mtl").write_text("newmtl a\nmap_Kd own.png\n")
    (tmp_path / "part.obj").write_bytes(b"mtllib own.mtl\nusemtl a\n" + OBJ)
    opened: list[str] = []
    hooked = [True]
    sys.addaudithook(
        lambda event, given: opened.append(str(given[0])) if event == "open" and hooked[0] else None
    )
    try:
        read_mesh_here(tmp_path / "part.obj", "mm")
    finally:
        hooked[0] = False
    assert [name for name in opened if str(tmp_path) in name] == [str(tmp_path / "part.obj")]


SOUND = {"stl": STL, "obj": OBJ, "ply": PLY, "3mf": THREE, "glb": GLB}


@settings(max_examples=60)
@given(st.sampled_from(sorted(SOUND)), st.binary(max_size=400))
@example("obj", b"f 1 2 3")
@example("stl", b"solid facet endsolid")
@example("ply", b"ply\nformat ascii 1.0\nelement vertex 3\nelement face 1\nend_header\n")
def test_bytes_out_of_order_are_refused(ending: str, data: bytes) -> None:
    with pytest.raises(Refused) as caught:
        load_triangles(data, f".{ending}")
    assert caught.value.found


@settings(max_examples=120)
@given(st.data())
def test_a_file_with_a_changed_byte_is_refused_or_gives_a_closed_solid(data: st.DataObject) -> None:
    ending = data.draw(st.sampled_from(sorted(SOUND)))
    changed = bytearray(SOUND[ending])
    for _ in range(data.draw(st.integers(1, 3))):
        # Headers are where a change tells most.
        most = data.draw(st.sampled_from([200, 2_000, len(changed) - 1]))
        changed[data.draw(st.integers(0, most))] = data.draw(st.integers(0, 255))
    try:
        points, triangles, _ = load_triangles(bytes(changed), f".{ending}")
        solid = judge_mesh(points, triangles)
    except Refused:
        pass  # anything else that is raised fails the test
    else:
        assert trimesh.Trimesh(solid.points, solid.triangles, process=False).is_watertight
        assert solid.volume_mm3 > 0
