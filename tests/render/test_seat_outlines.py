"""The outline of a part at its seat is drawn where the seat is in sight, and never over metal that stands before it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.views import scene_points
from benchleaf.render.engine.camera import Camera, fit_camera, sensible_views
from benchleaf.render.engine.stage import Shown
from benchleaf.render.pictures.frames import draw_ghosts, seat_depths, take_frame
from benchleaf.render.pictures.kept_pictures import FILM
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Step
from numpy.typing import NDArray
from PIL import Image, ImageSequence
from sample_assembly import SMALL, sample_models, sample_plan

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
STEPS = {s.id: s for s in sample_plan().steps}


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def _camera(studio: Studio, step: Step) -> Camera:
    return fit_camera(VIEW, scene_points(studio.models, studio.scene(step)), SMALL.width / SMALL.height)


@pytest.mark.parametrize("name", ["rotor", "nut", "seat"])
def test_only_what_is_in_sight_of_a_seat_is_outlined(studio: Studio, name: str) -> None:
    step = STEPS[name]
    scene, camera = studio.scene(step), _camera(studio, step)
    seats = {f"at home {k}": p for t in scene.travels for k, p in t.seats.items()}
    ids = studio.stage.ids(scene.places, camera, 320)
    depths = seat_depths(studio.stage, scene, camera, 320)
    assert depths is not None
    behind = depths.behind(ids)
    # With the seats put among the other parts, what shows of them is in sight, and no more than their border is lost.
    models = [replace(studio.models.parts[k.removeprefix("at home ")], key=k) for k in seats]
    studio.stage.add_models(models)
    try:
        both = studio.stage.ids({**scene.places, **seats}, camera, 320)
        alone = studio.stage.mask(seats, camera, 320)
    finally:
        studio.stage.remove_models()
    in_sight = both.mask(tuple(seats))
    hidden = alone & ~in_sight & ~both.mask(scene.keys)
    assert hidden.sum() > 20, "something of the seat is out of sight"
    assert behind[hidden].mean() > 0.9
    assert behind[in_sight].mean() < 0.1


def test_a_seat_inside_closed_metal_leaves_no_line(studio: Studio) -> None:
    """Nuts go on behind nothing; a seat that the cover hides altogether shows in no pixel."""
    step, shut = STEPS["nut"], STEPS["check"]
    scene, camera = studio.scene(step), _camera(studio, shut)
    places = {**studio.scene(shut).places, **{k: p for t in scene.travels for k, p in t.drawn.items()}}
    shown = {k: Shown(p) for k, p in places.items()}
    covered = replace(scene, places=places)
    bare = take_frame(studio.stage, replace(covered, travels=()), shown, camera, SMALL)
    ghosts = draw_ghosts(studio.stage, covered, camera, (SMALL.width, SMALL.height), SMALL.width)
    assert ghosts is not None
    depths = seat_depths(studio.stage, covered, camera, bare.ids.part.shape[1])
    assert depths is not None
    behind = depths.behind(bare.ids)
    through, kept = bare.image.copy(), bare.image.copy()
    ghosts.draw(through, bare.ids.mask(scene.keys))
    ghosts.draw(kept, bare.ids.mask(scene.keys) | behind)
    assert _differ(through, bare.image) > 30, "without the test of depth it would be drawn through the cover"
    assert _differ(kept, bare.image) == 0


def _differ(one: Image.Image, other: Image.Image) -> int:
    return int((np.asarray(one) != np.asarray(other)).any(axis=2).sum())


def test_films_leave_out_what_of_a_seat_is_out_of_sight_too(
    studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The film differs from one drawn without the test of depth, and only by lines that it does not have."""
    with Studio(sample_models(), SMALL) as own:
        kept = _frames(render_step(own, STEPS["seat"], VIEW, "kept").content[FILM])
    monkeypatch.setattr("benchleaf.render.pictures.short_films.seat_depths", lambda *_: None)
    through = _frames(render_step(studio, STEPS["seat"], VIEW, "through").content[FILM])
    assert len(kept) == len(through)
    changed = np.abs(kept[0] - through[0]).max(axis=2) > 20
    assert changed.sum() > 40
    darker = through[0][:, :, 0] < kept[0][:, :, 0]
    assert darker[changed].mean() > 0.8, "lines are left out, none is put in"


def _frames(film: bytes) -> list[NDArray[np.int64]]:
    with Image.open(io.BytesIO(film)) as opened:
        return [np.asarray(f.convert("RGB")).astype(np.int64) for f in ImageSequence.Iterator(opened)]
