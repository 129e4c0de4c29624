"""What a picture does not show of its acts has a detail: from where it is seen, by itself, or cut open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from acts_samples import BACK, SMALL, act_assembly, make_wrench, on, step_with, wrench
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.surfaces import Surface
from benchleaf.render.composition.detail.details import (
    MOST,
    Detail,
    Looks,
    camera_of,
    details_of,
    drawn_in,
)
from benchleaf.render.composition.detail.targets import Looked, targets_of
from benchleaf.render.composition.picture_layout import EDGE, make_layout
from benchleaf.render.composition.views import StepScene, scene_points
from benchleaf.render.drawing.review import review_acts
from benchleaf.render.engine.camera import Camera, fit_camera, sensible_views
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Step
from sample_solids import solid_of

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
TOP = Surface("top", "face", (0.0, 0.0, 8.0), radius_mm=(0.0, 50.0))


def boxed() -> Assembly:
    """Return a block of 8 in a closed box of 30, whose walls are 5 thick."""
    block = solid_of(cq.Workplane("XY").box(8, 8, 8, centered=(True, True, False)))
    box = cq.Workplane("XY").box(30, 30, 30).cut(cq.Workplane("XY").box(20, 20, 20))
    parts = [
        Part("block", "block", "Block", "316L", block, Place.at(0, 0, -10), surfaces=(TOP,)),
        Part("box", "box", "Box", "316L", solid_of(box)),
    ]
    return Assembly("boxed", {p.key: p for p in parts})


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(act_assembly(), SMALL, None, make_wrench) as studio:
        yield studio


def make_pin(tool: str, measures: object) -> cq.Shape:
    """Return a tool that is all within the box."""
    return solid_of(cq.Workplane("XY").circle(2).extrude(5))


def camera_for(studio: Studio, scene: StepScene) -> Camera:
    return fit_camera(VIEW, scene_points(studio.models, scene), 4 / 3, EDGE)


def found(studio: Studio, step: Step) -> tuple[StepScene, Camera, list[Detail]]:
    """Return the details of all that a step names, whether the picture shows it or not."""
    scene = studio.scene(step)
    camera = camera_for(studio, scene)
    names = {t.name for t in targets_of(studio.models, scene)}
    return scene, camera, details_of(studio.stage, scene, camera, names)


def test_a_face_behind_is_looked_at_from_behind(studio: Studio) -> None:
    scene, camera, (detail,) = found(studio, step_with(on("clean", "plate", "rear face")))
    assert detail.view is not None
    assert detail.view.axes[2] @ np.array(BACK.direction) > 0.3
    places, close = drawn_in(scene, detail), camera_of(detail, camera)
    ids = studio.stage.ids(places, close, 128)
    (target,) = targets_of(studio.models, scene)
    assert Looked(studio.stage, places, ids, close, 0.32).share(target) >= 1.0


def test_faces_on_one_side_share_a_detail(studio: Studio) -> None:
    _, _, (detail,) = found(studio, step_with(on("clean", "plate", "seat", "front face")))
    assert {name[1] for name in detail.names} == {"seat", "front face"}
    assert detail.view is None, "nearer in the picture's own view, which shows both"


def test_what_is_shut_in_is_shown_by_itself_or_not_at_all() -> None:
    step = step_with(on("look", "block", "top"), present=("block", "box"), focus=("block",))
    with Studio(boxed(), SMALL) as studio:
        scene, _, (detail,) = found(studio, step)
        assert detail.shown == frozenset({"block"})
        assert set(drawn_in(scene, detail)) == {"block"}
        assert detail.radius_mm < 10.0, "as near as it fills its close-up"


def test_where_a_tool_touches_is_cut_open_with_the_tool_whole() -> None:
    step = step_with(
        on("tighten", "block", "top", tool="torque wrench"), present=("block", "box"), focus=("block",)
    )
    at = replace(wrench().at, part="block", surface="top")
    inside = replace(wrench(swing_deg=0.0), at=at, place=Place.at(0, 0, -2))
    with Studio(boxed(), SMALL, None, make_pin) as studio:
        scene = studio.scene(step, (inside,))
        (tool,) = scene.tools
        names = {t.name for t in targets_of(studio.models, scene) if t.tool}
        (detail,) = details_of(studio.stage, scene, camera_for(studio, scene), names)
        assert details_of(studio.stage, scene, camera_for(studio, scene), names, cut_aways=False) == []
        assert detail.seat is not None
        assert detail.tools == (tool.key,)
        manifest = render_step(studio, step, VIEW, "x", tools=(inside,)).manifest
    assert manifest.insets[-1].cut
    assert review_acts([manifest]) == []


def test_what_was_looked_at_is_not_drawn_again(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    scene = studio.scene(step_with(on("clean", "plate", "rear face")))
    camera, looks = camera_for(studio, scene), Looks()
    names = {t.name for t in targets_of(studio.models, scene)}
    first = details_of(studio.stage, scene, camera, names, cut_aways=False, looks=looks)
    assert first
    monkeypatch.setattr(studio.stage, "ids", lambda *_: pytest.fail("drawn again"))
    assert details_of(studio.stage, scene, camera, names, cut_aways=False, looks=looks) == first


def test_no_more_details_than_leave_room(studio: Studio) -> None:
    scene = studio.scene(
        step_with(on("look", "plate", "front face", "seat", "rear face"), on("look", "nut_1", "flats"))
    )
    layout = make_layout(studio.stage, scene, VIEW, SMALL)
    details = [c.detail for c in layout.close_ups if c.detail]
    assert 1 <= len(details) <= MOST
    assert len({d.names for d in details}) == len(details)


def test_a_picture_that_shows_all_has_no_detail(studio: Studio) -> None:
    layout = make_layout(
        studio.stage, studio.scene(step_with(on("look", "plate", "front face"))), VIEW, SMALL
    )
    assert [c.detail for c in layout.close_ups if c.detail] == []
