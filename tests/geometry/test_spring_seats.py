"""How the nut's spring bears right way round and turned over, against energy and limiting cases."""

from __future__ import annotations

import dataclasses

import pytest
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.springs.disc_springs import DiscSpring
from benchleaf.geometry.engineering.springs.spring_seats import (
    LEAST_LEVER,
    Pocket,
    TurnedOver,
    fit,
    seat_force_n,
    turned_over,
)
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import integrate

SPRING = DiscSpring(24.0, 14.0, 1.5, 0.7)


def _pocket(land_outer: float = 18.5, share: float = 0.75, floor_inner: float = 14.0) -> Pocket:
    """A pocket with the spring at ``share`` of its cone when the nut is home."""
    gap = SPRING.thickness_mm + SPRING.cone_mm * (1 - share)
    return Pocket(gap, 0.0, land_outer, floor_inner, 24.3)


def test_the_right_way_round_it_bears_on_its_edges() -> None:
    right = fit(SPRING, _pocket())
    assert (right.hub_contact_mm, right.nut_contact_mm, right.lever, right.state) == (
        14.0,
        24.0,
        1.0,
        "working",
    )
    assert right.travel_mm == pytest.approx(0.525)
    assert right.force_n == pytest.approx(SPRING.force_n(0.525))


def test_turned_over_it_bears_on_the_edge_of_the_land() -> None:
    wrong = fit(SPRING, _pocket(), turned_over=True)
    assert (wrong.hub_contact_mm, wrong.nut_contact_mm) == (18.5, 14.0)
    assert wrong.lever == pytest.approx(0.45)
    # free height between the contacts 1.5 + 0.45 * 0.7 = 1.815, room 1.675
    assert wrong.travel_mm == pytest.approx(0.14)
    assert wrong.force_n == pytest.approx(SPRING.force_n(0.14 / 0.45) / 0.45)


def test_which_way_is_right_is_data_of_the_size() -> None:
    pocket = _pocket()
    other = dataclasses.replace(pocket, outer_edge="hub")
    assert fit(SPRING, other).hub_contact_mm == fit(SPRING, pocket, turned_over=True).hub_contact_mm == 18.5
    assert fit(SPRING, other, turned_over=True).hub_contact_mm == fit(SPRING, pocket).hub_contact_mm == 14.0


@settings(max_examples=40)
@given(st.floats(LEAST_LEVER, 1.0), st.floats(0.05, 1.0))
def test_a_shorter_lever_does_the_same_work(lever: float, share: float) -> None:
    """F·s stays: the work between the contacts is the work of the turned section, whatever the lever."""
    travel = share * lever * SPRING.cone_mm
    work = integrate.quad(lambda u: seat_force_n(SPRING, lever, u), 0, travel)[0]
    assert work == pytest.approx(integrate.quad(SPRING.force_n, 0, share * SPRING.cone_mm)[0], rel=1e-6)


@given(st.floats(15.5, 23.9))
def test_turned_over_it_never_follows_more(land: float) -> None:
    pocket = _pocket(land)
    right, wrong = fit(SPRING, pocket), fit(SPRING, pocket, turned_over=True)
    assert wrong.travel_mm < right.travel_mm
    assert wrong.lever < right.lever


@given(st.floats(16.0, 23.0), st.floats(0.1, 0.8))
def test_a_wider_land_lets_the_turned_spring_follow_more(land: float, more: float) -> None:
    a, b = (fit(SPRING, _pocket(x), turned_over=True) for x in (land, land + more))
    assert b.travel_mm >= a.travel_mm


def test_on_seats_wider_than_the_spring_turning_it_changes_nothing_but_the_edges() -> None:
    found = turned_over(SPRING, _pocket(land_outer=30.0))
    assert found.wrong.force_n == pytest.approx(found.right.force_n)
    assert found.wrong.travel_mm == pytest.approx(found.right.travel_mm)
    assert (found.wrong.hub_contact_mm, found.right.hub_contact_mm) == (24.0, 14.0)
    assert found.effect == "alike"


def test_a_narrow_land_leaves_a_turned_spring_loose_or_solid() -> None:
    # lever 0.2: free height 1.64 mm in 1.675 mm of room
    loose = turned_over(SPRING, _pocket(land_outer=16.0))
    assert loose.wrong.state == "loose"
    assert loose.wrong.force_n == loose.wrong.travel_mm == 0.0
    assert loose.effect == "loose"
    solid = turned_over(SPRING, _pocket(land_outer=14.5))
    assert solid.wrong.state == "no lever"
    assert solid.effect == "no lever"


def test_a_pocket_too_deep_or_too_shallow_is_told() -> None:
    deep = turned_over(SPRING, dataclasses.replace(_pocket(), gap_mm=2.5))
    assert deep.right.state == "loose"
    shallow = turned_over(SPRING, dataclasses.replace(_pocket(), gap_mm=1.4))
    assert shallow.right.state == "flat"
    stopped = fit(SPRING, dataclasses.replace(_pocket(), gap_mm=1.4))
    assert stopped.travel_mm == pytest.approx(SPRING.cone_mm)


def test_turned_over_it_follows_less() -> None:
    found = turned_over(SPRING, _pocket())
    assert found.effect == "less"
    assert (found.right.travel_mm, found.wrong.travel_mm) == pytest.approx((0.525, 0.14))
    assert [f.topic.key for f in found.figures if f.id.startswith("disc_spring.lever")] == [
        "figure.lever.right",
        "figure.lever.turned_over",
    ]


def test_a_floor_wider_than_the_thread_lets_a_turned_spring_press_flat_or_more() -> None:
    """The right way round it bears on a wide land and a narrow floor; turned over the other way about."""
    right = fit(SPRING, _pocket())
    flat = dataclasses.replace(fit(SPRING, _pocket(), turned_over=True), state="flat")
    assert TurnedOver(right, flat, ()).effect == "flat"
    more = dataclasses.replace(right, turned_over=True, travel_mm=1.1 * right.travel_mm)
    assert TurnedOver(right, more, ()).effect == "more"
    stiff = dataclasses.replace(right, turned_over=True, force_n=1.1 * right.force_n)
    assert TurnedOver(right, stiff, ()).effect == "more", "the same travel, another preload"


@given(st.floats(14.0, 30.0), st.floats(0.3, 0.95), st.floats(10.0, 15.0))
@example(21.015625, 0.3046875, 10.0)  # pressed by 6 µm only
def test_a_reader_can_work_every_figure_again(land: float, share: float, floor: float) -> None:
    found = turned_over(SPRING, _pocket(land, share, floor))
    ids = [f.id for f in found.figures]
    assert len(ids) == len(set(ids))
    for figure in found.figures:
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()
    named = {f.id: f.value for f in found.figures}
    for tail, way in (("", found.right), ("_reversed", found.wrong)):
        assert named[f"disc_spring.lever{tail}"] == pytest.approx(100 * way.lever, abs=1e-9)
        if way.force_n > 0:
            assert named[f"disc_spring.travel{tail}"] == pytest.approx(way.travel_mm)
            assert named[f"disc_spring.force{tail}"] == pytest.approx(way.force_n)
