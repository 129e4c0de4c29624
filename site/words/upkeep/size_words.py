"""Sizes of parts in words: as a parts list and an order name them, an O-ring with the code of the standard's table."""

from __future__ import annotations

from dataclasses import dataclass

from ....geometry.part_size import PartSize
from ....sequences.upkeep.spare_parts import SpareLine
from ..catalogue import Words


@dataclass(frozen=True)
class KitRow:
    """A line of the spares kit."""

    part: str
    size: str
    number: str
    material: str
    quantity: int


HUNDREDTHS = {"ring": (1, 2), "ring_made": (1, 2), "disc": (3,), "wave": (3,)}
"""Figures of a form that are told to a hundredth, counted from 1: sections, sheet and strip. The others are told to a
tenth."""


def size_in_words(size: PartSize, words: Words) -> str:
    """Return a size as people write it.

    >>> from ..catalogue import load_words
    >>> size_in_words(PartSize("bolt", (8.0, 63.74)), load_words())
    'M8 × 63.7 mm'
    >>> size_in_words(PartSize("disc", (31.5, 16.3, 1.75)), load_words())
    '31.5 × 16.3 × 1.75 mm (De × Di × t)'
    """
    fine = HUNDREDTHS.get(size.form, ())
    figures = {f"mm{n}": _figure(mm, 2 if n in fine else 1) for n, mm in enumerate(size.mm, 1)}
    if size.pitch_mm:
        figures["mm1"] = words("size.fine", nominal=figures["mm1"], pitch=f"{size.pitch_mm:g}")
    form = "nut_wing" if size.form == "nut" and not size.mm[1] else size.form
    return words(f"size.{form}", code=size.code, **figures)


def _figure(mm: float, places: int) -> str:
    """Return a figure without zeros at its end.

    >>> _figure(8.0, 1), _figure(63.74, 1), _figure(1.78, 2)
    ('8', '63.7', '1.78')
    """
    return f"{mm:.{places}f}".rstrip("0").rstrip(".")


def kit_row(line: SpareLine, words: Words) -> KitRow:
    """Return a line of the kit in words."""
    names = [words.part(kind, kind) for kind in line.kinds]
    text = names[0]
    for name in names[1:]:
        text = words("spares.joined", first=text, next=name)
    return KitRow(
        text,
        size_in_words(line.size, words) if line.size else "",
        line.number,
        line.compound or (words.material(line.material) if line.material else ""),
        line.quantity,
    )
