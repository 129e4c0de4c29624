"""Clear paths: does a part reach its place along its travel, past what is already there?

A travel is told outwards from the place, in stretches (:mod:`..steps.travel_poses`). Slides are tested
by the exact volume they pass through, turns within a bound (:mod:`...geometry.meshes.sweeps`); nothing is sampled and
jumped over. Whoever fits a part brings it from outside, so the outermost stretch is always followed until the
part is clear of the whole assembly, also where the sequence tells only its last millimetres.

Elastic parts travel in their passing shape and lie pressed in by their declared squeeze; both must be clear of
everything. Contact no deeper than the mesh tolerance is no overlap.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import manifold3d as m3
import numpy as np

from ...geometry.bisection import turning_point
from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.overlaps import (
    Bodies,
    Body,
    Box,
    Overlap,
    Role,
    box_of,
    boxes_meet,
    gap,
    meets,
    offset,
    overlap,
)
from ...geometry.meshes.sweeps import first_contact, swept, turn_hull, turned_contact
from ..steps.plan import Leg, Move
from ..steps.travel_poses import Stretch, following, outwards, turning_axis

STILL = Place()
GAP_REACH_MM = 2.0
"""Gaps wider than this are only said to be wider."""
BEARING_MM = 0.5
"""Gaps are read up to this far before the place: there the part comes to bear on its neighbours."""
_MARGIN_MM = 1.0
_TIGHTEST_SHARE = 1 / 128
"""Share of a slide to which its tightest place is told."""


@dataclass(frozen=True)
class Block:
    """A part in the way."""

    part: str
    """The moving part that meets it."""
    by: str
    remaining_mm: float
    """How far the moving parts still are from their place where they first meet it, coming from outside; for parts that
    leave, how far they have come."""
    overlap: Overlap


@dataclass(frozen=True)
class PathGap:
    """The tightest spot of a clear path."""

    mm: float
    part: str
    other: str
    from_place_mm: float
    """The outermost position where it is that tight: distance still to go."""


@dataclass(frozen=True)
class PathEvidence:
    """What geometry showed about one move."""

    parts: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    blocks: tuple[Block, ...]
    gap: PathGap | None
    """None where no rigid part comes within :data:`GAP_REACH_MM`, or the path is not clear."""
    found: bool = False
    """Whether the travel was found here because the step leaves it out."""
    tried: int = 0
    """Directions, and poses of turns, tried to find it."""

    @property
    def clear(self) -> bool:
        """Whether nothing is in the way."""
        return not self.blocks


def clear_distance(moving: Box, fixed: Box, direction: Vec3) -> float:
    """Return how far box ``moving`` goes along unit ``direction`` until it is past box ``fixed``, mm, 0 at least.

    >>> one = (np.zeros(3), np.ones(3))
    >>> clear_distance(one, one, (0.0, 0.0, 1.0))
    2.0
    """
    d = np.asarray(direction, float)
    moving_back = float(np.where(d > 0, moving[0], moving[1]) @ d)
    fixed_front = float(np.where(d > 0, fixed[1], fixed[0]) @ d)
    return max(0.0, fixed_front - moving_back + _MARGIN_MM)


def stretches_of(legs: Sequence[Leg], into: bool, own: Place, moving: Box, fixed: Box) -> tuple[Stretch, ...]:
    """Return a move's legs as stretches, told outwards.

    Args:
        legs: from where the parts start to where they end.
        into: whether they end in their place, else they start there.
        own: place of the part whose axis they turn about.
        moving: box round the moving parts in place.
        fixed: box round everything the move has to get clear of.
    """
    stretches: list[Stretch] = []
    motion = STILL
    ordered = outwards(legs, into)
    for number, (leg, sign) in enumerate(ordered):
        d = np.asarray(leg.direction, float)
        d = sign * d / max(float(np.linalg.norm(d)), 1e-12)
        away = clear_distance(turned_box(moving, motion), fixed, tuple(d))
        length = away if leg.distance_mm is None else leg.distance_mm
        if number == len(ordered) - 1 and not leg.turn_deg:
            length = max(length, away)
        slide = (float(d[0] * length), float(d[1] * length), float(d[2] * length))
        turn = sign * leg.turn_deg
        stretch = following(stretches, slide, turn, own, turning_axis(leg, own), leg.through)
        stretches.append(stretch)
        motion = stretch.end
    last = stretches[-1] if stretches else None
    if last is not None and last.turn_deg:
        # A turn that stays within the box of the rest is not outside yet: go on straight.
        d = np.asarray(ordered[-1][0].direction, float) * ordered[-1][1]
        if float(np.linalg.norm(d)) > 1e-9:
            d /= np.linalg.norm(d)
            turned = turned_box(moving, motion)
            rest = clear_distance(turned, fixed, tuple(d))
            if rest > _MARGIN_MM:
                stretches.append(Stretch(motion, tuple((d * rest).tolist())))
    return tuple(stretches)


def turned_box(box: Box, motion: Place) -> Box:
    """Return the box round a box that a motion carries along."""
    corners = np.array([[box[i][0], box[j][1], box[k][2]] for i in (0, 1) for j in (0, 1) for k in (0, 1)])
    carried = motion.points(corners)
    return carried.min(axis=0), carried.max(axis=0)


class Ways:
    """Sweeps and answers of one assembly, each worked out once.

    ``poses`` in the calls name how parts stand away from the places of the assembly (parts on a turned shaft).
    """

    def __init__(self, bodies: Bodies) -> None:
        self.bodies = bodies
        self._sweeps: dict[tuple[str, Role, Place, Stretch], tuple[m3.Manifold, Box]] = {}
        self._hulls: dict[tuple[int, Vec3, Vec3], Body] = {}
        self.memo: dict[object, object] = {}
        """For what is worked out once over these ways, by those who work it out."""
        self._closed: dict[tuple[str, Role, str, Place, Place, Stretch], bool] = {}
        self._drawn_in: dict[tuple[str, Place], m3.Manifold] = {}
        self._own_sweeps: dict[tuple[int, bytes], m3.Manifold] = {}
        self._gaps: dict[tuple[str, str, Place, Place, Stretch], tuple[float, float]] = {}

    @property
    def tolerance_mm(self) -> float:
        """How far a mesh may be off its solid."""
        return self.bodies.tolerance_mm

    def sweep(self, key: str, role: Role, pose: Place, stretch: Stretch) -> tuple[m3.Manifold, Box]:
        """Return what part ``key`` passes through on a stretch (turned: the hull of whole turns), and its box."""
        at = (key, role, pose, stretch)
        if at not in self._sweeps:
            body, place = (
                self.bodies.own(key, role),
                stretch.start @ pose @ self.bodies.assembly.part(key).place,
            )
            if stretch.turn_deg:
                body = self._hull(body, place, stretch)
            # Rounded, so that twins pass through the same in their own frames.
            own = np.round(place.inverse().direction(stretch.slide), 9)
            mine = (id(body), own.tobytes())
            if mine not in self._own_sweeps:
                self._own_sweeps[mine] = swept(body, own)
            way = self._own_sweeps[mine].transform(place.matrix()[:3])
            self._sweeps[at] = (way, box_of(way))
        return self._sweeps[at]

    def gap_on_the_way(
        self, key: str, other: str, stretch: Stretch, pose: Place, other_pose: Place, reach_mm: float
    ) -> float:
        """Return the smallest gap of part ``key`` on a stretch to part ``other`` in place, mm, ``reach_mm`` at most."""
        at = (key, other, pose, other_pose, stretch)
        found, looked = self._gaps.get(at, (0.0, 0.0))
        if found >= looked < reach_mm:  # nothing yet as far as was looked
            way, _ = self.sweep(key, "passing", pose, stretch)
            found = gap(way, self.bodies.placed(other, "core", other_pose), reach_mm)
            self._gaps[at] = (found, reach_mm)
        return min(found, reach_mm)

    def forget_sweeps(self) -> None:
        """Drop the sweeps, which are large; the answers stay."""
        self._sweeps.clear()
        self._own_sweeps.clear()
        self._drawn_in.clear()

    def _hull(self, body: Body, place: Place, stretch: Stretch) -> Body:
        own = place.inverse()
        about, axis = _rounded(own.point(stretch.about)), _rounded(own.direction(stretch.axis))
        at = (id(body), about, axis)
        if at not in self._hulls:
            hull = turn_hull(body, about, axis, self.tolerance_mm)
            self._hulls[at] = Body.of_manifold(hull, f"{body.name}, turned")
        return self._hulls[at]

    def role_on_the_way(self, key: str, together: Sequence[str]) -> Role:
        """Return the shape in which a part travels with others: an elastic one seated on a rigid one stays so."""
        parts = self.bodies.assembly.parts
        rides = parts[key].elastic is not None and any(parts[k].elastic is None for k in together)
        return "core" if rides else "passing"

    def closes(
        self,
        other: str,
        key: str,
        stretch: Stretch,
        pose: Place = STILL,
        other_pose: Place = STILL,
        role: Role = "passing",
    ) -> bool:
        """Return whether part ``other`` in place closes the way of part ``key`` on a stretch."""
        at = (key, role, other, pose, other_pose, stretch)
        if at not in self._closed:
            self._closed[at] = self._find_closed(key, role, other, stretch, pose, other_pose)
        return self._closed[at]

    def _find_closed(
        self, key: str, role: Role, other: str, stretch: Stretch, pose: Place, other_pose: Place
    ) -> bool:
        way, box = self.sweep(key, role, pose, stretch)
        if not boxes_meet(box, self.bodies.box(other, "core", other_pose)):
            return False
        there = self.bodies.placed(other, "core", other_pose)
        if not meets(way, there, self.tolerance_mm, partial(self._inside, other, other_pose)):
            return False
        if not stretch.turn_deg or abs(stretch.turn_deg) >= 360:
            return True
        return self._turned(key, role, there, stretch, pose) is not None

    def _inside(self, key: str, pose: Place) -> m3.Manifold:
        """Return part ``key`` in place with its surface drawn in by the tolerance."""
        at = (key, pose)
        if at not in self._drawn_in:
            self._drawn_in[at] = offset(self.bodies.placed(key, "core", pose), -self.tolerance_mm)
        return self._drawn_in[at]

    def shared(
        self, key: str, role: Role, other: str, stretch: Stretch, pose: Place, other_pose: Place
    ) -> Overlap | None:
        """Return where part ``key`` meets part ``other`` on a stretch, measured; None where it is clear."""
        there = self.bodies.placed(other, "core", other_pose)
        if stretch.turn_deg and abs(stretch.turn_deg) < 360:
            met = self._turned(key, role, there, stretch, pose)
            return met[1] if met else None
        return overlap(self.sweep(key, role, pose, stretch)[0], there, self.tolerance_mm)

    def _turned(
        self, key: str, role: Role, other: m3.Manifold, stretch: Stretch, pose: Place
    ) -> tuple[float, Overlap] | None:
        """Follow a turn from its outer end inwards."""
        body = self.bodies.own(key, role)
        outer = stretch.end @ pose @ self.bodies.assembly.part(key).place
        back: Vec3 = (-stretch.slide[0], -stretch.slide[1], -stretch.slide[2])
        spun = self._hull(body, outer, stretch)
        return turned_contact(
            body, spun, outer, back, -stretch.turn_deg, stretch.about, stretch.axis, other, self.tolerance_mm
        )

    def remaining(
        self,
        key: str,
        role: Role,
        other: str,
        stretches: Sequence[Stretch],
        number: int,
        pose: Place,
        other_pose: Place,
        into: bool,
    ) -> float:
        """Return how far ``key`` is from its place (leaving: has come) where it first meets ``other``, mm."""
        stretch = stretches[number]
        inner = sum(s.length_mm for s in stretches[:number])
        there = self.bodies.placed(other, "core", other_pose)
        if stretch.turn_deg:
            met = self._turned(key, role, there, stretch, pose) if abs(stretch.turn_deg) < 360 else None
            return inner + stretch.length_mm * (1 - met[0] if met else 1.0)
        body, place = self.bodies.own(key, role), pose @ self.bodies.assembly.part(key).place
        s = np.asarray(stretch.slide)
        if into:
            free, _ = first_contact(body, stretch.end @ place, -s, [there], self.tolerance_mm)
            return inner + stretch.length_mm - free
        free, _ = first_contact(body, stretch.start @ place, s, [there], self.tolerance_mm)
        return inner + free


def _rounded(v: Vec3) -> Vec3:
    return (round(v[0], 9) + 0.0, round(v[1], 9) + 0.0, round(v[2], 9) + 0.0)


def check_path(
    ways: Ways,
    move: Move,
    present: Iterable[str],
    stretches: Sequence[Stretch],
    poses: Mapping[str, Place] | None = None,
    measure_gap: bool = True,
) -> PathEvidence:
    """Return what a move meets on its way, and the tightest spot where it meets nothing.

    Args:
        ways: of the assembly.
        move: the parts that travel together.
        present: keys of the parts that are there; those of the move itself do not count.
        stretches: the travel, outwards.
        poses: how parts stand away from their places, by key.
        measure_gap: whether to measure the tightest spot.
    """
    poses = poses or {}
    fixed = [k for k in present if k not in move.parts]
    blocks: list[Block] = []
    for key in move.parts:
        pose, role = poses.get(key, STILL), ways.role_on_the_way(key, move.parts)
        for other in fixed:
            other_pose = poses.get(other, STILL)
            # Coming in, the outermost stretch is met first; leaving, the innermost.
            numbers = range(len(stretches))
            for n in reversed(numbers) if move.into else numbers:
                if not ways.closes(other, key, stretches[n], pose, other_pose, role):
                    continue
                found = ways.shared(key, role, other, stretches[n], pose, other_pose)
                if found:
                    left = ways.remaining(key, role, other, stretches, n, pose, other_pose, move.into)
                    blocks.append(Block(key, other, left, found))
                    break
    blocks.sort(key=lambda b: -b.remaining_mm if move.into else b.remaining_mm)
    tight = _tightest(ways, move, fixed, stretches, poses) if measure_gap and not blocks else None
    return PathEvidence(move.parts, tuple(stretches), tuple(blocks), tight)


def _tightest(
    ways: Ways,
    move: Move,
    fixed: Sequence[str],
    stretches: Sequence[Stretch],
    poses: Mapping[str, Place],
) -> PathGap | None:
    """Return the smallest gap of rigid parts on the way, and the outermost position where it is reached."""
    parts = ways.bodies.assembly.parts
    best: tuple[float, str, str, int] | None = None
    # Where parts are turned in their place they bear already: what is before their first slide tells nothing.
    first = next((n for n, s in enumerate(stretches) if s.length_mm > 0), 0)
    for n, whole in enumerate(stretches[first:], first):
        stretch = _without_bearing(whole) if n == first else whole
        if 0 < abs(stretch.turn_deg) < 360 and _meets_once_round(ways, move, fixed, stretch, poses):
            continue
        for key in (k for k in move.parts if parts[k].elastic is None):
            _, box = ways.sweep(key, "passing", poses.get(key, STILL), stretch)
            for other in (k for k in fixed if parts[k].elastic is None):
                other_pose = poses.get(other, STILL)
                reach = best[0] if best else GAP_REACH_MM
                if not boxes_meet(box, ways.bodies.box(other, "core", other_pose), reach):
                    continue
                g = ways.gap_on_the_way(key, other, stretch, poses.get(key, STILL), other_pose, reach)
                if g < reach:
                    best = (g, key, other, n)
    if best is None:
        return None
    g, key, other, n = best
    stretch = _without_bearing(stretches[n]) if n == first else stretches[n]
    inner = sum(s.length_mm for s in stretches[:n]) + (stretches[n].length_mm - stretch.length_mm)
    at = ("tightest", key, other, poses.get(key, STILL), poses.get(other, STILL), stretch)
    if at not in ways.memo:
        there = ways.bodies.placed(other, "core", poses.get(other, STILL))
        ways.memo[at] = _where_tightest(ways, key, poses.get(key, STILL), stretch, there, g)
    share = ways.memo[at]
    assert isinstance(share, float)
    return PathGap(g, key, other, inner + share * stretch.length_mm)


def _meets_once_round(
    ways: Ways, move: Move, fixed: Sequence[str], stretch: Stretch, poses: Mapping[str, Place]
) -> bool:
    """Return whether parts that turn by less would meet something on a whole turn: then no gap can be read from it."""
    for key in move.parts:
        role = ways.role_on_the_way(key, move.parts)
        way, box = ways.sweep(key, role, poses.get(key, STILL), stretch)
        for other in fixed:
            pose = poses.get(other, STILL)
            if boxes_meet(box, ways.bodies.box(other, "core", pose)) and meets(
                way, ways.bodies.placed(other, "core", pose), ways.tolerance_mm
            ):
                return True
    return False


def _where_tightest(
    ways: Ways, key: str, pose: Place, stretch: Stretch, there: m3.Manifold, least_mm: float
) -> float:
    """Return the outermost share of a slide at which the gap is down to its least, within the tolerance."""
    if stretch.turn_deg:
        return 0.0

    def wider(share: float) -> bool:
        way = _loose_sweep(ways, key, pose, stretch.beyond(share))
        return gap(way, there, least_mm + 2 * ways.tolerance_mm) > least_mm + ways.tolerance_mm

    return turning_point(wider, 0.0, 1.0, _TIGHTEST_SHARE)[0]


def _loose_sweep(ways: Ways, key: str, pose: Place, stretch: Stretch) -> m3.Manifold:
    body = ways.bodies.own(key, "passing")
    place = stretch.start @ pose @ ways.bodies.assembly.part(key).place
    return swept(body, place.inverse().direction(stretch.slide)).transform(place.matrix()[:3])


def _without_bearing(stretch: Stretch) -> Stretch:
    """Return a stretch that ends a little before the place, where the part comes to bear."""
    length = stretch.length_mm
    if length < 1e-9:
        return stretch
    return stretch.beyond(min(BEARING_MM, 0.1 * length) / length)


def box_round(ways: Ways, keys: Iterable[str], poses: Mapping[str, Place] | None = None) -> Box:
    """Return the box round the free shapes of ``keys`` as they stand."""
    poses = poses or {}
    boxes = [ways.bodies.box(k, "free", poses.get(k, STILL)) for k in keys]
    low: Floats = np.min([b[0] for b in boxes], axis=0)
    high: Floats = np.max([b[1] for b in boxes], axis=0)
    return low, high
