"""Of the ways to look at a pair the one is taken in which right and wrong differ most; sections open what is hidden."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Place
from benchleaf.render.composition.pair_views import (
    Candidates,
    PairScene,
    changed_share,
    clearest,
    close_up_of_section,
    pair_camera,
    section_candidates,
    whole_candidates,
)
from benchleaf.render.engine.section_views import cut_face, remaining_points
from benchleaf.render.engine.stage import Stage
from sample_assembly import sample_models

MODELS = sample_models()
HOME = {m.key: m.place for m in MODELS}


def scene(key: str, wrong: Place | None, *around: str) -> PairScene:
    """Return a pair with one part in its place, and elsewhere or missing."""
    places = {k: HOME[k] for k in around}
    return PairScene("pair", "step", 1, {key: HOME[key]}, {} if wrong is None else {key: wrong}, places)


OPEN = scene("rotor_drive", HOME["rotor_drive"] @ Place.turn(45.0), "shaft_drive")
SHUT = scene(
    "oring_drive", HOME["oring_drive"].moved(0, 0, 2.5), "seat_drive", "shaft_drive", "body", "housing"
)


@contextmanager
def on_stage(*candidates: Candidates) -> Iterator[Stage]:
    with Stage(MODELS, 200, 150, 1) as stage:
        for _, models in candidates:
            stage.add_models(models)
        yield stage


def test_the_clearest_shows_most_of_what_differs_and_alike_pictures_show_nothing() -> None:
    found = whole_candidates(MODELS, OPEN)
    with on_stage(found) as stage:
        best, score = clearest(stage, found[0])
        shares = {c.view: changed_share(stage, c, pair_camera(stage, c)) for c in found[0]}
    assert score > 0.1
    assert shares[best.view] > 0.5 * max(shares.values())
    alike = whole_candidates(MODELS, replace(OPEN, wrong=OPEN.right))
    with on_stage(alike) as stage:
        best, score = clearest(stage, alike[0])
        assert changed_share(stage, best, pair_camera(stage, best)) == 0.0
    assert score == 0.0
    assert best == alike[0][0], "the most natural of equal ones"


def test_a_section_shows_what_is_hidden_from_outside() -> None:
    whole, sections = whole_candidates(MODELS, SHUT), section_candidates(MODELS, SHUT)
    with on_stage(whole, sections) as stage:
        assert clearest(stage, whole[0])[1] < 0.02
        assert clearest(stage, sections[0])[1] > 0.1


def test_sections_go_through_the_parts_axis_and_open_towards_the_eye() -> None:
    views, models = section_candidates(MODELS, SHUT)
    by_key = {m.key: m for m in models}
    assert len(views) == 2
    for view in views:
        plane = view.plane
        assert plane is not None
        assert plane.point == HOME["oring_drive"].shift
        assert plane.normal[2] == pytest.approx(0.0), "square to the axis"
        assert np.dot(plane.normal, view.view.direction) > 0.9
        shown = {**view.right, **view.context}
        assert set(shown) == {"oring_drive", *SHUT.around}, "shafts are cut too"
        for key in shown.values():
            points = remaining_points(by_key[key], by_key[key].place)
            assert ((points - np.array(plane.point)) @ np.array(plane.normal)).max() < 1e-3
            assert by_key[key].hatch is not None
        hatches = {shown[k]: by_key[shown[k]].hatch for k in ("shaft_drive", "body")}
        slopes = [np.abs(np.diff(h, axis=1)[:, 0]).round(3) for h in hatches.values() if h is not None]
        assert len(slopes) == 2


def test_the_close_up_takes_in_the_upper_cut_face() -> None:
    found = section_candidates(MODELS, SHUT)
    with on_stage(found) as stage:
        view = found[0][0]
        camera = pair_camera(stage, view)
        moved, disc = close_up_of_section(stage, view, camera)
        assert disc is not None
        assert view.plane is not None
        models = [stage.model(k) for k in (*view.right.values(), *view.wrong.values())]
        face = np.concatenate([cut_face(m, m.place, view.plane).reshape(-1, 3) for m in models])
    upper = face[(face - np.array(view.plane.point)) @ camera.view.axes[1] > 0]
    at = moved.project(upper)[:, :2]
    away = np.hypot(at[:, 0] - disc.of_centre[0], (at[:, 1] - disc.of_centre[1]) / moved.aspect)
    assert away.max() < disc.of_radius
    assert disc.centre[0] + disc.radius < 1.0
    apart = np.hypot(disc.centre[0] - disc.of_centre[0], (disc.centre[1] - disc.of_centre[1]) / moved.aspect)
    assert apart > disc.radius, "it does not lie on what it shows"
    whole = whole_candidates(MODELS, OPEN)
    with on_stage(whole) as stage:
        camera = pair_camera(stage, whole[0][0])
        assert close_up_of_section(stage, whole[0][0], camera) == (camera, None), "nothing is cut"


def test_the_frame_holds_the_parts_of_both_pictures() -> None:
    found = whole_candidates(MODELS, scene("rotor_drive", HOME["rotor_drive"].moved(0, 0, 40.0)))
    with on_stage(found) as stage:
        for view in found[0][:3]:
            camera = pair_camera(stage, view)
            for key in (*view.right.values(), *view.wrong.values()):
                model = stage.model(key)
                at = camera.project(model.place.points(model.mesh.points))[:, :2]
                assert at.min() > 0.2
                assert at.max() < 0.8
