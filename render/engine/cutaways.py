"""Cut-aways: parts cut open along a plane, the cut faces capped and hatched by material.

Shafts, screws and whatever else is solid along the axis that the cut follows stay whole, as drawing practice has it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Ints, Mesh
from .material_styles import ELASTOMERS
from .part_models import PartModel

HATCH_SHARE = 0.011
"""Distance of hatch lines as a share of the height of what is looked at."""


@dataclass(frozen=True)
class Plane:
    """A cutting plane in the head's frame: what lies in front of it (along ``normal``) is taken away."""

    normal: Vec3
    point: Vec3
    axis: Vec3
    """Direction of the axis that the plane follows through ``point``."""


@dataclass(frozen=True)
class Hatch:
    """How a cut face is hatched: directions in degrees, spacing as a multiple of the common one."""

    angles_deg: tuple[float, ...]
    spacing: float


def hatch_of(material: str, number: int) -> Hatch:
    """Return the hatch of a material; ``number`` counts parts so that neighbours of one metal differ in direction."""
    if material in ELASTOMERS:
        return Hatch((45.0, 135.0), 0.55)
    if material in ("ptfe", "ptfe-encapsulated"):
        return Hatch((45.0, 135.0), 1.2)
    if material in ("carbon", "silicon-carbide", "ceramic"):
        return Hatch((90.0,), 0.6)
    return Hatch((45.0,) if number % 2 == 0 else (135.0,), (1.0, 0.8, 1.25)[number // 2 % 3])


def cut_model(
    model: PartModel, place: Place, plane: Plane, spacing_mm: float, number: int, key: str
) -> PartModel | None:
    """Return ``model`` (in ``place``) cut by ``plane``, under ``key``; itself where it is not cut, None where all of it
    is taken away.
    """
    back = place.inverse()
    normal = np.array(back.direction(plane.normal))
    point = np.array(back.point(plane.point))
    axis = np.array(back.direction(plane.axis))
    offset = float(normal @ point)
    heights = model.mesh.joined_points @ normal - offset
    tiny = 1e-4 * model.mesh.reach_mm
    if heights.max() < tiny:
        return replace(model, key=key)
    if heights.min() > -tiny:
        return None
    caps = _caps(model.mesh, normal, offset)
    if _solid_along(caps, point, axis, model.mesh):
        return replace(model, key=key)
    mesh, hatch = _cut_mesh(model.mesh, normal, offset, caps, hatch_of(model.material, number), spacing_mm)
    return replace(model, key=key, mesh=mesh, hatch=hatch)


@dataclass(frozen=True)
class _Caps:
    """Cut faces: triangles on the plane, and their outline as a plane shape with its two directions."""

    points: Floats
    triangles: Ints
    shape: Any
    along: Floats
    up: Floats
    origin: Floats


def _caps(mesh: Mesh, normal: Floats, offset: float) -> _Caps:
    import manifold3d
    from shapely.geometry import MultiPolygon, Polygon

    solid = manifold3d.Manifold(
        manifold3d.Mesh(mesh.joined_points.astype(np.float32), mesh.joined_triangles.astype(np.uint32))
    )
    kept = solid.trim_by_plane((-normal).tolist(), -offset).to_mesh()
    points = np.asarray(kept.vert_properties, dtype=np.float64)[:, :3]
    triangles = np.asarray(kept.tri_verts, dtype=np.int32)
    on = np.abs(points @ normal - offset) < 1e-4 * mesh.reach_mm
    flat = triangles[on[triangles].all(axis=1)]
    corners = points[flat]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ normal
    flat = flat[facing > 0]
    helper = np.eye(3)[int(np.argmin(np.abs(normal)))]
    along = np.cross(helper, normal)
    along /= np.linalg.norm(along)
    up = np.cross(normal, along)
    origin = normal * offset
    plane_xy = (points - origin) @ np.stack([along, up], axis=1)
    loops = _loops(flat)
    rings = [Polygon(plane_xy[loop]) for loop in loops if len(loop) >= 3]
    outer = [r for r in rings if r.exterior.is_ccw]
    holes = [r for r in rings if not r.exterior.is_ccw]
    shape: Any = MultiPolygon()
    for ring in outer:
        shape = shape.union(ring.buffer(0))
    for ring in holes:
        shape = shape.difference(ring.buffer(0))
    return _Caps(points, flat, shape, along, up, origin)


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
    """Return whether most of the part's length along the axis is material on the axis itself."""
    from shapely.geometry import LineString

    low, high = float((mesh.joined_points @ axis).min()), float((mesh.joined_points @ axis).max())
    foot = point - axis * float(point @ axis)
    frame = np.stack([caps.along, caps.up], axis=1)
    ends = [((foot + axis * h - caps.origin) @ frame).tolist() for h in (low, high)]
    if caps.shape.is_empty or high - low < 1e-9:
        return False
    return bool(caps.shape.intersection(LineString(ends)).length > 0.5 * (high - low))


def _cut_mesh(
    mesh: Mesh, normal: Floats, offset: float, caps: _Caps, hatch: Hatch, spacing_mm: float
) -> tuple[Mesh, Floats]:
    points, normals, triangles = clip_triangles(mesh.points, mesh.normals, mesh.triangles, normal, offset)
    first = len(points)
    used, numbers = np.unique(caps.triangles, return_inverse=True)
    points = np.concatenate([points, caps.points[used]])
    normals = np.concatenate([normals, np.tile(normal, (len(used), 1))])
    cap_triangles = numbers.reshape(-1, 3).astype(np.int32) + first
    edges: list[Floats] = []
    beside: list[Floats] = []
    for line, sides in zip(mesh.edges, mesh.edge_normals, strict=True):
        for piece in _clip_line(line @ normal - offset):
            edges.append(_along(line, piece))
            beside.append(_along(sides.reshape(len(line), 6), piece).reshape(-1, 2, 3))
    for ring in _rings(caps.shape):
        xyz = caps.origin + np.outer(ring[:, 0], caps.along) + np.outer(ring[:, 1], caps.up)
        edges.append(xyz)
        # Opposite normals: the rim of a cut face counts as outline from wherever it is seen.
        beside.append(np.tile(np.stack([normal, -normal]), (len(xyz), 1, 1)))
    cut = replace(
        mesh,
        points=points,
        normals=normals,
        triangles=np.concatenate([triangles, cap_triangles]).astype(np.int32),
        face_of_triangle=np.zeros(len(triangles) + len(cap_triangles), dtype=np.int32),
        joined_points=points,
        joined_triangles=np.concatenate([triangles, cap_triangles]).astype(np.int32),
        edges=tuple(edges),
        edge_normals=tuple(beside),
        smooth_edges=(),
    )
    return cut, _hatch_lines(caps, hatch, spacing_mm)


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


def _hatch_lines(caps: _Caps, hatch: Hatch, spacing_mm: float) -> Floats:
    """Return hatch lines clipped to the cut faces, (k, 2, 3) float64 mm."""
    from shapely.geometry import MultiLineString

    if caps.shape.is_empty:
        return np.empty((0, 2, 3))
    x0, y0, x1, y1 = caps.shape.bounds
    centre, reach = np.array([(x0 + x1) / 2, (y0 + y1) / 2]), float(np.hypot(x1 - x0, y1 - y0)) / 2
    found: list[Sequence[Sequence[float]]] = []
    step = spacing_mm * hatch.spacing
    for angle in hatch.angles_deg:
        d = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
        across = np.array([-d[1], d[0]])
        # Lines on a fixed raster of the plane, so that parts of one material that meet line up.
        first = np.ceil((float(centre @ across) - reach) / step)
        last = np.floor((float(centre @ across) + reach) / step)
        lines = []
        for n in np.arange(first, last + 1):
            foot = across * n * step + d * float(centre @ d)
            lines.append([tuple(foot - d * reach), tuple(foot + d * reach)])
        if lines:
            clipped = caps.shape.intersection(MultiLineString(lines))
            # A line that only grazes a corner comes back as a point, or as a line of no length.
            pieces = getattr(clipped, "geoms", [clipped])
            found += [list(g.coords) for g in pieces if g.geom_type == "LineString" and g.length > 1e-9]
    if not found:
        return np.empty((0, 2, 3))
    xy = np.array([[line[0], line[-1]] for line in found], dtype=float).reshape(-1, 2)
    xyz = caps.origin + np.outer(xy[:, 0], caps.along) + np.outer(xy[:, 1], caps.up)
    return xyz.reshape(-1, 2, 3)
