"""How things look: materials, the colour of what moves, and one scale of line weights.

Lengths are in pixels of a picture 1600 wide and scale with it. The strong colour is of the Okabe-Ito set; it stays
apart from the greys of the context in greyscale print too (lightness 46 against 75 and more).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["plain", "context", "moving", "focus", "ghost", "quiet", "tool"]
Rgb = tuple[float, float, float]


def rgb(text: str) -> Rgb:
    """Return a colour given as #rrggbb as three numbers from 0 to 1."""
    value = int(text.lstrip("#"), 16)
    return ((value >> 16) / 255.0, (value >> 8 & 255) / 255.0, (value & 255) / 255.0)


def colour_bytes(colour: Rgb) -> tuple[int, int, int]:
    """Return a colour as three numbers from 0 to 255."""
    return (round(colour[0] * 255), round(colour[1] * 255), round(colour[2] * 255))


def mix(a: Rgb, b: Rgb, share: float) -> Rgb:
    """Return ``a`` with ``share`` (0 to 1) of ``b`` mixed in."""
    return (
        a[0] + (b[0] - a[0]) * share,
        a[1] + (b[1] - a[1]) * share,
        a[2] + (b[2] - a[2]) * share,
    )


STRONG = rgb("#0072B2")
STRONG_INK = rgb("#00344F")
INK = rgb("#22262A")
QUIET_INK = rgb("#666E74")
PALE = rgb("#B9DCF1")
PAPER = rgb("#FFFFFF")


@dataclass(frozen=True)
class MaterialStyle:
    """Shading of a material: base colour and Phong coefficients."""

    colour: Rgb
    ambient: float = 0.30
    diffuse: float = 0.72
    specular: float = 0.25
    power: float = 24.0


STEEL = MaterialStyle(rgb("#C3C9CE"), 0.30, 0.70, 0.38, 26.0)

MATERIALS: dict[str, MaterialStyle] = {
    "steel": STEEL,
    "316L": STEEL,
    "A4-70": STEEL,
    "stainless": STEEL,
    "duplex": MaterialStyle(rgb("#BBC2C8"), 0.30, 0.70, 0.36, 26.0),
    "nickel-alloy": MaterialStyle(rgb("#CFC9BC"), 0.30, 0.70, 0.34, 22.0),
    "spring-steel": MaterialStyle(rgb("#9AA3AB"), 0.28, 0.70, 0.50, 34.0),
    "spring-stainless": MaterialStyle(rgb("#AEB6BD"), 0.28, 0.70, 0.50, 34.0),
    "painted-iron": MaterialStyle(rgb("#8C9AA5"), 0.34, 0.70, 0.10, 10.0),
    "FKM": MaterialStyle(rgb("#585B5F"), 0.34, 0.75, 0.22, 12.0),
    "EPDM": MaterialStyle(rgb("#4E5154"), 0.34, 0.75, 0.20, 12.0),
    "NBR": MaterialStyle(rgb("#5A5D60"), 0.34, 0.75, 0.22, 12.0),
    "FFKM": MaterialStyle(rgb("#4A4D50"), 0.34, 0.75, 0.20, 12.0),
    "VMQ": MaterialStyle(rgb("#A5675B"), 0.34, 0.72, 0.16, 12.0),
    "ptfe": MaterialStyle(rgb("#F4F2EA"), 0.40, 0.62, 0.10, 8.0),
    "ptfe-encapsulated": MaterialStyle(rgb("#E9E4D8"), 0.38, 0.62, 0.30, 20.0),
    "carbon": MaterialStyle(rgb("#5C5F62"), 0.32, 0.70, 0.45, 30.0),
    "silicon-carbide": MaterialStyle(rgb("#6C747A"), 0.30, 0.70, 0.60, 48.0),
    "ceramic": MaterialStyle(rgb("#EFEDE6"), 0.38, 0.62, 0.35, 40.0),
}

ELASTOMERS = frozenset({"FKM", "EPDM", "NBR", "FFKM", "VMQ", "ptfe-encapsulated"})


def material_style(key: str) -> MaterialStyle:
    """Return the shading of a material, or of a colour ``#rrggbb``; an unknown one reads as steel."""
    if key.startswith("#"):  # quiet: no part's own colour competes with what a picture is about
        return MaterialStyle(mix(rgb(key), STEEL.colour, 0.5), 0.32, 0.70, 0.16, 14.0)
    return MATERIALS.get(key, STEEL)


TOOL = MaterialStyle(rgb("#B3A58A"), 0.36, 0.66, 0.14, 14.0)
"""All tools: one quiet colour that no part has."""
TOOL_INK = rgb("#4C4230")


@dataclass(frozen=True)
class PartStyle:
    """A part's shading and lines: ``outline`` and ``edge`` are line widths, 0 draws none."""

    surface: MaterialStyle
    outline: float
    edge: float
    line: Rgb


def part_style(role: Role, key: str) -> PartStyle:
    """Return the look of a part in ``role`` made of material ``key``."""
    m = material_style(key)
    if role == "plain":
        return PartStyle(m, 1.35, 0.8, INK)
    if role == "context":
        # Dark materials stay darker than steel, so that a seal face is still found, but nothing competes.
        quiet = mix(_grey(m.colour), PAPER, 0.55)
        return PartStyle(MaterialStyle(quiet, 0.48, 0.54, m.specular * 0.2, m.power), 1.3, 0.8, QUIET_INK)
    if role == "focus":
        # Looked at, not moved: the strong colour in its lines, pale on its faces.
        return PartStyle(
            MaterialStyle(PALE, 0.46, 0.58, m.specular * 0.3, m.power),
            2.8,
            1.2,
            mix(STRONG, STRONG_INK, 0.35),
        )
    if role == "quiet":
        # Meant, but not coloured: its own metal, with lines that stand out from what is about it.
        quiet = mix(m.colour, PAPER, 0.3)
        return PartStyle(MaterialStyle(quiet, 0.4, 0.6, m.specular * 0.3, m.power), 2.0, 1.0, INK)
    if role == "tool":
        return PartStyle(TOOL, 1.9, 0.9, TOOL_INK)
    if role == "ghost":
        return PartStyle(MaterialStyle(PAPER, 1.0, 0.0, 0.0, 1.0), 1.5, 0.0, (0.0, 0.0, 0.0))
    shade = MaterialStyle(STRONG, 0.34, 0.78, max(m.specular, 0.22), m.power)
    return PartStyle(shade, 3.4, 1.4, STRONG_INK)


def _grey(colour: Rgb) -> Rgb:
    value = 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2]
    return mix(colour, (value, value, value), 0.7)
