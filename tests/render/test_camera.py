"""Cameras keep the reader's up, hold what they are fitted to, and cut parts out of a picture exactly."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.engine.camera import fit_camera, make_view, sensible_views
from hypothesis import given
from hypothesis import strategies as st

POINTS = st.lists(st.tuples(*[st.floats(-200, 200)] * 3), min_size=2, max_size=12)


@pytest.mark.parametrize("up", [(0.0, 1.0, 0.0), (1.0, 0.0, 0.0)])
def test_up_stays_up_in_every_view(up: tuple[float, float, float]) -> None:
    for view in sensible_views((0.0, 0.0, 1.0), up):
        right, over, eye = view.axes
        np.testing.assert_allclose(view.axes @ view.axes.T, np.eye(3), atol=1e-12)
        assert np.linalg.det(view.axes) == pytest.approx(1.0)
        assert right @ np.array(up) == pytest.approx(0.0, abs=1e-12)
        assert over @ np.array(up) > 0.7
        assert eye @ np.array(view.direction) == pytest.approx(1.0)


def test_front_right_is_to_the_readers_right() -> None:
    view = make_view("", 40.0, 20.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    assert view.direction[0] > 0.5
    assert view.direction[1] > 0.3


@given(POINTS, st.integers(0, 9), st.sampled_from([1.0, 4 / 3, 2.0]))
def test_fitted_camera_holds_its_points_with_the_margin(
    points: list[tuple[float, float, float]], which: int, aspect: float
) -> None:
    view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[which]
    camera = fit_camera(view, np.array(points), aspect, 0.05)
    xy = camera.project(np.array(points))[:, :2]
    assert xy.min() > 0.05 - 1e-6
    assert xy.max() < 0.95 + 1e-6
    if np.ptp(np.array(points) @ view.axes[:2].T, axis=0).max() > 1e-3:
        spans = np.ptp(xy, axis=0)
        assert max(spans) == pytest.approx(0.9, abs=1e-6)  # as large as can be


@given(POINTS, st.floats(0.0, 0.4), st.floats(0.0, 0.4), st.floats(0.2, 0.6), st.floats(0.2, 0.6))
def test_a_part_of_a_picture_shows_the_same_points(
    points: list[tuple[float, float, float]], left: float, top: float, width: float, height: float
) -> None:
    view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
    whole = fit_camera(view, np.array([(-100.0, -100.0, -100.0), (100.0, 100.0, 100.0)]), 1.5)
    part = whole.part(left, top, left + width, top + height)
    in_whole, in_part = whole.project(np.array(points)), part.project(np.array(points))
    np.testing.assert_allclose(left + in_part[:, 0] * width, in_whole[:, 0], atol=1e-9)
    np.testing.assert_allclose(top + in_part[:, 1] * height, in_whole[:, 1], atol=1e-9)


def test_nearness_counts_towards_the_eye() -> None:
    view = make_view("", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    camera = fit_camera(view, np.array([(-1.0, -1.0, 0.0), (1.0, 1.0, 0.0)]), 1.0)
    near, far = camera.project(np.array([(0.0, 0.0, 5.0), (0.0, 0.0, -5.0)]))[:, 2]
    assert (near, far) == (5.0, -5.0)
