"""How a clearance is measured, step by step, how exact a reading is, and what it says against a limit.

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

from .figures import Figure, Input, Limit, make_figure, number
from .units import NBSP

ESTIMATE = "estimate for careful work at the bench"
Verdict = Literal["pass", "fail", "cannot tell", "no limit"]


@dataclass(frozen=True)
class Contribution:
    """One thing that makes a reading uncertain: it may be off by ``half_mm`` to each side."""

    name: str
    half_mm: float
    source: str


@dataclass(frozen=True)
class MeasuringMethod:
    """A way to measure a clearance."""

    key: str
    name: str
    measures: str
    tools: tuple[str, ...]
    steps: tuple[str, ...]
    contributions: tuple[Contribution, ...]
    beware: str


@dataclass(frozen=True)
class Instrument:
    """What a reading is taken with; ``uncertainty`` is U (about 95 %) in the unit of the reading."""

    key: str
    name: str
    uncertainty: float
    figure: Figure
    """How the uncertainty comes about, in mm or N·m."""
    method: MeasuringMethod | None = None
    """Step by step; None for a torque wrench."""

    def told(self, unit: str) -> str:
        """Return the uncertainty in words, in the unit of the reading."""
        decimals = self.figure.decimals if unit == self.figure.unit else None
        return f"±{number(self.uncertainty, unit, decimals)}{NBSP}{unit}"


METHODS = {
    m.key: m
    for m in (
        MeasuringMethod(
            "feeler-straightedge",
            "Feeler gauge under a straightedge",
            "front-face clearance: how far the rotor's face lies below the body's face",
            (
                "straightedge longer than the body's face is wide",
                "feeler gauge with 0.01 mm steps",
                "lint-free cloth",
            ),
            (
                "Wipe the body's face, the rotor's face, the straightedge and each blade; a grain counts as clearance.",
                "Push the rotor home by hand along the shaft, so that play does not hide in the reading.",
                "Lay the straightedge on its edge across the body's face, over the rotor's wing or lobe.",
                "Hold it down on the body on both sides; it must not rock on a dowel, a burr or a stud.",
                "Slide in the thickest blade that goes with a light drag, flat on the rotor, without lifting the edge.",
                "Try the next thicker blade: it must not go in. The clearance lies between the two.",
                "Read at three places of each rotor, turn the shafts a quarter, read again; write down the least.",
            ),
            (
                Contribution(
                    "half a step between two blades", 0.005, "the blade that goes and the next that does not"
                ),
                Contribution(
                    "thickness of the blade", 0.005, "DIN 2275, permissible deviation of thin blades"
                ),
                Contribution("straightness of the edge", 0.006, "DIN 874-1, grade 1, 4 µm + 1 µm for 60 mm"),
                Contribution("drag of the hand, dirt, burrs", 0.010, ESTIMATE),
            ),
            "Several thin blades together carry an air gap between each two: use as few as will do.",
        ),
        MeasuringMethod(
            "feeler-radial",
            "Feeler gauge in the radial gap",
            "radial clearance between rotor tip and body bore",
            ("feeler gauge with 0.01 mm steps, blades longer than the rotor is wide", "lint-free cloth"),
            (
                "Lock the drive out as the site's procedure says; turn by hand only, fingers clear of the mesh.",
                "Wipe bore, rotor tips and each blade.",
                "Turn one rotor until a tip stands in the middle of its bore, clear of port and mesh.",
                "Slide in the thickest blade that goes with a light drag along the whole width of the rotor.",
                "Try the next thicker blade: it must not go in. The clearance lies between the two.",
                "Read at the rear, the middle and the front, at three angles, for each tip; write down the least.",
                "A tip that reads little on one side and much on the other tells of a worn bearing or a bent shaft.",
            ),
            (
                Contribution(
                    "half a step between two blades", 0.005, "the blade that goes and the next that does not"
                ),
                Contribution(
                    "thickness of the blade", 0.005, "DIN 2275, permissible deviation of thin blades"
                ),
                Contribution("drag of the hand, curve of the bore, burrs", 0.015, ESTIMATE),
            ),
            "A flat blade bridges a curved bore and reads a little less than there is; a narrow blade reads truer.",
        ),
        MeasuringMethod(
            "depth-micrometer",
            "Depth micrometer",
            "front-face clearance: from the body's face down to the rotor's face",
            ("depth micrometer 0 to 25 mm, reading 0.01 mm", "lint-free cloth"),
            (
                "Let body, rotor and micrometer come to the same temperature; wipe all three.",
                "Lay the micrometer's base on a flat surface, turn the spindle out to it and check that it reads zero.",
                "Push the rotor home by hand along the shaft.",
                "Press the base flat on the body's face over the rotor, both of its ends carried.",
                "Turn the ratchet until the spindle touches and the ratchet slips twice; the base must not lift.",
                "Read; take three readings in each place and use their middle one.",
                "Read at three places of each rotor; write down the least.",
            ),
            (
                Contribution(
                    "error of the micrometer", 0.005, "DIN 863, outside and depth micrometers to 25 mm"
                ),
                Contribution("half a division of the scale", 0.005, "scale of 0.01 mm"),
                Contribution("seat of the base, ratchet, dirt", 0.005, ESTIMATE),
            ),
            "A base that lifts unseen reads too much: hold it down with two fingers beside the spindle.",
        ),
        MeasuringMethod(
            "dial-indicator",
            "Dial indicator on a stand",
            "play along the shaft, run-out, and heights compared between rotor and body",
            ("dial indicator 10 mm, reading 0.01 mm", "rigid or magnetic stand", "lint-free cloth"),
            (
                "Clamp the stand to the body, not to a part that moves; short arms, all joints tight.",
                "Set the stem square to the face that moves; at 10 degrees off it already reads 1.5 % wrong.",
                "Press the stem in by half a turn of the pointer, so that it can follow both ways.",
                "For play: push the shaft or rotor to one end by hand, set zero, pull to the other end, read.",
                "For height: zero on the body's face, move to the rotor's face without touching the stand, read.",
                "For run-out: turn the shaft by hand a whole turn, take the difference of least and greatest.",
                "Repeat three times: readings that do not repeat tell of a loose stand, not of the pump.",
            ),
            (
                Contribution(
                    "error of the indicator over its range", 0.017, "DIN 878, 10 mm range, reading 0.01 mm"
                ),
                Contribution("half a division of the scale", 0.005, "scale of 0.01 mm"),
                Contribution("hysteresis of the indicator", 0.003, "DIN 878"),
                Contribution("spring of the stand, angle of the stem", 0.005, ESTIMATE),
            ),
            "Austenitic stainless steel does not hold a magnet: use a clamp, or a steel plate bolted on.",
        ),
    )
}
"""Key to method."""


def method(key: str) -> MeasuringMethod:
    """Return the measuring method ``key``.

    Raises:
        KeyError: if there is none; says which there are.

    >>> method("depth-micrometer").name
    'Depth micrometer'
    """
    if key not in METHODS:
        near = difflib.get_close_matches(key, METHODS, n=1, cutoff=0.4)
        hint = f"did you mean {near[0]}? " if near else ""
        raise KeyError(f"no measuring method '{key}'; {hint}Known are {', '.join(METHODS)}.")
    return METHODS[key]


def uncertainty_figure(way: MeasuringMethod) -> Figure:
    """Return the expanded uncertainty U of one careful reading, mm, about 95 %."""
    inputs = tuple(
        Input(f"a{'₁₂₃₄₅₆₇₈₉'[n]}", c.name, c.half_mm, "mm", c.source)
        for n, c in enumerate(way.contributions)
    )
    squares = " + ".join(f"{i.symbol}²" for i in inputs)
    figure = make_figure(
        f"reading.{way.key}", f"Uncertainty of a reading, {way.name.lower()}", "U", "mm", f"2·√(({squares})/3)",
        inputs, "GUM (JCGM 100), type B, coverage factor 2",
        not_verified="instrument errors typed from general knowledge of the standards; a certificate is better",
    )  # fmt: skip
    return figure


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
    sentence: str


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
    shown = f"{number(value_mm, 'mm')}{NBSP}mm, exact to ±{number(u, 'mm')}{NBSP}mm"
    if limit is None or (limit.low is None and limit.high is None):
        words = f"Read {shown}. There is no sourced limit to judge it by."
        return JudgedReading(value_mm, u, "no limit", words)
    allowed = f"{limit.text()} ({limit.source})"
    found = verdict(value_mm, u, limit.low, limit.high)
    if found == "pass":
        return JudgedReading(value_mm, u, "pass", f"Read {shown}: inside {allowed}.")
    if found == "fail":
        return JudgedReading(
            value_mm, u, "fail", f"Read {shown}: outside {allowed}. Do not run it; find out why."
        )
    words = f"Read {shown}: too near to the limit {allowed} to tell. Measure again with a finer method."
    return JudgedReading(value_mm, u, "cannot tell", words)
