"""Each unit has its arrow; a turned shaft's arc stands at the shaft's end, and shows what is shut in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.travel_lines import (
    COVERED,
    LEAD,
    RIM,
    TURN_SHARES,
    Line,
    arc_ring,
    arrow_groups,
    draw_shaft_turns,
    joined_lines,
    lay_shaft_turn,
    turn_about,
    turn_radius,
    within_disc,
)
from benchleaf.render.composition.views import StepScene, scene_points
from benchleaf.render.engine.camera import Camera, fit_camera, sensible_views
from benchleaf.render.engine.grid import Ids
from benchleaf.render.engine.material_styles import STRONG, colour_bytes
from benchleaf.render.pictures.step_pictures import Studio
from benchleaf.sequences.steps.plan import Leg, Move
from PIL import Image
from sample_assembly import HALF, SMALL, sample_models, sample_plan

FRONT = np.array([0.0, 0.0, 1.0])
CLOSED = tuple(sample_models().parts)
OPEN = tuple(k for k in CLOSED if not k.startswith("cover"))


@pytest.fixture(scope="module", name="studio")
def _studio() -> Studio:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def turned(studio: Studio, keys: tuple[str, ...], view: int = 0) -> tuple[StepScene, Ids, Camera]:
    """Return a step that turns the shafts with ``keys`` in place, and what is seen of it."""
    step = replace(sample_plan().steps[-1], present=keys, focus=(), shaft_turn_deg=360.0)
    scene = studio.scene(step)
    at = sensible_views(studio.models.front, studio.models.up)[view]
    camera = fit_camera(at, scene_points(studio.models, scene), 4 / 3)
    return scene, studio.stage.ids(scene.places, camera, 480), camera


def test_the_arc_stands_at_the_end_of_what_turns(studio: Studio) -> None:
    end = studio.models.parts["nut_drive"].box()[1][2]
    for keys in (CLOSED, OPEN):
        scene, ids, camera = turned(studio, keys)
        assert [t.point[0] for t in scene.turns] == pytest.approx([-HALF, HALF])
        for turn in scene.turns:
            assert turn.point[2] == pytest.approx(max(end, studio.models.parts["shaft_drive"].box()[1][2]))
            arc = lay_shaft_turn(turn, ids, camera)
            np.testing.assert_allclose(arc.middle, np.array(turn.point) + LEAD * turn.radius_mm * FRONT)


def _line(*ends: tuple[float, float]) -> Line:
    """Return a line of 101 points between two ends."""
    points = np.column_stack([np.linspace(ends[0], ends[1], 101), np.zeros(101)])
    return Line(points, np.ones(101, dtype=bool), ("part",))


def test_an_arrow_that_leads_out_of_a_disc_ends_at_its_rim() -> None:
    cut = within_disc(_line((0.4, 0.5), (1.4, 0.5)), 0.1)
    assert cut.points[0, 0] == 0.4
    assert cut.points[-1, 0] == pytest.approx(0.5 + 0.5 - RIM * 0.1, abs=0.011)
    assert len(cut.seen) == len(cut.points)
    through = within_disc(_line((-0.4, 0.6), (1.4, 0.6)), 0.1)
    assert np.hypot(*(through.points[-1, :2] - 0.5)) < 0.5 - RIM * 0.1
    assert through.points[-1, 0] > 0.9


@pytest.mark.parametrize(
    "ends", [((-0.2, 0.5), (0.6, 0.5)), ((0.9, 0.5), (1.9, 0.5)), ((0.0, 0.0), (1.0, 0.02))]
)
def test_it_stays_whole_where_it_ends_inside_or_too_little_would_be_left(
    ends: tuple[tuple[float, float], tuple[float, float]],
) -> None:
    line = _line(*ends)
    assert within_disc(line, 0.1) is line


def test_arrows_along_one_line_are_one_that_ends_where_the_farthest_does() -> None:
    hidden = replace(_line((0.5, 0.5), (0.8, 0.5)), seen=np.zeros(101, dtype=bool), keys=("washer",))
    (one,) = joined_lines([_line((0.2, 0.5), (0.6, 0.5)), hidden], (1000, 1000), 36.0)
    np.testing.assert_allclose(one.points[[0, -1], 0], [0.2, 0.8])
    assert one.keys == ("part", "washer")
    assert one.seen[one.points[:, 0] < 0.49].all()
    assert not one.seen[one.points[:, 0] > 0.51].any()  # what either has hidden stays so
    (same,) = joined_lines([hidden, _line((0.2, 0.5), (0.6, 0.5))], (1000, 1000), 36.0)
    np.testing.assert_array_equal(same.seen, one.seen)


@pytest.mark.parametrize(
    "other",
    [
        ((0.2, 0.55), (0.6, 0.55)),  # beside it
        ((0.6, 0.5), (0.2, 0.5)),  # against it
        ((0.65, 0.5), (0.9, 0.5)),  # after it
        ((0.2, 0.5), (0.6, 0.6)),  # at an angle
    ],
)
def test_other_arrows_stay_apart(other: tuple[tuple[float, float], tuple[float, float]]) -> None:
    lines = [_line((0.2, 0.5), (0.6, 0.5)), _line(*other)]
    assert joined_lines(lines, (1000, 1000), 36.0) == lines


@pytest.mark.parametrize("disc", [False, True])
def test_the_arc_of_a_turned_part_at_the_edge_stays_whole(studio: Studio, disc: bool) -> None:
    step = next(s for s in sample_plan().steps if any(leg.turn_deg for m in s.moves for leg in m.legs))
    travel = next(t for t in studio.travels(step) if t.turn_deg)
    centre, axis, reach, sense = turn_about(studio.models, travel, travel.move.parts)
    view = sensible_views(studio.models.front, studio.models.up)[0]
    middle = (float(centre[0]), float(centre[1]), float(centre[2]))

    def edge(camera: Camera, radius: float) -> float:
        at = camera.project(arc_ring(centre, axis, radius, sense, camera))[:, :2] - 0.5
        return float((np.linalg.norm(at, axis=1) if disc else np.abs(at)).max())

    free = Camera(view, middle, 8.0 * reach, 1.0)
    usual = turn_radius(centre, axis, reach, sense, free, disc)
    assert usual == TURN_SHARES[0] * reach
    tight = replace(free, height_mm=free.height_mm * edge(free, usual) * 2 * 0.95)  # the usual one is cut
    assert edge(tight, usual) > 0.5
    radius = turn_radius(centre, axis, reach, sense, tight, disc)
    assert TURN_SHARES[-1] * reach <= radius < usual
    assert edge(tight, radius) < 0.5
    none = replace(free, height_mm=reach)
    assert turn_radius(centre, axis, reach, sense, none, disc) == usual


def test_an_open_shaft_has_its_arc_in_full_sight(studio: Studio) -> None:
    scene, ids, camera = turned(studio, OPEN)
    for turn in scene.turns:
        arc = lay_shaft_turn(turn, ids, camera)
        assert not arc.inside
        ring = camera.project(arc_ring(arc.middle, FRONT, arc.radius_mm, 1.0, camera))
        x, y = (ring[:, :2] * (480, 360)).astype(int).T
        assert (ring[:, 2] < ids.near_mm[y, x]).mean() <= COVERED


def test_a_shaft_shut_in_is_told_by_dashes_and_its_axis_comes_out(studio: Studio) -> None:
    strong = {}
    for name, keys in (("closed", CLOSED), ("open", OPEN)):
        scene, ids, camera = turned(studio, keys)
        image = Image.new("RGB", (640, 480), "white")
        draw_shaft_turns(image, scene.turns, ids, camera)
        strong[name] = int((np.asarray(image) == colour_bytes(STRONG)).all(axis=2).sum())
        for turn in scene.turns:
            arc = lay_shaft_turn(turn, ids, camera)
            assert arc.inside == (name == "closed")
            tip = camera.project((np.array(turn.point) + arc.axis_mm * FRONT)[None])[0]
            assert tip[2] > ids.near_mm[int(tip[1] * 360), int(tip[0] * 480)]
            if arc.inside:
                cover = studio.models.parts["cover"].box()[1][2]
                assert turn.point[2] + arc.axis_mm > cover
    assert strong["closed"] < 0.85 * strong["open"]


def test_a_stud_before_the_arc_makes_it_smaller(studio: Studio) -> None:
    scene, ids, camera = turned(studio, OPEN)
    turn = scene.turns[0]
    whole = lay_shaft_turn(turn, ids, camera)
    ring = camera.project(arc_ring(whole.middle, FRONT, whole.radius_mm, 1.0, camera))
    near = ids.near_mm.copy()
    x, y = (ring[0:25, :2] * (480, 360)).astype(int).T
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            near[y + dy, x + dx] = ring[:25, 2] + 50.0
    smaller = lay_shaft_turn(turn, replace(ids, near_mm=near), camera)
    assert smaller.radius_mm < whole.radius_mm
    assert not smaller.inside


def test_from_behind_the_axis_is_not_drawn_through_the_head(studio: Studio) -> None:
    scene, ids, camera = turned(studio, CLOSED, view=8)
    for turn in scene.turns:
        assert lay_shaft_turn(turn, ids, camera).axis_mm < turn.radius_mm


def test_twin_units_have_an_arrow_each_and_a_unit_of_one_largest_part_has_one(studio: Studio) -> None:
    down = (Leg((0.0, 0.0, -1.0)),)
    twins = Move(("seat_drive", "oring_drive", "seat_driven", "oring_driven"), down, group=True)
    one = Move(("cover", "cover_oring", "cover_nut_1", "cover_nut_2"), down, group=True)
    step = replace(sample_plan().steps[0], moves=(twins,))
    (travel,) = studio.travels(step)
    assert arrow_groups(studio.models, travel) == [["seat_drive"], ["seat_driven"]]
    (travel,) = studio.travels(replace(step, moves=(one,)))
    assert arrow_groups(studio.models, travel) == [["cover"]]
