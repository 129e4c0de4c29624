"""How far the right and the wrong picture of a pair are apart for a reader with a phone, and where to point at it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from ..engine.grid import Ids
from ..engine.material_styles import INK
from .arrows import TRAVEL_HEAD, TRAVEL_WIDTH, OverlayCanvas, Point, draw_arrow
from .manifest import DifferenceSeen

Mask = NDArray[np.bool_]
PHONE_PX = 360
"""Width of a picture on a phone, px; differences are measured at it."""
LEAST_SHARE, LEAST_OUTLINE_PX = 0.08, 12.0
"""Two pictures are told apart where this share of the moving parts' area differs, or so much of their outline."""
ELSEWHERE_PX = 3
"""An outline lies elsewhere where there is none of the other picture within fewer pixels than these."""
STEP_SHARE = 0.006
"""A step of more than this share of the frame's height counts as an outline within a part."""
DRAWN_APART = 48
"""Levels of grey, of 255, from which on a pixel is another one."""
REACH = 0.13
"""Length of the arrow, as a share of the picture's width."""
WEIGHT = 1.5
"""How much stronger it is than a travel arrow."""
_DIRECTIONS = 24


def tells_apart(difference: DifferenceSeen) -> bool:
    """Return whether a pair differs enough to be told apart on a phone."""
    return difference.share >= LEAST_SHARE or difference.outline_px >= LEAST_OUTLINE_PX


def edges_of(ids: Ids, keys: Sequence[str], step_mm: float) -> Mask:
    """Return where the outlines of ``keys`` run, (h, w) bool: their borders, and steps within them."""
    found = np.zeros(ids.part.shape, dtype=bool)
    mask = ids.mask(keys)
    for axis, by in ((0, 1), (0, -1), (1, 1), (1, -1)):
        part, near = np.roll(ids.part, by, axis), np.roll(ids.near_mm, by, axis)
        found |= mask & ((part != ids.part) | (ids.near_mm - near > step_mm))
    return found


def _grown(mask: Mask) -> Mask:
    size = 2 * (ELSEWHERE_PX - 1) + 1
    return np.asarray(Image.fromarray(mask).convert("L").filter(ImageFilter.MaxFilter(size))) > 0


def difference_of(
    right: Ids,
    wrong: Ids,
    of_right: Sequence[str],
    of_wrong: Sequence[str],
    height_mm: float,
    innermost: bool = False,
) -> DifferenceSeen:
    """Return how far two pictures of one camera are apart in the parts ``of_right`` and ``of_wrong``.

    The grids are :data:`PHONE_PX` wide; ``height_mm`` is what they take in from foot to top. Where the difference is
    plainest is where most of it lies, or what of the right outline is ``innermost``.
    """
    a, b = right.mask(of_right), wrong.mask(of_wrong)
    step = max(height_mm * STEP_SHARE, 1e-6)
    lines = [edges_of(i, keys, step) for i, keys in ((right, of_right), (wrong, of_wrong))]
    area = min((n for n in (int(a.sum()), int(b.sum())) if n), default=0)
    share = float((a ^ b).sum() / area) if area else 0.0
    elsewhere = lines[0] & ~_grown(lines[1]), lines[1] & ~_grown(lines[0])
    most = max(int(e.sum()) for e in elsewhere)
    at = _innermost(elsewhere[0], a) if innermost else None
    return DifferenceSeen(min(share, 1.0), float(most), at or _densest(elsewhere[0] | elsewhere[1]))


def _innermost(line: Mask, mask: Mask) -> Point | None:
    """Return the spot of ``line`` nearest to the middle of ``mask``, as fractions; None where there is none."""
    spots = np.argwhere(line)
    if not len(spots):
        return None
    rows, columns = np.nonzero(mask)
    middle = (rows.min() + rows.max()) / 2, (columns.min() + columns.max()) / 2
    y, x = spots[int(np.argmin(np.hypot(*(spots - middle).T)))]
    height, width = mask.shape
    return (float(x) + 0.5) / width, (float(y) + 0.5) / height


def drawn_apart(right: Image.Image, wrong: Image.Image) -> float:
    """Return how many pixels two pictures differ in on a phone, in lines and hatching too."""
    size = PHONE_PX, round(PHONE_PX * right.height / right.width)
    a, b = (
        np.asarray(i.convert("L").resize(size, Image.Resampling.BOX), dtype=float) for i in (right, wrong)
    )
    return float((np.abs(a - b) > DRAWN_APART).sum())


def _densest(mask: Mask) -> Point | None:
    """Return where most of ``mask`` (h, w) lies, as fractions; None where it is empty."""
    if not mask.any():
        return None
    height, width = mask.shape
    near = Image.fromarray(mask).convert("L").filter(ImageFilter.GaussianBlur(width / 60))
    thick = np.where(mask, np.asarray(near, dtype=float), -1.0)
    y, x = np.unravel_index(int(np.argmax(thick)), thick.shape)
    return (float(x) + 0.5) / width, (float(y) + 0.5) / height


def place_arrow(at: Point, taken: Mask, strong: Mask, aspect: float) -> Point:
    """Return where the arrow to ``at`` begins, fractions: over as little of the parts as can be.

    ``taken`` (h, w) is where it must not lie, ``strong`` (h, w) the parts it points at; ``aspect`` is the picture's.
    """
    height, width = strong.shape
    spots = np.argwhere(strong)
    middle = spots.mean(axis=0) / (height, width) if len(spots) else np.array([at[1], at[0]])
    away = np.array([at[0] - middle[1], (at[1] - middle[0]) / aspect])
    length = float(np.hypot(*away))
    best: tuple[float, Point] = (math.inf, at)
    for n in range(_DIRECTIONS):
        angle = 2 * math.pi * n / _DIRECTIONS
        way = np.array([math.cos(angle), math.sin(angle)])
        steps = np.linspace(0.15, 1.0, 18)
        xs, ys = at[0] + REACH * way[0] * steps, at[1] + REACH * way[1] * steps * aspect
        inside = (xs > 0.02) & (xs < 0.98) & (ys > 0.02) & (ys < 0.98)
        cost = 100.0 * float((~inside).sum())
        column, row = (
            np.clip((xs * width).astype(int), 0, width - 1),
            np.clip((ys * height).astype(int), 0, height - 1),
        )
        cost += 5.0 * float(taken[row, column].sum()) + float(strong[row, column].sum())
        cost += 3.0 * (1.0 - float(way @ away) / length) if length > 0.01 else 0.0
        if cost < best[0]:
            best = cost, (float(xs[-1]), float(ys[-1]))
    return best[1]


def draw_pointer(image: Image.Image, tail: Point, tip: Point) -> None:
    """Draw the arrow from ``tail`` to ``tip``, fractions of the picture."""
    width, height = image.size
    points = [(tail[0] * width, tail[1] * height), (tip[0] * width, tip[1] * height)]
    scale = WEIGHT * width / 1600
    draw_arrow(
        OverlayCanvas(image), points, np.ones(2, dtype=bool), TRAVEL_WIDTH * scale, TRAVEL_HEAD * scale, INK
    )
