"""Views are chosen by what they show: small parts looked at closely, the view kept that the reader knows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.surfaces import Surface
from benchleaf.render.acts.tools_drawn import OrderMark
from benchleaf.render.acts.zones import Aim
from benchleaf.render.composition.views import StepScene, ViewChooser, outline_seen, scene_points
from benchleaf.render.drawing.measure import measure_visible
from benchleaf.render.engine.camera import bench_views, fit_camera, make_view
from benchleaf.render.pictures.step_pictures import choose_views, render_step
from benchleaf.render.pictures.studio import Studio
from sample_assembly import SMALL, sample_models, sample_plan
from sample_solids import solid_of

ASPECT = SMALL.width / SMALL.height
STEPS = {s.id: s for s in sample_plan().steps}


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def scene_of(studio: Studio, name: str) -> StepScene:
    return studio.scene(next(s for s in sample_plan().steps if s.id == name))


def test_a_small_part_is_known_to_be_hidden_by_what_stands_before_it() -> None:
    """Bars nearly cover a small block, or nothing does: a few pixels of either look much alike."""
    plate = solid_of(cq.Workplane().box(200, 200, 4))
    block = solid_of(cq.Workplane().box(5, 5, 5).translate((0, 0, 20)))
    bars = solid_of(cq.Workplane().box(40, 60, 6).translate((0, -20, 33)))
    solids = {"plate": plate, "block": block, "bars": bars}
    parts = {k: Part(k, k, k, "steel", s) for k, s in solids.items()}
    with Studio(Assembly("hidden", parts), SMALL) as studio:
        chooser = ViewChooser(studio.stage, SMALL.width / SMALL.height)
        shares = []
        for view in chooser.views:
            scene = StepScene({k: Place() for k in parts}, (("block",),), ())
            corners = np.array([(x, y, z) for x in (-3.0, 3) for y in (-3, 3) for z in (17, 23)])
            camera = fit_camera(view, corners, 1.0)
            ids = studio.stage.ids(scene.places, camera, 480)
            truth = measure_visible(studio.stage, ids, scene.places, scene.wanted, camera)["block"]
            assert chooser.visibility(scene, view) == pytest.approx(truth, abs=0.05), view.name
            shares.append(truth)
        assert min(shares) < 0.1, "some views hide it"
        assert max(shares) > 0.7, "and some do not"
        held = chooser.views[int(np.argmin(shares))]
        chosen = chooser.choose_for_step(scene, held, SMALL.hold_above)
        assert shares[chooser.views.index(chosen)] > 0.7


def test_lines_within_a_part_do_not_make_up_for_what_is_hidden_of_it() -> None:
    """Of a large screw behind a wall only its head is seen, and that is full of lines."""
    head = cq.Workplane().circle(12).extrude(14)
    for x, y in ((-6, 0), (6, 0), (0, -6), (0, 6)):
        head = head.cut(cq.Workplane(origin=(x, y, 2)).polygon(6, 5).extrude(12))
    screw = solid_of(head.union(cq.Workplane(origin=(0, 0, -70)).circle(10).extrude(70)))
    wall = solid_of(
        cq.Workplane().box(110, 110, 6).cut(cq.Workplane(origin=(0, 0, -5)).circle(13).extrude(10))
    )
    parts = {k: Part(k, k, k, "steel", s) for k, s in (("screw", screw), ("wall", wall))}
    with Studio(Assembly("behind", parts), SMALL) as studio:
        chooser, view = ViewChooser(studio.stage, ASPECT), make_view("f", 20, 20, (0, 0, 1), (0, 1, 0))
        scene = StepScene({"screw": Place.at(0, 0, -8), "wall": Place()}, (("screw",),), ())
        camera = fit_camera(view, scene_points(studio.models, scene), ASPECT)
        ids = studio.stage.ids(scene.places, camera, 480)
        truth = measure_visible(studio.stage, ids, scene.places, scene.wanted, camera)["screw"]
        quick = outline_seen(studio.models.parts, ids, scene.places, ("screw",), camera)
        assert truth < 0.5 < quick, "the silhouette's own lines mislead"
        assert chooser.visibility(scene, view) == pytest.approx(truth, abs=0.08)


def test_what_is_worked_in_an_order_is_seen_one_by_one() -> None:
    """Two equal nuts, one behind a wall: one seen is enough, but not where both carry their number."""
    nut = solid_of(cq.Workplane().polygon(6, 20).extrude(8))
    wall = solid_of(cq.Workplane().box(60, 60, 60))
    face = Surface("top", "face", (0.0, 0.0, 8.0), (0.0, 0.0, 1.0), radius_mm=(0.0, 8.0))
    parts = {
        "near": Part("near", "nut", "Nut", "steel", nut, surfaces=(face,)),
        "far": Part("far", "nut", "Nut", "steel", nut, surfaces=(face,)),
        "wall": Part("wall", "wall", "Wall", "steel", wall),
    }
    with Studio(Assembly("order", parts), SMALL) as studio:
        view = make_view("f", 30, 20, (0, 0, 1), (0, 1, 0))
        eye = view.axes[2] * 80.0
        places = {
            "near": Place.at(60.0, 0, 0),
            "far": Place.at(-60.0, 0, 0),
            "wall": Place.at(-60.0 + eye[0], eye[1], eye[2]),
        }
        aims = tuple(Aim(k, face) for k in ("near", "far"))
        scene = StepScene(places, (("near",), ("far",)), (), aims=aims)
        marks = (OrderMark("1", "near", (0.0, 0.0, 0.0)), OrderMark("2", "far", (0.0, 0.0, 0.0)))
        chooser = ViewChooser(studio.stage, ASPECT)
        assert chooser.visibility(scene, view) > 0.9
        assert chooser.visibility(replace(scene, marks=marks), view) < 0.25


def test_the_quick_measure_of_a_silhouette_agrees_with_the_thorough_one(studio: Studio) -> None:
    chooser = ViewChooser(studio.stage, ASPECT)
    for name in ("rotor", "cover"):
        scene = scene_of(studio, name)
        for view in chooser.views[::3]:
            camera = fit_camera(view, scene_points(studio.models, scene), ASPECT)
            ids = studio.stage.ids(scene.places, camera, 480)
            for group in scene.wanted:
                quick = outline_seen(studio.models.parts, ids, scene.places, group, camera)
                thorough = measure_visible(studio.stage, ids, scene.places, [group], camera)[group[0]]
                assert quick == pytest.approx(thorough, abs=0.15), (name, view.name)


def test_the_view_that_the_reader_knows_is_kept_unless_another_is_much_better(studio: Studio) -> None:
    chooser = ViewChooser(studio.stage, ASPECT)
    scene = scene_of(studio, "rotor")
    best = max(chooser.score(scene, v) for v in chooser.views)
    good = [v for v in chooser.views if chooser.score(scene, v) == best and v.axes[2] @ np.array(v.up) > 0]
    for view in good[:4]:
        assert chooser.choose([scene], view) == view
        assert chooser.choose_for_step(scene, view, 0.0) == view
    behind = next(v for v in chooser.views if v.axes[2] @ np.array(studio.models.front) < 0)
    assert chooser.choose_for_step(scene, behind, 0.0) != behind, (
        "nothing comes from behind what it goes onto"
    )


def test_the_worst_shown_step_of_a_section_counts_most(studio: Studio) -> None:
    chooser = ViewChooser(studio.stage, ASPECT)
    scenes = [scene_of(studio, n) for n in ("key", "key2")]
    chosen = chooser.choose(scenes)
    worst = {v: min(chooser.score(s, v) for s in scenes) for v in chooser.views}
    assert worst[chosen] >= max(worst.values()) - 0.25


def test_without_anything_wanted_all_is_seen(studio: Studio) -> None:
    chooser = ViewChooser(studio.stage, ASPECT)
    scene = replace(scene_of(studio, "body"), wanted=())
    assert chooser.visibility(scene, chooser.views[0]) == 1.0


@pytest.mark.parametrize("side", ["front", "rear"])
def test_what_lies_on_a_bench_lies_in_its_picture_as_its_step_says(
    studio: Studio, side: Literal["front", "rear"]
) -> None:
    """That side is up on the page and in sight, whichever way round it sits on the head."""
    lying = replace(STEPS["cover_oring"], bench="unit", up=side, present=("cover",))
    plan = replace(sample_plan(), steps=(STEPS["body"], lying, STEPS["rotor"]))
    views = choose_views(studio, plan)
    up = np.array([0.0, 0.0, 1.0 if side == "front" else -1.0])
    picture = render_step(studio, lying, views[1], "lying").manifest.camera
    np.testing.assert_allclose(picture.up, up)
    assert 0.5 < float(np.array(picture.direction) @ up) < 0.9, "seen from above, not from straight above"
    assert all(v.up == studio.models.up for v in (views[0], views[2])), (
        "on the head again, it stands as before"
    )
    assert float(views[1].axes[0] @ (1.0, 0.0, 0.0)) > 0.5, "right stays right"
    for view in bench_views((0.0, 0.0, -1.0), (1.0, 0.0, 0.0)):
        assert view.up == (0.0, 0.0, -1.0)
        assert view.direction[2] < -0.5
