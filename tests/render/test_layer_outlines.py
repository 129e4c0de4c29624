"""Layers slid apart do not cover each other in the picture, and none is slid farther than it must be."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.composition.explode import overview_view
from benchleaf.render.composition.layer_outlines import GRID, STEP_PIXELS, Mask, Slides, grown, slide_apart
from benchleaf.render.composition.layers import make_layers
from benchleaf.render.engine.camera import fit_camera
from benchleaf.render.pictures.studio import Studio
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from sample_assembly import SMALL, sample_models
from scipy.ndimage import binary_dilation, maximum_filter

AIR_MM = 5.0


@given(arrays(np.bool_, st.tuples(st.integers(1, 9), st.integers(1, 9))), st.integers(1, 4))
def test_an_outline_grows_as_a_square_brush_grows_it(mask: Mask, by: int) -> None:
    found = grown(mask, by)
    square = np.ones((2 * by + 1, 2 * by + 1), dtype=bool)
    np.testing.assert_array_equal(found, binary_dilation(np.pad(mask, by), square))


@pytest.fixture(scope="module", name="slides")
def _slides() -> Slides:
    models = sample_models()
    home = {m.key: m.place for m in models}
    with Studio(models, SMALL) as studio:
        view = overview_view(models)
        layers = make_layers(studio.stage, view, ("housing", "shaft_drive", "shaft_driven"))
        points = np.concatenate([m.place.points(m.mesh.joined_points) for m in models])
        return slide_apart(studio.stage, layers, home, fit_camera(view, points, 1.0, 0.02), AIR_MM)


def _canvas(slides: Slides, number: int, back: int = 0) -> Mask:
    """Return where a layer lies on a large page, drawn ``back`` pixels along the run towards its place."""
    page = np.zeros((4 * GRID, 8 * GRID), dtype=bool)
    run = slides.run[:2] / np.hypot(*slides.run[:2])
    outline, (down, right) = slides.outlines[number], slides.shift(number)
    top = 2 * GRID + outline.top + down + round(run[1] * back)
    left = 2 * GRID + outline.left + right - round(run[0] * back)
    height, width = outline.mask.shape
    page[top : top + height, left : left + width] = outline.mask
    return page


def test_no_layer_covers_another_and_air_is_left(slides: Slides) -> None:
    taken = _canvas(slides, 0)
    air = round(AIR_MM / slides.pixel_mm)
    for number in range(1, len(slides.outlines)):
        own = _canvas(slides, number)
        assert not (maximum_filter(taken, 2 * air + 1) & own).any(), number
        taken |= own


def test_none_goes_farther_than_it_must(slides: Slides) -> None:
    assert list(slides.slid_mm) == sorted(slides.slid_mm)
    assert slides.slid_mm[0] == 0.0
    air = round(AIR_MM / slides.pixel_mm)
    taken = _canvas(slides, 0)
    for number in range(1, len(slides.outlines)):
        own = _canvas(slides, number)
        if slides.slid_mm[number] > slides.slid_mm[number - 1]:
            nearer = _canvas(slides, number, back=round(STEP_PIXELS) + 2)
            assert (maximum_filter(taken, 2 * air + 1) & nearer).any(), number
        taken |= own


def test_boxes_hold_the_slid_outlines(slides: Slides) -> None:
    for number, (left, top, right, foot) in enumerate(slides.boxes()):
        rows, columns = np.nonzero(_canvas(slides, number))
        assert (columns.min() - 2 * GRID, rows.min() - 2 * GRID) == (left, top)
        assert (columns.max() + 1 - 2 * GRID, rows.max() + 1 - 2 * GRID) == (right, foot)
