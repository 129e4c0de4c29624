"""What came of wrong placements, as data: which mistake, what stopped it, what is then wrong; no sentences.

Keys name parts of the assembly; lengths are millimetres, angles degrees.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ...geometry.assembly import Part
from ...geometry.frame import Place, Vec3
from ..steps.claims import MistakeKind, Verdict

Outcome = Literal[
    "stopped on its way",
    "stops what follows",
    "bars what holds it",
    "nothing to sit on",
    "second stopped on its way",
    "second stops what follows",
    "missed by what sits on it",
    "missed by its thread",
    "goes in",
    "same shape",
    "alike",
]
"""How a verdict came about: all but the last three are stops, the last two make no difference."""
LATER: tuple[Outcome, ...] = (
    "stops what follows",
    "bars what holds it",
    "second stops what follows",
    "missed by what sits on it",
    "missed by its thread",
)
"""Outcomes in which a part goes to its own place, but then something else does not."""

EffectKind = Literal[
    "bears elsewhere",
    "bears no more",
    "bears wrongly",
    "bears less",
    "sits proud",
    "sits deep",
    "presses no more",
    "presses wrongly",
    "pressed less",
    "pressed more",
    "feature unmet",
    "other ring",
    "neighbour unmet",
    "points elsewhere",
    "other shape",
    "hollow empty",
    "feature unfilled",
    "neighbours miss it",
    "nothing squeezed",
    "nothing held",
    "nothing keyed",
    "goes deeper",
    "goes far deeper",
    "bears too soon",
    "stands turned",
    "lies on the first",
    "collides turned",
]


@dataclass(frozen=True)
class Effect:
    """One thing that is wrong with a part that went in wrong, with the figures of its kind."""

    kind: EffectKind
    parts: tuple[str, ...] = ()
    """The parts that it is about besides the one fitted wrong."""
    feature: str = ""
    """Name of the mating feature that it is about."""
    mates: str = ""
    """Kind of part that the feature should meet."""
    move: int | None = None
    """Number of the move that goes deeper."""
    mm: float | None = None
    """Radius, diameter, shift, reach or depth."""
    right_mm: float | None = None
    """The same where all is right."""
    thick_mm: float | None = None
    right_thick_mm: float | None = None
    percent: float | None = None
    """Share of the face that bears."""
    mm3: float | None = None
    deg: float | None = None


@dataclass(frozen=True)
class Misfit:
    """One mistake and what came of it."""

    step: int
    step_id: str
    parts: tuple[str, ...]
    """The parts that are fitted wrong (or left out, or doubled)."""
    lead: str
    """The largest of them, about whose axis they turn."""
    kind: MistakeKind
    verdict: Verdict
    outcome: Outcome
    about: Literal["", "x", "y", "z"] = ""
    """Own axis about which they are turned."""
    turn_deg: float = 0.0
    other: str = ""
    """The part taken instead (swapped), or the twin (other side)."""
    stopped_by: tuple[str, ...] = ()
    """What stops it or what it stops; of a part left out, what notices."""
    met: tuple[str, ...] = ()
    """Of ``stopped_by`` what it meets on its way; the rest it would overlap at home."""
    noticed_by: int | None = None
    """Number of the move that notices a part left out."""
    short_mm: float = 0.0
    """How far it stays from where the right one sits."""
    too_big_mm: float = 0.0
    """How deep it would overlap what stops it if it were home."""
    at: Vec3 | None = None
    """Where that is."""
    weak: bool = False
    wrong: tuple[Effect, ...] = ()
    """What is then wrong, the plainest first."""
    shift_mm: float = 0.0
    """How far it sits further out (in: negative) than the right one."""
    places: Mapping[str, Place] = field(default_factory=dict)
    """Part to its wrong place, at rest; the place of a second one for *fitted twice*, none for *left out*."""

    @property
    def later(self) -> bool:
        """Whether it goes to its own place, but then something else does not."""
        return self.outcome in LATER

    @property
    def same_shape(self) -> bool:
        """Whether it is no difference because the shape is the same."""
        return self.outcome == "same shape"


@dataclass(frozen=True)
class PinPair:
    """Two pins of one kind that differ so that a part goes on one way only."""

    large: str
    small: str
    large_mm: float
    small_mm: float
    stop_mm: float
    """By how much the large pin is too big for the small one's hole, on diameter; 0 or less stops nothing."""
    enough: bool


# ---- what is alike: equal parts (twins, rows) with the same outcome are told once


def kin(part: Part) -> tuple[str, str]:
    """Return what a part shares with its twins and the others of its row, and with nothing else."""
    return (part.kind, part.which)


def alike_effect(parts: Mapping[str, Part], effect: Effect) -> tuple[object, ...]:
    """Return what an effect shares with the same one on equal parts: all but figures, sides and numbers."""
    feature = effect.feature.rstrip("0123456789").rstrip()
    return (effect.kind, tuple(kin(parts[k]) for k in effect.parts), feature, effect.mates)


def alike_outcome(parts: Mapping[str, Part], fit: Misfit) -> tuple[object, ...]:
    """Return what the outcome of a mistake shares with the same one on equal parts."""
    met = tuple(kin(parts[k]) for k in (fit.met or fit.stopped_by))
    wrong = tuple(alike_effect(parts, e) for e in fit.wrong)
    return (fit.outcome, met, fit.too_big_mm > 0, fit.weak, wrong)
