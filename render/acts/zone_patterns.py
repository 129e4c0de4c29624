"""Painting zones: on the pixels of a drawing, by the depth of each, with a pattern that sticks to the surface.

Each pixel's depth gives its point in space; in the part's own frame the surface says whether it is of it, and where
it lies on the surface, unrolled, says whether it is on a line of the pattern. Lines of the drawing stand nearer than
their faces, so they stay on top.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place
from ...geometry.surfaces import Numbers, Surface
from ..drawing.manifest import Treatment
from ..drawing.zone_colours import TINTS, ground_of, ink_of
from ..engine.camera import Camera
from ..engine.depth_layers import Pane, Pixels
from ..engine.grid import Ids
from ..engine.material_styles import PAPER, colour_bytes, mix
from ..engine.part_models import PartModel
from .zones import Zone

PITCH = (11.0, 26.0)
"""Least and greatest distance of a pattern's lines, px of a picture 1600 wide."""
LINES = 2.2
"""So many lines at least go across a narrow surface, where that leaves them far enough apart."""
FLAT_MM = 0.25
"""What reaches less far along its direction is a face, and looks that way."""
WALLS = frozenset({"flank", "flats", "keyway", "notch"})
"""Kinds of surface that stand along their axis but are not round it."""
LINE_LEVEL = 0.4
"""What is darker than this share of the middling spot of a part that is painted all over is a line of the drawing."""
BLOCK_ROWS = 32
WIDENED = 0.06
"""How far a mesh may lie off the surface that it stands for, mm."""

Lines = Callable[[Numbers, Numbers], NDArray[np.bool_]]
"""Which points are on a pattern's lines: of ``u`` and ``v`` (n,) along and across, in units of the pitch."""


def _apart(x: Numbers) -> Numbers:
    """Return how far each is from the nearest whole number."""
    return np.abs(x - np.round(x))


def _stripes(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    return np.asarray(((u + v) * 0.70711) % 1.0 < 0.4)


def _dots(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    row = np.round(v / 0.8)
    return np.asarray(np.hypot(_apart(u - 0.5 * (row % 2)), v - 0.8 * row) < 0.27)


def _lattice(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    return np.asarray((((u + v) * 0.70711) % 1.0 < 0.22) | (((u - v) * 0.70711) % 1.0 < 0.22))


def _rings(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    row = np.round(v / 0.9)
    away = np.hypot(_apart(u - 0.5 * (row % 2)), v - 0.9 * row)
    return np.asarray((away > 0.2) & (away < 0.38))


def _ruled(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    return np.asarray(u % 1.0 < 0.2 + 0.25 * (_apart(v / 4.0) < 0.12))


def _chevrons(u: Numbers, v: Numbers) -> NDArray[np.bool_]:
    return np.asarray((v + 2.0 * _apart(u / 2.0)) % 1.0 < 0.36)


PATTERNS: Mapping[Treatment, Lines] = MappingProxyType(
    {
        "clean": _stripes,
        "lubricate": _dots,
        "anti-seize": _lattice,
        "look": _rings,
        "measure": _ruled,
        "dress": _chevrons,
    }
)


@dataclass(frozen=True, eq=False)
class PlacedZone:
    """A zone to be painted: of the part ``model`` in ``place``."""

    zone: Zone
    model: PartModel
    place: Place
    moving: bool = False
    """It moves: its own strong colour stays under the pattern."""


@dataclass(frozen=True, eq=False)
class Painting:
    """A drawing to be painted: the pane of a picture of ``camera`` that begins ``at`` (left, top) in pixels as drawn.

    ``size`` is the width and height of the whole picture in such pixels. ``near_mm`` returns how near to the eye the
    pixels of a box (left, top, right, bottom) of the pane are, (h, w) float32 mm towards the eye from the camera's
    centre. ``ids`` is what is seen where in the whole picture, on a coarser grid.
    """

    pixels: Pixels
    near_mm: Callable[[Pane], NDArray[np.float32]]
    camera: Camera
    ids: Ids
    at: tuple[int, int]
    size: tuple[int, int]


def paint_zones(drawn: Painting, zones: Iterable[PlacedZone], scale: float) -> tuple[Pixels, list[int]]:
    """Return the pixels with ``zones`` painted, and of each how many pixels.

    ``scale`` is how many pixels one of a picture 1600 wide is.
    """
    pixels, counts = drawn.pixels, list[int]()
    for placed in zones:
        box = _box_of(drawn, placed)
        if box is None:
            counts.append(0)
            continue
        if pixels is drawn.pixels:
            pixels = drawn.pixels.copy()
        counts.append(_paint(pixels, drawn, placed, box, scale))
    return pixels, counts


def _paint(pixels: Pixels, drawn: Painting, placed: PlacedZone, box: Pane, scale: float) -> int:
    """Paint a zone in the ``box`` of the whole picture; return how many pixels."""
    left, top, right, foot = box
    camera, (width, height) = drawn.camera, drawn.size
    pixel_mm = camera.height_mm / height
    there = _of_part(drawn.ids, placed.model.key, box, drawn.size)
    at = (left - drawn.at[0], top - drawn.at[1])
    near = drawn.near_mm((*at, at[0] + right - left, at[1] + foot - top))
    to_right = ((np.arange(left, right) + 0.5) / width - 0.5) * camera.width_mm
    to_top = (0.5 - (np.arange(top, foot) + 0.5) / height) * camera.height_mm
    surface = placed.zone.surface
    axes, origin = (surface.axes, np.array(surface.origin)) if surface else (np.eye(3), np.zeros(3))
    # Along each axis of the surface a point lies as far as a sum of three says: of column, row and nearness.
    turned = axes @ np.array(placed.place.rotation).T
    if surface is not None and is_flat(surface) and float(turned[2] @ camera.view.axes[2]) <= 0.0:
        return 0  # it looks away: what is found of it are slivers of walls beside it
    begin = turned @ (np.array(camera.centre) - np.array(placed.place.shift)) - axes @ origin
    by_right, by_top, by_near = (turned @ camera.view.axes.T).T
    by_column = (np.outer(by_right, to_right) + begin[:, None]).astype(np.float32)
    by_row = np.outer(by_top, to_top).astype(np.float32)
    by_depth = by_near.astype(np.float32)
    window = pixels[at[1] : at[1] + foot - top, at[0] : at[0] + right - left]
    if surface is None:
        # Nothing tells its lines by their depth: they are far darker than what they are drawn on.
        spots = np.flatnonzero(there)
        level = window[:, :, 1].reshape(-1)[spots]
        spots = spots[level >= LINE_LEVEL * np.median(level)] if len(level) else spots
    else:
        wide = widened(surface, WIDENED + 0.5 * pixel_mm)
        # The height tells most of those that are not of it.
        spots = _at_height(near, there, (by_depth[2], by_column[2], by_row[2]), wide.along_mm)
    rows = spots // (right - left)
    columns = spots - rows * (right - left)
    depth = near.reshape(-1)[spots]

    def along(axis: int) -> Numbers:
        return np.asarray(depth * by_depth[axis] + by_column[axis][columns] + by_row[axis][rows])

    x, y, z = along(0), along(1), along(2)
    if surface is not None:
        held = wide.holds_at(x, y, z)
        rows, columns, x, y, z = rows[held], columns[held], x[held], y[held], z[held]
    if not len(rows):
        return 0
    u, v, narrow = unrolled(x, y, z, surface)
    least, most = (p * scale * pixel_mm for p in PITCH)
    pitch = float(np.clip(narrow / LINES, least, most))
    treatment = placed.zone.treatment
    lines = PATTERNS[treatment](u / pitch, v / pitch)
    flat, whole = (rows + at[1]) * pixels.shape[1] + (columns + at[0]), pixels.reshape(-1, 3)
    if placed.moving:
        pale = mix(PAPER, TINTS[treatment], 0.35)
        whole[flat[lines]] = np.array(colour_bytes(pale), dtype=np.uint8)
        return len(rows)
    whole[flat] = _painted(treatment)[lines.astype(np.intp) * 256 + whole[flat, 1]]
    return len(rows)


def _at_height(
    near: NDArray[np.float32],
    there: NDArray[np.bool_],
    height: tuple[np.float32, NDArray[np.float32], NDArray[np.float32]],
    along_mm: tuple[float, float],
) -> NDArray[np.intp]:
    """Return which pixels of ``there`` (h, w) lie between two heights, mm, counted row by row.

    ``height`` is the sum of three: of nearness times the first, of the second (w,) by column and the third (h,) by row.
    """
    by_near, by_column, by_row = height
    low, high = (np.float32(mm) for mm in along_mm)
    found = []
    for first in range(0, len(near), BLOCK_ROWS):  # a few rows at a time stay near the processor
        rows = slice(first, first + BLOCK_ROWS)
        z = near[rows] * by_near
        z += by_column
        z += by_row[rows, None]
        held = z >= low
        held &= z <= high
        held &= there[rows]
        found.append(np.flatnonzero(held) + first * near.shape[1])
    return np.concatenate(found)


@cache
def _painted(treatment: Treatment) -> NDArray[np.uint8]:
    """Return the colour (512, 3) of a zone's ground, then of its lines, by the level of green painted on."""
    colours = np.array([colour_bytes(c) for c in (ground_of(treatment), ink_of(treatment))], dtype=np.float32)
    return (colours[:, None] * LIGHT[:, None]).astype(np.uint8).reshape(512, 3)


LIGHT: NDArray[np.float32] = np.clip(0.62 + 0.44 * np.arange(256) / 255.0, 0.0, 1.0).astype(np.float32)
"""How much of a zone's colour is left where what it is painted on has this level of green, 0 to 255."""


def is_flat(surface: Surface) -> bool:
    """Return whether a surface is a face, that looks the way of its direction."""
    return surface.along_mm[1] - surface.along_mm[0] < FLAT_MM


def widened(surface: Surface, by_mm: float) -> Surface:
    """Return ``surface`` with its bounds so much wider, as a mesh of it or a pixel's size asks for."""
    (near, far), (low, high) = surface.radius_mm, surface.along_mm
    return replace(
        surface,
        radius_mm=(max(0.0, near - by_mm) if near > 0 else near, far + by_mm),
        along_mm=(low - by_mm, high + by_mm),
    )


def unrolled(
    x: Numbers, y: Numbers, height: Numbers, surface: Surface | None = None
) -> tuple[Numbers, Numbers, float]:
    """Return where points of a surface lie on it, unrolled: along, across (n,) mm; and how narrow it is, mm.

    ``x``, ``y`` and ``height`` (n,) are along its axes, or those of a whole part where it is None.
    """
    if surface is None:
        spans = sorted(float(np.ptp(c)) for c in (x, y, height))
        return x + height * x.dtype.type(0.5), y + height * x.dtype.type(0.5), spans[1] / 4.0
    if surface.kind in WALLS:
        slanted = x * x.dtype.type(0.8) + y * x.dtype.type(0.6)
        return slanted, height, float(np.ptp(height)) or 1.0
    straight = np.clip(x, -surface.drawn_mm, surface.drawn_mm)
    radius = np.hypot(x - straight, y)
    if float(np.ptp(radius)) >= 0.5 * float(np.ptp(height)):  # flat, or nearly: seen from its axis
        return x, y, float(np.ptp(radius)) or 1.0
    round_it = np.arctan2(y, x - straight) * radius.mean()
    return round_it - np.sign(y) * straight, height, float(np.ptp(height)) or 1.0


def _of_part(ids: Ids, key: str, box: Pane, size: tuple[int, int]) -> NDArray[np.bool_]:
    """Return which pixels of ``box`` may be of a part, (h, w) bool: those of its cells of the grid and next to them."""
    own = np.pad(ids.mask([key]), 1)
    own = own[:-2] | own[1:-1] | own[2:]
    own = own[:, :-2] | own[:, 1:-1] | own[:, 2:]
    high, wide = own.shape
    left, top, right, foot = box
    rows = np.minimum(((np.arange(top, foot) + 0.5) * high / size[1]).astype(int), high - 1)
    columns = np.minimum(((np.arange(left, right) + 0.5) * wide / size[0]).astype(int), wide - 1)
    return np.asarray(own[rows][:, columns])


def _box_of(drawn: Painting, placed: PlacedZone) -> Pane | None:
    """Return the box of pixels of the whole picture in which the zone can be, None where it is out of sight."""
    own = drawn.ids.mask([placed.model.key])
    if not own.any():
        return None
    rows, columns = (np.flatnonzero(own.any(axis=a)) for a in (1, 0))
    high, wide = own.shape
    low = np.array([(columns[0] - 1) / wide, (rows[0] - 1) / high])
    top = np.array([(columns[-1] + 2) / wide, (rows[-1] + 2) / high])
    corners = drawn.camera.project(placed.place.points(surface_corners(placed.model, placed.zone.surface)))
    low = np.maximum(np.maximum(low, corners[:, :2].min(axis=0)), 0.0)
    top = np.minimum(np.minimum(top, corners[:, :2].max(axis=0)), 1.0)
    if (top <= low).any():
        return None
    size, begin = np.array(drawn.size), np.array(drawn.at)
    end = begin + drawn.pixels.shape[1::-1]
    first = np.maximum(np.floor(low * size).astype(int), begin).tolist()
    last = np.minimum(np.ceil(top * size).astype(int) + 1, end).tolist()
    return (first[0], first[1], last[0], last[1]) if last[0] > first[0] and last[1] > first[1] else None


def surface_corners(model: PartModel, surface: Surface | None) -> Floats:
    """Return corners (8, 3), own frame, mm, of a box round a surface, no larger than that of its part."""
    low, high = model.mesh.box
    box = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    if surface is None:
        return box
    axes = surface.axes
    inside = (box - np.array(surface.origin)) @ axes.T
    far = surface.radius_mm[1] + surface.drawn_mm + WIDENED
    least = np.maximum(inside.min(axis=0), [-far, -far, surface.along_mm[0] - WIDENED])
    most = np.minimum(inside.max(axis=0), [far, far, surface.along_mm[1] + WIDENED])
    corners = np.array(
        [[x, y, z] for x in (least[0], most[0]) for y in (least[1], most[1]) for z in (least[2], most[2])]
    )
    return np.asarray(np.array(surface.origin) + corners @ axes)
