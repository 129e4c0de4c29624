"""Rows of the pages beside the sequences, typed: what they are called, the catalogues of words say by their ids."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..steps.plan import Caution


@dataclass(frozen=True)
class StepLink:
    """A step that a row leads to: kind and title of its sequence, its id, number and title."""

    sequence: str
    sequence_title: str
    step: str
    number: int
    title: str


@dataclass(frozen=True)
class UpkeepRow:
    """Something to compare, or to do every year."""

    id: str
    steps: tuple[StepLink, ...] = ()


@dataclass(frozen=True)
class Cause:
    """What brings a symptom about, or what is done about a clearance."""

    id: str
    steps: tuple[StepLink, ...] = ()
    refer: bool = False
    """Whether it is not put right at the head, but referred."""


@dataclass(frozen=True)
class Symptom:
    """What is noticed at a pump; its causes, the likeliest first."""

    id: str
    causes: tuple[Cause, ...]


@dataclass(frozen=True)
class Clearance:
    """What is done about a clearance outside its limits, in the order to try."""

    value: str
    too_small: tuple[Cause, ...]
    too_large: tuple[Cause, ...]


@dataclass(frozen=True)
class Term:
    """A term of the glossary, the kind of part its picture is cut round (or none), and steps whose pictures show it.

    ``whole``: its picture is that of the whole head.
    """

    id: str
    steps: tuple[StepLink, ...]
    part: str
    whole: bool = False


@dataclass(frozen=True)
class Upkeep:
    """All of it that belongs to one head; ``cautions`` are the safety messages at the head of each page."""

    cautions: Mapping[str, tuple[Caution, ...]]
    compare: tuple[UpkeepRow, ...]
    symptoms: tuple[Symptom, ...]
    clearances: tuple[Clearance, ...]
    tasks: tuple[UpkeepRow, ...]
    terms: tuple[Term, ...]
