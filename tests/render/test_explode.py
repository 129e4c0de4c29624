"""In the exploded overview pins and screws stay with the part that they stand in, and twins with each other."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.composition.explode import Exploded, explode
from benchleaf.render.pictures.step_pictures import Studio
from sample_assembly import SMALL, pinned_models

GIVEN = ("housing", "shaft_drive", "shaft_driven")
DOWELS, SCREWS = ("dowel_1", "dowel_2"), ("screw_1", "screw_2")


@pytest.fixture(scope="module", name="layout")
def _layout() -> Exploded:
    with Studio(pinned_models(), SMALL) as studio:
        return explode(studio.stage, 1.5, GIVEN)


def test_dowels_stand_before_the_face_by_which_their_part_is_fitted_and_screws_after_it(
    layout: Exploded,
) -> None:
    order = [layer.keys[0] for layer in layout.layers]
    body = order.index("body")
    assert order.index("dowel_1") == body - 1
    assert order.index("screw_1") == body + 1
    (row,) = [(b, e) for b, e in layout.rows if b <= body < e]
    assert row[0] <= body - 1
    assert body + 1 < row[1]


def test_every_part_is_in_frame_and_no_higher_a_frame_than_needed(layout: Exploded) -> None:
    models = pinned_models()
    assert list(layout.places) == list(models.parts)
    points = np.concatenate([layout.places[m.key].points(m.mesh.joined_points) for m in models])
    at = layout.camera.project(points)[:, :2]
    assert at.min() > 0
    assert at.max() < 1
    assert layout.camera.aspect >= 1.5 - 1e-9
    margin = 0.03 * layout.camera.width_mm / layout.camera.height_mm
    if layout.camera.aspect > 1.5 + 1e-9:
        np.testing.assert_allclose([at[:, 1].min(), at[:, 1].max()], [margin, 1 - margin], atol=1e-6)


def test_parts_of_a_layer_move_as_one_and_only_along_the_front_within_a_row(layout: Exploded) -> None:
    models = pinned_models()
    front = np.array(models.front)
    for layer, shift in zip(layout.layers, layout.shifts, strict=True):
        for key in layer.keys:
            moved = np.subtract(layout.places[key].shift, models.parts[key].place.shift)
            np.testing.assert_allclose(moved, shift, atol=1e-9)
    for begin, end in layout.rows:
        first = np.array(layout.shifts[begin])
        for n in range(begin, end):
            out = np.array(layout.shifts[n]) - first
            np.testing.assert_allclose(out, front * float(out @ front), atol=1e-9)
            assert out @ front >= 0
