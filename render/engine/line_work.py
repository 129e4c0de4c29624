"""Line work: silhouettes of a mesh for one direction of view, and lines of true width as flat ribbons.

Silhouettes come from the exact normals: smooth on round parts, sharp on edges. Wide lines are drawn as ribbons
square to the eye because those of the graphics library have gaps at each joint and a width that depends on their
slope.
"""

from __future__ import annotations

from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Vec3
from ...geometry.meshes.tessellation import Ints, Mesh

_EDGE_ON = 1e-6
MOST_KEPT = 16
"""How many silhouettes of a mesh are remembered."""
_silhouettes: WeakKeyDictionary[Mesh, dict[tuple[float, ...], Floats]] = WeakKeyDictionary()


def silhouette(mesh: Mesh, direction: Vec3) -> Floats:
    """Return the silhouette of ``mesh`` as segments, (k, 2, 3) float64 mm, own frame.

    ``direction`` points from the part to the eye, own frame, parallel projection. On round faces the segments
    run where the exact normal turns away from the eye, interpolated inside each triangle; on model edges where
    one face looks to the eye and the other away. The last few of each mesh are remembered.
    """
    known = _silhouettes.setdefault(mesh, {})
    key = tuple(round(c, 9) for c in direction)
    if key not in known:
        eye = np.array(key)  # as rounded: it must not matter which of nearly equal ones is asked for first
        known[key] = np.concatenate([_smooth_silhouette(mesh, eye), _sharp_silhouette(mesh, eye)])
        if len(known) > MOST_KEPT:
            del known[next(iter(known))]
    return known[key]


def edge_segments(mesh: Mesh) -> Floats:
    """Return all true model edges as segments, (k, 2, 3) float64 mm, own frame."""
    if not mesh.edges:
        return np.empty((0, 2, 3))
    return np.concatenate([np.stack([e[:-1], e[1:]], axis=1) for e in mesh.edges])


def edge_spacing(mesh: Mesh, cell_mm: float) -> Floats:
    """Return for each of :func:`edge_segments` about how far apart the edges run there, (k,) float64 mm.

    Counted in cells of ``cell_mm``; infinite where three edges or fewer pass, as at any corner. Threads and fine
    grooves have many: their lines are drawn thinner so that they do not close up to black.
    """
    segments = edge_segments(mesh)
    edge = np.repeat(np.arange(len(mesh.edges)), [len(e) - 1 for e in mesh.edges])
    if not len(segments):
        return np.empty(0)
    cell = np.floor(segments.mean(axis=1) / cell_mm).astype(np.int64) + 2**15
    number = (cell[:, 0] << 40) + (cell[:, 1] << 20) + cell[:, 2]
    pairs = np.unique(np.stack([number, edge], axis=1), axis=0)
    cells, count = np.unique(pairs[:, 0], return_counts=True)
    passing = count[np.searchsorted(cells, number)]
    return np.where(passing > 3, cell_mm / passing, np.inf)


class Ribbons:
    """``segments`` (k, 2, 3) as flat ribbons facing ``direction``, of any width; those seen end on are left out."""

    def __init__(self, segments: Floats, direction: Vec3) -> None:
        eye = np.asarray(direction, dtype=np.float64)
        start, end = segments[:, 0], segments[:, 1]
        along = end - start
        along = along - (along @ eye)[:, None] * eye
        length = np.sqrt(np.einsum("ij,ij->i", along, along))
        self._kept = np.flatnonzero(length > _EDGE_ON)
        self._start, self._end = start[self._kept], end[self._kept]
        self._half_length = length[self._kept, None] / 2.0
        self._along = along[self._kept] / (2.0 * self._half_length)
        self._side = self._along @ _crossed_with(eye)

    @property
    def triangles(self) -> Ints:
        """Numbers of the corners of its triangles, (2k, 3)."""
        first = 4 * np.arange(len(self._kept), dtype=np.int32)[:, None]
        return (first + np.array([0, 1, 2, 0, 2, 3], dtype=np.int32)).reshape(-1, 3)

    def points(self, width_mm: Floats) -> NDArray[np.float32]:
        """Return the corners (4k, 3) of ribbons ``width_mm`` (k,) wide.

        Each reaches half its width beyond its ends (not more than half its length), so that neighbours close up.
        """
        half = width_mm[self._kept, None] / 2.0
        out, side = self._along * np.minimum(half, self._half_length), self._side * half
        start, end = self._start - out, self._end + out
        corners = np.empty((len(start), 4, 3), dtype=np.float32)
        for n, (middle, away) in enumerate(((start, -side), (start, side), (end, side), (end, -side))):
            np.add(middle, away, out=corners[:, n], casting="same_kind")
        return corners.reshape(-1, 3)


def _crossed_with(eye: Floats) -> Floats:
    """Return the matrix (3, 3) by which rows are multiplied to get the cross product of ``eye`` with each."""
    x, y, z = eye
    return np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])


def _smooth_silhouette(mesh: Mesh, eye: Floats) -> Floats:
    facing = mesh.normals @ eye
    corner = facing[mesh.triangles]
    front = corner > 0.0
    crossed = np.flatnonzero(front.any(axis=1) & ~front.all(axis=1) & (np.abs(corner).max(axis=1) > _EDGE_ON))
    if not len(crossed):
        return np.empty((0, 2, 3))
    corner, front = corner[crossed], front[crossed]
    # One corner is alone on its side; the silhouette leaves the triangle on the two edges that end there.
    alone = np.where(front.sum(axis=1) == 1, front.argmax(axis=1), (~front).argmax(axis=1))
    rows = np.arange(len(crossed))
    points = mesh.points[mesh.triangles[crossed]]
    tip, tip_value = points[rows, alone], corner[rows, alone]
    ends = []
    for step in (1, 2):
        other = (alone + step) % 3
        value = corner[rows, other]
        share = tip_value / np.where(tip_value == value, 1.0, tip_value - value)
        ends.append(tip + share[:, None] * (points[rows, other] - tip))
    return np.stack(ends, axis=1)


def _sharp_silhouette(mesh: Mesh, eye: Floats) -> Floats:
    found = [np.empty((0, 2, 3))]
    for line, sides in zip(mesh.edges, mesh.edge_normals, strict=True):
        facing = sides @ eye
        mean = facing[:-1] + facing[1:]  # per segment, both sides
        turned = (mean[:, 0] > _EDGE_ON) != (mean[:, 1] > _EDGE_ON)
        if turned.any():
            found.append(np.stack([line[:-1], line[1:]], axis=1)[turned])
    return np.concatenate(found)
