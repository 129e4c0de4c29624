"""Cut-aways: solids cut by a plane through the kernel, their cut faces hatched as on a workshop drawing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from ...geometry.frame import Floats, Place, Vec3, unit
from ...geometry.meshes.closed_bodies import Body, make_manifold
from ...geometry.meshes.tessellation import Mesh, MeshError, make_mesh
from ...geometry.solid import MeshSolid, Solid
from .material_styles import ELASTOMERS
from .part_models import MESH_ANGLE_DEG

_ON_PLANE_MM = 1e-4


@dataclass(frozen=True)
class Cut:
    """A plane through ``origin`` (mm); what lies on the side that ``normal`` points to is taken away."""

    origin: Vec3
    normal: Vec3


@dataclass(frozen=True)
class Hatch:
    """Lines over a cut face: distance (mm) and slope, crossed for elastomers."""

    spacing_mm: float
    angle_deg: float = 45.0
    crossed: bool = False


def hatch_of(material: str, number: int, spacing_mm: float) -> Hatch:
    """Return the hatch of the ``number``-th part in a picture: neighbours lean to different sides."""
    angle = (45.0, 135.0, 60.0, 120.0, 30.0, 150.0)[number % 6]
    return Hatch(spacing_mm * (1.0 if number % 4 < 2 else 0.75), angle, material in ELASTOMERS)


def cut_mesh(solid: Solid, place: Place, cut: Cut, hatch: Hatch, tolerance_mm: float) -> Mesh | None:
    """Return the mesh of what a cut leaves of ``solid`` at ``place``, in the head's frame, its cut faces hatched.

    None where the cut leaves nothing.

    Raises:
        MeshError: if the kernel's cut does not give a closed surface.
    """
    if isinstance(solid, MeshSolid):
        rest = _behind(solid.moved(place), cut)
        return _hatched(make_mesh(rest, tolerance_mm, MESH_ANGLE_DEG), cut, hatch) if rest else None
    import cadquery as cq

    there = solid.moved(place.location())
    box = there.BoundingBox()
    reach = 4.0 * (box.DiagonalLength + float(np.linalg.norm(np.array(box.center.toTuple()) - cut.origin)))
    plane = cq.Plane(origin=cut.origin, normal=unit(cut.normal))
    tool = cq.Workplane(plane).rect(reach, reach).extrude(reach).val()
    left = there.cut(cast(cq.Shape, tool))
    if not left.Solids():
        return None
    return _hatched(make_mesh(left, tolerance_mm, MESH_ANGLE_DEG), cut, hatch)


def _behind(solid: MeshSolid, cut: Cut) -> MeshSolid | None:
    """Return what a cut leaves of a mesh, None where that is nothing."""
    normal = np.array(unit(cut.normal))
    whole = make_manifold(solid.points, solid.triangles.astype(np.int64))
    left = whole.trim_by_plane((-normal).tolist(), float(-normal @ np.array(cut.origin)))
    if left.is_empty():
        return None
    body = Body.of_manifold(left)
    return MeshSolid(body.points, body.triangles.astype(np.int32))


def _hatched(mesh: Mesh, cut: Cut, hatch: Hatch) -> Mesh:
    """Return ``mesh`` with hatch lines among its edges."""
    normal = np.array(unit(cut.normal))
    lines = hatch_lines(mesh, cut, hatch)
    beside = tuple(np.repeat(normal[None, None, :], 2, axis=1).repeat(len(x), axis=0) for x in lines)
    return replace(mesh, edges=(*mesh.edges, *lines), edge_normals=(*mesh.edge_normals, *beside))


def hatch_lines(mesh: Mesh, cut: Cut, hatch: Hatch) -> tuple[Floats, ...]:
    """Return the hatch of the faces of ``mesh`` that lie in the plane of ``cut``, each line (2, 3) float64."""
    import shapely

    face = _face(mesh, cut)
    if face.is_empty:
        return ()
    found: list[Floats] = []
    for angle in (hatch.angle_deg, hatch.angle_deg + 90.0) if hatch.crossed else (hatch.angle_deg,):
        for line in shapely.get_parts(
            shapely.intersection(face, _comb(face.bounds, hatch.spacing_mm, angle))
        ):
            ends = np.asarray(line.coords)
            if len(ends) >= 2 and line.length > 1e-3:
                found.append(_in_space(ends[[0, -1]], cut))
    return tuple(found)


def bearing_lines(part: Mesh, others: Iterable[Mesh], cut: Cut, near_mm: float) -> tuple[Floats, ...]:
    """Return where the cut face of ``part`` lies within ``near_mm`` of those of others: lines, (n, 3) float64 each."""
    import shapely

    own = _face(part, cut)
    found: list[Floats] = []
    for other in others:
        there = _face(other, cut)
        if own.is_empty or there.is_empty:
            continue
        met = shapely.line_merge(shapely.intersection(own.boundary, shapely.buffer(there, near_mm)))
        for line in shapely.get_parts(met):
            if line.geom_type == "LineString" and line.length > near_mm:
                found.append(_in_space(np.asarray(line.coords), cut))
    return tuple(found)


def _face(mesh: Mesh, cut: Cut) -> Any:
    """Return the faces of ``mesh`` in the plane of ``cut`` as a polygon along the plane's axes."""
    import shapely

    normal, origin = np.array(unit(cut.normal)), np.array(cut.origin)
    flat = np.abs((mesh.points - origin) @ normal) < _ON_PLANE_MM
    corners = mesh.triangles[flat[mesh.triangles].all(axis=1)]
    right, up = _axes(normal)
    xy = np.stack([(mesh.points - origin) @ right, (mesh.points - origin) @ up], axis=1)
    return shapely.union_all(shapely.buffer(shapely.polygons(xy[corners]), 1e-5))


def _in_space(xy: Floats, cut: Cut) -> Floats:
    right, up = _axes(np.array(unit(cut.normal)))
    points: Floats = np.array(cut.origin) + np.outer(xy[:, 0], right) + np.outer(xy[:, 1], up)
    return points


def _axes(normal: Floats) -> tuple[Floats, Floats]:
    other = np.eye(3)[int(np.argmin(np.abs(normal)))]
    right = np.cross(other, normal)
    right /= np.linalg.norm(right)
    return right, np.cross(normal, right)


def _comb(bounds: tuple[float, float, float, float], spacing: float, angle_deg: float) -> object:
    """Return parallel lines across ``bounds``, at multiples of ``spacing`` from the origin."""
    import shapely

    a = np.radians(angle_deg)
    along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    corners = np.array([(x, y) for x in bounds[::2] for y in bounds[1::2]])
    first, last = np.ceil((corners @ across).min() / spacing), np.floor((corners @ across).max() / spacing)
    low, high = (corners @ along).min() - 1.0, (corners @ along).max() + 1.0
    at = np.arange(first, last + 1) * spacing
    return shapely.multilinestrings([[along * low + across * c, along * high + across * c] for c in at])


__all__ = ["Cut", "Hatch", "MeshError", "bearing_lines", "cut_mesh", "hatch_lines", "hatch_of"]
