"""Layers of an exploded layout: which parts are drawn out together, and in which order.

A *layer* is all parts of one kind (twins and rows of equal parts move out together); what stays together (a housing
with its shafts) is one layer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats
from ..engine.camera import View, fit_camera
from ..engine.part_models import PartModels
from ..engine.stage import Stage

ORDER_GRID = 500
"""Pixels across in the pictures that tell the order of the layers."""


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
        if int(seen.mask([key]).sum()) < 0.93 * alone:
            return True
    return False


def _in_order(stage: Stage, layers: list[Layer], first_fixed: bool) -> list[Layer]:
    """Return ``layers`` so that each leaves to the front past none of those after it, else by where they sit."""
    models = stage.models
    front, up = models.front, models.up
    back = (-front[0], -front[1], -front[2])
    points = np.concatenate([m.place.points(m.mesh.joined_points) for m in models])
    top: list[Floats] = []
    low: list[Floats] = []
    for layer in layers:
        places = {k: models.parts[k].place for k in layer.keys}
        for heights, direction in ((top, front), (low, back)):
            ids = stage.ids(places, fit_camera(View("", direction, up), points, 1.0), ORDER_GRID)
            heights.append(np.where(ids.part >= 0, ids.near_mm, -np.inf))
    # Seen from behind, left and right are changed and nearness counts the other way.
    low = [-h[:, ::-1] for h in low]
    slack = 0.004 * models.extent_mm

    def leaves(over: int, under: int) -> bool:
        """Whether layer ``over`` can leave to the front without meeting ``under``."""
        met = np.isfinite(top[under]) & np.isfinite(low[over]) & (top[under] > low[over] + slack)
        inner = met[1:-1, 1:-1] & met[:-2, 1:-1] & met[2:, 1:-1] & met[1:-1, :-2] & met[1:-1, 2:]
        return not inner.any()

    count = len(layers)
    before: list[set[int]] = [set() for _ in range(count)]
    slim = [all(is_slim(models, key) for key in layer.keys) for layer in layers]
    for i in range(count):
        for j in range(i + 1, count):
            j_over_i, i_over_j = leaves(j, i), leaves(i, j)
            if j_over_i and not i_over_j:
                before[j].add(i)
            elif i_over_j and not j_over_i:
                before[i].add(j)
            elif j_over_i and i_over_j and _nested(top[i], low[i], top[j], low[j]):
                if slim[i] == slim[j]:
                    before[j].add(i)
                else:
                    pin, host = (i, j) if slim[i] else (j, i)
                    if len(layers[host].keys) == 1 and _stands_out(top[pin], low[pin], top[host], low[host]):
                        before[host].add(pin)
    order: list[int] = [0] if first_fixed else []
    left = set(range(count)) - set(order)
    while left:
        free = [n for n in left if not (before[n] & left)] or list(left)
        following = min(free, key=lambda n: (round(layers[n].level_mm / slack), n))
        order.append(following)
        left.remove(following)
    return [layers[n] for n in order]


def _nested(top_i: Floats, low_i: Floats, top_j: Floats, low_j: Floats) -> bool:
    """Return whether two layers sit at the same height, one within the other: the order of the parts then counts."""
    high = min(float(top_i.max()), float(top_j.max()))
    foot = max(_foot(low_i), _foot(low_j))
    short = min(float(top.max()) - _foot(low) for top, low in ((top_i, low_i), (top_j, low_j)))
    return high - foot > 0.5 * short


def _stands_out(top_j: Floats, low_j: Floats, top_i: Floats, low_i: Floats) -> bool:
    """Return whether layer j stands out of layer i in front and behind, and not beside it."""
    (foot_j, head_j), (foot_i, head_i) = _extent(top_j), _extent(top_i)
    beside = (foot_j < foot_i).any() or (head_j > head_i).any()
    return not beside and float(top_j.max()) > float(top_i.max()) and _foot(low_j) < _foot(low_i)


def _extent(top: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return first and last (row, column) at which a layer is seen."""
    there = np.argwhere(np.isfinite(top))
    return there.min(axis=0), there.max(axis=0)


def _foot(low: Floats) -> float:
    return float(low[np.isfinite(low)].min())


def is_slim(models: PartModels, key: str) -> bool:
    """Return whether a part is longer along the front direction than across, as pins and screws are."""
    low, high = models.parts[key].box(models.parts[key].place)
    span, front = high - low, np.array(models.front)
    along = abs(float(span @ front))
    return along > float(np.abs(span - np.abs(front) * along).max())
