"""From raw pixels to a finished picture: contact shading, reduction, files with no trace of when they were made."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from .camera import Camera
from .scene import Ids, Pixels

_RING = tuple((np.cos(a), np.sin(a)) for a in np.linspace(0.0, 2.0 * np.pi, 8, endpoint=False))
_RADII = (0.35, 1.0)


def contact_shade(ids: Ids, camera: Camera, radius_mm: float) -> NDArray[np.float32]:
    """Return how much light nooks and contacts lose, (h, w) float32 from 0 (none) to 1.

    Points within ``radius_mm`` that stand nearer to the eye take light away, by how steeply they rise; what stands far
    in front casts nothing, so a part drawn out leaves no halo on what lies behind it.
    """
    near = np.where(ids.part >= 0, ids.near_mm, -np.inf).astype(np.float32)
    pixel_mm = camera.height_mm / ids.part.shape[0]
    lost = np.zeros(near.shape, dtype=np.float32)
    for share in _RADII:
        reach = max(1.0, radius_mm * share / pixel_mm)
        for dx, dy in _RING:
            sx, sy = round(dx * reach), round(dy * reach)
            run = np.hypot(sx, sy) * pixel_mm
            with np.errstate(invalid="ignore"):
                rise = _shifted(near, sx, sy) - near
                slope = rise / run
                # The opposite side falls as the near one rises on a tilted plane: only a hollow shades.
                other = (near - _shifted(near, -sx, -sy)) / run
                bend = np.clip((slope - np.nan_to_num(other, neginf=0.0, posinf=0.0)) * 0.5, 0.0, 1.0)
                fade = np.clip(1.6 - rise / (radius_mm * 1.6), 0.0, 1.0)
            lost += np.nan_to_num(bend * fade, nan=0.0, neginf=0.0, posinf=0.0)
    lost /= len(_RING) * len(_RADII)
    lost[ids.part < 0] = 0.0
    return np.clip(lost * 1.8, 0.0, 1.0)


def _shifted(field: NDArray[np.float32], dx: int, dy: int) -> NDArray[np.float32]:
    """Return the field read at (x + dx, y + dy), its border repeated."""
    height, width = field.shape
    padded = np.pad(field, ((abs(dy), abs(dy)), (abs(dx), abs(dx))), mode="edge")
    return padded[abs(dy) + dy : abs(dy) + dy + height, abs(dx) + dx : abs(dx) + dx + width]


def finish(pixels: Pixels, supersample: int, shade: NDArray[np.float32] | None) -> Image.Image:
    """Return the reduced picture with contact shading laid on."""
    image = Image.fromarray(pixels)
    if supersample > 1:
        image = image.reduce(supersample)
    if shade is None:
        return image
    lighter = Image.fromarray(np.round(255.0 * (1.0 - 0.42 * shade)).astype(np.uint8))
    mask = lighter.resize(image.size, Image.Resampling.BILINEAR)
    factor = np.asarray(mask, dtype=np.uint16)[:, :, None]
    return Image.fromarray(((np.asarray(image, dtype=np.uint16) * factor + 127) // 255).astype(np.uint8))


def encode(image: Image.Image, ending: str, webp_quality: int) -> bytes:
    """Return the file content of ``image`` for a file ending: ``webp`` or ``png``.

    Raises:
        ValueError: for another ending.
    """
    out = io.BytesIO()
    if ending == "webp":
        image.save(out, "WEBP", quality=webp_quality, method=4)
    elif ending == "png":
        image.save(out, "PNG", optimize=False, compress_level=6)
    else:
        raise ValueError(f"pictures are written as webp or png, not as {ending!r}")
    return out.getvalue()


def side_by_side(images: Sequence[Image.Image], gap: int) -> Image.Image:
    """Return equal-sized pictures in a row with white between them."""
    width, height = images[0].size
    sheet = Image.new("RGB", (width * len(images) + gap * (len(images) - 1), height), (255, 255, 255))
    for n, image in enumerate(images):
        sheet.paste(image, (n * (width + gap), 0))
    return sheet
