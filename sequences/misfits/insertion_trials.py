"""Bring parts in wrong, by exact sweeps: how far they get, what they meet, what can then no longer come.

Parts are taken as rigid and are neither tilted nor wriggled; elastic ones pass in their passing shape.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import manifold3d as m3
import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.overlaps import (
    Body,
    Box,
    Overlap,
    Role,
    alike,
    box_of,
    boxes_meet,
    cropped,
    matrix34,
    meets,
    overlap,
)
from ...geometry.meshes.sweeps import first_contact, swept
from ..order.order import OrderGraph, PlannedMove, lead_of
from ..order.paths import STILL, Ways, box_round, clear_distance
from ..steps.travel_poses import Stretch

STAND_OFF_MM = 0.5
"""A part that stands off by less is taken to be home by whoever fits it."""
DEEPER_MM = 5.0
"""How far past its aim a part is followed."""
_COARSE_MM = 0.2
_FINE_MM = 0.05
_KEPT = 24
_KEPT_SWEEPS = 3
SOFT_ALIKE = 4
"""Times the tolerance within which two soft shapes are the same."""
_LARGE = 4000
"""Meshes of more triangles are cut down to where they matter."""


@dataclass(frozen=True)
class Mover:
    """A part at a place that a mistake aims for."""

    key: str
    place: Place
    elastic: bool


@dataclass(frozen=True)
class Met:
    """How deep a part overlaps others, where (mm), and whom, deepest first."""

    depth_mm: float
    at: Vec3
    parts: tuple[str, ...]


class Trial:
    """Some parts of one move, among what is there, what is to come, and their right seats.

    A move may carry several clusters of parts that do not touch (the seals of both sides); each is tried alone.
    """

    def __init__(self, ways: Ways, graph: OrderGraph, move: PlannedMove, cluster: Sequence[str]) -> None:
        self.ways, self.graph, self.move = ways, graph, move
        self.bodies = ways.bodies
        self.parts = ways.bodies.assembly.parts
        self.cluster = tuple(cluster)
        self.lead = lead_of(ways, cluster)
        self.fixed = tuple(k for k in move.present if k not in move.parts)
        self.others = tuple(k for k in self.parts if k not in self.cluster)
        self.later = tuple(k for k in self.others if k not in self.fixed)
        stretch: Stretch = move.path.stretches[0]
        slide = np.asarray(stretch.slide, float)
        self.out: Floats = slide / max(float(np.linalg.norm(slide)), 1e-9)
        self._near: dict[str, m3.Manifold] = {}
        self._sweeps: dict[tuple[int, bytes], m3.Manifold] = {}
        self._moved: dict[tuple[str, Place, Role], tuple[m3.Manifold, Box]] = {}
        self.right = tuple(Mover(k, self.place(k), self.parts[k].elastic is not None) for k in self.cluster)

    @property
    def tolerance_mm(self) -> float:
        """How far a mesh may be off its solid."""
        return self.ways.tolerance_mm

    def put_away(self) -> None:
        """Drop what was cut and moved; the answers stay."""
        self._near.clear()
        self._sweeps.clear()
        self._moved.clear()

    def place(self, key: str) -> Place:
        """Return where a part stands in the step of the move."""
        return self.move.poses.get(key, STILL) @ self.parts[key].place

    def misplaced(self, motion: Place, key: str) -> Place:
        """Return where part ``key`` gets in the step of the move by a ``motion`` told with the shafts at their mark."""
        return self.move.poses.get(self.lead, STILL) @ (motion @ self.parts[key].place)

    def there(self, key: str, role: Role = "core") -> m3.Manifold:
        """Return a part as it stands."""
        return self.bodies.placed(key, role, self.move.poses.get(key, STILL))

    def box(self, key: str, role: Role = "core") -> Box:
        """Return the box of a part as it stands."""
        return self.bodies.box(key, role, self.move.poses.get(key, STILL))

    def moved(self, mover: Mover, role: Role) -> m3.Manifold:
        """Return a mover as a manifold in its place."""
        at = (mover.key, mover.place, role)
        if at not in self._moved:
            if len(self._moved) > _KEPT:
                self._moved.clear()
            there = self.bodies.own(mover.key, role).manifold.transform(matrix34(mover.place))
            self._moved[at] = (there, box_of(there))
        return self._moved[at][0]

    def moved_box(self, mover: Mover, role: Role) -> Box:
        """Return the box of :meth:`moved`."""
        self.moved(mover, role)
        return self._moved[mover.key, mover.place, role][1]

    @cached_property
    def _zone(self) -> Box:
        """Box that holds the cluster however it is turned, from past its place to outside."""
        low, high = box_round(self.ways, self.cluster, self.move.poses)
        middle, radius = (low + high) / 2, float(np.linalg.norm(high - low)) / 2 + 2.0
        far = clear_distance((low, high), box_round(self.ways, self.parts, self.move.poses), vec(self.out))
        ends = [middle - self.out * (radius + DEEPER_MM), middle + self.out * (far + radius)]
        flat = radius * (1 - np.abs(self.out))
        return np.minimum(*ends) - flat, np.maximum(*ends) + flat

    def near(self, key: str) -> m3.Manifold:
        """Return a part as it stands, a big one cut down to where the cluster can come."""
        if key not in self._near:
            there = self.there(key)
            if there.num_tri() > _LARGE:
                there = cropped(there, self._zone)
            self._near[key] = there
        return self._near[key]

    @cached_property
    def at_home(self) -> tuple[float, tuple[str, ...]]:
        """:meth:`seat` of the right parts among all that is there."""
        return self.seat(self.right, self.fixed)

    @property
    def home(self) -> float:
        """How far past its place the right parts could go, mm."""
        return self.at_home[0]

    def bears_without(self, gone: Collection[str]) -> bool:
        """Return whether the right parts bear where they do also with parts left out, or bear on nothing either way."""
        return self.home > -STAND_OFF_MM and not (self.at_home[1] and set(self.at_home[1]) <= set(gone))

    def seat(self, movers: Sequence[Mover], fixed: Collection[str]) -> tuple[float, tuple[str, ...]]:
        """Return how far past their aim the movers get before they bear (negative: short of it), and on what.

        They come from clear of everything. Without contact by :data:`DEEPER_MM` past the aim the answer is that.
        """
        outside = box_round(self.ways, [*self.fixed, *(m.key for m in movers)], self.move.poses)
        # Soft parts that ride on rigid ones give way: the rigid ones tell where it bears.
        movers = [m for m in movers if not m.elastic] or movers
        along = vec(self.out)
        far = max(clear_distance(self.moved_box(m, "passing"), outside, along) for m in movers)
        best = far + DEEPER_MM
        by: tuple[str, ...] = ()
        for m in movers:
            box = self.moved_box(m, "passing")
            ends = [(box[0] + s * self.out, box[1] + s * self.out) for s in (far, far - best)]
            way = (np.minimum(ends[0][0], ends[1][0]), np.maximum(ends[0][1], ends[1][1]))
            keys = [k for k in fixed if boxes_meet(way, self.box(k))]
            others = [self.near(k) for k in keys]
            # Only a contact before the best one so far matters, and its exact place only near home.
            free, met = first_contact(
                self.bodies.own(m.key, "passing"),
                m.place.moved(*(far * self.out)),
                -self.out * best,
                others,
                self.tolerance_mm,
                _FINE_MM,
                (far - STAND_OFF_MM, _COARSE_MM),
                far,
                self._sweep,
            )
            if met:
                best, by = free, tuple(keys[i] for i in met)
        return best - far, by

    def _sweep(self, body: Body, slide: Floats) -> m3.Manifold:
        """Return :func:`swept`; a part turned about its travel passes through the same in its own frame."""
        at = (id(body), slide.tobytes())
        if at not in self._sweeps:
            if len(self._sweeps) >= _KEPT_SWEEPS:
                self._sweeps.pop(next(iter(self._sweeps)))
            self._sweeps[at] = swept(body, slide)
        return self._sweeps[at]

    def outer_block(self, movers: Sequence[Mover]) -> tuple[str, ...]:
        """Return what is in the movers' way beyond the bends of a travel; the straight way in is :meth:`seat`."""
        for stretch in self.move.path.stretches[1:]:
            slide = np.asarray(stretch.slide)
            if float(np.linalg.norm(np.cross(slide, self.out))) < 1e-6 * max(1.0, stretch.length_mm):
                continue
            for m in movers:
                place = stretch.start @ m.place
                way = swept(self.bodies.own(m.key, "passing"), place.inverse().direction(stretch.slide))
                way = way.transform(matrix34(place))
                by = tuple(k for k in self.fixed if meets(way, self.there(k), self.tolerance_mm))
                if by:
                    return by
        return ()

    def met_in_place(
        self, movers: Sequence[Mover], keys: Iterable[str], role: Role = "core", least_mm: float = 0.0
    ) -> Met | None:
        """Return how deep the movers overlap parts where they are; overlaps up to ``least_mm`` do not count."""
        pairs = itertools.product(movers, list(keys))
        found = [(o, k) for m, k in pairs if (o := self._overlap(m, k, role)) and o.depth_mm > least_mm]
        if not found:
            return None
        found.sort(key=lambda f: -f[0].depth_mm)
        deepest = found[0][0]
        return Met(deepest.depth_mm, deepest.at, tuple(dict.fromkeys(k for _, k in found)))

    def _overlap(self, mover: Mover, key: str, role: Role) -> Overlap | None:
        """Return what a mover and part ``key`` as it stands share."""
        there, box = self.moved(mover, role), self.moved_box(mover, role)
        return overlap(there, self.there(key), self.tolerance_mm) if boxes_meet(box, self.box(key)) else None

    def same_shape(self, movers: Sequence[Mover]) -> bool:
        """Return whether moved parts fill the same space as before, each as itself or as an equal part."""
        for m in movers:
            there, box = self.moved(m, "free"), self.moved_box(m, "free")
            kind = self.parts[m.key].kind
            for k in self.cluster:
                if self.parts[k].kind != kind or not np.allclose(box, self.box(k, "free"), atol=0.1):
                    continue
                if self._alike(m, k, there):
                    break
            else:
                return False
        return True

    def _alike(self, mover: Mover, key: str, there: m3.Manifold) -> bool:
        """Compare a moved part with part ``key``; equal solids moved alike are compared once."""
        parts, memo = self.parts, self.ways.memo
        off = parts[key].place.inverse() @ self.move.poses.get(key, STILL).inverse() @ mover.place
        at = ("alike", id(parts[mover.key].solid), id(parts[key].solid), np.round(off.matrix(), 6).tobytes())
        if at not in memo:
            tolerance = self.tolerance_mm * (SOFT_ALIKE if mover.elastic else 1)
            turned = bool(np.allclose(off.matrix()[2], (0, 0, 1, 0), atol=1e-9)) and key == mover.key
            about_z = turned and float(np.hypot(*off.shift[:2])) < 1e-6
            memo[at] = (about_z and self.bodies.round_about_z(key)) or alike(
                self.there(key, "free"), there, tolerance
            )
        return bool(memo[at])


def trial_of(ways: Ways, graph: OrderGraph, move: PlannedMove, cluster: Sequence[str]) -> Trial:
    """Return the trial of a cluster of a move, made once."""
    at = ("trial", id(graph), move.number, tuple(cluster))
    trial = ways.memo.get(at)
    if not isinstance(trial, Trial):
        trial = ways.memo[at] = Trial(ways, graph, move, cluster)
    return trial


def clusters(graph: OrderGraph, keys: Sequence[str]) -> list[tuple[str, ...]]:
    """Return the groups of ``keys`` that hang together by touching, in their order."""
    left = list(keys)
    found = []
    while left:
        group, todo = [], [left[0]]
        while todo:
            key = todo.pop()
            if key in left:
                left.remove(key)
                group.append(key)
                todo += [k for k in graph.touching[key] if k in left]
        found.append(tuple(k for k in keys if k in group))
    return found


def vec(v: Floats) -> Vec3:
    """Return three numbers as a tuple."""
    return (float(v[0]), float(v[1]), float(v[2]))
