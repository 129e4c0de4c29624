"""Closed meshes of parts for booleans: made once, shared by twins, refused where a boolean could go wrong in silence.

The boolean library answers an unfit mesh with nothing at all, which would read as 'clear'; so each one is checked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from ..assembly import Assembly, Part
from ..frame import Floats, Place
from ..solid import MeshSolid, Solid, box_mm
from .mesh_faces import holds_point, is_round_mesh
from .tessellation import Mesh, MeshError, closed_surface

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
ELASTIC_TOLERANCE = 2
"""Times the tolerance for meshes of elastic parts pressed in or on their way."""
PROOF_ANGLE_DEG = 30.0
"""Facet to facet at most: coarser than for pictures, since a proof rests on the distance from the solid alone."""
FREE_TOLERANCE = 8
"""Times the tolerance for elastic parts in their free shape, which only tells whom they touch."""
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
        OverlapError: as :func:`check_manifold`, or if the library has altered the surface: it merges what it takes
            for flat, which changes the volume where a surface folds back on itself.
    """
    mesh = m3.Mesh64(np.array(points, float, order="C"), np.array(triangles, np.uint64, order="C"))
    manifold = m3.Manifold(mesh)
    check_manifold(manifold, name)
    corners = (points - points[0])[triangles]
    whole = float(np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum()) / 6.0
    if abs(float(manifold.volume()) - whole) > 1e-7 * abs(whole) + 1e-6:
        raise OverlapError(f"{name}: the boolean library altered its surface")
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

    ``tolerance_mm`` bounds how far a mesh is off its solid, for elastic parts :data:`ELASTIC_TOLERANCE` times that.
    """

    def __init__(self, assembly: Assembly, tolerance_mm: float = TOLERANCE_MM) -> None:
        self.assembly = assembly
        self.tolerance_mm = tolerance_mm
        self._own: dict[tuple[int, float], Body] = {}
        self._round: dict[int, bool] = {}
        self._open: dict[int, bool | None] = {}
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
        # An elastic part's core keeps farther from the walls than this, and bends to them anyway.
        coarse = self.tolerance_mm
        if part.elastic:
            coarse *= FREE_TOLERANCE if shape is part.solid else ELASTIC_TOLERANCE
        at = (id(shape), coarse)
        if at not in self._own:
            name = f"{part.key} ({part.name}{what})"
            try:
                points, triangles = closed_surface(shape, coarse, PROOF_ANGLE_DEG)
            except MeshError as error:
                raise MeshError(f"{name}: {error}") from error
            self._own[at] = Body(points, triangles.astype(np.int64), name)
        return self._own[at]

    @cached_property
    def volume_mm3(self) -> float:
        """Volume of all parts together."""
        return sum(float(self.own(p.key).manifold.volume()) for p in self.assembly)

    def round_about_z(self, key: str) -> bool:
        """Return :func:`is_round` of part ``key``, worked out once for twins."""
        part = self.assembly.part(key)
        if id(part.solid) not in self._round:
            self._round[id(part.solid)] = is_round(part)
        return self._round[id(part.solid)]

    def open_about_z(self, key: str) -> bool | None:
        """Return :func:`is_open_about_z` of part ``key``, worked out once for twins."""
        part = self.assembly.part(key)
        if id(part.solid) not in self._open:
            self._open[id(part.solid)] = is_open_about_z(part)
        return self._open[id(part.solid)]

    def placed(self, key: str, role: Role = "free", motion: Place = STILL) -> m3.Manifold:
        """Return the manifold of part ``key`` in its place, carried further by ``motion``."""
        at = (key, self._role(key, role), motion)
        if at not in self._placed:
            place = motion @ self.assembly.part(key).place
            self._placed[at] = self.own(key, role).manifold.transform(matrix34(place))
        return self._placed[at]

    def box(self, key: str, role: Role = "free", motion: Place = STILL) -> Box:
        """Return the bounding box of :meth:`placed`, without carrying the manifold there.

        Raises:
            OverlapError, MeshError: as :meth:`own`.
        """
        at = (key, self._role(key, role), motion)
        if at not in self._boxes:
            own = self.own(key, role)
            check_manifold(own.manifold, own.name)  # also of what nothing comes near
            points = (motion @ self.assembly.part(key).place).points(own.points)
            self._boxes[at] = points.min(axis=0), points.max(axis=0)
        return self._boxes[at]

    def _role(self, key: str, role: Role) -> Role:
        """Return ``role``, a rigid part having only one."""
        return role if self.assembly.part(key).elastic else "free"

    def box_of_all(self, keys: Iterable[str]) -> Box:
        """Return the box round the free shapes of all ``keys`` in place."""
        boxes = [self.box(k) for k in keys]
        return np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)


def is_round(part: Part) -> bool:
    """Return whether every face of a solid turns into itself about the part's own Z axis, as the CAD kernel knows it.

    Free-form faces say no, also where they happen to be round. Of a mesh its facets are asked, see :mod:`.mesh_faces`.
    """
    if isinstance(part.solid, MeshSolid):
        return is_round_mesh(part.solid)
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    for face in part.solid.Faces():
        surface = BRepAdaptor_Surface(face.wrapped)
        kind = face.geomType()
        if kind == "SPHERE":
            centre = surface.Sphere().Location()
            if math.hypot(centre.X(), centre.Y()) > 1e-6:
                return False
            continue
        if kind not in ("PLANE", "CYLINDER", "CONE", "TORUS"):
            return False
        form = {
            "PLANE": surface.Plane,
            "CYLINDER": surface.Cylinder,
            "CONE": surface.Cone,
            "TORUS": surface.Torus,
        }[kind]()
        direction = form.Axis().Direction()
        if abs(direction.Z()) < 1 - 1e-9:
            return False
        if kind == "PLANE":
            if not all(_round_edge(e) for e in face.Edges()):
                return False
        elif math.hypot(form.Location().X(), form.Location().Y()) > 1e-6:
            return False
    return True


def is_open_about_z(part: Part) -> bool | None:
    """Return whether a part is open about its own Z axis (a nut) or not (a bolt).

    None where the part does not lie about that axis.

    Raises:
        OverlapError: if it is a mesh that booleans cannot work with.
    """
    low, high = box_mm(part.solid)
    x, y, z = ((low + high) / 2).tolist()
    if math.hypot(x, y) > 0.15 * float((high - low)[:2].max()):
        return None
    if isinstance(part.solid, MeshSolid):
        solid = part.solid
        return not holds_point(make_manifold(solid.points, solid.triangles.astype(np.int64)), (0.0, 0.0, z))
    return not any(s.isInside((0.0, 0.0, z)) for s in part.solid.Solids())


def _round_edge(edge: cq.Edge) -> bool:
    if edge.geomType() != "CIRCLE":
        return False
    centre = edge.arcCenter()
    return edge.IsClosed() and math.hypot(centre.x, centre.y) < 1e-6


def _shape_of(part: Part, role: Role) -> tuple[Solid, str]:
    if part.elastic is None or role == "free":
        return part.solid, ""
    if role == "passing" and part.elastic.passing is not None:
        return part.elastic.passing, ", on its way"
    return part.elastic.core, ", pressed in"
