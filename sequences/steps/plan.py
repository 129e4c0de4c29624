"""The plan: a sequence resolved for one assembly's options, ready for proof, pictures and pages."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from ...geometry.engineering.elastomers import Incompatibility
from ...geometry.frame import Vec3

SignalWord = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]


@dataclass(frozen=True)
class Caution:
    """A safety message: what can hurt, how, and how to avoid it.

    What a head's own media raise has no text: the catalogues of words make it of what meets what.
    """

    id: str
    signal_word: SignalWord
    hazard: str
    consequence: str
    avoidance: str
    hazard_kind: str = ""
    """Kind of hazard, for grouping: pressure, hot surface, pinch and shear ..."""
    meeting: Incompatibility | None = None
    """The elastomer and the medium or heat that raise it; its hazard, consequence and avoidance are then empty."""


@dataclass(frozen=True)
class Leg:
    """One stretch of a travel: a slide along ``direction`` with a turn about the moving parts' own axis.

    ``distance_mm`` None means: as far as it takes to be clear. ``turn_deg`` is right-handed about +Z of the head's
    frame and is spread evenly over the leg.
    """

    direction: Vec3
    distance_mm: float | None = None
    turn_deg: float = 0.0


@dataclass(frozen=True)
class Move:
    """Parts that travel together. ``legs`` run from where the parts start to where they end.

    ``legs`` empty: the travel is to be found. ``into`` says whether the parts come to (fit) or leave (remove).
    """

    parts: tuple[str, ...]
    legs: tuple[Leg, ...] = ()
    into: bool = True
    group: str = ""
    """Name of the sub-assembly that moves as one, empty for loose parts."""


@dataclass(frozen=True)
class Measurement:
    """A reading to take and record in a step.

    ``value`` names the sourced value of the fleet row that judges it; None where there is none to judge by.
    """

    id: str
    text: str
    unit: str
    value: str | None = None
    method: str = ""


@dataclass(frozen=True)
class Step:
    """One step of a plan.

    ``present`` lists the parts that are in place before the step, on the head or (``bench`` set) on the bench unit of
    that name. Parts already in place move with ``moves`` only if they are listed there.
    """

    number: int
    id: str
    section: str
    title: str
    present: tuple[str, ...]
    moves: tuple[Move, ...] = ()
    bench: str | None = None
    focus: tuple[str, ...] = ()
    """Parts to look at in a step that moves none."""
    acts: tuple[str, ...] = ()
    look: tuple[str, ...] = ()
    measure: tuple[Measurement, ...] = ()
    why: str = ""
    tools: tuple[str, ...] = ()
    supplies: tuple[str, ...] = ()
    values: tuple[str, ...] = ()
    """Names of the sourced values that the step states."""
    cautions: tuple[Caution, ...] = ()
    shaft_angle_deg: float = 0.0
    """How far the drive shaft is turned in this step, right-handed about +Z; the driven shaft turns the other way."""

    @property
    def moving(self) -> tuple[str, ...]:
        """Keys of all parts that move in this step, in order."""
        return tuple(k for m in self.moves for k in m.parts)


@dataclass(frozen=True)
class Section:
    """A stretch of the sequence under one heading."""

    id: str
    title: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True)
class Plan:
    """All steps of one sequence for one assembly."""

    sequence: str
    """assembly, disassembly or inspection."""
    title: str
    assembly: str
    """Name of the assembly (the plant tag of a head)."""
    sections: tuple[Section, ...]
    steps: tuple[Step, ...]
    given: tuple[str, ...] = ()
    """Parts that are there before the first step."""
    units: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Bench units: name to the keys of their parts."""
    unit_titles: dict[str, str] = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()
    """Standing safety messages, front page."""
