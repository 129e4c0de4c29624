"""Meshes in few bytes for the viewer: quantised, each number as its distance from the one before, then deflated.

What a browser needs no library for: it inflates by itself, and the rest is a loop of additions. A mesh is written as
streams of whole numbers, one after the other:

- ``points``: x of all points, then y, then z, in steps of :attr:`PackedMesh.step_mm` from :attr:`PackedMesh.low_mm`;
- ``normals``: both coordinates on an octahedron (:func:`octahedral`), in :data:`NORMAL_BITS` bits;
- ``triangles``: numbers of their corners, each as its distance from the next point that was not used before;
- ``edges``: numbers of the points along all true edges on the one face that meets there, then on the other;
- ``crowded``: for each segment of an edge how wide its line may be at most, see :data:`CROWDED_UNIT`.

Each stream but the last is made small by its differences (triangles are, already), written as ``2n`` for n >= 0 and
``-2n - 1`` below, and stored as planes: the lowest byte of all its numbers, then the next. Points of a mesh come in
the order in which triangles use them.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....geometry.frame import Floats, Vec3
from ....geometry.meshes.tessellation import Ints, Mesh
from ...engine.line_work import edge_spacing

STEPS = 2**14 - 1
"""Steps in which the longest side of a mesh's box is measured: 0.02 mm in 300."""
NORMAL_BITS = 11
"""Of each of a normal's two coordinates: within 0.12 degrees."""
POINT_PLANES, NORMAL_PLANES, NUMBER_PLANES = 2, 2, 3
"""Bytes of one number of a stream."""
CROWDED_UNIT = 0.02
"""Unit of ``crowded``: this share of the cell in which edges are counted; 255 stands for no bound."""
WHOLE_BYTES = 255
Codes = NDArray[np.int64]


@dataclass(frozen=True)
class PackedMesh:
    """What has to be known of a packed mesh to read its streams."""

    points: int
    triangles: int
    edges: tuple[int, ...]
    """Points of each true edge."""
    low_mm: Vec3
    step_mm: float


@dataclass(frozen=True)
class ReadMesh:
    """A mesh as the viewer reads it: points and normals (n, 3), triangles (m, 3); of each segment of a true edge its
    points on the one face and on the other (k, 2), and how wide its line may be as a share of the cell, infinite where
    nothing bounds it (k,)."""

    points: Floats
    normals: Floats
    triangles: Ints
    one: Ints
    other: Ints
    crowded: Floats


def pack_meshes(meshes: Iterable[Mesh], cell_mm: float) -> tuple[tuple[PackedMesh, ...], bytes]:
    """Return what is known of each mesh, and all their streams, deflated.

    ``cell_mm`` is the cell in which edges are counted, as of :func:`..engine.line_work.edge_spacing`.
    """
    heads, streams = [], bytearray()
    for mesh in meshes:
        head, stream = _packed(mesh, cell_mm)
        heads.append(head)
        streams += stream
    deflater = zlib.compressobj(9, zlib.DEFLATED, -15)
    return tuple(heads), deflater.compress(bytes(streams)) + deflater.flush()


def unpack_meshes(heads: Sequence[PackedMesh], content: bytes) -> list[ReadMesh]:
    """Return the meshes of :func:`pack_meshes`.

    Raises:
        ValueError: if the content does not hold such meshes.
    """
    try:
        reader = _Reader(zlib.decompress(content, -15))
    except zlib.error as error:
        raise ValueError(f"no packed meshes: {error}") from error
    found = [reader.mesh(head) for head in heads]
    if reader.left:
        raise ValueError(f"{reader.left} bytes too many for these meshes")
    return found


def octahedral(normals: Floats) -> Floats:
    """Return unit ``normals`` (n, 3) as points (n, 2) of the square from -1 to 1 onto which an octahedron unfolds.

    >>> octahedral(np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]])).tolist()
    [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]
    """
    flat = normals / np.abs(normals).sum(axis=1, keepdims=True)
    sign = np.where(flat[:, :2] >= 0.0, 1.0, -1.0)
    folded = (1.0 - np.abs(flat[:, 1::-1])) * sign
    unfolded: Floats = np.where(flat[:, 2:] < 0.0, folded, flat[:, :2])
    return unfolded


def from_octahedral(points: Floats) -> Floats:
    """Return the unit normals (n, 3) of :func:`octahedral` points (n, 2)."""
    z = 1.0 - np.abs(points).sum(axis=1)
    sign = np.where(points >= 0.0, 1.0, -1.0)
    flat = np.where((z < 0.0)[:, None], (1.0 - np.abs(points[:, ::-1])) * sign, points)
    normals = np.column_stack([flat, z])
    unit: Floats = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    return unit


def _packed(mesh: Mesh, cell_mm: float) -> tuple[PackedMesh, bytes]:
    points, normals, one, other = _with_edges(mesh)
    order, new_number = _by_first_use(mesh.triangles, len(points))
    points, normals = points[order], normals[order]
    triangles = new_number[mesh.triangles].ravel()
    one, other = new_number[one], new_number[other]
    low, high = points.min(axis=0), points.max(axis=0)
    step = max(float((high - low).max()), 1e-6) / STEPS
    steps = np.round((points - low) / step).astype(np.int64)
    most = 2**NORMAL_BITS - 1
    folded = np.round((octahedral(normals) + 1.0) / 2.0 * most).astype(np.int64)
    seen = np.maximum.accumulate(np.concatenate([[-1], triangles]))[:-1] + 1
    spacing = edge_spacing(mesh, cell_mm) / cell_mm / CROWDED_UNIT
    crowded = np.minimum(np.nan_to_num(np.floor(spacing), posinf=WHOLE_BYTES), WHOLE_BYTES)
    streams = (
        *(_planes(_differences(column), POINT_PLANES) for column in steps.T),
        *(_planes(_differences(column), NORMAL_PLANES) for column in folded.T),
        _planes(seen - triangles, NUMBER_PLANES),
        _planes(_differences(one), NUMBER_PLANES),
        _planes(_differences(other), NUMBER_PLANES),
        crowded.astype(np.uint8).tobytes(),
    )
    x, y, z = low.tolist()
    edges = tuple(len(e) for e in mesh.edges)
    return PackedMesh(len(points), len(mesh.triangles), edges, (x, y, z), step), b"".join(streams)


def _with_edges(mesh: Mesh) -> tuple[Floats, Floats, Codes, Codes]:
    """Return points, normals, and for each point of an edge the number of the point that has its place and the normal
    of the one face, and that for the other; those not in the mesh are added to it."""
    own = np.column_stack([mesh.points, mesh.normals])
    along = np.concatenate(mesh.edges) if mesh.edges else np.empty((0, 3))
    sides = np.concatenate(mesh.edge_normals) if mesh.edges else np.empty((0, 2, 3))
    wanted = np.concatenate([np.column_stack([along, sides[:, n]]) for n in (0, 1)])
    rows = np.concatenate([own, wanted]) + 0.0
    # As bytes: sorted in a tenth of the time that rows of numbers take.
    _, first, number = np.unique(
        rows.view(f"V{rows.itemsize * rows.shape[1]}").ravel(), return_index=True, return_inverse=True
    )
    added = np.flatnonzero(first >= len(own))
    at = first.copy()
    at[added] = len(own) + np.arange(len(added))
    whole = np.concatenate([own, rows[first[added]]])
    numbers = at[number[len(own) :]]
    return whole[:, :3], whole[:, 3:], numbers[: len(along)], numbers[len(along) :]


def _by_first_use(triangles: Ints, count: int) -> tuple[Codes, Codes]:
    """Return the order of points in which triangles use them, those of none last, and the new number of each."""
    used, first = np.unique(triangles.ravel(), return_index=True)
    order = np.concatenate([used[np.argsort(first)], np.setdiff1d(np.arange(count), used)]).astype(np.int64)
    numbers = np.empty(count, np.int64)
    numbers[order] = np.arange(count)
    return order, numbers


def _differences(values: Codes) -> Codes:
    gaps = np.diff(values, prepend=0)
    return np.where(gaps >= 0, 2 * gaps, -2 * gaps - 1)


def _planes(codes: Codes, planes: int) -> bytes:
    if len(codes) and int(codes.max()) >= 1 << (8 * planes):
        raise ValueError("a mesh has more points than the viewer counts")
    return b"".join(((codes >> (8 * n)) & 255).astype(np.uint8).tobytes() for n in range(planes))


class _Reader:
    """Reads streams one after the other."""

    def __init__(self, content: bytes) -> None:
        self._content, self._at = content, 0

    @property
    def left(self) -> int:
        return len(self._content) - self._at

    def mesh(self, head: PackedMesh) -> ReadMesh:
        n, along = head.points, sum(head.edges)
        steps = np.column_stack([self._sums(n, POINT_PLANES) for _ in range(3)])
        folded = np.column_stack([self._sums(n, NORMAL_PLANES) for _ in range(2)])
        codes = self._numbers(3 * head.triangles, NUMBER_PLANES)
        one, other = (self._sums(along, NUMBER_PLANES) for _ in range(2))
        ends = np.cumsum(head.edges, dtype=np.int64) - 1
        starts = np.setdiff1d(np.arange(along), ends)
        crowded = self._numbers(len(starts), 1).astype(float)
        return ReadMesh(
            np.array(head.low_mm) + steps * head.step_mm,
            from_octahedral(folded / (2**NORMAL_BITS - 1) * 2.0 - 1.0),
            _corners(codes).reshape(-1, 3).astype(np.int32),
            np.column_stack([one[starts], one[starts + 1]]).astype(np.int32),
            np.column_stack([other[starts], other[starts + 1]]).astype(np.int32),
            np.where(crowded < WHOLE_BYTES, crowded * CROWDED_UNIT, np.inf),
        )

    def _numbers(self, count: int, planes: int) -> Codes:
        size = count * planes
        if self.left < size:
            raise ValueError("too few bytes for these meshes")
        taken = np.frombuffer(self._content, np.uint8, size, self._at).reshape(planes, count)
        self._at += size
        found: Codes = (taken.astype(np.int64) << (8 * np.arange(planes))[:, None]).sum(axis=0)
        return found

    def _sums(self, count: int, planes: int) -> Codes:
        codes = self._numbers(count, planes)
        return np.cumsum(np.where(codes % 2, -(codes + 1) // 2, codes // 2))


def _corners(codes: Codes) -> Codes:
    """Return the numbers of corners that are written as distances from the next unused point."""
    fresh = codes == 0  # the next point that was not used before
    corners: Codes = np.cumsum(fresh) - fresh - codes
    return corners
