"""The stage shows each part where it is, in true size, and the same every time."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import cadquery as cq
import numpy as np
import pytest
import pyvista as pv
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.render.engine import actors
from benchleaf.render.engine.actors import surface_actor, surface_data
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.part_models import make_part_models
from benchleaf.render.engine.stage import Shown, Stage
from benchleaf.render.engine.window import Window
from sample_solids import solid_of
from vtkmodules.util.vtkConstants import VTK_OBJECT

FRONT = make_view("front", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
CAMERA = Camera(FRONT, (0.0, 0.0, 0.0), 40.0, 1.0)
GL_BLEND = 0x0BE2


@pytest.fixture(scope="module", name="stage")
def _stage() -> Iterator[Stage]:
    block = solid_of(cq.Workplane().box(20, 10, 6))
    ball = solid_of(cq.Workplane().sphere(5))
    parts = {
        "block": Part("block", "block", "Block", "316L", block),
        "ball": Part("ball", "ball", "Ball", "FKM", ball, Place.at(0, 0, 20)),
    }
    with Stage(make_part_models(Assembly("two", parts)), 200, 200) as stage:
        yield stage


def test_parts_are_seen_in_true_size_and_depth(stage: Stage) -> None:
    places = {k: m.place for k, m in stage.models.parts.items()}
    ids = stage.ids(places, CAMERA, 400)
    pixel = 40.0 / 400
    assert ids.mask(["ball"]).sum() * pixel**2 == pytest.approx(np.pi * 25, rel=0.01)
    assert ids.mask(["block"]).sum() * pixel**2 == pytest.approx(200 - np.pi * 25, rel=0.01)
    assert ids.near_mm[200, 200] == pytest.approx(25.0, abs=0.05)
    assert ids.near_mm[200, 110] == pytest.approx(3.0, abs=0.05)


def test_what_is_not_shown_is_not_seen(stage: Stage) -> None:
    ids = stage.ids({"block": Place()}, CAMERA, 100)
    assert ids.keys == ("block",)
    assert ids.part.max() == 0


def test_a_grid_larger_than_the_window_is_refused(stage: Stage) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        stage.ids({"block": Place()}, CAMERA, 5000)


def test_shaders_never_discard_and_nothing_is_mixed() -> None:
    """Either costs the software renderer a part of its time; what is drawn is not transparent."""
    found: list[str] = []

    def note(_: object, __: str, program: Any) -> None:
        found.append(program.GetFragmentShader().GetSource())

    note.CallDataType = VTK_OBJECT  # type: ignore[attr-defined]
    triangle = np.array([[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]])
    actor = surface_actor(surface_data(triangle, np.array([[0, 1, 2]], dtype=np.int32)))
    actor.GetMapper().AddObserver("UpdateShaderEvent", note)
    window = Window(40, 40, (1.0, 1.0, 1.0))
    try:
        window.renderer.AddActor(actor)
        window.aim(CAMERA, 100.0)
        window.render()
        assert not window.window.GetState().GetEnumState(GL_BLEND)
    finally:
        window.close()
    live = [re.sub(r"//.*|if \(false\)\s*\{\s*discard;\s*\}", "", source) for source in found]
    assert live
    assert [source for source in live if "discard" in source] == []


def test_a_picture_is_the_same_every_time(stage: Stage) -> None:
    shown = {k: Shown(m.place, "plain") for k, m in stage.models.parts.items()}
    first = stage.draw(shown, CAMERA)
    stage.draw({"ball": Shown(Place(), "moving")}, CAMERA)
    np.testing.assert_array_equal(first, stage.draw(shown, CAMERA))


def test_the_ground_is_white_and_the_moving_part_strong(stage: Stage) -> None:
    image = stage.draw({"ball": Shown(Place(), "moving")}, CAMERA)
    assert (image[:20, :20] == 255).all()
    red, green, blue = image[200, 200].tolist()
    assert blue > green > red
    assert blue - red > 90


def test_tiles_make_the_same_picture_as_one_window(stage: Stage) -> None:
    shown = {k: Shown(m.place, "plain") for k, m in stage.models.parts.items()}
    tiled = stage.draw(shown, CAMERA, (360, 360)).astype(int)
    with Stage(stage.models, 360, 360) as large:
        whole = large.draw(shown, CAMERA, page_width=360).astype(int)
    assert tiled.shape == whole.shape == (720, 720, 3)
    # Whether a pixel on the border of a line belongs to it may differ, nothing else.
    assert (np.abs(tiled - whole).max(axis=2) > 8).mean() < 0.005


def test_a_pane_is_drawn_beside_other_work_and_is_that_part_of_the_picture(stage: Stage) -> None:
    shown = {k: Shown(m.place, "plain") for k, m in stage.models.parts.items()}
    whole = stage.draw(shown, CAMERA).astype(int)
    box = (60, 40, 150, 170)
    pixels = stage.start(shown, CAMERA, (200, 200), box, 200)
    stage.ids({k: s.place for k, s in shown.items()}, CAMERA, 150)  # measured before the picture is read
    stage.mask({"ball": Place.at(0, 0, 20)}, CAMERA, 60)
    pane = pixels().astype(int)
    part = whole[2 * box[1] : 2 * box[3], 2 * box[0] : 2 * box[2]]
    assert pane.shape == part.shape
    # Whether a pixel on the border of a line belongs to it may differ, nothing else.
    assert (np.abs(pane - part).max(axis=2) > 8).mean() < 0.005
    np.testing.assert_array_equal(pane, stage.start(shown, CAMERA, (200, 200), box, 200)())


def test_what_looks_away_is_left_out_and_nothing_is_missing(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same picture as of surfaces drawn from both sides."""
    mesh = stage.models.parts["ball"].mesh
    assert surface_actor(surface_data(mesh.points, mesh.triangles)).GetProperty().GetBackfaceCulling()

    def from_both_sides(data: pv.PolyData) -> Any:
        actor = surface_actor(data)
        actor.GetProperty().BackfaceCullingOff()
        return actor

    monkeypatch.setattr(actors, "surface_actor", from_both_sides)
    low = make_view("", 30.0, -20.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    shown = {k: Shown(m.place, "plain") for k, m in stage.models.parts.items()}
    with Stage(stage.models, 200, 200) as both_sides:
        for view in (FRONT, low):
            camera = Camera(view, (0.0, 0.0, 8.0), 40.0, 1.0)
            drawn, whole = (s.draw(shown, camera) for s in (stage, both_sides))
            assert (drawn != whole).any(axis=2).sum() <= 2


def test_lines_can_be_closed_twice_and_leave_nothing(stage: Stage) -> None:
    extra = Stage(stage.models, 40, 40)
    extra.draw({"ball": Shown(Place())}, CAMERA)
    extra.close()
    extra.close()


def test_drawing_says_nothing_on_stderr() -> None:
    code = (
        "import cadquery as cq\n"
        "from benchleaf.geometry.assembly import Assembly, Part\n"
        "from benchleaf.render.engine.part_models import make_part_models\n"
        "from benchleaf.render.engine.stage import Shown, Stage\n"
        "from benchleaf.render.engine.camera import Camera, make_view\n"
        "a = Assembly('a', {'b': Part('b', 'b', 'B', '316L', cq.Workplane().box(1, 1, 1).val())})\n"
        "v = make_view('', 0, 0, (0, 0, 1), (0, 1, 0))\n"
        "with Stage(make_part_models(a), 20, 20) as stage:\n"
        "    stage.draw({'b': Shown(a.part('b').place)}, Camera(v, (0, 0, 0), 2, 1))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=120)
    assert done.stderr == b""
