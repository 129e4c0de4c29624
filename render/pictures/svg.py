"""One self-contained SVG a picture, with its callouts as text, for people who paste pictures into slides."""

from __future__ import annotations

import base64
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from PIL import Image

from ..drawing.callouts import Callout, NoRoomForCallouts, place_callouts
from .kept_pictures import FILM, Picture

SHOWN_WIDTH = 1200.0
"""Width of the picture in the SVG's units; text is :data:`TEXT` of them high."""
TEXT = 26.0
CHARACTER = 0.56
"""Width of a character as a share of the text's height, on average, of a plain sans-serif face. No font is embedded,
so labels keep some air; a test measures them in a browser."""
GAP = 10.0
DISC = 44.0
"""Width of the ring round an item number."""
LINE = TEXT * 1.45
FACE = "Arial, Helvetica, 'Liberation Sans', sans-serif"


def picture_svg(
    picture: Picture, labels: Mapping[str, str], title: str, numbers: Mapping[str, str] | None = None
) -> str:
    """Return ``picture`` as SVG text: the picture as PNG inside it, and a label with leader for each part.

    Args:
        picture: with a manifest that has anchors for the parts.
        labels: part key to its words; parts that are not seen in the picture are left out.
        title: what the picture shows, for those who cannot see it.
        numbers: part key to its item number; where the words find no room beside each other, numbers stand round the
            picture and the words below it.

    Raises:
        NoRoomForCallouts: if neither words nor numbers find room round the picture.
    """
    manifest = picture.manifest
    size = (SHOWN_WIDTH, SHOWN_WIDTH * manifest.height / manifest.width)
    anchors = {k: a for k in labels if k in manifest.parts and (a := manifest.parts[k].anchor) is not None}
    placed = _place({k: labels[k] for k in anchors}, anchors, size, numbers)
    side, band = placed.side, placed.band
    width = size[0] + 2 * side
    key, key_height = _key(placed.key_words, placed.words, width) if placed.key_words else ("", 0.0)
    height = size[1] + 2 * band + key_height
    lines = "".join(_leader(c, *size) for c in placed.callouts)
    words = "".join(
        _label(c, placed.words[c.key], *size, ring=bool(placed.key_words)) for c in placed.callouts
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'viewBox="{0.0 - side:g} {0.0 - band:g} {width:g} {height:g}" '
        f'width="{width:g}" height="{height:g}" role="img" aria-label={quoteattr(title)}>'
        f"<title>{escape(title)}</title>"
        f'<rect x="{0.0 - side:g}" y="{0.0 - band:g}" width="{width:g}" height="{height:g}" fill="#fff"/>'
        f'<image x="0" y="0" width="{size[0]:g}" height="{size[1]:g}" href="{_as_png(picture)}"/>'
        f'<g stroke="#fff" stroke-width="5" stroke-linecap="round">{lines}</g>'
        f'<g stroke="#22262a" stroke-width="1.6" stroke-linecap="round">{lines}</g>'
        f'<g font-family="{FACE}" font-size="{TEXT:g}" fill="#22262a" text-anchor="middle">{words}</g>'
        f'<g font-family="{FACE}" font-size="{TEXT:g}" fill="#22262a" '
        f'transform="translate({0.0 - side:g} {size[1] + band:g})">{key}</g>'
        "</svg>\n"
    )


@dataclass(frozen=True)
class _Placed:
    """Callouts with their words or numbers, words of the key below (none where all stand round the picture), and the
    width of the bands at the sides and above.
    """

    callouts: tuple[Callout, ...]
    words: Mapping[str, str]
    key_words: Mapping[str, str]
    side: float
    band: float


def _place(
    words: Mapping[str, str],
    anchors: Mapping[str, tuple[float, float]],
    size: tuple[float, float],
    numbers: Mapping[str, str] | None,
) -> _Placed:
    """Place the words above and below the picture, or numbers all round it where the words find no room.

    Raises:
        NoRoomForCallouts: if they find none either, or there are none.
    """
    widest = max((len(text) for text in words.values()), default=0) * CHARACTER * TEXT + GAP
    try:
        callouts = place_callouts(anchors, size, (widest, TEXT * 1.3), ("top", "bottom"), GAP)
    except NoRoomForCallouts:
        if numbers is None:
            raise
        rings = place_callouts(anchors, size, (DISC, DISC), gap_px=GAP)
        return _Placed(rings, {k: numbers[k] for k in anchors}, words, DISC + 2 * GAP, DISC + 2 * GAP)
    return _Placed(callouts, words, {}, 0.0, TEXT * 1.3 + 2 * GAP if callouts else 0.0)


def _leader(callout: Callout, width: float, height: float) -> str:
    (x1, y1), (x2, y2) = callout.port, callout.anchor
    return (
        f'<line x1="{x1 * width:.1f}" y1="{y1 * height:.1f}" x2="{x2 * width:.1f}" y2="{y2 * height:.1f}"/>'
    )


def _label(callout: Callout, text: str, width: float, height: float, ring: bool) -> str:
    x, y = callout.label[0] * width, callout.label[1] * height
    around = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{DISC / 2:g}" fill="none" stroke="#22262a" stroke-width="1.6"/>'
        if ring
        else ""
    )
    return f'{around}<text x="{x:.1f}" y="{y + 0.35 * TEXT:.1f}">{escape(text)}</text>'


def _key(words: Mapping[str, str], numbers: Mapping[str, str], width: float) -> tuple[str, float]:
    """Return the key of numbers and words in columns, from the picture's left edge down, and its height."""
    first = 2.2 * TEXT
    column = first + max(len(t) for t in words.values()) * CHARACTER * TEXT + 2 * GAP
    columns = max(1, int((width - 2 * GAP) // column))
    rows = math.ceil(len(words) / columns)
    found = []
    for n, (key, text) in enumerate(words.items()):
        x, y = GAP + (n // rows) * column, (n % rows + 1) * LINE + GAP
        found.append(
            f'<text x="{x + first - 0.6 * TEXT:.1f}" y="{y:.1f}" text-anchor="end" font-weight="bold">'
            f'{escape(numbers[key])}</text><text x="{x + first:.1f}" y="{y:.1f}">{escape(text)}</text>'
        )
    return "".join(found), rows * LINE + 3 * GAP


def _as_png(picture: Picture) -> str:
    """Return the picture as a data address; PNG, which every slide program reads."""
    data = picture.content.get("png")
    if data is None:
        out = io.BytesIO()
        still = next(content for ending, content in picture.content.items() if ending != FILM)
        with Image.open(io.BytesIO(still)) as image:
            image.convert("RGB").quantize(256, dither=Image.Dither.NONE).save(out, "PNG")
        data = out.getvalue()
    return "data:image/png;base64," + base64.b64encode(data).decode("ascii")
