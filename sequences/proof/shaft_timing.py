"""Angles of timed shafts: at which a part goes in beside one that turns with it, and how far out of phase a pair turns.

What turns about what is data of the assembly (:class:`...geometry.assembly.TurningGroup`); nothing here knows rotors
from other wheels.

- *Goes in*: looked at along the axes, parts whose shadows stay clear through the whole turn never meet, at whatever
  angle one is slid in past the other. That is proven between the angles too (:mod:`.pair_turn`). Where the
  shadows cross, the slide is tested by exact sweeps at angles :data:`STEP_DEG` apart, and each change is narrowed to
  :data:`FINE_DEG`; an opening narrower than the step could be missed, and is then no opening to work with.
- *Out of phase*: a wheel set over by an angle collides where its outline crosses its mate's at some angle of the turn;
  the angle is named. How far it may be set over before that is narrowed by halving.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...geometry.assembly import TurningGroup
from ...geometry.bisection import turning_point
from ...geometry.frame import Floats, Place
from ...geometry.meshes.overlaps import boxes_meet, gap
from ..order.order_graph import PlannedMove
from ..order.paths import STILL, Ways

STEP_DEG = 3.0
FINE_DEG = 0.1
FINE_LIMIT_DEG = 0.05
"""To how much the angle is told by which a wheel may be set over."""
OFFSETS_DEG = (90.0, 180.0)
"""Settings looked at besides the limit: a key in the wrong one of several ways."""
_LOOKS = 720
_SHADOW_SHARE = 0.5
"""Outlines are taken as finely as where the rotors' whole turn is followed, as a share of the proof's tolerance."""
_REACH_MM = 5.0


@dataclass(frozen=True)
class OutOfPhase:
    """A part set over by an angle against its mate."""

    offset_deg: float
    goes_in: bool
    """Whether it still goes in with the shafts as they stand in the step."""
    turn_judged: bool
    """Whether the pair was followed through its turn; not where its shadows are no single outlines."""
    collides_at_deg: float | None
    """Shaft angle from there on at which the pair collides, None if it turns free, or was not judged."""


@dataclass(frozen=True)
class TimingEvidence:
    """At which shaft angles a part goes in beside its mate, and how far out of phase the pair turns."""

    step: int
    step_id: str
    part: str
    mate: str
    ranges_deg: tuple[tuple[float, float], ...]
    """Angles of the driving shaft at which it goes in, from its mark; (0, 360) where at every one."""
    proven: bool
    """Whether the answer holds between the angles looked at too."""
    least_gap_mm: float
    """Least gap of the pair's shadows through the turn; 0 where they cross."""
    limit_deg: float | None
    """Set over by more than this, either way, the pair collides; None if never."""
    out_of_phase: tuple[OutOfPhase, ...]


def timing_of(
    ways: Ways, moves: Sequence[PlannedMove], turnings: Sequence[TurningGroup]
) -> list[TimingEvidence]:
    """Return the evidence for every move whose turning parts reach the turning circle of what turns about another axis.

    Args:
        ways: of the assembly.
        moves: of the plan; those on a bench are left out.
        turnings: what turns about what.
    """
    found = []
    for move in moves:
        if move.bench is not None or not move.move.into or not move.path.stretches:
            continue
        for mine, theirs in itertools.permutations(turnings, 2):
            pair = _pair(ways, move, mine, theirs)
            if pair:
                found.append(_phase(ways, move, mine, theirs, *pair))
    return found


def _pair(ways: Ways, move: PlannedMove, mine: TurningGroup, theirs: TurningGroup) -> tuple[str, str] | None:
    """Return the part of the move and the present one whose turning circles cross furthest."""
    bodies, best = ways.bodies, None
    for key in (k for k in move.parts if k in mine.parts and bodies.assembly.part(k).elastic is None):
        for other in (
            k for k in move.present if k in theirs.parts and bodies.assembly.part(k).elastic is None
        ):
            (ra, a0, a1), (rb, b0, b1) = (_reach(ways, k, t) for k, t in ((key, mine), (other, theirs)))
            apart = math.dist(mine.about, theirs.about)
            if ra + rb > apart and a0 < b1 and b0 < a1 and (best is None or ra + rb > best[0]):
                best = (ra + rb, key, other)
    return best[1:] if best else None


def _reach(ways: Ways, key: str, turning: TurningGroup) -> tuple[float, float, float]:
    """Return the radius of a part's turning circle and its span along the axis."""
    points = ways.bodies.assembly.part(key).place.points(ways.bodies.own(key).points) - np.array(
        turning.about
    )
    axis = np.array(turning.axis) / np.linalg.norm(turning.axis)
    along = points @ axis
    off = np.linalg.norm(points - np.outer(along, axis), axis=1)
    return float(off.max()), float(along.min()), float(along.max())


def _phase(
    ways: Ways, move: PlannedMove, mine: TurningGroup, theirs: TurningGroup, part: str, mate: str
) -> TimingEvidence:
    shadows = _shadows(ways, mine, theirs, part, mate)
    least, limit, tried = 0.0, None, []
    if shadows is not None:
        least = _least_gap(ways, shadows, mine, theirs, part, mate)
        limit = _limit(shadows, mine, theirs) if least > 0 else 0.0
    every = least > 0
    ranges = ((0.0, 360.0),) if every else _ranges(ways, move, mine, theirs, part, mate)
    for offset in OFFSETS_DEG:
        tried.append(_set_over(ways, move, mine, theirs, part, mate, offset, shadows))
    if limit:
        beyond = round(limit + 0.5, 1)
        tried.insert(0, _set_over(ways, move, mine, theirs, part, mate, beyond, shadows))
    return TimingEvidence(move.step, move.step_id, part, mate, ranges, every, least, limit, tuple(tried))


# ---- in space


def _clear_at(
    ways: Ways,
    move: PlannedMove,
    mine: TurningGroup,
    theirs: TurningGroup,
    part: str,
    mate: str,
    angle: float,
    offset: float,
) -> bool:
    """Return whether the part slides in past its mate with the shafts at ``angle``, set over by ``offset``."""
    pose = Place.turn(mine.ratio * angle + offset, mine.axis, mine.about)
    other = Place.turn(theirs.ratio * angle, theirs.axis, theirs.about)
    return not any(ways.closes(mate, part, s, pose, other) for s in move.path.stretches)


def _ranges(
    ways: Ways, move: PlannedMove, mine: TurningGroup, theirs: TurningGroup, part: str, mate: str
) -> tuple[tuple[float, float], ...]:
    angles = np.arange(0.0, 360.0, STEP_DEG)
    clear = [_clear_at(ways, move, mine, theirs, part, mate, float(a), 0.0) for a in angles]
    if all(clear):
        return ((0.0, 360.0),)
    edges = []
    for i, a in enumerate(angles):
        if clear[i] != clear[i - 1]:

            def beyond(angle: float, there: bool = clear[i]) -> bool:
                return _clear_at(ways, move, mine, theirs, part, mate, angle, 0.0) == there

            ends = turning_point(beyond, float(a) - STEP_DEG, float(a), FINE_DEG)
            edges.append((sum(ends) / 2, clear[i]))
    opens = [a for a, opening in edges if opening]
    shuts = [a for a, opening in edges if not opening]
    if opens and shuts and shuts[0] < opens[0]:
        shuts = [*shuts[1:], shuts[0] + 360.0]
    return tuple((round(a, 1), round(b, 1)) for a, b in zip(opens, shuts, strict=True))


def _set_over(
    ways: Ways,
    move: PlannedMove,
    mine: TurningGroup,
    theirs: TurningGroup,
    part: str,
    mate: str,
    offset: float,
    shadows: tuple[Floats, Floats] | None,
) -> OutOfPhase:
    goes_in = _clear_at(ways, move, mine, theirs, part, mate, 0.0, offset)
    at = _collision(shadows, mine, theirs, offset) if shadows is not None else None
    return OutOfPhase(offset, goes_in, shadows is not None, at)


# ---- in the plane


def _shadows(
    ways: Ways, mine: TurningGroup, theirs: TurningGroup, part: str, mate: str
) -> tuple[Floats, Floats] | None:
    """Return both outlines about their own axes, (n, 2) float64; None where an axis is not along Z."""
    from ...geometry.profiles.solid_turn import ShadowError, shadow

    if any(abs(t.axis[0]) + abs(t.axis[1]) > 1e-9 for t in (mine, theirs)):
        return None
    assembly = ways.bodies.assembly
    try:
        a, b = (shadow(assembly.part(k), _SHADOW_SHARE * ways.tolerance_mm) for k in (part, mate))
    except ShadowError:
        return None
    return a - np.array(mine.about[:2]), b - np.array(theirs.about[:2])


def _least_gap(
    ways: Ways, shadows: tuple[Floats, Floats], mine: TurningGroup, theirs: TurningGroup, part: str, mate: str
) -> float:
    """Return the gap of the shadows proven through the whole turn, 0 where they cross or no proof is at hand."""
    from ...geometry.profiles.pair_turn import turn_pair

    if abs(mine.ratio + theirs.ratio) > 1e-9 or abs(abs(mine.ratio) - 1) > 1e-9:
        return 0.0  # the proof is for pairs timed 1:1 that turn against each other
    apart = np.array(mine.about[:2]) - np.array(theirs.about[:2])
    turned = [p @ _turn(-math.atan2(apart[1], apart[0])).T for p in shadows]
    bodies = ways.bodies
    reach = _REACH_MM
    near = reach
    if boxes_meet(bodies.box(part), bodies.box(mate), reach):
        near = gap(bodies.placed(part), bodies.placed(mate), reach)
    resolution = max(near / 4, ways.tolerance_mm)
    chord = _SHADOW_SHARE * ways.tolerance_mm
    result = turn_pair(turned[1], turned[0], float(np.linalg.norm(apart)), 0.0, resolution, chord)
    return result.proven_least_mm


def _turn(angle: float) -> Floats:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s], [s, c]])


def _collision(
    shadows: tuple[Floats, Floats], mine: TurningGroup, theirs: TurningGroup, offset: float
) -> float | None:
    """Return the first angle looked at, half a degree apart, at which the outlines cross."""
    import shapely

    polygons = _polygons(shadows, mine, theirs, offset)
    crossing = shapely.intersects(*polygons)
    return float(np.argmax(crossing)) * 360.0 / _LOOKS if bool(crossing.any()) else None


def _polygons(
    shadows: tuple[Floats, Floats], mine: TurningGroup, theirs: TurningGroup, offset: float
) -> list[Any]:
    """Return the outlines of both at every angle looked at, two arrays of polygons."""
    import shapely

    angles = np.radians(np.arange(_LOOKS) * 360.0 / _LOOKS)
    found = []
    for points, t, over in ((shadows[0], mine, math.radians(offset)), (shadows[1], theirs, 0.0)):
        a = t.ratio * angles + over
        c, s = np.cos(a)[:, None], np.sin(a)[:, None]
        x = c * points[:, 0] - s * points[:, 1] + t.about[0]
        y = s * points[:, 0] + c * points[:, 1] + t.about[1]
        found.append(shapely.polygons(np.stack([x, y], axis=2)))
    return found


def _limit(shadows: tuple[Floats, Floats], mine: TurningGroup, theirs: TurningGroup) -> float | None:
    """Return how far the wheel may be set over either way before the outlines cross, degrees; None if they never do."""
    worst = math.inf
    for sign in (1.0, -1.0):
        low, high = 0.0, 0.5
        while high <= 180.0 and _collision(shadows, mine, theirs, sign * high) is None:
            low, high = high, high * 2
        if high > 180.0:
            continue

        def collides(offset: float, sign: float = sign) -> bool:
            return _collision(shadows, mine, theirs, sign * offset) is not None

        worst = min(worst, turning_point(collides, low, high, FINE_LIMIT_DEG)[1])
    return None if math.isinf(worst) else worst


__all__ = [
    "STILL",
    "OutOfPhase",
    "TimingEvidence",
    "timing_of",
]
