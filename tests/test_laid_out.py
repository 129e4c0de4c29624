"""Parts that lie by themselves: twins near each other, nothing inside anything, and what stands on a head untouched."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Place
from benchleaf.render.camera import fit_camera, sensible_views
from benchleaf.render.laid_out import AIR, lay_parts_out
from benchleaf.render.measure import measure_visible
from benchleaf.render.models import Models
from benchleaf.render.pictures import Studio
from benchleaf.render.views import scene_points
from sample_assembly import SMALL, sample_models, sample_plan


@pytest.fixture(name="models")
def _models() -> Models:
    return sample_models()


def of_kinds(models: Models, *kinds: str) -> dict[str, Place]:
    """Return the places of all parts of some kinds."""
    return {m.key: m.place for m in models if m.kind in kinds}


def test_twins_far_apart_are_brought_near_with_air_between_them(models: Models) -> None:
    places = of_kinds(models, "key")
    laid = lay_parts_out(models, places)
    (a0, a1), (b0, b1) = (models.parts[k].box(p) for k, p in laid.items())
    size = float((a1 - a0).max())
    gap = np.maximum(b0 - a1, a0 - b1).max()
    assert gap == pytest.approx(AIR * size, rel=1e-6)
    middle = np.mean([p.shift for p in places.values()], axis=0)
    np.testing.assert_allclose(np.mean([p.shift for p in laid.values()], axis=0), middle, atol=1e-9)


def test_parts_that_are_near_already_stay_where_they_are(models: Models) -> None:
    places = of_kinds(models, "rotor")
    assert lay_parts_out(models, places) == places


def test_many_kinds_lie_as_on_the_head(models: Models) -> None:
    places = {m.key: m.place for m in models}
    assert lay_parts_out(models, places) == places


def test_what_lies_inside_is_drawn_out_to_be_seen(models: Models) -> None:
    step = replace(
        sample_plan().steps[0], present=(), moves=(), focus=tuple(of_kinds(models, "body", "rotor", "cover"))
    )
    with Studio(models, SMALL) as studio:
        scene = studio.scene(step)
        camera = fit_camera(sensible_views(models.front, models.up)[0], scene_points(models, scene), 4 / 3)
        ids = studio.stage.ids(scene.places, camera, 480)
        seen = measure_visible(studio.stage, ids, scene.places, scene.wanted, camera)
        inside = studio.stage.ids(of_kinds(models, "body", "rotor", "cover"), camera, 480)
    assert inside.mask(["rotor_drive"]).sum() == 0, "on the head the cover hides the rotors"
    assert min(seen.values()) > 0.5  # the twin alone covers the rest
    order = [
        scene.places[k].shift[2] - models.parts[k].place.shift[2] for k in ("body", "rotor_drive", "cover")
    ]
    assert order == sorted(order)
    assert order[0] == 0


def test_parts_with_a_head_round_them_stand_in_their_places(models: Models) -> None:
    keys = tuple(models.parts)
    step = replace(sample_plan().steps[0], present=keys, moves=(), focus=keys[:3])
    with Studio(models, SMALL) as studio:
        assert studio.scene(step).places == {m.key: m.place for m in models}
