"""Cuts of pictures that a booklet has already: round one part, in its close-up where the picture has one.

No new picture is drawn and none is written: the page shows a stretch of the same file.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from ...render.drawing.manifest import Manifest
from .picture_views import FOLDER, MEDIA_TYPES

RATIO = 4 / 3
"""Width to height of a cut."""
LEAST_SHARE = 0.24
"""Least width of a cut, as a share of the picture's: what is cut smaller is blurred."""
MARGIN = 1.3
"""Size of a cut, in sizes of what it is round."""

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, as fractions of the picture."""


@dataclass(frozen=True)
class Crop:
    """A cut of a picture on a page; width and height are those of the whole picture, pixels."""

    src: str
    sources: tuple[tuple[str, str], ...]
    width: int
    height: int
    box: Box
    alt: str

    @property
    def scale(self) -> float:
        """Width of the whole picture in widths of the cut, percent."""
        return 100 / (self.box[2] - self.box[0])

    @property
    def left(self) -> float:
        """Where the whole picture begins left of the cut, percent of the cut's width."""
        return -self.box[0] * self.scale

    @property
    def top(self) -> float:
        """Where it begins above the cut, percent of the cut's height."""
        return -100 * self.box[1] / (self.box[3] - self.box[1])


def crop_of(manifest: Manifest, keys: Collection[str], alt: str, least: float = LEAST_SHARE) -> Crop | None:
    """Return the cut of a picture round the best seen of the parts ``keys``; the whole picture where none are named.

    None where the picture shows none of them. ``least`` is the least width of the cut, as a share of the picture's.
    """
    if not keys:
        round_what: Box | None = (0.0, 0.0, 1.0, 1.0)
    else:
        round_what = _inset_box(manifest, keys) or _part_box(manifest, keys)
    if round_what is None:
        return None
    files = [(MEDIA_TYPES[f], f"{FOLDER}/{name}") for f, name in manifest.files.items()]
    box = _fitted(round_what, manifest.width / manifest.height, MARGIN if keys else 1.0, least)
    return Crop(files[-1][1], tuple(files[:-1]), manifest.width, manifest.height, box, alt)


def _inset_box(manifest: Manifest, keys: Collection[str]) -> Box | None:
    """Return the square round the close-up of one of ``keys``."""
    for inset in manifest.insets:
        if set(inset.subject) & set(keys):
            (x, y), wide = inset.centre, inset.radius
            high = wide * manifest.width / manifest.height
            return x - wide, y - high, x + wide, y + high
    return None


def _part_box(manifest: Manifest, keys: Collection[str]) -> Box | None:
    seen = [manifest.parts[k] for k in keys if k in manifest.parts]
    best = max((s for s in seen if s.box is not None), key=lambda s: s.visible_px, default=None)
    return None if best is None else best.box


def _fitted(box: Box, picture: float, margin: float, least: float = LEAST_SHARE) -> Box:
    """Return a box of :data:`RATIO` round ``box``, as large as the margin asks and no larger than the picture.

    ``picture`` is the picture's own width to height. The cut lies inside the picture.

    >>> _fitted((0.4, 0.4, 0.6, 0.6), 4 / 3, 1.0)
    (0.38, 0.38, 0.62, 0.62)
    """
    left, top, right, bottom = box
    # In widths of the picture on both axes.
    wide, high = (right - left) * margin, (bottom - top) / picture * margin
    wide = min(max(wide, high * RATIO, least), 1.0, RATIO / picture)
    share = wide / RATIO * picture
    x = min(max((left + right - wide) / 2, 0.0), 1.0 - wide)
    y = min(max((top + bottom - share) / 2, 0.0), 1.0 - share)
    return tuple(round(v, 4) for v in (x, y, x + wide, y + share))  # type: ignore[return-value]
