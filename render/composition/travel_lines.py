"""Travel lines of a step: where they run so that they are seen, and how they are drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Floats
from ..drawing.arrows import (
    BORDER,
    TRAVEL_HEAD,
    TRAVEL_WIDTH,
    OverlayCanvas,
    Point,
    arrow_shapes,
    draw_arrow,
    shorten,
    stroke,
    visibility_runs,
)
from ..drawing.manifest import Arrow
from ..drawing.measure import values_at
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.material_styles import PAPER, STRONG
from ..engine.part_models import Axis, PartModels
from ..engine.stage import REFERENCE_WIDTH
from .drawn_travel import DrawnTravel, perpendiculars
from .turn_arcs import draw_turn

LEAST_LENGTH = 95.0
"""Least length of an arrow, px of a picture 1600 wide."""
AIR, ASIDE = 6.0, 14.0
"""Air between a part and the arrow's end before it, and the line beside it, px of such a picture."""
RIM, LEAST_HEADS = 0.4, 1.5
"""In an inset: how far from its rim an arrow ends, and how much of it is to be left, in heads of the arrow."""
SIDES = 16
"""Directions tried round the axis of travel for a line beside the part."""
AXIS_BONUS, SURE = 0.15, 1.1
"""What it is worth that a line runs along the part's axis, and the worth above which no other is tried."""
ABOVE_BONUS, OUTSIDE_COST = 0.04, 0.3
"""What it is worth that a line runs above the part, and what it costs that it leaves the picture."""
STRAIGHT_ON = 0.999
"""Cosine of the angle between two legs of a travel above which it has no bend."""
STATIONS = 60
"""Points of a line."""


@dataclass(frozen=True)
class Line:
    """A travel line: points (n, 3) from tail to head as fractions and nearness, and which of them are unhidden.

    ``covered`` are those behind the parts that travel. It is straight unless the travel has a bend.
    """

    points: Floats
    seen: NDArray[np.bool_]
    keys: tuple[str, ...]
    covered: NDArray[np.bool_]
    bent: bool = False


def draw_travels(
    image: Image.Image,
    models: PartModels,
    travels: Sequence[DrawnTravel],
    ids: Ids,
    camera: Camera,
    page_width: int,
    inset: bool = False,
) -> tuple[Arrow, ...]:
    """Draw one arrow for each part, row of equal parts or unit that travels; return what was drawn.

    ``page_width`` is the width of the whole picture, of which ``image`` may be an inset: line weights are the same.
    Where it is an ``inset``, an arrow that leads out of its disc ends at the rim, so that its head is seen.
    """
    overlay = OverlayCanvas(image)
    scale = page_width / REFERENCE_WIDTH
    width, head = TRAVEL_WIDTH * scale, TRAVEL_HEAD * scale
    drawn = []
    lines = travel_lines(models, travels, ids, camera, image.width, page_width)
    for line in joined_lines([line for _, line in lines], image.size, head):
        if inset:
            line = within_disc(line, head / image.width)
        draw_arrow(overlay, _on_page(line, image), line.seen, width, head, STRONG, line.covered)
    for travel, line in lines:
        if travel.turn_deg:
            draw_turn(overlay, models, travel, line.keys, ids, camera, scale, inset)
        (x0, y0, _), (x1, y1, _) = line.points[[0, -1]].tolist()
        drawn.append(Arrow(line.keys, (x0, y0), (x1, y1), travel.turn_deg))
    return tuple(drawn)


def joined_lines(lines: Sequence[Line], size: tuple[int, int], head: float) -> list[Line]:
    """Return ``lines`` with those that run along each other made one, which ends where the farthest does.

    Parts that go onto one axis one after another would have heads in each other's lines. ``size`` is that of the
    picture in pixels, ``head`` the length of an arrow's head.
    """
    kept: list[Line] = []
    for line in lines:
        for n, other in enumerate(kept):
            one = _as_one(other, line, size, head)
            if one is not None:
                kept[n] = one
                break
        else:
            kept.append(line)
    return kept


def _as_one(a: Line, b: Line, size: tuple[int, int], head: float) -> Line | None:
    """Return two lines as one, None where they do not run along each other."""
    at = [line.points[:, :2] * size for line in (a, b)]
    tail, run = at[0][0], at[0][-1] - at[0][0]
    other = at[1][-1] - at[1][0]
    lengths = float(np.hypot(*run)), float(np.hypot(*other))
    if a.bent or b.bent or min(lengths) < head or float(run @ other) < 0.999 * lengths[0] * lengths[1]:
        return None
    run = run / lengths[0]
    aside = (at[1] - tail) @ (-run[1], run[0])
    begin, end = ([float((p[n] - tail) @ run) for p in at] for n in (0, -1))
    if np.abs(aside).max() > 0.3 * head or max(begin) > min(end):
        return None
    first, last = int(np.argmin(begin)), int(np.argmax(end))
    stations = np.linspace(begin[first], end[last], len(a.points))
    ends = (a, b)[first].points[0], (a, b)[last].points[-1]
    points = ends[0] + np.linspace(0.0, 1.0, len(stations))[:, None] * (ends[1] - ends[0])
    seen, covered = np.ones(len(stations), dtype=bool), np.zeros(len(stations), dtype=bool)
    for line, start, stop in zip((a, b), begin, end, strict=True):
        there = (stations >= start) & (stations <= stop)
        nearest = np.round((stations[there] - start) / (stop - start) * (len(line.seen) - 1)).astype(int)
        seen[there] &= line.seen[nearest]
        covered[there] |= line.covered[nearest]
    return Line(points, seen, (*a.keys, *b.keys), covered)


def within_disc(line: Line, head: float) -> Line:
    """Return ``line`` as far as it runs inside the disc that fills its square frame; ``head`` is a share of its width.

    Where it ends inside, or hardly a head of it would be left, it stays whole.
    """
    inside = np.hypot(line.points[:, 0] - 0.5, line.points[:, 1] - 0.5) < 0.5 - RIM * head
    last = int(np.flatnonzero(inside)[-1]) if inside.any() else 0
    if inside[-1] or not last:
        return line
    left = line.points[: last + 1][inside[: last + 1]]
    if float(np.hypot(*(left[-1, :2] - left[0, :2]))) < LEAST_HEADS * head:
        return line
    shown = slice(0, last + 1)
    return replace(line, points=line.points[shown], seen=line.seen[shown], covered=line.covered[shown])


def travel_lines(
    models: PartModels, travels: Sequence[DrawnTravel], ids: Ids, camera: Camera, width: int, page_width: int
) -> list[tuple[DrawnTravel, Line]]:
    """Return a line for each part, row of equal parts or unit that travels, in a picture ``width`` pixels wide."""
    pixel_mm = camera.width_mm / width * page_width / REFERENCE_WIDTH
    return [
        (travel, _travel_line(models, travel, keys, ids, camera, pixel_mm))
        for travel in travels
        if travel.length_mm > 0
        for keys in arrow_groups(models, travel)
    ]


def draw_remaining_travel(image: Image.Image, line: Line, covered: NDArray[np.bool_]) -> None:
    """Draw of ``line`` what the parts on their way do not cover, themselves seen at ``covered`` (h, w).

    ``image`` is a whole picture. An arrow's head is drawn whole or not at all.
    """
    overlay, scale = OverlayCanvas(image), image.width / REFERENCE_WIDTH
    width, head = TRAVEL_WIDTH * scale, TRAVEL_HEAD * scale
    path = _on_page(line, image)
    open_ = ~values_at(covered, line.points)
    tip = arrow_shapes(path, width, head)[-1:] if open_[-1] else []
    shaft = shorten(path, head * 0.8) if tip else path
    open_, seen = open_[: len(shaft)], line.seen[: len(shaft)]
    runs = [run for is_open, run in visibility_runs(shaft, open_) if is_open]
    overlay.polygons([shape for run in runs for shape in stroke(run, width * BORDER)], PAPER, 0.9)
    for is_seen, run in visibility_runs(shaft, open_ & seen):
        if is_seen:
            overlay.line(run, width, STRONG)
    for is_hidden, run in visibility_runs(shaft, open_ & ~seen):
        if is_hidden:
            overlay.dashes(run, width * 0.8, width * 3.0, width * 2.2, STRONG)
    overlay.polygons(tip, STRONG)


def _on_page(line: Line, image: Image.Image) -> list[Point]:
    return [(x * image.width, y * image.height) for x, y, _ in line.points.tolist()]


def arrow_groups(models: PartModels, travel: DrawnTravel) -> list[list[str]]:
    """Return the parts that share an arrow: equal parts have one for each axis, units for the largest of each."""
    largest = max(travel.drawn, key=lambda k: models.parts[k].mesh.volume_mm3)
    keys = [k for k in travel.drawn if models.parts[k].kind == models.parts[largest].kind]
    groups: dict[Axis, list[str]] = {}
    out, cell = np.array(travel.offset) / travel.length_mm, 0.02 * models.extent_mm
    for key in keys:
        groups.setdefault(models.axis_of(key, travel.seats[key], out, cell)[0], []).append(key)
    return list(groups.values())


def _travel_line(
    models: PartModels, travel: DrawnTravel, keys: Sequence[str], ids: Ids, camera: Camera, pixel_mm: float
) -> Line:
    """Return the line for ``keys``: along their axis in the open between part and seat, else beside the part.

    Short travels are drawn longer at the tail so that the arrow can be read. ``pixel_mm`` is the size of a pixel of a
    picture 1600 wide.
    """
    finder = _LineFinder(models, travel, keys, ids, camera, pixel_mm)
    best, best_worth = None, -1.0
    for line, worth in finder.candidates():
        if worth > best_worth:
            best, best_worth = line, worth
        if worth >= SURE:
            break
    assert best is not None
    return best


class _LineFinder:
    """Finds lines for the travel of some parts; arguments as of :func:`_travel_line`."""

    def __init__(
        self,
        models: PartModels,
        travel: DrawnTravel,
        keys: Sequence[str],
        ids: Ids,
        camera: Camera,
        pixel_mm: float,
    ) -> None:
        self._travel, self._keys, self._ids, self._camera = travel, tuple(keys), ids, camera
        self._pixel_mm = pixel_mm
        self._out = np.array(travel.offset) / travel.length_mm
        self._points = np.concatenate(
            [travel.seats[k].points(models.parts[k].mesh.joined_points) for k in keys]
        )
        along = self._points @ self._out
        self._low, self._high = float(along.min()), float(along.max())
        middle = (self._points.min(axis=0) + self._points.max(axis=0)) / 2
        self._axis = middle - self._out * float(middle @ self._out)
        run = camera.view.axes @ self._out
        # How much of a length along the travel is seen.
        self._seen_share = max(float(np.hypot(run[0], run[1])), 0.2)

    def candidates(self) -> Iterator[tuple[Line, float]]:
        """Yield lines with their worth: how much of them is unhidden, and how well they lie."""
        least = LEAST_LENGTH * self._pixel_mm / self._seen_share
        bent = self._bent()
        if bent is not None:
            yield bent, SURE + float(bent.seen.mean())
        on_axis = self._on_axis(least)
        if on_axis is not None:
            yield on_axis, float(on_axis.seen.mean()) + AXIS_BONUS
        yield from self._aside(least)

    def _on_axis(self, least_mm: float) -> Line | None:
        """Return the line along the axis, from the drawn part's leading face to the near face of the seat."""
        air = AIR * self._pixel_mm / self._seen_share
        tail, head = self._low + self._travel.length_mm - air, self._high + air
        return self._line(self._axis, tail, head) if tail - head >= least_mm else None

    def _aside(self, least_mm: float) -> Iterator[tuple[Line, float]]:
        """Yield lines beside the part, all round: from its leading face to where that comes to lie."""
        tail, head = self._low + self._travel.length_mm, self._low
        if tail - head < least_mm:
            tail = head + least_mm
        sideways = perpendiculars(self._out)
        for n in range(SIDES):
            angle = 2.0 * np.pi * n / SIDES
            aside = np.cos(angle) * sideways[0] + np.sin(angle) * sideways[1]
            reach = float(((self._points - self._axis) @ aside).max()) + ASIDE * self._pixel_mm
            line = self._line(self._axis + aside * reach, tail, head)
            above = float(self._camera.view.axes[1] @ aside)
            cost = OUTSIDE_COST if _leaves(line) else 0.0
            yield line, float(line.seen.mean()) + ABOVE_BONUS * above - cost

    def _bent(self) -> Line | None:
        """Return the line of a travel with a bend: each leg as it is made, from drawn part to seat; None without one.

        It begins before the drawn part's leading face, or at the bend where that is nearer, and ends at the seat's
        near face.
        """
        stops = np.array(self._travel.path if self._travel.move.into else self._travel.path[::-1])
        legs = np.diff(stops, axis=0)
        lengths = np.linalg.norm(legs, axis=1)
        legs, lengths = legs[lengths > 1e-9], lengths[lengths > 1e-9]
        if len(legs) < 2:
            return None
        along = legs / lengths[:, None]
        if float(np.abs(along @ along[-1]).min()) > STRAIGHT_ON:
            return None
        middle = (self._points.min(axis=0) + self._points.max(axis=0)) / 2
        air = AIR * self._pixel_mm
        reach = ((self._points - middle) @ along[[0, -1]].T).max(axis=0)
        back = float((-(self._points - middle) @ along[-1]).max())
        corners = np.concatenate([stops[:1], stops[:1] + np.cumsum(legs, axis=0)])
        corners[0] += along[0] * min(float(reach[0]) + air, float(lengths[0]))
        corners[-1] -= along[-1] * min(back + air, 0.8 * float(lengths[-1]))
        run = np.linalg.norm(np.diff(corners, axis=0), axis=1)
        at = np.concatenate([[0.0], np.cumsum(run)])
        # The corners are among the points, or the line would cut them.
        stations = np.unique(np.concatenate([np.linspace(0.0, at[-1], STATIONS), at]))
        points = middle + np.stack([np.interp(stations, at, corners[:, n]) for n in range(3)], axis=1)
        if not self._travel.move.into:
            points = points[::-1]
        return replace(self._seen_in_picture(self._camera.project(points)), bent=True)

    def _line(self, start: Floats, tail: float, head: float) -> Line:
        if not self._travel.move.into:
            tail, head = head, tail
        points = self._camera.project(start + np.linspace(tail, head, STATIONS)[:, None] * self._out)
        return self._seen_in_picture(points)

    def _seen_in_picture(self, points: Floats) -> Line:
        """Return the line through ``points`` (n, 3), as fractions and nearness."""
        slack = 0.002 * self._camera.height_mm
        part, near_mm = values_at(self._ids.part, points), values_at(self._ids.near_mm, points)
        seen = (part < 0) | (points[:, 2] + slack >= near_mm)
        own = values_at(self._ids.mask(self._keys), points)
        # A line over the moving part itself is seen, but badly: its own colour is behind it.
        return Line(points, seen & ~own, self._keys, own & ~seen)


def _leaves(line: Line) -> bool:
    """Return whether the line leaves the picture."""
    return bool((line.points[:, :2] < 0.01).any() or (line.points[:, :2] > 0.99).any())
