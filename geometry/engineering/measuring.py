"""How exact a clearance is measured by the usual methods, and what a reading says against a limit.

Uncertainty: half widths of the contributions as even spreads, u = √(Σ a²/3), and U = 2·u for about 95 % (GUM,
JCGM 100, type B). What a reading says is a matter of the decision rule, see :class:`DecisionRule`.

API::

    DecisionRule(kind, guard).judging(U, low, high, floor) -> Judging     # limits, guard and rule for one instrument
    Judging(...).verdict(reading) -> Verdict                              # the record sheet's script does the same sums
    too_coarse(U, low, high, floor) -> bool                               # whether U is more than a third of the band

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
Verdict = Literal["pass", "near", "fail", "cannot tell", "no limit", "below zero"]
"""``near``: accepted, but nearer to a limit than the guard, so it is read again."""
RuleKind = Literal["by instrument", "simple", "guarded"]
ISO_GUARD = 0.83
"""Guard band over U that ISO 14253-1 takes for 95 % where nothing else is agreed: the one-sided 1.65·u with U = 2·u.

From memory of the standard, not verified: a plant that needs another factor gives it with its source.
"""
COARSE_SHARE = 1 / 3
"""Greatest share of the band that an instrument's U may take: a rule of thumb of the trade, no standard's figure."""


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


def band(low: float | None, high: float | None, floor: float | None = None) -> float | None:
    """Return the width between the limits, None where it has no end; ``floor`` stands in for a least limit."""
    least = floor if low is None else low
    return None if high is None or least is None else high - least


def too_coarse(uncertainty: float, low: float | None, high: float | None, floor: float | None = None) -> bool:
    """Return whether an instrument's U takes more than a third of the band; all in one unit.

    >>> too_coarse(0.02, 0.05, 0.10), too_coarse(0.02, 0.05, 0.12), too_coarse(0.02, 1.5, None)
    (True, False, False)
    """
    width = band(low, high, floor)
    return width is not None and uncertainty > width * COARSE_SHARE * (1 + 1e-9)


@dataclass(frozen=True)
class Judging:
    """What a reading with one instrument is held against, all in the reading's unit."""

    low: float | None
    high: float | None
    guard: float
    """How near to a limit a reading is not certain."""
    guarded: bool
    """Whether a reading so near decides nothing; else the limits alone decide, and it is read again."""
    floor: float | None = None
    """No reading lies below it, None where there is no such end."""

    def verdict(self, value: float) -> Verdict:
        """Return what a reading says; the record sheet's script does the same sums.

        >>> simple, guarded = (Judging(0.10, 0.20, 0.01, guarded, 0.0) for guarded in (False, True))
        >>> [simple.verdict(x) for x in (0.15, 0.195, 0.205, 0.25, -0.01)]
        ['pass', 'near', 'fail', 'fail', 'below zero']
        >>> [guarded.verdict(x) for x in (0.15, 0.195, 0.205, 0.25, -0.01)]
        ['pass', 'cannot tell', 'cannot tell', 'fail', 'below zero']
        """
        if self.floor is not None and value < self.floor:
            return "below zero"
        if self.low is None and self.high is None:
            return "no limit"
        least = -math.inf if self.low is None else self.low
        most = math.inf if self.high is None else self.high
        if least + self.guard <= value <= most - self.guard:
            return "pass"
        if self.guarded:
            return "fail" if value < least - self.guard or value > most + self.guard else "cannot tell"
        return "near" if least <= value <= most else "fail"


@dataclass(frozen=True)
class DecisionRule:
    """How a reading is held against its limits.

    ``simple``: simple acceptance; the limits decide, and a reading inside but nearer than the guard is read again.
    ``guarded``: the thought of ISO 14253-1; a reading decides only where it is off its limit by the guard or more.
    ``by instrument``: simple where U is at most a third of the band, guarded where the instrument is coarser.
    """

    kind: RuleKind = "by instrument"
    guard: float = ISO_GUARD
    """Guard over U, above 0 and at most 1."""

    def judging(
        self, uncertainty: float, low: float | None, high: float | None, floor: float | None = None
    ) -> Judging:
        """Return what a reading with an instrument of this U is held against."""
        coarse = self.kind == "by instrument" and too_coarse(uncertainty, low, high, floor)
        return Judging(low, high, self.guard * uncertainty, self.kind == "guarded" or coarse, floor)


BY_INSTRUMENT = DecisionRule()
GUARDED = DecisionRule("guarded")


@dataclass(frozen=True)
class JudgedReading:
    """A reading against its limit."""

    value_mm: float
    uncertainty_mm: float
    verdict: Verdict


def judge_reading(
    value_mm: float, way: MeasuringMethod, limit: Limit | None, rule: DecisionRule = BY_INSTRUMENT
) -> JudgedReading:
    """Return what the reading of a length says by a decision rule.

    Args:
        value_mm: what was read.
        way: how it was measured.
        limit: the sourced limit; without one nothing is judged.
        rule: how it is held against its limit.

    Raises:
        ValueError: if the reading is no finite number.
    """
    if not math.isfinite(value_mm):
        raise ValueError(f"a reading is a number, got {value_mm}")
    u = uncertainty_figure(way).value
    low, high = (None, None) if limit is None else (limit.low, limit.high)
    return JudgedReading(value_mm, u, rule.judging(u, low, high, 0.0).verdict(value_mm))
