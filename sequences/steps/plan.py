"""The plan: a sequence resolved for one assembly's options, ready for proof, pictures and pages."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

from ...geometry.engineering.elastomers import Incompatibility
from ...geometry.frame import Vec3
from .claims import Claim
from .marks.plant_marks import NO_MARKS, PlantMarks
from .operations import Operation

PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
"""What a text of a plan leaves open, as sequence files write it: ``{count:stud}``."""
SignalWord = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Damage = Literal[
    "scratch",
    "step",
    "pit",
    "contact band",
    "hair crack",
    "heat cracks",
    "galling",
    "burr",
    "worn edge",
    "worn groove",
    "pulled thread",
    "rust",
    "chip",
    "blister",
    "flattened ring",
    "swollen ring",
    "cracked ring",
    "cut ring",
]
"""What a surface that is looked at may show."""
WITHOUT_MOVES = ("inspection", "cleaning", "start_up")
"""Sequences in which no part is fitted or removed."""


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
    added: str = ""
    """What the plant adds to it, to be read after it."""
    plant: bool = False
    """Whether the plant has made it graver, or all of it is the plant's own addition."""


@dataclass(frozen=True)
class Reminder:
    """A message that a step holds and that its section has given in full before."""

    caution: Caution
    step: int | None = None
    """Number of the step that gave it; None: it stands where the section begins."""


@dataclass(frozen=True)
class Leg:
    """One stretch of a travel: a slide along ``direction`` with a turn about the parts' own axis, or a turn alone.

    ``distance_mm`` None means: as far as it takes to be clear. ``turn_deg`` is right-handed about +Z of the head's
    frame and is spread evenly over the leg. A turn alone names its ``axis``, about which it is right-handed; it does
    not slide.
    """

    direction: Vec3
    distance_mm: float | None = None
    turn_deg: float = 0.0
    axis: Vec3 | None = None
    """Axis of a turn alone, assembly's frame."""
    through: Vec3 | None = None
    """A point that it runs through, mm, assembly's frame; None: the origin of the moving part as it then stands."""


def turn_about(axis: Vec3, turn_deg: float, through: Vec3 | None = None) -> Leg:
    """Return the leg that turns parts about a line, right-handed, and slides them nowhere."""
    return Leg(axis, 0.0, turn_deg, axis, through)


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

    A step begins with the shafts at :attr:`shaft_angle_deg`: so they stand in its picture, and so its moves are made
    and proven. Then they are turned by :attr:`shaft_turn_deg`, and stay so in all later steps.
    """

    number: int
    id: str
    section: str
    title: str
    present: tuple[str, ...]
    moves: tuple[Move, ...] = ()
    bench: str | None = None
    up: Literal["front", "rear"] | None = None
    """Side of the bench unit that looks up; None: as on the head."""
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
    """Safety messages that are given in full before its acts."""
    reminders: tuple[Reminder, ...] = ()
    """Messages that hold too and were given in full before, in its section."""
    claims: tuple[Claim, ...] = ()
    """What its sentences say that the solids show."""
    operations: tuple[Operation, ...] = ()
    """What its acts do, by which tool and where."""
    examples: tuple[Damage, ...] = ()
    """Damage to look for, which pages show by drawings that are of no part in particular."""
    plant: PlantMarks = NO_MARKS
    """What of it is the plant's own."""
    shaft_turn_deg: float = 0.0
    """How far the driving shaft is turned by hand in this step, right-handed about its axis; what else is timed to it
    turns along (:class:`...geometry.assembly.TurningGroup`)."""
    shaft_angle_deg: float = 0.0
    """Where the driving shaft stands before this step, from its mark, 0 to 360: what the steps before have turned."""

    @property
    def stands_at_deg(self) -> float:
        """The angle of the driving shaft at which the parts of this step stand: that of its mark on a bench, where no
        shaft turns them."""
        return 0.0 if self.bench else self.shaft_angle_deg

    @property
    def messages(self) -> tuple[Caution, ...]:
        """All safety messages that hold in this step, in full here or before."""
        return (*self.cautions, *(r.caution for r in self.reminders))

    @property
    def moving(self) -> tuple[str, ...]:
        """Keys of all parts that move in this step, in order."""
        return tuple(k for m in self.moves for k in m.parts)


def with_shaft_angles(steps: Iterable[Step], before_deg: float = 0.0) -> tuple[Step, ...]:
    """Return ``steps`` with :attr:`Step.shaft_angle_deg` as their turns add up, the first one at ``before_deg``.

    >>> steps = [Step(n, f"s{n}", "s", "Turn", (), shaft_turn_deg=150.0) for n in (1, 2, 3, 4)]
    >>> [s.shaft_angle_deg for s in with_shaft_angles(steps)]
    [0.0, 150.0, 300.0, 90.0]
    """
    found: list[Step] = []
    angle = _from_mark(before_deg)
    for step in steps:
        found.append(step if step.shaft_angle_deg == angle else replace(step, shaft_angle_deg=angle))
        angle = _from_mark(angle + step.shaft_turn_deg)
    return tuple(found)


def _from_mark(angle_deg: float) -> float:
    """Return an angle as one from 0 to 360, 360 left out (a hair below 0 is rounded to it)."""
    return angle_deg % 360.0 % 360.0


@dataclass(frozen=True)
class Section:
    """A stretch of the sequence under one heading."""

    id: str
    title: str
    cautions: tuple[Caution, ...] = ()
    """Safety messages that are given in full where it begins."""


@dataclass(frozen=True)
class OrderRule:
    """What custom adds to the order that the solids force: ``step`` comes after all of ``after``, by their ids."""

    step: str
    after: tuple[str, ...]
    because: str
    """The reason, one sentence."""


@dataclass(frozen=True)
class Plan:
    """All steps of one sequence for one assembly; each begins with the shafts where the one before left them.

    Raises:
        ValueError: if a step says otherwise (see :func:`with_shaft_angles`).
    """

    sequence: str
    """Its kind: assembly, disassembly, inspection, cleaning or start_up."""
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
    rules: tuple[OrderRule, ...] = ()
    """What has to come before what besides what the solids force, with the reasons."""

    def __post_init__(self) -> None:
        for step, after in pairwise(self.steps):
            left = step.shaft_angle_deg + step.shaft_turn_deg
            if abs((after.shaft_angle_deg - left + 180.0) % 360.0 - 180.0) > 1e-6:
                found = f"step {after.id} begins with the shafts at {after.shaft_angle_deg:g} degrees"
                raise ValueError(f"{found}, but step {step.id} leaves them at {_from_mark(left):g}")
