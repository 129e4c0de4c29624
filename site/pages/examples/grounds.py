"""What damage is drawn on: patches of metal and rubber as SVG shapes, 96 wide, 72 high, light from the upper left."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, pi, sin, sqrt

WIDTH, HEIGHT = 96, 72
INK, RUBBER, BACK = "#1b1d1f", "#2f3336", "#eceeef"
LIT, BRIGHT, METAL, SHADE, DEEP = "#ffffff", "#d3d7da", "#a9adb0", "#777b7f", "#45494d"
RING = (48.0, 108.0)
"""Middle of the ring of which :func:`ring_face` shows the top."""
RING_INNER, RING_OUTER = 50.0, 94.0
"""Its radii."""

Point = tuple[float, float]


def spread(n: int, phase: float = 0.0) -> float:
    """Return the n-th of numbers that fill 0 to 1 evenly, in no order that an eye sees (golden section).

    >>> [round(spread(n), 3) for n in range(3)]
    [0.0, 0.618, 0.236]
    """
    return (n * (sqrt(5.0) - 1.0) / 2.0 + phase) % 1.0


def drawn(d: str, fill: str = "none", stroke: str = "", width: float = 1.0, more: str = "") -> str:
    """Return a path; ``more`` are further attributes."""
    line = f' stroke="{stroke}" stroke-width="{width:g}" stroke-linecap="round" stroke-linejoin="round"'
    return f'<path d="{d}" fill="{fill}"{line if stroke else ""}{f" {more}" if more else ""}/>'


def through(points: Iterable[Point], closed: bool = False) -> str:
    """Return the path data of straight lines through points."""
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + ("Z" if closed else "")


def blob(x: float, y: float, r: float, seed: int, flat: float = 1.0) -> str:
    """Return the path data of a ragged round patch of mean radius ``r``, ``flat`` times as high as wide."""
    radii = [r * (0.75 + 0.5 * spread(seed + 3 * k)) for k in range(10)]
    return through(
        ((x + q * cos(k * pi / 5), y + flat * q * sin(k * pi / 5)) for k, q in enumerate(radii)), closed=True
    )


def jagged(start: Point, end: Point, seed: int, bends: int = 6, sway: float = 2.2) -> list[Point]:
    """Return the points of a line that wavers by ``sway`` to either side."""
    (x0, y0), (x1, y1) = start, end
    length = sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2)
    found = []
    for k in range(bends + 1):
        share = k / bends
        off = 0.0 if k in (0, bends) else sway * (2.0 * spread(seed + k) - 1.0)
        found.append((x0 + share * (x1 - x0) - off * (y1 - y0) / length,
                      y0 + share * (y1 - y0) + off * (x1 - x0) / length))  # fmt: skip
    return found


def circle(r: float, stroke: str, width: float, more: str = "") -> str:
    """Return a circle about the middle of :func:`ring_face`."""
    at = f'cx="{RING[0]:g}" cy="{RING[1]:g}" r="{r:g}"'
    return (
        f'<circle {at} fill="none" stroke="{stroke}" stroke-width="{width:g}"{f" {more}" if more else ""}/>'
    )


def on_ring(r: float, angle: float) -> Point:
    """Return the point of the ring at a radius and an angle in radians, from straight up clockwise."""
    return RING[0] + r * sin(angle), RING[1] - r * cos(angle)


def ground(colour: str) -> str:
    """Return the whole tile in one colour."""
    return drawn(f"M0 0H{WIDTH}V{HEIGHT}H0Z", colour)


def turned() -> str:
    """Return a turned face: fine grooves of the tool from side to side, the lay."""
    lines: dict[str, list[str]] = {}
    for k in range(48):
        tone = ("#989ca0", "#b6babd", "#c8ccce")[int(3 * spread(k))]
        lines.setdefault(tone, []).append(f"M0 {0.75 + 1.5 * k:g}H{WIDTH}")
    return ground(METAL) + "".join(drawn("".join(d), stroke=tone, width=0.8) for tone, d in lines.items())


def lapped(colour: str = "#b3b7ba", grain: str = "#9da1a5") -> str:
    """Return a lapped or cast face: even, with a fine grain and no lay."""
    dots = (f"M{WIDTH * spread(k):.1f} {HEIGHT * spread(k * k, 0.3):.1f}h.1" for k in range(110))
    return ground(colour) + drawn("".join(dots), stroke=grain, width=1.1)


def ring_face() -> str:
    """Return the upper part of a flat ring, seen square to its face."""
    middle, breadth = (RING_INNER + RING_OUTER) / 2, RING_OUTER - RING_INNER
    lay = "".join(circle(RING_INNER + 3 + 4.2 * k, "#a3a7ab", 0.7) for k in range(10))
    edges = circle(RING_INNER, DEEP, 1.6) + circle(RING_OUTER, LIT, 1.6)
    return ground(DEEP) + circle(middle, "#b3b7ba", breadth) + lay + edges


def shaft() -> str:
    """Return a turned bar that lies across the tile, with its lay round it."""
    bands, high = 12, 48
    shades = []
    for k in range(bands):
        light = 0.42 + 0.5 * max(cos((k - 3.5) / bands * pi), 0.0)
        grey = round(255 * light)
        y, step = 12 + high / bands * k, high / bands + 0.3
        shades.append(drawn(f"M0 {y:g}H{WIDTH}v{step:g}H0Z", f"#{grey:02x}{grey:02x}{grey:02x}"))
    lay = "".join(f"M{1 + 2.4 * k:g} 12V60" for k in range(40))
    return ground(BACK) + "".join(shades) + drawn(lay, stroke=DEEP, width=0.5, more='opacity=".3"')


def rubber_bow() -> str:
    """Return a stretch of a rubber cord of round section, bent as it lies."""
    bow = "M6 72A42 46 0 0 1 90 72"
    shine = "M12 62A38 42 0 0 1 66 29"
    return ground(BACK) + drawn(bow, stroke=RUBBER, width=30) + drawn(shine, stroke="#7c8186", width=3)


def groove(left: float, right: float, top: float, floor: float) -> str:
    """Return metal cut across a groove; the rubber in it is drawn over."""
    d = f"M0 {top:g}H{left:g}V{floor:g}H{right:g}V{top:g}H{WIDTH}V{HEIGHT}H0Z"
    return ground(BACK) + drawn(d, METAL, DEEP, 1.4)
