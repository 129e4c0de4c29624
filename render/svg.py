"""One self-contained SVG a picture, with its callouts as text, for people who paste pictures into slides."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from PIL import Image

from .callouts import Callout, place_callouts
from .studio import Picture

SHOWN_WIDTH = 1200.0
"""Width of the picture in the SVG's units; text is :data:`TEXT` of them high."""
TEXT = 26.0
CHARACTER = 0.56
"""Width of a character as a share of the text's height, on average, of a plain sans-serif face. Not measured: no font
is embedded, so labels keep some air."""
GAP = 10.0


def picture_svg(picture: Picture, labels: Mapping[str, str], title: str) -> str:
    """Return ``picture`` as SVG text: the picture as PNG inside it, and a label with leader for each part.

    Args:
        picture: with a manifest that has anchors for the parts.
        labels: part key to its words; parts that are not seen in the picture are left out.
        title: what the picture shows, for those who cannot see it.

    Raises:
        NoRoom: if the labels do not find room above and below the picture.
    """
    manifest = picture.manifest
    width, height = SHOWN_WIDTH, SHOWN_WIDTH * manifest.height / manifest.width
    anchors = {k: a for k in labels if k in manifest.parts and (a := manifest.parts[k].anchor) is not None}
    widest = max((len(labels[k]) for k in anchors), default=0) * CHARACTER * TEXT + GAP
    size = (widest, TEXT * 1.3)
    placed = place_callouts(anchors, (width, height), size, ("top", "bottom"), GAP) if anchors else ()
    band = size[1] + 2 * GAP if placed else 0.0
    lines = "".join(_leader(c, width, height) for c in placed)
    words = "".join(_label(c, labels[c.key], width, height) for c in placed)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'viewBox="0 {0.0 - band:g} {width:g} {height + 2 * band:g}" '
        f'width="{width:g}" height="{height + 2 * band:g}" role="img" aria-label={quoteattr(title)}>'
        f"<title>{escape(title)}</title>"
        f'<rect x="0" y="{0.0 - band:g}" width="{width:g}" height="{height + 2 * band:g}" fill="#fff"/>'
        f'<image x="0" y="0" width="{width:g}" height="{height:g}" href="{_as_png(picture)}"/>'
        f'<g stroke="#fff" stroke-width="5" stroke-linecap="round">{lines}</g>'
        f'<g stroke="#22262a" stroke-width="1.6" stroke-linecap="round">{lines}</g>'
        f'<g font-family="sans-serif" font-size="{TEXT:g}" fill="#22262a" text-anchor="middle">{words}</g>'
        "</svg>\n"
    )


def _leader(callout: Callout, width: float, height: float) -> str:
    (x1, y1), (x2, y2) = callout.port, callout.anchor
    return (
        f'<line x1="{x1 * width:.1f}" y1="{y1 * height:.1f}" x2="{x2 * width:.1f}" y2="{y2 * height:.1f}"/>'
    )


def _label(callout: Callout, text: str, width: float, height: float) -> str:
    x, y = callout.label
    return f'<text x="{x * width:.1f}" y="{y * height + 0.35 * TEXT:.1f}">{escape(text)}</text>'


def _as_png(picture: Picture) -> str:
    """Return the picture as a data address; PNG, which every slide program reads."""
    data = picture.content.get("png")
    if data is None:
        out = io.BytesIO()
        with Image.open(io.BytesIO(next(iter(picture.content.values())))) as image:
            image.convert("RGB").quantize(256, dither=Image.Dither.NONE).save(out, "PNG")
        data = out.getvalue()
    return "data:image/png;base64," + base64.b64encode(data).decode("ascii")
