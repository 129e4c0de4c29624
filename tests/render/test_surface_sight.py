"""What is in sight of a surface: by its points, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from acts_samples import BACK, FACE, RING, act_assembly
from benchleaf.render.acts.surface_sight import sight_of, spots_of
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.stage import Stage
from benchleaf.render.pictures.studio import models_of

pytestmark = pytest.mark.gl
MODELS = models_of(act_assembly(), PictureSettings())
PLACES = {m.key: m.place for m in MODELS}


def test_the_points_stand_for_the_area_of_the_surface() -> None:
    spots = spots_of(MODELS.parts["plate"], RING)
    assert len(spots.points) * spots.each_mm2 == pytest.approx(np.pi * (20**2 - 10**2), rel=0.03)
    assert np.allclose(spots.normals, (0.0, 0.0, 1.0))
    whole = spots_of(MODELS.parts["plate"], None)
    assert len(whole.points) * whole.each_mm2 == pytest.approx(2 * 100 * 80 + 2 * (100 + 80) * 10)


@pytest.mark.parametrize("above", [0.0, 40.0])
def test_what_faces_the_eye_is_seen_as_projected_and_what_turns_away_is_not(above: float) -> None:
    view = make_view("front", 0.0, above, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    camera = Camera(view, (0.0, 0.0, 5.0), 140.0, 4 / 3)
    with Stage(MODELS, 400, 300) as stage:
        ids = stage.ids({"plate": PLACES["plate"]}, camera, 240)
        seen = sight_of(MODELS.parts["plate"], RING, PLACES["plate"], ids, camera)
        assert seen.shown == 1.0
        area = np.pi * (20**2 - 10**2) * np.cos(np.radians(above))
        assert seen.area_mm2 == pytest.approx(area, rel=0.03)
        back = sight_of(MODELS.parts["plate"], BACK, PLACES["plate"], ids, camera)
        assert (back.shown, back.worth, back.box) == (0.0, 0.0, None)


def test_what_stands_before_it_hides_it() -> None:
    view = make_view("front", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    camera = Camera(view, (0.0, 0.0, 5.0), 140.0, 4 / 3)
    with Stage(MODELS, 400, 300) as stage:
        ids = stage.ids(PLACES, camera, 480)
        seen = sight_of(MODELS.parts["plate"], FACE, PLACES["plate"], ids, camera)
    hexagon = 6 * np.sqrt(3) / 4 * 10**2
    assert seen.shown == pytest.approx(1 - 2 * hexagon / 8000, abs=0.02)
