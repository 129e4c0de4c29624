"""Film files: frames of a picture put into one animated file, as light as it should be.

API::

    FILM_ENDING                                # of its name, and its format
    encode_film(images, durations_ms) -> bytes
"""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image, features

FILM_ENDING = "avif" if features.check("avif") else "webp"
"""Format of films: AVIF tells what moved between frames and takes 0.6 of the bytes of WebP at the same likeness; where
the picture library was built without it, WebP."""
QUALITIES = {"avif": ((52, 1.0), (46, 0.86), (40, 0.74)), "webp": ((50, 1.0), (40, 0.88), (32, 0.78))}[
    FILM_ENDING
]
"""Qualities of the encoder, 0 to 100, with about the share of the first one's bytes that each takes."""
AVIF_SPEED = 8
"""Haste of the AVIF encoder, 0 to 10: a film takes 0.03 s more than as WebP; 6 takes three times that."""
METHOD = 2
"""Effort of the WebP encoder, 0 to 6: more takes twice the time and saves a twentieth of the bytes."""
MOST_BYTES = 32_000
"""What a film should take, so that a booklet stays small enough to send. One of large parts may take more."""


def encode_film(images: Sequence[Image.Image], durations_ms: Sequence[int]) -> bytes:
    """Return the content of an animated file of ``images``, of :data:`FILM_ENDING`, that begins anew when it has ended.

    The quality is the best of :data:`QUALITIES` that should keep it within :data:`MOST_BYTES`, or else the last.
    """
    content = _encode(images, durations_ms, QUALITIES[0][0])
    fitting = [q for q, share in QUALITIES if share * len(content) <= MOST_BYTES]
    quality = fitting[0] if fitting else QUALITIES[-1][0]
    return content if quality == QUALITIES[0][0] else _encode(images, durations_ms, quality)


def _encode(images: Sequence[Image.Image], durations_ms: Sequence[int], quality: int) -> bytes:
    out = io.BytesIO()
    if FILM_ENDING == "avif":
        images[0].save(
            out,
            "AVIF",
            save_all=True,
            append_images=list(images[1:]),
            duration=list(durations_ms),
            quality=quality,
            speed=AVIF_SPEED,
            max_threads=1,
        )
        return without_clock(out.getvalue())
    # kmax=0: only the first frame is whole, the others hold what changed.
    images[0].save(
        out,
        "WEBP",
        save_all=True,
        append_images=list(images[1:]),
        duration=list(durations_ms),
        loop=0,
        quality=quality,
        method=METHOD,
        kmin=0,
        kmax=0,
    )
    return out.getvalue()


def without_clock(content: bytes) -> bytes:
    """Return an animated AVIF file with the times at which it was made set to 0: equal films are equal bytes.

    They stand in the headers of movie, track and media (ISO/IEC 14496-12), before any frame: after the name a version,
    three bytes of flags, then both times, 8 bytes each in version 1, else 4.
    """
    made = bytearray(content)
    for name in (b"mvhd", b"tkhd", b"mdhd"):
        at = made.index(name, made.index(b"moov")) + len(name)
        both = 16 if made[at] == 1 else 8
        made[at + 4 : at + 4 + both] = bytes(both)
    return bytes(made)
