"""Arrows and dashes: lengths, tips and joints are where the path says, and lines cover what they should."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from benchleaf.render.drawing.arrows import (
    OverlayCanvas,
    Point,
    arc_points,
    arrow_shapes,
    cut_dashes,
    draw_arrow,
    shorten,
    stroke,
    visibility_runs,
    without_collinear,
)
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import Polygon
from shapely.ops import unary_union

COORDINATES = st.integers(0, 400).map(float)
PATHS = st.lists(st.tuples(COORDINATES, COORDINATES), min_size=2, max_size=6, unique=True)


def length_of(path: list[Point]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(path))


def inked(image: Image.Image) -> float:
    """Return how much of the white picture has been covered by black, px."""
    return float((255.0 - np.asarray(image.convert("L"), dtype=float)).sum() / 255.0)


@given(PATHS, st.floats(4.0, 30.0), st.floats(2.0, 20.0))
def test_dashes_begin_and_end_the_line_and_are_evenly_spaced(
    path: list[Point], dash: float, gap: float
) -> None:
    pieces = cut_dashes(path, dash, gap)
    total = length_of(path)
    assert pieces[0][0] == pytest.approx(path[0])
    assert pieces[-1][-1] == pytest.approx(path[-1], abs=1e-6)
    lengths = [length_of(p) for p in pieces]
    if len(pieces) > 1:
        assert max(lengths) - min(lengths) < 1e-6 * total
        assert sum(lengths) + gap * (len(pieces) - 1) == pytest.approx(total, rel=1e-6)


@given(PATHS, st.floats(0.1, 100.0))
def test_a_shortened_line_ends_so_much_earlier_or_keeps_its_first_piece(path: list[Point], by: float) -> None:
    kept = shorten(path, by)
    assert len(kept) >= 2
    assert kept[0] == path[0]
    left, piece = length_of(path) - by, math.dist(kept[-2], path[len(kept) - 1])
    # Of the piece in which it ends a twentieth is left at least.
    least = length_of(kept[:-1]) + 0.05 * piece
    assert length_of(kept) == pytest.approx(max(left, least), abs=1e-6)
    assert kept[:-1] == path[: len(kept) - 1]


@given(PATHS)
def test_points_on_a_straight_run_change_nothing(path: list[Point]) -> None:
    dense = [path[0]]
    for a, b in pairwise(path):
        dense += [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in (0.25, 0.5, 1.0)]
    kept = without_collinear(dense)
    assert set(kept) <= set(dense)
    assert (kept[0], kept[-1]) == (path[0], path[-1])
    assert length_of(list(kept)) == pytest.approx(length_of(path), rel=1e-3)


def test_a_stroke_covers_its_length_times_its_width() -> None:
    area = unary_union([Polygon(s) for s in stroke([(0.0, 0.0), (30.0, 40.0)], 6.0)]).area
    assert area == pytest.approx(50.0 * 6.0)
    bent = unary_union([Polygon(s) for s in stroke([(0.0, 0.0), (50.0, 0.0), (50.0, 50.0)], 6.0)])
    # The corner is rounded: of the outer square of 3 mm a quarter disc is left, the inner one counts once.
    assert bent.area == pytest.approx(2 * 50.0 * 6.0 - 9.0 + math.pi * 9.0 / 4, rel=2e-3)


def test_an_arrows_tip_is_the_end_of_its_path() -> None:
    *body, tip = arrow_shapes([(10.0, 50.0), (110.0, 50.0)], 8.0, 30.0)
    assert (110.0, 50.0) in tip
    assert min(x for x, _ in tip) == pytest.approx(80.0)
    assert max(x for shape in body for x, _ in shape) <= 110.0 - 0.78 * 30.0, "the line ends inside the head"
    assert arrow_shapes([(5.0, 5.0), (5.0, 5.0)], 8.0, 30.0) == []


def test_hidden_stretches_are_dashed() -> None:
    path: list[Point] = [(x, 50.0) for x in np.linspace(10.0, 190.0, 91)]
    covered = {}
    for name, seen in (("seen", True), ("hidden", False)):
        image = Image.new("RGB", (200, 100), "white")
        draw_arrow(OverlayCanvas(image), path, np.full(len(path), seen), 6.0, 24.0, (0.0, 0.0, 0.0))
        covered[name] = inked(image)
    assert covered["seen"] == pytest.approx(
        (190.0 - 10.0 - 0.8 * 24.0) * 6.0 + 24.0**2 * 0.42 * 0.89, rel=0.06
    )
    assert 0.3 * covered["seen"] < covered["hidden"] < 0.75 * covered["seen"]


def test_runs_share_their_ends_and_cover_the_path() -> None:
    path: list[Point] = [(float(n), 0.0) for n in range(7)]
    runs = visibility_runs(path, np.array([True, True, False, False, False, True, True]))
    assert [seen for seen, _ in runs] == [True, False, True]
    assert all(a[-1] == b[0] for (_, a), (_, b) in pairwise(runs))
    assert (runs[0][1][0], runs[-1][1][-1]) == (path[0], path[-1])


def test_a_tilted_ellipse_keeps_its_half_axes() -> None:
    points = np.array(arc_points((100.0, 50.0), 40.0, 20.0, 30.0, 0.0, 360.0)) - (100.0, 50.0)
    turned = points @ np.array([[math.cos(math.radians(30)), -math.sin(math.radians(30))],
                                [math.sin(math.radians(30)), math.cos(math.radians(30))]])  # fmt: skip
    np.testing.assert_allclose((turned[:, 0] / 40) ** 2 + (turned[:, 1] / 20) ** 2, 1.0)


def test_shapes_out_of_the_picture_draw_nothing_and_opacity_mixes() -> None:
    image = Image.new("RGB", (40, 40), "white")
    canvas = OverlayCanvas(image)
    canvas.line([(100.0, 100.0), (150.0, 100.0)], 5.0, (0.0, 0.0, 0.0))
    assert inked(image) == 0.0
    canvas.polygons([[(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)]], (0.0, 0.0, 0.0), 0.5)
    assert image.getpixel((20, 20)) == (127, 127, 127)
    canvas.ring((20.0, 20.0), 12.0, 2.0, (0.0, 0.0, 0.0))
    assert image.getpixel((20, 8)) == (0, 0, 0)
