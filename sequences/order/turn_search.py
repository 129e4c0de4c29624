"""Find a way out with turns, where no slide alone leads out: a bayonet, a key, a hook, a lug under a claw.

A way is a few stretches: slides, and turns about lines that the solids themselves suggest (axes of round faces of the
part and of what it lies against, its own axis, lines through its middle). What is tried is sampled: how much a part
would meet on its way out is worked out at angles so near to each other that its outermost point goes
:data:`STEP_MM` between them (or a fortieth of its radius, where that is more), and where that is least the angle is
narrowed down until nothing is met. What is found is then tested as the proof tests it, without samples
(:func:`.travel_search.clear_way`). So a sample can miss a way, and never make one up.
"""

from __future__ import annotations

import math
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

import manifold3d as m3
import numpy as np

from ...geometry.bisection import turning_point
from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.overlaps import LEAST_VOLUME_MM3, Body, box_of, offset
from ...geometry.meshes.sweeps import swept
from ..steps.travel_poses import Stretch
from .paths import STILL, Ways, box_round, clear_distance, turned_box
from .travel_search import FoundTravel, candidates, clear_way, find_travel, reach_on, stops_on
from .turn_lines import TurnLine, turn_lines

MOST_STRETCHES = 4
"""Slides and turns of a way: turn, slide, turn, slide."""
MOST_PROBES = 800
"""Poses looked at in each of the four rounds of a search before it says that it found nothing."""
STEP_MM = 1.0
"""How far the outermost point goes between two angles looked at."""
STEP_SHARE = 1 / 40
"""The same as a share of its radius, rad, where that is more."""
ASKEW_STEP_DEG = 15.0
"""Between two angles where the slide that follows is not along the axis, and each takes a sweep of its own."""
MOST_TURN_DEG = 180.0
"""How far a part is turned, either way."""
LEAST_TURN_DEG, LEAST_TILT_DEG = 2.0, 5.0
"""Play to turn that is worth a look, before a slide along the axis turned about and across it."""
LEAST_MM = 0.5
COARSE_MM = 0.03
"""How far the meshes that are looked at may be off those of the proof."""
DEEP = 0.95
"""Share of what is met beside a least that may be met at it, for it to be worth a look."""
SLACK = 1.03
"""Times as much as at its least that is still as good."""
FINE_DEG = 0.02
"""To what an angle is narrowed down."""
PLAY_DEG = 15.0
"""How far beyond the first free angle a part is turned at most."""
MOST_MINIMA = 3
_ZERO: Vec3 = (0.0, 0.0, 0.0)
_ODD_DEG, _ROUND = (37.0, 101.0), 2e-3
"""A part that fills the same space, but for this share of it, when it is turned by such angles is round."""


def find_way(
    ways: Ways,
    movers: Sequence[str],
    fixed: Sequence[str],
    poses: Mapping[str, Place] | None = None,
    round_all: Iterable[str] | None = None,
    until: float = math.inf,
) -> FoundTravel:
    """Return a clear way for ``movers`` out of ``fixed``: straight, with bends, or where there is none with turns.

    Args:
        ways: of the assembly.
        movers: parts that travel together.
        fixed: parts in place.
        poses: how parts stand away from their places.
        round_all: parts that the movers have to get clear of, ``fixed`` and they themselves if left out.
        until: second of the steady clock at which the search for turns ends.
    """
    round_all = list(round_all) if round_all is not None else None
    found = find_travel(ways, movers, fixed, poses, round_all)
    if found.stretches is not None:
        return found
    search = TurnSearch(ways, movers, fixed, poses or {}, round_all, until)
    return FoundTravel(search.way(), found.tried + search.probes, found.stopped_by)


class TurnSearch:
    """The search for one way; ``probes`` counts the poses looked at."""

    def __init__(
        self,
        ways: Ways,
        movers: Sequence[str],
        fixed: Sequence[str],
        poses: Mapping[str, Place],
        round_all: Iterable[str] | None = None,
        until: float = math.inf,
    ) -> None:
        self.ways, self.movers, self.fixed, self.poses = ways, list(movers), list(fixed), poses
        self.until, self.probes = until, 0
        self._most = 0
        everything = list(round_all) if round_all is not None else [*fixed, *movers]
        self.outside = box_round(ways, everything, poses)
        self.moving = box_round(ways, movers, poses)
        self.directions = candidates(ways, movers, fixed, poses)
        self.lines = turn_lines(ways, movers, fixed, poses)
        parts = ways.bodies.assembly.parts
        self._bodies: list[tuple[Body, Place]] = []
        for key in movers:
            own = ways.bodies.own(key, ways.role_on_the_way(key, movers))
            self._bodies.append((_coarse(own), poses.get(key, STILL) @ parts[key].place))
        boxes = [ways.bodies.box(k, "core", poses.get(k, STILL)) for k in fixed]
        self._lows = np.array([b[0] for b in boxes]).reshape(-1, 3)
        self._highs = np.array([b[1] for b in boxes]).reshape(-1, 3)
        self._there: dict[str, m3.Manifold] = {}
        self._sweeps: dict[bytes, list[m3.Manifold]] = {}
        self._ranges: dict[tuple[Place, TurnLine], tuple[float, float, float]] = {}
        self._wholes: dict[tuple[Place, TurnLine, Vec3], _Whole] = {}

    def _drawn_in(self, key: str) -> m3.Manifold:
        """Return a part that stays, coarse and drawn in by as much as both meshes may be off."""
        if key not in self._there:
            own, memo = self.ways.bodies.own(key, "core"), self.ways.memo
            at = ("coarse", id(own))
            if at not in memo:
                memo[at] = offset(_coarse(own).manifold, -(2 * COARSE_MM + self.ways.tolerance_mm))
            inside = memo[at]
            assert isinstance(inside, m3.Manifold)
            place = self.poses.get(key, STILL) @ self.ways.bodies.assembly.part(key).place
            self._there[key] = inside.transform(place.matrix()[:3])
        return self._there[key]

    def way(self) -> tuple[Stretch, ...] | None:
        """Return a clear way with turns, None where none was found: the short ones are tried first."""
        return self.short_way() or self.long_way()

    def short_way(self) -> tuple[Stretch, ...] | None:
        """Return a clear way of one turn and one slide, None where none was found."""
        return self._first(False)

    def long_way(self) -> tuple[Stretch, ...] | None:
        """Return a clear way of up to :data:`MOST_STRETCHES`, None where none was found."""
        return self._first(True)

    def _first(self, deep: bool) -> tuple[Stretch, ...] | None:
        """Return the first way found, of those that leave along the axis turned about before those across it."""
        for along in (True, False):
            self._most = self.probes + MOST_PROBES
            found = self._round(along, deep)
            if found is not None:
                return found
        return None

    @property
    def _spent(self) -> bool:
        return self.probes >= self._most or time.monotonic() > self.until

    def _round(self, along: bool, deep: bool) -> tuple[Stretch, ...] | None:
        queue: deque[tuple[Stretch, ...]] = deque([()])
        seen: set[tuple[float, ...]] = set()
        while queue and not self._spent:
            so_far = queue.popleft()
            further: list[tuple[Stretch, ...]] = []
            for line in self._lines_after(so_far):
                for found, out in self._turned(so_far, line, along, deep):
                    if out:
                        return found
                    if len(found) + 2 <= MOST_STRETCHES:
                        further.append(found)
            if deep and len(so_far) + 3 <= MOST_STRETCHES and not (so_far and so_far[-1].length_mm):
                further += [(*so_far, s) for s in self._slides(so_far)]
            for way in further:
                at = tuple(np.round(way[-1].end.matrix()[:3].ravel(), 2).tolist())
                if at not in seen:
                    seen.add(at)
                    queue.append(way)
        return None

    def _lines_after(self, so_far: tuple[Stretch, ...]) -> Iterator[TurnLine]:
        start = so_far[-1].end if so_far else STILL
        for line in self.lines:
            if self._spent:
                return
            yield line.carried(start)

    def _slides(self, so_far: tuple[Stretch, ...]) -> Iterator[Stretch]:
        """Yield slides as far as the movers go, and to where they pass something."""
        start = so_far[-1].end if so_far else STILL
        here = turned_box(self.moving, start)
        for d in self.directions:
            if self._spent:
                return
            far = clear_distance(here, self.outside, d)
            stretch = _slide(start, d, far)
            self.probes += 1
            free, _ = reach_on(self.ways, self.movers, self.fixed, stretch, self.poses)
            for stop in stops_on(self.ways, here, self.fixed, self.poses, d, free):
                # A hair short of what it comes up against.
                short = math.floor(min(stop, free - 0.02) * 100) / 100
                if short >= LEAST_MM:
                    yield _slide(start, d, short)

    # ---- turn, then slide
    def _turned(
        self, so_far: tuple[Stretch, ...], line: TurnLine, along: bool, deep: bool
    ) -> Iterator[tuple[tuple[Stretch, ...], bool]]:
        """Yield ways that turn about a line and slide on, and whether they lead out: the first that does ends them."""
        start = so_far[-1].end if so_far else STILL
        if (start, line) not in self._ranges:
            self._ranges[start, line] = self._range(start, line)
        step, low, high = self._ranges[start, line]
        if high - low < (LEAST_TURN_DEG if along else LEAST_TILT_DEG):
            return
        beside = [d for d in self.directions if abs(float(np.dot(d, line.axis))) > 1 - 1e-6]
        if not along:
            beside = [d for d in self.directions if d not in beside]
        for d in beside:
            if self._spent:
                return
            fine = step if along else max(step, ASKEW_STEP_DEG)
            whole = self._wholes.setdefault((start, line, d), _Whole(self, start, line, d, along))
            angles = np.unique(
                np.concatenate([np.arange(0, low - 1e-9, -fine), np.arange(0, high + 1e-9, fine)])
            )
            angles = np.unique(np.append(angles, [low, high]))
            met = np.array([whole.met(float(a)) for a in angles])
            partial: list[float] = []
            for a, b in _dips(angles, met):
                angle = self._least(whole, a, b)
                told = self._nice(whole, angle, low, high, fine)
                if abs(told) < 1e-9:
                    continue
                if whole.met(told) >= LEAST_VOLUME_MM3:
                    partial.append(told)
                    continue
                turn = Stretch(start, _ZERO, told, line.about, line.axis)
                way = (*so_far, turn, _slide(turn.end, d, whole.far(told)))
                if clear_way(self.ways, self.movers, self.fixed, way, self.poses):
                    yield way, True
                    return
            if deep and len(so_far) + 4 <= MOST_STRETCHES:
                partial.sort(key=whole.met)
                for angle in partial[:MOST_MINIMA]:
                    yield from ((way, False) for way in self._partly(so_far, start, line, d, angle))

    def _partly(
        self, so_far: tuple[Stretch, ...], start: Place, line: TurnLine, d: Vec3, angle: float
    ) -> Iterator[tuple[Stretch, ...]]:
        """Yield ways that turn by an angle and then slide farther than they would have without, if there are any."""
        turn = Stretch(start, _ZERO, round(angle, 2), line.about, line.axis)
        if abs(turn.turn_deg) < LEAST_TURN_DEG:
            return
        here = turned_box(self.moving, turn.end)
        far = clear_distance(here, self.outside, d)
        before, _ = reach_on(self.ways, self.movers, self.fixed, _slide(start, d, far), self.poses)
        free, _ = reach_on(self.ways, self.movers, self.fixed, _slide(turn.end, d, far), self.poses)
        self.probes += 2
        if free < before + LEAST_MM or not clear_way(self.ways, self.movers, self.fixed, (turn,), self.poses):
            return
        for share in (free - 0.02, (free + before) / 2):
            yield (*so_far, turn, _slide(turn.end, d, math.floor(share * 100) / 100))

    def _range(self, start: Place, line: TurnLine) -> tuple[float, float, float]:
        """Return the angle between two looks, and how far the movers turn either way, degrees."""
        step = self._step_deg(start, line)
        if step is None:
            return 0.0, 0.0, 0.0
        return step, -self._free(start, line, -1.0, step), self._free(start, line, 1.0, step)

    def _step_deg(self, start: Place, line: TurnLine) -> float | None:
        """Return the angle between two looks; None where turning changes nothing, since the movers are round."""
        reach, is_round = 0.0, True
        for body, place in self._bodies:
            at = start @ place
            off = at.points(body.points) - np.array(line.about)
            reach = max(reach, float(np.linalg.norm(np.cross(off, line.axis), axis=1).max()))
            for angle in _ODD_DEG if is_round else ():
                turned = body.manifold.transform(
                    (at.inverse() @ Place.turn(angle, line.axis, line.about) @ at).matrix()[:3]
                )
                self.probes += 1
                whole = float(body.manifold.volume())
                if float((body.manifold ^ turned).volume()) < (1 - _ROUND) * whole:
                    is_round = False
                    break
        if is_round or reach <= 0:
            return None
        return min(ASKEW_STEP_DEG / 2, math.degrees(max(STEP_MM / reach, STEP_SHARE)))

    def _free(self, start: Place, line: TurnLine, sense: float, step: float) -> float:
        """Return how far the movers turn before they meet something, degrees, as far as samples show."""

        def stopped(angle: float) -> bool:
            turn = Place.turn(sense * angle, line.axis, line.about)
            return self.met(turn @ start) >= LEAST_VOLUME_MM3

        last = 0.0
        while last < MOST_TURN_DEG and not self._spent:
            angle = min(MOST_TURN_DEG, last + step)
            if stopped(angle):
                return turning_point(stopped, last, angle, FINE_DEG)[0]
            last = angle
        return last

    def _least(self, whole: _Whole, a: float, b: float) -> float:
        """Return an angle from ``a`` to ``b`` at which least is met, the first that is found where nothing is."""
        share = (math.sqrt(5) - 1) / 2
        c, d = b - share * (b - a), a + share * (b - a)
        at = {x: whole.met(x) for x in (c, d, (a + b) / 2)}
        while b - a > FINE_DEG and min(at.values()) >= LEAST_VOLUME_MM3 and not self._spent:
            if whole.met(c) <= whole.met(d):
                b, d = d, c
                c = b - share * (b - a)
                at[c] = whole.met(c)
            else:
                a, c = c, d
                d = a + share * (b - a)
                at[d] = whole.met(d)
        return min(at, key=lambda x: (at[x] >= LEAST_VOLUME_MM3 and at[x], abs(x)))

    def _nice(self, whole: _Whole, angle: float, low: float, high: float, step: float) -> float:
        """Return an angle well within those about ``angle`` at which no more is met, in round figures if it may be."""
        most = max(LEAST_VOLUME_MM3, SLACK * whole.met(angle))

        def closed(a: float) -> bool:
            return whole.met(a) >= most

        a, b = (self._end(closed, angle, limit, step) for limit in (low, high))
        if a <= 0.0 <= b:
            return 0.0
        near, far = (a, b) if a > 0 else (b, a)
        best = near + math.copysign(min(abs(far - near) / 2, PLAY_DEG), far - near)
        slack = (b - a) / 4
        for unit_deg in (15.0, 5.0, 1.0, 0.5, 0.1):
            told = round(best / unit_deg) * unit_deg
            if a + slack <= told <= b - slack and not closed(told):
                return round(told, 2)
        return round(best, 2)

    @staticmethod
    def _end(closed: Callable[[float], bool], angle: float, limit: float, step: float) -> float:
        """Return how far from a free ``angle`` towards a limit it stays free, within twice the play."""
        sense, last = math.copysign(1.0, limit - angle), angle
        while abs(limit - last) > 1e-9 and abs(last - angle) < 2 * PLAY_DEG:
            tried = last + sense * min(step, abs(limit - last))
            if closed(tried):
                way = tried - last

                def shut(share: float, begin: float = last, way: float = way) -> bool:
                    return closed(begin + share * way)

                return last + turning_point(shut, 0.0, 1.0, FINE_DEG / step)[0] * way
            last = tried
        return last

    # ---- what is met
    def met(self, motion: Place, own_slide: Sequence[Floats] | None = None) -> float:
        """Return how much of what is there the movers share space with, mm3, tolerances left out; with ``own_slide``
        on the way along it, in the movers' own frames."""
        self.probes += 1
        found = 0.0
        for n, (body, place) in enumerate(self._bodies):
            shape = body.manifold if own_slide is None else self._swept(n, own_slide[n])
            here = shape.transform((motion @ place).matrix()[:3])
            low, high = box_of(here)
            near = (self._lows <= high).all(axis=1) & (low <= self._highs).all(axis=1)
            for number in np.flatnonzero(near).tolist():
                found += abs(float((here ^ self._drawn_in(self.fixed[number])).volume()))
        return found

    def _swept(self, number: int, slide: Floats) -> m3.Manifold:
        at = np.append(np.round(slide, 6), number).tobytes()
        if at not in self._sweeps:
            if len(self._sweeps) > 64:
                self._sweeps.clear()
            self._sweeps[at] = [swept(self._bodies[number][0], slide)]
        return self._sweeps[at][0]

    def own_slide(self, motion: Place, d: Vec3, far: float) -> list[Floats]:
        """Return a slide of the movers, moved so far, in their own frames."""
        return [
            np.round(np.array((motion @ place).rotation).T @ (far * np.array(d)), 6)
            for _, place in self._bodies
        ]


class _Whole:
    """What the movers meet on the whole way out along ``d`` after a turn about a line, by the angle, each once."""

    def __init__(self, search: TurnSearch, start: Place, line: TurnLine, d: Vec3, along: bool) -> None:
        self._search, self._start, self._line, self._d = search, start, line, d
        self._met: dict[float, float] = {}
        self._slide = search.own_slide(start, d, self.far(0.0)) if along else None

    def far(self, angle: float) -> float:
        """Return how far it is out, mm."""
        here = turned_box(self._search.moving, self._motion(angle))
        return clear_distance(here, self._search.outside, self._d)

    def met(self, angle: float) -> float:
        """Return how much is met, mm3."""
        angle = round(angle, 6)
        if angle not in self._met:
            motion = self._motion(angle)
            slide = self._slide or self._search.own_slide(motion, self._d, self.far(angle))
            self._met[angle] = self._search.met(motion, slide)
        return self._met[angle]

    def _motion(self, angle: float) -> Place:
        return Place.turn(angle, self._line.axis, self._line.about) @ self._start


def _dips(angles: Floats, met: Floats) -> list[tuple[float, float]]:
    """Return the ranges of angles within which least is met, that of the least turn first.

    Of angles in a row at which nothing is met the nearest stands for all.

    >>> _dips(np.array([0.0, 1.0, 2.0, 3.0, 4.0]), np.array([4.0, 1.0, 0.0, 0.0, 3.0]))
    [(2.0, 2.0)]
    >>> _dips(np.array([0.0, 1.0, 2.0, 3.0]), np.array([4.0, 1.0, 2.0, 3.0]))
    [(0.0, 2.0)]
    """
    free = met < LEAST_VOLUME_MM3
    found: list[tuple[float, float, float]] = []
    last = len(angles) - 1
    for n in range(len(angles)):
        before, after = max(n - 1, 0), min(n + 1, last)
        if free[n]:
            nearer = n - 1 if angles[n] > 0 else n + 1
            if not (0 <= nearer <= last and free[nearer] and angles[n]):
                found.append((abs(float(angles[n])), float(angles[n]), float(angles[n])))
        elif (
            met[n] <= met[before]
            and met[n] <= met[after]
            and met[n] < DEEP * max(met[before], met[after])
            and not (free[before] or free[after])
        ):
            found.append((abs(float(angles[n])), float(angles[before]), float(angles[after])))
    return [(a, b) for _, a, b in sorted(found)]


def _coarse(body: Body) -> Body:
    """Return a body with fewer facets, no farther off than :data:`COARSE_MM`; as it is where that undoes it."""
    simple = body.manifold.simplify(COARSE_MM)
    if simple.status() != m3.Error.NoError or simple.num_tri() >= len(body.triangles) or simple.volume() <= 0:
        return body
    return Body.of_manifold(simple, body.name)


def _slide(start: Place, d: Vec3, length: float) -> Stretch:
    return Stretch(start, (d[0] * length, d[1] * length, d[2] * length))
