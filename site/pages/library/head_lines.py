"""What the library's pages know of each booklet: its line in the list, rows to compare it by, its spares kit."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal

from ....sequences.values.sourced_values import Missing
from ..booklet import ValueLine
from ..cards.faces import CardFace

Group = Literal["options", "parts", "values", "steps"]
GROUPS: tuple[Group, ...] = ("options", "parts", "values", "steps")
"""In the order in which pages show them."""


@dataclass(frozen=True)
class ComparedRow:
    """One thing by which two booklets, or two builds of one, are compared."""

    group: Group
    id: str
    """The same in every booklet that has such a thing."""
    name: str
    text: str
    """What this booklet has there, in words; empty where its being there says all."""
    key: str
    """The same wherever the data behind it are the same, whatever the words."""
    page: str = ""
    """The place in the booklet that tells more."""


@dataclass(frozen=True)
class KitLine:
    """A line of a pump's spares kit, in words."""

    same: str
    """The same for what one order takes together, in every pump."""
    part: str
    size: str
    number: str
    material: str
    always: bool
    """Whether every overhaul takes it; else it is kept ready."""
    quantity: int


@dataclass(frozen=True)
class HeadLine:
    """One head on the library page; ``href`` and ``picture`` are relative to it."""

    slug: str
    tag: str
    size: str
    service: str
    options: tuple[tuple[str, str], ...]
    """Name and choice of every option, in words."""
    href: str
    picture: str
    picture_width: int
    picture_height: int
    missing: int
    faults: int = 0
    """What the proof found wrong in its sequences."""
    rows: tuple[ComparedRow, ...] = ()
    kit: tuple[KitLine, ...] = ()
    cards: tuple[CardFace, ...] = ()
    """Its orientation cards, for the deck of its size."""

    @classmethod
    def bare(cls, slug: str, tag: str) -> HeadLine:
        """Return the line of a head without a booklet."""
        return cls(slug, tag, "", "", (), "", "", 0, 0, 0)

    @property
    def find(self) -> str:
        """The words of its line that the search looks through; sizes and numbers of parts come from its rows."""
        return " ".join(
            (self.tag, self.size, self.service, *(f"{name} {choice}" for name, choice in self.options))
        )


@dataclass(frozen=True)
class MissingLine:
    """One value that is not on file, on the fleet's list; ``folder`` is the booklet's."""

    folder: str
    missing: Missing


def missing_line(tag: str, folder: str, line: ValueLine) -> MissingLine:
    """Return the list's entry for a blank of the booklet in ``folder``."""
    return MissingLine(folder, Missing(tag, line.value.name, line.value.unit, line.used))


def data_key(data: Any) -> str:
    """Return a short key of plain data: the same for the same data, in every process.

    >>> data_key({"a": 1, "b": 2}) == data_key({"b": 2, "a": 1}) != data_key({"a": 1})
    True
    """
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return sha256(text.encode()).hexdigest()[:12]
