"""The turning pair in the plane: smallest and largest gap through a whole turn, proven between the angles looked at.

Why no contact can hide between two angles. Turn the drive rotor by da and the driven one by -da: a point of one moves
against the other by 2 |m| da, where m is its distance from the pitch point, the middle between the axes. So a point q
that lies at a distance d from the other outline in the middle of a range of angles of half width w stays within d - s w
and d + s w in all of it, with s = (2 (|q| + r w) + d) / (1 - w); r w is how far q itself wanders, and d is there
because the nearest place may lie that far off. A range is divided until these bounds, taken over all points of
both outlines, lie as near together as the wanted resolution. Points that cannot be nearest anywhere in a range are
not handed on to its parts. The result is two figures that hold at every angle, not only at the angles looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats
from .outlines import Complexes, turn

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FIRST_STEP_DEG = 2.0
LOOSER = 0.05
"""Wide gaps are resolved to this share of themselves."""
FINEST_RAD = 1e-6
"""Ranges are not divided further than this, resolved or not; their bounds hold all the same."""


@dataclass(frozen=True)
class PairTurn:
    """What a pair of outlines does through one whole turn of the drive rotor, mm and degrees."""

    smallest_gap_mm: float
    """At :attr:`smallest_at_deg`; 0 where the outlines overlap."""
    smallest_at_deg: float
    largest_gap_mm: float
    """Largest value of the gap (itself the nearest distance of the pair at an angle)."""
    largest_at_deg: float
    proven_least_mm: float
    """The gap is at least this at every angle, between the angles looked at too; chord error included."""
    proven_most_mm: float
    """The gap is at most this at every angle."""
    finest_step_deg: float
    """Narrowest range of angles that had to be looked at."""
    angles: int
    """How many ranges were looked at in the end."""
    span_deg: float
    """Angles 0 to this were looked at; the rest of the turn repeats it by the symmetry of the outlines, which is
    checked on their points (360: no symmetry used)."""

    @property
    def clear(self) -> bool:
        """Whether the pair is proven free of contact through the whole turn."""
        return self.proven_least_mm > 0


def turn_pair(
    drive: Floats,
    driven: Floats,
    centre_mm: float,
    phase_deg: float,
    resolution_mm: float,
    chord_mm: float = 0.0,
) -> PairTurn:
    """Return what two outlines, (n, 2) float64 mm about their axes, do while they turn 1:1 against each other.

    At angle 0 the drive outline stands as given and the driven one turned by ``phase_deg``. ``chord_mm`` is how far
    the polygons may lie from the true curves. Gaps are told apart to ``resolution_mm``, wide ones to
    :data:`LOOSER` of themselves.

    Raises:
        ValueError: if the resolution is not positive, or an outline has fewer than three points.
    """
    if not resolution_mm > 0:
        raise ValueError(f"the resolution must be above 0 mm, found {resolution_mm:g}")
    if min(len(drive), len(driven)) < 3:
        raise ValueError("an outline needs three points or more")
    span = _span(drive, driven, phase_deg, 1e-7 * centre_mm)
    ranges = _divide((drive, driven), centre_mm, math.radians(phase_deg), span, resolution_mm)
    low, high = int(np.argmin(ranges.gap)), int(np.argmax(ranges.gap))
    return PairTurn(
        float(ranges.gap[low]),
        math.degrees(ranges.angle[low]),
        float(ranges.gap[high]),
        math.degrees(ranges.angle[high]),
        max(0.0, float(ranges.least.min()) - 2 * chord_mm),
        float(ranges.most.max()) + 2 * chord_mm,
        math.degrees(2 * ranges.half.min()),
        len(ranges.gap),
        math.degrees(span),
    )


def _same(points: Floats, other: Floats, tolerance_mm: float) -> bool:
    """Whether each point of one polygon is a point of the other."""
    import shapely

    if len(points) != len(other):
        return False
    found: Floats = shapely.distance(shapely.points(points), _nearest_points(points, other))
    return bool(found.max() <= tolerance_mm)


def _nearest_points(points: Floats, other: Floats) -> NDArray[np.object_]:
    import shapely

    there = shapely.points(other)
    tree = shapely.STRtree(there)
    nearest: NDArray[np.object_] = there[tree.nearest(shapely.points(points))]
    return nearest


def _span(drive: Floats, driven: Floats, phase_deg: float, tolerance_mm: float) -> float:
    """Return the range of angles (radians, from 0) of which the whole turn is a repetition.

    Outlines of N-fold symmetry repeat after 2 pi / N. Where both rotors are one outline, mirror symmetric about +Y,
    set half a pitch apart, turning on by half a pitch mirrors the picture left to right, and turning back mirrors it
    top to bottom: a quarter of the pitch tells it all.
    """
    for n in (4, 3, 2):
        if all(_same(turn(p, 360.0 / n), p, tolerance_mm) for p in (drive, driven)):
            break
    else:
        return 2 * math.pi
    half_pitch = 180.0 / n
    flipped = drive * np.array([-1.0, 1.0])
    half_off = abs((phase_deg / half_pitch) % 2 - 1) < 1e-12
    if half_off and _same(driven, drive, tolerance_mm) and _same(flipped, drive, tolerance_mm):
        return math.pi / (2 * n)
    return 2 * math.pi / n


@dataclass(frozen=True, eq=False)
class _Ranges:
    """Ranges of angles, (n,) float64 each: middle and half width (radians), gap in the middle and its bounds (mm)."""

    angle: Floats
    half: Floats
    gap: Floats
    least: Floats
    most: Floats

    def resolved(self, resolution: float) -> Bools:
        """Return which ranges need no dividing (n,): bounds near each other, or as narrow as it gets."""
        wanted = 2 * np.maximum(resolution, LOOSER * self.least)
        found: Bools = (self.most - self.least <= wanted) | (self.half < FINEST_RAD)
        return found

    def where(self, chosen: Bools) -> _Ranges:
        """Return the ranges of a mask (n,)."""
        return _Ranges(*(getattr(self, f.name)[chosen] for f in fields(self)))


class _Outline:
    """One outline with what is needed to find the distance of many points to it at once."""

    def __init__(self, points: Floats) -> None:
        import shapely

        self.z: Complexes = points[:, 0] + 1j * points[:, 1]
        self.radius = float(np.abs(self.z).max())
        self.body = shapely.Polygon(points)
        shapely.prepare(self.body)
        self.sides = shapely.STRtree(
            shapely.linestrings(np.stack([points, np.roll(points, -1, axis=0)], axis=1))
        )

    def distance(self, q: Complexes, within: float) -> Floats:
        """Return the distance of points (n,) to the outline, 0 inside it, infinite beyond ``within`` mm."""
        import shapely

        out: Floats = np.full(len(q), np.inf)
        # Whatever lies further from the axis than the outline reaches needs no look at its sides.
        near = np.flatnonzero(np.abs(q) <= self.radius + within)
        q = q[near]
        where, far = self.sides.query_nearest(
            shapely.points(q.real, q.imag), max_distance=within, return_distance=True, all_matches=False
        )
        out[near[where[0]]] = far
        out[near[shapely.contains_xy(self.body, q.real, q.imag)]] = 0.0
        return out


class _TurningPair:
    """Two outlines that turn 1:1 against each other about axes ``centre`` mm apart, ``phase`` radians set over."""

    def __init__(self, outlines: tuple[Floats, Floats], centre: float, phase: float) -> None:
        self.outlines = (_Outline(outlines[0]), _Outline(outlines[1]))
        self.centre, self.phase = centre, phase
        self.radius = max(o.radius for o in self.outlines)

    def nearness(
        self, side: int, points: Ints, angle: Floats, half: Floats, within: float
    ) -> tuple[Floats, Floats]:
        """Return how far points (n,) of one outline are off the other, each at its own angle, and how fast it changes.

        The distance is in mm, infinite beyond ``within``; the rate, in mm a radian, holds within ``half`` of the angle.
        """
        if side == 1:  # the driven rotor's points, seen from the drive rotor
            back = np.exp(-1j * angle)
            q = self.outlines[1].z[points] * np.exp(1j * (self.phase - 2 * angle)) + self.centre * back
            pitch = self.centre / 2 * back
        else:
            over = np.exp(1j * (angle - self.phase))
            q = self.outlines[0].z[points] * np.exp(1j * (2 * angle - self.phase)) - self.centre * over
            pitch = -self.centre / 2 * over
        far = self.outlines[1 - side].distance(q, within)
        return far, (2 * (np.abs(q - pitch) + self.radius * half) + far) / (1 - half)

    def reach(self, angle: Floats, half: Floats) -> Floats:
        """Return how near the outlines are at least in each range (n,), told by a few points of one of them."""
        which, point = _each(len(angle), len(self.outlines[1].z), max(1, len(self.outlines[1].z) // 60))
        far, rate = self.nearness(1, point, angle[which], half[which], np.inf)
        reach: Floats = np.full(len(angle), np.inf)
        np.minimum.at(reach, which, far + rate * half[which])
        return reach

    def look(
        self, angle: Floats, half: Floats, reach: Floats, candidates: Iterable[tuple[Ints, Ints]]
    ) -> tuple[_Ranges, list[Floats]]:
        """Return the gap in each range with its bounds, and for each candidate the least that it can be off.

        ``candidates`` are, for each outline, pairs of a range's and a point's number; the other points cannot be
        nearest anywhere in that range. ``reach`` (n,) is how far off the nearest is at most.
        """
        gap, least, most = (np.full(len(angle), np.inf) for _ in range(3))
        widest = float(half.max())
        within = (float(reach.max()) + 6 * self.radius * widest) / (1 - 3 * widest)
        lows: list[Floats] = []
        for side, (which, point) in enumerate(candidates):
            far, rate = self.nearness(side, point, angle[which], half[which], within)
            sweep = rate * half[which]
            low = np.where(np.isfinite(far), far - np.where(np.isfinite(sweep), sweep, 0.0), np.inf)
            np.minimum.at(gap, which, far)
            np.minimum.at(least, which, low)
            np.minimum.at(most, which, far + sweep)
            lows.append(low)
        return _Ranges(angle, half, gap, np.maximum(least, 0.0), most), lows


def _divide(
    outlines: tuple[Floats, Floats], centre: float, phase: float, span: float, resolution: float
) -> _Ranges:
    """Return ranges that fill 0..span, each divided until its bounds lie within ``resolution`` of their middle."""
    pair = _TurningPair(outlines, centre, phase)
    count = max(1, math.ceil(span / math.radians(FIRST_STEP_DEG)))
    angle = span / count * (np.arange(count, dtype=np.float64) + 0.5)
    half: Floats = np.full(count, span / count / 2)
    reach = pair.reach(angle, half)
    candidates = [_each(count, len(o.z)) for o in pair.outlines]
    done: list[_Ranges] = []
    while len(angle):
        ranges, lows = pair.look(angle, half, reach, candidates)
        coarse = ~ranges.resolved(resolution)
        done.append(ranges.where(~coarse))
        candidates = [
            _handed_on(c, low, ranges.most, coarse) for c, low in zip(candidates, lows, strict=True)
        ]
        angle, half, reach = _quarters(angle[coarse], half[coarse], ranges.most[coarse])
    return _Ranges(*(np.concatenate([getattr(d, f.name) for d in done]) for f in fields(_Ranges)))


def _each(ranges: int, points: int, every: int = 1) -> tuple[Ints, Ints]:
    """Return the pairs of each range's number with that of one point in ``every``."""
    taken = np.arange(0, points, every)
    return np.repeat(np.arange(ranges), len(taken)), np.tile(taken, ranges)


def _handed_on(candidates: tuple[Ints, Ints], low: Floats, most: Floats, coarse: Bools) -> tuple[Ints, Ints]:
    """Return the candidates of the quarters of the ``coarse`` ranges: those that may be nearest in the whole."""
    which, point = candidates
    keep = coarse[which] & (low <= most[which])
    number = np.cumsum(coarse) - 1
    first = number[which[keep]]
    return (4 * first[:, None] + np.arange(4)).ravel(), np.repeat(point[keep], 4)


def _quarters(angle: Floats, half: Floats, reach: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the four quarters of each range: middles, half widths, and how far off the nearest is at most."""
    middles = (angle[:, None] + half[:, None] * np.array([-0.75, -0.25, 0.25, 0.75])).ravel()
    return middles, np.repeat(half / 4, 4), np.repeat(reach, 4)
