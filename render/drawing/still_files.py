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
            "advanced": {"tune": "ssim", "enable-intrabc": "0"},
        },
    ),
    "webp": ("WEBP", {"quality": 68, "method": 4}),
    "png": ("PNG", {"optimize": False, "compress_level": 6}),
    "jpg": ("JPEG", {"quality": 85, "optimize": True, "subsampling": 0}),
}
"""How each format is written, by file ending.

AVIF is tuned for structural similarity, and does not look for blocks that repeat elsewhere in the picture, which takes
half as long again. Over four pictures it takes 0.80 of the bytes of the encoder's own tuning at quality 52 and speed 8,
as like what was drawn (structural similarity 0.991 for 0.990, of the worst hundredth 0.855 for 0.827, mean error 1.3 of
255 for both: lightness is nearer, a thin strip of yellow a shade greener) for a fifth more time. With its own tuning it
would take 0.88. It finds by itself that pictures are drawn, not photographed: to be told takes a fifth longer for the
same. WebP's method 4 takes 0.05 s more than 2, and an eighth of the bytes less at equal looks. JPEG is about as sharp
along lines, with thrice the bytes.
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
