"""Travel as the pictures show it: how far out a part is drawn so that it is clear of what it goes onto."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from ...geometry.frame import Floats, Place, Vec3, Z, unit
from ...sequences.steps.plan import Leg, Move, Step
from ...sequences.steps.travel_poses import Stretch, following, motion_at, outwards, turning_axis
from ..engine.part_models import PartModels

GAP_SHARE = 0.30
"""Air between a part drawn out and what it was drawn off, as a share of the part's own length along its travel."""
LEAST_GAP, MOST_GAP = 0.055, 0.12
"""Bounds of that air as shares of the assembly's extent; a part smaller than the lower one stands its own size off, so
that a close-up of it can hold its seat too."""
TOUCH = 0.006
"""Parts nearer than this share of the assembly's extent count as touching."""


THREADED_DEG = 360.0
"""A leg that turns this far or farther runs along a thread: how often it goes round cannot be seen."""
SHOWN_TURN_DEG = 120.0
"""What is shown of such a turn where it is seen in motion: more between two frames would seem to turn backwards."""
TURNING_SHARE = 0.5
"""Least share of the time of a travel that goes to each leg that turns, so that the turn is seen."""


@dataclass(frozen=True)
class DrawnTravel:
    """One move of a step as drawn.

    ``drawn`` are the places of its parts in the picture, ``seats`` those on the assembly. ``path`` runs from the drawn
    offset to the seat (or back, for a removal) as offsets in mm; ``turn_deg`` is the turn on it, that of the largest
    where parts are turned about a line between their slides.
    """

    move: Move
    drawn: Mapping[str, Place]
    seats: Mapping[str, Place]
    path: tuple[Vec3, ...]
    turn_deg: float
    lead: str = ""
    """The part whose origin a turn goes about that names none; empty: each goes about its own."""

    @property
    def offset(self) -> Vec3:
        """Shift of the drawn parts away from their seats, mm."""
        return self.path[0] if self.move.into else self.path[-1]

    @property
    def length_mm(self) -> float:
        """Distance from drawn place to seat."""
        return float(np.linalg.norm(self.offset))

    @property
    def turns_deg(self) -> tuple[float, ...]:
        """Turn of each leg, in the order of the path."""
        return tuple(leg.turn_deg for leg in self.move.legs) or (0.0,)

    @property
    def times(self) -> tuple[float, ...]:
        """How long each leg takes in motion, in the order of the path: as its length, in mm, but longer for a turn."""
        lengths = [math.dist(a, b) for a, b in pairwise(self.path)]
        least = TURNING_SHARE * sum(lengths)
        return tuple(max(n, least) if t else n for n, t in zip(lengths, self.turns_deg, strict=True))

    def place_after(self, key: str, share: float, most_turn_deg: float | None = None) -> Place:
        """Return where a part is after ``share`` (0 to 1) of the time of the travel.

        Of a turn along a thread only ``most_turn_deg`` is shown, where it is given.
        """
        into = self.move.into
        stretches = self.stretches(key, most_turn_deg)
        outwards = 1.0 - share if into else share
        return motion_at(stretches, outwards, self.times[::-1] if into else self.times) @ self.seats[key]

    def stretches(self, key: str, most_turn_deg: float | None = None) -> list[Stretch]:
        """Return the stretches of a part, outwards from its seat; rest as in :meth:`place_after`."""
        own = self.seats[self.lead or key]
        return drawn_stretches(self.move.legs, self.move.into, self.path, own, most_turn_deg)

    def turn_about_line(self) -> tuple[Stretch, float] | None:
        """Return the largest turn of the parts about a line, and its sense as it is done, +1 right-handed about its
        axis; None where they only slide or follow a thread."""
        turns = (
            [
                (s, leg.turn_deg)
                for s, (leg, _) in zip(
                    self.stretches(next(iter(self.seats))),
                    outwards(self.move.legs, self.move.into),
                    strict=True,
                )
                if leg.axis is not None
            ]
            if self.move.legs
            else []
        )
        best = max(turns, key=lambda t: abs(t[1]), default=None)
        return None if best is None else (best[0], math.copysign(1.0, best[1]))


def drawn_stretches(
    legs: Sequence[Leg], into: bool, path: Sequence[Vec3], seat: Place, most_turn_deg: float | None = None
) -> list[Stretch]:
    """Return the stretches of a drawn travel, outwards; turns that name no line are about the part of that ``seat``.

    Rest as in :class:`DrawnTravel`.
    """
    stops = list(reversed(path)) if into else list(path)
    stretches: list[Stretch] = []
    for (leg, sign), (a, b) in zip(outwards(legs, into) or [(STRAIGHT, 1.0)], pairwise(stops), strict=True):
        turn = leg.turn_deg
        if most_turn_deg is not None and abs(turn) >= THREADED_DEG:
            turn = math.copysign(most_turn_deg, turn)
        slide = (b[0] - a[0], b[1] - a[1], b[2] - a[2])
        axis = turning_axis(leg, seat)
        stretches.append(following(stretches, slide, sign * turn, seat, axis, leg.through))
    return stretches


STRAIGHT = Leg(Z)
"""Stands for the leg of a travel that is to be found: it does not turn."""


class Neighbours:
    """Tells which parts are in touch, or nearly, in given places; remembers what it was asked."""

    def __init__(self, models: PartModels) -> None:
        self._models = models
        self._solids: dict[int, Any] = {}
        self._known: dict[tuple[str, str, Place, Place], bool] = {}

    def touch(self, a: str, place_a: Place, b: str, place_b: Place) -> bool:
        """Return whether the parts are less than :data:`TOUCH` of the assembly's extent apart."""
        if a > b:
            a, place_a, b, place_b = b, place_b, a, place_a
        key = (a, b, place_a, place_b)
        if key not in self._known:
            near = TOUCH * self._models.extent_mm
            low_a, high_a = self._models.parts[a].box(place_a)
            low_b, high_b = self._models.parts[b].box(place_b)
            apart = (low_a > high_b + near).any() or (low_b > high_a + near).any()
            self._known[key] = not apart and (
                share_a_cell(_points(self._models, a, place_a), _points(self._models, b, place_b), near)
                or self._gap(a, place_a, b, place_b, near) < near
            )
        return self._known[key]

    def _gap(self, a: str, place_a: Place, b: str, place_b: Place, near: float) -> float:
        one, other = self._solid(a, place_a), self._solid(b, place_b)
        return float(one.min_gap(other, near))

    def _solid(self, key: str, place: Place) -> Any:
        import manifold3d

        mesh = self._models.parts[key].mesh
        if id(mesh) not in self._solids:
            points, triangles = mesh.joined_points.astype(np.float32), mesh.joined_triangles.astype(np.uint32)
            self._solids[id(mesh)] = manifold3d.Manifold(manifold3d.Mesh(points, triangles))
        return self._solids[id(mesh)].transform(place.matrix()[:3])


def share_a_cell(a: Floats, b: Floats, near: float) -> bool:
    """Return whether a point of ``a`` (n, 3) and one of ``b`` lie in one cell too small for them to be ``near`` apart.

    A quick yes for most parts that touch; no tells nothing.
    """
    low, high = (
        np.maximum(a.min(axis=0), b.min(axis=0)) - near,
        np.minimum(a.max(axis=0), b.max(axis=0)) + near,
    )
    cells = []
    for points in (a, b):
        inside = points[((points >= low) & (points <= high)).all(axis=1)]
        cell = np.floor((inside - low) / (near / math.sqrt(3.0))).astype(np.int64)
        cells.append((cell[:, 0] << 40) + (cell[:, 1] << 20) + cell[:, 2])
    return bool(np.isin(cells[0], cells[1]).any())


def drawn_travels(
    models: PartModels, step: Step, places: Mapping[str, Place], neighbours: Neighbours
) -> tuple[DrawnTravel, ...]:
    """Return how each move of ``step`` is drawn; ``places`` holds the seats of all parts.

    A part is drawn so far out that it is clear of what it touches in its seat. Parts of later moves are drawn beyond
    those of earlier ones, so that what goes on first is nearest to its seat; for removals the first to leave is the
    farthest.
    """
    moving = set(step.moving)
    still = [k for k in step.present if k not in moving]
    order = range(len(step.moves))
    found: dict[int, DrawnTravel] = {}
    drawn: list[Floats] = []
    for number in order if not step.moves or step.moves[0].into else reversed(order):
        move = step.moves[number]
        touching = [
            _points(models, k, places[k])
            for k in still
            if any(neighbours.touch(k, places[k], m, places[m]) for m in move.parts)
        ]
        found[number] = _drawn_travel(models, move, places, touching + drawn)
        drawn += [_points(models, key, place) for key, place in found[number].drawn.items()]
    return tuple(found[n] for n in order)


def _drawn_travel(
    models: PartModels, move: Move, places: Mapping[str, Place], still: list[Floats]
) -> DrawnTravel:
    """Return how ``move`` is drawn, clear of what stands ``still``, each (n, 3) mm."""
    front = models.front
    legs = move.legs or (Leg((-front[0], -front[1], -front[2]) if move.into else front),)
    seats = {k: places[k] for k in move.parts}
    points = np.concatenate([_points(models, k, p) for k, p in seats.items()])
    about_line = [leg.turn_deg for leg in legs if leg.axis is not None]
    lead = max(seats, key=lambda k: float(np.prod(np.ptp(models.parts[k].mesh.joined_points, axis=0))))
    offset = np.zeros(3)
    stops, here, turns = [offset], Place(), list[Stretch]()
    for leg, sign in outwards(legs, move.into):
        out = np.array(unit(leg.direction)) * sign
        distance = leg.distance_mm
        if distance is None:
            distance = distance_to_clear(here.points(points), still, out, models.extent_mm)
        slide = out * distance
        offset = offset + slide
        stops.append(offset)
        # How a thread stands when it is out is no matter of clearance.
        turn = sign * leg.turn_deg if leg.axis is not None else 0.0
        axis, s = turning_axis(leg, seats[lead]), (float(slide[0]), float(slide[1]), float(slide[2]))
        turns.append(following(turns, s, turn, seats[lead], axis, leg.through))
        here = turns[-1].end
    if move.into:
        stops.reverse()
    path = tuple((float(s[0]), float(s[1]), float(s[2])) for s in stops)
    turn_deg = max(about_line, key=abs) if about_line else sum((leg.turn_deg for leg in legs), 0.0)
    bare = DrawnTravel(move, {}, seats, path, turn_deg, lead if about_line else "")
    drawn = {
        k: motion_at(drawn_stretches(legs, move.into, path, seats[bare.lead or k]), 1.0) @ seat
        for k, seat in seats.items()
    }
    return replace(bare, drawn=drawn)


def distance_to_clear(points: Floats, still: Sequence[Floats], out: Floats, extent_mm: float) -> float:
    """Return how far ``points`` (n, 3) move along ``out`` to be clear of ``still`` and stand apart, mm.

    Only what the points would sweep over counts: parts whose outline across ``out`` overlaps theirs, as boxes.
    0 where nothing is there.
    """
    if not still:
        return 0.0
    sideways = perpendiculars(out)
    along, flat = points @ out, points @ sideways.T
    length = float(np.ptp(along))
    clear = 0.0
    low, high = flat.min(axis=0), flat.max(axis=0)
    for other in still:
        side = other @ sideways.T
        if (side.max(axis=0) <= low).any() or (side.min(axis=0) >= high).any():
            continue
        # Only the stretch of the other part that lies in the way, so that a wide flange is not cleared in vain.
        inside = ((side >= low - 1e-6) & (side <= high + 1e-6)).all(axis=1)
        reach = other[inside] if inside.any() else other
        clear = max(clear, float((reach @ out).max() - along.min()))
    least = min(LEAST_GAP * extent_mm, max(length, float(np.ptp(flat, axis=0).max())))
    gap = min(max(GAP_SHARE * length, least), MOST_GAP * extent_mm)
    return max(clear, 0.0) + gap


def _points(models: PartModels, key: str, place: Place) -> Floats:
    return place.points(models.parts[key].mesh.joined_points)


def perpendiculars(direction: Floats) -> Floats:
    """Return two unit vectors at right angles to ``direction``, rows of (2, 3)."""
    helper = np.eye(3)[int(np.argmin(np.abs(direction)))]
    a = np.cross(direction, helper)
    a /= np.linalg.norm(a)
    return np.stack([a, np.cross(direction, a)])
