"""Bench layout: how parts lie that have nothing round them, near each other and none inside another.

In their places on the head, twins lie far apart with nothing between, or one above the other, and what goes inside is
hidden. Here loose parts are arranged beside each other so that they fill the picture, the two of a meshing pair are
drawn nearer to each other, and a few kinds that lie in each other are drawn out along the shafts.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...geometry.frame import Floats, Place
from ..engine.camera import View, sensible_views
from ..engine.part_models import Axis, PartModels
from .drawn_travel import DrawnTravel

GAP = 0.7
"""Gap between equal parts, as a share of the longest side of one."""
MOST_KINDS = 5
"""More kinds than this lie as they do on the head: a row of them would be the overview."""
MOST_COVERED = 0.1
"""Share of a kind's outline box that the next in the row may cover."""
LOOSE_SHARE = 0.05
"""Parts that have less than this share of the assembly's volume are loose: how they sit on it need not be kept."""
PAIR_SHARE = 0.15
"""Equal parts that are nearer than this share of their longest side work together, and stay as they are."""
ROW_GAP = 0.3
"""Gap between loose parts, as a share of the longest side of the middling one of them."""
ASPECT = 4.0 / 3.0
"""Shape of the picture that loose parts are arranged for, width over height."""
VIEWS = 4
"""So many of the most natural views have to show loose parts clear of each other."""
_STEPS = 24


def arrange_parts(models: PartModels, places: Mapping[str, Place]) -> dict[str, Place]:
    """Return the places at which parts are drawn that lie by themselves; ``places`` are those on the head."""
    kinds: dict[str, list[str]] = {}
    for key in places:
        kinds.setdefault(models.parts[key].kind, []).append(key)
    if len(places) > 1 and _are_loose(models, places):
        return _arranged(models, places, [[[k] for k in keys] for keys in kinds.values()])
    if len(kinds) == 1:
        return _drawn_together(models, places)
    if len(kinds) <= MOST_KINDS and _nested(models, places, kinds):
        return _drawn_out(models, places, list(kinds.values()))
    return dict(places)


def arrange_units(
    models: PartModels, places: Mapping[str, Place], travels: Sequence[DrawnTravel]
) -> tuple[dict[str, Place], tuple[DrawnTravel, ...]]:
    """Return places and travels with equal loose units (a ring with what it goes onto) arranged beside each other.

    Units are parts on one axis along the front direction. What are not two or more equal ones stay as they are.
    """
    units = _units(models, places, travels)
    kinds = [sorted(models.parts[k].kind for k in unit) for unit in units]
    if len(units) < 2 or any(k != kinds[0] for k in kinds) or not _are_loose(models, places):
        return dict(places), tuple(travels)
    seats = {k: p for t in travels for k, p in t.seats.items()}
    arranged = _arranged(models, places, [units], seats)
    moved = {k: np.subtract(p.shift, places[k].shift) for k, p in arranged.items()}

    def shifted(some: Mapping[str, Place]) -> dict[str, Place]:
        return {k: p.moved(*moved[k].tolist()) if k in moved else p for k, p in some.items()}

    return arranged, tuple(replace(t, drawn=shifted(t.drawn), seats=shifted(t.seats)) for t in travels)


def _units(
    models: PartModels, places: Mapping[str, Place], travels: Sequence[DrawnTravel]
) -> list[list[str]]:
    """Return the parts on each axis along the front direction, by where they sit in the end."""
    front, cell = np.array(models.front), 0.01 * models.extent_mm
    seats = {**places, **{k: p for t in travels for k, p in t.seats.items()}}
    units: dict[Axis, list[str]] = {}
    for key in places:
        units.setdefault(models.axis_of(key, seats[key], front, cell)[0], []).append(key)
    return list(units.values())


def _are_loose(models: PartModels, places: Mapping[str, Place]) -> bool:
    """Return whether the parts are small beside the whole assembly, and none a pair that works together."""
    total = sum(m.mesh.volume_mm3 for m in models)
    if sum(models.parts[k].mesh.volume_mm3 for k in places) >= LOOSE_SHARE * total:
        return False
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    for a, b in itertools.combinations(boxes, 2):
        (low_a, high_a), (low_b, high_b) = boxes[a], boxes[b]
        gap = float(np.maximum(low_a - high_b, low_b - high_a).max())
        if models.parts[a].kind == models.parts[b].kind and gap < PAIR_SHARE * float((high_a - low_a).max()):
            return False
    return True


@dataclass(frozen=True)
class _Wall:
    """The plane across the front direction on which parts are arranged, and the views that must show them clear."""

    right: Floats
    up: Floats
    views: tuple[View, ...]

    @classmethod
    def of(cls, models: PartModels) -> _Wall:
        front, up = np.array(models.front), np.array(models.up)
        return cls(np.cross(up, front), up, sensible_views(models.front, models.up)[:VIEWS])

    def footprint(self, points: Floats) -> Floats:
        """Return lower and upper corner of what ``points`` (n, 3) cover in each view, (views, 2, 2), slanted as the
        wall is seen.
        """
        return np.stack([self._covered(points, view) for view in self.views])

    def _covered(self, points: Floats, view: View) -> Floats:
        seen = points @ view.axes[:2].T
        x = seen[:, 0] / float(view.axes[0] @ self.right)
        y = (seen[:, 1] - float(view.axes[1] @ self.right) * x) / float(view.axes[1] @ self.up)
        flat = np.stack([x, y], axis=1)
        return np.stack([flat.min(axis=0), flat.max(axis=0)])


@dataclass(frozen=True)
class _Unit:
    """Parts that are arranged as one: their middle (3,), their footprint about it, and their longest side, mm."""

    keys: Sequence[str]
    middle: Floats
    footprint: Floats
    longest_mm: float


def _arranged(
    models: PartModels,
    places: Mapping[str, Place],
    groups: Sequence[Sequence[Sequence[str]]],
    seats: Mapping[str, Place] | None = None,
) -> dict[str, Place]:
    """Return the units of each group arranged in a row, and the rows so that together they are drawn largest.

    ``seats`` are places that a part of a unit needs besides its own.
    """
    wall = _Wall.of(models)
    units = [[_measured(models, wall, unit, places, seats or {}) for unit in group] for group in groups]
    flat = [unit for group in units for unit in group]
    gap = ROW_GAP * float(np.median([unit.longest_mm for unit in flat]))
    rows = [_row([unit.footprint for unit in group], gap) for group in units]
    shifts = _pack([footprint for _, footprint in rows], gap, wall)
    spots = np.array([a + shift for shift, (at, _) in zip(shifts, rows, strict=True) for a in at])
    centre = np.mean([unit.middle for unit in flat], axis=0)
    arranged = dict(places)
    for unit, (x, y) in zip(flat, spots - np.mean(spots, axis=0), strict=True):
        by = centre + x * wall.right + y * wall.up - unit.middle
        arranged.update({k: places[k].moved(*by.tolist()) for k in unit.keys})
    return {k: arranged[k] for k in places}


def _measured(
    models: PartModels,
    wall: _Wall,
    unit: Sequence[str],
    places: Mapping[str, Place],
    seats: Mapping[str, Place],
) -> _Unit:
    points = np.concatenate(
        [
            place.points(models.parts[k].mesh.extreme_points)
            for k in unit
            for place in (places[k], *([seats[k]] if k in seats else []))
        ]
    )
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    return _Unit(unit, middle, wall.footprint(points - middle), float(np.ptp(points, axis=0).max()))


def _row(footprints: Sequence[Floats], gap: float) -> tuple[list[Floats], Floats]:
    """Return where the units of a row stand on the wall, (2,) each, and the footprint of the row."""
    pitch = max(float(np.ptp(f, axis=1)[:, 0].max()) for f in footprints) + gap
    at = [np.array([n * pitch, 0.0]) for n in range(len(footprints))]
    boxes = np.stack([f + a for f, a in zip(footprints, at, strict=True)])
    return at, np.stack([boxes[:, :, 0].min(axis=0), boxes[:, :, 1].max(axis=0)], axis=1)


def _pack(rows: Sequence[Floats], gap: float, wall: _Wall) -> list[Floats]:
    """Return how far each row is moved on the wall; a row is (views, 2, 2): its corners in each view.

    The largest comes first, each other one where all together are drawn largest, by the corners of those before it.
    """
    shifts = [np.zeros(2) for _ in rows]
    order = sorted(range(len(rows)), key=lambda n: -float(np.ptp(rows[n], axis=1).prod(axis=1).max()))
    placed: list[Floats] = []
    for n in order:
        row = rows[n]
        best: tuple[float, float, float] | None = None
        for spot in _spots(placed, row, gap):
            there = row + spot
            if any(_meet(there, other, gap) for other in placed):
                continue
            size = _frame_height([*placed, there], wall)
            cost = (round(size / max(gap, 1e-9), 3), -float(spot[1]), float(spot[0]))
            if best is None or cost < best:
                best, shifts[n] = cost, spot
        placed.append(row + shifts[n])
    return shifts


def _spots(placed: Sequence[Floats], row: Floats, gap: float) -> list[Floats]:
    """Return where ``row`` may go: beside, above and below those placed, in line with their corners."""
    if not placed:
        return [np.zeros(2)]
    low, high = row.min(axis=(0, 1)), row.max(axis=(0, 1))
    xs: list[float] = []
    ys: list[float] = []
    for other in placed:
        foot, top = other.min(axis=(0, 1)), other.max(axis=(0, 1))
        middle = (foot + top - low - high) / 2
        for values, axis in ((xs, 0), (ys, 1)):
            values += [
                top[axis] + gap - low[axis],
                foot[axis] - gap - high[axis],
                foot[axis] - low[axis],
                top[axis] - high[axis],
                middle[axis],
            ]
    return [np.array([x, y]) for y in ys for x in xs]


def _meet(a: Floats, b: Floats, gap: float) -> bool:
    """Return whether two rows come nearer than ``gap`` in one of the views."""
    near = (a[:, 0] < b[:, 1] + gap * 0.999) & (b[:, 0] < a[:, 1] + gap * 0.999)
    return bool(near.all(axis=1).any())


def _frame_height(rows: Sequence[Floats], wall: _Wall) -> float:
    """Return the height of a frame that holds the rows in the first view or its mirror, whichever needs more."""
    needed: list[float] = []
    for n, view in enumerate(wall.views[:2]):
        low = np.min([r[n, 0] for r in rows], axis=0)
        high = np.max([r[n, 1] for r in rows], axis=0)
        across, rise, tall = (
            abs(float(view.axes[i] @ d)) for i, d in ((0, wall.right), (1, wall.right), (1, wall.up))
        )
        width, height = high - low
        needed.append(float(max(across * width / ASPECT, rise * width + tall * height)))
    return max(needed)


def _drawn_together(models: PartModels, places: Mapping[str, Place]) -> dict[str, Place]:
    """Return equal parts drawn together about their middle, as near as leaves air between them."""
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    middles = {k: (low + high) / 2 for k, (low, high) in boxes.items()}
    centre = np.mean(list(middles.values()), axis=0)
    sizes = [high - low for low, high in boxes.values()]
    gap = GAP * float(np.max(sizes))
    shares = []
    for a, b in itertools.combinations(boxes, 2):
        apart = np.abs(middles[b] - middles[a])
        room = (boxes[a][1] - boxes[a][0] + boxes[b][1] - boxes[b][0]) / 2 + gap
        far = apart > 1e-6
        # Along one axis at least they have to stay clear of each other.
        shares.append(float((room[far] / apart[far]).min()) if far.any() else 1.0)
    share = min(max(shares, default=1.0), 1.0)
    return {k: p.moved(*((share - 1.0) * (middles[k] - centre)).tolist()) for k, p in places.items()}


def _nested(models: PartModels, places: Mapping[str, Place], kinds: Mapping[str, Sequence[str]]) -> bool:
    """Return whether a part lies in the box of one of another kind."""
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    for mine, theirs in itertools.permutations(kinds.values(), 2):
        for a, b in itertools.product(mine, theirs):
            middle = (boxes[a][0] + boxes[a][1]) / 2
            if (middle > boxes[b][0]).all() and (middle < boxes[b][1]).all():
                return True
    return False


def _drawn_out(
    models: PartModels, places: Mapping[str, Place], groups: Sequence[Sequence[str]]
) -> dict[str, Place]:
    """Return the kinds drawn out along the shafts, each just clear of the one behind it in the first view."""
    front = np.array(models.front)
    view = sensible_views(models.front, models.up)[0]
    order = sorted(groups, key=lambda g: -_volume(models, places, g))
    base, rest = order[0], order[1:]
    rest = sorted(rest, key=lambda g: _level(models, places, g))
    drawn = {k: places[k] for k in base}
    behind, out = base, 0.0
    for group in rest:
        while (
            _covered(models, {k: drawn[k] for k in behind}, _moved(places, group, out * front), view)
            > MOST_COVERED
        ):
            out += models.extent_mm / _STEPS
        drawn.update(_moved(places, group, out * front))
        behind = group
    return {k: drawn[k] for k in places}


def _moved(places: Mapping[str, Place], keys: Sequence[str], by: Floats) -> dict[str, Place]:
    return {k: places[k].moved(*by.tolist()) for k in keys}


def _points(models: PartModels, places: Mapping[str, Place]) -> Floats:
    return np.concatenate([p.points(models.parts[k].mesh.extreme_points) for k, p in places.items()])


def _volume(models: PartModels, places: Mapping[str, Place], keys: Sequence[str]) -> float:
    return float(np.ptp(_points(models, {k: places[k] for k in keys}), axis=0).prod())


def _level(models: PartModels, places: Mapping[str, Place], keys: Sequence[str]) -> float:
    along = _points(models, {k: places[k] for k in keys}) @ np.array(models.front)
    return float(along.min() + along.max()) / 2


def _covered(
    models: PartModels, behind: Mapping[str, Place], before: Mapping[str, Place], view: View
) -> float:
    """Return the share of the smaller outline that both have in common, as seen in ``view``."""
    import shapely

    one, other = (
        shapely.convex_hull(shapely.multipoints(_points(models, p) @ view.axes[:2].T))
        for p in (behind, before)
    )
    return float(one.intersection(other).area / max(min(one.area, other.area), 1e-9))
