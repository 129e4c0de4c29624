"""From torque to preload: a range and not one figure, and what the thread bears of it.

Method: T = K·F·d with the span of K that belongs to a state of lubrication and the scatter of tightening by torque
wrench; stress area of ISO 898-1 from the diameters of ISO 724. What settling leaves of a preload is in
:mod:`.settling`.

This module judges a torque that somebody gives with its source. It never proposes one.

Not verified: factors K and strengths are typed from general knowledge of the sources named; for stainless on
stainless a dry thread can gall, and then no factor holds at all. Mean factors between 0.086 and 0.52 have been
measured over all thread lubricants (Bickford and Nassar, Handbook of Bolts and Bolted Joints).
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass, replace
from typing import Literal

from .figures import Figure, Input, Limit, make_figure
from .topics import SIZE, Topic
from .units import step_of

_SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design"
TORQUE_SOURCE = Topic("source.torque", work=_SHIGLEY)
AREA_SOURCE = Topic("source.stress_area", standard="ISO 898-1", diameters="ISO 724")
SCATTER_SOURCE = Topic("source.torque_scatter", standard="NASA NSTS 08307")


@dataclass(frozen=True)
class Lubrication:
    """A state of thread and bearing face: span of K and scatter of the preload about it, both with their source."""

    key: str
    k_low: float
    k_high: float
    scatter_percent: float
    source: Topic
    not_verified: Topic | None = None

    @property
    def k_middle(self) -> float:
        """Middle of the span."""
        return (self.k_low + self.k_high) / 2


def _state(key: str, k_low: float, k_high: float, scatter_percent: float) -> Lubrication:
    source = Topic(f"source.torque_factor.{key}", work=_SHIGLEY)
    return Lubrication(key, k_low, k_high, scatter_percent, source, Topic(f"caveat.threads.{key}"))


LUBRICATIONS = {
    s.key: s
    for s in (
        _state("dry", 0.20, 0.30, 35.0),
        _state("lubricated", 0.15, 0.20, 25.0),
        _state("anti-seize", 0.09, 0.16, 25.0),
    )
}
"""Key to state of lubrication."""


@dataclass(frozen=True)
class Strength:
    """Proof stress or 0.2 % yield of a thread's material, MPa."""

    mpa: float
    source: Topic


def _bars(mpa: float, grade: str) -> Strength:
    return Strength(mpa, Topic("source.yield_bars", standard="EN 10088-3", grade=grade))


def _stainless(mpa: float) -> Strength:
    return Strength(mpa, Topic("source.yield", standard="ISO 3506-1"))


STRENGTHS = {
    "316L": _bars(200, "1.4404"),
    "stainless": _bars(175, "1.4307"),
    "duplex": _bars(450, "1.4462"),
    "A4-50": _stainless(210),
    "A4-70": _stainless(450),
    "A4-80": _stainless(600),
    "8.8": Strength(580, Topic("source.proof_stress_to", standard="ISO 898-1", thread="M16")),
    "10.9": Strength(830, Topic("source.proof_stress", standard="ISO 898-1")),
    "12.9": Strength(970, Topic("source.proof_stress", standard="ISO 898-1")),
}
"""Material or property class to strength."""


def _named(kind: str, key: str, known: tuple[str, ...]) -> KeyError:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.4)
    hint = f"did you mean {near[0]}? " if near else ""
    return KeyError(f"no {kind} '{key}'; {hint}Known are {', '.join(known)}.")


def lubrication(key: str) -> Lubrication:
    """Return the state of lubrication ``key``.

    Raises:
        KeyError: if there is none; says which there are.

    >>> lubrication("dry").k_high
    0.3
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


def stress_area_figure(nominal_mm: float, pitch_mm: float) -> Figure:
    """Return the stress area with its working."""
    given = (
        Input("d", Topic("input.thread_diameter"), nominal_mm, "mm", SIZE, 1),
        Input("p", Topic("input.pitch"), pitch_mm, "mm", Topic("source.standard", standard="ISO 261"), 2),
    )
    return make_figure(
        "nut.stress_area", Topic("figure.stress_area"), "Aₛ", "mm²", "π/4·(d - 0.9382·p)²", given, AREA_SOURCE
    )


# ---- torque to preload


def preload_figures(
    torque_nm: float, source: Topic, nominal_mm: float, state: Lubrication
) -> tuple[Figure, ...]:
    """Return the preload that a torque gives: middle, least and most.

    Args:
        torque_nm: the torque that was given.
        source: where it comes from.
        nominal_mm: nominal diameter of the thread.
        state: lubrication of thread and face.

    Raises:
        ValueError: if the torque is not above zero.
    """
    if not (math.isfinite(torque_nm) and torque_nm > 0):
        raise ValueError(f"a torque is above zero, got {torque_nm:g} N·m")
    torque = Input("T", Topic("input.torque"), torque_nm, "N·m", source, _written_decimals(torque_nm))
    size = Input("d", Topic("input.thread_diameter"), nominal_mm, "mm", SIZE, 1)
    scatter = Input("u", Topic("input.torque_scatter"), state.scatter_percent, "%", SCATTER_SOURCE, 0)

    def figure(kind: str, symbol: str, formula: str, k: float, *more: Input) -> Figure:
        factor = Input("K", Topic("input.torque_factor", threads=state.key), k, "", state.source, 3)
        inputs = (torque, factor, size, *more)
        return make_figure(
            f"nut.{kind}", Topic(f"figure.{kind}"), symbol, "N", formula, inputs, TORQUE_SOURCE,
            not_verified=state.not_verified,
        )  # fmt: skip

    least = figure("preload_least", "F₁", "1000·T·(1 - u/100)/(K·d)", state.k_high, scatter)
    most = figure("preload_most", "F₂", "1000·T·(1 + u/100)/(K·d)", state.k_low, scatter)
    middle = figure("preload", "F", "1000·T/(K·d)", state.k_middle)
    return replace(middle, low=least.value, high=most.value, span=Topic("span.preload")), least, most


def thread_stress_figure(preload: Figure, nominal_mm: float, pitch_mm: float, proof: Strength) -> Figure:
    """Return the tensile stress in the thread over the span of ``preload``, judged by its strength."""
    area = stress_area_figure(nominal_mm, pitch_mm)
    limit = Limit(None, proof.mpa, "MPa", proof.source, not_verified=Topic("caveat.typed"))
    figure = make_figure(
        "nut.thread_stress", Topic("figure.thread_stress"), "σ", "MPa", "F/Aₛ",
        (preload.as_input("F"), area.as_input()), AREA_SOURCE, limit=limit, not_verified=Topic("caveat.torsion"),
    )  # fmt: skip
    if preload.low is not None and preload.high is not None:
        figure = replace(
            figure, low=preload.low / area.value, high=preload.high / area.value, span=preload.span
        )
    return figure


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
    nominal_mm: float,
    pitch_mm: float,
    state: Lubrication,
    proof: Strength,
    spring_force_n: float,
) -> tuple[TorqueDoubt, ...]:
    """Return what speaks against a torque: too low to press the spring home, too high for the thread.

    Args:
        torque_nm: the torque that was given.
        nominal_mm: thread's nominal diameter.
        pitch_mm: thread's pitch.
        state: lubrication of thread and face.
        proof: strength of the weaker thread.
        spring_force_n: force of the disc spring with the nut home.

    Raises:
        ValueError: if the torque is not above zero.
    """
    _, least, most = preload_figures(torque_nm, Topic("source.sourced_value"), nominal_mm, state)
    bears = proof.mpa * stress_area_mm2(nominal_mm, pitch_mm)
    doubts = []
    if least.value < spring_force_n:
        sure = most.value < spring_force_n
        gives = most.value if sure else least.value
        doubts.append(TorqueDoubt("too low", sure, torque_nm, state.key, gives, spring_force_n))
    if most.value > bears:
        sure = least.value > bears
        gives = least.value if sure else most.value
        doubts.append(TorqueDoubt("too high", sure, torque_nm, state.key, gives, bears, proof.source))
    return tuple(doubts)


def _written_decimals(value: float) -> int:
    exponent = step_of(value).as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0
