"""Models of parts as files: meshes as arrays, the rest as JSON; nothing in them is code."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Any
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray

from ...geometry.assembly import Side, TurningGroup
from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Mesh
from ...geometry.surfaces import Surface
from ...sequences.work.json_data import from_json, json_bytes
from ..engine.part_models import PartModel, PartModels

WHOLE = ("points", "normals", "triangles", "face_of_triangle", "joined_points", "joined_triangles")
"""Arrays of a mesh that are written as they are."""
STRUNG = ("edges", "edge_normals", "smooth_edges")
"""Tuples of arrays that are written as one, with the length of each."""
PARTS, MESHES = "parts.json", "meshes.npz"


@dataclass(frozen=True)
class _Part:
    key: str
    kind: str
    name: str
    material: str
    mesh: int
    place: Place
    side: Side | None
    thread: bool
    surfaces: tuple[Surface, ...]
    free_rise: float


@dataclass(frozen=True)
class _Models:
    parts: tuple[_Part, ...]
    up: Vec3
    front: Vec3
    extent_mm: float
    turning: tuple[TurningGroup, ...]
    tolerances_mm: tuple[float, ...]
    """Of each mesh."""


def models_entry(models: PartModels) -> dict[str, bytes]:
    """Return models, but for their name, as named contents.

    Raises:
        ValueError: if a part is cut open: only whole parts are kept.
    """
    numbers: dict[int, int] = {}
    meshes: list[Mesh] = []
    parts = []
    for m in models:
        if m.hatch is not None:
            raise ValueError(f"{m.key} is cut open")
        if id(m.mesh) not in numbers:
            numbers[id(m.mesh)] = len(meshes)
            meshes.append(m.mesh)
        number = numbers[id(m.mesh)]
        of_part = (m.key, m.kind, m.name, m.material, number, m.place, m.side, m.thread)
        parts.append(_Part(*of_part, m.surfaces, m.free_rise))
    arrays: dict[str, NDArray[np.generic]] = {}
    for n, mesh in enumerate(meshes):
        arrays.update({f"{n}.{name}": getattr(mesh, name) for name in WHOLE})
        for name in STRUNG:
            strung: tuple[Floats, ...] = getattr(mesh, name)
            arrays[f"{n}.{name}.lengths"] = np.array([len(a) for a in strung], np.int64)
            arrays[f"{n}.{name}"] = np.concatenate(strung) if strung else np.empty(0)
    out = BytesIO()
    np.savez(out, allow_pickle=False, **arrays)
    told = _Models(
        tuple(parts),
        models.up,
        models.front,
        models.extent_mm,
        models.turning,
        tuple(m.tolerance_mm for m in meshes),
    )
    return {PARTS: json_bytes(told), MESHES: out.getvalue()}


def models_from_entry(name: str, made_from: str, entry: dict[str, bytes]) -> PartModels:
    """Return the models of :func:`models_entry`.

    Raises:
        ValueError, KeyError: if the contents are not such models.
    """
    told = from_json(_Models, entry[PARTS])
    try:
        meshes = _read_meshes(entry[MESHES], told.tolerances_mm)
    except (OSError, EOFError, BadZipFile, TypeError) as error:
        raise ValueError(f"no meshes: {error}") from error
    parts = {
        p.key: PartModel(
            p.key,
            p.kind,
            p.name,
            p.material,
            meshes[p.mesh],
            p.place,
            p.side,
            p.thread,
            surfaces=p.surfaces,
            free_rise=p.free_rise,
        )
        for p in told.parts
    }
    return PartModels(name, parts, told.up, told.front, told.extent_mm, told.turning, made_from)


def _read_meshes(content: bytes, tolerances_mm: tuple[float, ...]) -> list[Mesh]:
    meshes = []
    with np.load(BytesIO(content), allow_pickle=False) as arrays:
        for n, tolerance in enumerate(tolerances_mm):
            fields: dict[str, Any] = {name: arrays[f"{n}.{name}"] for name in WHOLE}
            fields |= {k: _cut(arrays[f"{n}.{k}"], arrays[f"{n}.{k}.lengths"]) for k in STRUNG}
            meshes.append(Mesh(**fields, tolerance_mm=tolerance))
    return meshes


def _cut(strung: Floats, lengths: NDArray[np.int64]) -> tuple[Floats, ...]:
    return tuple(np.split(strung, np.cumsum(lengths)[:-1])) if len(lengths) else ()
