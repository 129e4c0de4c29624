"""Readings: uncertainty by hand, and what each decision rule makes of them."""

from __future__ import annotations

import doctest
import math
from statistics import NormalDist

import pytest
from benchleaf.geometry.engineering import measuring
from benchleaf.geometry.engineering.figures import Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.measuring import (
    ISO_GUARD,
    METHODS,
    DecisionRule,
    MeasuringMethod,
    judge_reading,
    method,
    too_coarse,
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


RULES = st.builds(DecisionRule, st.sampled_from(("by instrument", "simple", "guarded")), st.floats(0.01, 1.0))


@given(st.floats(-0.1, 0.5), WAYS, RULES)
def test_a_verdict_says_no_more_than_its_rule_allows(
    value: float, way: MeasuringMethod, rule: DecisionRule
) -> None:
    found = judge_reading(value, way, LIMIT, rule)
    g = rule.guard * found.uncertainty_mm
    guarded = rule.kind == "guarded" or (rule.kind == "by instrument" and found.uncertainty_mm > 0.1 / 3)
    inside = 0.10 <= value <= 0.20
    clear = not (0.10 - g < value < 0.10 + g or 0.20 - g < value < 0.20 + g)
    wanted = {
        (True, True): "pass",
        (True, False): "cannot tell" if guarded else "near",
        (False, True): "fail",
        (False, False): "cannot tell" if guarded else "fail",
    }[inside, clear]
    ends = (0.0, 0.10 - g, 0.10 + g, 0.20 - g, 0.20 + g)
    if min(abs(value - end) for end in ends) > 1e-12:
        assert found.verdict == ("below zero" if value < 0 else wanted)


# ------------------------------------------------------------------ what each rule leaves of a band
def _shares(rule: DecisionRule, u: float, low: float, high: float) -> dict[str, float]:
    """Return which share of the band between the limits has which verdict, from 200,000 readings."""
    judging, n = rule.judging(u, low, high, 0.0), 200_000
    counts: dict[str, float] = {}
    for k in range(n):
        said = judging.verdict(low + (k + 0.5) / n * (high - low))
        counts[said] = counts.get(said, 0) + 1 / n
    return counts


TORQUE = (2.4480, 47.0, 53.0)
"""±4 % of 53 N·m over √3, twice; 50 ± 3 N·m."""
GAP = (0.01915, 0.05, 0.10)
FINE = (0.012, 0.05, 0.10)


@pytest.mark.parametrize(("u", "low", "high"), [TORQUE, GAP, FINE], ids=["torque", "gap", "fine"])
def test_shares_of_the_band_in_closed_form(u: float, low: float, high: float) -> None:
    share = u / (high - low)
    whole = _shares(DecisionRule("guarded", 1.0), u, low, high)
    iso = _shares(DecisionRule("guarded"), u, low, high)
    simple = _shares(DecisionRule("simple"), u, low, high)
    assert whole["pass"] == pytest.approx(1 - 2 * share, abs=2e-5)
    assert iso["pass"] == pytest.approx(1 - 2 * 0.83 * share, abs=2e-5)
    assert iso["cannot tell"] == pytest.approx(2 * 0.83 * share, abs=2e-5)
    assert set(simple) == {"pass", "near"}, "simple acceptance takes all of the band"
    assert simple["near"] == pytest.approx(2 * 0.83 * share, abs=2e-5)
    assert _shares(DecisionRule(), u, low, high) == (iso if share > 1 / 3 else simple)


def test_the_whole_error_as_guard_left_little_of_a_band() -> None:
    found = {
        n: _shares(DecisionRule("guarded", 1.0), *b)["pass"] for n, b in (("torque", TORQUE), ("gap", GAP))
    }
    assert found == {"torque": pytest.approx(0.184, abs=1e-3), "gap": pytest.approx(0.234, abs=1e-3)}


def test_the_factor_of_the_guard_is_that_of_a_one_sided_95_percent() -> None:
    assert pytest.approx(NormalDist().inv_cdf(0.95) / 2, abs=0.01) == ISO_GUARD


@pytest.mark.parametrize(
    ("u", "low", "high", "floor", "coarse"),
    [
        (0.02, 0.05, 0.11, 0.0, False),
        (0.0201, 0.05, 0.11, 0.0, True),
        (0.0137, None, 0.03, 0.0, True),
        (0.0137, None, 0.05, 0.0, False),
        (0.0137, None, 0.03, None, False),
        (5.0, 1.5, None, 0.0, False),
        (5.0, None, None, 0.0, False),
    ],
)
def test_an_instrument_is_too_coarse_beyond_a_third_of_the_band(
    u: float, low: float | None, high: float | None, floor: float | None, coarse: bool
) -> None:
    assert too_coarse(u, low, high, floor) is coarse
    assert DecisionRule().judging(u, low, high, floor).guarded is coarse
    assert not DecisionRule("simple").judging(u, low, high, floor).guarded
    assert DecisionRule("guarded").judging(u, low, high, floor).guarded


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (0.15, "pass"),
        (0.105, "near"),
        (0.195, "near"),
        (0.09999, "fail"),
        (0.3, "fail"),
        (-1e-9, "below zero"),
    ],
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
