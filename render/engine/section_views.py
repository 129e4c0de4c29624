"""Section views: parts cut open along a plane, the cut faces capped and hatched by material.

The cut is made on the mesh, which has the surface's exact normals already: the boolean library caps it in a thousandth
of the time that the CAD kernel takes, and the picture is the same to the pixel's width (the mesh is as fine as the
picture). Shafts, screws and whatever else is solid along the axis that a section follows can stay whole, as drawing
practice has it (ISO 128-3).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Ints, Mesh
from .hatching import Hatch, hatch_lines, hatch_of
from .part_models import PartModel

SHEATHED = frozenset({"ptfe-encapsulated"})
SHEATH_SHARE = 0.16
"""Thickness of the sheath round a core, as a share of the section: drawn thicker than it is, so that it is seen."""
ABOUT_AXIS = 0.08
"""A part lies about an axis that runs no farther from its middle than this share of its reach."""
_ON_PLANE = 1e-4
"""Points nearer to the plane than this share of the mesh's reach lie on it."""


@dataclass(frozen=True)
class CuttingPlane:
    """A cutting plane in the assembly's frame: what lies in front of it (along ``normal``) is taken away."""

    point: Vec3
    """A point of the plane, mm."""
    normal: Vec3
    """Unit vector."""
    axis: Vec3 | None = None
    """Direction of an axis through ``point`` in the plane: what is solid along it stays whole. None cuts everything."""


def cut_model(
    model: PartModel, place: Place, plane: CuttingPlane, spacing_mm: float, number: int, key: str
) -> PartModel | None:
    """Return ``model`` (in ``place``) cut by ``plane``, under ``key``; itself where it is not cut, None where all of it
    is taken away.

    ``spacing_mm`` is the common distance of hatch lines, ``number`` the part's in :func:`.hatching.hatch_of`. Corners
    in front of the plane stay in the mesh, used by no triangle; :func:`remaining_points` are the others.
    """
    mesh, back = model.mesh, place.inverse()
    normal, point = np.array(back.direction(plane.normal)), np.array(back.point(plane.point))
    offset = float(normal @ point)
    heights = mesh.joined_points @ normal - offset
    tiny = _ON_PLANE * mesh.reach_mm
    if heights.max() < tiny:
        return replace(model, key=key)
    if heights.min() > -tiny:
        return None
    caps = _caps(mesh, normal, offset)
    if plane.axis is not None and _solid_along(caps, point, np.array(back.direction(plane.axis)), mesh):
        return replace(model, key=key)
    cut = _cut_mesh(mesh, normal, offset, caps)
    core = caps
    if model.material in SHEATHED:
        core = replace(caps, shape=caps.shape.buffer(-SHEATH_SHARE * _section_mm(caps)))
        rings = [core.in_space(ring) for ring in _rings(core.shape)]
        sides = [np.tile(np.stack([normal, -normal]), (len(r), 1, 1)) for r in rings]
        cut = replace(cut, edges=(*cut.edges, *rings), edge_normals=(*cut.edge_normals, *sides))
    hatch = _hatch(core, hatch_of(model.material, number), spacing_mm)
    return replace(model, key=key, mesh=cut, hatch=hatch)


def _section_mm(caps: _Caps) -> float:
    """Return how thick the thickest of the cut faces is, mm."""
    parts = [p for p in getattr(caps.shape, "geoms", [caps.shape]) if not p.is_empty]
    return max((2 * float(np.sqrt(p.area / np.pi)) for p in parts), default=0.0)


def remaining_points(model: PartModel, place: Place) -> Floats:
    """Return the corners of what a cut has left of ``model``, (n, 3) float64 mm, the assembly's frame."""
    return place.points(model.mesh.points[np.unique(model.mesh.triangles)])


def cut_face(model: PartModel, place: Place, plane: CuttingPlane) -> Floats:
    """Return the triangles of a cut model that lie in the plane, (k, 3, 3) float64 mm, the assembly's frame."""
    points = place.points(model.mesh.points)
    height = np.abs((points - np.array(plane.point)) @ np.array(plane.normal))
    flat = height < _ON_PLANE * model.mesh.reach_mm
    corners: Floats = points[model.mesh.triangles[flat[model.mesh.triangles].all(axis=1)]]
    return corners


def bearing_lines(
    own: Floats, others: Iterable[Floats], plane: CuttingPlane, near_mm: float, tilt_mm: float
) -> tuple[Floats, ...]:
    """Return where the cut face ``own`` bears on other cut faces: lines, (n, 3) float64 mm each.

    Faces are as of :func:`cut_face`. It bears on those that come within ``near_mm`` of it, where they are within
    ``tilt_mm`` of as near as they come: of a face that lies at an angle only the edge bears.
    """
    import shapely

    face = _as_shape(own, plane)
    found: list[Floats] = []
    for other in others:
        there = _as_shape(other, plane)
        if face.is_empty or there.is_empty or (gap := shapely.distance(face, there)) > near_mm:
            continue
        met = shapely.intersection(face.boundary, shapely.buffer(there, gap + tilt_mm))
        for line in shapely.get_parts(shapely.line_merge(met)):
            if line.geom_type == "LineString" and line.length > tilt_mm:
                along, up = _plane_axes(np.array(plane.normal))
                at = np.asarray(line.coords)
                found.append(np.array(plane.point) + np.outer(at[:, 0], along) + np.outer(at[:, 1], up))
    return tuple(found)


def _as_shape(face: Floats, plane: CuttingPlane) -> Any:
    """Return triangles in the plane as one shape along the plane's axes from its point."""
    import shapely

    axes = np.stack(_plane_axes(np.array(plane.normal)), axis=1)
    return shapely.union_all(shapely.buffer(shapely.polygons((face - np.array(plane.point)) @ axes), 1e-5))


def _plane_axes(normal: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors along a plane, right-handed with its normal."""
    helper = np.eye(3)[int(np.argmin(np.abs(normal)))]
    along = np.cross(helper, normal)
    along /= np.linalg.norm(along)
    return along, np.cross(normal, along)


@dataclass(frozen=True)
class _Caps:
    """Cut faces: triangles on the plane, and their outline as a plane shape with its two directions."""

    points: Floats
    triangles: Ints
    shape: Any
    along: Floats
    up: Floats
    origin: Floats

    def in_space(self, xy: Floats) -> Floats:
        """Return points (n, 2) of the plane as points (n, 3) of the part's frame."""
        points: Floats = self.origin + np.outer(xy[:, 0], self.along) + np.outer(xy[:, 1], self.up)
        return points


def _caps(mesh: Mesh, normal: Floats, offset: float) -> _Caps:
    import manifold3d

    solid = manifold3d.Manifold(
        manifold3d.Mesh(mesh.joined_points.astype(np.float32), mesh.joined_triangles.astype(np.uint32))
    )
    kept = solid.trim_by_plane((-normal).tolist(), -offset).to_mesh()
    points = np.asarray(kept.vert_properties, dtype=np.float64)[:, :3]
    triangles = np.asarray(kept.tri_verts, dtype=np.int32)
    on = np.abs(points @ normal - offset) < _ON_PLANE * mesh.reach_mm
    flat = triangles[on[triangles].all(axis=1)]
    corners = points[flat]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ normal
    flat = flat[facing > 0]
    along, up = _plane_axes(normal)
    origin = normal * offset
    plane_xy = (points - origin) @ np.stack([along, up], axis=1)
    return _Caps(points, flat, _shape_of_loops([plane_xy[n] for n in _loops(flat)]), along, up, origin)


def _shape_of_loops(loops: Iterable[Floats]) -> Any:
    """Return closed loops (n, 2) as one shape: those that run left round are outlines, the others holes."""
    from shapely.geometry import MultiPolygon, Polygon

    rings = [Polygon(loop) for loop in loops if len(loop) >= 3]
    shape: Any = MultiPolygon()
    for ring in (r for r in rings if r.exterior.is_ccw):
        shape = shape.union(ring.buffer(0))
    for ring in (r for r in rings if not r.exterior.is_ccw):
        shape = shape.difference(ring.buffer(0))
    return shape


def _loops(triangles: Ints) -> list[list[int]]:
    """Return the border of a set of triangles (m, 3) as closed loops of point numbers, inside to the left."""
    edges = {(int(a), int(b)) for t in triangles for a, b in ((t[0], t[1]), (t[1], t[2]), (t[2], t[0]))}
    onward: dict[int, list[int]] = {}
    for a, b in edges:
        if (b, a) not in edges:
            onward.setdefault(a, []).append(b)
    for following in onward.values():
        following.sort(reverse=True)
    loops = []
    for start in sorted(onward):
        while onward.get(start):
            loop, at = [start], onward[start].pop()
            while at != start and onward.get(at):
                loop.append(at)
                at = onward[at].pop()
            loops.append(loop)
    return loops


def _solid_along(caps: _Caps, point: Floats, axis: Floats, mesh: Mesh) -> bool:
    """Return whether the part lies about the axis, and most of its length along it is material on the axis itself.

    A casting in which a screw ends is solid on that screw's axis too, but not about it: it is cut.
    """
    from shapely.geometry import LineString

    middle = (mesh.joined_points.min(axis=0) + mesh.joined_points.max(axis=0)) / 2 - point
    aside = float(np.linalg.norm(middle - axis * float(middle @ axis)))
    if aside > ABOUT_AXIS * mesh.reach_mm:
        return False

    low, high = float((mesh.joined_points @ axis).min()), float((mesh.joined_points @ axis).max())
    foot = point - axis * float(point @ axis)
    frame = np.stack([caps.along, caps.up], axis=1)
    ends = [((foot + axis * h - caps.origin) @ frame).tolist() for h in (low, high)]
    if caps.shape.is_empty or high - low < 1e-9:
        return False
    return bool(caps.shape.intersection(LineString(ends)).length > 0.5 * (high - low))


def _cut_mesh(mesh: Mesh, normal: Floats, offset: float, caps: _Caps) -> Mesh:
    """Return what the plane leaves of ``mesh``, closed by its cut faces, with the edges of both."""
    points, normals, triangles = clip_triangles(mesh.points, mesh.normals, mesh.triangles, normal, offset)
    used, numbers = np.unique(caps.triangles, return_inverse=True)
    cap_triangles = numbers.reshape(-1, 3).astype(np.int32) + len(points)
    points = np.concatenate([points, caps.points[used]])
    normals = np.concatenate([normals, np.tile(normal, (len(used), 1))])
    triangles = np.concatenate([triangles, cap_triangles]).astype(np.int32)
    edges, edge_normals = _cut_edges(mesh, normal, offset, caps)
    cut = replace(
        mesh,
        points=points,
        normals=normals,
        triangles=triangles,
        face_of_triangle=np.zeros(len(triangles), dtype=np.int32),
        joined_points=points,
        joined_triangles=triangles,
        edges=edges,
        edge_normals=edge_normals,
        smooth_edges=(),
    )
    # All corners of the whole are still among its points, and nothing is added beyond them.
    cut.__dict__["extreme_points"] = mesh.extreme_points
    return cut


def _cut_edges(
    mesh: Mesh, normal: Floats, offset: float, caps: _Caps
) -> tuple[tuple[Floats, ...], tuple[Floats, ...]]:
    """Return the edges that are left, and the outlines of the cut faces, each with the normals at its sides."""
    edges: list[Floats] = []
    edge_normals: list[Floats] = []
    for line, sides in zip(mesh.edges, mesh.edge_normals, strict=True):
        for piece in _clip_line(line @ normal - offset):
            edges.append(_along(line, piece))
            edge_normals.append(_along(sides.reshape(len(line), 6), piece).reshape(-1, 2, 3))
    for ring in _rings(caps.shape):
        edges.append(caps.in_space(ring))
        # Opposite normals: the rim of a cut face counts as outline from wherever it is seen.
        edge_normals.append(np.tile(np.stack([normal, -normal]), (len(ring), 1, 1)))
    return tuple(edges), tuple(edge_normals)


def clip_triangles(
    points: Floats, normals: Floats, triangles: Ints, normal: Floats, offset: float
) -> tuple[Floats, Floats, Ints]:
    """Return the part of a surface behind a plane: points, normals, triangles; new corners are interpolated."""
    height = points @ normal - offset
    inside = height <= 0.0
    count = inside[triangles].sum(axis=1)
    whole = triangles[count == 3]
    new_points, new_normals = [points], [normals]
    made = [whole]
    total = len(points)
    for kept in (1, 2):
        crossed = triangles[count == kept]
        if not len(crossed):
            continue
        alone = inside[crossed].argmax(axis=1) if kept == 1 else (~inside[crossed]).argmax(axis=1)
        rows = np.arange(len(crossed))
        tip, b, c = (crossed[rows, (alone + k) % 3] for k in range(3))
        ends = []
        for other in (b, c):
            share = (height[tip] / (height[tip] - height[other]))[:, None]
            new_points.append(points[tip] + share * (points[other] - points[tip]))
            mixed = normals[tip] + share * (normals[other] - normals[tip])
            new_normals.append(mixed / np.maximum(np.linalg.norm(mixed, axis=1, keepdims=True), 1e-12))
            ends.append(total + rows)
            total += len(crossed)
        on_b, on_c = ends
        if kept == 1:
            made.append(np.stack([tip, on_b, on_c], axis=1))
        else:
            made += [np.stack([on_b, b, c], axis=1), np.stack([on_b, c, on_c], axis=1)]
    return np.concatenate(new_points), np.concatenate(new_normals), np.concatenate(made).astype(np.int32)


def _clip_line(height: Floats) -> list[Floats]:
    """Return the stretches of a polyline behind the plane as station numbers (float), one array a stretch."""
    stretches: list[list[float]] = []
    for n in range(len(height) - 1):
        a, b = float(height[n]), float(height[n + 1])
        if a > 0 and b > 0:
            continue
        begin = float(n) if a <= 0 else n + a / (a - b)
        end = float(n + 1) if b <= 0 else n + a / (a - b)
        if stretches and stretches[-1][-1] == begin:
            stretches[-1].append(end)
        else:
            stretches.append([begin, end])
    return [np.array(s) for s in stretches if s[-1] - s[0] > 1e-9]


def _along(values: Floats, stations: Floats) -> Floats:
    """Return rows of ``values`` (n, k) interpolated at ``stations``."""
    low = np.clip(np.floor(stations).astype(int), 0, len(values) - 2)
    share = (stations - low)[:, None]
    mixed: Floats = values[low] * (1.0 - share) + values[low + 1] * share
    return mixed


def _rings(shape: Any) -> list[Floats]:
    rings = []
    for polygon in getattr(shape, "geoms", [shape]):
        if polygon.is_empty or polygon.geom_type != "Polygon":
            continue
        rings += [np.array(r.coords) for r in (polygon.exterior, *polygon.interiors)]
    return rings


def _hatch(caps: _Caps, hatch: Hatch, spacing_mm: float) -> Floats:
    """Return hatch lines of the cut faces, (k, 2, 3) float64 mm, the part's frame."""
    lines = hatch_lines(caps.shape, hatch, spacing_mm)
    return caps.in_space(lines.reshape(-1, 2)).reshape(-1, 2, 3)
