"""Contact shading darkens hollows only."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.drawing.compose import contact_shade, finish
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.grid import Ids
from PIL import Image, ImageFilter

CAMERA = Camera(make_view("", 0, 0, (0, 0, 1), (0, 1, 0)), (0.0, 0.0, 0.0), 100.0, 1.0)


def _ids(near: np.ndarray) -> Ids:
    return Ids(("a",), np.where(np.isfinite(near), 0, -1).astype(np.int16), near.astype(np.float32))


def test_planes_stay_clear_however_they_lean() -> None:
    for slope in (0.0, 0.5, 2.0):
        near = np.tile(np.arange(100.0) * slope, (100, 1))
        assert contact_shade(_ids(near), CAMERA, 6.0)[15:-15, 15:-15].max() < 0.02


def test_a_corner_between_floor_and_wall_is_darkened() -> None:
    near = np.tile(np.abs(np.arange(100.0) - 50.0), (100, 1))
    shade = contact_shade(_ids(near), CAMERA, 6.0)
    assert shade[50, 50] > 0.15
    assert shade[50, 50] > 4 * shade[50, 20:30].max()


def test_what_stands_far_in_front_casts_nothing() -> None:
    near = np.zeros((100, 100))
    near[:, 60:] = 80.0
    assert contact_shade(_ids(near), CAMERA, 6.0)[20:-20, 30:59].max() < 0.02


def test_the_ground_is_never_shaded() -> None:
    near = np.full((100, 100), -np.inf)
    near[40:60, 40:60] = 5.0
    shade = contact_shade(_ids(near), CAMERA, 6.0)
    assert shade[~np.isfinite(near)].max() == 0.0


@pytest.mark.parametrize("box", [(0, 24, 0, 30), (5, 20, 0, 17), (8, 9, 12, 13), (3, 24, 10, 28)])
def test_every_pixel_is_shaded_as_by_itself(box: tuple[int, int, int, int]) -> None:
    top, foot, left, right = box
    near = np.full((24, 30), -np.inf)
    near[top:foot, left:right] = np.random.default_rng(7).uniform(0.0, 9.0, (foot - top, right - left))
    camera = Camera(CAMERA.view, CAMERA.centre, 24.0, 30 / 24)
    ids, radius = _ids(near), 4.3
    grey = Image.fromarray(
        np.array([[_lost(ids, y, x, radius) for x in range(30)] for y in range(24)], dtype=np.uint8)
    )
    expected = np.asarray(grey.filter(ImageFilter.BoxBlur(1.0))) / 255.0 * (ids.part >= 0)
    np.testing.assert_allclose(contact_shade(ids, camera, radius), expected, atol=1.01 / 255.0)


def _lost(ids: Ids, y: int, x: int, radius: float) -> int:
    """Return what one pixel of one millimetre loses, 0 to 255, reckoned from its neighbours one by one."""
    height, width = ids.part.shape

    def near(row: int, column: int) -> float:
        row, column = min(max(row, 0), height - 1), min(max(column, 0), width - 1)
        return float(ids.near_mm[row, column]) if ids.part[row, column] >= 0 else -1e6

    lost = 0.0
    for ring, share in enumerate((0.3, 0.62, 1.0)):
        reach = max(1.0, radius * share)
        for spoke in range(3):
            angle = np.pi * (spoke + 0.5 * (ring % 2)) / 3
            dx, dy = round(np.cos(angle) * reach), round(np.sin(angle) * reach)
            rises = [near(y + s * dy, x + s * dx) - near(y, x) for s in (1, -1)]
            rises = [0.0 if r > 1.5 * reach else max(r, -1.5 * reach) for r in rises]
            lost += min(max(sum(rises) / (3.0 * reach) - 0.045, 0.0), 1.0)
    return round(255.0 * min(lost * 2.3 / 9, 1.0))


def test_finish_reduces_and_darkens() -> None:
    pixels = np.full((80, 120, 3), 200, dtype=np.uint8)
    assert finish(pixels, 2, None).size == (60, 40)
    shade = np.zeros((20, 30), dtype=np.float32)
    shade[:, :15] = 1.0
    dark = np.asarray(finish(pixels, 2, shade))
    assert dark[20, 5, 0] == round(200 * 0.58)
    assert dark[20, 55, 0] == 200
