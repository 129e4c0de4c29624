"""A step in the viewer moves as its picture says: from where parts are drawn to their places, tools along with them."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
import pytest
from acts_samples import act_assembly, make_wrench, on, step_with, wrench
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.parts.rings import wave_spring
from benchleaf.render.acts.surface_sight import spots_of
from benchleaf.render.acts.zone_patterns import WIDENED
from benchleaf.render.acts.zones import Zone
from benchleaf.render.engine.camera import View, sensible_views
from benchleaf.render.pictures.studio import Studio
from benchleaf.render.pictures.viewer.step_motion import MOST_TURN_DEG, painted_zone, plan_motion, pose_of
from benchleaf.render.pictures.viewer.viewer_models import Pose, StepMotion
from benchleaf.sequences.reach.tool_places import ToolInPlace
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step, with_shaft_angles
from sample_assembly import SMALL, sample_models, sample_plan
from scipy.spatial.transform import Rotation

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
OUT = (Leg((0.0, 0.0, 1.0)),)


@pytest.fixture(scope="module")
def studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as opened:
        yield opened


def place_of(pose: Pose) -> Place:
    matrix = np.eye(4)
    matrix[:3, :3] = Rotation.from_quat(pose[3:]).as_matrix()
    matrix[:3, 3] = pose[:3]
    return Place.from_matrix(matrix)


def apart(pose: Pose, place: Place) -> float:
    return float(np.abs(place_of(pose).matrix() - place.matrix()).max())


def moved(
    studio: Studio,
    *steps: Step,
    view: View = VIEW,
    tools: Mapping[int, tuple[ToolInPlace, ...]] | None = None,
) -> tuple[StepMotion, ...]:
    plan = Plan("assembly", "A", "a", (Section("s", "S"),), steps)
    return plan_motion(studio, plan, [view] * len(steps), tools or {}).steps


def test_parts_come_from_where_they_are_drawn_and_end_in_their_places(studio: Studio) -> None:
    plan, models = sample_plan(), studio.models
    motions = plan_motion(studio, plan, [VIEW] * len(plan.steps), {}).steps
    assert [(m.sequence, m.number) for m in motions] == [("assembly", s.number) for s in plan.steps]
    for step, motion in zip(plan.steps, motions, strict=True):
        scene = studio.scene(step)
        assert set(motion.parts) == {*step.present, *step.moving, *step.focus}
        tracks = {t.part: t for act in motion.acts for t in act}
        assert set(tracks) == set(step.moving)
        drawn = {k: p for t in scene.travels for k, p in t.drawn.items()}
        for key, track in tracks.items():
            assert (track.shares[0], track.shares[-1]) == (0.0, 1.0)
            assert apart(track.poses[0], drawn[key]) < 1e-4
            assert apart(track.poses[-1], models.parts[key].place) < 1e-4
        assert (motion.direction, motion.up, motion.into) == (VIEW.direction, VIEW.up, True)
        assert motion.moving == step.moving
        assert set(motion.focus) == (set() if step.moving else set(step.focus) - scene.quiet)


def test_what_leaves_begins_in_its_place(studio: Studio) -> None:
    present = (*sample_plan().given, "seat_drive")
    off = Step(1, "off", "s", "Off", present, (Move(("seat_drive",), OUT, into=False),))
    (motion,) = moved(studio, off)
    (track,) = motion.acts[0]
    assert not motion.into
    assert apart(track.poses[0], studio.models.parts["seat_drive"].place) < 1e-4
    assert track.poses[-1][2] > track.poses[0][2] + 5.0


def test_a_thread_is_turned_all_its_turns_in_small_ones(studio: Studio) -> None:
    step = next(s for s in sample_plan().steps if s.id == "nut")
    turning = dataclasses.replace(step, moves=(Move(("nut_drive",), (Leg((0, 0, -1.0), None, -720.0),)),))
    (motion,) = moved(studio, turning)
    (track,) = motion.acts[0]
    turns = [Rotation.from_quat(p[3:]) for p in track.poses]
    steps = [(b * a.inv()).as_rotvec(degrees=True) for a, b in pairwise(turns)]
    assert sum(t[2] for t in steps) == pytest.approx(-720.0, abs=0.01)
    assert max(np.linalg.norm(t) for t in steps) <= MOST_TURN_DEG + 0.01
    axis = np.array([p[:2] for p in track.poses])
    assert np.abs(axis - axis[0]).max() < 1e-3, "about its own axis"


def test_equal_parts_travel_at_the_same_time_and_others_in_turn(studio: Studio) -> None:
    step = sample_plan().steps[0]
    more = dataclasses.replace(
        step, moves=(*step.moves, Move(("seat_drive",), (Leg((0, 0, -1.0)),))), present=step.present
    )
    (motion,) = moved(studio, more)
    assert [[t.part for t in act] for act in motion.acts] == [["oring_drive", "oring_driven"], ["seat_drive"]]


def test_shafts_that_were_turned_stand_so_and_are_turned_on(studio: Studio) -> None:
    given = sample_plan().given
    steps = with_shaft_angles(
        Step(n, f"s{n}", "s", "Turn", given, focus=("shaft_drive",), shaft_turn_deg=t, bench=b)
        for n, t, b in ((1, 90.0, None), (2, 40.0, None), (3, 0.0, "unit"))
    )
    first, second, bench = moved(studio, *steps)
    assert first.poses == {}
    assert (first.turn_deg, second.turn_deg, bench.turn_deg) == (90.0, 40.0, 0.0)
    turned = studio.models.places_at(90.0)
    assert set(second.poses) == {"shaft_drive", "shaft_driven"}
    assert all(apart(pose, turned[key]) < 1e-4 for key, pose in second.poses.items())


def test_a_tool_is_there_as_the_picture_has_it() -> None:
    with Studio(act_assembly(), make_tool=make_wrench) as bench:
        step = step_with(on("tighten", "nut_1", "hexagon", tool="torque wrench"))
        plan = Plan("assembly", "A", "a", (Section("a", "A"),), (step,))
        motion = plan_motion(bench, plan, [VIEW], {1: (wrench(),)})
        (tool,) = motion.steps[0].tools
        assert (tool.part, tool.swing_deg, tool.push_mm) == ("nut_1", 60.0, (0.0, 0.0, 0.0))
        assert apart(tool.pose, wrench().place) < 1e-4
        assert motion.tools == {tool.key: wrench()}
        assert motion.steps[0].acts == ()


SURFACES = {
    "front face": ("clean", "flat", True),
    "seat": ("look", "flat", True),
    "hexagon": ("anti-seize", "round", False),
    "flats": ("look", "wall", False),
}
"""Named surfaces of the sample, what is done to them, and how a pattern lies on each."""


@pytest.mark.parametrize("name", SURFACES)
def test_a_painted_surface_is_told_by_its_bounds_and_how_it_unrolls(name: str) -> None:
    treatment, unrolled, faced = SURFACES[name]
    with Studio(act_assembly(), make_tool=make_wrench) as bench:
        part = next(m for m in bench.models if any(s.name == name for s in m.surfaces))
        surface = next(s for s in part.surfaces if s.name == name)
        (motion,) = moved(bench, step_with(on(treatment, part.key, name), focus=(part.key,)))  # type: ignore[arg-type]
        (zone,) = motion.zones
        assert (zone.part, zone.treatment, zone.unrolled, zone.faced) == (
            part.key,
            treatment,
            unrolled,
            faced,
        )
        assert np.array(zone.axes) == pytest.approx(surface.axes)
        assert zone.origin == surface.origin
        apart = [a - b for a, b in zip(zone.along_mm, surface.along_mm, strict=True)]
        assert apart == pytest.approx([-WIDENED, WIDENED])
        points = spots_of(part, surface).points
        assert len(points) > 20
        across = np.hypot(*((points - np.array(surface.origin)) @ surface.axes.T).T[:2])
        assert zone.round_mm == pytest.approx(across.mean(), abs=1e-6)


def test_a_whole_small_part_is_painted_all_over() -> None:
    with Studio(act_assembly(), make_tool=make_wrench) as bench:
        small = painted_zone(Zone("nut_1", None, "clean"), bench.models)
        assert small.unrolled == "whole"
        assert small.narrow_mm == pytest.approx(17.32 / 4, abs=0.1)
        assert small.radius_mm[1] > 1e5


def test_a_spring_that_nothing_presses_is_told() -> None:
    solid, springy = wave_spring(16.0, 19.0, 3.75, 0.25, 6, 6.75)
    parts = {
        "spring": Part("spring", "spring", "Spring", "1.4310", solid, Place.at(0, 0, 20), elastic=springy)
    }
    with Studio(Assembly("springs", parts)) as springs:
        step = Step(1, "fit", "s", "Fit", (), (Move(("spring",), (Leg((0, 0, -1.0), 30.0),)),))
        (motion,) = moved(springs, step)
        assert list(motion.free) == ["spring"]
        assert motion.free["spring"] == pytest.approx((0.0, 0.0, 30.0))


def test_a_pose_is_the_place() -> None:
    place = Place.turn(123.0, (1.0, 2.0, 3.0), (4.0, 5.0, 6.0)).moved(0.12345, -7.0, 800.0)
    assert apart(pose_of(place), place) < 1e-4
