"""Travel lines and turning arrows of a step: where they run so that they are seen, and how they are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Floats
from ..drawing.arrows import (
    BORDER,
    OverlayCanvas,
    Point,
    arc_points,
    arrow_shapes,
    draw_arrow,
    open_runs,
    shorten,
    stroke,
)
from ..drawing.manifest import Arrow, TurnSeen
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.material_styles import PAPER, STRONG
from ..engine.part_models import Axis, PartModels
from ..engine.stage import REFERENCE_WIDTH
from .drawn_travel import DrawnTravel, across
from .views import ShaftTurn

WIDTH, HEAD = 7.0, 36.0
"""Width of an arrow's line and length of its head, px of a picture 1600 wide."""
LEAST_LENGTH = 95.0
LEAD = 0.45
"""How far a shaft's arc stands before the shaft's end, as a share of its greatest radius."""
AXIS_END, AXIS_WIDTH = 1.5, 0.6
"""How far the axis is drawn out into the open, as a multiple of that, and how strong, as a share of the arc's line."""
ARCS = (1.0, 0.8, 0.65, 0.5)
"""Radii tried for it, as shares of the greatest."""
COVERED = 0.02
"""Share of it that may lie behind something."""
REACH = 12.0
"""How far its axis is followed, as a multiple of the radius."""
RIM, LEAST_HEADS = 0.4, 1.5
"""In a disc: how far from its rim an arrow ends, and how much of it is to be left, in heads of the arrow."""
SIDES = 16
"""Directions tried round the axis of travel for a line beside the part."""

TURN_SHARES = (1.22, 1.1, 1.0, 0.9, 0.8)
"""Radii tried for the arc round a part that is turned, as shares of the part's reach about its axis."""
TURN_MARGIN = 0.012
"""Air between such an arc and the edge of the picture, as a share of it: half of an arrow's head."""


@dataclass(frozen=True)
class Line:
    """A travel line: points (n, 3) from tail to head as fractions and nearness, and which of them are unhidden."""

    points: Floats
    seen: NDArray[np.bool_]
    keys: tuple[str, ...]


def draw_travels(
    image: Image.Image,
    models: PartModels,
    travels: Sequence[DrawnTravel],
    ids: Ids,
    camera: Camera,
    page_width: int,
    disc: bool = False,
) -> tuple[Arrow, ...]:
    """Draw one arrow for each part, row of equal parts or unit that travels; return what was drawn.

    ``page_width`` is the width of the whole picture, of which ``image`` may be an inset: line weights are the same.
    Where it is a ``disc``, an arrow that leads out of it ends at its rim, so that its head is seen.
    """
    overlay = OverlayCanvas(image)
    scale = page_width / REFERENCE_WIDTH
    drawn = []
    lines = lay_lines(models, travels, ids, camera, image.width, page_width)
    for line in joined_lines([line for _, line in lines], image.size, HEAD * scale):
        if disc:
            line = within_disc(line, HEAD * scale / image.width)
        draw_arrow(overlay, _on_page(line, image), line.seen, WIDTH * scale, HEAD * scale, STRONG)
    for travel, line in lines:
        if travel.turn_deg:
            draw_turn(overlay, models, travel, line.keys, ids, camera, scale, disc)
        tail, head = line.points[0], line.points[-1]
        drawn.append(
            Arrow(
                line.keys,
                (float(tail[0]), float(tail[1])),
                (float(head[0]), float(head[1])),
                travel.turn_deg,
            )
        )
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
    if min(lengths) < head or float(run @ other) < 0.999 * lengths[0] * lengths[1]:
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
    seen = np.ones(len(stations), dtype=bool)
    for line, start, stop in zip((a, b), begin, end, strict=True):
        there = (stations >= start) & (stations <= stop)
        nearest = np.round((stations[there] - start) / (stop - start) * (len(line.seen) - 1)).astype(int)
        seen[there] &= line.seen[nearest]
    return Line(points, seen, (*a.keys, *b.keys))


def within_disc(line: Line, head: float) -> Line:
    """Return ``line`` as far as it runs inside the disc that fills its square frame; ``head`` is a share of its width.

    Where it ends inside, or hardly a head of it would be left, it stays whole.
    """
    inside = np.hypot(line.points[:, 0] - 0.5, line.points[:, 1] - 0.5) < 0.5 - RIM * head
    last = int(np.flatnonzero(inside)[-1]) if inside.any() else 0
    if inside[-1] or not last:
        return line
    shown = line.points[: last + 1][inside[: last + 1]]
    if float(np.hypot(*(shown[-1, :2] - shown[0, :2]))) < LEAST_HEADS * head:
        return line
    return Line(line.points[: last + 1], line.seen[: last + 1], line.keys)


def lay_lines(
    models: PartModels, travels: Sequence[DrawnTravel], ids: Ids, camera: Camera, width: int, page_width: int
) -> list[tuple[DrawnTravel, Line]]:
    """Return a line for each part, row of equal parts or unit that travels, in a picture ``width`` pixels wide."""
    pixel_mm = camera.width_mm / width * page_width / REFERENCE_WIDTH
    return [
        (travel, travel_line(models, travel, keys, ids, camera, pixel_mm))
        for travel in travels
        if travel.length_mm > 0
        for keys in arrow_groups(models, travel)
    ]


def draw_way_left(image: Image.Image, line: Line, covered: NDArray[np.bool_]) -> None:
    """Draw of ``line`` what the parts on their way do not cover, themselves seen at ``covered`` (h, w).

    ``image`` is a whole picture. An arrow's head is drawn whole or not at all.
    """
    overlay, scale = OverlayCanvas(image), image.width / REFERENCE_WIDTH
    width, head = WIDTH * scale, HEAD * scale
    path = _on_page(line, image)
    open_ = ~_at_points(covered, line.points)
    tip = arrow_shapes(path, width, head)[-1:] if open_[-1] else []
    shaft = shorten(path, head * 0.8) if tip else path
    open_, seen = open_[: len(shaft)], line.seen[: len(shaft)]
    # The line is straight: the ends of each piece are all that it takes to draw it.
    runs = [(run[0], run[-1]) for is_open, run in open_runs(shaft, open_) if is_open]
    overlay.polygons([shape for run in runs for shape in stroke(run, width * BORDER)], PAPER, 0.9)
    for is_seen, run in open_runs(shaft, open_ & seen):
        if is_seen:
            overlay.line((run[0], run[-1]), width, STRONG)
    for is_hidden, run in open_runs(shaft, open_ & ~seen):
        if is_hidden:
            overlay.dashes((run[0], run[-1]), width * 0.8, width * 3.0, width * 2.2, STRONG)
    overlay.polygons(tip, STRONG)


def _on_page(line: Line, image: Image.Image) -> list[Point]:
    return [(x * image.width, y * image.height) for x, y, _ in line.points.tolist()]


def _at_points(grid: NDArray[Any], points: Floats) -> NDArray[Any]:
    """Return what ``grid`` (h, w) holds at ``points`` (n, 2 or more), fractions."""
    height, width = grid.shape
    x = np.clip((points[:, 0] * width).astype(int), 0, width - 1)
    y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
    return np.asarray(grid[y, x])


def arrow_groups(models: PartModels, travel: DrawnTravel) -> list[list[str]]:
    """Return the parts that share an arrow: equal parts have one for each axis, units for the largest of each."""
    largest = max(travel.drawn, key=lambda k: models.parts[k].mesh.volume_mm3)
    keys = [k for k in travel.drawn if models.parts[k].kind == models.parts[largest].kind]
    groups: dict[Axis, list[str]] = {}
    out, cell = np.array(travel.offset) / travel.length_mm, 0.02 * models.extent_mm
    for key in keys:
        groups.setdefault(models.axis_of(key, travel.seats[key], out, cell)[0], []).append(key)
    return list(groups.values())


def travel_line(
    models: PartModels, travel: DrawnTravel, keys: Sequence[str], ids: Ids, camera: Camera, pixel_mm: float
) -> Line:
    """Return the line for ``keys``: along their axis in the open between part and seat, else beside the part.

    Beside the part it runs where most of it is unhidden, from the part's leading face to where that face comes to
    lie; short travels are drawn longer at the tail so that the arrow can be read. ``pixel_mm`` is the size of a pixel
    of a picture 1600 wide.
    """
    out = np.array(travel.offset) / travel.length_mm
    points = np.concatenate([travel.seats[k].points(models.parts[k].mesh.joined_points) for k in keys])
    along = points @ out
    low, high = float(along.min()), float(along.max())
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    axis = middle - out * float(middle @ out)
    run = camera.view.axes @ out
    flat = max(float(np.hypot(run[0], run[1])), 0.2)  # how much of a length along the travel is seen
    least = LEAST_LENGTH * pixel_mm / flat
    air = 6.0 * pixel_mm / flat

    # Along the axis, from the drawn part's leading face to the near face of the seat.
    tail, head = low + travel.length_mm - air, high + air
    best: Line | None = None
    best_value = -1.0
    if tail - head >= least:
        best = _line(axis, out, tail, head, travel.move.into, ids, camera, keys)
        best_value = float(best.seen.mean()) + 0.15
        if best_value >= 1.1:
            return best
    # Beside the part, all round: from its leading face to where that comes to lie.
    tail, head = low + travel.length_mm, low
    if tail - head < least:
        tail = head + least
    sideways = across(out)
    for n in range(SIDES):
        angle = 2.0 * np.pi * n / SIDES
        aside = np.cos(angle) * sideways[0] + np.sin(angle) * sideways[1]
        reach = float(((points - axis) @ aside).max()) + 14.0 * pixel_mm
        line = _line(axis + aside * reach, out, tail, head, travel.move.into, ids, camera, keys)
        above = float(camera.view.axes[1] @ aside)
        value = float(line.seen.mean()) + 0.04 * above - (0.3 if _leaves(line) else 0.0)
        if value > best_value:
            best, best_value = line, value
    assert best is not None
    return best


def _line(
    start: Floats,
    out: Floats,
    tail: float,
    head: float,
    into: bool,
    ids: Ids,
    camera: Camera,
    keys: Sequence[str],
) -> Line:
    if not into:
        tail, head = head, tail
    points = camera.project(start + np.linspace(tail, head, 60)[:, None] * out)
    height, width = ids.part.shape
    x = np.clip((points[:, 0] * width).astype(int), 0, width - 1)
    y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
    slack = 0.002 * camera.height_mm
    seen = (ids.part[y, x] < 0) | (points[:, 2] + slack >= ids.near_mm[y, x])
    # A line over the moving part itself is seen, but badly: its own colour is behind it.
    seen &= ~ids.mask(keys)[y, x]
    return Line(points, seen, tuple(keys))


def _leaves(line: Line) -> bool:
    """Return whether the line leaves the picture."""
    return bool((line.points[:, :2] < 0.01).any() or (line.points[:, :2] > 0.99).any())


def draw_turn(
    overlay: OverlayCanvas,
    models: PartModels,
    travel: DrawnTravel,
    keys: Sequence[str],
    ids: Ids,
    camera: Camera,
    scale: float,
    disc: bool = False,
) -> None:
    """Draw an arc with a head round the drawn part, the way it is turned; what runs behind the part is left out."""
    centre, out, reach, sense = turn_about(models, travel, keys)
    radius = turn_radius(centre, out, reach, sense, camera, disc)
    draw_arc(overlay, centre, out, radius, sense, ids, camera, WIDTH * scale, HEAD * scale, keys)


def turn_about(
    models: PartModels, travel: DrawnTravel, keys: Sequence[str]
) -> tuple[Floats, Floats, float, float]:
    """Return the arc's centre (3,) mm, its axis (3,), the reach of the drawn parts about it, mm, and its sense."""
    out = np.array(travel.offset) / travel.length_mm
    places = [travel.drawn[k].points(models.parts[k].mesh.joined_points) for k in keys]
    points = np.concatenate(places)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    offset = points - middle
    reach = float(np.linalg.norm(offset - np.outer(offset @ out, out), axis=1).max())
    centre = middle + out * (float((offset @ out).max()) * 0.55)
    # Turns are counted about the front direction; a removal turns as it is written too.
    sense = float(np.sign(travel.turn_deg)) * (1.0 if float(np.array(models.front) @ out) >= 0 else -1.0)
    return centre, out, reach, sense


def turn_radius(
    centre: Floats, axis: Floats, reach: float, sense: float, camera: Camera, disc: bool = False
) -> float:
    """Return the radius, mm, of an arc about parts of this ``reach``: the usual one, or the widest that stays whole.

    Where the edge of the picture (of the ``disc``) cuts even the narrowest, it is the usual one.
    """
    for share in TURN_SHARES:
        at = camera.project(arc_ring(centre, axis, share * reach, sense, camera))[:, :2]
        away = np.linalg.norm(at - 0.5, axis=1) if disc else np.abs(at - 0.5).max(axis=1)
        if away.max() < 0.5 - TURN_MARGIN:
            return share * reach
    return TURN_SHARES[0] * reach


def draw_arc(
    overlay: OverlayCanvas,
    centre: Floats,
    axis: Floats,
    radius: float,
    sense: float,
    ids: Ids,
    camera: Camera,
    width: float,
    head: float,
    keys: Sequence[str] = (),
    behind: bool = False,
) -> None:
    """Draw a three-quarter arc with a head about ``axis``; positive ``sense`` is right-handed.

    The gap lies behind, away from the eye. With ``keys`` the arc passes behind these parts, without it lies on top, and
    with ``behind`` it is dashed all round.
    """
    points = camera.project(arc_ring(centre, axis, radius, sense, camera))
    size = np.array(overlay.image.size)
    path: list[Point] = [(float(x), float(y)) for x, y in (points[:, :2] * size).tolist()]
    seen = np.full(len(path), not behind)
    if keys:
        height, wide = ids.part.shape
        x = np.clip((points[:, 0] * wide).astype(int), 0, wide - 1)
        y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
        seen = (ids.part[y, x] < 0) | (points[:, 2] >= ids.near_mm[y, x])
    draw_arrow(overlay, path, seen, width * 0.85, head, STRONG)


def arc_ring(centre: Floats, axis: Floats, radius: float, sense: float, camera: Camera) -> Floats:
    """Return the points (90, 3) mm of the arc, the way it runs."""
    right, up = across(axis)
    eye = camera.view.axes[2]
    away = -eye + axis * float(axis @ eye)
    start = float(np.arctan2(away @ up, away @ right))
    t = start + sense * np.linspace(np.radians(50), np.radians(310), 90)
    return np.asarray(centre + radius * (np.cos(t)[:, None] * right + np.sin(t)[:, None] * up))


@dataclass(frozen=True)
class TurnArc:
    """Arc about a shaft's axis: its ``middle`` (3,) and radius, mm, and how far the axis is drawn from the shaft's end.

    ``inside`` says that the shaft's end is shut in: the arc is drawn through what hides it.
    """

    middle: Floats
    radius_mm: float
    axis_mm: float
    inside: bool


def lay_shaft_turn(turn: ShaftTurn, ids: Ids, camera: Camera) -> TurnArc:
    """Return the arc of ``turn``, just in front of the shaft's end, its axis drawn until it comes out to the eye.

    Where something stands before a part of the arc (a stud, a wall), the arc is smaller.
    """
    axis, end = np.array(turn.axis), np.array(turn.point)
    lead = LEAD * turn.radius_mm
    along = np.linspace(lead, REACH * turn.radius_mm, 600)
    hidden = _hidden(end + along[:, None] * axis, ids, camera)
    inside = bool(hidden[0])
    out = 0.0
    if inside and float(axis @ camera.view.axes[2]) > 0 and not hidden.all():
        out = float(along[np.argmin(hidden)])
    best, least = 1.0, 1.0
    for share in () if inside else ARCS:
        ring = arc_ring(end + lead * axis, axis, share * turn.radius_mm, 1.0, camera)
        covered = float(_hidden(ring, ids, camera).mean())
        if covered < least:
            best, least = share, covered
        if covered <= COVERED:
            break
    return TurnArc(end + lead * axis, best * turn.radius_mm, out + AXIS_END * lead, inside)


def _hidden(points: Floats, ids: Ids, camera: Camera) -> NDArray[np.bool_]:
    """Return which of ``points`` (n, 3) mm lie behind what is seen."""
    seen_at = camera.project(points)
    inside = ((seen_at[:, :2] > 0) & (seen_at[:, :2] < 1)).all(axis=1)
    return np.asarray(inside & (_at_points(ids.near_mm, seen_at) > seen_at[:, 2]))


def draw_shaft_turns(
    image: Image.Image, turns: Sequence[ShaftTurn], ids: Ids, camera: Camera
) -> tuple[TurnSeen, ...]:
    """Draw an arc about each shaft that is turned, and its axis; return where. What lies behind is dashed."""
    overlay = OverlayCanvas(image)
    scale = image.width / REFERENCE_WIDTH
    width, head = WIDTH * 1.3 * scale, HEAD * 1.2 * scale
    seen = []
    for turn in turns:
        arc, axis = lay_shaft_turn(turn, ids, camera), np.array(turn.axis)
        points = np.array(turn.point) + np.linspace(0.0, arc.axis_mm, 120)[:, None] * axis
        path: list[Point] = [
            (float(x) * image.width, float(y) * image.height) for x, y, _ in camera.project(points)
        ]
        thin = width * AXIS_WIDTH
        overlay.line((path[0], path[-1]), thin * BORDER * 1.3, PAPER, 0.9)
        for is_seen, run in open_runs(path, ~_hidden(points, ids, camera)):
            if is_seen:
                overlay.line((run[0], run[-1]), thin, STRONG)
            else:
                overlay.dashes((run[0], run[-1]), thin, width * 2.0, width * 1.5, STRONG)
        overlay.polygons([arc_points(path[0], width * 0.8, width * 0.8, 0.0, 0.0, 345.0, 24)], STRONG)
        sense = float(np.sign(turn.turn_deg))
        draw_arc(overlay, arc.middle, axis, arc.radius_mm, sense, ids, camera, width, head, behind=arc.inside)
        x, y, _ = camera.project(arc.middle)[0].tolist()
        seen.append(TurnSeen((x, y), turn.turn_deg))
    return tuple(seen)
