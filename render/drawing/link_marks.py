"""Marks on faces that are opened like a book: rings, crosses, the lines that join them, discs that show them large.

Positions and widths are in pixels of the picture; full lines and dashed lines tell two sizes, or two shafts, apart.
"""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from ...geometry.frame import Floats
from ..engine.material_styles import INK, PAPER
from .arrows import OVER, OverlayCanvas, Point, cut_dashes

DASH, GAP = 14.0, 10.0
BOW = 0.022
"""By how much lines that would lie on one another are bowed apart, as a share of the picture's height."""


def draw_ring(pen: OverlayCanvas, at: Point, radius: float, width: float, dashed: bool) -> None:
    """Draw a ring round what goes from one face into the other, on a border of paper."""
    pen.ring(at, radius, width * 2.0, PAPER)
    if dashed:
        turns = np.linspace(0.0, 2 * np.pi, 49)
        path = [(at[0] + radius * float(np.cos(t)), at[1] + radius * float(np.sin(t))) for t in turns]
        for piece in cut_dashes(path, DASH * 0.55, GAP * 0.6):
            pen.line(piece, width, INK)
    else:
        pen.ring(at, radius, width, INK)


def draw_cross(pen: OverlayCanvas, at: Point, half: float, width: float) -> None:
    """Draw a cross where what should meet does not."""
    (x, y), h = at, half * 0.9
    for colour, w in ((PAPER, width * 1.8), (INK, width)):
        for sign in (1.0, -1.0):
            pen.line([(x - h, y - sign * h), (x + h, y + sign * h)], w, colour)


def draw_link(
    pen: OverlayCanvas,
    tail: Floats,
    head: Floats,
    radius: float,
    width: float,
    dashed: bool,
    number: int,
    high: int,
) -> None:
    """Draw the line from ring to ring, bowed a little so that several at one height can be told apart."""
    bow = BOW * high * (1 + number // 2) * (1.0 if number % 2 == 0 else -1.0)
    shares = np.linspace(0.0, 1.0, 40)
    path = tail + np.outer(shares, head - tail) - np.outer(4 * bow * shares * (1 - shares), [0.0, 1.0])
    clear = (np.hypot(*(path - tail).T) > radius) & (np.hypot(*(path - head).T) > radius)
    points = [(float(x), float(y)) for x, y in path[clear]]
    if len(points) < 2:
        return
    pen.line(points, width * 2.2, PAPER, 0.8)
    if dashed:
        pen.dashes(points, width, DASH, GAP, INK)
    else:
        pen.line(points, width, INK)


def draw_bar(pen: OverlayCanvas, a: Point, b: Point, width: float, dashed: bool) -> None:
    """Draw the line between two close-ups."""
    if dashed:
        pen.dashes([a, b], width, DASH, GAP, INK)
    else:
        pen.line([a, b], width, INK)


def paste_disc(image: Image.Image, close: Image.Image, at: Point, radius: float, width: float) -> None:
    """Compose a square ``close`` into ``image`` as a disc with a ring."""
    mask = Image.new("L", (close.width * OVER, close.height * OVER), 0)
    ImageDraw.Draw(mask).ellipse((0, 0, mask.width - 1, mask.height - 1), fill=255)
    image.paste(close, (round(at[0] - close.width / 2), round(at[1] - close.height / 2)), mask.reduce(OVER))
    OverlayCanvas(image).ring(at, radius, width, INK)
