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

from .figures import Figure, Input, Limit, make_figure, number
from .units import NBSP, both, step_of

TORQUE_SOURCE = "T = K·F·d (Budynas and Nisbett, Shigley's Mechanical Engineering Design, chapter 8)"
AREA_SOURCE = "ISO 898-1, stress area; diameters of ISO 724"
SCATTER_SOURCE = "NASA NSTS 08307, uncertainty of preload by torque measurement"


@dataclass(frozen=True)
class Lubrication:
    """A state of thread and bearing face: span of K and scatter of the preload about it, both with their source."""

    key: str
    name: str
    k_low: float
    k_high: float
    scatter_percent: float
    source: str
    not_verified: str = ""

    @property
    def k_middle(self) -> float:
        """Middle of the span."""
        return (self.k_low + self.k_high) / 2


_SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 8-15"
LUBRICATIONS = {
    "dry": Lubrication(
        "dry", "dry", 0.20, 0.30, 35.0, f"{_SHIGLEY} (0.20 where nothing is known, 0.30 plain)",
        "dry stainless threads can gall; then no factor holds",
    ),
    "lubricated": Lubrication(
        "lubricated", "lubricated", 0.15, 0.20, 25.0, f"{_SHIGLEY} (0.18), span by general practice",
        "depends on the lubricant; its maker's figure is better",
    ),
    "anti-seize": Lubrication(
        "anti-seize", "with anti-seize paste", 0.09, 0.16, 25.0, f"{_SHIGLEY} (0.09 to 0.12), span by general practice",
        "depends on the paste; its maker's figure is better",
    ),
}  # fmt: skip
"""Key to state of lubrication."""


@dataclass(frozen=True)
class Strength:
    """Proof stress or 0.2 % yield of a thread's material, MPa."""

    mpa: float
    source: str


STRENGTHS = {
    "316L": Strength(200, "EN 10088-3, 1.4404 bars, solution annealed, 0.2 % yield"),
    "stainless": Strength(175, "EN 10088-3, 1.4307 bars, solution annealed, 0.2 % yield"),
    "duplex": Strength(450, "EN 10088-3, 1.4462 bars, solution annealed, 0.2 % yield"),
    "A4-50": Strength(210, "ISO 3506-1, 0.2 % yield"),
    "A4-70": Strength(450, "ISO 3506-1, 0.2 % yield"),
    "A4-80": Strength(600, "ISO 3506-1, 0.2 % yield"),
    "8.8": Strength(580, "ISO 898-1, proof stress up to M16"),
    "10.9": Strength(830, "ISO 898-1, proof stress"),
    "12.9": Strength(970, "ISO 898-1, proof stress"),
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
        Input("d", "nominal diameter of the thread", nominal_mm, "mm", "this size", 1),
        Input("p", "pitch", pitch_mm, "mm", "ISO 261", 2),
    )
    return make_figure(
        "nut.stress_area", "Stress area of the thread", "Aₛ", "mm²", "π/4·(d - 0.9382·p)²", given, AREA_SOURCE
    )


# ---- torque to preload


def preload_figures(
    torque_nm: float, source: str, nominal_mm: float, state: Lubrication
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
    torque = Input("T", "torque", torque_nm, "N·m", source, _written_decimals(torque_nm))
    size = Input("d", "nominal diameter of the thread", nominal_mm, "mm", "this size", 1)
    scatter = Input("u", "scatter of tightening by torque", state.scatter_percent, "%", SCATTER_SOURCE, 0)

    def figure(id: str, name: str, symbol: str, formula: str, k: float, *more: Input) -> Figure:
        factor = Input("K", f"torque factor, {state.name}", k, "", state.source, 3)
        inputs = (torque, factor, size, *more)
        return make_figure(
            id, name, symbol, "N", formula, inputs, TORQUE_SOURCE, not_verified=state.not_verified
        )

    least = figure(
        "nut.preload_least", "Least preload", "F₁", "1000·T·(1 - u/100)/(K·d)", state.k_high, scatter
    )
    most = figure(
        "nut.preload_most", "Greatest preload", "F₂", "1000·T·(1 + u/100)/(K·d)", state.k_low, scatter
    )
    middle = figure("nut.preload", "Preload", "F", "1000·T/(K·d)", state.k_middle)
    words = (
        f"The same torque, {state.name}, gives anything from {_kn(least.value)} to {_kn(most.value)}: "
        "torque is what the wrench shows, preload is what friction leaves of it."
    )
    middle = replace(
        middle,
        low=least.value,
        high=most.value,
        span="by lubrication and scatter of tightening",
        sentence=words,
    )
    return middle, least, most


def thread_stress_figure(preload: Figure, nominal_mm: float, pitch_mm: float, proof: Strength) -> Figure:
    """Return the tensile stress in the thread over the span of ``preload``, judged by its strength."""
    area = stress_area_figure(nominal_mm, pitch_mm)
    limit = Limit(None, proof.mpa, "MPa", proof.source, "", "typed from general knowledge")
    figure = make_figure(
        "nut.thread_stress", "Tensile stress in the thread", "σ", "MPa", "F/Aₛ",
        (preload.as_input("F"), area.as_input()), AREA_SOURCE, limit=limit,
        not_verified="torsion while tightening is left out; it adds to the stress",
    )  # fmt: skip
    if preload.low is not None and preload.high is not None:
        figure = replace(
            figure, low=preload.low / area.value, high=preload.high / area.value, span=preload.span
        )
    return figure


# ---- is a typed torque plausible


@dataclass(frozen=True)
class TorqueDoubt:
    """A reason to check a torque that was given. ``sure`` is false where only bad luck with friction makes it true."""

    kind: Literal["too low", "too high"]
    sure: bool
    sentence: str


def check_torque(
    torque_nm: float,
    source: str,
    nominal_mm: float,
    pitch_mm: float,
    state: Lubrication,
    proof: Strength,
    spring_force_n: float,
) -> tuple[TorqueDoubt, ...]:
    """Return what speaks against a torque: too low to press the spring home, too high for the thread.

    Args:
        torque_nm: the torque that was given, with its ``source``.
        source: where it comes from.
        nominal_mm: thread's nominal diameter.
        pitch_mm: thread's pitch.
        state: lubrication of thread and face.
        proof: strength of the weaker thread.
        spring_force_n: force of the disc spring with the nut home.

    Raises:
        ValueError: if the torque is not above zero.
    """
    _, least, most = preload_figures(torque_nm, source, nominal_mm, state)
    bears = proof.mpa * stress_area_mm2(nominal_mm, pitch_mm)
    end = "Check the figure, its unit and its source; no other figure is proposed here."
    shown = both(f"{torque_nm:g}", "N·m")
    doubts = []
    if most.value < spring_force_n:
        doubts.append(TorqueDoubt("too low", True, (
            f"{shown} gives {_kn(most.value)} at most ({state.name}); the disc spring needs {_kn(spring_force_n)} "
            f"before the nut is home. The nut would stop on the spring. {end}"
        )))  # fmt: skip
    elif least.value < spring_force_n:
        doubts.append(TorqueDoubt("too low", False, (
            f"{shown} may give only {_kn(least.value)} ({state.name}, high friction); the disc spring needs "
            f"{_kn(spring_force_n)} before the nut is home. {end}"
        )))  # fmt: skip
    if least.value > bears:
        doubts.append(TorqueDoubt("too high", True, (
            f"{shown} gives {_kn(least.value)} at least ({state.name}); the thread begins to yield at {_kn(bears)} "
            f"({proof.source}). {end}"
        )))  # fmt: skip
    elif most.value > bears:
        doubts.append(TorqueDoubt("too high", False, (
            f"{shown} may give {_kn(most.value)} ({state.name}, low friction); the thread begins to yield at "
            f"{_kn(bears)} ({proof.source}). {end}"
        )))  # fmt: skip
    return tuple(doubts)


def _written_decimals(value: float) -> int:
    exponent = step_of(value).as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0


def _kn(force_n: float) -> str:
    return f"{number(force_n / 1000, 'kN', 1)}{NBSP}kN"
