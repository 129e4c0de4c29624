"""What settling leaves of a preload, against closed forms and an independent solver."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.springs import settling
from benchleaf.geometry.engineering.springs.disc_springs import DiscSpring
from benchleaf.geometry.engineering.springs.settling import Joint, settle
from benchleaf.geometry.engineering.springs.spring_seats import Pocket, fit, seat_force_n
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

SPRING = DiscSpring(23.04, 14.4, 1.5, 0.67)
POCKET = Pocket(1.5 + 0.25 * 0.67, 0.0, 18.3, 14.0, 23.3)
RIGHT, WRONG = fit(SPRING, POCKET), fit(SPRING, POCKET, turned_over=True)
JOINT = Joint(770.0, 1500.0)
WAYS = st.sampled_from([RIGHT, WRONG])


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(settling).failed == 0


@given(st.floats(1e3, 1e5), st.floats(0, 200), st.floats(50, 5000), st.floats(50, 5000))
def test_a_plain_joint_follows_its_closed_form(preload: float, um: float, k1: float, k2: float) -> None:
    found = settle(preload, Joint(k1, k2), um)
    closed = max(preload - um * k1 * k2 / (k1 + k2), 0.0)
    assert found.plain_n == pytest.approx(closed)
    assert found.kept_n == pytest.approx(closed, abs=1e-6 * preload)
    assert found.spring_n == 0.0


@given(st.floats(8e3, 1e5), st.floats(0.1, 600), WAYS)
def test_pull_and_push_are_equal_after_settling(preload: float, um: float, way: object) -> None:
    fitted = RIGHT if way is RIGHT else WRONG

    def push(travel_mm: float) -> float:
        return seat_force_n(SPRING, fitted.lever, travel_mm)

    home = fitted.travel_mm
    face = preload - push(home)

    def off(x: float) -> float:
        gone = um - x
        return max(face - 1500 * gone, 0.0) + push(home - gone / 1000) - (preload - 770 * x)

    x = optimize.brentq(off, 0.0, min(um, preload / 770) * (1 + 1e-9), xtol=1e-12) if off(0) < 0 else 0.0
    assert settle(preload, JOINT, um, SPRING, fitted).kept_n == pytest.approx(preload - 770 * x, abs=1e-3)


@given(st.floats(1e3, 6e4), st.floats(0, 400), st.floats(0.1, 100), WAYS)
def test_more_settling_never_leaves_more(preload: float, um: float, more: float, way: object) -> None:
    fitted = RIGHT if way is RIGHT else WRONG
    a, b = settle(preload, JOINT, um, SPRING, fitted), settle(preload, JOINT, um + more, SPRING, fitted)
    assert b.kept_n <= a.kept_n * (1 + 1e-9) + 1e-6
    assert 0 <= b.spring_n <= b.kept_n + 1e-9


def test_once_the_plain_joint_is_loose_the_spring_alone_holds() -> None:
    found = settle(21000, JOINT, 80, SPRING, RIGHT)
    assert found.plain_n == 0.0
    assert found.kept_n == pytest.approx(found.spring_n)
    assert 0.6 * RIGHT.force_n < found.kept_n < RIGHT.force_n


def test_a_spring_turned_over_lets_go_long_before() -> None:
    right, wrong = (settle(21000, JOINT, 200, SPRING, way) for way in (RIGHT, WRONG))
    assert right.kept_n > 3000
    assert wrong.kept_n == pytest.approx(0.0, abs=1e-3)
    assert wrong.figures[-1].value == pytest.approx(0.0, abs=1e-3)
    assert wrong.figures[-1].id == "nut.kept_share_reversed"
    assert [f.topic.key for f in wrong.figures] == [
        "figure.kept.plain",
        "figure.kept.turned_over",
        "figure.kept_share.turned_over",
    ]
    assert [f.topic.key for f in right.figures][1:] == ["figure.kept.right", "figure.kept_share.right"]
    assert (wrong.fitted, wrong.preload_n, wrong.settling_um) == (WRONG, 21000, 200)


def test_without_settling_nothing_is_lost() -> None:
    found = settle(21000, JOINT, 0.0, SPRING, RIGHT)
    assert found.plain_n == found.kept_n == 21000
    assert found.spring_n == pytest.approx(RIGHT.force_n)


def test_a_nut_that_hangs_on_its_spring_keeps_most_of_its_little() -> None:
    found = settle(2000, JOINT, 20, SPRING, RIGHT)
    assert found.plain_n == 0.0
    assert 0.85 * 2000 < found.kept_n < 2000
    assert found.spring_n == pytest.approx(found.kept_n)


@given(st.floats(2e3, 6e4), st.floats(1, 300), WAYS)
def test_a_reader_can_work_every_figure_again(preload: float, um: float, way: object) -> None:
    found = settle(round(preload), JOINT, round(um), SPRING, RIGHT if way is RIGHT else WRONG)
    assert [f.symbol for f in found.figures] == ["F₀", "F", "r"]
    for figure in found.figures:
        # a small difference of two printed four-digit figures: allow the last digit of the larger
        slack = max(hand_tolerance(figure), 1e-3 * preload if figure.unit == "N" else 0.1)
        assert abs(by_hand(figure) - figure.value) <= slack, figure.working()


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="not below zero"):
        settle(-1, JOINT, 10)
    with pytest.raises(ValueError, match="belong together"):
        settle(1000, JOINT, 10, SPRING)
