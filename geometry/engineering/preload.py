"""From torque to preload: a range and not one figure, and what the thread bears of it.

Method: friction in the thread and under the turned face, each apart (VDI 2230, ISO 16047):
T = F·(p/2π + µ₁·d₂/√3 + µ₂·Dₖ/2), Dₖ the mean diameter of the very face that turns. Friction has the span of its
class, the wrench the deviation of ISO 6789-1. Stress area of ISO 898-1 from the diameters of ISO 724; while tightening,
torsion by the thread's friction adds to tension, the section fully plastic in torsion (VDI 2230). What settling leaves
of a preload is in :mod:`.settling`.

This module judges a torque that somebody gives with its source. It never proposes one.

Not verified: friction and strengths are typed from general knowledge of the sources named; for stainless on
stainless a dry thread can gall, and then no friction holds at all. Friction is taken as the same in thread and face;
that of the disc spring's edges is left out.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from .bench_instruments import wrench_deviation
from .figures import Figure, Input, Limit, make_figure, with_span
from .materials import stated_yields
from .topics import SIZE, Topic
from .units import step_of

TORQUE_SOURCE = Topic("source.torque", standard="VDI 2230, ISO 16047")
AREA_SOURCE = Topic("source.stress_area", standard="ISO 898-1", diameters="ISO 724")
TORSION_SOURCE = Topic("source.tightening_stress", standard="VDI 2230")
DIAMETER_SOURCE = Topic("source.standard", standard="ISO 724")
PITCH_SOURCE = Topic("source.standard", standard="ISO 261")


@dataclass(frozen=True)
class Lubrication:
    """A state of thread and bearing face: span of the coefficient of friction, with its source."""

    key: str
    friction_low: float
    friction_high: float
    source: Topic
    not_verified: Topic | None = None

    @property
    def friction(self) -> float:
        """Middle of the span."""
        return (self.friction_low + self.friction_high) / 2


def _state(key: str, low: float, high: float, grade: str) -> Lubrication:
    source = Topic("source.friction", standard="VDI 2230", grade=grade)
    return Lubrication(key, low, high, source, Topic(f"caveat.threads.{key}"))


LUBRICATIONS = {
    s.key: s
    for s in (
        _state("dry", 0.20, 0.35, "D"),
        _state("lubricated", 0.14, 0.24, "C"),
        _state("anti-seize", 0.08, 0.16, "B"),
    )
}
"""Key to state of lubrication."""


@dataclass(frozen=True)
class Strength:
    """Proof stress or 0.2 % yield of a thread's material, MPa."""

    mpa: float
    source: Topic


def _stainless(mpa: float) -> Strength:
    return Strength(mpa, Topic("source.yield", standard="ISO 3506-1"))


PROPERTY_CLASSES = {
    "A4-50": _stainless(210),
    "A4-70": _stainless(450),
    "A4-80": _stainless(600),
    "8.8": Strength(580, Topic("source.proof_stress_to", standard="ISO 898-1", thread="M16")),
    "10.9": Strength(830, Topic("source.proof_stress", standard="ISO 898-1")),
    "12.9": Strength(970, Topic("source.proof_stress", standard="ISO 898-1")),
}
"""Property class of screws, nuts and studs to strength."""
STRENGTHS = {**{key: Strength(y.mpa, y.source) for key, y in stated_yields().items()}, **PROPERTY_CLASSES}
"""Material or property class to strength."""


def _named(kind: str, key: str, known: tuple[str, ...]) -> KeyError:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.4)
    hint = f"did you mean {near[0]}? " if near else ""
    return KeyError(f"no {kind} '{key}'; {hint}Known are {', '.join(known)}.")


def lubrication(key: str) -> Lubrication:
    """Return the state of lubrication ``key``.

    Raises:
        KeyError: if there is none; says which there are.

    >>> lubrication("dry").friction_high
    0.35
    """
    if key not in LUBRICATIONS:
        raise _named("state of lubrication", key, tuple(LUBRICATIONS))
    return LUBRICATIONS[key]


def strength(key: str) -> Strength:
    """Return the strength of a material or property class.

    Raises:
        KeyError: if there is none; says which there are.
    """
    if key not in STRENGTHS:
        raise _named("strength", key, tuple(STRENGTHS))
    return STRENGTHS[key]


# ---- thread


def stress_area_mm2(nominal_mm: float, pitch_mm: float) -> float:
    """Return the stress area of a metric thread, coarse or fine.

    >>> round(stress_area_mm2(16, 2), 0), round(stress_area_mm2(20, 1.5), 0)
    (157.0, 272.0)
    """
    return math.pi / 4 * (nominal_mm - 0.9382 * pitch_mm) ** 2


def mean_face_mm(rings: Iterable[tuple[float, float]]) -> float:
    """Return the mean diameter at which friction acts on a flat face of ``rings`` (inner, outer diameter, mm).

    Pressure is taken as even: Dₖ = 2/3·Σ(Dₒ³ - Dᵢ³)/Σ(Dₒ² - Dᵢ²).

    Raises:
        ValueError: if there is no face.

    >>> round(mean_face_mm([(10.0, 16.0)]), 3)
    13.231
    """
    pairs = [(inner, outer) for inner, outer in rings if outer > inner >= 0]
    area = sum(outer**2 - inner**2 for inner, outer in pairs)
    if area <= 0:
        raise ValueError("a face that turns needs a ring to bear on")
    return 2 / 3 * sum(outer**3 - inner**3 for inner, outer in pairs) / area


@dataclass(frozen=True)
class ThreadAndFace:
    """What a torque works on: a metric thread and the mean diameter of the face that turns under nut or head, mm."""

    nominal_mm: float
    pitch_mm: float
    face_mm: float

    @property
    def pitch_diameter_mm(self) -> float:
        """Diameter d2 of ISO 724."""
        return self.nominal_mm - 0.649519 * self.pitch_mm

    def preload_n(self, torque_nm: float, friction: float) -> float:
        """Return the preload by a torque, N, with one coefficient of friction in thread and face.

        >>> round(ThreadAndFace(16, 2, 20).preload_n(100, 0.12))
        39419
        """
        rubbed = self.pitch_diameter_mm / math.sqrt(3) + self.face_mm / 2
        return 1000 * torque_nm / (self.pitch_mm / (2 * math.pi) + friction * rubbed)

    def bears_n(self, friction: float, yield_mpa: float) -> float:
        """Return the preload at which the thread begins to yield while it is tightened, N: tension with torsion.

        >>> round(ThreadAndFace(16, 2, 20).bears_n(0.12, 0.9 * 640), -2)
        81000.0
        """
        twist = self.pitch_mm / (2 * math.pi) + friction * self.pitch_diameter_mm / math.sqrt(3)
        diameter = self.nominal_mm - 0.9382 * self.pitch_mm
        tension = 1 / stress_area_mm2(self.nominal_mm, self.pitch_mm)
        return yield_mpa / math.hypot(tension, math.sqrt(3) * 12 * twist / (math.pi * diameter**3))


def _diameter_input(nominal_mm: float) -> Input:
    return Input("d", Topic("input.thread_diameter"), nominal_mm, "mm", SIZE, 1)


def _pitch_input(pitch_mm: float) -> Input:
    return Input("p", Topic("input.pitch"), pitch_mm, "mm", PITCH_SOURCE, 2)


def stress_area_figure(nominal_mm: float, pitch_mm: float) -> Figure:
    """Return the stress area with its working."""
    given = (_diameter_input(nominal_mm), _pitch_input(pitch_mm))
    return make_figure(
        "nut.stress_area", Topic("figure.stress_area"), "Aₛ", "mm²", "π/4·(d - 0.9382·p)²", given, AREA_SOURCE
    )


# ---- torque to preload


def preload_figures(
    torque_nm: float, source: Topic, joint: ThreadAndFace, state: Lubrication
) -> tuple[Figure, ...]:
    """Return the preload that a torque gives: middle, least and most.

    Args:
        torque_nm: the torque that was given.
        source: where it comes from.
        joint: thread and face that it turns.
        state: lubrication of thread and face.

    Raises:
        ValueError: if the torque is not above zero.
    """
    if not (math.isfinite(torque_nm) and torque_nm > 0):
        raise ValueError(f"a torque is above zero, got {torque_nm:g} N·m")
    torque = Input("T", Topic("input.torque"), torque_nm, "N·m", source, _written_decimals(torque_nm))
    wrench = wrench_deviation(torque_nm)
    face = Input("Dₖ", Topic("input.turning_face"), joint.face_mm, "mm", Topic("source.turning_face"))
    shape = (_pitch_input(joint.pitch_mm), _pitch_diameter_input(joint), face)
    lever = "(p/(2·π) + µ₁·d₂/√(3) + µ₂·Dₖ/2)"

    def figure(kind: str, symbol: str, formula: str, friction: float, *more: Input) -> Figure:
        inputs = (torque, *shape, *_friction_inputs(state, friction), *more)
        return make_figure(
            f"nut.{kind}", Topic(f"figure.{kind}"), symbol, "N", f"{formula}/{lever}", inputs, TORQUE_SOURCE,
            not_verified=state.not_verified,
        )  # fmt: skip

    least = figure("preload_least", "F₁", "1000·T·(1 - e/100)", state.friction_high, wrench)
    most = figure("preload_most", "F₂", "1000·T·(1 + e/100)", state.friction_low, wrench)
    middle = figure("preload", "F", "1000·T", state.friction)
    return replace(middle, low=least.value, high=most.value, span=Topic("span.preload")), least, most


def _pitch_diameter_input(joint: ThreadAndFace) -> Input:
    return Input("d₂", Topic("input.pitch_diameter"), joint.pitch_diameter_mm, "mm", DIAMETER_SOURCE)


def _friction_inputs(state: Lubrication, friction: float) -> tuple[Input, Input]:
    thread, face = (
        Input(f"µ{n}", Topic(f"input.{where}_friction", threads=state.key), friction, "", state.source, 3)
        for n, where in (("₁", "thread"), ("₂", "face"))
    )
    return thread, face


def thread_stress_figure(
    preload: Figure, joint: ThreadAndFace, state: Lubrication, proof: Strength
) -> Figure:
    """Return the stress in the thread while it is tightened, tension with torsion by distortion energy, over the span
    of ``preload``, judged by its strength."""
    area = stress_area_figure(joint.nominal_mm, joint.pitch_mm)
    limit = Limit(None, proof.mpa, "MPa", proof.source, not_verified=Topic("caveat.typed"))
    figure = make_figure(
        "nut.thread_stress", Topic("figure.thread_stress"), "σ", "MPa",
        "√((F/Aₛ)² + 3·(12·F·(p/(2·π) + µ₁·d₂/√(3))/(π·(d - 0.9382·p)³))²)",
        (
            preload.as_input("F"), area.as_input(), _pitch_input(joint.pitch_mm),
            _friction_inputs(state, state.friction)[0], _pitch_diameter_input(joint), _diameter_input(joint.nominal_mm),
        ),
        TORSION_SOURCE, limit=limit,
    )  # fmt: skip
    ends = ((preload.low, state.friction_high), (preload.high, state.friction_low))
    corners = [{"F": force, "µ₁": friction} for force, friction in ends if force is not None]
    return with_span(figure, corners, preload.span) if preload.span is not None else figure


# ---- is a typed torque plausible


@dataclass(frozen=True)
class TorqueDoubt:
    """A reason to check a torque that was given: the preload that it gives against what it would have to reach, or
    what the thread bears."""

    kind: Literal["too low", "too high"]
    sure: bool
    """False where only bad luck with friction makes it true."""
    torque_nm: float
    threads: str
    """Key of the state of lubrication."""
    gives_n: float
    """Greatest preload where that is too low for sure, least where it is too high for sure; else the other end."""
    against_n: float
    """Force of the spring where it is too low, force at which the thread begins to yield where it is too high."""
    strength: Topic | None = None
    """Source of the thread's strength, where that is what speaks against it."""


def check_torque(
    torque_nm: float,
    joint: ThreadAndFace,
    state: Lubrication,
    proof: Strength,
    spring_force_n: float,
) -> tuple[TorqueDoubt, ...]:
    """Return what speaks against a torque: too low to press the spring home, too high for the thread.

    Args:
        torque_nm: the torque that was given.
        joint: thread and face that it turns.
        state: lubrication of thread and face.
        proof: strength of the weaker thread.
        spring_force_n: force of the disc spring with the nut home.

    Raises:
        ValueError: if the torque is not above zero.
    """
    _, least, most = preload_figures(torque_nm, Topic("source.sourced_value"), joint, state)
    # High friction gives little preload and twists more; each end is held against what the thread bears with it.
    bears_least = joint.bears_n(state.friction_high, proof.mpa)
    bears_most = joint.bears_n(state.friction_low, proof.mpa)
    doubts = []
    if least.value < spring_force_n:
        sure = most.value < spring_force_n
        gives = most.value if sure else least.value
        doubts.append(TorqueDoubt("too low", sure, torque_nm, state.key, gives, spring_force_n))
    if most.value > bears_most:
        sure = least.value > bears_least
        gives, bears = (least.value, bears_least) if sure else (most.value, bears_most)
        doubts.append(TorqueDoubt("too high", sure, torque_nm, state.key, gives, bears, proof.source))
    return tuple(doubts)


def _written_decimals(value: float) -> int:
    exponent = step_of(value).as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0
