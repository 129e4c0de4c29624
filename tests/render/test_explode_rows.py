"""Rows of an exploded layout are as even as can be, none begins with what is kept, and none lies on another."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest
from benchleaf.render.composition.explode_rows import even_rows, fold_into_rows
from benchleaf.render.composition.layer_outlines import Outline, Slides
from hypothesis import given
from hypothesis import strategies as st


def test_no_row_begins_with_what_is_kept_with_previous() -> None:
    boxes = [(10 * n, 0, 10 * n + 9, 9) for n in range(6)]
    assert even_rows(boxes, 2) == [(0, 3), (3, 6)]
    assert even_rows(boxes, 2, {3}) in ([(0, 2), (2, 6)], [(0, 4), (4, 6)])
    assert even_rows(boxes, 1, {1, 2, 3, 4, 5}) == [(0, 6)]


def _longest(boxes: list[tuple[int, int, int, int]], rows: list[tuple[int, int]]) -> int:
    return max(max(b[2] for b in boxes[i:j]) - min(b[0] for b in boxes[i:j]) for i, j in rows)


@given(
    st.lists(st.tuples(st.integers(1, 40), st.integers(0, 9)), min_size=1, max_size=7),
    st.integers(1, 4),
    st.sets(st.integers(1, 6)),
)
def test_no_other_split_has_a_shorter_longest_row(
    parts: list[tuple[int, int]], count: int, kept: set[int]
) -> None:
    boxes, at = [], 0
    for width, gap in parts:
        boxes.append((at, 0, at + width, 10))
        at += width + gap
    n = len(boxes)
    starts = [i for i in range(1, n) if i not in kept]
    if count - 1 > len(starts):
        return
    rows = even_rows(boxes, count, kept)
    assert [i for i, _ in rows] == [0, *(j for _, j in rows[:-1])]
    assert rows[-1][1] == n
    assert all(i not in kept for i, _ in rows[1:])
    every = [[*pairwise([0, *cut, n])] for cut in combinations(starts, count - 1)]
    assert _longest(boxes, rows) == min(_longest(boxes, other) for other in every)


def _slides(sizes: list[tuple[int, int]]) -> Slides:
    """Return blocks of so many pixels (wide, high) in a run to the right, a pixel being half a millimetre."""
    outlines, slid, at = [], [], 0
    for wide, high in sizes:
        outlines.append(Outline(np.ones((high, wide), dtype=bool), -high // 2, 0))
        slid.append(at * 0.5)
        at += wide + 4
    return Slides(tuple(outlines), tuple(slid), np.array([1.0, 0.0, 0.0]), 0.5)


@pytest.mark.parametrize("aspect", [0.8, 1.5, 4.0])
def test_rows_do_not_lie_on_each_other_and_suit_the_frame(aspect: float) -> None:
    slides = _slides([(60, 40), (30, 80), (50, 20), (45, 60), (20, 20), (70, 30)])
    rows = fold_into_rows(slides, aspect, 5.0, {3})
    assert all(begin != 3 for begin, _ in rows.ranges)
    boxes = []
    for (begin, end), (right, down) in zip(rows.ranges, rows.shifts_mm, strict=True):
        for n in range(begin, end):
            x = (slides.slid_mm[n] - slides.slid_mm[begin]) + right
            top = slides.outlines[n].top * 0.5 + down
            high, wide = slides.outlines[n].mask.shape
            boxes.append((begin, x, top, x + wide * 0.5, top + high * 0.5))
    for a, b in combinations(boxes, 2):
        apart = max(b[1] - a[3], a[1] - b[3], b[2] - a[4], a[2] - b[4])
        assert apart >= (5.0 - 0.5 if a[0] != b[0] else 1.0), (a, b)
    counts = {a: len(fold_into_rows(slides, a, 5.0, {3}).ranges) for a in (0.8, 4.0)}
    assert counts[0.8] > counts[4.0], "a tall frame takes more rows"
