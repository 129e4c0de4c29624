"""Shafts turned by hand: pictures, films and proof have every part in the same place, in that step and all later."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.render.pictures.short_films import turn_angles
from benchleaf.render.pictures.step_pictures import Studio
from benchleaf.sequences.order.order import draft_moves
from benchleaf.sequences.proof.proving import poses_of
from benchleaf.sequences.steps.plan import Plan, Step, with_shaft_angles
from sample_assembly import HALF, SMALL, sample_assembly, sample_models, sample_plan

TURNS = {"seat": 0.0, "body": 90.0, "rotor": 30.0, "cover_oring": 360.0, "check": -45.0}
"""Step to how far it turns the drive shaft; those that fit something turn after that."""
BEFORE = {"seat": 0.0, "body": 0.0, "key": 90.0, "rotor": 90.0, "nut": 120.0, "cover": 120.0, "check": 120.0}


def turned_plan() -> Plan:
    plan = sample_plan()
    steps = [replace(s, shaft_turn_deg=TURNS.get(s.id, 0.0)) for s in plan.steps]
    benched = [replace(s, bench="unit") if s.id == "nut2" else s for s in steps]
    return replace(plan, steps=with_shaft_angles(benched))


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def reckoned(key: str, drive_deg: float) -> Floats:
    """Return where a part of the sample stands, by the formula of a turn about a line along Z."""
    part = sample_assembly().part(key)
    m = part.place.matrix()
    if part.kind not in ("shaft", "key", "rotor", "nut"):
        return m
    x, a = (-HALF, np.radians(drive_deg)) if part.side == "drive" else (HALF, -np.radians(drive_deg))
    c, s = np.cos(a), np.sin(a)
    about = np.array([[c, -s, 0, x - c * x], [s, c, 0, -s * x], [0, 0, 1, 0], [0, 0, 0, 1]])
    turned: Floats = about @ m
    return turned


def close(a: Place, b: Floats) -> bool:
    return bool(np.allclose(a.matrix(), b, atol=1e-9))


def test_pictures_show_parts_where_the_shafts_were_left(studio: Studio) -> None:
    plan = turned_plan()
    for step in plan.steps:
        angle = 0.0 if step.bench else step.shaft_angle_deg
        assert angle == BEFORE.get(step.id, angle)
        scene = studio.scene(step)
        for key in scene.places:
            if step.bench is None and key not in step.moving:
                assert close(scene.places[key], reckoned(key, angle)), (step.id, key)
        for travel in studio.travels(step):
            for key, seat in travel.seats.items():
                assert close(seat, reckoned(key, angle)), (step.id, key)


def test_the_proof_moves_parts_where_the_pictures_show_them(studio: Studio) -> None:
    plan, assembly = turned_plan(), sample_assembly()
    steps = {s.number: s for s in plan.steps}
    for draft in draft_moves(plan, assembly, poses_of(assembly.turning)):
        step, poses = steps[draft.bare.step], draft.bare.poses
        (seats,) = [t.seats for t in studio.travels(step) if t.move is draft.bare.move]
        for key, seat in seats.items():
            home = assembly.part(key).place
            assert (poses[key] @ home if key in poses else home) == seat, (step.id, key)
        assert bool(poses) == (step.stands_at_deg != 0.0), step.id


def test_a_film_turns_them_on_from_there_to_where_the_next_step_has_them(studio: Studio) -> None:
    plan = turned_plan()
    check = plan.steps[-1]
    after = Step(99, "after", check.section, "Look again", check.present, focus=check.focus)
    after = with_shaft_angles([after], check.shaft_angle_deg + check.shaft_turn_deg)[0]
    scene = studio.scene(check)
    poses = [
        studio.turned(scene.places, a) for a in turn_angles(check.shaft_angle_deg, check.shaft_turn_deg, 8)
    ]
    assert set(poses[0]) == {k for g in studio.models.turning for k in g.parts}
    assert {k: scene.places[k] for k in poses[0]} == poses[0]
    there = studio.scene(after).places
    assert all(close(p, there[k].matrix()) for k, p in poses[-1].items())
    shown = {k for k, p in poses[-1].items() if not close(p, poses[0][k].matrix())}
    assert shown == set(poses[0])


def test_the_arc_tells_how_far_it_is_turned_in_this_step(studio: Studio) -> None:
    for step in turned_plan().steps:
        turns = {round(t.point[0]): t.turn_deg for t in studio.scene(step).turns}
        wanted = TURNS.get(step.id, 0.0)
        assert turns == ({-HALF: wanted, HALF: -wanted} if wanted else {}), step.id
