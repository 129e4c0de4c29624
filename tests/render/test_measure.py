"""What is seen is measured as it is: outlines, shares, boxes, and anchors that lie on their part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Place
from benchleaf.render.drawing.manifest import State
from benchleaf.render.drawing.measure import (
    RIM,
    Mask,
    outline,
    parts_seen,
    values_at,
    visible_outline,
    without_slivers,
)
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.engine.grid import Ids
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from sample_assembly import sample_models
from scipy.ndimage import binary_erosion, generate_binary_structure

MASKS = arrays(np.bool_, st.tuples(st.integers(1, 12), st.integers(1, 12)))


def ids_of(part: list[list[int]]) -> Ids:
    array = np.array(part, dtype=np.int16)
    return Ids(("a", "b"), array, np.where(array >= 0, 1.0, -np.inf).astype(np.float32))


@given(MASKS)
def test_an_outline_is_what_a_cross_erodes(mask: Mask) -> None:
    eroded = binary_erosion(mask, generate_binary_structure(2, 1))
    np.testing.assert_array_equal(outline(mask), mask & ~eroded)


@given(arrays(np.int16, (9, 11), elements=st.integers(-1, 1)))
def test_the_account_of_each_part_is_true(part: np.ndarray[tuple[int, int], np.dtype[np.int16]]) -> None:
    ids = ids_of(part.tolist())
    states: dict[str, State] = {"a": "moving", "b": "context"}
    seen = parts_seen(ids, states, {"a": 0.4}, {"a": (0.0, 0.0, 5.0)})
    for number, key in enumerate(("a", "b")):
        own, found = part == number, seen[key]
        assert found.visible_px == own.sum()
        if not own.any():
            assert found.anchor is None
            assert found.box is None
            continue
        assert found.anchor is not None
        assert found.box is not None
        assert own[int(found.anchor[1] * 9), int(found.anchor[0] * 11)]
        rows, columns = np.nonzero(own)
        expected = (columns.min() / 11, rows.min() / 9, (columns.max() + 1) / 11, (rows.max() + 1) / 9)
        assert found.box == pytest.approx(expected)
    assert (seen["a"].state, seen["a"].visible, seen["a"].moved_mm) == ("moving", 0.4, (0.0, 0.0, 5.0))
    assert (seen["b"].visible, seen["b"].moved_mm) == (None, None)


def test_the_share_of_an_outline_counts_what_others_hide() -> None:
    alone = np.zeros((8, 10), dtype=bool)
    alone[2:6, 2:8] = True
    part = np.where(alone, 0, -1)
    assert visible_outline(ids_of(part.tolist()), alone, ["a"]) == 1.0
    part[:, 5:] = 1  # b hides the right half: of 16 pixels of outline 8 are left
    assert visible_outline(ids_of(part.tolist()), alone, ["a"]) == 8 / 16
    assert visible_outline(ids_of(part.tolist()), np.zeros_like(alone), ["a"]) == 0.0, "out of frame"


def test_values_are_read_at_fractions_of_the_grid() -> None:
    grid = np.arange(12).reshape(3, 4)
    points = np.array([[0.0, 0.0, 9.0], [0.99, 0.99, 9.0], [0.3, 0.5, 9.0], [-2.0, 5.0, 9.0]])
    assert values_at(grid, points).tolist() == [0, 11, 5, 8]


def test_an_anchor_lies_inside_its_part_where_that_has_an_inside() -> None:
    """A leader's end must be told to be on the part when the picture is shown small, not on what lies beside it."""
    part = np.full((40, 60), -1)
    part[5:35, 10:14] = 0  # an upright and a foot: the middle of what is seen lies in the open between them
    part[28:35, 10:50] = 0
    part[2:4, 40:59] = 1  # too thin to have an inside
    states: dict[str, State] = {"a": "moving", "b": "context"}
    seen = parts_seen(ids_of(part.tolist()), states, {}, {})
    anchor = seen["a"].anchor
    assert anchor is not None
    x, y = int(anchor[0] * 60), int(anchor[1] * 40)
    assert (part[y - RIM : y + RIM + 1, x - RIM : x + RIM + 1] == 0).all()
    assert seen["b"].anchor is not None


def test_of_a_part_of_which_a_sliver_is_seen_nothing_is_pointed_out() -> None:
    mesh = sample_models().parts["cover"].mesh
    models = replace(sample_models(), parts={k: replace(sample_models().parts["cover"], key=k) for k in "ab"})
    view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
    camera = fit_camera(view, mesh.extreme_points, 4 / 3)
    part = np.full((600, 800), -1)
    part[100:110, 100:115] = 0  # 150 of 480000 pixels: less than a part in two thousand
    part[300:400, 300:400] = 1
    states: dict[str, State] = {"a": "moving", "b": "moving"}
    ids = ids_of(part.tolist())
    seen = parts_seen(ids, states, {}, {})
    left = without_slivers(seen, models, {k: Place() for k in "ab"}, ids, camera)
    assert seen["a"].anchor is not None
    assert (left["a"].anchor, left["a"].visible_px) == (None, 150)
    assert left["b"] == seen["b"]
    far = replace(camera, height_mm=camera.height_mm * 60.0)  # now that is all of it
    assert without_slivers(seen, models, {k: Place() for k in "ab"}, ids, far) == seen
