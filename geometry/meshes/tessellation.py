"""Meshes of solids: exact surface normals and true edges to draw, joined and closed to compute with.

The kernel triangulates face by face and does not join the faces, so a mesh read straight from it is open
along every edge and silently useless for booleans. Here the faces are joined along the kernel's own
discretisation of each shared edge (topology, not nearness), and a mesh not closed after that is refused.

A part that is a mesh from the start is as fine as it is: no tolerance makes it finer.
"""

from __future__ import annotations

import math
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..assembly import Part
from ..frame import Floats
from ..solid import MeshSolid, Solid, enclosed_mm3
from .smoothing_groups import smoothed

if TYPE_CHECKING:
    import cadquery as cq

Ints = NDArray[np.int32]

DEFAULT_ANGLE_DEG = 12.0
SMOOTH_EDGE_DEG = 6.0
"""Faces that meet at less than this all along an edge flow into each other: no line is drawn there."""


class MeshError(ValueError):
    """A solid cannot be turned into a closed mesh; the message says why."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """A triangulated solid in its own frame (mm), outward oriented.

    ``points`` (n, 3) and ``normals`` (n, 3) float64 are split per face, with the kernel's exact surface
    normals; ``triangles`` (m, 3) int32 index them and ``face_of_triangle`` (m,) int32 tells the face of the
    solid. ``joined_points`` (k, 3) float64 with ``joined_triangles`` (m, 3) int32 are the same triangles, row
    by row, as a closed surface. ``edges`` are the true model edges as (p, 3) float64 polylines, with the
    normals of the two faces that meet there in ``edge_normals``, (p, 2, 3) each; edges where two faces flow
    into each other are in ``smooth_edges``, seams of round faces in neither.
    """

    points: Floats
    normals: Floats
    triangles: Ints
    face_of_triangle: Ints
    joined_points: Floats
    joined_triangles: Ints
    edges: tuple[Floats, ...]
    edge_normals: tuple[Floats, ...]
    smooth_edges: tuple[Floats, ...]
    tolerance_mm: float

    @cached_property
    def volume_mm3(self) -> float:
        """Volume enclosed by the joined triangles."""
        return enclosed_mm3(self.joined_points, self.joined_triangles)

    @cached_property
    def box(self) -> tuple[Floats, Floats]:
        """Lower and upper corner, (3,) float64 each, mm."""
        return self.joined_points.min(axis=0), self.joined_points.max(axis=0)

    @cached_property
    def extreme_points(self) -> Floats:
        """Points that reach farthest in each of 400 directions, (k, 3) float64: enough to frame or box the part."""
        n = np.arange(400)
        z = 1.0 - (2.0 * n + 1.0) / len(n)
        turn = n * math.pi * (3.0 - math.sqrt(5.0))
        flat = np.sqrt(1.0 - z * z)
        directions = np.stack([flat * np.cos(turn), flat * np.sin(turn), z], axis=1)
        farthest: Floats = self.joined_points[np.unique(np.argmax(directions @ self.joined_points.T, axis=1))]
        return farthest

    @cached_property
    def reach_mm(self) -> float:
        """Length of the diagonal of :attr:`box`."""
        low, high = self.box
        return float(np.linalg.norm(high - low))


def open_edges(triangles: Ints) -> int:
    """Return how many directed edges of ``triangles`` (m, 3) lack their one opposite: 0 for a closed surface.

    >>> open_edges(np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]], dtype=np.int32))
    0
    >>> open_edges(np.array([[0, 1, 2]], dtype=np.int32))
    3
    """
    t = triangles.astype(np.int64)
    start, end = t.ravel(), t[:, [1, 2, 0]].ravel()
    span = int(t.max(initial=0)) + 1
    there, count = np.unique(start * span + end, return_counts=True)
    back = np.unique(end * span + start)
    return int(np.setdiff1d(there, back, assume_unique=True).size + (count > 1).sum())


def make_mesh(shape: Solid, tolerance_mm: float, angle_deg: float = DEFAULT_ANGLE_DEG) -> Mesh:
    """Return the mesh of ``shape``, at most ``tolerance_mm`` off, ``angle_deg`` from facet to facet.

    The result depends on the arguments alone: triangulations that the shape already carries are dropped
    first, and none is left on it.

    Raises:
        MeshError: if the tolerance is not positive, or the faces of the shape do not join to a closed,
            outward oriented surface.
    """
    _check_tolerance(tolerance_mm)
    if isinstance(shape, MeshSolid):
        return _mesh_of_facets(shape, tolerance_mm)
    with _triangulated(shape, tolerance_mm, angle_deg) as wrapped:
        return _read_mesh(wrapped, tolerance_mm)


def closed_surface(
    shape: Solid, tolerance_mm: float, angle_deg: float = DEFAULT_ANGLE_DEG
) -> tuple[Floats, Ints]:
    """Return ``joined_points`` and ``joined_triangles`` of :func:`make_mesh` alone: all that booleans need, sooner.

    Remembered for as long as ``shape`` lives.

    Raises:
        MeshError: as :func:`make_mesh`.
    """
    _check_tolerance(tolerance_mm)
    if isinstance(shape, MeshSolid):
        return shape.points, shape.triangles
    key = (tolerance_mm, angle_deg)
    if (mesh := _cache.get(shape, {}).get(key)) is not None:
        return mesh.joined_points, mesh.joined_triangles
    known = _surfaces.setdefault(shape, {})
    if key not in known:
        known[key] = _make_surface(shape, tolerance_mm, angle_deg)
    return known[key]


def _make_surface(shape: cq.Shape, tolerance_mm: float, angle_deg: float) -> tuple[Floats, Ints]:
    with _triangulated(shape, tolerance_mm, angle_deg) as wrapped:
        surface = _joined(_read_faces(wrapped, with_normals=False))
    if enclosed_mm3(surface.points, surface.triangles) <= 0:
        raise MeshError("the surface is inside out or encloses nothing")
    return surface.points, surface.triangles


@contextmanager
def _triangulated(shape: cq.Shape, tolerance_mm: float, angle_deg: float) -> Iterator[Any]:
    """Give the kernel's shape with a fresh triangulation, dropped afterwards."""
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools

    wrapped = shape.wrapped
    BRepTools.Clean_s(wrapped)
    try:
        BRepMesh_IncrementalMesh(wrapped, tolerance_mm, False, math.radians(angle_deg), False)
        yield wrapped
    finally:
        BRepTools.Clean_s(wrapped)


def _check_tolerance(tolerance_mm: float) -> None:
    if not (tolerance_mm > 0 and math.isfinite(tolerance_mm)):
        raise MeshError(f"a mesh needs a tolerance above 0 mm, got {tolerance_mm}")


def _mesh_of_facets(solid: MeshSolid, tolerance_mm: float) -> Mesh:
    """Return the mesh of a part that is one: its normals and edges by the angles of its facets."""
    try:
        drawn = smoothed(solid.points, solid.triangles)
    except ValueError as error:
        raise MeshError(f"the faces do not join to a closed surface ({error})") from error
    return Mesh(
        points=drawn.points,
        normals=drawn.normals,
        triangles=drawn.triangles,
        face_of_triangle=drawn.face_of_triangle,
        joined_points=solid.points,
        joined_triangles=solid.triangles,
        edges=drawn.edges,
        edge_normals=drawn.edge_normals,
        smooth_edges=(),
        tolerance_mm=tolerance_mm,
    )


_cache: weakref.WeakKeyDictionary[Any, dict[tuple[float, float], Mesh]] = weakref.WeakKeyDictionary()
_surfaces: weakref.WeakKeyDictionary[Any, dict[tuple[float, float], tuple[Floats, Ints]]] = (
    weakref.WeakKeyDictionary()
)


def mesh_of_shape(shape: Solid, tolerance_mm: float, angle_deg: float = DEFAULT_ANGLE_DEG) -> Mesh:
    """Return :func:`make_mesh`, remembered for as long as ``shape`` lives.

    Raises:
        MeshError: as :func:`make_mesh`.
    """
    known = _cache.setdefault(shape, {})
    key = (tolerance_mm, angle_deg)
    if key not in known:
        known[key] = make_mesh(shape, tolerance_mm, angle_deg)
    return known[key]


KEPT_VOLUME = 0.8
"""A coarse surface encloses at least this share of the volume, or it is none: a shim must not vanish."""


def coarse_surface(mesh: Mesh, off_mm: float) -> tuple[Floats, Ints]:
    """Return the joined points and triangles of ``mesh`` with as few as do: about ``off_mm`` off, nowhere twice that.

    What would lose much of its volume so stays as it is.
    """
    import manifold3d as m3

    fine = m3.Mesh(mesh.joined_points.astype(np.float32), mesh.joined_triangles.astype(np.uint32))
    left = m3.Manifold(fine).simplify(off_mm)
    if left.is_empty() or left.volume() < KEPT_VOLUME * mesh.volume_mm3:
        return mesh.joined_points, mesh.joined_triangles
    coarse = left.to_mesh()
    # Copies: what the library gives refers to its own object, and must not outlive it.
    return np.array(coarse.vert_properties[:, :3], dtype=np.float64), np.array(coarse.tri_verts, np.int32)


def forget_meshes() -> None:
    """Drop all remembered meshes: what a proof looks at is finer than what pictures need."""
    _cache.clear()
    _surfaces.clear()


def mesh_of(part: Part, tolerance_mm: float, angle_deg: float = DEFAULT_ANGLE_DEG) -> Mesh:
    """Return the mesh of ``part`` in its own frame; twins that share a solid share the mesh.

    Raises:
        MeshError: as :func:`make_mesh`, with the part's name.
    """
    try:
        return mesh_of_shape(part.solid, tolerance_mm, angle_deg)
    except MeshError as error:
        raise MeshError(f"{part.key} ({part.name}): {error}") from error


@dataclass
class _EdgeUse:
    """Where one edge of the solid runs: node numbers of each face beside it, one run per face side."""

    runs: list[Ints]
    faces: list[int]
    degenerate: bool


@dataclass
class _Faces:
    """What the kernel's triangulation holds, face by face, and where the edges run."""

    points: list[Floats]
    normals: list[Floats]
    triangles: list[Ints]
    uses: dict[int, _EdgeUse]


@dataclass
class _Surface:
    """Faces joined to a closed surface; ``real`` tells which of the faces' triangles have an area and are in it."""

    points: Floats
    triangles: Ints
    real: NDArray[np.bool_]


def _read_faces(wrapped: Any, with_normals: bool) -> _Faces:
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    face_map, edge_map = TopTools_IndexedMapOfShape(), TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(wrapped, TopAbs_FACE, face_map)
    TopExp.MapShapes_s(wrapped, TopAbs_EDGE, edge_map)
    if face_map.Extent() == 0:
        raise MeshError("the shape has no faces")
    found = _Faces([], [], [], {})
    first = 0
    for number in range(1, face_map.Extent() + 1):
        nodes, normal, corners = _read_face(
            face_map.FindKey(number), number, first, edge_map, found.uses, with_normals
        )
        found.points.append(nodes)
        found.normals.append(normal)
        found.triangles.append(corners + first)
        first += len(nodes)
    return found


def _joined(faces: _Faces) -> _Surface:
    points = np.concatenate(faces.points)
    root = _join(len(points), faces.uses.values())
    kept, joined_index = np.unique(root, return_inverse=True)
    joined = joined_index.astype(np.int32)[np.concatenate(faces.triangles).astype(np.int32)]
    # A triangle at the tip of a cone or the pole of a ball has two corners in one place: no area, no use.
    real = (joined[:, 0] != joined[:, 1]) & (joined[:, 1] != joined[:, 2]) & (joined[:, 2] != joined[:, 0])
    joined = joined[real]
    loose = open_edges(joined)
    if loose:
        raise MeshError(f"the faces do not join to a closed surface ({loose} open edges in the mesh)")
    return _Surface(points[kept], joined, real)


def _read_mesh(wrapped: Any, tolerance_mm: float) -> Mesh:
    faces = _read_faces(wrapped, with_normals=True)
    surface = _joined(faces)
    points, normals = np.concatenate(faces.points), np.concatenate(faces.normals)
    counts = [len(t) for t in faces.triangles]
    sharp, beside, smooth = _sort_edges(faces.uses.values(), points, normals)
    mesh = Mesh(
        points=points,
        normals=normals,
        triangles=np.concatenate(faces.triangles).astype(np.int32)[surface.real],
        face_of_triangle=np.repeat(np.arange(len(counts), dtype=np.int32), counts)[surface.real],
        joined_points=surface.points,
        joined_triangles=surface.triangles,
        edges=sharp,
        edge_normals=beside,
        smooth_edges=smooth,
        tolerance_mm=tolerance_mm,
    )
    if mesh.volume_mm3 <= 0:
        raise MeshError("the surface is inside out or encloses nothing")
    return mesh


def _read_face(
    shape: Any, number: int, first: int, edge_map: Any, uses: dict[int, _EdgeUse], with_normals: bool
) -> tuple[Floats, Floats, Ints]:
    """Return nodes, normals (n or 0 rows) and triangles of one face; note its runs along the edges in ``uses``."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepLib import BRepLib_ToolTriangulatedShape
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_REVERSED
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    face = TopoDS.Face_s(shape)
    location = TopLoc_Location()
    triangulation = BRep_Tool.Triangulation_s(face, location)
    if triangulation is None:
        raise MeshError(f"the kernel could not triangulate face {number} of the shape")
    count = range(1, triangulation.NbNodes() + 1)
    nodes = np.array([triangulation.Node(i).Coord() for i in count]).reshape(-1, 3)
    normals = np.empty((0, 3))
    if with_normals:
        BRepLib_ToolTriangulatedShape.ComputeNormals_s(face, triangulation)
        normals = np.array([triangulation.Normal(i).Coord() for i in count]).reshape(-1, 3)
    corners = np.array(
        [triangulation.Triangle(i + 1).Get() for i in range(triangulation.NbTriangles())], dtype=np.int32
    )
    corners = corners.reshape(-1, 3) - 1

    if not location.IsIdentity():
        t = location.Transformation()
        m = np.array([[t.Value(r, c) for c in range(1, 5)] for r in range(1, 4)])
        nodes = nodes @ m[:, :3].T + m[:, 3]
        normals = normals @ m[:, :3].T
    if face.Orientation() == TopAbs_REVERSED:
        normals, corners = -normals, corners[:, ::-1]
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)

    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        explorer.Next()
        polygon = BRep_Tool.PolygonOnTriangulation_s(edge, triangulation, location)
        if polygon is None:
            continue
        run = np.array([polygon.Node(i + 1) for i in range(polygon.NbNodes())], dtype=np.int32) + (first - 1)
        use = uses.setdefault(edge_map.FindIndex(edge), _EdgeUse([], [], bool(BRep_Tool.Degenerated_s(edge))))
        use.runs.append(run)
        use.faces.append(number)
    return nodes, normals, corners


def _join(count: int, uses: Any) -> Ints:
    """Return for each of ``count`` nodes the number of the node that stands for it joined, (count,) int32."""
    parent = list(range(count))

    def find(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    def unite(i: int, j: int) -> None:
        a, b = find(i), find(j)
        if a != b:
            parent[max(a, b)] = min(a, b)

    for use in uses:
        lead = use.runs[0]
        for run in use.runs[1:]:
            if len(run) != len(lead):
                raise MeshError("two faces divide their shared edge differently")
            for i, j in zip(lead.tolist(), run.tolist(), strict=True):
                unite(i, j)
        if use.degenerate:
            for i in lead.tolist():
                unite(int(lead[0]), i)
    return np.array([find(i) for i in range(count)], dtype=np.int32)


def _sort_edges(
    uses: Any, points: Floats, normals: Floats
) -> tuple[tuple[Floats, ...], tuple[Floats, ...], tuple[Floats, ...]]:
    """Return sharp edges, their normals on either side, and smooth edges; no seams, no degenerate edges."""
    sharp: list[Floats] = []
    beside: list[Floats] = []
    smooth: list[Floats] = []
    limit = math.cos(math.radians(SMOOTH_EDGE_DEG))
    for use in uses:
        if use.degenerate or len(use.runs) < 2 or len(set(use.faces)) < 2:
            continue
        a, b = use.runs[0], use.runs[1]
        if (np.einsum("ij,ij->i", normals[a], normals[b]) > limit).all():
            smooth.append(points[a])
        else:
            sharp.append(points[a])
            beside.append(np.stack([normals[a], normals[b]], axis=1))
    return tuple(sharp), tuple(beside), tuple(smooth)
