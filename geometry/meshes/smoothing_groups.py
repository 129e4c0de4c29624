"""Normals and edges of a closed mesh that comes without a solid, by the angles at which its triangles meet.

A solid of the CAD kernel knows its surface normals and its edges (see :mod:`.tessellation`). Of a mesh they are worked
out: triangles that meet at less than :data:`EDGE_ANGLE_DEG` belong to one smooth face and share the normal of a corner,
those that meet at more have an edge between them. A normal is the mean of the triangles round the corner, each weighted
by its angle there and by the area of the flat that it lies in, so that a fillet does not bend the plane beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats
from ..solid import Triangles

EDGE_ANGLE_DEG = 30.0
"""Facets of round faces are seldom coarser, edges of machined parts seldom blunter (a chamfer has 45)."""
FLAT_ANGLE_DEG = 0.3
"""Triangles that meet at less lie in one plane: single precision bends small ones by about a tenth of that."""

Labels = NDArray[np.int32]


@dataclass(frozen=True)
class FacetNeighbours:
    """Where triangles of a closed surface meet: one row an edge, ``tris`` (e, 2), ``sides`` (e, 2), ``bend_deg`` (e,).

    Side ``k`` of a triangle runs from its corner ``k`` to the next; the second triangle runs along the edge backwards.
    """

    tris: NDArray[np.int64]
    sides: NDArray[np.int64]
    bend_deg: Floats
    facing: Floats
    """Unit normal of each triangle, (m, 3); zero for one without area."""
    area: Floats
    """Of each triangle, (m,), mm2."""

    def groups(self, bend_deg: float) -> Labels:
        """Return the group of each triangle, (m,): those joined by edges that bend by no more than ``bend_deg``."""
        return joined(self.tris[self.bend_deg <= bend_deg], len(self.area))


def joined(pairs: NDArray[np.int64], count: int) -> Labels:
    """Return a group number for each of ``count`` things, (count,) int32; ``pairs`` (k, 2) belong together."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(pairs), bool), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    labels: Labels = connected_components(graph, directed=False)[1].astype(np.int32)
    return labels


def neighbours(points: Floats, triangles: Triangles) -> FacetNeighbours:
    """Return how the triangles of a closed surface meet: ``points`` (n, 3) float64, ``triangles`` (m, 3).

    Raises:
        ValueError: if an edge has not exactly two triangles.
    """
    t = triangles.astype(np.int64)
    start, end = t.ravel(), t[:, [1, 2, 0]].ravel()
    key = np.minimum(start, end) * len(points) + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    ordered = key[order].reshape(-1, 2) if len(key) % 2 == 0 else np.empty((0, 2))
    if (
        not len(ordered)
        or (ordered[:, 0] != ordered[:, 1]).any()
        or (ordered[1:, 0] == ordered[:-1, 0]).any()
    ):
        raise ValueError("an edge has not exactly two triangles")
    uses = order.reshape(-1, 2)
    a, b, c = (points[t[:, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1)
    facing = across / np.maximum(length, 1e-300)[:, None]
    first, second = facing[uses[:, 0] // 3], facing[uses[:, 1] // 3]
    # From the chord, not from the cosine: that is blind to small angles.
    bend = 2.0 * np.arcsin(np.clip(np.linalg.norm(first - second, axis=1) / 2.0, 0.0, 1.0))
    return FacetNeighbours(uses // 3, uses % 3, np.degrees(bend), facing, length / 2.0)


@dataclass(frozen=True)
class Smoothed:
    """A mesh made ready to draw; fields as in :class:`.tessellation.Mesh`."""

    points: Floats
    normals: Floats
    triangles: Triangles
    face_of_triangle: Labels
    edges: tuple[Floats, ...]
    edge_normals: tuple[Floats, ...]


def smoothed(points: Floats, triangles: Triangles, edge_angle_deg: float = EDGE_ANGLE_DEG) -> Smoothed:
    """Return a closed surface with a point for every corner of every smooth face, its normals, and its sharp edges.

    Raises:
        ValueError: as :func:`neighbours`.
    """
    near = neighbours(points, triangles)
    sharp = near.bend_deg > edge_angle_deg
    corner, source = _split_corners(near, sharp, triangles)
    normals = _normals(near, points, triangles, corner, len(source))
    of_edge = np.flatnonzero(sharp)
    edges, beside = [], []
    for rows, forward in _chains(near, triangles, of_edge):
        line, either = _polyline(near, triangles, rows, forward, corner)
        edges.append(points[line])
        beside.append(normals[either])
    return Smoothed(
        points=points[source],
        normals=normals,
        triangles=corner.reshape(-1, 3).astype(np.int32),
        face_of_triangle=near.groups(edge_angle_deg),
        edges=tuple(edges),
        edge_normals=tuple(beside),
    )


def _split_corners(
    near: FacetNeighbours, sharp: NDArray[np.bool_], triangles: Triangles
) -> tuple[Labels, NDArray[np.int64]]:
    """Return the new point of each corner, (3 m,), one a smooth run round a point, and the old point of each."""
    (t1, t2), (k1, k2) = near.tris[~sharp].T, near.sides[~sharp].T
    pairs = np.concatenate(
        [
            np.stack([3 * t1 + k1, 3 * t2 + (k2 + 1) % 3], axis=1),
            np.stack([3 * t1 + (k1 + 1) % 3, 3 * t2 + k2], axis=1),
        ]
    )
    corner = joined(pairs, triangles.size)
    source = np.empty(int(corner.max()) + 1, np.int64)
    source[corner] = triangles.ravel()
    return corner, source


def _normals(
    near: FacetNeighbours, points: Floats, triangles: Triangles, corner: Labels, count: int
) -> Floats:
    flat = near.groups(FLAT_ANGLE_DEG)
    weight = (corner_angles(points, triangles) * np.bincount(flat, near.area)[flat][:, None]).ravel()
    facing = np.repeat(near.facing, 3, axis=0)
    sums = np.stack([np.bincount(corner, weight * facing[:, i], count) for i in range(3)], axis=1)
    normals: Floats = sums / np.maximum(np.linalg.norm(sums, axis=1, keepdims=True), 1e-300)
    return normals


def corner_angles(points: Floats, triangles: Triangles) -> Floats:
    """Return the angle of each triangle at each of its corners, (m, 3) float64 rad."""
    p = points[triangles]
    out = np.stack([p[:, (k + 1) % 3] - p[:, k] for k in range(3)], axis=1)
    back = -out[:, [2, 0, 1]]
    sine = np.linalg.norm(np.cross(out, back), axis=2)
    angles: Floats = np.arctan2(sine, np.einsum("ijk,ijk->ij", out, back))
    return angles


def _chains(
    near: FacetNeighbours, triangles: Triangles, sharp: NDArray[np.int64]
) -> Iterator[tuple[list[int], list[bool]]]:
    """Yield sharp edges one after another as far as they run on: rows of ``near``, and whether each is run forward.

    A run ends where more or fewer than two meet.
    """
    t, k = near.tris[sharp, 0], near.sides[sharp, 0]
    starts, ends = triangles[t, k].tolist(), triangles[t, (k + 1) % 3].tolist()
    at: dict[int, list[int]] = {}
    for n, (a, b) in enumerate(zip(starts, ends, strict=True)):
        at.setdefault(a, []).append(n)
        at.setdefault(b, []).append(n)
    waiting = dict.fromkeys(range(len(sharp)))
    # First those that begin where a run cannot go on, then the closed rings that are left.
    begun = [n for n in waiting if len(at[starts[n]]) != 2 or len(at[ends[n]]) != 2]
    for first in (*begun, *range(len(sharp))):
        if first not in waiting:
            continue
        del waiting[first]
        forward = len(at[starts[first]]) != 2 or len(at[ends[first]]) == 2
        rows, ways, here = [first], [forward], ends[first] if forward else starts[first]
        while len(at[here]) == 2:
            onward = [n for n in at[here] if n in waiting]
            if not onward:
                break
            n = onward[0]
            del waiting[n]
            rows.append(n)
            ways.append(starts[n] == here)
            here = ends[n] if starts[n] == here else starts[n]
        yield sharp[rows].tolist(), ways


def _polyline(
    near: FacetNeighbours, triangles: Triangles, rows: list[int], forward: list[bool], corner: Labels
) -> tuple[list[int], list[list[int]]]:
    """Return the points along a chain, and at each the new points on its left and on its right."""
    line: list[int] = []
    either: list[list[int]] = []
    for n, row in enumerate(rows):
        (t1, t2), (k1, k2) = near.tris[row].tolist(), near.sides[row].tolist()
        here, there = 3 * t1 + k1, 3 * t1 + (k1 + 1) % 3
        beyond_here, beyond_there = 3 * t2 + (k2 + 1) % 3, 3 * t2 + k2
        ends = [(here, beyond_here), (there, beyond_there)]
        if not forward[n]:
            ends = [(right, left) for left, right in reversed(ends)]
        for left, right in ends if n == 0 else ends[1:]:
            line.append(int(triangles.flat[left]))
            either.append([int(corner[left]), int(corner[right])])
    return line, either


__all__ = [
    "EDGE_ANGLE_DEG",
    "FLAT_ANGLE_DEG",
    "FacetNeighbours",
    "Smoothed",
    "corner_angles",
    "neighbours",
    "smoothed",
]
