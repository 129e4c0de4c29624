"""A seat that is out of sight is shown cut open; of several the one that another close-up is about."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.hidden_seats import LARGEST, cut_open, hidden_seat
from benchleaf.render.composition.views import scene_points
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Plan
from sample_assembly import SMALL, sample_models, sample_plan


@pytest.fixture(name="plan")
def _plan() -> Plan:
    return sample_plan()


def test_a_hidden_seat_is_shown_cut_open(plan: Plan) -> None:
    step = next(s for s in plan.steps if s.id == "seat")
    # With the body on, the seats end up deep inside: looked at from outside they are hidden.
    look = replace(step, moves=(), focus=("seat_drive", "seat_driven"), present=(*step.present, "body"))
    look = replace(look, present=(*look.present, "seat_drive", "seat_driven"))
    with Studio(sample_models(), SMALL) as studio:
        view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
        shown = render_step(studio, look, view, "cut").manifest
        plain = Studio(sample_models(), replace(SMALL, cut_aways=False))
        with plain:
            without = render_step(plain, look, view, "whole").manifest
    (inset,) = shown.insets
    assert inset.cut
    assert inset.visible > 0.3  # the shaft in it stays whole and hides what is behind it
    assert inset.visible > 2 * max(without.parts[k].visible or 0.0 for k in inset.subject)
    assert inset.fill >= 1 / 6
    assert set(inset.parts) <= set(look.present)
    assert not any(i.cut for i in without.insets)


def test_the_seat_of_the_part_in_the_other_close_up_is_the_one_cut_open(plan: Plan) -> None:
    seats = ("seat_drive", "seat_driven")
    step = next(s for s in plan.steps if s.id == "seat")
    look = replace(step, moves=(), focus=seats, present=(*step.present, "body", *seats))
    with Studio(sample_models(), SMALL) as studio:
        scene = studio.scene(look)
        view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
        camera = fit_camera(view, scene_points(studio.models, scene), 4 / 3)
        found = {s: hidden_seat(studio.stage, scene, camera, 128, (s,)) for s in seats}
        nearest = hidden_seat(studio.stage, scene, camera, 128)
    assert {s: seat.subject for s, seat in found.items() if seat} == {s: (s,) for s in seats}
    assert nearest
    assert nearest.subject == ("seat_driven",)


def test_a_seat_in_plain_sight_and_one_of_a_large_part_are_not_cut(plan: Plan) -> None:
    with Studio(sample_models(), SMALL) as studio:
        view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
        for name in ("rotor", "body"):
            scene = studio.scene(next(s for s in plan.steps if s.id == name))
            camera = fit_camera(view, scene_points(studio.models, scene), 4 / 3)
            assert hidden_seat(studio.stage, scene, camera, 128) is None, name


def test_what_the_plane_leaves_is_near_the_seat_and_behind_the_plane(plan: Plan) -> None:
    seats = ("seat_drive", "seat_driven")
    step = next(s for s in plan.steps if s.id == "seat")
    look = replace(step, moves=(), focus=seats, present=(*step.present, "body", *seats))
    with Studio(sample_models(), SMALL) as studio:
        scene = studio.scene(look)
        view = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
        camera = fit_camera(view, scene_points(studio.models, scene), 4 / 3)
        seat = hidden_seat(studio.stage, scene, camera, 128)
        assert seat is not None
        made = cut_open(studio.models, seat)
    assert seat.radius_mm < 1.5 * LARGEST * studio.models.extent_mm
    normal, point = np.array(seat.plane.normal), np.array(seat.plane.point)
    assert float(normal @ view.axes[2]) > 0.5, "the cut opens towards the eye"
    hatched = [m for m in made if m.hatch is not None]
    assert {m.kind for m in hatched} >= {"seat", "body"}
    assert "shaft" not in {m.kind for m in hatched}, "a shaft stays whole"
    for model in hatched:
        corners = model.mesh.points[model.mesh.triangles].reshape(-1, 3)
        heights = (seat.places[model.key.removesuffix("|cut")].points(corners) - point) @ normal
        assert heights.max() < 1e-3
