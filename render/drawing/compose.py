"""From raw pixels to a finished picture: contact shading, reduction."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageFilter

from ..engine.camera import Camera
from ..engine.depth_layers import Pixels
from ..engine.grid import Ids

_RADII = (0.3, 0.62, 1.0)
_FACET = 0.045
"""A hollow as slight as the edge between two facets of a round bore does not count."""
_SPOKES = 6
"""Directions looked in at each radius; each radius is turned half a spoke against the one before."""
_BLOCK_ROWS = 48


def contact_shade(ids: Ids, camera: Camera, radius_mm: float) -> NDArray[np.float32]:
    """Return how much light nooks and contacts lose, (h, w) float32 from 0 (none) to 1.

    Looks at opposite pairs of points about each pixel: where both rise towards the eye there is a hollow. A tilted
    plane rises on one side only and stays clear, and what stands far in front (more than about ``radius_mm``) casts
    nothing, so a part drawn out leaves no halo on what lies behind it.
    """
    rows_all, columns_all = ids.part.shape
    shade: NDArray[np.float32] = np.zeros((rows_all, columns_all), dtype=np.float32)
    rows, columns = (np.flatnonzero((ids.part >= 0).any(axis=a)) for a in (1, 0))
    if not len(rows):
        return shade
    pixel_mm = camera.height_mm / ids.part.shape[0]
    margin = max(1, math.ceil(radius_mm / pixel_mm))
    # Only where parts are, and a pixel round them for the blur, is there anything to be lost.
    top, foot = max(0, int(rows[0]) - 1), min(rows_all, int(rows[-1]) + 2)
    left, right = max(0, int(columns[0]) - 1), min(columns_all, int(columns[-1]) + 2)
    near = _padded(ids, (top, foot), (left, right), margin)
    height, width = foot - top, right - left

    lost = np.zeros((height, width), dtype=np.float32)
    there = ids.part[top:foot, left:right] >= 0
    for first in range(0, height, _BLOCK_ROWS):  # a few rows at a time stay near the processor
        last = min(first + _BLOCK_ROWS, height)
        columns = np.flatnonzero(there[first:last].any(axis=0))
        if len(columns):
            begin, end = int(columns[0]), int(columns[-1]) + 1
            _add_lost(
                near[first : last + 2 * margin, begin : end + 2 * margin],
                lost[first:last, begin:end],
                radius_mm,
                pixel_mm,
                margin,
            )
    lost *= 2.3 / (len(_RADII) * (_SPOKES // 2))
    grey = Image.fromarray(np.round(255.0 * np.clip(lost, 0.0, 1.0)).astype(np.uint8))
    soft = np.asarray(grey.filter(ImageFilter.BoxBlur(1.0)), dtype=np.float32) / np.float32(255.0)
    window = (slice(top, foot), slice(left, right))
    shade[window] = np.where(ids.part[window] >= 0, soft, np.float32(0.0))
    return shade


def _add_lost(
    near: NDArray[np.float32], lost: NDArray[np.float32], radius_mm: float, pixel_mm: float, margin: int
) -> None:
    """Add to ``lost`` (h, w) what each opposite pair of points loses; ``near`` has ``margin`` more all round."""
    height, width = lost.shape
    rises = (np.empty_like(lost), np.empty_like(lost))
    low = np.empty(lost.shape, dtype=np.bool_)
    all_here, most = near, np.float32(0.5)
    for ring, share in enumerate(_RADII):
        reach = max(1.0, radius_mm * share / pixel_mm)
        near = all_here * np.float32(1.0 / (3.0 * reach * pixel_mm))  # in units of twice the greatest rise
        here = near[margin : margin + height, margin : margin + width]
        for spoke in range(_SPOKES // 2):
            angle = np.pi * (spoke + 0.5 * (ring % 2)) / (_SPOKES // 2)
            dx, dy = round(np.cos(angle) * reach), round(np.sin(angle) * reach)
            for sign, rise in zip((1, -1), rises, strict=True):
                y, x = margin + sign * dy, margin + sign * dx
                np.subtract(near[y : y + height, x : x + width], here, out=rise)
                np.less_equal(rise, most, out=low)
                np.multiply(rise, low, out=rise)  # what stands far in front does not count
                np.maximum(rise, -most, out=rise)
            pair = np.add(*rises, out=rises[0])
            pair -= np.float32(_FACET)
            np.maximum(pair, np.float32(0.0), out=pair)
            lost += pair


def _padded(ids: Ids, rows: tuple[int, int], columns: tuple[int, int], margin: int) -> NDArray[np.float32]:
    """Return how near it is in a window with ``margin`` all round, beyond the picture as at its border."""
    outer, beyond = [], []
    for (first, end), count in zip((rows, columns), ids.part.shape, strict=True):
        low, high = max(0, first - margin), min(count, end + margin)
        outer.append(slice(low, high))
        beyond.append((low - (first - margin), end + margin - high))
    window = (outer[0], outer[1])
    near = np.where(ids.part[window] >= 0, ids.near_mm[window], np.float32(-1e6))
    return np.pad(near, beyond, mode="edge")


def finish(
    pixels: Pixels,
    supersample: int,
    shade: NDArray[np.float32] | None,
    pane: tuple[float, float, float, float] | None = None,
) -> Image.Image:
    """Return the reduced picture with contact shading applied.

    Where the picture is a pane of that which ``shade`` is of, ``pane`` is its place on the grid of ``shade``.
    """
    size = (pixels.shape[1] // supersample, pixels.shape[0] // supersample)
    return reduced(pixels, supersample, None if shade is None else light_left(shade, size, pane))


def light_left(
    shade: NDArray[np.float32], size: tuple[int, int], pane: tuple[float, float, float, float] | None = None
) -> Image.Image:
    """Return what ``shade`` leaves of the light, as a grey picture of ``size`` (width, height); ``pane`` as above."""
    left = Image.fromarray(np.round(255.0 * (1.0 - 0.42 * shade)).astype(np.uint8))
    return left.resize(size, Image.Resampling.BILINEAR, box=pane)


def as_image(pixels: Pixels) -> Image.Image:
    """Return ``pixels`` (h, w, 3) as a picture; where the lowest row comes first in memory, none is copied."""
    lowest_first = pixels[::-1]
    if pixels.flags.c_contiguous or not lowest_first.flags.c_contiguous:
        return Image.fromarray(pixels)
    height, width = pixels.shape[:2]
    return Image.frombuffer("RGB", (width, height), lowest_first, "raw", "RGB", 0, -1)


def reduced(pixels: Pixels, supersample: int, light: Image.Image | None = None) -> Image.Image:
    """Return the reduced picture, darkened to what is left of the ``light``."""
    image = as_image(pixels)
    if supersample > 1:
        image = image.reduce(supersample)
    return image if light is None else ImageChops.multiply(image, Image.merge("RGB", (light, light, light)))
