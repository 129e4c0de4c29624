"""Cards of A6 on sheets to be cut: questions on one side, each answer behind its question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .cards import CardView
from .faces import CardFace, card_face

COLUMNS = 2
"""Cards of 105 mm side by side on a sheet; both A4 and Letter are wide enough."""
ROWS = {"A4": 2, "Letter": 1}
"""Cards of 148 mm one above the other: A4 is cut into four, Letter has room for one row."""


@dataclass(frozen=True)
class CardSheet:
    """One sheet: what stands where on its two sides, row by row; None where a place stays empty."""

    front: tuple[CardFace | None, ...]
    back: tuple[CardFace | None, ...]

    @property
    def rows(self) -> int:
        """Rows of cards on it."""
        return len(self.front) // COLUMNS


def card_sheets(cards: Sequence[CardView], paper: str) -> tuple[CardSheet, ...]:
    """Return the sheets for ``cards`` on ``paper``, turned over at the long edge, so left is right on their back.

    Raises:
        KeyError: if the paper is none of :data:`ROWS`.
    """
    faces = [card_face(c) for c in cards]
    full = COLUMNS * ROWS[paper]
    sheets = []
    for n in range(0, len(faces), full):
        places = [*faces[n : n + full], *[None] * full][:full]
        rows = [places[k : k + COLUMNS] for k in range(0, full, COLUMNS)]
        sheets.append(CardSheet(tuple(places), tuple(face for row in rows for face in row[::-1])))
    return tuple(sheets)
