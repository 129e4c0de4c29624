"""Layers composited by depth: the nearer is seen, wherever it is shifted, and what leaves the picture is lost."""

from __future__ import annotations

import numpy as np
from benchleaf.render.engine.depth_layers import DepthLayer
from hypothesis import given
from hypothesis import strategies as st

SHIFTS = st.integers(-14, 14)


def layer(height: int, width: int, colour: int, seed: int) -> DepthLayer:
    """Return a layer of one colour with random depths, empty in places."""
    random = np.random.default_rng(seed)
    depth = random.uniform(0.1, 0.9, (height, width)).astype(np.float32)
    depth[random.random((height, width)) < 0.3] = 1.0
    return DepthLayer(np.full((height, width, 3), colour, dtype=np.uint8), depth)


@given(SHIFTS, SHIFTS, st.floats(-0.3, 0.3), st.integers(0, 1000))
def test_each_pixel_is_the_nearer_of_the_two(right: int, down: int, nearer: float, seed: int) -> None:
    below, above = layer(10, 12, 10, seed), layer(6, 7, 200, seed + 1)
    found = below.composited(above, right, down, nearer)
    for y in range(10):
        for x in range(12):
            own_y, own_x = y - down, x - right
            inside = 0 <= own_y < 6 and 0 <= own_x < 7
            depth = above.depth[own_y, own_x] - np.float32(nearer) if inside else np.float32(2.0)
            over = inside and above.depth[own_y, own_x] < 1.0 and depth <= below.depth[y, x]
            assert found.pixels[y, x].tolist() == [200 if over else 10] * 3
            assert found.depth[y, x] == (depth if over else below.depth[y, x])


def test_neither_layer_is_changed() -> None:
    below, above = layer(5, 5, 1, 3), layer(5, 5, 2, 4)
    before = below.pixels.copy(), below.depth.copy(), above.depth.copy()
    below.composited(above, 1, 1, 0.2)
    for now, then in zip((below.pixels, below.depth, above.depth), before, strict=True):
        np.testing.assert_array_equal(now, then)


def test_a_pane_is_counted_in_pixels_of_the_finished_picture() -> None:
    whole = layer(8, 12, 5, 7)
    part = whole.pane((1, 2, 5, 4), 2)
    assert part.pixels.shape == (4, 8, 3)
    np.testing.assert_array_equal(part.depth, whole.depth[4:8, 2:10])
