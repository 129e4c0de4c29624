"""Bisection: where an answer turns, how finely, and at which numbers it is asked."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.bisection import turning_point, zero_of
from hypothesis import given
from hypothesis import strategies as st


@given(
    low=st.floats(-1e3, 1e3),
    width=st.floats(1e-3, 1e3),
    share=st.floats(0.0, 1.0),
    halvings=st.integers(0, 30),
)
def test_the_turn_lies_between_the_two_numbers(low: float, width: float, share: float, halvings: int) -> None:
    high = low + width
    limit = low + share * (high - low)
    within = (high - low) / 2**halvings
    before, beyond = turning_point(lambda x: x >= limit, low, high, within)
    assert low <= before < beyond <= high
    assert beyond - before <= within * (1 + 1e-9) + 4 * math.ulp(max(abs(low), abs(high)))
    # What is at the ends is taken as known: the answer turns after ``low`` and not after ``high``.
    assert before == low or before < limit
    assert beyond == high or beyond >= limit


def test_only_middles_are_asked_as_few_as_it_takes() -> None:
    asked: list[float] = []

    def turned(x: float) -> bool:
        asked.append(x)
        return x >= 0.3

    assert turning_point(turned, 0.0, 1.0, 0.125) == (0.25, 0.375)
    assert asked == [0.5, 0.25, 0.375]


def test_a_range_that_is_fine_enough_is_not_divided() -> None:
    def never(x: float) -> bool:
        raise AssertionError(x)

    assert turning_point(never, 0.0, 1.0, 1.0) == (0.0, 1.0)
    assert turning_point(never, 2.0, 2.0, 0.1) == (2.0, 2.0)


@pytest.mark.parametrize(("low", "high", "within"), [(1.0, 0.0, 0.1), (0.0, 1.0, 0.0), (0.0, math.nan, 0.1)])
def test_what_is_no_range_is_refused(low: float, high: float, within: float) -> None:
    with pytest.raises(ValueError, match="no range to bisect"):
        turning_point(lambda x: True, low, high, within)


@given(root=st.floats(1e-6, 1.0))
def test_a_zero_is_found_to_the_last_digit(root: float) -> None:
    assert zero_of(lambda x: x - root, 0.0, 1.0) == pytest.approx(root, rel=4e-16, abs=1e-18)


def test_a_zero_at_an_end_is_found() -> None:
    assert zero_of(lambda x: x, 0.0, 1.0) == pytest.approx(0.0, abs=1e-18)
    assert zero_of(lambda x: x - 1.0, 0.0, 1.0) == pytest.approx(1.0, abs=1e-15)
    assert zero_of(lambda x: x - 5.0, 0.0, 0.0) == 0.0
