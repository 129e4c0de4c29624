"""Outlines of layers on one grid, and how far each is slid along the front direction to be clear of those before it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place
from ..engine.camera import Camera
from ..engine.stage import Stage
from .layers import Layer

Mask = NDArray[np.bool_]
GRID = 700
"""Pixels across the assembled parts in the outlines."""
STEP_PIXELS = 3.0
"""A layer is slid by so many pixels at a time."""


@dataclass(frozen=True)
class Outline:
    """Outline of a layer at home: ``mask`` with its corner (row, column) on a common grid."""

    mask: Mask
    top: int
    left: int


@dataclass(frozen=True)
class Slides:
    """How far the layers are slid: their outlines at home, and the slide of each in mm along the front direction.

    ``run`` (3,) is the front direction as the picture shows it: right, up, towards the eye. ``pixel_mm`` is the size of
    a pixel of the outlines' grid.
    """

    outlines: tuple[Outline, ...]
    slid_mm: tuple[float, ...]
    run: Floats
    pixel_mm: float

    def shift(self, number: int) -> tuple[int, int]:
        """Return the shift of a layer in the picture: pixels down, pixels right."""
        return _shift(self.run, self.slid_mm[number], self.pixel_mm)

    def boxes(self) -> list[tuple[int, int, int, int]]:
        """Return the box of each slid layer in pixels: left, top, right, bottom."""
        found = []
        for number, outline in enumerate(self.outlines):
            down, right = self.shift(number)
            top, left = outline.top + down, outline.left + right
            height, width = outline.mask.shape
            found.append((left, top, left + width, top + height))
        return found


def slide_apart(
    stage: Stage, layers: Sequence[Layer], home: Mapping[str, Place], camera: Camera, air_mm: float
) -> Slides:
    """Return the slide of each layer, never less than that of the one before, so that none covers another.

    ``camera`` holds the assembled parts; ``air_mm`` is left between layers in the picture.
    """
    run = camera.view.axes @ np.array(stage.models.front)
    pixel_mm = camera.height_mm / GRID
    outlines = tuple(_outline(stage, layer, home, camera) for layer in layers)
    return Slides(outlines, tuple(_slid(outlines, run, pixel_mm, air_mm)), run, pixel_mm)


def _outline(stage: Stage, layer: Layer, home: Mapping[str, Place], camera: Camera) -> Outline:
    mask = stage.mask({k: home[k] for k in layer.keys}, camera, GRID)
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return Outline(np.ones((1, 1), dtype=bool), GRID // 2, GRID // 2)
    top, left = int(rows[0]), int(columns[0])
    return Outline(mask[top : rows[-1] + 1, left : columns[-1] + 1], top, left)


def _slid(outlines: Sequence[Outline], run: Floats, pixel_mm: float, air_mm: float) -> list[float]:
    air = max(1, round(air_mm / pixel_mm))
    step_mm = STEP_PIXELS * pixel_mm / math.hypot(run[0], run[1])
    taken = _Occupied()
    slid: list[float] = []
    for outline in outlines:
        at = slid[-1] if slid else 0.0
        while taken.meets(outline, *_shift(run, at, pixel_mm)):
            at += step_mm
        slid.append(at)
        taken.add(outline, *_shift(run, at, pixel_mm), air)
    return slid


def _shift(run: Floats, along_mm: float, pixel_mm: float) -> tuple[int, int]:
    """Return the shift in the picture of a slide along the front direction: rows down, columns right."""
    return round(-run[1] * along_mm / pixel_mm), round(run[0] * along_mm / pixel_mm)


class _Occupied:
    """A growing area of what is taken already."""

    def __init__(self) -> None:
        self._tiles: list[tuple[int, int, Mask]] = []

    def add(self, outline: Outline, down: int, right: int, air: int) -> None:
        """Take the outline's area and ``air`` pixels around it."""
        mask = grown(outline.mask, air)
        self._tiles.append((outline.top + down - air, outline.left + right - air, mask))

    def meets(self, outline: Outline, down: int, right: int) -> bool:
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


def grown(mask: Mask, by: int) -> Mask:
    """Return ``mask`` grown by ``by`` pixels to every side, as a square brush grows it; larger by as much."""
    found = np.pad(mask, 2 * by).astype(np.int32)
    for axis in (0, 1):
        total = np.cumsum(found, axis=axis, dtype=np.int32)
        begin, end = [slice(None)] * 2, [slice(None)] * 2
        end[axis], begin[axis] = slice(2 * by, None), slice(0, -2 * by)
        ahead = total[tuple(end)].copy()
        first = [slice(None)] * 2
        first[axis] = slice(1, None)
        last = [slice(None)] * 2
        last[axis] = slice(0, -1)
        ahead[tuple(first)] -= total[tuple(begin)][tuple(last)]
        found = (ahead > 0).astype(np.int32)
    return found > 0
