"""Contact shading darkens hollows only; files carry nothing but the picture."""

from __future__ import annotations

import io

import numpy as np
import pytest
from benchleaf.render.camera import Camera, make_view
from benchleaf.render.compose import contact_shade, encode, finish
from benchleaf.render.scene import Ids
from PIL import Image

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


def test_finish_reduces_and_darkens() -> None:
    pixels = np.full((80, 120, 3), 200, dtype=np.uint8)
    assert finish(pixels, 2, None).size == (60, 40)
    shade = np.zeros((20, 30), dtype=np.float32)
    shade[:, :15] = 1.0
    dark = np.asarray(finish(pixels, 2, shade))
    assert dark[20, 5, 0] == round(200 * 0.58)
    assert dark[20, 55, 0] == 200


JFIF = ("jfif", "jfif_version", "jfif_unit", "jfif_density")


@pytest.mark.parametrize("ending", ["webp", "png", "jpg"])
def test_files_hold_the_picture_and_no_date(ending: str) -> None:
    image = Image.fromarray(np.random.default_rng(0).integers(0, 255, (40, 60, 3), dtype=np.uint8))
    data = encode(image, ending, 88)
    assert data == encode(image.copy(), ending, 88)
    with Image.open(io.BytesIO(data)) as again:
        assert again.size == (60, 40)
        assert {
            k for k in again.info if k not in ("loop", "background", "timestamp", "duration", *JFIF)
        } == set()


def test_other_formats_are_refused() -> None:
    with pytest.raises(ValueError, match="webp, png or jpg, not as 'bmp'"):
        encode(Image.new("RGB", (2, 2)), "bmp", 80)
