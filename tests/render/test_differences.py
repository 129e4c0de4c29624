"""What differs between two pictures is measured as a reader with a phone sees it, and pointed at from outside."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.drawing.differences import (
    LEAST_OUTLINE_PX,
    LEAST_SHARE,
    PHONE_PX,
    REACH,
    difference_of,
    draw_pointer,
    drawn_apart,
    edges_of,
    place_arrow,
    tells_apart,
)
from benchleaf.render.drawing.manifest import DifferenceSeen
from benchleaf.render.engine.grid import Ids
from PIL import Image

HIGH = 270


def square(left: int, top: int, side: int, step: tuple[int, int] | None = None) -> Ids:
    """Return a grid with a square part, 10 mm before the paper; between the columns of ``step`` it is 2 mm lower."""
    part = np.full((HIGH, PHONE_PX), -1, dtype=np.int16)
    near = np.full((HIGH, PHONE_PX), -10.0, dtype=np.float32)
    there = np.s_[top : top + side, left : left + side]
    part[there], near[there] = 0, 0.0
    if step is not None:
        near[top + 5 : top + side - 5, step[0] : step[1]] = -2.0
    return Ids(("part",), part, near)


def measured(a: Ids, b: Ids) -> DifferenceSeen:
    return difference_of(a, b, ("part",), ("part",), 100.0)


def test_equal_pictures_do_not_differ_and_are_not_told_apart() -> None:
    found = measured(square(100, 80, 60), square(100, 80, 60))
    assert (found.share, found.outline_px, found.at) == (0.0, 0.0, None)
    assert not tells_apart(found)


def test_a_shift_by_a_pixel_is_none_and_by_ten_is_one() -> None:
    slight = measured(square(100, 80, 60), square(101, 80, 60))
    assert slight.outline_px == 0.0
    assert slight.share == pytest.approx(2 * 60 / 3600)
    assert not tells_apart(slight)
    plain = measured(square(100, 80, 60), square(110, 80, 60))
    assert plain.share == pytest.approx(2 * 600 / 3600)
    assert plain.outline_px >= 60, "each has a side where the other has none"
    assert tells_apart(plain)


def test_a_step_within_a_part_is_an_outline() -> None:
    a, b = square(100, 80, 60, (110, 120)), square(100, 80, 60, (135, 150))
    edges = edges_of(a, ("part",), 0.6)
    assert edges[100, 109]
    assert edges[100, 120]
    assert not edges[100, 115]
    found = measured(a, b)
    assert found.share == 0.0
    assert found.outline_px == pytest.approx(2 * 50 + 2 * 15, abs=2), "all round the one that is broader"
    assert tells_apart(found)
    assert found.at is not None
    assert 100 < found.at[0] * PHONE_PX < 160
    faint = difference_of(a, b, ("part",), ("part",), 1000.0)
    assert faint.outline_px == 0.0, "a step that is small in the picture is none"


def test_what_is_missing_differs_wholly() -> None:
    nothing = Ids(
        (), np.full((HIGH, PHONE_PX), -1, dtype=np.int16), np.zeros((HIGH, PHONE_PX), dtype=np.float32)
    )
    found = difference_of(square(100, 80, 60), nothing, ("part",), (), 100.0)
    assert found.share == 1.0
    assert tells_apart(found)


def test_either_measure_is_enough() -> None:
    assert tells_apart(DifferenceSeen(LEAST_SHARE, 0.0))
    assert tells_apart(DifferenceSeen(0.0, LEAST_OUTLINE_PX))
    assert not tells_apart(DifferenceSeen(LEAST_SHARE - 0.001, LEAST_OUTLINE_PX - 1))


def test_the_arrow_comes_from_outside_and_keeps_off_what_is_taken() -> None:
    strong, taken = np.zeros((HIGH, PHONE_PX), dtype=bool), np.zeros((HIGH, PHONE_PX), dtype=bool)
    strong[80:180, 120:240] = True
    tip = (238 / PHONE_PX, 130 / HIGH)
    tail = place_arrow(tip, taken, strong, PHONE_PX / HIGH)
    assert tail[0] > tip[0] + 0.8 * REACH, "straight away from the middle"
    taken[:, 245:] = True
    aside = place_arrow(tip, taken, strong, PHONE_PX / HIGH)
    assert not taken[int(aside[1] * HIGH), int(aside[0] * PHONE_PX)]
    corner = place_arrow((0.97, 0.03), np.zeros_like(strong), strong, PHONE_PX / HIGH)
    assert 0.0 < corner[0] < 1.0
    assert 0.0 < corner[1] < 1.0


def test_the_pointer_is_drawn_between_its_ends() -> None:
    image = Image.new("RGB", (720, 540), "white")
    draw_pointer(image, (0.3, 0.5), (0.5, 0.5))
    dark = np.argwhere(np.asarray(image.convert("L")) < 100)
    assert dark[:, 1].min() >= 0.29 * 720
    assert dark[:, 1].max() <= 0.51 * 720
    assert np.abs(dark[:, 0] - 270).max() < 20
    assert drawn_apart(image, image) == 0.0
    assert drawn_apart(image, Image.new("RGB", (720, 540), "white")) > 50
