"""Parts that lie on the bench with nothing round them: brought near, beside each other, and none in another.

In their places on the head, twins lie far apart with nothing between, or one above the other, and what goes inside is
hidden. Here loose parts are laid beside each other so that they fill the picture, the two of a meshing pair are drawn
nearer to each other, and a few kinds that lie in each other are drawn out along the shafts.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from ...geometry.frame import Floats, Place
from ..engine.camera import View, sensible_views
from ..engine.part_models import Axis, PartModels
from .drawn_travel import DrawnTravel

AIR = 0.7
"""Air between equal parts, as a share of the longest side of one."""
MOST_KINDS = 5
"""More kinds than this lie as they do on the head: a row of them would be the overview."""
MOST_COVERED = 0.1
"""Share of a kind's outline box that the next in the row may cover."""
LOOSE = 0.05
"""Parts that have less than this share of the assembly's volume are loose: how they sit on it need not be kept."""
PAIR = 0.15
"""Equal parts that are nearer than this share of their longest side work together, and stay as they are."""
BESIDE = 0.3
"""Air between loose parts, as a share of the longest side of the middling one of them."""
ASPECT = 4.0 / 3.0
"""Shape of the picture that loose parts are laid out for, width over height."""
VIEWS = 4
"""So many of the most natural views have to show loose parts clear of each other."""
_STEPS = 24


def lay_parts_out(models: PartModels, places: Mapping[str, Place]) -> dict[str, Place]:
    """Return the places at which parts are drawn that lie by themselves; ``places`` are those on the head."""
    kinds: dict[str, list[str]] = {}
    for key in places:
        kinds.setdefault(models.parts[key].kind, []).append(key)
    if len(places) > 1 and _are_loose(models, places):
        return _beside(models, places, [[[k] for k in keys] for keys in kinds.values()])
    if len(kinds) == 1:
        return _nearer(models, places)
    if len(kinds) <= MOST_KINDS and _nested(models, places, kinds):
        return _in_a_row(models, places, list(kinds.values()))
    return dict(places)


def lay_units_out(
    models: PartModels, places: Mapping[str, Place], travels: Sequence[DrawnTravel]
) -> tuple[dict[str, Place], tuple[DrawnTravel, ...]]:
    """Return places and travels with equal loose units (a ring with what it goes onto) laid beside each other.

    Units are parts on one axis along the front direction. What are not two or more equal ones stay as they are.
    """
    units = _units(models, places, travels)
    kinds = [sorted(models.parts[k].kind for k in unit) for unit in units]
    if len(units) < 2 or any(k != kinds[0] for k in kinds) or not _are_loose(models, places):
        return dict(places), tuple(travels)
    seats = {k: p for t in travels for k, p in t.seats.items()}
    laid = _beside(models, places, [units], seats)
    moved = {k: np.subtract(p.shift, places[k].shift) for k, p in laid.items()}

    def shifted(some: Mapping[str, Place]) -> dict[str, Place]:
        return {k: p.moved(*moved[k].tolist()) if k in moved else p for k, p in some.items()}

    return laid, tuple(replace(t, drawn=shifted(t.drawn), seats=shifted(t.seats)) for t in travels)


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
    if sum(models.parts[k].mesh.volume_mm3 for k in places) >= LOOSE * total:
        return False
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    for a, b in itertools.combinations(boxes, 2):
        (low_a, high_a), (low_b, high_b) = boxes[a], boxes[b]
        gap = float(np.maximum(low_a - high_b, low_b - high_a).max())
        if models.parts[a].kind == models.parts[b].kind and gap < PAIR * float((high_a - low_a).max()):
            return False
    return True


def _beside(
    models: PartModels,
    places: Mapping[str, Place],
    groups: Sequence[Sequence[Sequence[str]]],
    also: Mapping[str, Place] | None = None,
) -> dict[str, Place]:
    """Return the units of each group laid in a row, and the rows so that together they are drawn largest.

    All lie on a wall across the front direction. On it a unit takes up what it covers in a view, slanted as the wall
    is seen. ``also`` are places that a part of a unit needs besides (its seat).
    """
    front, up = np.array(models.front), np.array(models.up)
    right = np.cross(up, front)
    views = sensible_views(models.front, models.up)[:VIEWS]
    units = [unit for group in groups for unit in group]
    middles, rooms, longest = [], [], []
    for unit in units:
        points = np.concatenate(
            [p.points(models.parts[k].mesh.extreme_points) for k in unit for p in _places_of(k, places, also)]
        )
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        middles.append(middle)
        longest.append(float(np.ptp(points, axis=0).max()))
        rooms.append(np.stack([_on_wall(points - middle, v, right, up) for v in views]))
    air = BESIDE * float(np.median(longest))
    rows: list[tuple[list[Floats], Floats]] = []
    first = 0
    for group in groups:
        own = rooms[first : first + len(group)]
        pitch = max(float(np.ptp(r, axis=1)[:, 0].max()) for r in own) + air
        at = [np.array([n * pitch, 0.0]) for n in range(len(group))]
        boxes = np.stack([r + a for r, a in zip(own, at, strict=True)])
        rows.append((at, np.stack([boxes[:, :, 0].min(axis=0), boxes[:, :, 1].max(axis=0)], axis=1)))
        first += len(group)
    shifts = _pack([room for _, room in rows], air, views, right, up)
    spots = [a + shift for shift, (at, _) in zip(shifts, rows, strict=True) for a in at]
    laid = dict(places)
    centre = np.mean(middles, axis=0)
    for unit, middle, (x, y) in zip(units, middles, np.array(spots) - np.mean(spots, axis=0), strict=True):
        by = centre + x * right + y * up - middle
        laid.update({k: places[k].moved(*by.tolist()) for k in unit})
    return {k: laid[k] for k in places}


def _places_of(key: str, places: Mapping[str, Place], also: Mapping[str, Place] | None) -> list[Place]:
    return [places[key], *([also[key]] if also and key in also else [])]


def _on_wall(points: Floats, view: View, right: Floats, up: Floats) -> Floats:
    """Return lower and upper corner (2, 2) of what ``points`` (n, 3) cover on a wall of ``right`` and ``up``."""
    seen = points @ view.axes[:2].T
    x = seen[:, 0] / float(view.axes[0] @ right)
    y = (seen[:, 1] - float(view.axes[1] @ right) * x) / float(view.axes[1] @ up)
    flat = np.stack([x, y], axis=1)
    return np.stack([flat.min(axis=0), flat.max(axis=0)])


def _pack(
    rows: Sequence[Floats], air: float, views: Sequence[View], right: Floats, up: Floats
) -> list[Floats]:
    """Return how far each row is moved on the wall; a row is (views, 2, 2): its corners in each view.

    The largest comes first, each other one where all together are drawn largest, by the corners of those before it.
    """
    shifts = [np.zeros(2) for _ in rows]
    order = sorted(range(len(rows)), key=lambda n: -float(np.ptp(rows[n], axis=1).prod(axis=1).max()))
    placed: list[Floats] = []
    for n in order:
        row = rows[n]
        best: tuple[float, float, float] | None = None
        for spot in _spots(placed, row, air):
            there = row + spot
            if any(_meet(there, other, air) for other in placed):
                continue
            size = _frame([*placed, there], views, right, up)
            cost = (round(size / max(air, 1e-9), 3), -float(spot[1]), float(spot[0]))
            if best is None or cost < best:
                best, shifts[n] = cost, spot
        placed.append(row + shifts[n])
    return shifts


def _spots(placed: Sequence[Floats], row: Floats, air: float) -> list[Floats]:
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
                top[axis] + air - low[axis],
                foot[axis] - air - high[axis],
                foot[axis] - low[axis],
                top[axis] - high[axis],
                middle[axis],
            ]
    return [np.array([x, y]) for y in ys for x in xs]


def _meet(a: Floats, b: Floats, air: float) -> bool:
    """Return whether two rows come nearer than ``air`` in one of the views."""
    near = (a[:, 0] < b[:, 1] + air * 0.999) & (b[:, 0] < a[:, 1] + air * 0.999)
    return bool(near.all(axis=1).any())


def _frame(rows: Sequence[Floats], views: Sequence[View], right: Floats, up: Floats) -> float:
    """Return the height of a frame that holds the rows in the first view or its mirror, whichever needs more."""
    needed: list[float] = []
    for n, view in enumerate(views[:2]):
        low = np.min([r[n, 0] for r in rows], axis=0)
        high = np.max([r[n, 1] for r in rows], axis=0)
        across, rise, tall = (abs(float(view.axes[i] @ d)) for i, d in ((0, right), (1, right), (1, up)))
        width, height = high - low
        needed.append(float(max(across * width / ASPECT, rise * width + tall * height)))
    return max(needed)


def _nearer(models: PartModels, places: Mapping[str, Place]) -> dict[str, Place]:
    """Return equal parts drawn together about their middle, as near as leaves air between them."""
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    middles = {k: (low + high) / 2 for k, (low, high) in boxes.items()}
    centre = np.mean(list(middles.values()), axis=0)
    sizes = [high - low for low, high in boxes.values()]
    air = AIR * float(np.max(sizes))
    shares = []
    for a, b in itertools.combinations(boxes, 2):
        apart = np.abs(middles[b] - middles[a])
        room = (boxes[a][1] - boxes[a][0] + boxes[b][1] - boxes[b][0]) / 2 + air
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


def _in_a_row(
    models: PartModels, places: Mapping[str, Place], groups: Sequence[Sequence[str]]
) -> dict[str, Place]:
    """Return the kinds drawn out along the shafts, each just clear of the one behind it in the first view."""
    front = np.array(models.front)
    view = sensible_views(models.front, models.up)[0]
    order = sorted(groups, key=lambda g: -_volume(models, places, g))
    base, rest = order[0], order[1:]
    rest = sorted(rest, key=lambda g: _level(models, places, g))
    laid = {k: places[k] for k in base}
    behind, out = base, 0.0
    for group in rest:
        while (
            _covered(models, {k: laid[k] for k in behind}, _moved(places, group, out * front), view)
            > MOST_COVERED
        ):
            out += models.extent_mm / _STEPS
        laid.update(_moved(places, group, out * front))
        behind = group
    return {k: laid[k] for k in places}


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
