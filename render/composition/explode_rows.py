"""The run of an exploded layout folded into rows, so that the parts are drawn as large as can be."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass

import numpy as np

from ...geometry.frame import Floats
from .layer_outlines import Outline, Slides

MOST_ROWS = 4
ROW_COST = 0.02
"""What each row costs, as a share of the size: of nearly equal ones, few rows are taken."""
Box = tuple[int, int, int, int]
Range = tuple[int, int]
"""First and one past the last layer of a row."""


@dataclass(frozen=True)
class Rows:
    """The rows as ranges of layers, and the shift of each in the picture, (right, down) in mm."""

    ranges: tuple[Range, ...]
    shifts_mm: tuple[tuple[float, float], ...]


def fold_into_rows(slides: Slides, aspect: float, air_mm: float, kept: Set[int]) -> Rows:
    """Fold the run into the number of rows that lets the parts be drawn largest in a frame of ``aspect``.

    No row begins with a layer of ``kept``, which stay with the one before them.
    """
    boxes = slides.boxes()
    best: tuple[float, Rows] | None = None
    for count in range(1, min(MOST_ROWS, len(boxes) - len(kept)) + 1):
        ranges = even_rows(boxes, count, kept)
        homes = [slides.shift(begin) for begin, _ in ranges]
        shifts, width, height = _stacked(slides, boxes, ranges, homes, round(air_mm / slides.pixel_mm))
        size = max(width / aspect, height) * (1.0 + ROW_COST * count)
        if best is None or size < best[0]:
            in_mm = tuple((x * slides.pixel_mm, y * slides.pixel_mm) for x, y in shifts)
            best = (size, Rows(tuple(ranges), in_mm))
    assert best is not None
    return best[1]


def even_rows(boxes: Sequence[Box], count: int, kept: Set[int] = frozenset()) -> list[Range]:
    """Split the layers into ``count`` rows, none beginning in ``kept``, so that the longest is as short as can be."""
    n = len(boxes)

    def length(i: int, j: int) -> float:
        return max(b[2] for b in boxes[i:j]) - min(b[0] for b in boxes[i:j])

    # cost[k][j]: length of the longest of k rows that hold the first j layers; cut[k][j]: where the last row begins.
    cost = [[0.0] + [math.inf] * n]
    cut = [[0] * (n + 1)]
    for k in range(1, count + 1):
        cost.append([math.inf] * (n + 1))
        cut.append([0] * (n + 1))
        for j in range(1, n + 1):
            starts = [i for i in range(k - 1, j) if i not in kept]
            values = [max(cost[k - 1][i], length(i, j)) for i in starts]
            if values and min(values) < math.inf:
                cost[k][j] = min(values)
                cut[k][j] = starts[values.index(cost[k][j])]
    rows, j = [], n
    for k in range(count, 0, -1):
        rows.append((cut[k][j], j))
        j = cut[k][j]
    return rows[::-1]


def _stacked(
    slides: Slides, boxes: Sequence[Box], ranges: Sequence[Range], homes: Sequence[tuple[int, int]], air: int
) -> tuple[list[tuple[float, float]], int, int]:
    """Return each row's shift (right, down), and width and height of all rows stacked, px.

    Rows are centred over one another and each is drawn up until its outline meets the one above. ``homes`` says how
    far (down, right) each row has been slid, which its shift does not count.
    """
    spans = [(min(b[0] for b in boxes[i:j]), max(b[2] for b in boxes[i:j])) for i, j in ranges]
    width = max(right - left for left, right in spans)
    above = np.full(width, -np.inf)
    shifts: list[tuple[float, float]] = []
    lowest, highest = -np.inf, np.inf
    for (begin, end), (left, right), (home_down, home_right) in zip(ranges, spans, homes, strict=True):
        shift = (width - (right - left)) // 2 - left
        top, foot = _profile(slides.outlines[begin:end], boxes[begin:end], shift, width)
        wide = np.array([above[max(0, c - air) : c + air + 1].max() for c in range(width)])
        meets = wide - top
        down = float(meets[np.isfinite(meets)].max()) + air if np.isfinite(meets).any() else 0.0
        above = np.maximum(above, foot + down)
        lowest, highest = max(lowest, float((foot + down).max())), min(highest, float((top + down).min()))
        shifts.append((float(shift + home_right), down + home_down))
    return shifts, width, round(lowest - highest)


def _profile(
    outlines: Sequence[Outline], boxes: Sequence[Box], shift: int, width: int
) -> tuple[Floats, Floats]:
    """Return the upper and lower border of a row in each column, (width,) px; infinite where nothing is."""
    top, foot = np.full(width, np.inf), np.full(width, -np.inf)
    for outline, box in zip(outlines, boxes, strict=True):
        columns = slice(box[0] + shift, box[2] + shift)
        mask = outline.mask
        first, last = mask.argmax(axis=0), mask.shape[0] - mask[::-1].argmax(axis=0)
        top[columns] = np.minimum(top[columns], box[1] + first)
        foot[columns] = np.maximum(foot[columns], box[1] + last)
    return top, foot
