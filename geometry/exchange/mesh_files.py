"""Mesh files of strangers (STL, OBJ, PLY, 3MF, GLB), read with trimesh and judged in a child process.

A mesh is a poorer thing than a STEP solid: as fine as it was exported and no finer, without faces and edges of its own,
and in most formats without a unit. So the unit is said by whoever names the file, and the mesh has to be closed.
"""

from __future__ import annotations

import io
import json
import struct
import warnings
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats
from ..solid import MeshSolid
from .bounded import Refused

Indices = NDArray[np.int64]
Unit = Literal["mm", "cm", "m", "in"]
UNITS_MM: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
WITHOUT_UNIT = (".stl", ".obj", ".ply")
"""Endings of formats that hold bare figures."""
WITH_UNIT = (".3mf", ".glb")
"""Endings of formats that say what a figure is: 3MF names a unit, glTF is in metres."""
MESH_ENDINGS = (*WITHOUT_UNIT, *WITH_UNIT)
MOST_TRIANGLES = 200_000
"""A machined part exported to 0.01 mm has some ten thousand."""
MOST_BYTES = 60_000_000
"""As text, as many triangles as are let in take about this much."""
MOST_UNPACKED = 300_000_000
"""Of all that a 3MF archive holds."""
MOST_MEMBERS = 1_000
UNITS_OF_3MF = {
    "micron": 0.001,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "meter": 1000.0,
    "inch": 25.4,
    "foot": 304.8,
}
EXTENSIONS_OF_3MF = ("http://schemas.microsoft.com/3dmanufacturing/production/2015/06",)
"""What a 3MF file may require beyond the core: objects in files of their own."""
HARMLESS_IN_GLTF = ("KHR_materials_", "KHR_texture_", "EXT_texture_")
"""Beginnings of glTF extensions that change no surface."""


def read_mesh_here(file: Path, unit: Unit | None) -> bytes:
    """Return a mesh file's one closed body in mm, as bytes for :func:`mesh_of_bytes`.

    For a child process: a damaged file can need any time and memory.

    Args:
        file: its ending tells the format.
        unit: of its figures, for formats of :data:`WITHOUT_UNIT`; the others state theirs.

    Raises:
        Refused: if it is huge, broken, empty, or no closed surface; with figures.
    """
    from .mesh_judgement import judge_mesh

    size = file.stat().st_size
    if size > MOST_BYTES:
        raise Refused(
            f"{size / 1e6:.0f} MB",
            f"up to {MOST_BYTES / 1e6:.0f} MB",
            "export this part alone and more coarsely, without threads and lettering",
        )
    ending = file.suffix.casefold()
    points, triangles, unit_mm = load_triangles(file.read_bytes(), ending)
    if unit and ending in WITHOUT_UNIT:
        unit_mm = UNITS_MM[unit]
    # STL knows no shared corners: there is nothing to say of joining them.
    with np.errstate(over="ignore"):  # what has no end is refused with all its like
        places = points * unit_mm
    solid = judge_mesh(places, triangles, remark_on_joints=ending != ".stl")
    out = io.BytesIO()
    np.savez(out, points=solid.points, triangles=solid.triangles, remarks=np.array(solid.remarks, str))
    return out.getvalue()


def mesh_of_bytes(made: bytes) -> MeshSolid:
    """Return the mesh that :func:`read_mesh_here` made."""
    with np.load(io.BytesIO(made)) as held:
        remarks = tuple(str(r) for r in held["remarks"])
        return MeshSolid(held["points"], held["triangles"], remarks)


def load_triangles(data: bytes, ending: str) -> tuple[Floats, Indices, float]:
    """Return points (n, 3) float64 in the file's unit, triangles (m, 3) int64, and that unit in mm (1 where unknown).

    Every copy of a shape in the file is in its place; materials, pictures and lines are left out, and nothing but
    ``data`` is looked at.

    Raises:
        Refused: if the file is broken, or asks for what is not read here.
    """
    name = ending.lstrip(".").upper()
    unit_mm = _CHECKS[ending](data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # numbers that end in the middle are a warning only
            points, triangles = _loaded(data, ending)
    except (Refused, MemoryError):
        raise
    except Exception as fault:  # whatever bytes out of order bring about in a reader
        found = f"a damaged {name} file ({type(fault).__name__})"
        raise Refused(found, f"a whole {name} file", "export it again") from fault
    if not len(triangles):
        raise Refused(
            "no triangles", f"a whole {name} file of a solid", "check that it is whole, and export it again"
        )
    return points, triangles, unit_mm


def _loaded(data: bytes, ending: str) -> tuple[Floats, Indices]:
    import trimesh

    options: dict[str, Any] = {} if ending in (".stl", ".3mf") else {"skip_materials": True}
    # From memory: without a file's place a reader cannot go and fetch others beside it.
    scene = trimesh.load_scene(
        io.BytesIO(data),
        file_type=ending.lstrip("."),
        resolver=None,
        process=False,
        validate=False,
        **options,
    )
    copies = [scene.graph[node] for node in scene.graph.nodes_geometry]
    meshes = [
        (matrix, scene.geometry[name])
        for matrix, name in copies
        if isinstance(scene.geometry[name], trimesh.Trimesh)
    ]
    count = sum(len(mesh.faces) for _, mesh in meshes)
    check_count(count)
    points: list[Floats] = [np.empty((0, 3))]
    triangles: list[Indices] = [np.empty((0, 3), np.int64)]
    first = 0
    for matrix, mesh in meshes:
        corners = np.asarray(mesh.faces, np.int64).reshape(-1, 3)
        own = np.asarray(mesh.vertices, np.float64).reshape(-1, 3)
        if corners.min(initial=0) < 0 or corners.max(initial=-1) >= len(own):
            raise ValueError("a triangle names a corner that is not there")
        m = np.asarray(matrix, np.float64)
        mirrored = np.linalg.det(m[:3, :3]) < 0
        points.append(own @ m[:3, :3].T + m[:3, 3])
        triangles.append((corners[:, ::-1] if mirrored else corners) + first)
        first += len(own)
    return np.concatenate(points), np.concatenate(triangles)


def check_count(count: int) -> None:
    """Check that there are not too many triangles to work with.

    Raises:
        Refused: if there are.
    """
    if count > MOST_TRIANGLES:
        raise Refused(
            f"{count:,} triangles",
            f"up to {MOST_TRIANGLES:,}",
            "export it more coarsely, 0.01 mm off is fine enough; leave out threads, knurls and lettering",
        )


def _check_stl(data: bytes) -> float:
    """Check that an STL file is whole: the reader takes one that was cut off for an empty one."""
    if data[:5].lower() == b"solid" and b"facet" in data[:2000].lower():
        if b"endsolid" not in data[-2000:].lower():
            raise Refused(
                "an STL file that ends before its end line", "a whole STL file", "copy or export it again"
            )
        return 1.0
    if len(data) < 84:
        raise Refused("no STL file: too short for its header", "a whole STL file", "export it again")
    count = struct.unpack("<I", data[80:84])[0]
    there = (len(data) - 84) / 50
    if there != count:
        found = f"an STL file that says it holds {count:,} triangles, with room for {there:,.1f}"
        raise Refused(
            found, "a whole STL file", "it was cut off or changed on its way: copy or export it again"
        )
    return 1.0


def _check_obj(data: bytes) -> float:
    # The reader counts such corners from the end of the file, the format from the line that names them.
    if any(line.lstrip().startswith((b"f ", b"f\t")) and b"-" in line for line in data.splitlines()):
        raise Refused(
            "faces whose corners are counted backwards", "corners counted from the first", "export it again"
        )
    return 1.0


def _check_ply(data: bytes) -> float:
    if not data.startswith(b"ply"):
        raise Refused("no PLY header", "a PLY file", "export it again")
    return 1.0


def _check_3mf(data: bytes) -> float:
    """Check what a 3MF file holds before it is unpacked, and return its unit in mm."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            unpacked = sum(m.file_size for m in members)
            if len(members) > MOST_MEMBERS or unpacked > MOST_UNPACKED:
                raise Refused(
                    f"an archive of {len(members)} files that unpack to {unpacked / 1e6:.0f} MB",
                    f"up to {MOST_MEMBERS} files and {MOST_UNPACKED / 1e6:.0f} MB",
                    "export this part alone",
                )
            name = next((m.filename for m in members if "3d/3dmodel.model" in m.filename.lower()), None)
            if name is None:
                raise Refused("an archive without a 3D model", "a 3MF file", "export it again")
            with archive.open(name) as stream:
                return _unit_of_3mf(stream)
    except (Refused, MemoryError):
        raise
    except Exception as fault:  # zipfile and lxml raise a dozen kinds over bytes out of order
        found = f"a damaged 3MF file ({type(fault).__name__})"
        raise Refused(found, "a whole 3MF file", "export it again") from fault


def _unit_of_3mf(stream: Any) -> float:
    from lxml import etree

    events = etree.iterparse(
        stream, events=("start",), resolve_entities=False, no_network=True, load_dtd=False
    )
    root = next(iter(events))[1]
    required = [root.nsmap.get(prefix, prefix) for prefix in root.get("requiredextensions", "").split()]
    unread = [name for name in required if name not in EXTENSIONS_OF_3MF]
    if unread:
        raise Refused(
            f"a 3MF file that requires {', '.join(unread)}",
            "3MF files of triangles alone",
            "export it without extensions, or as STEP",
        )
    unit = root.get("unit", "millimeter")
    if unit not in UNITS_OF_3MF:
        raise Refused(f"the unit '{unit}'", f"one of {', '.join(UNITS_OF_3MF)}", "export it again")
    return UNITS_OF_3MF[unit]


def _check_glb(data: bytes) -> float:
    """Check that a GLB file holds all that it needs, and return its unit, the metre, in mm."""
    try:
        magic, version, length, size, kind = struct.unpack("<4sIII4s", data[:20])
        tree = json.loads(data[20 : 20 + size])
        if (magic, version, kind) != (b"glTF", 2, b"JSON") or not isinstance(tree, dict):
            raise ValueError("no GLB file")
        outside = [b for b in tree.get("buffers", []) if not b.get("uri", "data:").startswith("data:")]
        required = [str(name) for name in tree.get("extensionsRequired", [])]
    except (ValueError, struct.error, AttributeError, TypeError, RecursionError) as fault:
        raise Refused("no GLB header", "a GLB file (glTF 2.0 binary)", "export it again") from fault
    if length != len(data):
        raise Refused(
            f"a GLB file that says it is {length:,} bytes long, and is {len(data):,}",
            "a whole GLB file",
            "it was cut off or changed on its way: copy or export it again",
        )
    if outside:
        raise Refused(
            "data in other files", "a GLB file with all its data inside", "export it as one GLB file"
        )
    unread = [name for name in required if not name.startswith(HARMLESS_IN_GLTF)]
    if unread:
        raise Refused(
            f"a GLB file that requires {', '.join(unread)}",
            "plain triangles",
            "export it uncompressed and without extensions",
        )
    return 1000.0


_CHECKS = {
    ".stl": _check_stl,
    ".obj": _check_obj,
    ".ply": _check_ply,
    ".3mf": _check_3mf,
    ".glb": _check_glb,
}
assert set(_CHECKS) == set(MESH_ENDINGS)
assert set(UNITS_MM) == set(get_args(Unit))
