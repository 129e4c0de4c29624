"""A doubt about data that are otherwise sound, typed: what it is about, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ...geometry.engineering.elastomers import Incompatibility
from ...geometry.engineering.figures import Figure
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.springs.spring_seats import State
from ..files.faults import Fault, FaultsFound
from ..values.sourced_values import Missing, ResolvedValue
from .calculation_sheets import Gap, HotGap, TooCoarse

Kind = Literal["torque", "clearance", "oring", "spring", "elastomer", "reading", "strength"]
KINDS: tuple[Kind, ...] = ("torque", "clearance", "oring", "spring", "elastomer", "reading", "strength")


@dataclass(frozen=True)
class RingOutside:
    """A figure of an O-ring outside its limit."""

    figure: Figure


@dataclass(frozen=True)
class SpringIdle:
    """The disc spring does not work as one in this nut, even the right way round."""

    state: State


@dataclass(frozen=True)
class HeightAmiss:
    """A free height on file that the size's own spring contradicts: ``height_mm`` is that of the size."""

    value: ResolvedValue
    height_mm: float


@dataclass(frozen=True)
class GapOutside:
    """A gap outside its limit, cold; or hot, where the limit is read as one for the cold head."""

    found: Gap | HotGap


@dataclass(frozen=True)
class StrengthOutside:
    """A part bears less than it has to, or gives way further than it may."""

    figure: Figure


@dataclass(frozen=True)
class GapCloses:
    """A gap that heat may close, so that parts can touch."""

    figure: Figure


Ground = (
    TorqueDoubt
    | RingOutside
    | SpringIdle
    | HeightAmiss
    | GapOutside
    | GapCloses
    | StrengthOutside
    | TooCoarse
    | Incompatibility
)
"""What a doubt rests on."""


@dataclass(frozen=True)
class Doubt:
    """Something to look into before the booklet is used."""

    tag: str
    kind: Kind
    ground: Ground
    value: str = ""
    """Name of the value that it doubts, in the fleet file; empty where none alone is in doubt."""
    sheet: str = ""
    """Calculation sheet that shows it."""
    marks: bool = False
    """Whether the value is marked as in doubt wherever the booklet states it."""


class FleetFaultsFound(FaultsFound):
    """The files of a fleet hold mistakes; told with them is what holds of its heads that are sound."""

    def __init__(
        self, faults: Iterable[Fault], heads: int, doubts: Iterable[Doubt], missing: Iterable[Missing]
    ) -> None:
        super().__init__(faults)
        self.heads = heads
        """How many of its heads are sound enough to be judged."""
        self.doubts: tuple[Doubt, ...] = tuple(doubts)
        """What speaks against the values of these heads."""
        self.missing: tuple[Missing, ...] = tuple(missing)
        """Values that no sound entry gives to these heads."""
