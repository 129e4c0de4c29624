"""Layers of an exploded layout: which parts are drawn out together, and in which order.

A *layer* is all parts of one kind (twins and rows of equal parts move out together); what stays together (a housing
with its shafts) is one layer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Vec3
from ..engine.camera import View, fit_camera
from ..engine.part_models import PartModels
from ..engine.stage import Stage

ORDER_GRID = 500
"""Pixels across in the pictures that tell the order of the layers."""
SLACK_SHARE = 0.004
"""Heights that differ by less than this share of the assembly's extent are one."""
COVERED = 0.93
"""Equal parts of one of which less than this share is seen cover each other."""


@dataclass(frozen=True)
class Layer:
    """Parts that are drawn out together; ``level_mm`` is where they sit along the front direction."""

    keys: tuple[str, ...]
    level_mm: float


def make_layers(stage: Stage, view: View, together: Sequence[str] = ()) -> tuple[Layer, ...]:
    """Return the layers of an assembly in order along its front direction.

    ``together`` are parts that are not taken apart (the first layer), unless they are all. Equal parts make one layer
    unless they cover each other in ``view``. What can only leave to the front goes after what it leaves, the rest by
    where it sits; a pin that stands out of both faces of a part goes before it, at the face by which it is fitted.
    """
    models = stage.models
    groups: dict[str, list[str]] = {}
    kept = [k for k in models.parts if k in set(together)]
    if len(kept) == len(models.parts):
        kept = []  # nothing would be left to take apart
    for key, model in models.parts.items():
        if key not in kept:
            groups.setdefault(model.kind, []).append(key)
    layers = [_layer(models, kept)] if kept else []
    for keys in groups.values():
        apart = len(keys) > 1 and _cover_each_other(stage, keys, view)
        layers += [_layer(models, [k]) for k in keys] if apart else [_layer(models, keys)]
    return tuple(_in_order(stage, layers, bool(kept)))


def _layer(models: PartModels, keys: Sequence[str]) -> Layer:
    front = np.array(models.front)
    points = np.concatenate([models.parts[k].place.points(models.parts[k].mesh.joined_points) for k in keys])
    along = points @ front
    return Layer(tuple(keys), float((along.min() + along.max()) / 2))


def _cover_each_other(stage: Stage, keys: Sequence[str], view: View) -> bool:
    places = {k: stage.models.parts[k].place for k in keys}
    points = np.concatenate([p.points(stage.models.parts[k].mesh.joined_points) for k, p in places.items()])
    camera = fit_camera(view, points, 1.0)
    seen = stage.ids(places, camera, ORDER_GRID)
    for key in keys:
        alone = int(stage.mask({key: places[key]}, camera, ORDER_GRID).sum())
        if int(seen.mask([key]).sum()) < COVERED * alone:
            return True
    return False


@dataclass(frozen=True)
class _Relief:
    """Heights of a layer along the front direction on a grid, (h, w) mm each: its foremost and rearmost surface.

    Where the layer is not, ``top`` is minus and ``low`` plus infinity.
    """

    top: Floats
    low: Floats

    @property
    def foot(self) -> float:
        """Rearmost height."""
        return float(self.low[np.isfinite(self.low)].min())

    @property
    def head(self) -> float:
        """Foremost height."""
        return float(self.top.max())

    @property
    def span(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """First and last (row, column) at which the layer is."""
        there = np.argwhere(np.isfinite(self.top))
        return there.min(axis=0), there.max(axis=0)


def _in_order(stage: Stage, layers: list[Layer], first_fixed: bool) -> list[Layer]:
    """Return ``layers`` so that each leaves to the front past none of those after it, else by where they sit."""
    slack = SLACK_SHARE * stage.models.extent_mm
    reliefs = _reliefs(stage, layers)
    slim = [all(is_slim(stage.models, key) for key in layer.keys) for layer in layers]
    before: list[set[int]] = [set() for _ in layers]
    for i, j in combinations(range(len(layers)), 2):
        found = _precedence(i, j, layers, reliefs, slim, slack)
        if found is not None:
            first, later = found
            before[later].add(first)
    return [layers[n] for n in _sorted(layers, before, first_fixed, slack)]


def _reliefs(stage: Stage, layers: Sequence[Layer]) -> list[_Relief]:
    models = stage.models
    front, up = models.front, models.up
    back = (-front[0], -front[1], -front[2])
    points = np.concatenate([m.place.points(m.mesh.joined_points) for m in models])

    def heights(layer: Layer, direction: Vec3) -> Floats:
        places = {k: models.parts[k].place for k in layer.keys}
        ids = stage.ids(places, fit_camera(View("", direction, up), points, 1.0), ORDER_GRID)
        return np.where(ids.part >= 0, ids.near_mm, -np.inf)

    # Seen from behind, left and right are changed and nearness counts the other way.
    return [_Relief(heights(layer, front), -heights(layer, back)[:, ::-1]) for layer in layers]


def _precedence(
    i: int,
    j: int,
    layers: Sequence[Layer],
    reliefs: Sequence[_Relief],
    slim: Sequence[bool],
    slack_mm: float,
) -> tuple[int, int] | None:
    """Return which of two layers goes first and which later, None where it does not matter."""
    i_leaves, j_leaves = _leaves(reliefs[i], reliefs[j], slack_mm), _leaves(reliefs[j], reliefs[i], slack_mm)
    if i_leaves != j_leaves:
        return (i, j) if j_leaves else (j, i)
    if not i_leaves or not _nested(reliefs[i], reliefs[j]):
        return None
    if slim[i] == slim[j]:
        return i, j
    pin, host = (i, j) if slim[i] else (j, i)
    fitted_by_it = len(layers[host].keys) == 1 and _stands_out(reliefs[pin], reliefs[host])
    return (pin, host) if fitted_by_it else None


def _leaves(one: _Relief, other: _Relief, slack_mm: float) -> bool:
    """Return whether ``one`` can leave to the front without meeting ``other``; lines a pixel wide do not count."""
    met = np.isfinite(other.top) & np.isfinite(one.low) & (other.top > one.low + slack_mm)
    inner = met[1:-1, 1:-1] & met[:-2, 1:-1] & met[2:, 1:-1] & met[1:-1, :-2] & met[1:-1, 2:]
    return not inner.any()


def _sorted(
    layers: Sequence[Layer], before: Sequence[set[int]], first_fixed: bool, slack_mm: float
) -> list[int]:
    """Return the numbers of the layers, each after those that go ``before`` it, else by where they sit."""
    order: list[int] = [0] if first_fixed else []
    left = set(range(len(layers))) - set(order)
    while left:
        free = [n for n in left if not (before[n] & left)] or list(left)
        following = min(free, key=lambda n: (round(layers[n].level_mm / slack_mm), n))
        order.append(following)
        left.remove(following)
    return order


def _nested(one: _Relief, other: _Relief) -> bool:
    """Return whether two layers sit at the same height, one within the other: the order of the parts then counts."""
    common = min(one.head, other.head) - max(one.foot, other.foot)
    return common > 0.5 * min(one.head - one.foot, other.head - other.foot)


def _stands_out(pin: _Relief, host: _Relief) -> bool:
    """Return whether the pin stands out of the host in front and behind, and not at its side."""
    (pin_first, pin_last), (first, last) = pin.span, host.span
    aside = (pin_first < first).any() or (pin_last > last).any()
    return not aside and pin.head > host.head and pin.foot < host.foot


def is_slim(models: PartModels, key: str) -> bool:
    """Return whether a part is longer along the front direction than across, as pins and screws are."""
    low, high = models.parts[key].box(models.parts[key].place)
    span, front = high - low, np.array(models.front)
    along = abs(float(span @ front))
    return along > float(np.abs(span - np.abs(front) * along).max())
