"""Arcs round what is turned stay whole; a turned shaft's stands at its end, and shows what is shut in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.turn_arcs import (
    COVERED,
    LEAD,
    PART_ARC_SHARES,
    Arc,
    draw_shaft_turns,
    fitted,
    reach_arc,
    shaft_arc,
)
from benchleaf.render.composition.views import StepScene, scene_points
from benchleaf.render.engine.camera import Camera, fit_camera, sensible_views
from benchleaf.render.engine.grid import Ids
from benchleaf.render.engine.material_styles import STRONG, colour_bytes
from benchleaf.render.pictures.studio import Studio
from PIL import Image
from sample_assembly import HALF, SMALL, sample_models, sample_plan

FRONT = np.array([0.0, 0.0, 1.0])
CLOSED = tuple(sample_models().parts)
OPEN = tuple(k for k in CLOSED if not k.startswith("cover"))


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def turned(studio: Studio, keys: tuple[str, ...], view: int = 0) -> tuple[StepScene, Ids, Camera]:
    """Return a step that turns the shafts with ``keys`` in place, and what is seen of it."""
    step = replace(sample_plan().steps[-1], present=keys, focus=(), shaft_turn_deg=360.0)
    scene = studio.scene(step)
    at = sensible_views(studio.models.front, studio.models.up)[view]
    camera = fit_camera(at, scene_points(studio.models, scene), 4 / 3)
    return scene, studio.stage.ids(scene.places, camera, 480), camera


def test_the_arc_stands_at_the_end_of_what_turns(studio: Studio) -> None:
    end = studio.models.parts["nut_drive"].box()[1][2]
    for keys in (CLOSED, OPEN):
        scene, ids, camera = turned(studio, keys)
        assert [t.point[0] for t in scene.turns] == pytest.approx([-HALF, HALF])
        for turn in scene.turns:
            assert turn.point[2] == pytest.approx(max(end, studio.models.parts["shaft_drive"].box()[1][2]))
            arc = shaft_arc(turn, ids, camera)
            np.testing.assert_allclose(arc.arc.centre, np.array(turn.point) + LEAD * turn.radius_mm * FRONT)


@pytest.mark.parametrize("disc", [False, True])
def test_the_arc_of_a_turned_part_at_the_edge_stays_whole(studio: Studio, disc: bool) -> None:
    step = next(s for s in sample_plan().steps if any(leg.turn_deg for m in s.moves for leg in m.legs))
    travel = next(t for t in studio.travels(step) if t.turn_deg)
    reach = reach_arc(studio.models, travel, travel.move.parts)
    view = sensible_views(studio.models.front, studio.models.up)[0]
    middle = (float(reach.centre[0]), float(reach.centre[1]), float(reach.centre[2]))

    def edge(camera: Camera, arc: Arc) -> float:
        at = camera.project(arc.ring(camera))[:, :2] - 0.5
        return float((np.linalg.norm(at, axis=1) if disc else np.abs(at)).max())

    free = Camera(view, middle, 8.0 * reach.radius_mm, 1.0)
    usual = fitted(reach, free, disc)
    assert usual.radius_mm == PART_ARC_SHARES[0] * reach.radius_mm
    tight = replace(free, height_mm=free.height_mm * edge(free, usual) * 2 * 0.95)  # the usual one is cut
    assert edge(tight, usual) > 0.5
    smaller = fitted(reach, tight, disc)
    assert PART_ARC_SHARES[-1] * reach.radius_mm <= smaller.radius_mm < usual.radius_mm
    assert edge(tight, smaller) < 0.5
    none = replace(free, height_mm=reach.radius_mm)
    assert fitted(reach, none, disc).radius_mm == usual.radius_mm


def test_an_open_shaft_has_its_arc_in_full_sight(studio: Studio) -> None:
    scene, ids, camera = turned(studio, OPEN)
    for turn in scene.turns:
        arc = shaft_arc(turn, ids, camera)
        assert not arc.inside
        ring = camera.project(arc.arc.ring(camera))
        x, y = (ring[:, :2] * (480, 360)).astype(int).T
        assert (ring[:, 2] < ids.near_mm[y, x]).mean() <= COVERED


def test_a_shaft_shut_in_is_told_by_dashes_and_its_axis_comes_out(studio: Studio) -> None:
    strong = {}
    for name, keys in (("closed", CLOSED), ("open", OPEN)):
        scene, ids, camera = turned(studio, keys)
        image = Image.new("RGB", (640, 480), "white")
        draw_shaft_turns(image, scene.turns, ids, camera)
        strong[name] = int((np.asarray(image) == colour_bytes(STRONG)).all(axis=2).sum())
        for turn in scene.turns:
            arc = shaft_arc(turn, ids, camera)
            assert arc.inside == (name == "closed")
            tip = camera.project((np.array(turn.point) + arc.axis_mm * FRONT)[None])[0]
            assert tip[2] > ids.near_mm[int(tip[1] * 360), int(tip[0] * 480)]
            if arc.inside:
                cover = studio.models.parts["cover"].box()[1][2]
                assert turn.point[2] + arc.axis_mm > cover
    assert strong["closed"] < 0.85 * strong["open"]


def test_a_stud_before_the_arc_makes_it_smaller(studio: Studio) -> None:
    scene, ids, camera = turned(studio, OPEN)
    turn = scene.turns[0]
    whole = shaft_arc(turn, ids, camera)
    ring = camera.project(whole.arc.ring(camera))
    near = ids.near_mm.copy()
    x, y = (ring[0:25, :2] * (480, 360)).astype(int).T
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            near[y + dy, x + dx] = ring[:25, 2] + 50.0
    smaller = shaft_arc(turn, replace(ids, near_mm=near), camera)
    assert smaller.arc.radius_mm < whole.arc.radius_mm
    assert not smaller.inside


def test_from_behind_the_axis_is_not_drawn_through_the_head(studio: Studio) -> None:
    scene, ids, camera = turned(studio, CLOSED, view=8)
    for turn in scene.turns:
        assert shaft_arc(turn, ids, camera).axis_mm < turn.radius_mm
