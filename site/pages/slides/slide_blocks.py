"""What stands beside a picture on slides, piece by piece, and how it is dealt out to as many slides as it takes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ....sequences.steps.plan import SignalWord
from .slide_text import LINE, Run, height_in, in_parts

Kind = Literal["message", "again", "heading", "act", "point", "value", "text"]
SIZES: dict[Kind, float] = {
    "message": 14.0,
    "again": 13.0,
    "heading": 14.0,
    "act": 16.0,
    "point": 14.0,
    "value": 14.0,
    "text": 14.0,
}
"""Height of the type of each kind, points: none smaller than a room can read."""
GAPS: dict[Kind, float] = {
    "message": 0.12,
    "again": 0.1,
    "heading": 0.04,
    "act": 0.08,
    "point": 0.06,
    "value": 0.08,
    "text": 0.1,
}
"""Air below each kind, inches."""
PANEL, PADDING = 0.36, 0.1
"""Height of the panel of a signal word, and air within the frame round a message, inches."""
INDENT = 0.36
"""Room for the number of an act or the mark of a point, inches."""


@dataclass(frozen=True)
class SlideBlock:
    """One piece: what is said, and what stands before it (the number of an act)."""

    kind: Kind
    runs: tuple[Run, ...]
    mark: str = ""
    signal: SignalWord | None = None
    word: str = ""
    """The signal word in the page's language."""
    share: float = 1.0
    """Its type's height as a share of the usual."""

    @property
    def size_pt(self) -> float:
        """Height of its type, points."""
        return SIZES[self.kind] * self.share

    def text_width(self, wide: float) -> float:
        """Return the width of its text in a column of this width, inches."""
        if self.kind == "message":
            return wide - 2 * PADDING
        return wide - INDENT if self.kind in ("act", "point", "again") else wide

    def height(self, wide: float) -> float:
        """Return its height in a column of this width, without the air below, inches."""
        text = height_in(self.runs, self.size_pt, self.text_width(wide))
        return text + (PANEL + 2 * PADDING if self.kind == "message" else 0.0)

    def parts(self, wide: float, high: float) -> list[SlideBlock]:
        """Return it as it fits columns of this size, in more than one part if need be."""
        if self.height(wide) <= high:
            return [self]
        over = self.height(wide) - height_in(self.runs, self.size_pt, self.text_width(wide))
        most = int((high - over) / (self.size_pt * LINE / 72))
        text = " ".join(t for t, _ in self.runs)
        # Bold type is wider: measured so, a part never takes more room than it has.
        cut = in_parts(text, self.size_pt * 1.1, self.text_width(wide), most)
        return [replace(self, runs=((t, False),), mark=self.mark if not n else "") for n, t in enumerate(cut)]


@dataclass(frozen=True)
class PlacedBlock:
    """A piece with its place in a column, inches from the column's top."""

    block: SlideBlock
    top: float
    height: float


SHARES = (1.0, 0.9)
"""Shares of the type's usual height that are tried so that all goes on fewer slides."""


def dealt(blocks: Iterable[SlideBlock], wide: float, high: float) -> list[list[PlacedBlock]]:
    """Return pieces dealt out in order to columns of this size, inches; there is one at least.

    What stands under one heading stays together where it fits a column, as the messages before do; no heading is the
    last of a column. The type is somewhat smaller where that takes fewer columns.
    """
    pieces = list(blocks)
    tried = [_dealt([replace(b, share=share) for b in pieces], wide, high) for share in SHARES]
    return min(tried, key=len)


def _dealt(blocks: Sequence[SlideBlock], wide: float, high: float) -> list[list[PlacedBlock]]:
    columns: list[list[PlacedBlock]] = [[]]
    top = 0.0
    for group in _groups([p for b in blocks for p in b.parts(wide, high)]):
        heights = [b.height(wide) for b in group]
        gaps = [GAPS[b.kind] for b in group]
        whole = sum(heights) + sum(gaps[:-1])
        if columns[-1] and top + whole > high >= whole:
            columns.append([])
            top = 0.0
        for n, (block, height) in enumerate(zip(group, heights, strict=True)):
            needed = height + (
                gaps[n] + heights[n + 1] if block.kind == "heading" and n + 1 < len(group) else 0.0
            )
            if columns[-1] and top + needed > high:
                columns.append([])
                top = 0.0
            columns[-1].append(PlacedBlock(block, top, height))
            top += height + gaps[n]
    return columns


def _groups(blocks: Sequence[SlideBlock]) -> list[list[SlideBlock]]:
    """Return pieces as they belong together: those before the first heading, then each heading with its own."""
    groups: list[list[SlideBlock]] = []
    for block in blocks:
        if not groups or block.kind == "heading":
            groups.append([])
        groups[-1].append(block)
    return groups


def told(texts: Sequence[str]) -> tuple[Run, ...]:
    """Return texts as runs, the first bold: what can hurt, then how, and how to avoid it."""
    return tuple((t, n == 0) for n, t in enumerate(texts) if t)
