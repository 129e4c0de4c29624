"""The plant's accent colour: readable on the pages (WCAG 2.2, level AA), and never to be taken for a safety colour.

API::

    check_accent(text) -> str            # "#rrggbb"; AccentError says what is wrong, with the nearest that passes
    contrast(a, b) -> float              # of two colours, 1 to 21
    dark_accent(accent) -> str           # the same hue for pages on a dark ground
"""

from __future__ import annotations

import math
import re

SAFETY = {"DANGER": "#9b2423", "WARNING": "#d05d29", "CAUTION": "#f9a800", "NOTICE": "#005387"}
"""Colours of safety messages on the pages; a test holds them to the style sheet."""
LIGHT, DARK = "#f3f3f0", "#212427"
"""The darkest ground of light pages and the lightest of dark ones on which the accent stands."""
LEAST_CONTRAST = 4.5
"""WCAG 2.2, 1.4.3: text of usual size."""
LEAST_APART = {"DANGER": 30.0, "WARNING": 30.0, "CAUTION": 30.0, "NOTICE": 18.0}
"""Distance in CIELAB (1976) under which a colour could be taken for that safety colour. Our own choice: eight times and
more of what people tell apart when two fields touch; wider for those of injury."""
VIVID, RED_DEG = 50.0, 20.0
"""A colour of at least this chroma whose hue is so near that of DANGER is red to whoever sees it, however light."""

Rgb = tuple[int, int, int]


class AccentError(ValueError):
    """A colour that cannot be the accent: what was found, what is allowed, the nearest that passes."""

    def __init__(self, found: str, allowed: str, fix: str) -> None:
        super().__init__(found)
        self.found, self.allowed, self.fix = found, allowed, fix


def check_accent(text: str) -> str:
    """Return the colour as ``#rrggbb``.

    Raises:
        AccentError: if it is no colour, does not contrast enough with the page, or is near a safety colour.

    >>> check_accent("#1F5F3F")
    '#1f5f3f'
    """
    found = text.strip().casefold()
    if short := re.fullmatch(r"#?([0-9a-f])([0-9a-f])([0-9a-f])", found):
        found = "#" + "".join(2 * c for c in short.groups())
    if re.fullmatch(r"[0-9a-f]{6}", found):
        found = f"#{found}"
    if not re.fullmatch(r"#[0-9a-f]{6}", found):
        raise AccentError(f"'{text}'", 'a colour as "#rrggbb", in quotes', 'write it like "#1f5f3f"')
    fix = f'write "{nearest_accent(found)}", the nearest that passes'
    if near := _taken_for(found):
        raise AccentError(
            f"{found}, which looks like the colour of {near}", "a colour unlike those of safety messages", fix
        )
    ratio = contrast(found, LIGHT)
    if ratio < LEAST_CONTRAST:
        least = f"a contrast of at least {LEAST_CONTRAST} with the page (WCAG AA)"
        raise AccentError(f"{found}, a contrast of {math.floor(ratio * 10) / 10}", least, fix)
    return found


def nearest_accent(colour: str) -> str:
    """Return the colour nearest to ``colour`` that can be the accent."""
    light, a, b = _lab(colour)
    chroma, hue = math.hypot(a, b), math.atan2(b, a)
    best, least = "#3a3a3a", math.inf
    for lightness in range(8, 60):
        for share in (1.0, 0.85, 0.7, 0.5, 0.3):
            for turn in range(-60, 61, 5):
                at = hue + math.radians(turn)
                tried = _from_lab(lightness, share * chroma * math.cos(at), share * chroma * math.sin(at))
                if tried is None:
                    continue
                away = math.dist(_lab(tried), (light, a, b))
                if away < least and passes(tried):
                    best, least = tried, away
    return best


def passes(colour: str) -> bool:
    """Return whether ``#rrggbb`` can be the accent."""
    return contrast(colour, LIGHT) >= LEAST_CONTRAST and not _taken_for(colour)


def dark_accent(accent: str) -> str:
    """Return the accent for pages on a dark ground: its hue, as light as the contrast there asks for.

    >>> contrast(dark_accent("#1f5f3f"), DARK) >= LEAST_CONTRAST
    True
    """
    light, a, b = _lab(accent)
    for lightness in range(math.ceil(light), 100):
        for share in (1.0, 0.8, 0.6, 0.4, 0.2, 0.0):
            tried = _from_lab(lightness, share * a, share * b)
            if tried is not None and contrast(tried, DARK) >= LEAST_CONTRAST and not _taken_for(tried):
                return tried
    return "#ffffff"


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours by WCAG 2.2.

    >>> round(contrast("#000000", "#ffffff"))
    21
    """
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _taken_for(colour: str) -> str:
    """Return the signal word whose colour it could be taken for, empty where there is none."""
    here = _lab(colour)
    _, a, b = _lab(SAFETY["DANGER"])
    turned = math.degrees(math.atan2(here[2], here[1]) - math.atan2(b, a))
    red = math.hypot(here[1], here[2]) >= VIVID and abs((turned + 180) % 360 - 180) < RED_DEG
    away = {w: math.dist(here, _lab(c)) for w, c in SAFETY.items()}
    return min(
        (w for w, d in away.items() if d < LEAST_APART[w]),
        key=away.__getitem__,
        default="DANGER" if red else "",
    )


def _rgb(colour: str) -> Rgb:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _linear(colour: str) -> tuple[float, float, float]:
    def one(value: int) -> float:
        share = value / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    r, g, b = (one(v) for v in _rgb(colour))
    return r, g, b


def _luminance(colour: str) -> float:
    r, g, b = _linear(colour)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


_WHITE = (0.95047, 1.0, 1.08883)
"""D65."""


def _lab(colour: str) -> tuple[float, float, float]:
    """Return CIELAB of an sRGB colour (IEC 61966-2-1), D65."""
    r, g, b = _linear(colour)
    xyz = (
        0.4124564 * r + 0.3575761 * g + 0.1804375 * b,
        0.2126729 * r + 0.7151522 * g + 0.0721750 * b,
        0.0193339 * r + 0.1191920 * g + 0.9503041 * b,
    )

    def one(share: float) -> float:
        return share ** (1 / 3) if share > 216 / 24389 else (24389 / 27 * share + 16) / 116

    x, y, z = (one(v / w) for v, w in zip(xyz, _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _from_lab(light: float, a: float, b: float) -> str | None:
    """Return the sRGB colour of CIELAB; None where screens cannot show it."""
    y = (light + 16) / 116

    def one(root: float) -> float:
        return root**3 if root**3 > 216 / 24389 else (116 * root - 16) * 27 / 24389

    x, y, z = (one(v) * w for v, w in zip((y + a / 500, y, y - b / 200), _WHITE, strict=True))
    linear = (
        3.2404542 * x - 1.5371385 * y - 0.4985314 * z,
        -0.9692660 * x + 1.8760108 * y + 0.0415560 * z,
        0.0556434 * x - 0.2040259 * y + 1.0572252 * z,
    )
    if any(not -0.002 <= v <= 1.002 for v in linear):
        return None
    values = (min(max(v, 0.0), 1.0) for v in linear)
    shares = (12.92 * v if v <= 0.0031308 else 1.055 * v ** (1 / 2.4) - 0.055 for v in values)
    return "#" + "".join(f"{round(255 * s):02x}" for s in shares)
