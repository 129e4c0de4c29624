"""Overlaps and gaps between placed solids: exact booleans on closed meshes, the CAD kernel to confirm.

A mesh stays within its tolerance of the solid, so that an overlap no deeper than the tolerance may be the
facets' and not the parts': it counts as contact. Fits carry real clearances of 0.02 mm and more, twice that.

Booleans multiply winding numbers: the volume of ``a ^ b`` is the integral of the product of both, also where
one of the meshes passes through itself (after J. M. Smith, *Towards robust inexact geometric computation*,
2009, the algorithm of the boolean library). The sweeps of :mod:`.sweeps` rest on that; the tests show it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import manifold3d as m3
import numpy as np

from ..frame import Floats, Vec3
from .closed_bodies import (
    FREE_TOLERANCE,
    LEAST_VOLUME_MM3,
    STILL,
    TOLERANCE_MM,
    Bodies,
    Body,
    Box,
    Indices,
    OverlapError,
    Role,
    box_of,
    boxes_meet,
    check_manifold,
    cropped,
    make_manifold,
    matrix34,
)

if TYPE_CHECKING:
    import cadquery as cq


@dataclass(frozen=True)
class Overlap:
    """Where two solids share space."""

    volume_mm3: float
    depth_mm: float
    """Mean thickness of its thickest piece, twice the volume over the surface: that of a film or ring."""
    at: Vec3
    """Middle of that piece's bounding box, mm."""
    low: Vec3
    """Lower corner of the box round all of it."""
    high: Vec3
    """Upper corner of that box."""


def overlap(
    a: m3.Manifold,
    b: m3.Manifold,
    tolerance_mm: float = TOLERANCE_MM,
    drawn_in: Callable[[], m3.Manifold] | None = None,
) -> Overlap | None:
    """Return the overlap of ``a`` and ``b``, None where they are clear or touch no deeper than the tolerance.

    Thin overlaps are looked at twice: with the surface of ``b`` drawn in by the tolerance, a mere film of facets is
    gone, and what is left of a real overlap shows, also where a film hangs on it. ``drawn_in`` gives that ``b``
    where the caller keeps it.

    Raises:
        OverlapError: if the boolean fails.
    """
    shared = _boolean(a, b)
    if shared.is_empty() or shared.volume() < LEAST_VOLUME_MM3:
        return None
    best = _thickest(shared)
    if _depth(best) <= tolerance_mm:
        left = _boolean(a, drawn_in() if drawn_in else offset(b, -tolerance_mm))
        if left.is_empty() or left.volume() < LEAST_VOLUME_MM3:
            return None
        shared, best = left, _thickest(left)
        depth = _depth(best) + tolerance_mm
    else:
        depth = _depth(best)
    (low, high), (a0, a1) = box_of(best), box_of(shared)
    return Overlap(float(shared.volume()), depth, _vec((low + high) / 2), _vec(a0), _vec(a1))


def _vec(v: Floats) -> Vec3:
    return (float(v[0]), float(v[1]), float(v[2]))


def meets(
    a: m3.Manifold,
    b: m3.Manifold,
    tolerance_mm: float = TOLERANCE_MM,
    drawn_in: Callable[[], m3.Manifold] | None = None,
) -> bool:
    """Return whether :func:`overlap` would find one, without measuring it."""
    shared = _boolean(a, b)
    if shared.is_empty() or shared.volume() < LEAST_VOLUME_MM3:
        return False
    if _depth(shared) > tolerance_mm:
        return True
    if max(map(_depth, shared.decompose()), default=0.0) > tolerance_mm:
        return True
    left = _boolean(a, drawn_in() if drawn_in else offset(b, -tolerance_mm))
    return not left.is_empty() and float(left.volume()) >= LEAST_VOLUME_MM3


def driven_in(
    way: m3.Manifold,
    other: m3.Manifold,
    along: Floats,
    tolerance_mm: float,
    drawn_in: Callable[[], m3.Manifold],
) -> float | None:
    """Return how far along a unit direction the longest piece reaches that :func:`overlap` would find, mm, else None.

    A film no deeper than the tolerance counts for nothing, also where it is long.
    """
    shared = _boolean(way, other)
    if shared.is_empty() or shared.volume() < LEAST_VOLUME_MM3:
        return None
    pieces = [p for p in shared.decompose() if p.volume() >= LEAST_VOLUME_MM3 and _depth(p) > tolerance_mm]
    if not pieces:
        left = _boolean(way, drawn_in())
        if left.is_empty() or left.volume() < LEAST_VOLUME_MM3:
            return None
        pieces = left.decompose()
    return max(float(np.abs(along) @ np.subtract(*reversed(box_of(p)))) for p in pieces)


def _boolean(a: m3.Manifold, b: m3.Manifold) -> m3.Manifold:
    shared = a ^ b
    if shared.status() != m3.Error.NoError:
        raise OverlapError(f"a boolean failed ({shared.status().name})")
    return shared


def _depth(piece: m3.Manifold) -> float:
    area = piece.surface_area()
    return 2.0 * float(piece.volume()) / float(area) if area > 0 else 0.0


def _thickest(shared: m3.Manifold) -> m3.Manifold:
    pieces = [p for p in shared.decompose() if p.volume() >= LEAST_VOLUME_MM3]
    return max(pieces, key=_depth, default=shared)


def offset(manifold: m3.Manifold, by_mm: float) -> m3.Manifold:
    """Return ``manifold`` with its surface moved outwards by ``by_mm`` (inwards where negative).

    Every corner moves so that the faces beside it move by ``by_mm`` (least squares where more than three meet), at
    needle-sharp ones at most three times that. Meant for a few hundredths of a millimetre; walls thinner than twice
    that turn inside out and count less.
    """
    body = Body.of_manifold(manifold)
    t, facings = body.triangles, body.facings
    length = np.linalg.norm(facings, axis=1)
    real = length > 1e-12
    t, faces = t[real], facings[real] / length[real, None]
    count = len(body.points)
    corner, face = t.T.ravel(), np.tile(faces, (3, 1))
    sums = np.stack([np.bincount(corner, face[:, i], count) for i in range(3)], axis=1)
    squares = np.empty((count, 3, 3))
    for i in range(3):
        for j in range(i, 3):
            squares[:, i, j] = squares[:, j, i] = np.bincount(corner, face[:, i] * face[:, j], count)
    # Directions in which no face looks stay put: along an edge, in the plane of a flat.
    weight, axes = np.linalg.eigh(squares)
    inverse = np.where(weight > 0.01 * weight[:, 2:], 1.0 / np.maximum(weight, 1e-30), 0.0)
    out = np.einsum("nik,nk,njk,nj->ni", axes, inverse, axes, sums)
    far = np.linalg.norm(out, axis=1, keepdims=True)
    moved = body.points + by_mm * out * np.minimum(1.0, 3.0 / np.maximum(far, 1e-30))
    return m3.Manifold(m3.Mesh64(moved, np.array(body.triangles, np.uint64)))


def gap(a: m3.Manifold, b: m3.Manifold, reach_mm: float) -> float:
    """Return the smallest distance of two solids clear of each other, mm, no more than ``reach_mm``.

    The library weighs every pair of triangles within reach, so a short reach is tried first: what it finds is least.
    """
    reach = min(_NEAR_MM, reach_mm)
    while (found := float(a.min_gap(b, reach))) >= reach < reach_mm:
        reach = min(_WIDER * reach, reach_mm)
    return found


_NEAR_MM = 0.06
"""Fits are about this loose."""
_WIDER = 6.0


@dataclass(frozen=True)
class Clash:
    """Two parts of an assembly that overlap in place."""

    part: str
    other: str
    overlap: Overlap


def clashes(bodies: Bodies, keys: Iterable[str] | None = None) -> list[Clash]:
    """Return every pair of parts that overlap in place; elastic parts count pressed in by their squeeze.

    Raises:
        OverlapError: if a mesh is not fit for booleans.
    """
    found = []
    for a, b in itertools.combinations(list(keys or bodies.assembly.parts), 2):
        if boxes_meet(bodies.box(a, "core"), bodies.box(b, "core")):
            shared = overlap(bodies.placed(a, "core"), bodies.placed(b, "core"), bodies.tolerance_mm)
            if shared:
                found.append(Clash(a, b, shared))
    return found


def kernel_overlap_mm3(a: cq.Shape, b: cq.Shape) -> float:
    """Return the volume that two placed solids share, from the CAD kernel's exact boolean, mm3.

    Raises:
        OverlapError: if the kernel's boolean fails.
    """
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    common = BRepAlgoAPI_Common(a.wrapped, b.wrapped)
    if not common.IsDone():
        raise OverlapError("the CAD kernel's boolean failed")
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(common.Shape(), properties)
    return float(properties.Mass())


def kernel_gap_mm(a: cq.Shape, b: cq.Shape) -> float:
    """Return the exact smallest distance of two placed solids, mm, 0 where they touch or overlap.

    Raises:
        OverlapError: if the kernel finds no answer.
    """
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    distance = BRepExtrema_DistShapeShape(a.wrapped, b.wrapped)
    if not distance.IsDone():
        raise OverlapError("the CAD kernel found no distance")
    return float(distance.Value())


def alike(a: m3.Manifold, b: m3.Manifold, tolerance_mm: float = TOLERANCE_MM) -> bool:
    """Return whether two solids fill the same space, but for two tolerances of surface.

    Facets of one round face lie differently once it is turned; each mesh is off by up to a tolerance.
    """
    for one, other in ((a, b), (b, a)):
        rest = one - offset(other, 2 * tolerance_mm)
        if not rest.is_empty() and rest.volume() > LEAST_VOLUME_MM3:
            return False
    return True


__all__ = [
    "FREE_TOLERANCE",
    "LEAST_VOLUME_MM3",
    "STILL",
    "TOLERANCE_MM",
    "Bodies",
    "Body",
    "Box",
    "Clash",
    "Indices",
    "Overlap",
    "OverlapError",
    "Role",
    "alike",
    "box_of",
    "boxes_meet",
    "check_manifold",
    "clashes",
    "cropped",
    "driven_in",
    "gap",
    "kernel_gap_mm",
    "kernel_overlap_mm3",
    "make_manifold",
    "matrix34",
    "meets",
    "offset",
    "overlap",
]
