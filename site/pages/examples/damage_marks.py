"""Damage drawn on its ground: for each word of a sequence file the shapes of one small drawing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import cos, pi, sin
from types import MappingProxyType

from ....sequences.steps.plan import Damage
from .grounds import (
    BACK,
    BRIGHT,
    DEEP,
    INK,
    LIT,
    METAL,
    RING_INNER,
    RING_OUTER,
    RUBBER,
    SHADE,
    blob,
    circle,
    drawn,
    groove,
    ground,
    jagged,
    lapped,
    on_ring,
    ring_face,
    rubber_bow,
    shaft,
    spread,
    through,
    turned,
)

NEW = "#56b4e9"
"""Colour of the line that shows the shape of a new part."""
_NEW_LINE = 'stroke-dasharray="3.5 3"'


def _scratch() -> str:
    line = "M10 62C34 47 58 33 88 9"
    shadow = drawn(line, stroke=DEEP, width=1.8, more='transform="translate(.8 1.1)"')
    return turned() + shadow + drawn(line, stroke=LIT, width=1.6)


def _step() -> str:
    upper, lower = "M0 38 14 16H54L40 38Z", "M40 54 54 32H110L96 54Z"
    lay = "".join(f"M{40 - 4 * k:g} 38 {54 - 4 * k:g} 16" for k in range(1, 14))
    lay += "".join(f"M{40 + 4 * k:g} 54 {54 + 4 * k:g} 32" for k in range(1, 16))
    finger = "M43 51C47 41 57 30 72 20L100 2V36L78 46C64 53 51 56 43 51Z"
    nail = "M43 51C46 43 53 35 62 30L67 37C60 44 52 51 43 51Z"
    return "".join(
        (
            ground(BACK),
            drawn(upper, BRIGHT),
            drawn(lower, "#bfc3c6"),
            drawn(lay, stroke=METAL, width=0.7),
            drawn("M0 38H40V54H96V72H0Z", SHADE),
            drawn("M40 38 54 16V32L40 54Z", DEEP),
            drawn("M0 38H40L54 16", stroke=LIT, width=2),
            drawn(finger, "#d8bfa8", INK, 1.3),
            drawn(nail, "#f7f1ea", INK, 1.1),
        )
    )


_PITS = ((20, 18, 4.6), (45, 12, 2.4), (70, 20, 5.6), (34, 38, 6.4), (57, 45, 3.4), (82, 46, 4.4), (17, 56, 3.2),
         (46, 61, 4.8), (72, 62, 2.6))  # fmt: skip


def _pit() -> str:
    lit = "".join(blob(x + 1.3, y + 1.5, r + 0.9, 7 * k) for k, (x, y, r) in enumerate(_PITS))
    dark = "".join(blob(x, y, r, 7 * k) for k, (x, y, r) in enumerate(_PITS))
    floor = "".join(blob(x + r / 4, y + r / 4, r / 2, 7 * k) for k, (x, y, r) in enumerate(_PITS))
    return lapped() + drawn(lit, LIT) + drawn(dark, INK) + drawn(floor, DEEP)


def _contact_band() -> str:
    band = circle(72, "#e4e8ea", 16) + circle(64, DEEP, 1.2) + circle(80, DEEP, 1.2)
    gleam = (
        circle(r, LIT, 1.6, f'stroke-dasharray="{a} {b}"')
        for r, a, b in ((68, 46, 9), (72, 30, 14), (76, 52, 7))
    )
    lines = (circle(r, "#bcc1c4", 0.6) for r in (66, 70, 74, 78))
    return ring_face() + band + "".join(gleam) + "".join(lines)


def _hair_crack() -> str:
    trunk = jagged((32, 46), (88, 12), 5, 9, 2.8)
    forks = [
        jagged(trunk[3], (60, 10), 2, 5, 2.0),
        jagged(trunk[4], (78, 42), 9, 5, 2.0),
        jagged(trunk[6], (80, 6), 4, 4, 1.4),
        jagged((68, 35), (72, 56), 6, 4, 1.6),
    ]
    fine = "".join(through(p) for p in forks)
    return "".join(
        (
            lapped("#c6cacc", "#b4b8bb"),
            drawn("M0 46H32V72H0Z", INK),
            drawn("M0 46H32V72", stroke=LIT, width=1.8),
            drawn(through(trunk[:6]), stroke=INK, width=2),
            drawn(through(trunk[5:]), stroke=INK, width=1.2),
            drawn(fine, stroke=INK, width=0.9),
        )
    )


def _heat_cracks() -> str:
    rays = []
    for k in range(17):
        angle = -0.62 + 0.078 * k + 0.02 * spread(k)
        inner, outer = RING_INNER + 4 + 9 * spread(k, 0.2), RING_OUTER - 4 - 12 * spread(k, 0.7)
        rays.append(through(jagged(on_ring(inner, angle), on_ring(outer, angle + 0.02), k, 5, 1.3)))
    return ring_face() + drawn("".join(rays), stroke=INK, width=1.3)


def _galling() -> str:
    torn: list[str] = []
    raised: list[str] = []
    for k in range(46):
        x, y = 6 + 58 * spread(k), 25 + 23 * spread(k * k, 0.37)
        to = (x + 6 + 10 * spread(k * k, 0.5), y + 2 * spread(k * k, 0.1) - 1)
        (torn if k % 3 else raised).append(through(jagged((x, y), to, k * k, 3, 1.8)))
    edge = [*jagged((2, 33), (84, 20), 3, 14, 2.6), *jagged((90, 52), (2, 40), 8, 14, 2.6)]
    lumps = ((80, 26, 6.0), (86, 36, 7.0), (80, 47, 6.2), (73, 36, 4.8))
    heap = "".join(
        drawn(blob(x + 1.6, y + 1.8, r, k), INK)
        + drawn(blob(x, y, r, k), "#c3c7ca")
        + drawn(blob(x - r / 4, y - r / 3, r / 2.4, k), LIT)
        for k, (x, y, r) in enumerate(lumps)
    )
    streak = drawn(through(edge, closed=True), SHADE)
    lines = drawn("".join(torn), stroke=INK, width=1.3) + drawn("".join(raised), stroke=LIT, width=1.3)
    return turned() + streak + lines + heap


def _burr() -> str:
    teeth = [(22.0, 44.0)]
    for k in range(13):
        teeth += [(24 + 4 * k, 38 - 14 * spread(k, 0.35) * sin(pi * (k + 1) / 14)), (26 + 4 * k, 42.0)]
    fringe = through([*teeth, (78.0, 45.0)], closed=True)
    top = "".join(f"M0 {k}H96" for k in range(24, 44, 3))
    return "".join(
        (
            ground(BACK),
            drawn("M0 21H96V44H0Z", BRIGHT),
            drawn(top, stroke=METAL, width=0.7),
            drawn("M0 44H96V72H0Z", SHADE),
            drawn("M0 44H96", stroke="#f4f6f7", width=1.2),
            drawn(fringe, DEEP, more='transform="translate(2.2 1.4)"'),
            drawn(fringe, LIT, INK, 1.1),
        )
    )


def _worn_edge() -> str:
    worn = "M0 72V20H34C52 20 60 30 62 44C69 46 71 53 66 58L63 60V72Z"
    return "".join(
        (
            ground(BACK),
            drawn(worn, METAL, DEEP, 1.4),
            drawn("M34 21.5C51 21.5 58.5 31 60.5 45", stroke=LIT, width=2.6),
            drawn("M34 20H63V60", stroke="#0072b2", width=1.8, more=_NEW_LINE),
        )
    )


def _worn_groove() -> str:
    return "".join(
        (
            shaft(),
            drawn(
                "M36 11V12Q38 18 43 18.5H53Q58 18 60 12V11ZM36 61V60Q38 54 43 53.5H53Q58 54 60 60V61Z", BACK
            ),
            drawn("M36 12Q38 18 43 18.5V53.5Q38 54 36 60Z", INK, more='opacity=".72"'),
            drawn("M60 12Q58 18 53 18.5V53.5Q58 54 60 60Z", LIT, more='opacity=".85"'),
            drawn("M45 19V53M48 19V53M51 19V53", stroke=LIT, width=1, more='opacity=".8"'),
        )
    )


def _pulled_thread() -> str:
    outline, lit, dark, torn = [(-8.0, 80.0), (-8.0, 38.0)], "", "", ""
    for k in range(8):
        x = -6 + 14 * k
        if k in (3, 4, 5):
            ragged = jagged((x + 3, 34), (x + 12, 33), 4 * k, 4, 4.0)
            outline += ragged
            torn += "".join(
                through(jagged((x + q, 37), (x + q + 7 + 3 * spread(k), 80), 5 * k + q, 6, 2.4))
                for q in (4, 10)
            )
        else:
            outline += [(x + 6.0, 20.0), (x + 8.0, 20.0)]
            lit += f"M{x + 6} 23L{x + 11} 80"
        outline.append((x + 14.0, 38.0))
        dark += f"M{x + 13} 38L{x + 18} 80"
    return "".join(
        (
            ground(BACK),
            drawn(through([*outline, (112.0, 80.0)], closed=True), METAL, DEEP, 1.3),
            drawn(dark, stroke=DEEP, width=3.2),
            drawn(lit, stroke=LIT, width=3),
            drawn(torn, stroke=INK, width=1.3),
        )
    )


def _rust() -> str:
    stains = []
    for tone, far, size in (("#b98a66", 20.0, 9.0), ("#8a5230", 19.0, 6.0), ("#55301a", 18.0, 3.2)):
        patches = []
        for k in range(18):
            angle, r = 2 * pi * spread(k), far + 6 * spread(k * k, 0.4) ** 2
            breadth = size * (0.35 + 0.8 * spread(k * k, 0.2))
            patches.append(blob(48 + r * cos(angle), 36 + r * sin(angle), breadth, k))
        stains.append(drawn("".join(patches), tone))
    hole = '<circle cx="48" cy="36" r="17" fill="#1b1d1f"/>'
    return turned() + "".join(stains) + hole + drawn("M60 24A17 17 0 0 1 36 48", stroke=SHADE, width=2)


def _chip() -> str:
    a, b = on_ring(RING_OUTER + 2, -0.12), on_ring(RING_OUTER + 2, 0.36)
    outer = f"{a[0]:.1f} {a[1]:.1f}"
    broken = "42 23L46 33L56 40L66 37L74 33L78 26"
    bite = f"M{outer}L{broken}L{b[0]:.1f} {b[1]:.1f}Q60 4 {outer}Z"
    shell = "M43 20Q57 43 77 25M46 16Q58 35 76 20M50 14Q60 26 74 17"
    return "".join(
        (
            ring_face(),
            drawn(bite, "#63676b"),
            drawn("M39 12Q60 22 80 18V8H39Z", DEEP),
            drawn(shell, stroke=METAL, width=1.3),
            drawn(f"M{broken}", stroke=LIT, width=1.8),
            drawn("M66 40L72 46M56 43L54 50", stroke=INK, width=1),
        )
    )


def _blister() -> str:
    domes = ((28, 26, 15.0, 11.0), (68, 42, 18.0, 13.0), (28, 57, 9.0, 7.0), (72, 14, 8.0, 6.0))
    shapes = [lapped("#63676b", "#575b5f")]
    for x, y, w, h in domes:
        for dx, rx, ry, tone in ((2.4, w, h, INK), (0, w, h, "#7d8286"), (-w / 6, w / 1.5, h / 1.6, METAL),
                                 (-w / 3, w / 3.4, h / 3.6, LIT)):  # fmt: skip
            shapes.append(
                f'<ellipse cx="{x + dx:.1f}" cy="{y + dx:.1f}" rx="{rx:.1f}" ry="{ry:.1f}" fill="{tone}"/>'
            )
    return "".join(shapes) + drawn(
        through(jagged((60, 50), (78, 44), 3, 5, 2)) + through(jagged((69, 47), (73, 53), 5, 3, 1)),
        stroke=INK,
    )


def _flattened_ring() -> str:
    worn = "M26 33Q24 26 32 25H64Q72 26 70 33Q74 40 70 47Q72 54 64 54H32Q24 54 26 47Q22 40 26 33Z"
    new = (
        '<circle cx="48" cy="36" r="18.5" fill="none" stroke="{}" stroke-width="2" stroke-dasharray="3.5 3"/>'
    )
    return groove(16, 80, 30, 55) + drawn(worn, RUBBER) + drawn(
        "M34 29H62", stroke="#7c8186", width=2.6
    ) + new.format(NEW)  # fmt: skip


def _swollen_ring() -> str:
    swollen = "M27 66Q27 67 32 67H64Q69 67 69 66V40Q84 38 80 24Q74 6 48 6Q22 6 16 24Q12 38 27 40Z"
    new = f'<circle cx="48" cy="49" r="17" fill="none" stroke="{NEW}" stroke-width="2" {_NEW_LINE}/>'
    return groove(27, 69, 40, 67) + drawn(swollen, RUBBER) + drawn(
        "M24 22Q30 12 46 11", stroke="#7c8186", width=3
    ) + new  # fmt: skip


def _cracked_ring() -> str:
    cracks = []
    for k in range(11):
        angle = -1.25 + 0.25 * k
        depth, half = 8 + 13 * spread(k, 0.3), 0.035 + 0.02 * spread(k)
        mouth = [(48 + 59 * sin(a), 72 - 63 * cos(a)) for a in (angle - half, angle + half)]
        tip = (48 + (57 - depth) * sin(angle + 0.03), 72 - (61 - depth) * cos(angle + 0.03))
        cracks.append(through([mouth[0], tip, mouth[1]], closed=True))
    return rubber_bow() + drawn("".join(cracks), BACK, "#b4b8bb", 0.7)


def _cut_ring() -> str:
    return "".join(
        (
            rubber_bow(),
            drawn("M42 8L54 34Q58 38 62 33L70 14Z", BACK),
            drawn("M42 10L54 34Q58 38 62 33L69 16", stroke="#7c8186", width=1.6),
            drawn("M69 15Q64 8 68 2Q76 3 82 10Q84 18 78 22Z", RUBBER, "#7c8186", 1),
        )
    )


MARKS: Mapping[Damage, Callable[[], str]] = MappingProxyType(
    {
        "scratch": _scratch,
        "step": _step,
        "pit": _pit,
        "contact band": _contact_band,
        "hair crack": _hair_crack,
        "heat cracks": _heat_cracks,
        "galling": _galling,
        "burr": _burr,
        "worn edge": _worn_edge,
        "worn groove": _worn_groove,
        "pulled thread": _pulled_thread,
        "rust": _rust,
        "chip": _chip,
        "blister": _blister,
        "flattened ring": _flattened_ring,
        "swollen ring": _swollen_ring,
        "cracked ring": _cracked_ring,
        "cut ring": _cut_ring,
    }
)
"""What draws each damage: shapes for a tile 96 wide and 72 high."""
