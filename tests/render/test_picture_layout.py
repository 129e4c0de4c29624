"""A step's picture is as large as can be, with room for its close-ups; they lie clear of what moves."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.detail.framings import SHRINK
from benchleaf.render.composition.picture_layout import EDGE, frame_box, make_layout
from benchleaf.render.composition.views import scene_points
from benchleaf.render.drawing.insets import RADII
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Step
from sample_assembly import SMALL, sample_models, sample_plan

ASPECT = 4 / 3
VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


@pytest.mark.parametrize("step", sample_plan().steps[:-1], ids=lambda s: s.id)
def test_close_ups_lie_in_frame_clear_of_what_moves(studio: Studio, step: Step) -> None:
    scene = studio.scene(step)
    layout = make_layout(studio.stage, scene, VIEW, SMALL)
    whole = fit_camera(VIEW, scene_points(studio.models, scene), ASPECT, EDGE)
    assert layout.camera.view == VIEW
    shrunk = whole.height_mm / layout.camera.height_mm
    assert any(shrunk == pytest.approx(s) for s in (1.0, *SHRINK))
    assert shrunk == pytest.approx(1.0) or layout.close_ups, "never drawn smaller for nothing"
    points = layout.camera.project(scene_points(studio.models, scene))[:, :2]
    assert points.min() > 0
    assert points.max() < 1
    for close_up in layout.close_ups:
        disc = close_up.disc
        assert disc.radius <= disc.centre[0] <= 1 - disc.radius
        assert disc.radius * ASPECT <= disc.centre[1] <= 1 - disc.radius * ASPECT
        ids = studio.stage.ids(scene.places, layout.camera, 320)
        rows, columns = np.nonzero(ids.mask(scene.keys))
        x, y = (columns + 0.5) / 320, (rows + 0.5) / 240
        away = np.hypot(x - disc.centre[0], (y - disc.centre[1]) / ASPECT)
        assert away.min() > disc.radius - 0.01


def test_large_parts_in_plain_sight_need_no_close_up(studio: Studio) -> None:
    scene = studio.scene(next(s for s in sample_plan().steps if s.id == "body"))
    layout = make_layout(studio.stage, scene, VIEW, SMALL)
    assert layout.close_ups == ()
    assert layout.camera == fit_camera(VIEW, scene_points(studio.models, scene), ASPECT, EDGE)


def test_the_box_of_parts_in_the_frame_holds_them_and_no_more(studio: Studio) -> None:
    models = studio.models
    camera = fit_camera(VIEW, np.concatenate([m.place.points(m.mesh.points) for m in models]), ASPECT)
    keys = ["rotor_drive", "rotor_driven"]
    left, top, right, foot = frame_box(models.parts, {k: models.parts[k].place for k in keys}, keys, camera)
    ids = studio.stage.ids({k: models.parts[k].place for k in keys}, camera, 800)
    rows, columns = np.nonzero(ids.mask(keys))
    found = (columns.min() / 800, rows.min() / 600, (columns.max() + 1) / 800, (rows.max() + 1) / 600)
    np.testing.assert_allclose((left, top, right, foot), found, atol=0.004)


@pytest.mark.parametrize("name", ["oring", "cover_nuts"])
def test_a_tall_scene_makes_room_for_a_large_close_up_without_being_drawn_smaller(name: str) -> None:
    step = next(s for s in sample_plan().steps if s.id == name)
    with Studio(replace(sample_models(), up=(1.0, 0.0, 0.0)), SMALL) as studio:
        scene = studio.scene(step)
        view = sensible_views(studio.models.front, studio.models.up)[0]
        points = scene_points(studio.models, scene)
        whole = fit_camera(view, points, ASPECT, EDGE)
        layout = make_layout(studio.stage, scene, view, replace(SMALL, cut_aways=False))
    (close_up,) = layout.close_ups
    assert layout.camera.height_mm == whole.height_mm
    assert layout.camera.centre != whole.centre
    assert close_up.disc.radius == max(RADII)
    at = layout.camera.project(points)[:, :2]
    assert at.min() > 0.02
    assert at.max() < 0.98
    disc = close_up.disc
    left = min(at[:, 0].min(), disc.centre[0] - disc.radius)
    right = max(at[:, 0].max(), disc.centre[0] + disc.radius)
    assert left + right == pytest.approx(1.0, abs=0.02), "together they lie in the middle"
    of = scene.places[close_up.subject[0]].points(
        studio.models.parts[close_up.subject[0]].mesh.extreme_points
    )
    x, y, _ = (layout.camera.project(of).min(axis=0) + layout.camera.project(of).max(axis=0)) / 2
    assert math.hypot(x - disc.of_centre[0], (y - disc.of_centre[1]) / ASPECT) < disc.of_radius
