"""Overlaps and gaps between placed solids: exact booleans on closed meshes, the CAD kernel to confirm.

A mesh stays within its tolerance of the solid, so that an overlap no deeper than the tolerance may be the
facets' and not the parts': it counts as contact. Fits carry real clearances of 0.02 mm and more, twice that.

Booleans multiply winding numbers: the volume of ``a ^ b`` is the integral of the product of both, also where
one of the meshes passes through itself (after J. M. Smith, *Towards robust inexact geometric computation*,
2009, the algorithm of the boolean library). The sweeps of :mod:`.sweeps` rest on that; the tests show it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from .assembly import Assembly, Part
from .frame import Floats, Place, Vec3
from .meshes import Mesh, MeshError, mesh_of, mesh_of_shape

if TYPE_CHECKING:
    import cadquery as cq

Indices = NDArray[np.int64]
Box = tuple[Floats, Floats]
"""Lower and upper corner, (3,) float64 each, mm."""
Role = Literal["free", "core", "passing"]
"""Shape of an elastic part: free, pressed in its place, on its way. A rigid part has only one."""

STILL = Place()
TOLERANCE_MM = 0.01
"""How far a proof mesh may be off its solid: half the least clearance of a fit."""
LEAST_VOLUME_MM3 = 1e-4
"""Touching faces leave 1e-12 mm3 by rounding; 0.01 mm deep on 0.1 mm x 0.1 mm fills this."""


class OverlapError(ValueError):
    """A mesh that booleans cannot work with; every answer from it would be a silent 'clear'."""


def check_manifold(manifold: m3.Manifold, name: str = "the mesh") -> None:
    """Check that booleans can work with ``manifold``.

    Raises:
        OverlapError: if its status is not NoError, or it is empty or encloses nothing.
    """
    if manifold.status() != m3.Error.NoError:
        raise OverlapError(f"{name}: not a closed surface for booleans ({manifold.status().name})")
    if manifold.is_empty() or not manifold.volume() > 0:
        raise OverlapError(f"{name}: empty, nothing could ever touch it")


def make_manifold(points: Floats, triangles: Indices, name: str = "the mesh") -> m3.Manifold:
    """Return the manifold of a closed surface: ``points`` (n, 3) float64 mm, ``triangles`` (m, 3).

    Raises:
        OverlapError: as :func:`check_manifold`.
    """
    mesh = m3.Mesh64(np.array(points, float, order="C"), np.array(triangles, np.uint64, order="C"))
    manifold = m3.Manifold(mesh)
    check_manifold(manifold, name)
    return manifold


def matrix34(place: Place) -> Floats:
    """Return ``place`` as the (3, 4) float64 matrix that the boolean library takes."""
    return place.matrix()[:3, :]


def box_of(manifold: m3.Manifold) -> Box:
    """Return the bounding box of ``manifold``."""
    b = manifold.bounding_box()
    return np.array(b[:3], float), np.array(b[3:], float)


def boxes_meet(a: Box, b: Box, reach_mm: float = 0.0) -> bool:
    """Return whether two boxes come within ``reach_mm`` of each other along every axis."""
    return bool((a[0] <= b[1] + reach_mm).all() and (b[0] <= a[1] + reach_mm).all())


@dataclass(frozen=True)
class Overlap:
    """Where two solids share space."""

    volume_mm3: float
    depth_mm: float
    """Mean thickness of its thickest piece, twice the volume over the surface: that of a film or ring."""
    at: Vec3
    """Middle of that piece's bounding box, mm."""


def overlap(a: m3.Manifold, b: m3.Manifold, tolerance_mm: float = TOLERANCE_MM) -> Overlap | None:
    """Return the overlap of ``a`` and ``b``, None where they are clear or touch no deeper than the tolerance.

    Raises:
        OverlapError: if the boolean fails.
    """
    shared = a ^ b
    if shared.status() != m3.Error.NoError:
        raise OverlapError(f"a boolean failed ({shared.status().name})")
    if shared.is_empty() or shared.volume() < LEAST_VOLUME_MM3:
        return None
    best = max(_pieces(shared, tolerance_mm), key=_depth)
    if _depth(best) <= tolerance_mm:
        return None
    low, high = box_of(best)
    mid = (low + high) / 2
    return Overlap(float(shared.volume()), _depth(best), (float(mid[0]), float(mid[1]), float(mid[2])))


def _depth(piece: m3.Manifold) -> float:
    area = piece.surface_area()
    return 2.0 * float(piece.volume()) / area if area > 0 else 0.0


def _pieces(shared: m3.Manifold, tolerance_mm: float) -> Iterable[m3.Manifold]:
    """Yield the connected pieces of an overlap, thin ones cut small.

    A film of facets can hang together with a real overlap and thin its mean; cut into cells, that one shows.
    """
    for piece in shared.decompose() or [shared]:
        yield piece
        if piece.volume() > LEAST_VOLUME_MM3 and _depth(piece) <= tolerance_mm:
            yield from _cells(piece, tolerance_mm, 3)


def _cells(piece: m3.Manifold, tolerance_mm: float, rounds: int) -> Iterable[m3.Manifold]:
    low, high = box_of(piece)
    axis = int(np.argmax(high - low))
    # A film all over is thinner than the tolerance wherever it is cut: stop when a cell could not hold more.
    if rounds == 0 or float(np.prod(high - low)) < LEAST_VOLUME_MM3:
        return
    normal = [0.0, 0.0, 0.0]
    normal[axis] = 1.0
    rest = piece
    for cut in np.linspace(high[axis], low[axis], 7)[1:]:
        cell, rest = rest.split_by_plane(normal, float(cut))
        if cell.volume() > LEAST_VOLUME_MM3:
            yield cell
            if _depth(cell) <= tolerance_mm:
                yield from _cells(cell, tolerance_mm, rounds - 1)


def gap(a: m3.Manifold, b: m3.Manifold, reach_mm: float) -> float:
    """Return the smallest distance of two solids clear of each other, mm, no more than ``reach_mm``."""
    return float(a.min_gap(b, reach_mm))


def cropped(manifold: m3.Manifold, box: Box) -> m3.Manifold:
    """Return what of ``manifold`` lies in ``box``; may be empty."""
    size = np.maximum(box[1] - box[0], 1e-6)
    return manifold ^ m3.Manifold.cube(tuple(size.tolist())).translate(tuple(box[0].tolist()))


@dataclass(frozen=True, eq=False)
class Body:
    """A closed mesh in its own frame: ``points`` (n, 3) float64 mm, ``triangles`` (m, 3) int64."""

    points: Floats
    triangles: Indices
    name: str = "the mesh"

    @classmethod
    def of_mesh(cls, mesh: Mesh, name: str) -> Body:
        """Return the body of a solid's mesh."""
        return cls(mesh.joined_points, mesh.joined_triangles.astype(np.int64), name)

    @classmethod
    def of_manifold(cls, manifold: m3.Manifold, name: str = "the mesh") -> Body:
        """Return the body of a boolean's result."""
        mesh = manifold.to_mesh64()
        points = np.array(mesh.vert_properties, float)[:, :3].copy()
        triangles = np.array(mesh.tri_verts, np.int64)
        if len(mesh.merge_from_vert):
            to = np.arange(len(points))
            to[np.asarray(mesh.merge_from_vert)] = np.asarray(mesh.merge_to_vert)
            triangles = to[triangles]
        return cls(points, triangles, name)

    @cached_property
    def manifold(self) -> m3.Manifold:
        """The same as a manifold.

        Raises:
            OverlapError: as :func:`check_manifold`.
        """
        return make_manifold(self.points, self.triangles, self.name)

    @cached_property
    def facings(self) -> Floats:
        """Outward normals, as long as twice the triangle's area, (m, 3) float64."""
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        facing: Floats = np.cross(b - a, c - a)
        return facing

    @cached_property
    def sides(self) -> tuple[Indices, Indices, Indices]:
        """Start and end corner of each triangle's sides and the triangle beyond, (3 m,) int64, side-major."""
        t = self.triangles
        start, end = t.T.ravel(), t[:, [1, 2, 0]].T.ravel()
        span = np.int64(len(self.points))
        there, back = start * span + end, end * span + start
        # Sorted alike, the k-th side there meets the k-th side back, also where several share two corners.
        a, b = np.argsort(there, kind="stable"), np.argsort(back, kind="stable")
        if not np.array_equal(there[a], back[b]):
            raise OverlapError(f"{self.name}: not a closed surface")
        beyond = np.empty(len(start), np.int64)
        beyond[b] = a % len(t)
        return start, end, beyond


class Bodies:
    """The bodies of an assembly in their roles, made once and shared by twins.

    ``tolerance_mm`` bounds how far a mesh is off its solid.
    """

    def __init__(self, assembly: Assembly, tolerance_mm: float = TOLERANCE_MM) -> None:
        self.assembly = assembly
        self.tolerance_mm = tolerance_mm
        self._own: dict[tuple[int, str], Body] = {}
        self._placed: dict[tuple[str, Role, Place], m3.Manifold] = {}
        self._boxes: dict[tuple[str, Role, Place], Box] = {}

    def own(self, key: str, role: Role = "free") -> Body:
        """Return the body of part ``key`` in its own frame.

        Raises:
            OverlapError: if its mesh is not fit for booleans.
            MeshError: if it cannot be meshed.
        """
        part = self.assembly.part(key)
        shape, what = _shape_of(part, role)
        at = (id(shape), "")
        if at not in self._own:
            name = f"{part.key} ({part.name}{what})"
            if shape is part.solid:
                mesh = mesh_of(part, self.tolerance_mm)
            else:
                try:
                    mesh = mesh_of_shape(shape, self.tolerance_mm)
                except MeshError as error:
                    raise MeshError(f"{name}: {error}") from error
            self._own[at] = Body.of_mesh(mesh, name)
        return self._own[at]

    def placed(self, key: str, role: Role = "free", motion: Place = STILL) -> m3.Manifold:
        """Return the manifold of part ``key`` in its place, carried further by ``motion``."""
        at = (key, role, motion)
        if at not in self._placed:
            place = motion @ self.assembly.part(key).place
            self._placed[at] = self.own(key, role).manifold.transform(matrix34(place))
        return self._placed[at]

    def box(self, key: str, role: Role = "free", motion: Place = STILL) -> Box:
        """Return the bounding box of :meth:`placed`."""
        at = (key, role, motion)
        if at not in self._boxes:
            self._boxes[at] = box_of(self.placed(key, role, motion))
        return self._boxes[at]

    def box_of_all(self, keys: Iterable[str]) -> Box:
        """Return the box round the free shapes of all ``keys`` in place."""
        boxes = [self.box(k) for k in keys]
        return np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)


def _shape_of(part: Part, role: Role) -> tuple[cq.Shape, str]:
    if part.elastic is None or role == "free":
        return part.solid, ""
    if role == "passing" and part.elastic.passing is not None:
        return part.elastic.passing, ", on its way"
    return part.elastic.core, ", pressed in"


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
