"""Readings: uncertainty by hand, and verdicts only where they are certain."""

from __future__ import annotations

import doctest
import math

import pytest
from benchleaf.geometry.engineering import measuring
from benchleaf.geometry.engineering.figures import Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.measuring import (
    METHODS,
    MeasuringMethod,
    judge_reading,
    method,
    uncertainty_figure,
)
from benchleaf.geometry.engineering.topics import Topic
from hypothesis import given
from hypothesis import strategies as st

SHEET = Topic("source.sheet")
LIMIT = Limit(0.10, 0.20, "mm", SHEET)
WAYS = st.sampled_from(list(METHODS.values()))


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(measuring).failed == 0


@pytest.mark.parametrize("way", METHODS.values(), ids=lambda m: m.key)
def test_each_method_says_how_exact_it_is(way: MeasuringMethod) -> None:
    assert METHODS[way.key] is way
    assert all(c.half_mm > 0 for c in way.contributions)
    assert len({c.key for c in way.contributions}) == len(way.contributions)
    assert any(c.source == measuring.ESTIMATE for c in way.contributions)
    assert any("standard" in dict(c.source.facts) for c in way.contributions)
    figure = uncertainty_figure(way)
    assert figure.topic == Topic("figure.reading", method=way.key)
    assert [i.topic.key for i in figure.inputs] == [f"contribution.{c.key}" for c in way.contributions]


@pytest.mark.parametrize("way", METHODS.values(), ids=lambda m: m.key)
def test_uncertainty_is_twice_the_root_of_even_spreads(way: MeasuringMethod) -> None:
    figure = uncertainty_figure(way)
    variance = sum((c.half_mm / math.sqrt(3)) ** 2 for c in way.contributions)
    assert figure.value == pytest.approx(2 * math.sqrt(variance))
    assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()
    assert 0.005 < figure.value < 0.03


def test_a_micrometer_reads_finer_than_a_feeler_gauge() -> None:
    order = [
        uncertainty_figure(method(k)).value
        for k in ("depth-micrometer", "feeler-straightedge", "feeler-radial")
    ]
    assert order == sorted(order)


@given(st.floats(-0.1, 0.5), WAYS)
def test_a_verdict_holds_for_every_value_the_reading_could_mean(value: float, way: MeasuringMethod) -> None:
    found = judge_reading(value, way, LIMIT)
    u = found.uncertainty_mm
    ends = [0.10 <= x <= 0.20 for x in (value - u, value + u)]
    if found.verdict == "pass":
        assert all(ends)
    elif found.verdict == "fail":
        assert value + u < 0.10 or value - u > 0.20
    else:
        assert found.verdict == "cannot tell"
        assert not all(ends)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0.15, "pass"), (0.105, "cannot tell"), (0.195, "cannot tell"), (0.05, "fail"), (0.3, "fail")],
)
def test_verdicts_in_their_order(value: float, verdict: str) -> None:
    found = judge_reading(value, method("depth-micrometer"), LIMIT)
    assert found.verdict == verdict
    assert found.value_mm == value
    assert found.uncertainty_mm == uncertainty_figure(method("depth-micrometer")).value


def test_one_sided_limits_judge_on_their_side() -> None:
    way = method("depth-micrometer")
    assert judge_reading(5.0, way, Limit(0.1, None, "mm", SHEET)).verdict == "pass"
    assert judge_reading(5.0, way, Limit(None, 0.1, "mm", SHEET)).verdict == "fail"


def test_without_a_limit_a_reading_is_only_written_down() -> None:
    for limit in (None, Limit(None, None, "mm", SHEET)):
        found = judge_reading(0.15, method("dial-indicator"), limit)
        assert found.verdict == "no limit"


def test_what_is_no_reading_is_refused() -> None:
    with pytest.raises(ValueError, match="a reading is a number"):
        judge_reading(math.nan, method("dial-indicator"), LIMIT)
    with pytest.raises(KeyError, match="no measuring method 'feeler'; did you mean feeler-"):
        method("feeler")
