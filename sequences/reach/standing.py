"""Parts as they stand in a step, to put tools to: their bodies, points of their named surfaces, what a tool meets."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

import manifold3d as m3
import numpy as np

from ...geometry.assembly import Assembly, poses_at
from ...geometry.frame import Floats, Place, Vec3, unit
from ...geometry.meshes.closed_bodies import (
    LEAST_VOLUME_MM3,
    STILL,
    Bodies,
    Body,
    Box,
    box_of,
    boxes_meet,
    matrix34,
)
from ...geometry.meshes.overlaps import overlap
from ...geometry.meshes.tessellation import closed_surface
from ...geometry.surfaces import Surface
from ...geometry.tools.tool_solids import make_tool
from ..steps.operations import SurfaceOf
from ..steps.plan import Step
from .tool_places import ReachFault

TOOL_TOLERANCE_MM = 0.02
"""How far a tool's mesh may be off its solid."""
TOUCH_MM = 0.05
"""An overlap no deeper is contact: the tolerances of both meshes, and some."""
PLANE_KINDS = ("face", "shoulder", "end")
"""Kinds of surface that are square to their direction."""
POINTS = 6000
"""Points spread over a part's skin to ask which of them belong to a surface."""
ALMOST = 1.3
"""How much more than a piece its convex hull may hold to stand for it."""
ROUND = 3
"""Digits of a millimetre in what is found: less is the meshes' own."""


@dataclass(frozen=True)
class Skin:
    """Points of a surface in the assembly's frame: ``points`` and outward ``normals``, (n, 3) float64 each."""

    points: Floats
    normals: Floats
    axis: Vec3
    """Direction of the surface, in the assembly's frame."""
    origin: Vec3

    @property
    def middle(self) -> Floats:
        """Mean of its points, (3,)."""
        mean: Floats = self.points.mean(axis=0)
        return mean


@dataclass(frozen=True)
class ToolMeets:
    """A part that a tool meets, and how deep."""

    part: str
    depth_mm: float


@dataclass(frozen=True)
class BetweenFound:
    """Where a tool stands between two surfaces, or why it does not."""

    measures: tuple[tuple[str, float], ...] = ()
    place: Place = STILL
    fault: ReachFault | None = None
    met: ToolMeets | None = None
    millimetres: float = 0.0
    """By how much a gap is too narrow for a blade; metal behind an edge too thin for a block, or the width on which it
    bears where that is too little."""


class NoSurface(LookupError):
    """A part has no surface of that name, or none of its skin belongs to it."""


class Standing:
    """The parts that stand in one step."""

    def __init__(self, bodies: Bodies, step: Step, turned: Collection[str] = ()) -> None:
        """Take up a step.

        Args:
            bodies: of the assembly, kept from step to step.
            step: says which parts there are and how far the shafts are turned.
            turned: parts that are there besides: those that the step's operations name.
        """
        self.bodies, self.step = bodies, step
        self.assembly: Assembly = bodies.assembly
        self.poses: Mapping[str, Place] = poses_at(self.assembly.turning, step.stands_at_deg)
        there = {*step.present, *step.moving, *turned}
        self.keys = [k for k in self.assembly.parts if k in there]

    @property
    def front(self) -> Vec3:
        """The side from which the person works: that which looks up where a unit lies on the bench."""
        x, y, z = self.assembly.front
        return (-x, -y, -z) if self.step.up == "rear" else (x, y, z)

    def pose(self, key: str) -> Place:
        """Return how far a part stands from its place at the shafts' mark."""
        return self.poses.get(key, STILL)

    def place(self, key: str) -> Place:
        """Return where a part stands."""
        return self.pose(key) @ self.assembly.part(key).place

    def manifold(self, key: str) -> m3.Manifold:
        """Return the body of a part where it stands; elastic ones pressed in."""
        return self.bodies.placed(key, "core", self.pose(key))

    def box(self, key: str) -> Box:
        """Return the box round :meth:`manifold`."""
        return self.bodies.box(key, "core", self.pose(key))

    @cached_property
    def boxes(self) -> Box:
        """Lower and upper corners of the boxes of all parts, in the order of their keys, (n, 3) each."""
        boxes = [self.box(k) for k in self.keys]
        return np.array([b[0] for b in boxes]), np.array([b[1] for b in boxes])

    def near(self, box: Box) -> list[str]:
        """Return the parts whose boxes meet ``box``."""
        low, high = self.boxes
        meets = ((box[0] <= high) & (low <= box[1])).all(axis=1)
        return [self.keys[n] for n in np.flatnonzero(meets)]

    @property
    def middle(self) -> Floats:
        """Middle of the box round all parts, (3,) mm."""
        low, high = self.boxes
        middle: Floats = (low.min(axis=0) + high.max(axis=0)) / 2
        return middle

    def surface(self, at: SurfaceOf) -> Surface | None:
        """Return the named surface in its part's own frame; None where the whole part is meant.

        Raises:
            NoSurface: if the part has none of that name.
        """
        if not at.surface:
            return None
        try:
            return self.assembly.part(at.part).surface(at.surface)
        except KeyError as error:
            raise NoSurface(f"{at.part}: {at.surface}") from error

    def skin(self, at: SurfaceOf) -> Skin:
        """Return points of a surface where it stands, with their normals.

        Raises:
            NoSurface: if there is no such surface.
        """
        surface, place = self.surface(at), self.place(at.part)
        points, normals = spread_of(self.bodies.own(at.part), surface)
        if not len(points):
            raise NoSurface(f"{at.part}: {at.surface}")
        axis = (0.0, 0.0, 1.0) if surface is None else surface.direction
        origin = (0.0, 0.0, 0.0) if surface is None else surface.origin
        turned: Floats = normals @ np.array(place.rotation).T
        return Skin(place.points(points), turned, unit(place.direction(axis)), place.point(origin))

    def met(self, tool: m3.Manifold, but: Collection[str] = ()) -> ToolMeets | None:
        """Return what a tool meets deepest, but parts that it may; None where it is clear or only touches."""
        deepest = None
        for key in self.near(box_of(tool)):
            if key in but:
                continue
            shared = overlap(tool, self.manifold(key), TOUCH_MM)
            if shared and (deepest is None or shared.depth_mm > deepest.depth_mm):
                deepest = ToolMeets(key, round(shared.depth_mm, ROUND))
        return deepest

    def pieces(self, room: m3.Manifold, but: Collection[str] = ()) -> list[m3.Manifold]:
        """Return what of the parts lies in a room, piece by piece, to try many poses of a tool in it.

        Of a piece that is almost convex (a thread with its grooves) its hull is taken: few facets, and no less.
        """
        near = (k for k in self.near(box_of(room)) if k not in but)
        found = []
        for piece in (p for k in near for p in (room ^ self.manifold(k)).decompose()):
            if piece.volume() > LEAST_VOLUME_MM3:
                hull = piece.hull()
                found.append(hull if hull.volume() < ALMOST * piece.volume() else piece)
        return found

    @staticmethod
    def clear_of(tool: m3.Manifold, pieces: Iterable[m3.Manifold]) -> bool:
        """Return whether a tool meets none of ``pieces`` deeper than a touch."""
        reach = box_of(tool)
        for piece in pieces:
            if boxes_meet(reach, box_of(piece)):
                shared = tool ^ piece
                if not shared.is_empty() and 2.0 * shared.volume() > TOUCH_MM * shared.surface_area():
                    return False
        return True

    def is_free(self, tool: m3.Manifold, but: Collection[str] = ()) -> bool:
        """Return whether a tool meets nothing deeper than a touch."""
        near = (k for k in self.near(box_of(tool)) if k not in but)
        return all(self.clear_of(tool, [self.manifold(k)]) for k in near)

    def ray(
        self, start: Floats, along: Floats, keys: Iterable[str], reach_mm: float
    ) -> list[tuple[float, str]]:
        """Return where a ray enters or leaves parts, nearest first: distance, mm, and the part."""
        found = []
        for key in keys:
            place = self.place(key)
            back = place.inverse()
            body, own = self.bodies.own(key, "core"), back.points(start[None])[0]
            hits = ray_hits(body, own, _turned(back, along), reach_mm)
            found += [(d, key) for d in hits if d <= reach_mm]
        return sorted(found)


def _turned(place: Place, direction: Floats) -> Floats:
    turned: Floats = np.array(place.rotation) @ direction
    return turned


def ray_hits(body: Body, start: Floats, along: Floats, reach_mm: float) -> list[float]:
    """Return how far along a unit direction a ray from ``start`` crosses the surface of ``body``, own frame, mm.

    What lies farther than ``reach_mm`` may be left out. After Moeller and Trumbore, *Fast, minimum storage ray/triangle
    intersection*, 1997.
    """
    end, (lowest, highest) = start + reach_mm * along, _triangle_boxes(body)
    low, high = np.minimum(start, end) - _RAY_MM, np.maximum(start, end) + _RAY_MM
    near = np.flatnonzero((lowest[0] <= high[0]) & (highest[0] >= low[0]))
    for axis in (1, 2):  # of few triangles after the first
        near = near[(lowest[axis, near] <= high[axis]) & (highest[axis, near] >= low[axis])]
    if not len(near):
        return []
    a, b, c = (body.points[body.triangles[near, k]] for k in range(3))
    ab, ac = b - a, c - a
    p = np.cross(along, ac)
    det = np.einsum("ij,ij->i", ab, p)
    flat = np.abs(det) < 1e-12
    inverse = 1.0 / np.where(flat, 1.0, det)
    t = start - a
    u = np.einsum("ij,ij->i", t, p) * inverse
    q = np.cross(t, ab)
    v = (q @ along) * inverse
    far = np.einsum("ij,ij->i", ac, q) * inverse
    hit = ~flat & (u >= 0) & (v >= 0) & (u + v <= 1) & (far > 1e-9)
    return [float(d) for d in np.unique(np.round(far[hit], 6))]


_RAY_MM = 0.001
"""What rounding may put a triangle off its box."""


@lru_cache(maxsize=256)
def _triangle_boxes(body: Body) -> Box:
    """Return the lower and upper corners of the boxes of a body's triangles, axis by axis, (3, m) each."""
    corners = np.ascontiguousarray(body.points.T)[:, body.triangles]
    return corners.min(axis=2), corners.max(axis=2)


@lru_cache(maxsize=512)
def spread(body: Body) -> tuple[Floats, Floats]:
    """Return points spread evenly over the skin of a body, own frame, (n, 3), with their outward normals.

    A triangle has as many as its share of the area asks for, at least three: the same ones each time.
    """
    length = np.linalg.norm(body.facings, axis=1)
    real = length > 1e-12
    triangles, normals = body.triangles[real], body.facings[real] / length[real, None]
    share = length[real] / length[real].sum()
    count = np.maximum(3, np.ceil(share * POINTS).astype(np.int64))
    which = np.repeat(np.arange(len(triangles)), count)
    first = np.cumsum(count) - count
    n = np.arange(len(which)) - first[which]
    # Kronecker's sequence of the plastic number fills a square evenly; the upper half is folded onto the lower.
    u, v = np.mod(0.5 + n * _PLASTIC[0], 1.0), np.mod(0.5 + n * _PLASTIC[1], 1.0)
    over = u + v > 1
    u, v = np.where(over, 1 - u, u), np.where(over, 1 - v, v)
    a, b, c = (body.points[triangles[which, k]] for k in range(3))
    points: Floats = a + u[:, None] * (b - a) + v[:, None] * (c - a)
    return points, normals[which]


@lru_cache(maxsize=512)
def spread_of(body: Body, surface: Surface | None) -> tuple[Floats, Floats]:
    """Return those of :func:`spread` that belong to a surface, all where it is None; none where none does."""
    points, normals = spread(body)
    if surface is None:
        return points, normals
    held = surface.holds(points)
    if held.any() and surface.kind in PLANE_KINDS and surface.half_deg == 180.0:
        # Broken edges at its rim lie within its heights, but do not look its way.
        level = held & (normals @ np.array(unit(surface.direction)) > 0.8)
        held = level if level.any() else held
    return points[held], normals[held]


def forget_skins() -> None:
    """Drop all remembered points of skins: they are of the bodies of one assembly."""
    for remembered in (_triangle_boxes, spread, spread_of):
        remembered.cache_clear()


_PLASTIC = (0.7548776662466927, 0.5698402909980532)


@lru_cache(maxsize=256)
def tool_body(tool: str, measures: tuple[tuple[str, float], ...]) -> Body:
    """Return the body of a tool in its own frame, made once for equal measures."""
    points, triangles = closed_surface(make_tool(tool, dict(measures)), TOOL_TOLERANCE_MM, 30.0)
    return Body(points, triangles.astype(np.int64), tool)


def placed(manifold: m3.Manifold, place: Place) -> m3.Manifold:
    """Return a body carried by ``place``."""
    return manifold.transform(matrix34(place))


def frame_at(origin: Floats | Vec3, z: Floats | Vec3, x: Floats | Vec3) -> Place:
    """Return the place of a tool: its origin there, its +Z along ``z``, its +X as near to ``x`` as that allows.

    Rounded, so that what nobody could tell apart is the same.

    >>> frame_at((1.0, 2.0, 3.0), (0.0, 0.0, 1.0), (0.0, 1.0, 1.0)).point((1.0, 0.0, 0.0))
    (1.0, 3.0, 3.0)
    """
    up = np.asarray(z, float) / np.linalg.norm(z)
    side = np.asarray(x, float) - up * float(np.asarray(x, float) @ up)
    if np.linalg.norm(side) < 1e-9:
        side = np.cross(up, (0.0, 1.0, 0.0) if abs(up[1]) < 0.9 else (1.0, 0.0, 0.0))
    side /= np.linalg.norm(side)
    m = np.eye(4)
    m[:3, :3] = np.round(np.stack([side, np.cross(up, side), up], axis=1), 9)
    m[:3, 3] = np.round(np.asarray(origin, float), ROUND)
    return Place.from_matrix(m + 0.0)


def square_to(z: Floats | Vec3, hints: Iterable[Vec3]) -> Floats:
    """Return a unit direction square to ``z``: the first hint that has one."""
    up = np.asarray(z, float)
    for hint in (*hints, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)):
        side = np.array(hint) - up * float(np.array(hint) @ up)
        if np.linalg.norm(side) > 0.1:
            return np.asarray(side / np.linalg.norm(side))
    raise ValueError("no direction is square to one without length")
