"""The exploded layout: how far each layer of parts is drawn out along the shafts so that none covers another.

Layers are laid in order along the axis, each slid out in the picture until it is
clear of those before it, by their true outlines and not by boxes; then the run is folded into rows so that it
fills the frame. Twins stay in one row, and pins and screws on axes of their own in that of the part they stand in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place, Vec3
from ..engine.camera import Camera, View, fit_camera, make_view
from ..engine.part_models import Axis, PartModels
from ..engine.stage import Stage
from .layers import Layer, is_slim, make_layers

Mask = NDArray[np.bool_]
GRID = 700
"""Pixels across the assembled parts in the layout's outlines."""
AIR_SHARE = 0.028
"""Air between layers in the picture, as a share of the assembly's extent."""


@dataclass(frozen=True)
class Exploded:
    """The layout: a place for every part, the camera that holds it, and the lines that tie parts on one axis."""

    places: Mapping[str, Place]
    camera: Camera
    layers: tuple[Layer, ...]
    rows: tuple[tuple[int, int], ...]
    """First and one past the last layer of each row."""
    shifts: tuple[Vec3, ...]
    axes: tuple[Floats, ...]
    """Axis lines, (2, 3) float64 mm each."""


def overview_view(models: PartModels) -> View:
    """Return the view of overviews: the front direction runs to the right and a little down."""
    return make_view("front left, from above", -58.0, 20.0, models.front, models.up)


@dataclass(frozen=True)
class _Outline:
    """Outline of a layer at home: ``mask`` with its corner (row, column) on a common grid."""

    mask: Mask
    top: int
    left: int


def explode(
    stage: Stage,
    aspect: float,
    together: Sequence[str] = (),
    view: View | None = None,
) -> Exploded:
    """Return the exploded layout of the stage's models for a frame of ``aspect``, flatter where the layout is flat."""
    models = stage.models
    view = view or overview_view(models)
    layers = make_layers(stage, view, together)
    front = np.array(models.front)
    home = {m.key: m.place for m in models}
    points = np.concatenate([m.place.points(m.mesh.joined_points) for m in models])
    camera = fit_camera(view, points, 1.0, 0.02)
    pixel_mm = camera.height_mm / GRID
    outlines = [_outline(stage, layer, home, camera) for layer in layers]
    run = view.axes @ front  # the front direction as it runs in the picture: right, up, near
    slide_mm = _slide(outlines, layers, run, pixel_mm, AIR_SHARE * models.extent_mm)
    hosts = _hosts(models, layers)
    tied = tied_to_the_one_before(models, layers, hosts)
    rows, drop = _fold(outlines, slide_mm, run, pixel_mm, aspect, 1.6 * AIR_SHARE * models.extent_mm, tied)
    shifts = []
    for begin, end in rows:
        for n in range(begin, end):
            shifts.append(front * (slide_mm[n] - slide_mm[begin]))
    for number, (begin, end) in enumerate(rows):
        across, down = drop[number]
        shift = across * view.axes[0] - down * view.axes[1]
        for n in range(begin, end):
            shifts[n] = shifts[n] + shift
    places = {
        key: home[key].moved(float(s[0]), float(s[1]), float(s[2]))
        for layer, s in zip(layers, shifts, strict=True)
        for key in layer.keys
    }
    places = {k: places[k] for k in models.parts}
    moved = np.concatenate([places[m.key].points(m.mesh.joined_points) for m in models])
    axes = _axis_lines(models, layers, rows, places, hosts)
    return Exploded(
        places,
        _fit_frame(view, moved, aspect, 0.03),
        layers,
        tuple(rows),
        tuple((float(s[0]), float(s[1]), float(s[2])) for s in shifts),
        axes,
    )


def _fit_frame(view: View, points: Floats, aspect: float, margin: float) -> Camera:
    """Return the camera that holds ``points``, its frame no higher than they need and not higher than ``aspect``."""
    camera = fit_camera(view, points, aspect, margin)
    span = np.ptp(points @ view.axes.T, axis=0)
    needed = float(span[1]) + 2.0 * margin * camera.width_mm
    if needed >= camera.height_mm:
        return camera
    return replace(camera, height_mm=needed, aspect=camera.width_mm / needed)


def _outline(stage: Stage, layer: Layer, home: Mapping[str, Place], camera: Camera) -> _Outline:
    mask = stage.mask({k: home[k] for k in layer.keys}, camera, GRID)
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return _Outline(np.ones((1, 1), dtype=bool), GRID // 2, GRID // 2)
    top, left = int(rows[0]), int(columns[0])
    return _Outline(mask[top : rows[-1] + 1, left : columns[-1] + 1], top, left)


def _slide(
    outlines: Sequence[_Outline], layers: Sequence[Layer], run: Floats, pixel_mm: float, air_mm: float
) -> list[float]:
    """Return how far each layer is slid along the front direction, mm, never less than the one before it."""
    air = max(1, round(air_mm / pixel_mm))
    step_mm = 3.0 * pixel_mm / math.hypot(run[0], run[1])
    taken = _Canvas()
    slid: list[float] = []
    for outline in outlines:
        at = slid[-1] if slid else 0.0
        while taken.meets(outline, *_steps(run, at, pixel_mm)):
            at += step_mm
        slid.append(at)
        taken.add(outline, *_steps(run, at, pixel_mm), air)
    return slid


def _steps(run: Floats, along_mm: float, pixel_mm: float) -> tuple[int, int]:
    """Return the shift in the picture of a slide along the front direction: rows down, columns right."""
    return round(-run[1] * along_mm / pixel_mm), round(run[0] * along_mm / pixel_mm)


class _Canvas:
    """A growing grid of what is taken already."""

    def __init__(self) -> None:
        self._tiles: list[tuple[int, int, Mask]] = []

    def add(self, outline: _Outline, down: int, right: int, air: int) -> None:
        """Take the outline's area and ``air`` pixels around it."""
        mask = _grown(outline.mask, air)
        self._tiles.append((outline.top + down - air, outline.left + right - air, mask))

    def meets(self, outline: _Outline, down: int, right: int) -> bool:
        """Return whether the outline would lie on something taken."""
        top, left = outline.top + down, outline.left + right
        height, width = outline.mask.shape
        for tile_top, tile_left, tile in self._tiles:
            t, l_ = max(top, tile_top), max(left, tile_left)
            b = min(top + height, tile_top + tile.shape[0])
            r = min(left + width, tile_left + tile.shape[1])
            if t >= b or l_ >= r:
                continue
            a = outline.mask[t - top : b - top, l_ - left : r - left]
            if (a & tile[t - tile_top : b - tile_top, l_ - tile_left : r - tile_left]).any():
                return True
        return False


def _grown(mask: Mask, by: int) -> Mask:
    """Return ``mask`` grown by ``by`` pixels to every side, as a square brush grows it; larger by as much."""
    grown = np.pad(mask, 2 * by).astype(np.int32)
    for axis in (0, 1):
        total = np.cumsum(grown, axis=axis, dtype=np.int32)
        begin, end = [slice(None)] * 2, [slice(None)] * 2
        end[axis], begin[axis] = slice(2 * by, None), slice(0, -2 * by)
        ahead = total[tuple(end)].copy()
        first = [slice(None)] * 2
        first[axis] = slice(1, None)
        last = [slice(None)] * 2
        last[axis] = slice(0, -1)
        ahead[tuple(first)] -= total[tuple(begin)][tuple(last)]
        grown = (ahead > 0).astype(np.int32)
    return grown > 0


def _fold(
    outlines: Sequence[_Outline],
    slide_mm: Sequence[float],
    run: Floats,
    pixel_mm: float,
    aspect: float,
    air_mm: float,
    tied: Set[int],
) -> tuple[list[tuple[int, int]], list[tuple[float, float]]]:
    """Fold the run into the number of rows that lets the parts be drawn largest.

    No row begins with a layer of ``tied``. Returns the rows as layer ranges and each row's shift in the picture,
    (right, down) in mm.
    """
    boxes = []
    for outline, at in zip(outlines, slide_mm, strict=True):
        down, right = _steps(run, at, pixel_mm)
        top, left = outline.top + down, outline.left + right
        height, width = outline.mask.shape
        boxes.append((left, top, left + width, top + height))
    best: tuple[float, list[tuple[int, int]], list[tuple[float, float]]] | None = None
    for count in range(1, min(4, len(boxes) - len(tied)) + 1):
        rows = _even_rows(boxes, count, tied)
        homes = [_steps(run, slide_mm[begin], pixel_mm) for begin, _ in rows]
        drops, width, height = _stack_rows(outlines, boxes, rows, homes, round(air_mm / pixel_mm))
        size = max(width / aspect, height) * (1.0 + 0.02 * count)
        if best is None or size < best[0]:
            best = (size, rows, [(x * pixel_mm, y * pixel_mm) for x, y in drops])
    assert best is not None
    return best[1], best[2]


def _even_rows(
    boxes: Sequence[tuple[int, int, int, int]], count: int, tied: Set[int] = frozenset()
) -> list[tuple[int, int]]:
    """Split the layers into ``count`` rows, none beginning in ``tied``, so that the longest is as short as can be."""
    n = len(boxes)

    def length(i: int, j: int) -> float:
        return max(b[2] for b in boxes[i:j]) - min(b[0] for b in boxes[i:j])

    cost = [[math.inf] * (count + 1) for _ in range(n + 1)]
    cut = [[0] * (count + 1) for _ in range(n + 1)]
    cost[0][0] = 0.0
    for j in range(1, n + 1):
        for k in range(1, count + 1):
            for i in range(k - 1, j):
                if i in tied:
                    continue
                value = max(cost[i][k - 1], length(i, j))
                if value < cost[j][k]:
                    cost[j][k], cut[j][k] = value, i
    rows, j = [], n
    for k in range(count, 0, -1):
        rows.append((cut[j][k], j))
        j = cut[j][k]
    return rows[::-1]


def _stack_rows(
    outlines: Sequence[_Outline],
    boxes: Sequence[tuple[int, int, int, int]],
    rows: Sequence[tuple[int, int]],
    homes: Sequence[tuple[int, int]],
    air: int,
) -> tuple[list[tuple[float, float]], int, int]:
    """Return each row's shift (right, down), and width and height of all rows stacked, px.

    Rows are centred over one another and each is drawn up until its outline meets the one above. ``homes`` says how
    far (down, right) each row has been slid, which its shift does not count.
    """
    spans = [(min(b[0] for b in boxes[i:j]), max(b[2] for b in boxes[i:j])) for i, j in rows]
    width = max(right - left for left, right in spans)
    above = np.full(width, -np.inf)
    drops: list[tuple[float, float]] = []
    lowest, highest = -np.inf, np.inf
    for (begin, end), (left, right), (home_down, home_right) in zip(rows, spans, homes, strict=True):
        shift = (width - (right - left)) // 2 - left
        top, foot = np.full(width, np.inf), np.full(width, -np.inf)
        for n in range(begin, end):
            columns = slice(boxes[n][0] + shift, boxes[n][2] + shift)
            mask = outlines[n].mask
            first, last = mask.argmax(axis=0), mask.shape[0] - mask[::-1].argmax(axis=0)
            top[columns] = np.minimum(top[columns], boxes[n][1] + first)
            foot[columns] = np.maximum(foot[columns], boxes[n][1] + last)
        wide = np.array([above[max(0, c - air) : c + air + 1].max() for c in range(width)])
        meets = wide - top
        down = float(meets[np.isfinite(meets)].max()) + air if np.isfinite(meets).any() else 0.0
        above = np.maximum(above, foot + down)
        lowest, highest = max(lowest, float((foot + down).max())), min(highest, float((top + down).min()))
        drops.append((float(shift + home_right), down + home_down))
    return drops, width, round(lowest - highest)


def _axis_of(models: PartModels, key: str) -> tuple[Axis, Floats]:
    """Return the axis on which a part sits, along the front direction, as :meth:`.PartModels.axis_of`."""
    return models.axis_of(key, models.parts[key].place, np.array(models.front), 0.004 * models.extent_mm)


def _hosts(models: PartModels, layers: Sequence[Layer]) -> dict[int, int]:
    """Return for each layer of pins or screws, whose axes nothing else shares, the nearest layer they stand in."""
    front = np.array(models.front)
    of: dict[Axis, set[int]] = {}
    for n, layer in enumerate(layers):
        for key in layer.keys:
            of.setdefault(_axis_of(models, key)[0], set()).add(n)
    lone = {n for n, ly in enumerate(layers) if all(of[_axis_of(models, k)[0]] == {n} for k in ly.keys)}
    slim = {n for n in lone if all(is_slim(models, key) for key in layers[n].keys)}
    found = {}
    for n in slim:
        at = [_axis_of(models, key)[1] for key in layers[n].keys]
        boxes = {m: _box(models, layers[m].keys) for m in range(len(layers)) if m not in slim}
        low, high = _box(models, layers[n].keys)
        inside = [
            m
            for m, (foot, top) in boxes.items()
            if min(float(high @ front), float(top @ front)) > max(float(low @ front), float(foot @ front))
            and all(_holds(p, foot, top, front) for p in at)
        ]
        if inside:
            found[n] = min(inside, key=lambda m: (abs(m - n), m))
    return found


def tied_to_the_one_before(models: PartModels, layers: Sequence[Layer], hosts: Mapping[int, int]) -> set[int]:
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


def _axis_lines(
    models: PartModels,
    layers: Sequence[Layer],
    rows: Sequence[tuple[int, int]],
    places: Mapping[str, Place],
    hosts: Mapping[int, int],
) -> tuple[Floats, ...]:
    """Return one line for each axis and row; an axis that goes on in another row runs on a little at that end.

    Pins and screws are joined to the middle of the part that they stand in.
    """
    front = np.array(models.front)
    over, onward = 0.02 * models.extent_mm, 0.14 * models.extent_mm
    spans: dict[Axis, dict[int, list[tuple[float, float, Floats]]]] = {}
    for row, (begin, end) in enumerate(rows):
        for n in range(begin, end):
            for key in layers[n].keys:
                axis, at = _axis_of(models, key)
                found = spans.setdefault(axis, {}).setdefault(row, [])
                found.append(_span(models, key, places, at, front))
                if n in hosts:
                    low, high, across = _span(models, layers[hosts[n]].keys[0], places, at, front)
                    found.append(((low + high) / 2, (low + high) / 2, across))
    lines: list[Floats] = []
    for in_rows in spans.values():
        for row, members in in_rows.items():
            if len(members) < 2 and len(in_rows) < 2:
                continue
            low = min(m[0] for m in members) - (onward if any(r < row for r in in_rows) else over)
            high = max(m[1] for m in members) + (onward if any(r > row for r in in_rows) else over)
            lines.append(np.stack([members[0][2] + front * low, members[0][2] + front * high]))
    return tuple(lines)


def _span(
    models: PartModels, key: str, places: Mapping[str, Place], at: Floats, front: Floats
) -> tuple[float, float, Floats]:
    """Return from where to where a part reaches along the axis through ``at``, and where that runs when drawn out."""
    home = models.parts[key].place
    shift = np.array(places[key].shift) - np.array(home.shift)
    low, high = models.parts[key].box(home)
    out = float(shift @ front)
    ends = sorted((float(low @ front) + out, float(high @ front) + out))
    return ends[0], ends[1], at + shift - front * out
