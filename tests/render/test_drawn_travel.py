"""Parts are drawn out so far that they are clear, in the order in which they go on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.render.composition.drawn_travel import (
    LEAST_GAP,
    DrawnTravel,
    Neighbours,
    distance_to_clear,
    drawn_travels,
    share_a_cell,
)
from benchleaf.render.composition.turn_arcs import reach_arc
from benchleaf.render.engine.part_models import PartModels
from benchleaf.sequences.steps.plan import Leg, Move, Step, turn_about
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from sample_assembly import sample_models, sample_plan


@pytest.fixture(scope="module", name="models")
def _models() -> PartModels:
    return sample_models()


def _lay(models: PartModels, step: Step) -> tuple[DrawnTravel, ...]:
    return drawn_travels(models, step, {m.key: m.place for m in models}, Neighbours(models))


def _step(name: str) -> Step:
    return next(s for s in sample_plan().steps if s.id == name)


def _low(models: PartModels, travel: DrawnTravel, key: str) -> float:
    return float(travel.drawn[key].points(models.parts[key].mesh.joined_points)[:, 2].min())


def test_a_ring_is_drawn_beyond_the_end_of_its_shaft(models: PartModels) -> None:
    travel = _lay(models, _step("seat"))[0]
    end = float(models.parts["shaft_drive"].box()[1][2])
    assert _low(models, travel, "seat_drive") > end
    assert _low(models, travel, "seat_drive") < end + 0.2 * models.extent_mm
    assert travel.offset[:2] == (0.0, 0.0)
    assert travel.path == (travel.offset, (0.0, 0.0, 0.0))


def test_a_part_inside_another_need_not_clear_what_it_does_not_touch(models: PartModels) -> None:
    travel = _lay(models, _step("key"))[0]
    # The key lifts off its shaft, not over the body's port.
    assert 2.0 < travel.offset[1] < 25.0
    assert (travel.offset[0], travel.offset[2]) == (0.0, 0.0)


def test_later_moves_stand_beyond_earlier_ones(models: PartModels) -> None:
    down = (Leg((0.0, 0.0, -1.0)),)
    present = ("housing", "shaft_drive", "shaft_driven")
    step = Step(1, "two", "s", "t", present, (Move(("oring_drive",), down), Move(("seat_drive",), down)))
    ring, seat = _lay(models, step)
    top = float(ring.drawn["oring_drive"].points(models.parts["oring_drive"].mesh.joined_points)[:, 2].max())
    assert _low(models, seat, "seat_drive") > top


def test_a_removal_ends_where_a_fit_begins(models: PartModels) -> None:
    fit = _step("cover")
    there = (*fit.present, "cover")
    removal = replace(fit, present=there, moves=(Move(("cover",), (Leg((0.0, 0.0, 1.0)),), into=False),))
    out, into = _lay(models, removal)[0], _lay(models, fit)[0]
    assert out.drawn == into.drawn
    assert out.path == into.path[::-1]
    assert out.offset == into.offset


def test_given_distances_and_bends_are_kept(models: PartModels) -> None:
    legs = (Leg((0.0, 0.0, -1.0), 40.0), Leg((0.0, -1.0, 0.0), 12.0))
    step = Step(1, "bent", "s", "t", ("shaft_drive",), (Move(("key_drive",), legs),))
    travel = _lay(models, step)[0]
    assert travel.path == ((0.0, 12.0, 40.0), (0.0, 12.0, 0.0), (0.0, 0.0, 0.0))


def test_a_part_turn_is_undone_in_the_drawn_place_and_whole_turns_are_not(models: PartModels) -> None:
    for turn, expected in ((-360.0, 0.0), (90.0, -90.0)):
        move = Move(("nut_drive",), (Leg((0.0, 0.0, -1.0), 30.0, turn),))
        drawn = _lay(models, Step(1, "n", "s", "t", ("shaft_drive",), (move,)))[0].drawn["nut_drive"]
        seat = models.parts["nut_drive"].place
        relative = np.array(drawn.rotation) @ np.array(seat.rotation).T
        assert np.degrees(np.arctan2(relative[1, 0], relative[0, 0])) == pytest.approx(expected, abs=1e-9)
        assert drawn.shift == pytest.approx((seat.shift[0], seat.shift[1], seat.shift[2] + 30.0))


def test_nothing_there_nothing_to_clear() -> None:
    assert distance_to_clear(np.zeros((3, 3)), [], np.array([0.0, 0.0, 1.0]), 100.0) == 0.0


def test_what_lies_beside_the_way_does_not_count() -> None:
    cube = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
    out = np.array([0.0, 0.0, 1.0])
    beside, under = cube + np.array([5.0, 0.0, 30.0]), cube + np.array([0.0, 0.0, -1.0])
    over = cube + np.array([0.0, 0.0, 2.0])
    gap = distance_to_clear(cube, [under], out, 10.0)
    assert distance_to_clear(cube, [beside, under], out, 10.0) == gap
    assert distance_to_clear(cube, [over], out, 10.0) == pytest.approx(gap + 3.0)


def test_a_tiny_part_stands_its_own_size_off_and_a_thin_ring_the_usual_air() -> None:
    out, floor = np.array([0.0, 0.0, 1.0]), np.array([[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]])
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    key, ring = corners * [2.0, 3.0, 2.5], corners * [40.0, 40.0, 1.0]
    assert distance_to_clear(key, [floor], out, 100.0) == pytest.approx(3.0)
    assert distance_to_clear(ring, [floor], out, 100.0) == pytest.approx(LEAST_GAP * 100.0)


def test_touching_is_told_from_near(models: PartModels) -> None:
    seats = {m.key: m.place for m in models}
    near = Neighbours(models)
    assert near.touch("key_drive", seats["key_drive"], "shaft_drive", seats["shaft_drive"])
    assert not near.touch("key_drive", seats["key_drive"], "body", seats["body"])
    assert not near.touch("cover", seats["cover"], "housing", seats["housing"])


_POINTS = arrays(np.float64, st.tuples(st.integers(1, 6), st.just(3)), elements=st.floats(-50.0, 50.0))


@given(_POINTS, _POINTS, st.floats(0.05, 20.0))
@example(np.zeros((1, 3)), np.array([[0.8, 0.8, 0.8], [-5, 9, 9], [9, -5, 9], [9, 9, -5]], dtype=float), 1.0)
def test_points_in_one_cell_are_near_and_equal_ones_share_theirs(a: Floats, b: Floats, near: float) -> None:
    least = float(np.linalg.norm(a[:, None] - b[None], axis=2).min())
    if share_a_cell(a, b, near):
        assert least < near * (1.0 + 1e-9)
    if least == 0.0:
        assert share_a_cell(a, b, near)
    assert share_a_cell(a, np.concatenate([a[:1], b]), near)


@pytest.mark.parametrize("into", [True, False])
def test_a_part_turned_about_a_line_goes_in_as_it_is_told(models: PartModels, into: bool) -> None:
    """Slid in beside its place, then turned about a line that is not its own: it is drawn turned, its seat is not."""
    deg, through = 60.0, (12.0, 0.0, 0.0)
    legs: tuple[Leg, ...] = (Leg((0.0, 0.0, -1.0)), turn_about((0.0, 0.0, 1.0), deg, through))
    if not into:
        legs = (turn_about((0.0, 0.0, 1.0), -deg, through), Leg((0.0, 0.0, 1.0)))
    present = ("housing", "shaft_drive", *(() if into else ("seat_drive",)))
    (travel,) = _lay(models, Step(1, "lug", "s", "t", present, (Move(("seat_drive",), legs, into),)))
    seat = travel.seats["seat_drive"]
    turned = Place.turn(-deg, (0.0, 0.0, 1.0), through) @ seat
    drawn = travel.drawn["seat_drive"]
    np.testing.assert_allclose(drawn.rotation, turned.rotation, atol=1e-12)
    np.testing.assert_allclose(drawn.shift[:2], turned.shift[:2], atol=1e-9)
    assert drawn.shift[2] > seat.shift[2] + 1.0
    begin, end = (travel.place_after("seat_drive", s) for s in (0.0, 1.0))
    assert (end if into else begin) == seat
    np.testing.assert_allclose((begin if into else end).matrix(), drawn.matrix(), atol=1e-9)
    assert travel.turn_deg == (deg if into else -deg)
    assert len(travel.times) == 2
    line = travel.turn_about_line()
    assert line is not None
    assert (line[0].about, line[0].axis, line[1]) == (through, (0.0, 0.0, 1.0), 1.0 if into else -1.0)
    arc = reach_arc(models, travel, ("seat_drive",))
    assert arc.sense * arc.axis[2] == (1.0 if into else -1.0), "the arrow runs the way it is done"
