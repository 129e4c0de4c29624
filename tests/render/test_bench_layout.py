"""Parts that lie by themselves: twins near each other, nothing inside anything, and what stands on a head untouched."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.render.composition.bench_layout import GAP, arrange_parts
from benchleaf.render.composition.views import scene_points
from benchleaf.render.drawing.measure import measure_visible
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.step_pictures import Studio
from benchleaf.sequences.steps.plan import Leg, Move
from sample_assembly import SMALL, sample_models, sample_plan


@pytest.fixture(name="models")
def _models() -> PartModels:
    return sample_models()


def of_kinds(models: PartModels, *kinds: str) -> dict[str, Place]:
    """Return the places of all parts of some kinds."""
    return {m.key: m.place for m in models if m.kind in kinds}


def seen_alone(studio: Studio, places: dict[str, Place], view: int) -> float:
    """Return the least share of a part's outline that is seen among the others."""
    models = studio.models
    camera = fit_camera(sensible_views(models.front, models.up)[view], _points(models, places), 4 / 3)
    ids = studio.stage.ids(places, camera, 480)
    return min(measure_visible(studio.stage, ids, places, [(k,) for k in places], camera).values())


def _points(models: PartModels, places: dict[str, Place]) -> Floats:
    return np.concatenate([p.points(models.parts[k].mesh.extreme_points) for k, p in places.items()])


def filled(models: PartModels, places: dict[str, Place]) -> float:
    """Return the share of the picture's height and width that the parts span, the less of both, in the first view."""
    view = sensible_views(models.front, models.up)[0]
    span = np.ptp(fit_camera(view, _points(models, places), 4 / 3).project(_points(models, places)), axis=0)
    return float(min(span[0], span[1]))


def turned_up(models: PartModels) -> PartModels:
    """Return the models with the reader's up along what was their right: shafts one above the other."""
    return replace(models, up=(1.0, 0.0, 0.0))


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("kind", ["key", "seat", "oring", "cover_nut", "nut"])
def test_loose_twins_lie_beside_each_other(models: PartModels, kind: str, turned: bool) -> None:
    if turned:
        models = turned_up(models)
    places = of_kinds(models, kind)
    laid = arrange_parts(models, places)
    right = np.cross(models.up, models.front)
    at = np.array([p.shift for p in laid.values()])
    assert (np.diff(at @ right) > 0).all()
    np.testing.assert_allclose(np.ptp(at @ np.array(models.up)), 0, atol=1e-9)
    np.testing.assert_allclose(at.mean(axis=0), np.mean([p.shift for p in places.values()], axis=0), atol=0.2)
    assert filled(models, laid) > 0.5
    with Studio(models, SMALL) as studio:
        assert min(seen_alone(studio, laid, view) for view in range(4)) > 0.99


@pytest.mark.parametrize("turned", [False, True])
def test_loose_parts_of_many_kinds_lie_clear_of_each_other(models: PartModels, turned: bool) -> None:
    if turned:
        models = turned_up(models)
    places = of_kinds(models, "oring", "seat", "key", "nut", "cover_oring", "cover_nut")
    laid = arrange_parts(models, places)
    with Studio(models, SMALL) as studio:
        assert seen_alone(studio, places, 0) < 0.9
        assert min(seen_alone(studio, laid, view) for view in range(4)) > 0.99
    assert filled(models, laid) > 0.5


@pytest.mark.parametrize("turned", [False, True])
def test_equal_units_on_a_bench_lie_beside_each_other_with_their_travels(
    models: PartModels, turned: bool
) -> None:
    models = turned_up(models) if turned else models
    rings = ("oring_drive", "oring_driven")
    move = Move(rings, (Leg((0.0, 0.0, -1.0)),))
    step = replace(
        sample_plan().steps[0], present=("seat_drive", "seat_driven"), moves=(move,), bench="seats"
    )
    with Studio(models, SMALL) as studio:
        scene, on_head = studio.scene(step), studio.travels(step)
        one = studio.scene(replace(step, present=("seat_drive", "key_driven")))
    right, up = np.cross(models.up, models.front), np.array(models.up)
    apart = np.subtract(scene.places["seat_driven"].shift, scene.places["seat_drive"].shift)
    assert abs(apart @ up) < 1e-9
    assert apart @ right > 0
    (travel,), (before,) = scene.travels, on_head
    for side in ("drive", "driven"):
        ring, seat = f"oring_{side}", f"seat_{side}"
        by = np.subtract(scene.places[seat].shift, models.parts[seat].place.shift)
        np.testing.assert_allclose(np.subtract(travel.seats[ring].shift, before.seats[ring].shift), by)
        np.testing.assert_allclose(np.subtract(travel.drawn[ring].shift, before.drawn[ring].shift), by)
        assert scene.places[ring] == travel.drawn[ring]
    assert before.seats["oring_drive"] == models.parts["oring_drive"].place, "on the assembly they stay"
    assert one.places["seat_drive"] == models.parts["seat_drive"].place, "unlike units stay too"


def test_a_heavy_pair_far_apart_is_brought_near_with_air_between(models: PartModels) -> None:
    places = of_kinds(models, "shaft")
    apart = {k: p.moved(*(5.0 * np.sign(p.shift[0]) * np.array([60.0, 0.0, 0.0]))) for k, p in places.items()}
    laid = arrange_parts(models, apart)
    (a0, a1), (b0, b1) = (models.parts[k].box(p) for k, p in laid.items())
    assert np.maximum(b0 - a1, a0 - b1).max() == pytest.approx(GAP * float((a1 - a0).max()), rel=1e-6)
    middle = np.mean([p.shift for p in apart.values()], axis=0)
    np.testing.assert_allclose(np.mean([p.shift for p in laid.values()], axis=0), middle, atol=1e-9)


def test_parts_that_are_near_already_stay_where_they_are(models: PartModels) -> None:
    places = of_kinds(models, "rotor")
    assert arrange_parts(models, places) == places


def test_many_kinds_lie_as_on_the_head(models: PartModels) -> None:
    places = {m.key: m.place for m in models}
    assert arrange_parts(models, places) == places


def test_what_lies_inside_is_drawn_out_to_be_seen(models: PartModels) -> None:
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


def test_parts_with_a_head_round_them_stand_in_their_places(models: PartModels) -> None:
    keys = tuple(models.parts)
    step = replace(sample_plan().steps[0], present=keys, moves=(), focus=keys[:3])
    with Studio(models, SMALL) as studio:
        assert studio.scene(step).places == {m.key: m.place for m in models}
