"""Close-ups: a disc in an empty part of the picture that shows a small part large, tied to its place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ...geometry.frame import Floats
from ..engine.camera import Camera
from ..engine.material_styles import INK, PAPER
from ..engine.stage import REFERENCE_WIDTH
from .arrows import OVER, OverlayCanvas, Point, arc_points, draw_arrow
from .manifest import PartSeen

Box = tuple[float, float, float, float]
Waves = NDArray[np.complex128]

SMALL = 0.022
"""A part whose box fills less than this share of the picture gets a close-up."""
LONG = 0.2
"""A part that is longer than this share of the picture is seen without."""
RADII = (0.215, 0.195, 0.175, 0.16)
"""Radii tried for the disc, shares of the picture's width."""
LEAST_FILL = 0.22
"""Share of the disc that the box of the close-up's subject fills, where its shape allows."""
WIDEST = 2.3
"""Greatest radius of what a close-up takes in, as a multiple of its subject's reach; a sixth of the disc is its own."""
WELL_MAGNIFIED = 2.2
"""To take in the seat too, it is not drawn less magnified than this."""
TURNED = 32.0
"""Reach of the sign of a view that is turned, px of a picture 1600 wide."""
MARGIN = 0.012
MOST_COVER = 0.22
"""Greatest share of the disc that may lie over parts that only stand by."""


@dataclass(frozen=True)
class Disc:
    """Where a close-up lies and what it is of; fractions of the picture's width (radius, x) and height (y)."""

    centre: tuple[float, float]
    radius: float
    of_centre: tuple[float, float]
    of_radius: float

    @property
    def magnification(self) -> float:
        """How much larger things are in the disc."""
        return self.radius / self.of_radius

    def moved(self, right: float) -> Disc:
        """Return the disc, and what it is of, moved to the right by a share of the picture's width."""
        (x, y), (of_x, of_y) = self.centre, self.of_centre
        return Disc((x + right, y), self.radius, (of_x + right, of_y), self.of_radius)


def union_box(boxes: Sequence[Box]) -> Box:
    """Return the box round ``boxes``."""
    left, top, right, foot = (np.array([b[n] for b in boxes]) for n in range(4))
    return float(left.min()), float(top.min()), float(right.max()), float(foot.max())


def subject_of(
    groups: Sequence[Sequence[str]], parts: Mapping[str, PartSeen], moving: bool
) -> tuple[str, ...] | None:
    """Return the group to show in a close-up, None where none needs it or none is seen.

    Each part that moves has to be seen well; of parts that are only looked at, all must be small. Of equal ones the
    best seen is taken.
    """
    small: list[tuple[float, tuple[str, ...]]] = []
    large = 0
    for group in groups:
        boxes = [b for k in group if (b := parts[k].box) is not None]
        if not boxes:
            continue
        left, top, right, foot = union_box(boxes)
        if (right - left) * (foot - top) < SMALL and max(right - left, foot - top) < LONG:
            share = max(parts[k].visible or 0.0 for k in group)
            small.append((share, tuple(group)))
        else:
            large += 1
    if not small or (large and not moving):
        return None
    return max(small, key=lambda s: s[0])[1]


def close_up_of(subject: Box, also: Box | None, aspect: float) -> tuple[tuple[float, float], float]:
    """Return centre (fractions) and radius (share of the width) of what a close-up of ``subject`` takes in.

    The disc is drawn as far towards ``also`` (the seat) as the subject still fills :data:`LEAST_FILL` of it, and takes
    it in whole where a disc up to :data:`WIDEST` of the subject's reach can, and still shows it large.
    """

    def around(box: Box) -> tuple[Floats, float]:
        half_x, half_y = (box[2] - box[0]) / 2, (box[3] - box[1]) / 2 / aspect
        return np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2]), math.hypot(half_x, half_y)

    centre, reach = around(subject)
    area = (subject[2] - subject[0]) * (subject[3] - subject[1]) / aspect
    radius = max(reach * 1.2, min(reach * 1.9, math.sqrt(area / (math.pi * LEAST_FILL))))
    if also is not None:
        towards = (around(also)[0] - centre) * np.array([1.0, 1.0 / aspect])
        far = float(np.hypot(*towards))
        both = (reach + far + around(also)[1]) / 2 * 1.06
        radius = max(radius, min(both, reach * WIDEST, RADII[0] / WELL_MAGNIFIED))
        step = min(far, radius - reach * 1.12) if far > 0 else 0.0
        centre = centre + towards / max(far, 1e-9) * max(step, 0.0) * np.array([1.0, aspect])
    return (float(centre[0]), float(centre[1])), radius


def find_disc(
    taken: NDArray[np.bool_],
    context: NDArray[np.bool_],
    of_centre: tuple[float, float],
    of_radius: float,
    least_magnification: float = 1.75,
    radii: Sequence[float] = RADII,
) -> Disc | None:
    """Return where the disc of a close-up fits, None where it does not.

    ``taken`` (h, w) must stay free (moving parts, arrows, seats); over ``context`` (h, w) the disc may lie a little,
    the less the better. Large discs are tried first, of ``radii`` (shares of the width, falling).
    """
    height, width = taken.shape
    ys, xs = np.mgrid[0:height, 0:width] + 0.5
    gap = np.hypot(xs - of_centre[0] * width, ys - of_centre[1] * height)
    taken_waves, context_waves = _waves(taken), _waves(context)
    for radius in radii:
        if radius < of_radius * least_magnification:
            return None
        r = radius * width
        edge = r + MARGIN * width
        fits = gap > r + of_radius * width + MARGIN * width
        fits &= (xs > edge) & (xs < width - edge) & (ys > edge) & (ys < height - edge)
        if not fits.any():
            continue
        fits &= _under_disc(taken_waves, taken.shape, r + 0.008 * width) < 0.5
        if not fits.any():
            continue
        cover = _under_disc(context_waves, context.shape, r) / (np.pi * r * r)
        fits &= cover <= MOST_COVER
        if fits.any():
            cost = np.where(fits, cover + 0.06 * gap / width, np.inf)
            y, x = np.unravel_index(int(np.argmin(cost)), cost.shape)
            return Disc(((float(x) + 0.5) / width, (float(y) + 0.5) / height), radius, of_centre, of_radius)
    return None


def _waves(mask: NDArray[np.bool_]) -> Waves:
    """Return the transform of ``mask`` (h, w) with as much room again to the right and below."""
    height, width = mask.shape
    padded = np.zeros((2 * height, 2 * width))
    padded[:height, :width] = mask
    return np.asarray(np.fft.rfft2(padded))


@lru_cache(maxsize=64)
def _disc_waves(shape: tuple[int, int], radius: float) -> Waves:
    """Return the transform of a disc about the first pixel of a grid of ``shape``, which wraps round."""
    ys, xs = np.mgrid[0 : shape[0], 0 : shape[1]]
    ys, xs = np.minimum(ys, shape[0] - ys), np.minimum(xs, shape[1] - xs)
    return np.asarray(np.fft.rfft2((ys**2 + xs**2 <= radius**2).astype(np.float64)))


def _under_disc(waves: Waves, shape: tuple[int, ...], radius: float) -> Floats:
    """Return for each pixel of a mask of ``shape`` (h, w), given by its :func:`_waves`, how many of its pixels lie
    within ``radius`` of it, (h, w) float64."""
    height, width = shape
    whole = (2 * height, 2 * width)
    under = np.fft.irfft2(waves * _disc_waves(whole, radius), s=whole)
    return np.asarray(np.round(under[:height, :width]), dtype=np.float64)


def disc_camera(camera: Camera, disc: Disc) -> Camera:
    """Return the square camera of what the disc shows."""
    x = (disc.of_centre[0] - 0.5) * camera.width_mm
    y = (0.5 - disc.of_centre[1]) * camera.height_mm
    axes = camera.view.axes
    c = np.array(camera.centre) + x * axes[0] + y * axes[1]
    side = 2.0 * disc.of_radius * camera.width_mm
    return Camera(camera.view, (float(c[0]), float(c[1]), float(c[2])), side, 1.0)


def draw_inset(image: Image.Image, close_up: Image.Image, disc: Disc, tied: bool = True) -> None:
    """Compose ``close_up`` (square) into ``image`` as a disc, with rings and the two lines that tie it.

    One that is looked at from another side is not ``tied``: what it shows cannot be seen there. It has the sign of a
    view that is turned instead.
    """
    width, height = image.size
    scale = width / REFERENCE_WIDTH
    centre = (disc.centre[0] * width, disc.centre[1] * height)
    of_centre = (disc.of_centre[0] * width, disc.of_centre[1] * height)
    radius, of_radius = disc.radius * width, disc.of_radius * width
    overlay = OverlayCanvas(image)
    if tied:
        for line in _tangents(of_centre, of_radius, centre, radius):
            overlay.line(line, 4.5 * scale, PAPER, 0.8)
            overlay.line(line, 1.6 * scale, INK)
        overlay.ring(of_centre, of_radius, 5.0 * scale, PAPER)
        overlay.ring(of_centre, of_radius, 2.0 * scale, INK)
    side = close_up.width
    mask = Image.new("L", (side * OVER, side * OVER), 0)
    ImageDraw.Draw(mask).ellipse((0, 0, side * OVER - 1, side * OVER - 1), fill=255)
    soft = mask.reduce(OVER)
    image.paste(close_up, (round(centre[0] - side / 2), round(centre[1] - side / 2)), soft)
    overlay.ring(centre, radius, 3.2 * scale, INK)
    if not tied:
        _draw_turned(overlay, (centre[0], centre[1] + radius - TURNED * scale), scale)


def _draw_turned(overlay: OverlayCanvas, at: Point, scale: float) -> None:
    """Draw the sign of a view that is turned, as drawing practice has it: an arrow half round, on a patch of paper."""
    x, y = at
    patch = arc_points(at, TURNED * 1.55 * scale, TURNED * 1.05 * scale, 0.0, 0.0, 360.0)
    overlay.polygons([patch], PAPER)
    overlay.line(patch, 2.0 * scale, INK)
    arc = arc_points((x, y), TURNED * scale, 0.5 * TURNED * scale, 0.0, -55.0, 220.0)
    draw_arrow(overlay, arc, np.ones(len(arc), dtype=bool), 5.0 * scale, 24.0 * scale, INK)


def _tangents(a: Point, ra: float, b: Point, rb: float) -> list[list[Point]]:
    """Return the two outer tangents from circle ``a`` to circle ``b``."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    gap = math.hypot(dx, dy)
    if gap <= abs(ra - rb):
        return []
    base, lean = math.atan2(dy, dx), math.acos((ra - rb) / gap)
    lines = []
    for side in (1.0, -1.0):
        angle = base + side * lean
        c, s = math.cos(angle), math.sin(angle)
        lines.append([(a[0] + ra * c, a[1] + ra * s), (b[0] + rb * c, b[1] + rb * s)])
    return lines
