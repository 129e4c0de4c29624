"""How wide texts are on slides, and how they break into lines: by the published widths of Helvetica, as Arial has them.

Arial, or a font of its widths, is on every machine that shows slides. A character that the table lacks counts as wide
as it is high, so that a text never takes more room than it was given.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from ...words.languages.fallback import plain

FONT = "Arial"
LINE = 1.2
"""Height of a line, as a multiple of the type's."""
AIR = 1.03
"""Programs round widths of characters, each in its own way."""
_WIDEST = 1000


@cache
def _widths(bold: bool) -> Mapping[str, int]:
    """Return the width of each character in thousandths of the type's height."""
    import matplotlib
    from fontTools.agl import toUnicode

    name = "Helvetica-Bold.afm" if bold else "Helvetica.afm"
    text = Path(matplotlib.get_data_path(), "fonts", "pdfcorefonts", name).read_text("ascii")
    found = {}
    for line in text.splitlines():
        if line.startswith("C "):
            fields = dict(f.split(maxsplit=1) for f in line.split(";") if len(f.split(maxsplit=1)) == 2)
            found[toUnicode(fields["N"].strip())] = int(fields["WX"])
    narrow = {"\u00a0": " ", "\u2011": "-", "\u202f": " "}
    return found | {c: found[like] for c, like in narrow.items()}


def width_in(text: str, size_pt: float, bold: bool = False) -> float:
    """Return the width of a text in one line, inches.

    >>> round(width_in("iii", 72), 3) < round(width_in("MMM", 72), 3)
    True
    """
    widths = _widths(bold)
    return AIR * sum(widths.get(c, _WIDEST) for c in plain(text)) / 1000 * size_pt / 72


def _words(text: str) -> list[str]:
    """Return the words between which a text may break: not at a no-break space."""
    return [w for w in re.split(r"[ \n]+", text) if w]


Run = tuple[str, bool]
"""A stretch of text, and whether it is bold."""


def lines_in(runs: Sequence[Run], size_pt: float, wide_in: float) -> int:
    """Return how many lines a text takes in a box of this width, inches; a word that is wider is broken.

    >>> lines_in([("one two", False)], 72, 2.0), lines_in([("one two", False)], 72, 20.0)
    (2, 1)
    """
    lines, x, space = 1, 0.0, width_in(" ", size_pt)
    for text, bold in runs:
        for word in _words(text):
            wide = width_in(word, size_pt, bold)
            if x and x + space + wide > wide_in:
                lines, x = lines + 1, 0.0
            if wide > wide_in:
                lines += int(wide / wide_in)
                x = wide % wide_in
            else:
                x += wide + (space if x else 0.0)
    return lines


def height_in(runs: Sequence[Run], size_pt: float, wide_in: float) -> float:
    """Return the height of a text in a box of this width, inches."""
    return lines_in(runs, size_pt, wide_in) * size_pt * LINE / 72


def in_parts(text: str, size_pt: float, wide_in: float, most_lines: int) -> list[str]:
    """Return a text in parts of so many lines at most, broken between words.

    >>> in_parts("one two three", 72, 2.0, 2)
    ['one two', 'three']
    """
    parts: list[str] = []
    for word in _words(text):
        longer = f"{parts[-1]} {word}" if parts else word
        if parts and lines_in([(longer, False)], size_pt, wide_in) <= most_lines:
            parts[-1] = longer
        else:
            parts.append(word)
    return parts
