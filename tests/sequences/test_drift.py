"""Drift and when a limit is reached: against closed forms, an independent fit, and how often the interval holds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from benchleaf.sequences.records.drift import DriftLine, Point, fit, reach, student
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

figures = st.floats(-50, 50).filter(lambda x: x == 0 or abs(x) > 1e-3)


def straight(height: float, slope: float, days: list[float], run: int = 0) -> list[Point]:
    return [Point(d, height + slope * d, run) for d in days]


@given(
    height=figures,
    slope=figures,
    limit=figures,
    days=st.lists(st.integers(0, 5000), min_size=3, max_size=9, unique=True),
)
def test_a_drift_without_scatter_reaches_its_limit_on_the_day_of_the_closed_form(
    height: float, slope: float, limit: float, days: list[int]
) -> None:
    assume(slope != 0)
    line = fit(straight(height, slope, [float(d) for d in days]))
    assert line is not None
    day = (limit - height) / slope
    reached = reach(line, limit)
    assert reached.sure
    for found in (reached.day, reached.earliest, reached.latest):
        assert found == pytest.approx(day, rel=1e-6, abs=1e-3)


def scattered(seed: int, runs: int = 1, slope: float = 0.02, sigma: float = 0.5) -> list[Point]:
    chance = np.random.default_rng(seed)
    return [
        Point(
            400.0 * r + 40.0 * n,
            5.0 - 6.0 * r + slope * (400.0 * r + 40.0 * n) + float(chance.normal(0, sigma)),
            r,
        )
        for r in range(runs)
        for n in range(int(chance.integers(1, 4)) if r < runs - 1 else 6)
    ]


def test_one_run_is_the_line_and_the_prediction_interval_of_the_textbook() -> None:
    points = scattered(3)
    line = fit(points)
    assert line is not None
    x, y = (np.array([getattr(p, name) for p in points]) for name in ("day", "figure"))
    known = stats.linregress(x, y)
    assert line.slope == pytest.approx(known.slope)
    n, s = len(x), math.sqrt(((y - known.intercept - known.slope * x) ** 2).sum() / (len(x) - 2))
    assert line.scatter == pytest.approx(s)
    for day in (-100.0, 90.0, 900.0):
        assert line.at(day) == pytest.approx(known.intercept + known.slope * day)
        wide = (
            stats.t.ppf(0.975, n - 2)
            * s
            * math.sqrt(1 + 1 / n + (day - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
        )
        assert line.half_width(day) == pytest.approx(wide)


@pytest.mark.parametrize("seed", range(8))
def test_several_runs_are_parallel_lines_fitted_independently_by_matrix(seed: int) -> None:
    points = scattered(seed, runs=4)
    line = fit(points)
    assert line is not None
    matrix = np.array([[p.day - 1400.0, *(float(p.run == r) for r in range(4))] for p in points])
    y = np.array([p.figure for p in points])
    inverse = np.linalg.inv(matrix.T @ matrix)
    beta = inverse @ matrix.T @ y
    degrees = len(points) - 5
    s = math.sqrt(((y - matrix @ beta) ** 2).sum() / degrees)
    assert (line.slope, line.scatter) == pytest.approx((beta[0], s))
    assert line.degrees == degrees
    for day in (1300.0, 2500.0):
        row = np.array([day - 1400.0, 0, 0, 0, 1])
        assert line.at(day) == pytest.approx(row @ beta)
        wide = stats.t.ppf(0.975, degrees) * s * math.sqrt(1 + row @ inverse @ row)
        assert line.half_width(day) == pytest.approx(wide)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("slope", [0.02, -0.02])
def test_earliest_and_latest_are_where_the_interval_meets_the_limit(seed: int, slope: float) -> None:
    line = fit(scattered(seed, slope=slope, sigma=0.05))
    assert line is not None
    limit = line.at(3000.0)
    reached = reach(line, limit)
    assert reached.sure
    assert reached.day == pytest.approx(3000.0)
    assert reached.earliest is not None
    assert reached.latest is not None
    assert reached.earliest < 3000.0 < reached.latest
    sign = math.copysign(1, slope)
    assert line.at(reached.earliest) + sign * line.half_width(reached.earliest) == pytest.approx(limit)
    assert line.at(reached.latest) - sign * line.half_width(reached.latest) == pytest.approx(limit)


def test_a_slope_that_cannot_be_told_from_none_has_no_latest_day() -> None:
    flat = [Point(0, 1.0, 0), Point(100, 1.3, 0), Point(200, 0.9, 0), Point(300, 1.1, 0)]
    line = fit(flat)
    assert line is not None
    for limit in (4.0, -2.0):
        reached = reach(line, limit)
        assert (reached.sure, reached.latest) == (False, None)
        assert reached.earliest is not None
        assert reached.earliest > 300
        ends = line.at(reached.earliest) + np.array([-1, 1]) * line.half_width(reached.earliest)
        assert min(abs(ends - limit)) == pytest.approx(0, abs=1e-9)
    inside = reach(line, 1.2)
    assert (inside.sure, inside.earliest) == (False, None), "it may be there at any time"


def test_a_level_line_without_scatter_never_gets_there() -> None:
    line = fit(straight(1.0, 0.0, [0.0, 10.0, 20.0]))
    assert line is not None
    reached = reach(line, 2.0)
    assert (reached.day, reached.earliest, reached.latest, reached.sure) == (None, None, None, False)


@pytest.mark.parametrize(
    ("points", "enough"),
    [
        ([], False),
        (straight(1, 1, [0.0, 1.0]), False),
        (straight(1, 1, [0.0, 1.0, 2.0]), True),
        (straight(1, 1, [5.0, 5.0, 5.0, 5.0]), False),
        ([*straight(1, 1, [0.0, 1.0]), *straight(0, 1, [2.0], 1)], False),
        ([*straight(1, 1, [0.0, 1.0, 2.0]), *straight(0, 1, [3.0], 1)], True),
    ],
)
def test_too_few_readings_give_no_line(points: list[Point], enough: bool) -> None:
    assert (fit(points) is not None) == enough


def test_the_interval_holds_as_many_further_readings_as_it_says() -> None:
    chance, held, tries = np.random.default_rng(17), 0, 4000
    for _ in range(tries):
        days = np.sort(chance.uniform(0, 1000, 5))
        line = fit(Point(float(d), 2.0 + 0.01 * d + float(chance.normal(0, 1)), 0) for d in days)
        assert isinstance(line, DriftLine)
        held += abs(2.0 + 0.01 * 1200 + chance.normal(0, 1) - line.at(1200)) <= line.half_width(1200)
    # binomial: 0.95 with a standard deviation of 0.0034 over 4,000 tries
    assert held / tries == pytest.approx(0.95, abs=0.0138)


def test_student_against_the_table() -> None:
    for degrees in (1, 2, 5, 30):
        assert student(0.95, degrees) == pytest.approx(stats.t.ppf(0.975, degrees))
