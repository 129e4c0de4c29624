"""Find a way in for parts whose travel is left out, from the directions of the solids themselves.

A part that can be fitted can be taken out the same way, so the search runs outwards from the place: straight first,
then with one and two bends. Candidate directions are the normals of plane faces and the axes of round faces, both
ways, largest area first, after the assembly's front. Every leg tried is tested by its exact sweep.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...geometry.assembly import Part
from ...geometry.bisection import turning_point
from ...geometry.frame import Place, Vec3, unit
from ...geometry.meshes.face_axes import face_axes
from ...geometry.meshes.overlaps import Box, boxes_meet
from ...geometry.meshes.sweeps import first_contact
from ..steps.plan import Leg
from ..steps.travel_poses import Stretch
from .paths import STILL, Ways, box_round, clear_distance, turned_box

MOST_AXES = 6
MOST_BENDS = 2
MOST_TRIES = 400
"""Legs tried before the search says that it found nothing; a machined assembly needs a few dozen."""
_LEAST_MM = 0.5
_PLAY_MM = 0.5
_MOST_STOPS = 6


@dataclass(frozen=True)
class FoundTravel:
    """What the search found: ``stretches`` outwards, or none and what stopped each straight way."""

    stretches: tuple[Stretch, ...] | None
    tried: int
    stopped_by: tuple[tuple[Vec3, float, tuple[str, ...]], ...] = ()
    """Direction out, how far the parts go (mm), what they then meet."""


def directions_of(part: Part, pose: Place = STILL) -> list[tuple[Vec3, float]]:
    """Return the axes of a solid's plane and round faces in the assembly's frame, with their area, mm2.

    Opposite directions count as one axis, told by whichever points more along +Z, +Y, +X.
    """
    place = pose @ part.place
    areas: dict[Vec3, float] = {}
    for own, area in face_axes(part.solid):
        d = place.direction(unit(own))
        axis = _one_way((round(d[0], 6) + 0.0, round(d[1], 6) + 0.0, round(d[2], 6) + 0.0))
        areas[axis] = areas.get(axis, 0.0) + area
    return sorted(areas.items(), key=lambda item: -item[1])


def _one_way(d: Vec3) -> Vec3:
    first = next((c for c in reversed(d) if abs(c) > 1e-6), 1.0)
    return d if first > 0 else (-d[0] + 0.0, -d[1] + 0.0, -d[2] + 0.0)


def candidates(
    ways: Ways, movers: Sequence[str], fixed: Iterable[str], poses: Mapping[str, Place]
) -> list[Vec3]:
    """Return directions to try, likeliest first: the front, then the axes of movers and of what they lie against."""
    assembly = ways.bodies.assembly
    areas: dict[Vec3, float] = {}
    box = box_round(ways, movers, poses)
    near = [k for k in fixed if boxes_meet(box, ways.bodies.box(k, "free", poses.get(k, STILL)), 0.5)]
    for keys, weight in ((movers, 1.0), (near, 0.1)):
        for key in keys:
            for axis, area in directions_of(assembly.part(key), poses.get(key, STILL)):
                areas[axis] = areas.get(axis, 0.0) + weight * area
    front = unit(assembly.front)
    axes = [_one_way(front), *(a for a, _ in sorted(areas.items(), key=lambda item: -item[1]))]
    unique: list[Vec3] = []
    for axis in axes:
        if all(abs(float(np.dot(axis, u))) < 1 - 1e-6 for u in unique):
            unique.append(axis)
    ways_out: list[Vec3] = []
    for axis in unique[:MOST_AXES]:
        back = (-axis[0] + 0.0, -axis[1] + 0.0, -axis[2] + 0.0)
        ways_out += [axis, back] if float(np.dot(axis, front)) >= -1e-9 else [back, axis]
    return ways_out


def find_travel(
    ways: Ways,
    movers: Sequence[str],
    fixed: Sequence[str],
    poses: Mapping[str, Place] | None = None,
    round_all: Iterable[str] | None = None,
) -> FoundTravel:
    """Return a clear travel for ``movers`` out of ``fixed``: straight if there is one, else with few bends.

    Args:
        ways: of the assembly.
        movers: parts that travel together.
        fixed: parts in place.
        poses: how parts stand away from their places.
        round_all: parts that the movers have to get clear of, ``fixed`` and they themselves if left out.
    """
    poses = poses or {}
    outside = box_round(ways, list(round_all) if round_all is not None else [*fixed, *movers], poses)
    moving = box_round(ways, movers, poses)
    directions = candidates(ways, movers, fixed, poses)
    tried = 0
    stopped: list[tuple[Vec3, float, tuple[str, ...]]] = []
    queue: deque[tuple[Stretch, ...]] = deque([()])
    seen: set[tuple[float, ...]] = {(0.0, 0.0, 0.0)}
    while queue and tried < MOST_TRIES:
        so_far = queue.popleft()
        start = so_far[-1].end if so_far else STILL
        here: Box = (moving[0] + np.array(start.shift), moving[1] + np.array(start.shift))
        for d in directions:
            if so_far and abs(float(np.dot(unit(so_far[-1].slide), d))) > 1 - 1e-6:
                continue
            tried += 1
            length = clear_distance(here, outside, d)
            stretch = Stretch(start, (d[0] * length, d[1] * length, d[2] * length))
            free, met = reach_on(ways, movers, fixed, stretch, poses)
            if not met:
                way = shortened(ways, movers, fixed, (*so_far, stretch), poses)
                return FoundTravel(way, tried, tuple(stopped))
            if not so_far:
                stopped.append((d, free, met))
            if len(so_far) >= MOST_BENDS:
                continue
            for stop in stops_on(ways, here, fixed, poses, d, free):
                bent = Stretch(start, (d[0] * stop, d[1] * stop, d[2] * stop))
                at = tuple(round(c, 1) for c in bent.end.shift)
                if at not in seen:
                    seen.add(at)
                    queue.append((*so_far, bent))
    return FoundTravel(None, tried, tuple(stopped))


def reach_on(
    ways: Ways, movers: Sequence[str], fixed: Sequence[str], stretch: Stretch, poses: Mapping[str, Place]
) -> tuple[float, tuple[str, ...]]:
    """Return how far the movers go along a stretch, and what they then meet (empty: all the way)."""
    length, by = stretch.length_mm, ()
    blocking: tuple[str, ...] = by
    for key in movers:
        pose, role = poses.get(key, STILL), ways.role_on_the_way(key, movers)
        others = [o for o in fixed if ways.closes(o, key, stretch, pose, poses.get(o, STILL), role)]
        if not others:
            continue
        there = [ways.bodies.placed(o, "core", poses.get(o, STILL)) for o in others]
        place = stretch.start @ pose @ ways.bodies.assembly.part(key).place
        free, met = first_contact(ways.bodies.own(key, role), place, stretch.slide, there, ways.tolerance_mm)
        if free < length or not blocking:
            length, blocking = free, tuple(others[i] for i in met)
    return length, blocking


def stops_on(
    ways: Ways, here: Box, fixed: Sequence[str], poses: Mapping[str, Place], d: Vec3, free: float
) -> list[float]:
    """Return distances worth a bend: where the movers' box passes a neighbour's box or box middle, and the end."""
    if free < _LEAST_MM:
        return []
    stops = {round(free, 2)}
    for key in fixed:
        box = ways.bodies.box(key, "core", poses.get(key, STILL))
        away = clear_distance(here, box, d)
        if _LEAST_MM < away < free:
            stops.add(round(away, 2))
    stops.add(round(free / 2, 2))
    return sorted(stops)[:_MOST_STOPS]


def shortened(
    ways: Ways,
    movers: Sequence[str],
    fixed: Sequence[str],
    stretches: tuple[Stretch, ...],
    poses: Mapping[str, Place],
) -> tuple[Stretch, ...]:
    """Return a clear travel with each stretch before a bend as short as it may be, and a little play."""
    for n in range(len(stretches) - 1):

        def clear(share: float, way: tuple[Stretch, ...] = stretches, n: int = n) -> bool:
            return clear_way(ways, movers, fixed, _with_share(way, n, share)[n:], poses)

        play = _PLAY_MM / max(stretches[n].length_mm, 1e-9)
        least = turning_point(clear, 0.0, 1.0, play)[1]
        with_play = min(1.0, least + play)
        stretches = _with_share(stretches, n, with_play if clear(with_play) else least)
    return stretches


def _with_share(stretches: tuple[Stretch, ...], n: int, share: float) -> tuple[Stretch, ...]:
    """Return the stretches with number ``n`` cut to a share of its length, and those beyond it moved along."""
    changed = [*stretches[:n], stretches[n].up_to(share)]
    for beyond in stretches[n + 1 :]:
        changed.append(replace(beyond, start=changed[-1].end))
    return tuple(changed)


def clear_way(
    ways: Ways,
    movers: Sequence[str],
    fixed: Sequence[str],
    stretches: Iterable[Stretch],
    poses: Mapping[str, Place],
) -> bool:
    """Return whether the movers meet none of ``fixed`` on the stretches, as the proof sees it."""
    for stretch in stretches:
        for key in movers:
            role = ways.role_on_the_way(key, movers)
            pose = poses.get(key, STILL)
            if any(ways.closes(o, key, stretch, pose, poses.get(o, STILL), role) for o in fixed):
                return False
    return True


def open_legs(
    ways: Ways,
    movers: Sequence[str],
    fixed: Sequence[str],
    legs: Sequence[Leg],
    into: bool,
    poses: Mapping[str, Place],
    own: Place = STILL,
) -> tuple[Leg, ...]:
    """Return ``legs`` with a length for each one without a length before a bend or a turn.

    Such a leg goes as far as it takes for the next one to be clear; where no distance does, as far as it can. Turns
    that name no point are about the part whose place is ``own``.
    """
    out = list(reversed(legs)) if into else list(legs)
    sign = -1.0 if into else 1.0
    box = box_round(ways, movers, poses)
    outside = box_round(ways, [*fixed, *movers], poses)
    motion = STILL
    for n, leg in enumerate(out[:-1]):
        then = out[n + 1]
        d, beyond = (unit(g.direction) for g in (leg, then))
        d, beyond = ((sign * v[0], sign * v[1], sign * v[2]) for v in (d, beyond))
        if leg.distance_mm is None:
            here = turned_box(box, motion)
            length = clear_distance(here, outside, d)
            free, _ = reach_on(ways, movers, fixed, _slide(motion, d, length), poses)
            best = free
            for stop in stops_on(ways, here, fixed, poses, d, free):
                first = _slide(motion, d, stop)
                there: Box = (here[0] + np.array(first.slide), here[1] + np.array(first.slide))
                if then.axis is not None:
                    pair = (first, _turned(first.end, then, sign, own))
                else:
                    reach = then.distance_mm or clear_distance(there, outside, beyond)
                    pair = (first, _slide(first.end, beyond, reach))
                if clear_way(ways, movers, fixed, pair, poses):
                    best = stop if then.axis else shortened(ways, movers, fixed, pair, poses)[0].length_mm
                    break
            out[n] = replace(leg, distance_mm=best)
        turned = leg.axis is not None
        s = _turned(motion, leg, sign, own) if turned else _slide(motion, d, out[n].distance_mm or 0.0)
        motion = s.end
    return tuple(reversed(out)) if into else tuple(out)


def _turned(start: Place, leg: Leg, sign: float, own: Place) -> Stretch:
    about = start.point(own.shift) if leg.through is None else leg.through
    return Stretch(start, (0.0, 0.0, 0.0), sign * leg.turn_deg, about, leg.axis or leg.direction)


def _slide(start: Place, d: Vec3, length: float) -> Stretch:
    return Stretch(start, (d[0] * length, d[1] * length, d[2] * length))
