"""The forms in which parts give their surfaces: where each begins, which way it is reached, what belongs to it."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.geometry.parts.named_surfaces import face, hole, racetrack, ring, round_skin, slot


def test_what_is_reached_from_the_rear_begins_there() -> None:
    front, rear = (
        ring("collar", "journal", (4.0, 6.0), (2.0, 9.0), back=back, size=12.0) for back in (False, True)
    )
    assert (front.origin, front.direction, front.along_mm) == ((0.0, 0.0, 9.0), (0.0, 0.0, 1.0), (-7.0, 0.0))
    assert (rear.origin, rear.direction, rear.along_mm) == ((0.0, 0.0, 2.0), (0.0, 0.0, -1.0), (-7.0, 0.0))
    points = np.array([[5.0, 0.0, z] for z in (1.9, 2.1, 8.9, 9.1)])
    assert front.holds(points).tolist() == rear.holds(points).tolist() == [False, True, True, False]


def test_a_face_is_a_plane_and_a_skin_a_cylinder() -> None:
    plane = face("front face", 3.0, (1.0, 2.0), at=(10.0, 0.0))
    assert plane.holds(np.array([[11.5, 0.0, 3.0], [11.5, 0.0, 3.1], [10.5, 0.0, 3.0]])).tolist() == [
        True,
        False,
        False,
    ]
    skin = round_skin("bore", "bore", 8.0, (0.0, 5.0))
    assert skin.size_mm == 16.0
    assert skin.holds(np.array([[8.0, 0.0, 1.0], [7.9, 0.0, 1.0], [8.2, 0.0, 1.0]])).tolist() == [
        True,
        True,
        False,
    ]


def test_a_hole_leaves_out_the_planes_that_it_opens_into() -> None:
    drilled = hole("stud hole 1", 5.0, (-20.0, 0.0), at=(3.0, 4.0), size=9.0)
    assert drilled.size_mm == 9.0
    points = np.array([[8.0, 4.0, -10.0], [8.0, 4.0, 0.0], [8.0, 4.0, -20.0]])
    assert drilled.holds(points).tolist() == [True, False, False]


@pytest.mark.parametrize("angle", [0.0, 90.0, 210.0])
def test_a_slot_holds_its_floor_and_sides_and_points_out_of_itself(angle: float) -> None:
    keyway = slot("keyway", "keyway", (8.0, 10.9), (0.0, 20.0), width=6.0, angle_deg=angle)
    a = np.radians(angle)
    out, side = np.array([np.cos(a), np.sin(a), 0.0]), np.array([-np.sin(a), np.cos(a), 0.0])
    high = np.array([0.0, 0.0, 10.0])
    points = np.array(
        [8.1 * out + high, 10.0 * out + 3.0 * side + high, 10.0 * out + 5.0 * side + high, -9.0 * out + high]
    )
    assert keyway.holds(points).tolist() == [True, True, False, False]
    assert keyway.off == pytest.approx(tuple(out), abs=1e-9)
    assert keyway.size_mm == 6.0


def test_a_racetrack_is_drawn_out_along_x() -> None:
    groove = racetrack("O-ring groove", "groove", (9.0, 11.0), (0.0, 2.0), 30.0, size=2.0)
    assert groove.holds(np.array([[0.0, 10.0, 1.0], [40.0, 0.0, 1.0], [0.0, 40.0, 1.0]])).tolist() == [
        True,
        True,
        False,
    ]
