"""Straight ways out, for a first sequence: which part closes which, past what overlaps in place already.

Files of strangers have threads drawn into the full metal and seals in their free shape. So two parts that overlap in
place only close each other's way where they meet deeper than they do in place. What this finds is proven afterwards
like every sequence (:mod:`..proof`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import manifold3d as m3
import numpy as np

from ...geometry.assembly import Assembly
from ...geometry.frame import Vec3, X, Y, Z, unit
from ...geometry.meshes.overlaps import Bodies, Box, Overlap, Role, box_of, boxes_meet, gap, overlap
from ...geometry.meshes.sweeps import swept
from ..order.paths import clear_distance

TOLERANCE_MM = 0.02
"""How far meshes may be off here: less than the play of sliding fits."""
TOUCH_MM = 0.25
DEEPER = 1.6
"""Times as deep as in place two parts may meet on the way."""
PROBE_MM = 0.2
MOST_SWEEPS = 4_000
"""Sweeps that are kept at a time."""


@dataclass
class FreeWays:
    """Answers about one assembly, each worked out once; ``pairs`` counts the booleans."""

    assembly: Assembly
    tolerance_mm: float = TOLERANCE_MM

    def __post_init__(self) -> None:
        self.bodies = Bodies(self.assembly, self.tolerance_mm)
        self.pairs = 0
        self._sweeps: dict[tuple[int, bytes], m3.Manifold] = {}
        self._closed: dict[tuple[str, Vec3, str, Role], bool] = {}
        self._ways: dict[tuple[str, Vec3, Role], tuple[m3.Manifold, Box]] = {}

    @cached_property
    def whole(self) -> Box:
        """The box round all parts."""
        return self.bodies.box_of_all(self.assembly.parts)

    @cached_property
    def near(self) -> dict[str, set[str]]:
        """Parts whose boxes nearly meet."""
        found: dict[str, set[str]] = {k: set() for k in self.assembly.parts}
        for a, b in combinations(self.assembly.parts, 2):
            if boxes_meet(self.bodies.box(a), self.bodies.box(b), TOUCH_MM):
                found[a].add(b)
                found[b].add(a)
        return found

    @cached_property
    def overlaps(self) -> dict[frozenset[str], Overlap]:
        """Pairs that overlap in place, and how deep."""
        found = {}
        for a, b in combinations(self.assembly.parts, 2):
            if b in self.near[a]:
                self.pairs += 1
                shared = overlap(
                    self.bodies.placed(a, "core"), self.bodies.placed(b, "core"), self.tolerance_mm
                )
                if shared is not None:
                    found[frozenset((a, b))] = shared
        return found

    @cached_property
    def touching(self) -> dict[str, set[str]]:
        """Parts that hold each other: they touch, or nearly so."""
        found: dict[str, set[str]] = {k: set() for k in self.assembly.parts}
        for a, others in self.near.items():
            for b in others:
                if a < b and self._touch(a, b):
                    found[a].add(b)
                    found[b].add(a)
        return found

    @cached_property
    def carriers(self) -> dict[str, str]:
        """Nuts, each with the part that it is screwed on: what fills the middle of its thread."""
        return {k: on for k, on in self.worn.items() if self.assembly.part(k).thread}

    @cached_property
    def worn(self) -> dict[str, str]:
        """Rings of any sort, each with the part that fills its middle: nuts, washers, collars."""
        found = {}
        for part in self.assembly:
            if not self.bodies.open_about_z(part.key):
                continue
            low, high = self.bodies.box(part.key)
            middle = (low + high) / 2
            probe = m3.Manifold.cube((PROBE_MM,) * 3, True).translate(tuple(middle.tolist()))
            for other in sorted(self.near[part.key]):
                if not (probe ^ self.bodies.placed(other, "core")).is_empty():
                    found[part.key] = other
                    break
        return found

    def _touch(self, a: str, b: str) -> bool:
        if frozenset((a, b)) in self.overlaps:
            return True
        self.pairs += 1
        return gap(self.bodies.placed(a), self.bodies.placed(b), TOUCH_MM) < TOUCH_MM

    def directions(self, key: str) -> tuple[Vec3, ...]:
        """Return the straight ways that are tried for a part: its own axis both ways, then the assembly's axes."""
        own = self.assembly.part(key).place.direction(Z)
        found: list[Vec3] = []
        for d in (own, X, Y, Z):
            for sign in (1.0, -1.0):
                v = unit((sign * d[0], sign * d[1], sign * d[2]))
                v = _snapped(v)
                if all(float(np.dot(v, u)) < 1 - 1e-6 for u in found):
                    found.append(v)
        return tuple(found)

    def closes(self, other: str, key: str, d: Vec3, role: Role = "passing") -> bool:
        """Return whether part ``other`` in place closes the straight way of ``key`` out along ``d``."""
        at = (key, d, other, role)
        if at not in self._closed:
            self._closed[at] = self._find_closed(other, key, d, role)
        return self._closed[at]

    def _find_closed(self, other: str, key: str, d: Vec3, role: Role) -> bool:
        way, box = self._way(key, d, role)
        if not boxes_meet(box, self.bodies.box(other)):
            return False
        role_free = self.assembly.part(key).elastic is None
        shared = self.overlaps.get(frozenset((key, other))) if role_free and other in self.near[key] else None
        allowed = self.tolerance_mm + (DEEPER * shared.depth_mm if shared else 0.0)
        self.pairs += 1
        met = overlap(way, self.bodies.placed(other, "core"), allowed if shared else self.tolerance_mm)
        return met is not None and met.depth_mm > allowed

    def _way(self, key: str, d: Vec3, role: Role = "passing") -> tuple[m3.Manifold, Box]:
        at = (key, d, role)
        if at not in self._ways:
            if len(self._ways) >= MOST_SWEEPS:
                self._ways.clear()
                self._sweeps.clear()
            body, place = self.bodies.own(key, role), self.assembly.part(key).place
            far = clear_distance(self.bodies.box(key), self.whole, d)
            own = np.round(np.array(place.inverse().direction((d[0] * far, d[1] * far, d[2] * far))), 6)
            mine = (id(body), own.tobytes())
            if mine not in self._sweeps:
                self._sweeps[mine] = swept(body, own)
            way = self._sweeps[mine].transform(place.matrix()[:3])
            self._ways[at] = (way, box_of(way))
        return self._ways[at]

    def blocker(self, key: str, d: Vec3, there: Iterable[str]) -> str | None:
        """Return a part of ``there`` that closes the way of ``key`` along ``d``, a near one first; None: it is free."""
        way_box = self._way(key, d)[1]
        boxes = self.bodies.box
        middle = np.array(boxes(key)).mean(axis=0)
        inside = [k for k in there if k != key and boxes_meet(way_box, boxes(k))]
        inside.sort(key=lambda k: (float(np.linalg.norm(np.array(boxes(k)).mean(axis=0) - middle)), k))
        return next((k for k in inside if self.closes(k, key, d)), None)

    def riding_blockers(self, key: str, d: Vec3, there: Iterable[str]) -> set[str]:
        """Return all parts of ``there`` that close the way of ``key`` along ``d``, an elastic one seated on another."""
        return {k for k in there if k != key and self.closes(k, key, d, "core")}


def _snapped(d: Vec3) -> Vec3:
    """Return a direction with the noise of a file's figures taken off."""
    r = tuple(round(c, 6) + 0.0 for c in d)
    big = max(range(3), key=lambda i: abs(r[i]))
    if abs(abs(r[big]) - 1) < 1e-5:
        r = tuple((1.0 if r[i] > 0 else -1.0) if i == big else 0.0 for i in range(3))
    return unit((r[0], r[1], r[2]))


def masses(assembly: Assembly) -> Mapping[str, float]:
    """Return how much each part weighs against the others: by its volume, since materials are not known."""
    return {p.key: p.volume_mm3 for p in assembly}
