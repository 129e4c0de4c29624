"""The drift of a reading, and when it reaches its limit, with the spread.

Readings between two settings are a run: within a run what is read drifts along a line, and all runs of one reading have
the same slope, each its own height. So what an overhaul sets anew does not hide the drift. Least squares::

    b  = Σᵣ Σᵢ (t - t̄ᵣ)(y - ȳᵣ) / S,   S = Σᵣ Σᵢ (t - t̄ᵣ)²          slope, over the readings i of all runs r
    s² = Σᵣ Σᵢ (y - ȳᵣ - b(t - t̄ᵣ))² / (N - R - 1)                  N readings in R runs
    h(t) = T·s·√(1 + 1/n + (t - t̄)²/S)                               half width for one further reading of the last run

with T of Student's distribution for N - R - 1 degrees of freedom, two-sided. With one run these are the line and the
prediction interval of every textbook (NIST/SEMATECH e-Handbook of Statistical Methods, predicting a single response);
with several, parallel lines (analysis of covariance; Draper and Smith, Applied Regression Analysis, dummy variables).
A limit L is reached where the line meets it, and the spread of the date is where the interval meets it: the roots of ::

    (b² - k²/S)·u² - 2·b·d·u + d² - k²·(1 + 1/n) = 0,   u = t - t̄, d = L - ȳ, k = T·s      (inverse prediction)

Where b² is not above k²/S the slope cannot be told from none, and there is no latest date.

Not verified: that readings scatter alike at all times and independently of each other. Wear that grows faster with time
is found too late. A spread over few readings is wide, and honestly so.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

SHARE = 0.95
"""Share of further readings that lie within the interval."""
LEAST_DEGREES = 1
"""Degrees of freedom that are needed to know any scatter."""
End = Literal["low", "high"]


@dataclass(frozen=True)
class Point:
    """A reading of a run; ``day`` counts days from any beginning."""

    day: float
    figure: float
    run: int


@dataclass(frozen=True)
class DriftLine:
    """The drift of the last run."""

    slope: float
    """Change a day."""
    scatter: float
    """s, in the unit of the figures."""
    factor: float
    """T of Student's distribution."""
    count: int
    runs: int
    own: int
    """n, readings of the last run."""
    mean_day: float
    mean_figure: float
    squares: float
    """S, days squared."""

    @property
    def degrees(self) -> int:
        """Degrees of freedom."""
        return self.count - self.runs - 1

    def at(self, day: float) -> float:
        """Return the figure of the line."""
        return self.mean_figure + self.slope * (day - self.mean_day)

    def half_width(self, day: float) -> float:
        """Return how far one further reading may lie from the line, to each side."""
        u = day - self.mean_day
        return self.factor * self.scatter * math.sqrt(1 + 1 / self.own + u * u / self.squares)


@dataclass(frozen=True)
class Reach:
    """When a line reaches a limit, as days; None: never, or at no known day."""

    day: float | None
    earliest: float | None
    latest: float | None
    sure: bool
    """Whether the slope can be told from none."""


def fit(points: Iterable[Point], share: float = SHARE) -> DriftLine | None:
    """Return the drift of the last run; None where there are too few readings to know slope and scatter.

    Args:
        points: readings, in any order; the run of the highest number is the last.
        share: share of further readings that the interval holds, two-sided.

    >>> line = fit([Point(0, 1.0, 0), Point(10, 1.5, 0), Point(20, 2.0, 0)])
    >>> line.slope, line.at(30), line.half_width(30)
    (0.05, 2.5, 0.0)
    """
    by_run: dict[int, list[Point]] = defaultdict(list)
    for p in points:
        by_run[p.run].append(p)
    count = sum(len(run) for run in by_run.values())
    if count - len(by_run) - 1 < LEAST_DEGREES:
        return None
    means = {
        r: (math.fsum(p.day for p in run) / len(run), math.fsum(p.figure for p in run) / len(run))
        for r, run in by_run.items()
    }
    offs = [
        (p.day - means[r][0], p.figure - means[r][1])
        for r, run in by_run.items()
        for p in run
        if len(run) > 1
    ]
    squares = math.fsum(u * u for u, _ in offs)
    if squares <= 0:
        return None
    slope = math.fsum(u * v for u, v in offs) / squares
    degrees = count - len(by_run) - 1
    rest = math.fsum((v - slope * u) ** 2 for u, v in offs)
    last = max(by_run)
    return DriftLine(
        slope, math.sqrt(rest / degrees), student(share, degrees), count, len(by_run), len(by_run[last]),
        *means[last], squares,
    )  # fmt: skip


def student(share: float, degrees: int) -> float:
    """Return T: within plus and minus T lies ``share`` of Student's distribution.

    >>> round(student(0.95, 1), 3), round(student(0.95, 10), 3)
    (12.706, 2.228)
    """
    from scipy.special import stdtrit

    return float(stdtrit(degrees, (1 + share) / 2))


def reach(line: DriftLine, limit: float) -> Reach:
    """Return when ``line`` reaches ``limit``, and from when to when its interval does.

    >>> line = fit([Point(0, 1.0, 0), Point(10, 1.5, 0), Point(20, 2.0, 0)])
    >>> reach(line, 3.0)
    Reach(day=40.0, earliest=40.0, latest=40.0, sure=True)
    """
    d, b, k = limit - line.mean_figure, line.slope, line.factor * line.scatter
    day = line.mean_day + d / b if b else None
    square = b * b - k * k / line.squares
    # (b·d)² - square·(d² - k²(1 + 1/n)), without the difference of two large figures that are nearly alike.
    inner = k * k * (d * d / line.squares + (1 + 1 / line.own) * square)
    sure = square > 0
    if sure:
        root = math.sqrt(max(inner, 0.0))
        ends = ((b * d - root) / square, (b * d + root) / square)
        return Reach(day, line.mean_day + ends[0], line.mean_day + ends[1], True)
    if square == 0 or inner < 0:
        return Reach(day, None, None, False)
    # The interval opens faster than the line climbs: from one day on it holds the limit, and never leaves it.
    later = max((b * d + sign * math.sqrt(inner)) / square for sign in (-1, 1))
    return Reach(day, line.mean_day + later, None, False)
