"""Small golden pictures of the main kinds, on one pinned set-up; elsewhere pictures are tested by meaning only.

The tolerance: at most 1 in 100 pixels may differ by more than 40 of 255 levels in a channel, and all of them by 1.5 on
average. It lets pass what another processor rounds differently at the border of a line, and nothing one would see.
After a wanted change make them anew with ``BENCHLEAF_NEW_GOLDEN=1`` set, and look at each.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.engine.gl_probe import ensure_graphics
from benchleaf.render.pictures.overview import render_overview_with
from benchleaf.render.pictures.step_pictures import Picture, Studio, render_step
from benchleaf.sequences.steps.plan import Step
from PIL import Image
from sample_assembly import sample_models, sample_plan
from vtkmodules.vtkCommonCore import vtkVersion

FOLDER = Path(__file__).parents[1] / "golden"
PINNED = ("linux", "9.6", "vtkEGLRenderWindow")
SIZE = PictureSettings(
    width=400, height=300, overview_width=560, overview_height=380, measure_width=400, formats=("png",)
)
VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


def _set_up() -> tuple[str, str, str]:
    version = vtkVersion.GetVTKVersion().rsplit(".", 1)[0]
    return sys.platform, version, ensure_graphics()


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SIZE) as studio:
        yield studio


def _step(name: str) -> Step:
    return next(s for s in sample_plan().steps if s.id == name)


def _take(studio: Studio, kind: str) -> Picture:
    if kind == "overview":
        return render_overview_with(studio, kind, sample_plan().given)
    if kind == "cut-away":
        seat = _step("seat")
        keys = ("seat_drive", "seat_driven")
        look = replace(seat, moves=(), focus=keys, present=(*seat.present, "body", *keys))
        return render_step(studio, look, VIEW, kind)
    if kind == "turned":
        return render_step(studio, replace(_step("check"), shaft_turn_deg=360.0), VIEW, kind)
    return render_step(studio, _step(kind), VIEW, kind)


@pytest.mark.parametrize("kind", ["rotor", "nut", "cover_nuts", "cut-away", "turned", "overview"])
def test_picture_is_as_it_was(studio: Studio, kind: str) -> None:
    if _set_up() != PINNED:
        pytest.skip(f"golden pictures are for {PINNED}, this is {_set_up()}")
    data = _take(studio, kind).content["png"]
    path = FOLDER / f"{kind}.png"
    if os.environ.get("BENCHLEAF_NEW_GOLDEN"):
        path.write_bytes(data)
    with Image.open(io.BytesIO(data)) as now, Image.open(path) as then:
        assert now.size == then.size
        apart = np.abs(
            np.asarray(now.convert("RGB")).astype(int) - np.asarray(then.convert("RGB")).astype(int)
        )
    assert (apart.max(axis=2) > 40).mean() < 0.01
    assert apart.mean() < 1.5
