"""Travel lines, arrow heads and rings, drawn flat over the finished picture and smoothed by oversampling."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ...geometry.frame import Floats
from ..engine.material_styles import PAPER, Rgb, colour_bytes

Point = tuple[float, float]
Shape = Sequence[Point] | Floats
"""Corners of a polygon: points, or an array (n, 2)."""
TRAVEL_WIDTH, TRAVEL_HEAD = 7.0, 36.0
"""Width of a travel arrow's line and length of its head, px of a picture 1600 wide."""
OVER = 4
"""Oversampling of the flat drawing, each way."""
STRAIGHT = 0.01
"""A line goes straight on where its next joint lies this near to where the last piece leads, px."""
BORDER = 1.0 + 2.6 * 0.45
"""Width of a line with its border of paper, as a multiple of the line's own."""


class OverlayCanvas:
    """Collects flat shapes in pixels of the picture and lays them over it."""

    def __init__(self, image: Image.Image) -> None:
        self.image = image

    def polygons(self, shapes: Sequence[Shape], colour: Rgb, opacity: float = 1.0) -> None:
        """Fill ``shapes`` (corner points, px) as one area."""
        shapes = [s for s in shapes if len(s) >= 3]
        if not shapes:
            return
        points: Floats = np.concatenate(shapes)
        left, top = np.maximum(np.floor(points.min(axis=0)).astype(int) - 1, 0)
        right, foot = np.minimum(np.ceil(points.max(axis=0)).astype(int) + 2, self.image.size)
        if right <= left or foot <= top:
            return
        mask = Image.new("L", ((right - left) * OVER, (foot - top) * OVER), 0)
        pen = ImageDraw.Draw(mask)
        flat = ((points - (left, top)) * OVER).ravel().tolist()
        begin = 0
        for shape in shapes:
            pen.polygon(flat[begin : begin + 2 * len(shape)], fill=255)
            begin += 2 * len(shape)
        mask = mask.reduce(OVER)
        if opacity < 1.0:
            mask = mask.point(dimmed(opacity))
        self.image.paste(colour_bytes(colour), (int(left), int(top)), mask)

    def line(self, points: Sequence[Point], width: float, colour: Rgb, opacity: float = 1.0) -> None:
        """Draw a line through ``points`` with round joints."""
        self.polygons(stroke(points, width), colour, opacity)

    def dashes(self, points: Sequence[Point], width: float, dash: float, gap: float, colour: Rgb) -> None:
        """Draw a dashed line; ``dash`` and ``gap`` in px."""
        shapes: list[Shape] = []
        for piece in cut_dashes(points, dash, gap):
            shapes.extend(stroke(piece, width))
        self.polygons(shapes, colour)

    def ring(self, centre: Point, radius: float, width: float, colour: Rgb) -> None:
        """Draw a circle."""
        self.line(arc_points(centre, radius, radius, 0.0, 0.0, 360.0), width, colour)


@lru_cache(maxsize=16)
def dimmed(share: float) -> list[int]:
    """Return what is left of each level of grey, 0 to 255, when it is multiplied by ``share``."""
    return [round(v * share) for v in range(256)]


def stroke(points: Sequence[Point], width: float) -> list[Shape]:
    """Return the polygons of a line of ``width`` through ``points``: one a segment, a disc at inner joints."""
    half = width / 2.0
    path = np.asarray(without_collinear(points), dtype=float)
    along = np.diff(path, axis=0)
    length = np.hypot(along[:, 0], along[:, 1])
    kept = length >= 1e-9
    start, end, along, length = path[:-1][kept], path[1:][kept], along[kept], length[kept]
    aside = np.stack([-along[:, 1], along[:, 0]], axis=1) * (half / length)[:, None]
    pieces = np.stack([start + aside, end + aside, end - aside, start - aside], axis=1)
    return [*pieces, *(path[1:-1, None] + half * _DISC)]


def without_collinear(points: Sequence[Point]) -> Sequence[Point]:
    """Return ``points`` without those at which the line goes straight on, to a hundredth of a pixel or so.

    >>> without_collinear([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (2.0, 3.0)])
    [(0.0, 0.0), (2.0, 2.0), (2.0, 3.0)]
    """
    if len(points) < 3:
        return points
    kept = [points[0]]
    for point, after in pairwise(points[1:]):
        ax, ay, bx, by = (
            point[0] - kept[-1][0],
            point[1] - kept[-1][1],
            after[0] - point[0],
            after[1] - point[1],
        )
        if abs(ax * by - ay * bx) > STRAIGHT * math.hypot(ax, ay) or ax * bx + ay * by < 0:
            kept.append(point)
    return [*kept, points[-1]]


def arrow_shapes(points: Sequence[Point], width: float, head: float) -> list[Shape]:
    """Return the polygons of an arrow along ``points`` whose tip is the last one; ``head`` is the tip's length."""
    body = shorten(points, head * 0.8)
    (x1, y1), (x0, y0) = points[-1], body[-1]
    length = math.hypot(x1 - x0, y1 - y0)
    if length < 1e-9:
        return []
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    bx, by, half = x1 - ux * head, y1 - uy * head, head * 0.42
    nock = (x1 - ux * head * 0.78, y1 - uy * head * 0.78)
    tip = [(x1, y1), (bx - uy * half, by + ux * half), nock, (bx + uy * half, by - ux * half)]
    return [*stroke(body, width), tip]


def shorten(points: Sequence[Point], by: float) -> list[Point]:
    """Return ``points`` with ``by`` px taken off the end (two points are left at least)."""
    kept = list(points)
    while len(kept) > 2:
        last = math.dist(kept[-1], kept[-2])
        if last > by:
            break
        by -= last
        kept.pop()
    (x0, y0), (x1, y1) = kept[-2], kept[-1]
    length = max(math.hypot(x1 - x0, y1 - y0), 1e-9)
    share = max(0.05, 1.0 - by / length)
    kept[-1] = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
    return kept


def cut_dashes(points: Sequence[Point], dash: float, gap: float) -> list[list[Point]]:
    """Return the dashes of a line through ``points``; it starts and ends with a dash where it can."""
    path = np.asarray(points, dtype=float)
    steps = np.hypot(*np.diff(path, axis=0).T)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    total = float(at[-1])
    if total <= dash:
        return [list(points)]
    count = max(1, round((total + gap) / (dash + gap)))
    period = (total + gap) / count
    pieces = []
    for n in range(count):
        begin, end = n * period, n * period + period - gap
        inner = [t for t in at.tolist() if begin < t < end]
        stations = np.array([begin, *inner, end])
        pieces.append(
            [
                (float(x), float(y))
                for x, y in zip(
                    np.interp(stations, at, path[:, 0]), np.interp(stations, at, path[:, 1]), strict=True
                )
            ]
        )
    return pieces


def arc_points(
    centre: Point, rx: float, ry: float, tilt_deg: float, begin_deg: float, end_deg: float, count: int = 96
) -> list[Point]:
    """Return points on an ellipse's arc, px; angles run clockwise in the picture (y down)."""
    t = np.radians(np.linspace(begin_deg, end_deg, count))
    c, s = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    x, y = rx * np.cos(t), ry * np.sin(t)
    across, down = centre[0] + c * x - s * y, centre[1] + s * x + c * y
    return list(zip(across.tolist(), down.tolist(), strict=True))


_DISC = np.array(arc_points((0.0, 0.0), 1.0, 1.0, 0.0, 0.0, 345.0, 24))
"""Corners of a joint of radius 1."""


def visibility_runs(points: Sequence[Point], seen: NDArray[np.bool_]) -> list[tuple[bool, list[Point]]]:
    """Return ``points`` cut where ``seen`` changes, each run with whether it is seen; runs share their end points."""
    runs: list[tuple[bool, list[Point]]] = []
    for point, visible in zip(points, seen.tolist(), strict=True):
        if not runs or runs[-1][0] != visible:
            start = [runs[-1][1][-1]] if runs else []
            runs.append((visible, [*start, point]))
        else:
            runs[-1][1].append(point)
    return [r for r in runs if len(r[1]) > 1]


def draw_arrow(
    overlay: OverlayCanvas,
    points: Sequence[Point],
    seen: NDArray[np.bool_],
    width: float,
    head: float,
    colour: Rgb,
    covered: NDArray[np.bool_] | None = None,
) -> None:
    """Draw a travel arrow along ``points``; where ``seen`` (per point) is False the line goes behind, dashed.

    A thin border of paper keeps it apart from what it crosses. Where it is ``covered`` (per point) by what travels,
    nothing is drawn but the head.
    """
    shaft = shorten(points, head * 0.8)
    open_ = np.ones(len(shaft), dtype=np.bool_) if covered is None else ~covered[: len(shaft)]
    runs = [run for is_open, run in visibility_runs(shaft, open_) if is_open]
    border = [shape for run in runs for shape in stroke(run, width * BORDER)]
    overlay.polygons([*border, *arrow_shapes(points, width * BORDER, head * 1.18)[-1:]], PAPER, 0.9)
    for visible, run in visibility_runs(shaft, open_ & seen[: len(shaft)]):
        if visible:
            overlay.line(run, width, colour)
    for hidden, run in visibility_runs(shaft, open_ & ~seen[: len(shaft)]):
        if hidden:
            overlay.dashes(run, width * 0.8, width * 3.0, width * 2.2, colour)
    overlay.polygons(arrow_shapes(points, width, head)[-1:], colour)


def draw_hollow_arrow(
    overlay: OverlayCanvas, points: Sequence[Point], width: float, head: float, colour: Rgb
) -> None:
    """Draw an arrow along ``points`` in outline only, with a border of paper: it stands for what is undone."""
    overlay.polygons(arrow_shapes(points, width * 2.9, head * 1.7), PAPER, 0.9)
    overlay.polygons(arrow_shapes(points, width * 2.1, head * 1.45), colour)
    overlay.polygons(arrow_shapes(shorten(points, head * 0.3), width * 0.9, head * 0.85), PAPER)
