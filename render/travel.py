"""Travel as the pictures show it: how far out a part is drawn so that it is clear of what it goes onto."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry.frame import Floats, Place, Vec3, unit
from ..sequences.plan import Leg, Move, Step
from .models import Models

GAP_SHARE = 0.30
"""Air between a part drawn out and what it was drawn off, as a share of the part's own length along its travel."""
LEAST_GAP, MOST_GAP = 0.035, 0.10
"""Bounds of that air as shares of the assembly's extent."""


@dataclass(frozen=True)
class Travel:
    """One move of a step as drawn.

    ``drawn`` are the places of its parts in the picture, ``seats`` those on the assembly. ``way`` runs from the drawn
    offset to the seat (or back, for a removal) as offsets in mm; ``turn_deg`` is the turn on the way.
    """

    move: Move
    drawn: Mapping[str, Place]
    seats: Mapping[str, Place]
    way: tuple[Vec3, ...]
    turn_deg: float

    @property
    def offset(self) -> Vec3:
        """Shift of the drawn parts away from their seats, mm."""
        return self.way[0] if self.move.into else self.way[-1]

    @property
    def length_mm(self) -> float:
        """Distance from drawn place to seat."""
        return float(np.linalg.norm(self.offset))


def lay_travels(models: Models, step: Step, places: Mapping[str, Place]) -> tuple[Travel, ...]:
    """Return how each move of ``step`` is drawn; ``places`` holds the seats of all parts.

    Parts of later moves are drawn beyond those of earlier ones, so that what goes on first is nearest to its
    seat; for removals the first to leave is the farthest.
    """
    moving = set(step.moving)
    still = {k: _points(models, k, places[k]) for k in step.present if k not in moving}
    order = range(len(step.moves))
    laid: dict[int, Travel] = {}
    for number in order if not step.moves or step.moves[0].into else reversed(order):
        move = step.moves[number]
        laid[number] = _lay(models, move, places, list(still.values()))
        for key, place in laid[number].drawn.items():
            still[key] = _points(models, key, place)
    return tuple(laid[n] for n in order)


def _lay(models: Models, move: Move, places: Mapping[str, Place], still: list[Floats]) -> Travel:
    front = models.front
    legs = move.legs or (Leg((-front[0], -front[1], -front[2]) if move.into else front),)
    seats = {k: places[k] for k in move.parts}
    points = np.concatenate([_points(models, k, p) for k, p in seats.items()])
    offset = np.zeros(3)
    stops = [offset]
    turn = 0.0
    # From the seat outwards: backwards through the legs of a fit, forwards through those of a removal.
    for leg in reversed(legs) if move.into else legs:
        out = np.array(unit(leg.direction)) * (-1.0 if move.into else 1.0)
        distance = leg.distance_mm
        if distance is None:
            distance = clear_distance(points + offset, still, out, models.extent_mm)
        offset = offset + out * distance
        stops.append(offset)
        turn += leg.turn_deg
    if move.into:
        stops.reverse()
    drawn = {}
    part_turn = turn % 360.0
    for key, seat in seats.items():
        about = (seat.shift[0], seat.shift[1], seat.shift[2])
        back = Place.turn(-part_turn if move.into else part_turn, about=about) if part_turn else Place()
        drawn[key] = (back @ seat).moved(float(offset[0]), float(offset[1]), float(offset[2]))
    way = tuple((float(s[0]), float(s[1]), float(s[2])) for s in stops)
    return Travel(move, drawn, seats, way, turn)


def clear_distance(points: Floats, still: Sequence[Floats], out: Floats, extent_mm: float) -> float:
    """Return how far ``points`` (n, 3) move along ``out`` to be clear of ``still`` and stand apart, mm.

    Only what the points would sweep over counts: parts whose outline across ``out`` overlaps theirs, as boxes.
    0 where nothing is there.
    """
    if not still:
        return 0.0
    across = _across(out)
    along, flat = points @ out, points @ across.T
    length = float(np.ptp(along))
    clear = 0.0
    low, high = flat.min(axis=0), flat.max(axis=0)
    for other in still:
        side = other @ across.T
        if (side.max(axis=0) <= low).any() or (side.min(axis=0) >= high).any():
            continue
        # Only the stretch of the other part that lies in the way, so that a wide flange is not cleared in vain.
        inside = ((side >= low - 1e-6) & (side <= high + 1e-6)).all(axis=1)
        reach = other[inside] if inside.any() else other
        clear = max(clear, float((reach @ out).max() - along.min()))
    gap = min(max(GAP_SHARE * length, LEAST_GAP * extent_mm), MOST_GAP * extent_mm)
    return max(clear, 0.0) + gap


def _points(models: Models, key: str, place: Place) -> Floats:
    return place.points(models.parts[key].mesh.joined_points)


def _across(direction: Floats) -> Floats:
    """Return two unit vectors at right angles to ``direction``, rows of (2, 3)."""
    helper = np.eye(3)[int(np.argmin(np.abs(direction)))]
    a = np.cross(direction, helper)
    a /= np.linalg.norm(a)
    return np.stack([a, np.cross(direction, a)])
