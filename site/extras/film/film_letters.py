"""Letters on the pictures of a film: the pages' own font, measured and drawn, with another for signs that it lacks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from PIL import ImageDraw, ImageFont

from ...pages.pages import ASSETS, FONTS
from ...words.languages.fallback import plain

REGULAR, BOLD = 400, 700
LINE = 1.28
"""Height of a line, as a multiple of the type's."""


@cache
def _ranges() -> tuple[tuple[str, tuple[tuple[int, int], ...]], ...]:
    """Return each font file with the ranges of characters that it holds."""
    found = []
    for name, text in FONTS.items():
        pairs = [p.removeprefix("U+").split("-") for p in text.split(",")]
        found.append((name, tuple((int(p[0], 16), int(p[-1], 16)) for p in pairs)))
    return tuple(found)


@cache
def _font(name: str, size: int, weight: int) -> ImageFont.FreeTypeFont:
    if name:
        font = ImageFont.truetype(str(ASSETS / "fonts" / name), size)
        font.set_variation_by_axes([weight])
        return font
    import matplotlib

    plain = "DejaVuSans-Bold.ttf" if weight > REGULAR else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path(), "fonts", "ttf", plain)), size)


@cache
def _holder(character: str) -> str:
    """Return the file of the font that holds a character, empty for the other one."""
    code = ord(character)
    return next((name for name, ranges in _ranges() if any(a <= code <= b for a, b in ranges)), "")


def _stretches(text: str, size: int, weight: int) -> Iterator[tuple[str, ImageFont.FreeTypeFont]]:
    """Yield a text in stretches of one font each."""
    begin = 0
    for n in range(1, len(text) + 1):
        if n == len(text) or _holder(text[n]) != _holder(text[begin]):
            yield text[begin:n], _font(_holder(text[begin]), size, weight)
            begin = n


def width(text: str, size: int, weight: int = REGULAR) -> float:
    """Return the width of a text in one line, pixels."""
    return sum(font.getlength(part) for part, font in _stretches(plain(text), size, weight))


def broken(text: str, size: int, wide: float, weight: int = REGULAR) -> list[str]:
    """Return a text in lines of at most ``wide`` pixels, broken between words; a longer word within itself."""
    lines: list[str] = []
    for word in re.split(r"[ \n]+", plain(text).strip()):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width(joined, size, weight) <= wide:
            lines[-1] = joined
            continue
        while len(word) > 1 and width(word, size, weight) > wide:
            cut = next(
                n for n in range(len(word) - 1, 0, -1) if n == 1 or width(word[:n], size, weight) <= wide
            )
            lines.append(word[:cut])
            word = word[cut:]
        lines.append(word)
    return lines


def write(
    pen: ImageDraw.ImageDraw,
    at: tuple[float, float],
    lines: Sequence[str],
    size: int,
    colour: str,
    weight: int = REGULAR,
) -> float:
    """Write lines one below the other from their upper left corner; return where the next would begin."""
    x, y = at
    for line in lines:
        across = x
        for part, font in _stretches(plain(line), size, weight):
            pen.text((across, y + size), part, fill=colour, font=font, anchor="ls")
            across += font.getlength(part)
        y += round(size * LINE)
    return y


def centred(
    pen: ImageDraw.ImageDraw, at: tuple[float, float], text: str, size: int, colour: str, weight: int = BOLD
) -> None:
    """Write a short text about its middle."""
    pen.text(at, text, fill=colour, font=_font(_holder(text[:1] or " "), size, weight), anchor="mm")
