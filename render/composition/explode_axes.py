"""Axes of an exploded layout: which parts share one, what pins and screws stand in, and the lines that join them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ...geometry.frame import Floats, Place
from ..engine.part_models import Axis, PartModels
from .layers import Layer, is_slim

CELL_SHARE = 0.004
"""Axes nearer to each other than this share of the assembly's extent are one."""
BEYOND_SHARE, ONWARD_SHARE = 0.02, 0.14
"""How far a line runs on beyond its parts, and where its axis goes on in another row, as shares of the extent."""
Span = tuple[float, float, Floats]
"""From where to where a part reaches along an axis when drawn out, mm, and the point nearest to the origin of it."""


def _axis_of(models: PartModels, key: str) -> tuple[Axis, Floats]:
    """Return the axis on which a part sits, along the front direction, as :meth:`.PartModels.axis_of`."""
    place, front = models.parts[key].place, np.array(models.front)
    return models.axis_of(key, place, front, CELL_SHARE * models.extent_mm)


def hosts_of(models: PartModels, layers: Sequence[Layer]) -> dict[int, int]:
    """Return for each layer of pins or screws, whose axes nothing else shares, the nearest layer they stand in."""
    slim = _lone_slim(models, layers)
    boxes = {m: _box(models, layers[m].keys) for m in range(len(layers)) if m not in slim}
    found = {}
    for n in slim:
        inside = [m for m, box in boxes.items() if _stand_in(models, layers[n].keys, box)]
        if inside:
            found[n] = min(inside, key=lambda m: (abs(m - n), m))
    return found


def _lone_slim(models: PartModels, layers: Sequence[Layer]) -> set[int]:
    """Return the layers of pins or screws whose axes nothing else shares."""
    sharing: dict[Axis, set[int]] = {}
    for n, layer in enumerate(layers):
        for key in layer.keys:
            sharing.setdefault(_axis_of(models, key)[0], set()).add(n)
    return {
        n
        for n, layer in enumerate(layers)
        if all(sharing[_axis_of(models, k)[0]] == {n} and is_slim(models, k) for k in layer.keys)
    }


def _stand_in(models: PartModels, pins: Sequence[str], host: tuple[Floats, Floats]) -> bool:
    """Return whether ``pins`` reach into the box of a host, each on an axis that meets it."""
    front, (foot, top) = np.array(models.front), host
    low, high = _box(models, pins)
    if min(float(high @ front), float(top @ front)) <= max(float(low @ front), float(foot @ front)):
        return False
    return all(_holds(_axis_of(models, key)[1], foot, top, front) for key in pins)


def kept_with_previous(models: PartModels, layers: Sequence[Layer], hosts: Mapping[int, int]) -> set[int]:
    """Return the layers that may not begin a row: those between pins and what they stand in, and second twins."""
    kinds = [{models.parts[key].kind for key in layer.keys} for layer in layers]
    twins = {n for n in range(1, len(layers)) if kinds[n] == kinds[n - 1]}
    return twins | {n for a, b in hosts.items() for n in range(min(a, b) + 1, max(a, b) + 1)}


def _box(models: PartModels, keys: Sequence[str]) -> tuple[Floats, Floats]:
    boxes = [models.parts[k].box(models.parts[k].place) for k in keys]
    return np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)


def _holds(point: Floats, low: Floats, high: Floats, front: Floats) -> bool:
    """Return whether the line through ``point`` along ``front`` meets the box."""
    across = np.abs(front) < 0.5
    return bool((point[across] > low[across]).all() and (point[across] < high[across]).all())


def axis_lines(
    models: PartModels,
    layers: Sequence[Layer],
    rows: Sequence[tuple[int, int]],
    places: Mapping[str, Place],
    hosts: Mapping[int, int],
) -> tuple[Floats, ...]:
    """Return one line, (2, 3) mm, for each axis and row; one that goes on in another row runs on a little at that end.

    ``places`` are the exploded ones. Pins and screws are joined to the middle of the part that they stand in.
    """
    front = np.array(models.front)
    beyond, onward = BEYOND_SHARE * models.extent_mm, ONWARD_SHARE * models.extent_mm
    on_axis: dict[Axis, dict[int, list[Span]]] = {}
    for row, (begin, end) in enumerate(rows):
        for n in range(begin, end):
            for axis, span in _spans(models, layers, n, places, hosts):
                on_axis.setdefault(axis, {}).setdefault(row, []).append(span)
    lines: list[Floats] = []
    for in_rows in on_axis.values():
        for row, spans in in_rows.items():
            if len(spans) < 2 and len(in_rows) < 2:
                continue
            low = min(s[0] for s in spans) - (onward if any(r < row for r in in_rows) else beyond)
            high = max(s[1] for s in spans) + (onward if any(r > row for r in in_rows) else beyond)
            lines.append(np.stack([spans[0][2] + front * low, spans[0][2] + front * high]))
    return tuple(lines)


def _spans(
    models: PartModels, layers: Sequence[Layer], n: int, places: Mapping[str, Place], hosts: Mapping[int, int]
) -> Iterator[tuple[Axis, Span]]:
    """Yield the axis and span of each part of layer ``n``, and the middle of what it stands in."""
    for key in layers[n].keys:
        axis, at = _axis_of(models, key)
        yield axis, _span(models, key, places, at)
        if n in hosts:
            low, high, foot = _span(models, layers[hosts[n]].keys[0], places, at)
            yield axis, ((low + high) / 2, (low + high) / 2, foot)


def _span(models: PartModels, key: str, places: Mapping[str, Place], at: Floats) -> Span:
    """Return the span of a part along the axis through ``at``, which is drawn out with it."""
    front, home = np.array(models.front), models.parts[key].place
    shift = np.array(places[key].shift) - np.array(home.shift)
    low, high = models.parts[key].box(home)
    out = float(shift @ front)
    ends = sorted((float(low @ front) + out, float(high @ front) + out))
    return ends[0], ends[1], at + shift - front * out
