"""Targets: what acts name and how much of it is in sight; equal ones share a name, and so do many numbered ones."""

from __future__ import annotations

import pytest
from acts_samples import SMALL, act_assembly, make_wrench, on, step_with, wrench
from benchleaf.render.composition.detail.targets import MARGIN, Looked, targets_of
from benchleaf.render.composition.views import scene_points
from benchleaf.render.drawing.review import LEAST_ZONE
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


def test_equal_surfaces_share_a_name_and_the_best_seen_counts() -> None:
    step = step_with(on("look", "nut_1", "flats"), on("look", "nut_2", "flats"), on("clean", "plate", "seat"))
    with Studio(act_assembly(), SMALL) as studio:
        scene = studio.scene(step)
        targets = targets_of(studio.models, scene)
        camera = fit_camera(VIEW, scene_points(studio.models, scene), 4 / 3)
        ids = studio.stage.ids(scene.places, camera, 320)
        looked = Looked(studio.stage, scene.places, ids, camera, 1.0)
        assert [t.name for t in targets] == [("nut", "flats", "look")] * 2 + [("plate", "seat", "clean")]
        best = looked.best(targets)
        shares = [looked.share(t) for t in targets]
    assert best == {("nut", "flats", "look"): max(shares[:2]), ("plate", "seat", "clean"): shares[2]}


def test_a_share_is_that_of_the_pixels_that_the_manifest_tells() -> None:
    step = step_with(on("clean", "plate", "seat"))
    with Studio(act_assembly(), SMALL) as studio:
        manifest = render_step(studio, step, VIEW, "x").manifest
        scene = studio.scene(step)
        camera = fit_camera(VIEW, scene_points(studio.models, scene), 4 / 3, 0.045)
        (target,) = targets_of(studio.models, scene)
        ids = studio.stage.ids(scene.places, camera, 400)
        share = Looked(studio.stage, scene.places, ids, camera, 1.0).share(target)
    assert manifest.camera.centre == pytest.approx(camera.centre)
    least = LEAST_ZONE * manifest.width * manifest.height
    assert share * MARGIN == pytest.approx(manifest.zones[0].seen_px / least, rel=0.02)


def test_a_tool_is_a_target_where_it_touches_and_is_told_as_hidden() -> None:
    step = step_with(on("tighten", "nut_1", "hexagon", tool="torque wrench"))
    with Studio(act_assembly(), SMALL, None, make_wrench) as studio:
        scene = studio.scene(step, (wrench(),))
        (target,) = targets_of(studio.models, scene)
        assert target.surface == "hexagon"
        camera = fit_camera(VIEW, scene_points(studio.models, scene), 4 / 3)
        ids = studio.stage.ids(scene.places, camera, 320)
        assert Looked(studio.stage, scene.places, ids, camera, 1.0).share(target) >= 1.0
        parts = studio.stage.ids(scene.parts, camera, 320)
        assert Looked(studio.stage, scene.parts, parts, camera, 1.0).share(target) == 0.0
