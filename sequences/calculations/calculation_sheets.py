"""What a calculation sheet holds: figures, sentences for people, and blanks that say where to look."""

from __future__ import annotations

from dataclasses import dataclass

from ...geometry.engineering.figures import Figure
from ..values.sourced_values import ResolvedValue


@dataclass(frozen=True)
class Blank:
    """Something that is not on file and without which nothing is worked out."""

    title: str
    unit: str
    where: str
    name: str
    """What it is called in the fleet file."""


@dataclass(frozen=True)
class CalculationSheet:
    """Figures that belong together, in the order in which they are worked out."""

    id: str
    title: str
    figures: tuple[Figure, ...] = ()
    sentences: tuple[str, ...] = ()
    """What the figures say, for people."""
    blanks: tuple[Blank, ...] = ()
    notes: tuple[str, ...] = ()
    """What is assumed, and who decides."""
    steps: tuple[str, ...] = ()
    """A method of measuring, step by step."""
    tools: tuple[str, ...] = ()


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


def blank_for(value: ResolvedValue) -> Blank:
    """Return the blank of a value that is not on file."""
    return Blank(value.title, value.unit, value.where, value.name)
