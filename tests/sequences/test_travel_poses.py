"""Poses on a travel against closed forms: slides, threads by their pitch, bends, parts that come and that leave."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place, Vec3
from benchleaf.sequences.steps.plan import Leg, turn_about
from benchleaf.sequences.steps.travel_poses import Stretch, following, motion_at, outwards, turning_axis
from hypothesis import given
from hypothesis import strategies as st

SEAT = Place.at(30.0, -4.0, 12.0) @ Place.turn(25.0)
SHARES = st.floats(0.0, 1.0)
COORDINATES = st.floats(-50.0, 50.0)
VECTORS = st.tuples(COORDINATES, COORDINATES, COORDINATES)


def travel_of(legs: tuple[Leg, ...], into: bool) -> list[Stretch]:
    """Return legs of given lengths as stretches of a part in SEAT."""
    stretches: list[Stretch] = []
    for leg, sign in outwards(legs, into):
        d = leg.distance_mm or 0.0
        slide: Vec3 = (sign * d * leg.direction[0], sign * d * leg.direction[1], sign * d * leg.direction[2])
        stretches.append(following(stretches, slide, sign * leg.turn_deg, SEAT, turning_axis(leg, SEAT)))
    return stretches


def angle_about_z(place: Place) -> float:
    """Return by how much ``place`` is turned from SEAT, right-handed about Z, -180 to 180 degrees."""
    relative = np.array(place.rotation) @ np.array(SEAT.rotation).T
    return float(np.degrees(np.arctan2(relative[1, 0], relative[0, 0])))


@given(VECTORS, SHARES)
def test_a_slide_is_even(slide: Vec3, share: float) -> None:
    place = Stretch(Place(), slide).at(share) @ SEAT
    np.testing.assert_allclose(place.shift, np.array(SEAT.shift) + share * np.array(slide), atol=1e-12)
    assert place.rotation == SEAT.rotation


@pytest.mark.parametrize("pitch_mm", [1.0, 1.75])
@pytest.mark.parametrize("into", [True, False])
@given(share=SHARES)
def test_a_thread_advances_by_its_pitch_a_turn(pitch_mm: float, into: bool, share: float) -> None:
    """Six turns of a right-hand thread: clockwise seen from in front (+Z) on the way in."""
    turns = 6.0
    sign = -1.0 if into else 1.0
    leg = Leg((0.0, 0.0, sign), turns * pitch_mm, sign * 360.0 * turns)
    place = motion_at(travel_of((leg,), into), share) @ SEAT
    out_mm = place.shift[2] - SEAT.shift[2]
    assert out_mm == pytest.approx(share * turns * pitch_mm, abs=1e-9)
    np.testing.assert_allclose(place.shift[:2], SEAT.shift[:2], atol=1e-9)
    # Coming out it turns anticlockwise by 360 degrees a pitch; compared as points of a circle.
    expected = np.radians(360.0 * out_mm / pitch_mm)
    found = np.radians(angle_about_z(place))
    np.testing.assert_allclose(
        [np.cos(found), np.sin(found)], [np.cos(expected), np.sin(expected)], atol=1e-7
    )


@pytest.mark.parametrize("turn_deg", [360.0, -720.0, 2160.0])
def test_whole_turns_leave_no_trace(turn_deg: float) -> None:
    there = Stretch(Place(), (0.0, 0.0, 9.0), turn_deg, SEAT.shift).end @ SEAT
    assert there == SEAT.moved(0.0, 0.0, 9.0)


BENT = (Leg((0.0, 0.0, -1.0), 40.0), Leg((0.0, -1.0, 0.0), 12.0, 90.0), Leg((1.0, 0.0, 0.0), 8.0))


@pytest.mark.parametrize(
    ("share", "offset"),
    [
        (0.0, (0.0, 0.0, 0.0)),
        (4 / 60, (-4.0, 0.0, 0.0)),
        (8 / 60, (-8.0, 0.0, 0.0)),
        (14 / 60, (-8.0, 6.0, 0.0)),
        (20 / 60, (-8.0, 12.0, 0.0)),
        (40 / 60, (-8.0, 12.0, 20.0)),
        (1.0, (-8.0, 12.0, 40.0)),
    ],
)
def test_legs_follow_one_another_by_their_lengths(share: float, offset: Vec3) -> None:
    place = motion_at(travel_of(BENT, True), share) @ SEAT
    np.testing.assert_allclose(np.subtract(place.shift, SEAT.shift), offset, atol=1e-9)
    # The middle leg turns about the direction in which it slides, here against Y: outwards, back again.
    turned = np.array(SEAT.rotation).T @ np.array(place.rotation)
    done = min(max(share * 60 - 8, 0.0) / 12, 1.0) * 90.0
    assert np.degrees(np.arccos(np.clip((np.trace(turned) - 1) / 2, -1, 1))) == pytest.approx(done, abs=1e-6)


def test_times_stand_in_for_lengths() -> None:
    stretches = travel_of(BENT, True)
    even = [1.0, 1.0, 1.0]
    assert motion_at(stretches, 0.5, even) == stretches[1].at(0.5)
    assert motion_at(stretches, 1.0, even) == stretches[-1].end
    jump = motion_at(stretches, 0.25, [1.0, 0.0, 1.0])
    assert jump == stretches[0].at(0.5)
    assert motion_at(stretches, 0.75, [1.0, 0.0, 1.0]) == stretches[2].at(0.5), (
        "without time it is done at once"
    )
    assert motion_at([], 0.5) == Place()


@given(SHARES)
def test_what_leaves_goes_the_way_it_came(share: float) -> None:
    back = tuple(
        Leg((-g.direction[0], -g.direction[1], -g.direction[2]), g.distance_mm, -g.turn_deg)
        for g in reversed(BENT)
    )
    for a, b in zip(travel_of(BENT, True), travel_of(back, False), strict=True):
        np.testing.assert_allclose(a.at(share).matrix(), b.at(share).matrix(), atol=1e-9)


SCREW = Stretch(Place.at(1.0, 2.0, 3.0), (0.0, 3.0, 4.0), 200.0, (5.0, -6.0, 7.0), (0.0, 0.6, 0.8))
POINTS: Floats = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 5.0]])


@given(SHARES, SHARES)
def test_a_stretch_cut_in_two_is_the_same_way(cut: float, share: float) -> None:
    inner, outer = SCREW.up_to(cut), SCREW.beyond(cut)
    np.testing.assert_allclose(inner.end.points(POINTS), outer.start.points(POINTS), atol=1e-9)
    for part, at in ((inner, cut * share), (outer, cut + (1 - cut) * share)):
        np.testing.assert_allclose(part.at(share).points(POINTS), SCREW.at(at).points(POINTS), atol=1e-8)
    assert inner.length_mm + outer.length_mm == pytest.approx(5.0)


def test_a_turn_is_about_its_own_line() -> None:
    on_axis = np.array(SCREW.about) + 4.0 * np.array(SCREW.axis)
    still = replace(SCREW, start=Place(), slide=(0.0, 0.0, 0.0))
    radius = [float(np.linalg.norm(np.cross(p - on_axis, SCREW.axis))) for p in POINTS]
    for share in np.linspace(0.0, 1.0, 5):
        motion = still.at(float(share))
        np.testing.assert_allclose(motion.points(on_axis[None])[0], on_axis, atol=1e-12)
        turned = motion.points(POINTS) - on_axis
        np.testing.assert_allclose(np.linalg.norm(np.cross(turned, SCREW.axis), axis=1), radius)


@pytest.mark.parametrize(
    ("direction", "distance_mm", "axis"),
    [
        ((0.0, 0.0, -1.0), None, (0.0, 0.0, 1.0)),
        ((0.0, 0.0, 1.0), 5.0, (0.0, 0.0, 1.0)),
        ((0.0, -1.0, 0.0), 5.0, (0.0, 1.0, 0.0)),
        ((-0.6, 0.0, 0.8), 5.0, (-0.6, 0.0, 0.8)),
        ((0.0, -1.0, 0.0), 0.0, (0.0, 0.0, 1.0)),
    ],
)
def test_a_leg_turns_about_its_slide_or_the_parts_own_axis(
    direction: Vec3, distance_mm: float | None, axis: Vec3
) -> None:
    np.testing.assert_allclose(turning_axis(Leg(direction, distance_mm), SEAT), axis, atol=1e-12)


def test_a_turn_about_a_named_line_leaves_that_line_where_it_is() -> None:
    """After a slide the line stands where it is told, not where the part has carried it."""
    leg = turn_about((0.0, 1.0, 0.0), 90.0, (10.0, 0.0, 0.0))
    slide = Leg((1.0, 0.0, 0.0), 4.0)
    for into in (True, False):
        told = (leg, slide) if into else (slide, leg)  # outwards the slide comes first, or last
        back = outwards(told, into)
        stretches: list[Stretch] = []
        for g, sign in back:
            s: Vec3 = (sign * (g.distance_mm or 0.0) * g.direction[0], 0.0, 0.0)
            turn = sign * g.turn_deg if g.axis else 0.0
            if g.axis:
                s = (0.0, 0.0, 0.0)
            stretches.append(following(stretches, s, turn, SEAT, turning_axis(g, SEAT), g.through))
        (turned,) = [t for t in stretches if t.turn_deg]
        assert (turned.about, turned.axis) == ((10.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        on_line = turned.start.inverse().point((10.0, 7.0, 0.0))
        np.testing.assert_allclose(turned.end.point(on_line), (10.0, 7.0, 0.0), atol=1e-9)


def test_each_stretch_begins_where_the_last_has_ended() -> None:
    stretches = travel_of(BENT, True)
    assert [s.start for s in stretches] == [Place(), *(s.end for s in stretches[:-1])]
    for a, b in pairwise(stretches):
        assert b.about == a.end.point(SEAT.shift)
