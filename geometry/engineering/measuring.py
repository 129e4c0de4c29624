"""How exact a clearance is measured by the usual methods, and what a reading says against a limit.

Uncertainty: half widths of the contributions as even spreads, u = √(Σ a²/3), and U = 2·u for about 95 % (GUM,
JCGM 100, type B). A reading judges only outside its own uncertainty (the thought of ISO 14253-1): inside the
limits by more than U it passes, outside by more than U it fails, between it cannot tell.

Not verified: the errors of the instruments are typed from general knowledge of the standards named (that of outside
micrometers to 50 mm was seen in a public extract of DIN 863); a calibrated instrument's own certificate is better. What
the hand and the set-up add is an estimate and is named as one.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from typing import Literal

from .figures import Figure, Input, Limit, amount, make_figure
from .topics import Topic

ESTIMATE = Topic("source.estimate")
GUM = Topic("source.gum", standard="GUM (JCGM 100)")
Verdict = Literal["pass", "fail", "cannot tell", "no limit"]


@dataclass(frozen=True)
class Contribution:
    """One thing that makes a reading uncertain: it may be off by ``half_mm`` to each side."""

    key: str
    half_mm: float
    source: Topic


@dataclass(frozen=True)
class MeasuringMethod:
    """A way to measure a length; what is done step by step, and with which tools, the catalogues of words say."""

    key: str
    contributions: tuple[Contribution, ...]


@dataclass(frozen=True)
class Instrument:
    """What a reading is taken with; ``uncertainty`` is U (about 95 %) in the unit of the reading.

    ``key`` is that of its measuring method, or of the torque wrench.
    """

    key: str
    uncertainty: float
    figure: Figure
    """How the uncertainty comes about, in mm or N·m."""

    def reach(self, unit: str) -> str:
        """Return the uncertainty as printed, in the unit of the reading: ``±0.015 mm``."""
        decimals = self.figure.decimals if unit == self.figure.unit else None
        return f"±{amount(self.uncertainty, unit, decimals)}"


_BLADE_STEP = Contribution("blade_step", 0.005, Topic("source.next_blade"))
_BLADE = Contribution("blade", 0.005, Topic("source.blade", standard="DIN 2275"))
SCALE = Contribution("scale", 0.005, Topic("source.scale"))
HYSTERESIS = Contribution("hysteresis", 0.003, Topic("source.standard", standard="DIN 878"))
STAND = Contribution("stand", 0.005, ESTIMATE)
METHODS = {
    m.key: m
    for m in (
        MeasuringMethod(
            "feeler-straightedge",
            (
                _BLADE_STEP,
                _BLADE,
                Contribution("straightness", 0.006, Topic("source.straightedge", standard="DIN 874-1")),
                Contribution("drag", 0.010, ESTIMATE),
            ),
        ),
        MeasuringMethod(
            "feeler-radial", (_BLADE_STEP, _BLADE, Contribution("drag_in_bore", 0.015, ESTIMATE))
        ),
        MeasuringMethod(
            "feeler-mesh", (_BLADE_STEP, _BLADE, Contribution("drag_on_flanks", 0.015, ESTIMATE))
        ),
        MeasuringMethod("feeler-bent", (_BLADE_STEP, _BLADE, Contribution("bend", 0.015, ESTIMATE))),
        MeasuringMethod(
            "depth-micrometer",
            (
                Contribution("micrometer", 0.005, Topic("source.micrometer", standard="DIN 863")),
                SCALE,
                Contribution("seat_of_base", 0.005, ESTIMATE),
            ),
        ),
        MeasuringMethod(
            "dial-indicator",
            (
                Contribution("indicator", 0.017, Topic("source.indicator", standard="DIN 878")),
                SCALE,
                HYSTERESIS,
                STAND,
            ),
        ),
    )
}
"""Key to method."""


def method(key: str) -> MeasuringMethod:
    """Return the measuring method ``key``.

    Raises:
        KeyError: if there is none; says which there are.

    >>> [c.key for c in method("depth-micrometer").contributions]
    ['micrometer', 'scale', 'seat_of_base']
    """
    if key not in METHODS:
        near = difflib.get_close_matches(key, METHODS, n=1, cutoff=0.4)
        hint = f"did you mean {near[0]}? " if near else ""
        raise KeyError(f"no measuring method '{key}'; {hint}Known are {', '.join(METHODS)}.")
    return METHODS[key]


def uncertainty_figure(way: MeasuringMethod) -> Figure:
    """Return the expanded uncertainty U of one careful reading, mm, about 95 %."""
    inputs = tuple(
        Input(f"a{'₁₂₃₄₅₆₇₈₉'[n]}", Topic(f"contribution.{c.key}"), c.half_mm, "mm", c.source)
        for n, c in enumerate(way.contributions)
    )
    squares = " + ".join(f"{i.symbol}²" for i in inputs)
    return make_figure(
        f"reading.{way.key}", Topic("figure.reading", method=way.key), "U", "mm", f"2·√(({squares})/3)", inputs, GUM,
        not_verified=Topic("caveat.instruments"),
    )  # fmt: skip


def verdict(value: float, uncertainty: float, low: float | None, high: float | None) -> Verdict:
    """Return what a reading says against its limits, all in one unit; the record sheet's script does the same sums.

    >>> verdict(0.15, 0.01, 0.10, 0.20), verdict(0.195, 0.01, 0.10, 0.20), verdict(0.25, 0.01, 0.10, 0.20)
    ('pass', 'cannot tell', 'fail')
    """
    if low is None and high is None:
        return "no limit"
    least = -math.inf if low is None else low
    most = math.inf if high is None else high
    if least + uncertainty <= value <= most - uncertainty:
        return "pass"
    return "fail" if value < least - uncertainty or value > most + uncertainty else "cannot tell"


@dataclass(frozen=True)
class JudgedReading:
    """A reading against its limit."""

    value_mm: float
    uncertainty_mm: float
    verdict: Verdict


def judge_reading(value_mm: float, way: MeasuringMethod, limit: Limit | None) -> JudgedReading:
    """Return what a reading says: ``pass`` and ``fail`` only where its uncertainty leaves no doubt.

    Args:
        value_mm: what was read.
        way: how it was measured.
        limit: the sourced limit; without one nothing is judged.

    Raises:
        ValueError: if the reading is no finite number.
    """
    if not math.isfinite(value_mm):
        raise ValueError(f"a reading is a number, got {value_mm}")
    u = uncertainty_figure(way).value
    low, high = (None, None) if limit is None else (limit.low, limit.high)
    return JudgedReading(value_mm, u, verdict(value_mm, u, low, high))
