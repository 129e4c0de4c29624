"""Marks on opened faces: rings go round, lines end at them, dashed ones have gaps, discs are round."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats
from benchleaf.render.drawing.arrows import OverlayCanvas
from benchleaf.render.drawing.link_marks import draw_bar, draw_cross, draw_link, draw_ring, paste_disc
from PIL import Image

SIZE = (400, 300)


def dark(image: Image.Image) -> Floats:
    """Return where the picture is dark, (n, 2): x, y."""
    return np.argwhere(np.asarray(image.convert("L")) < 110)[:, ::-1].astype(float) + 0.5


@pytest.fixture(name="image")
def _image() -> Image.Image:
    return Image.new("RGB", SIZE, "white")


@pytest.mark.parametrize("dashed", [False, True])
def test_a_ring_leaves_open_what_it_is_round(image: Image.Image, dashed: bool) -> None:
    draw_ring(OverlayCanvas(image), (200.0, 150.0), 40.0, 6.0, dashed)
    away = np.hypot(*(dark(image) - (200.0, 150.0)).T)
    assert away.min() > 40 - 4
    assert away.max() < 40 + 4
    turns = np.degrees(np.arctan2(*(dark(image) - (200.0, 150.0)).T[::-1]))
    taken = len(np.unique(np.round(turns)))
    assert taken > 350 if not dashed else 100 < taken < 320


def test_a_cross_runs_over_both_diagonals(image: Image.Image) -> None:
    draw_cross(OverlayCanvas(image), (100.0, 100.0), 20.0, 4.0)
    off = dark(image) - (100.0, 100.0)
    assert (np.abs(np.abs(off[:, 0]) - np.abs(off[:, 1])) < 5).all()
    assert {(x > 2, y > 2) for x, y in off} == {(a, b) for a in (True, False) for b in (True, False)}


@pytest.mark.parametrize("dashed", [False, True])
def test_a_link_ends_at_the_rings_and_bows_aside(image: Image.Image, dashed: bool) -> None:
    ends = np.array([60.0, 150.0]), np.array([340.0, 150.0])
    draw_link(OverlayCanvas(image), *ends, 20.0, 4.0, dashed, 0, SIZE[1])
    spots = dark(image)
    for end in ends:
        assert np.hypot(*(spots - end).T).min() == pytest.approx(20.0, abs=9.0)
    assert spots[:, 1].min() < 148 - 4, "bowed up"
    columns = np.unique(np.floor(spots[:, 0]))
    assert (np.diff(columns).max() > 5) == dashed
    other = Image.new("RGB", SIZE, "white")
    draw_link(OverlayCanvas(other), *ends, 20.0, 4.0, dashed, 1, SIZE[1])
    assert dark(other)[:, 1].max() > 152 + 4, "and the next one down"


def test_a_bar_is_straight_and_a_disc_round(image: Image.Image) -> None:
    draw_bar(OverlayCanvas(image), (20.0, 40.0), (120.0, 40.0), 4.0, False)
    assert np.ptp(dark(image)[:, 1]) < 5
    assert np.ptp(dark(image)[:, 0]) == pytest.approx(100, abs=2)
    paste_disc(image, Image.new("RGB", (100, 100), (0, 0, 0)), (250.0, 180.0), 50.0, 3.0)
    away = np.hypot(*(dark(image)[dark(image)[:, 1] > 60] - (250.0, 180.0)).T)
    assert away.max() < 53
    assert len(away) == pytest.approx(np.pi * 51.5**2, rel=0.03)
