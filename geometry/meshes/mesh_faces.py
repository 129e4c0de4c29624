"""What the CAD kernel knows of a solid and a mesh has to be asked for: axes of faces, round or not, open or not.

Facets stand for round faces: what holds of the facets is said of the face, where they leave no doubt; otherwise the
answer is the one that makes more work and no wrong claim (no axis, not round).
"""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from ..frame import Floats, Vec3
from ..solid import MeshSolid
from .smoothing_groups import EDGE_ANGLE_DEG, FLAT_ANGLE_DEG, FacetNeighbours, Labels, joined, neighbours

FACET_DEG = 30.0
"""Widest facet of a round face that is taken for one; a hexagon's is 60."""
SAGITTA_MM = 0.02
"""How far a lone facet may lie off the round face that it is said to stand for: two tolerances of a proof."""
ALIKE_DEG = 0.5
"""Axes that differ by less are one."""
_SLACK_DEG = 0.5
_MOST_STRIPS = 64
_STRAIGHT = 0.005
"""How far normals of one cylinder or cone may be off their plane or cone, rad."""


def mesh_face_axes(solid: MeshSolid) -> list[tuple[Vec3, float]]:
    """Return the axes of the plane, cylindrical and conical faces of a mesh with their area, mm2; signs are arbitrary.

    A flat is a plane unless a facet of half its size or more flows into it: then both are of a round face. The axis of
    a smooth face is what its normals stand on or lean to alike; where it flows on into fillets, what its long facets
    lie along.
    """
    near = neighbours(solid.points, solid.triangles)
    flat = near.groups(FLAT_ANGLE_DEG)
    area: Floats = np.bincount(flat, near.area).astype(float)
    normal: Floats = np.stack([np.bincount(flat, near.area * near.facing[:, i]) for i in range(3)], axis=1)
    normal = normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300)
    flows = (near.bend_deg > FLAT_ANGLE_DEG) & (near.bend_deg <= EDGE_ANGLE_DEG)
    pairs = flat[near.tris[flows]].astype(np.int64)
    beside = np.zeros(len(area))
    for a, b in ((0, 1), (1, 0)):
        np.maximum.at(beside, pairs[:, a], area[pairs[:, b]])
    plane = beside < 0.5 * area
    found = [(_vec(normal[n]), float(area[n])) for n in np.flatnonzero(plane)]
    round_pairs = pairs[~plane[pairs].any(axis=1)]
    patch = joined(round_pairs, len(area))
    for number in np.unique(patch[~plane]):
        members = np.flatnonzero((patch == number) & ~plane)
        axis = _axis_of_normals(normal[members], area[members])
        if axis is not None:
            found.append((_vec(axis), float(area[members].sum())))
        else:
            found += _axes_of_strips(
                solid, near, flat, flows & (patch[flat[near.tris[:, 0]]] == number), area
            )
    return _merged(found)


def _merged(found: list[tuple[Vec3, float]]) -> list[tuple[Vec3, float]]:
    """Return axes with those that differ by no more than :data:`ALIKE_DEG` counted to the one of the largest face."""
    kept: list[tuple[Floats, float]] = []
    limit = math.cos(math.radians(ALIKE_DEG))
    for axis, area in sorted(found, key=lambda f: -f[1]):
        d = np.array(axis)
        like = next((n for n, (lead, _) in enumerate(kept) if abs(float(lead @ d)) > limit), None)
        if like is None:
            kept.append((d, area))
        else:
            kept[like] = (kept[like][0], kept[like][1] + area)
    return [(_vec(d), area) for d, area in kept]


def _vec(v: Floats) -> Vec3:
    return (float(v[0]) + 0.0, float(v[1]) + 0.0, float(v[2]) + 0.0)


def _axis_of_normals(normals: Floats, area: Floats) -> Floats | None:
    """Return the axis of a cylinder (all normals across it) or a cone (all lean to it alike), None for other faces."""
    share = area / area.sum()
    for middle, spread in ((np.zeros(3), 0.1), (share @ normals, 0.15)):
        off = normals - middle
        weight, axes = np.linalg.eigh((share[:, None] * off).T @ off)
        # Normals that hardly turn fit any axis.
        if math.sqrt(max(weight[0], 0.0)) < _STRAIGHT and math.sqrt(max(weight[1], 0.0)) > spread:
            axis: Floats = axes[:, 0]
            return axis
    return None


def _axes_of_strips(
    solid: MeshSolid, near: FacetNeighbours, flat: Labels, within: NDArray[np.bool_], area: Floats
) -> list[tuple[Vec3, float]]:
    """Return directions that long facets of a smooth face share, with the area of those facets, mm2.

    ``within`` (e,) marks the edges at which the face flows on. Long facets are those along which most of the bend runs
    one way. A direction counts that a twentieth of the face shares.
    """
    rows = np.flatnonzero(within)
    tri, side = near.tris[rows, 0], near.sides[rows, 0]
    t = solid.triangles
    edge = solid.points[t[tri, (side + 1) % 3]] - solid.points[t[tri, side]]
    bend = np.radians(near.bend_deg[rows])
    sums = np.zeros((len(area), 3, 3))
    for k in range(2):
        of = flat[near.tris[rows, k]]
        length = np.maximum(np.linalg.norm(edge, axis=1), 1e-12)
        np.add.at(sums, of, (bend / length)[:, None, None] * edge[:, :, None] * edge[:, None, :])
    members = np.unique(flat[near.tris[rows]])
    weight, axes = np.linalg.eigh(sums[members])
    long = weight[:, 2] > 0.95 * weight.sum(axis=1)
    lying, share = axes[long, :, 2], area[members[long]]
    least = 0.05 * float(area[members].sum())
    found: list[tuple[Vec3, float]] = []
    for lead in lying[np.argsort(-share, kind="stable")[:_MOST_STRIPS]]:
        alike = np.abs(lying @ lead) > math.cos(math.radians(ALIKE_DEG))
        if share[alike].sum() > least and not any(abs(float(lead @ f)) > 0.99 for f, _ in found):
            found.append((_vec(lead), float(share[alike].sum())))
    return found


def is_round_mesh(solid: MeshSolid) -> bool:
    """Return whether a mesh is round about its own Z axis, its facets standing for turned faces.

    Each facet's normal has to point to or from the axis within the facet's own width, and facets of one ring have to be
    much of one width: a wider one is a flat, unless it lies within :data:`SAGITTA_MM` of the round.
    """
    p = solid.points[solid.triangles]
    across = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    length = np.linalg.norm(across, axis=1)
    level = np.linalg.norm(across[:, :2], axis=1) < 1e-4 * np.maximum(length, 1e-300)
    p, across = p[~level], across[~level]
    if not len(p):
        return False
    radius = np.linalg.norm(p[:, :, :2], axis=2)
    reach = float(radius.max())
    angle = np.degrees(np.arctan2(p[:, :, 1], p[:, :, 0]))
    # A corner on the axis has no direction of its own: it takes that of the farthest one.
    lead = np.argmax(radius, axis=1)
    first = angle[np.arange(len(p)), lead]
    off = np.where(radius > 1e-6 * reach, (angle - first[:, None] + 180.0) % 360.0 - 180.0, 0.0)
    low, high = off.min(axis=1), off.max(axis=1)
    width = high - low
    if width.max() > FACET_DEG + _SLACK_DEG:
        return False
    facing = np.degrees(np.arctan2(across[:, 1], across[:, 0])) - first
    facing = (facing - (low + high) / 2 + 90.0) % 180.0 - 90.0  # outwards or inwards alike
    if (np.abs(facing) > width / 2 + _SLACK_DEG).any():
        return False
    sagitta = radius.max(axis=1) * (1.0 - np.cos(np.radians(width / 2)))
    return bool((sagitta <= SAGITTA_MM).all()) or _even(p, radius, width, sagitta, reach)


def _even(p: Floats, radius: Floats, width: Floats, sagitta: Floats, reach: float) -> bool:
    """Return whether facets between the same two circles are much of one width, but for those within the sagitta.

    A mesher that puts one row of facets against another of half as many makes some twice as wide as others.
    """
    heights = p[:, :, 2]
    keys = np.stack(
        [radius.min(axis=1), radius.max(axis=1), heights.min(axis=1), heights.max(axis=1)], axis=1
    )
    _, ring = np.unique(np.round(keys / (1e-5 * reach)).astype(np.int64), axis=0, return_inverse=True)
    ring = ring.ravel()
    least = np.full(ring.max() + 1, np.inf)
    np.minimum.at(least, ring, width)
    return bool(((width <= 2.0 * least[ring] + _SLACK_DEG) | (sagitta <= SAGITTA_MM)).all())


def holds_point(manifold: m3.Manifold, point: Vec3, size_mm: float = 1e-3) -> bool:
    """Return whether a point (mm) lies inside a closed mesh: whether it holds most of a small cube about it."""
    cube = m3.Manifold.cube((size_mm,) * 3, True).translate(point)
    return float((manifold ^ cube).volume()) > 0.5 * size_mm**3


__all__ = ["FACET_DEG", "SAGITTA_MM", "holds_point", "is_round_mesh", "mesh_face_axes"]
