"""Arrows of pull and push: where the handle goes, on which side, inside the picture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from acts_samples import SMALL, act_assembly, make_wrench, wrench
from benchleaf.geometry.frame import Place
from benchleaf.render.acts.tool_arrows import MARGIN, push_line, swing_arc
from benchleaf.render.acts.tools_drawn import ToolDrawn, drawn_tool, tool_key
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.studio import models_of
from benchleaf.render.pictures.tool_models import tool_model
from benchleaf.sequences.reach.tool_places import ToolInPlace
from benchleaf.sequences.steps.operations import Operation

FRONT = make_view("front", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
CAMERA = Camera(FRONT, (0.0, 0.0, 5.0), 160.0, 4 / 3)


def drawn(tool: ToolInPlace) -> tuple[PartModels, ToolDrawn]:
    models = models_of(act_assembly(), SMALL)
    models.tools[tool_key(tool)] = tool_model(tool_key(tool), tool, make_wrench)
    return models, drawn_tool(tool, [Operation("tighten")], lambda _: Place(), 0.0)


@pytest.mark.parametrize("swing", [60.0, -60.0])
def test_the_arc_goes_the_way_of_the_swing_about_the_nut(swing: float) -> None:
    models, tool = drawn(wrench(swing_deg=swing))
    arc = swing_arc(models, tool, CAMERA)[:, :2]
    x, y, _ = CAMERA.project(np.array(tool.place.shift))[0]
    away = (arc - (x, y)) * (CAMERA.width_mm, -CAMERA.height_mm)
    radius = np.linalg.norm(away, axis=1)
    assert radius.min() == pytest.approx(radius.max()), "seen from its axis it is a circle"
    turned = np.degrees(np.unwrap(np.arctan2(away[:, 1], away[:, 0])))
    assert turned[-1] - turned[0] == pytest.approx(0.88 * swing)
    assert np.abs(arc - 0.5).max() < 0.5


@pytest.mark.parametrize("aside", [-0.4, 0.0, 0.4])
@pytest.mark.parametrize("swing", [30.0, -30.0])
def test_the_arc_and_its_head_stay_in_the_picture(aside: float, swing: float) -> None:
    """Also of a nut at the very border, where no arc of the usual radii finds room."""
    models, tool = drawn(wrench(swing_deg=swing))
    x, y, _ = tool.place.shift
    wide = 60.0
    camera = replace(CAMERA, centre=(x + aside * wide, y + 8.0, 5.0), height_mm=wide / CAMERA.aspect)
    arc = swing_arc(models, tool, camera)
    assert len(arc) >= 20
    assert np.abs(arc[:, :2] - 0.5).max() <= 0.5 - MARGIN


def test_a_push_ends_at_the_tool_and_a_pull_begins_there() -> None:
    view = make_view("right", 90.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    camera = Camera(view, (0.0, 0.0, 5.0), 160.0, 4 / 3)
    for way, at_tool in ((-30.0, 1), (30.0, 0)):
        models, tool = drawn(replace(wrench(swing_deg=0.0), travel=(0.0, 0.0, way)))
        ends = push_line(models, tool, camera)
        x, _, _ = camera.project(np.array([-30.0, 20.0, 18.0 + 20.0]))[0]
        assert ends[at_tool, 0] == pytest.approx(x)
        assert (ends[1, 0] - ends[0, 0]) * camera.width_mm == pytest.approx(-way)
