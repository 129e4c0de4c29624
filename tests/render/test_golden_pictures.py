"""Small golden pictures of the main kinds, on one pinned set-up: Linux, EGL, and the versions of the test extra.

On another system they are skipped, with the reason, and pictures are tested by meaning only. On Linux they never are:
with other versions, or in another kind of window, they fail and say so.

The tolerance: at most 1 in 100 pixels may differ by more than 40 of 255 levels in a channel, and all of them by 1.5 on
average. It lets pass what another processor rounds differently at the border of a line, and nothing one would see.
After a wanted change make them anew with ``BENCHLEAF_NEW_GOLDEN=1`` set, and look at each.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Mapping
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
from declared import installed, pinned
from PIL import Image
from sample_assembly import sample_models, sample_plan

FOLDER = Path(__file__).parents[1] / "golden"
KINDS = ("rotor", "nut", "cover_nuts", "cut-away", "turned", "overview")
WINDOW = "vtkEGLRenderWindow"
SIZE = PictureSettings(
    width=400, height=300, overview_width=560, overview_height=380, measure_width=400, formats=("png",)
)
VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


def why_skipped(system: str) -> str:
    """Return why golden pictures say nothing on a system, empty where they do."""
    return "" if system == "linux" else f"golden pictures are drawn on Linux, this is {system}"


def other_set_up(versions: Mapping[str, str], window: str) -> list[str]:
    """Return in what a set-up on Linux is not the one on which the pictures were drawn."""
    found = [f"{n} {versions[n]} where {v} is pinned" for n, v in pinned().items() if versions[n] != v]
    return found if window == WINDOW else [*found, f"{window} where {WINDOW} is pinned: unset DISPLAY"]


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    assert other_set_up(installed(pinned()), ensure_graphics()) == []
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


@pytest.mark.skipif(bool(why_skipped(sys.platform)), reason=why_skipped(sys.platform))
@pytest.mark.parametrize("kind", KINDS)
def test_picture_is_as_it_was(studio: Studio, kind: str) -> None:
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


def test_every_golden_picture_is_compared() -> None:
    assert {p.stem for p in FOLDER.glob("*.png")} == set(KINDS)


def test_none_is_skipped_on_the_pinned_set_up() -> None:
    assert why_skipped("linux") == ""
    assert why_skipped("darwin") == "golden pictures are drawn on Linux, this is darwin"
    assert other_set_up(pinned(), WINDOW) == []


def test_another_set_up_is_named() -> None:
    assert other_set_up(pinned() | {"vtk": "9.1.0"}, WINDOW) == [
        f"vtk 9.1.0 where {pinned()['vtk']} is pinned"
    ]
    assert other_set_up(pinned(), "vtkXOpenGLRenderWindow")[0].startswith("vtkXOpenGLRenderWindow where")
