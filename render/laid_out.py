"""Parts that lie on the bench to be looked at, with nothing round them: brought near, and none in another.

In their places on the head, twins lie far apart with nothing between, and what goes inside is hidden. Here parts of one
kind are drawn nearer to each other, and a few kinds that lie in each other are drawn out along the shafts.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np

from ..geometry.frame import Floats, Place
from .camera import View, sensible_views
from .models import Models

AIR = 0.7
"""Air between equal parts, as a share of the longest side of one."""
MOST_KINDS = 5
"""More kinds than this lie as they do on the head: a row of them would be the overview."""
MOST_COVERED = 0.1
"""Share of a kind's outline box that the next in the row may cover."""
_STEPS = 24


def lay_parts_out(models: Models, places: Mapping[str, Place]) -> dict[str, Place]:
    """Return the places at which parts are drawn that lie by themselves; ``places`` are those on the head."""
    kinds: dict[str, list[str]] = {}
    for key in places:
        kinds.setdefault(models.parts[key].kind, []).append(key)
    if len(kinds) == 1:
        return _nearer(models, places)
    if len(kinds) <= MOST_KINDS and _nested(models, places, kinds):
        return _in_a_row(models, places, list(kinds.values()))
    return dict(places)


def _nearer(models: Models, places: Mapping[str, Place]) -> dict[str, Place]:
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


def _nested(models: Models, places: Mapping[str, Place], kinds: Mapping[str, Sequence[str]]) -> bool:
    """Return whether a part lies in the box of one of another kind."""
    boxes = {k: models.parts[k].box(p) for k, p in places.items()}
    for mine, theirs in itertools.permutations(kinds.values(), 2):
        for a, b in itertools.product(mine, theirs):
            middle = (boxes[a][0] + boxes[a][1]) / 2
            if (middle > boxes[b][0]).all() and (middle < boxes[b][1]).all():
                return True
    return False


def _in_a_row(
    models: Models, places: Mapping[str, Place], groups: Sequence[Sequence[str]]
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


def _points(models: Models, places: Mapping[str, Place]) -> Floats:
    return np.concatenate([p.points(models.parts[k].mesh.extreme_points) for k, p in places.items()])


def _volume(models: Models, places: Mapping[str, Place], keys: Sequence[str]) -> float:
    return float(np.ptp(_points(models, {k: places[k] for k in keys}), axis=0).prod())


def _level(models: Models, places: Mapping[str, Place], keys: Sequence[str]) -> float:
    along = _points(models, {k: places[k] for k in keys}) @ np.array(models.front)
    return float(along.min() + along.max()) / 2


def _covered(models: Models, behind: Mapping[str, Place], before: Mapping[str, Place], view: View) -> float:
    """Return the share of the smaller outline that both have in common, as seen in ``view``."""
    import shapely

    one, other = (
        shapely.convex_hull(shapely.multipoints(_points(models, p) @ view.axes[:2].T))
        for p in (behind, before)
    )
    return float(one.intersection(other).area / max(min(one.area, other.area), 1e-9))
