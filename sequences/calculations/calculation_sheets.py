"""What a calculation sheet holds, typed: figures, what they show, and blanks."""

from __future__ import annotations

from dataclasses import dataclass

from ...geometry.engineering.elastomers import FoodContact, Match
from ...geometry.engineering.figures import Figure
from ...geometry.engineering.measuring import Instrument
from ...geometry.engineering.orings import SizeChoice
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.springs.settling import Settled
from ...geometry.engineering.springs.spring_seats import TurnedOver
from ...geometry.engineering.topics import Topic
from ..values.sourced_values import ResolvedValue


@dataclass(frozen=True)
class Blank:
    """Something that is not on file and without which nothing is worked out; ``name`` as the fleet file has it."""

    name: str
    unit: str


@dataclass(frozen=True)
class RingsOf:
    """How many rings of one kind a head has, and of what elastomer."""

    count: int
    elastomer: str


@dataclass(frozen=True)
class Gap:
    """A gap by its dimensions, with all tolerances at their ends."""

    figure: Figure


@dataclass(frozen=True)
class GapScatter:
    """Where nearly all heads' gap lies if dimensions scatter independently: from ``low_mm`` to ``high_mm``."""

    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class HotGap:
    """A gap at process temperature, and by how much heat has opened it (below zero: closed it)."""

    figure: Figure
    opened_um: float


@dataclass(frozen=True)
class PreloadSpan:
    """What a torque gives with one state of the threads: preload and its span."""

    figure: Figure
    threads: str


@dataclass(frozen=True)
class Loosening:
    """How much settling leaves nothing of a preload: figures without a spring, the right way round, turned over."""

    figures: tuple[Figure, Figure, Figure]


@dataclass(frozen=True)
class Borne:
    """A stress, bulge or deflection, and how it is judged."""

    figure: Figure


@dataclass(frozen=True)
class TooCoarse:
    """An instrument whose error takes more of the band between limits than it may."""

    value: ResolvedValue
    instrument: Instrument


Finding = (
    Borne | FoodContact | Gap | GapScatter | HotGap | Loosening | Match | TooCoarse | PreloadSpan | RingsOf | Settled
    | SizeChoice | Topic | TorqueDoubt | TurnedOver
)  # fmt: skip
"""What a sheet shows beside its figures; a topic where there is nothing more to say than that."""


@dataclass(frozen=True)
class CalculationSheet:
    """Figures that belong together, in the order in which they are worked out."""

    id: str
    topic: Topic
    figures: tuple[Figure, ...] = ()
    findings: tuple[Finding, ...] = ()
    """What the figures say."""
    blanks: tuple[Blank, ...] = ()
    notes: tuple[Topic, ...] = ()
    """What is assumed, and who decides."""
    method: str = ""
    """Key of a method of measuring that is told step by step."""


@dataclass(frozen=True)
class SheetGroup:
    """Sheets under one heading."""

    id: str
    sheets: tuple[CalculationSheet, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """All figures in order."""
        return tuple(f for s in self.sheets for f in s.figures)


@dataclass(frozen=True)
class PartWeight:
    """Volume of one part of a kind, and what it is made of (a key of the materials table)."""

    kind: str
    material: str
    volume_mm3: float


def too_coarse(value: ResolvedValue, instrument: Instrument, share: Figure | None) -> TooCoarse | None:
    """Return what is found where ``instrument`` is too coarse for the limits of ``value``.

    Args:
        value: what the reading is held against.
        instrument: what it is taken with.
        share: what share of the band its error takes; None without a band.
    """
    return TooCoarse(value, instrument) if share is not None and share.judgement == "outside" else None


def blank_for(value: ResolvedValue) -> Blank:
    """Return the blank of a value that is not on file."""
    return Blank(value.name, value.unit)
