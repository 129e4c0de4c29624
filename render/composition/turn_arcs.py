"""Turning arrows of a step: the arc round a part that is turned, and that at the end of a shaft turned by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Floats
from ...sequences.steps.travel_poses import Stretch
from ..drawing.arrows import (
    BORDER,
    TRAVEL_HEAD,
    TRAVEL_WIDTH,
    OverlayCanvas,
    Point,
    arc_points,
    draw_arrow,
    visibility_runs,
)
from ..drawing.manifest import TurnSeen
from ..drawing.measure import values_at
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.material_styles import PAPER, STRONG
from ..engine.part_models import PartModels
from ..engine.stage import REFERENCE_WIDTH
from .drawn_travel import DrawnTravel, perpendiculars
from .views import ShaftTurn

ARC_WIDTH = 0.85
"""Width of an arc's line as a share of that of a travel line of the same step."""
PART_ARC_SHARES = (1.22, 1.1, 1.0, 0.9, 0.8)
"""Radii tried for the arc round a part that is turned, as shares of the part's reach about its axis."""
PART_ARC_MARGIN = 0.012
"""Air between such an arc and the edge of the picture, as a share of it: half of an arrow's head."""
SHAFT_WIDTH, SHAFT_HEAD = 1.3, 1.2
"""Width and head of a shaft's arc as multiples of those of a travel line."""
SHAFT_ARC_SHARES = (1.0, 0.8, 0.65, 0.5)
"""Radii tried for it, as shares of the greatest."""
COVERED = 0.02
"""Share of it that may lie behind something."""
LEAD = 0.45
"""How far it stands before the shaft's end, as a share of its greatest radius."""
AXIS_END, AXIS_WIDTH = 1.5, 0.6
"""How far the axis is drawn out into the open, as a multiple of that, and how strong, as a share of the arc's line."""
ALONG = 0.999
"""Cosine of the angle to the axis of a turn below which a travel leaves across it."""
REACH = 12.0
"""How far its axis is followed, as a multiple of the radius."""


@dataclass(frozen=True)
class Arc:
    """A three-quarter arc about the line through ``centre`` (3,) mm along the unit vector ``axis`` (3,).

    Positive ``sense`` is right-handed. The gap lies behind, away from the eye.
    """

    centre: Floats
    axis: Floats
    radius_mm: float
    sense: float

    def ring(self, camera: Camera) -> Floats:
        """Return the points (90, 3) mm of the arc, the way it runs."""
        right, up = perpendiculars(self.axis)
        eye = camera.view.axes[2]
        away = -eye + self.axis * float(self.axis @ eye)
        start = float(np.arctan2(away @ up, away @ right))
        t = start + self.sense * np.linspace(np.radians(50), np.radians(310), 90)
        along = np.cos(t)[:, None] * right + np.sin(t)[:, None] * up
        return np.asarray(self.centre + self.radius_mm * along)


def draw_turn(
    overlay: OverlayCanvas,
    models: PartModels,
    travel: DrawnTravel,
    keys: Sequence[str],
    ids: Ids,
    camera: Camera,
    scale: float,
    inset: bool = False,
) -> None:
    """Draw an arc with a head round the drawn part, the way it is turned; it passes behind the part."""
    arc = fitted(reach_arc(models, travel, keys), camera, inset)
    points = arc.ring(camera)
    seen_at = camera.project(points)
    seen = (values_at(ids.part, seen_at) < 0) | (seen_at[:, 2] >= values_at(ids.near_mm, seen_at))
    _draw_arc(overlay, seen_at, seen, TRAVEL_WIDTH * scale, TRAVEL_HEAD * scale)


def reach_arc(models: PartModels, travel: DrawnTravel, keys: Sequence[str]) -> Arc:
    """Return the arc that goes round the drawn parts where they reach farthest from their axis.

    Parts that are turned about a line which they do not leave along have it round that line, where they are turned.
    """
    out = np.array(travel.offset) / max(travel.length_mm, 1e-9)
    line = travel.turn_about_line()
    if line is not None and abs(float(np.dot(line[0].axis, out))) < ALONG:
        return _line_arc(models, travel, keys, *line)
    places = [travel.drawn[k].points(models.parts[k].mesh.joined_points) for k in keys]
    points = np.concatenate(places)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    offset = points - middle
    reach = float(np.linalg.norm(offset - np.outer(offset @ out, out), axis=1).max())
    centre = middle + out * (float((offset @ out).max()) * 0.55)
    # Turns are counted about the front direction; a removal turns as it is written too.
    sense = float(np.sign(travel.turn_deg)) * (1.0 if float(np.array(models.front) @ out) >= 0 else -1.0)
    if line is not None:
        sense = line[1] * float(np.sign(np.dot(line[0].axis, out)))
    return Arc(centre, out, reach, sense)


def _line_arc(
    models: PartModels, travel: DrawnTravel, keys: Sequence[str], stretch: Stretch, sense: float
) -> Arc:
    axis, about = np.array(stretch.axis), np.array(stretch.about)
    places = [stretch.start @ travel.seats[k] for k in keys]
    points = np.concatenate(
        [p.points(models.parts[k].mesh.joined_points) for p, k in zip(places, keys, strict=True)]
    )
    offset = points - about
    along = offset @ axis
    reach = float(np.linalg.norm(offset - np.outer(along, axis), axis=1).max())
    return Arc(about + axis * float((along.min() + along.max()) / 2), axis, reach, sense)


def fitted(reach: Arc, camera: Camera, inset: bool = False) -> Arc:
    """Return the arc to draw about parts of this ``reach``: of the usual radius, or the widest that stays whole.

    Where the edge of the picture (of the ``inset``'s disc) cuts even the narrowest, it is the usual one.
    """
    arcs = [replace(reach, radius_mm=share * reach.radius_mm) for share in PART_ARC_SHARES]
    for arc in arcs:
        at = camera.project(arc.ring(camera))[:, :2]
        away = np.linalg.norm(at - 0.5, axis=1) if inset else np.abs(at - 0.5).max(axis=1)
        if away.max() < 0.5 - PART_ARC_MARGIN:
            return arc
    return arcs[0]


def _draw_arc(
    overlay: OverlayCanvas, points: Floats, seen: NDArray[np.bool_], width: float, head: float
) -> None:
    """Draw an arc with a head; ``points`` (n, 3) are of the picture, and dashed where they are not ``seen`` (n,)."""
    size = np.array(overlay.image.size)
    path: list[Point] = [(float(x), float(y)) for x, y in (points[:, :2] * size).tolist()]
    draw_arrow(overlay, path, seen, width * ARC_WIDTH, head, STRONG)


@dataclass(frozen=True)
class ShaftArc:
    """Arc at a shaft's end, and how far the axis is drawn from there, mm.

    ``inside`` says that the shaft's end is shut in: the arc is drawn through what hides it.
    """

    arc: Arc
    axis_mm: float
    inside: bool


def shaft_arc(turn: ShaftTurn, ids: Ids, camera: Camera) -> ShaftArc:
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
    arc = Arc(end + lead * axis, axis, turn.radius_mm, float(np.sign(turn.turn_deg)))
    if not inside:
        arc = _least_covered(arc, ids, camera)
    return ShaftArc(arc, out + AXIS_END * lead, inside)


def _least_covered(arc: Arc, ids: Ids, camera: Camera) -> Arc:
    """Return the widest of the arcs tried that hardly anything covers, or else the one that is covered least."""
    best, least = arc, 1.0
    for share in SHAFT_ARC_SHARES:
        tried = replace(arc, radius_mm=share * arc.radius_mm)
        covered = float(_hidden(replace(tried, sense=1.0).ring(camera), ids, camera).mean())
        if covered < least:
            best, least = tried, covered
        if covered <= COVERED:
            break
    return best


def _hidden(points: Floats, ids: Ids, camera: Camera) -> NDArray[np.bool_]:
    """Return which of ``points`` (n, 3) mm lie behind what is seen."""
    seen_at = camera.project(points)
    inside = ((seen_at[:, :2] > 0) & (seen_at[:, :2] < 1)).all(axis=1)
    return np.asarray(inside & (values_at(ids.near_mm, seen_at) > seen_at[:, 2]))


def draw_shaft_turns(
    image: Image.Image, turns: Sequence[ShaftTurn], ids: Ids, camera: Camera
) -> tuple[TurnSeen, ...]:
    """Draw an arc about each shaft that is turned, and its axis; return where. What lies behind is dashed."""
    overlay = OverlayCanvas(image)
    scale = image.width / REFERENCE_WIDTH
    width, head = TRAVEL_WIDTH * SHAFT_WIDTH * scale, TRAVEL_HEAD * SHAFT_HEAD * scale
    seen = []
    for turn in (t.towards(camera.view.axes[2]) for t in turns):
        found = shaft_arc(turn, ids, camera)
        _draw_axis(overlay, turn, found.axis_mm, ids, camera, width)
        points = camera.project(found.arc.ring(camera))
        _draw_arc(overlay, points, np.full(len(points), not found.inside), width, head)
        x, y, _ = camera.project(found.arc.centre)[0].tolist()
        seen.append(TurnSeen((x, y), turn.turn_deg))
    return tuple(seen)


def _draw_axis(
    overlay: OverlayCanvas, turn: ShaftTurn, length_mm: float, ids: Ids, camera: Camera, width: float
) -> None:
    """Draw a shaft's axis from its end outwards, with a dot at the end; ``width`` is that of the arc's line, px."""
    size = overlay.image.size
    points = np.array(turn.point) + np.linspace(0.0, length_mm, 120)[:, None] * np.array(turn.axis)
    path: list[Point] = [(float(x) * size[0], float(y) * size[1]) for x, y, _ in camera.project(points)]
    thin = width * AXIS_WIDTH
    overlay.line((path[0], path[-1]), thin * BORDER * 1.3, PAPER, 0.9)
    for is_seen, run in visibility_runs(path, ~_hidden(points, ids, camera)):
        if is_seen:
            overlay.line((run[0], run[-1]), thin, STRONG)
        else:
            overlay.dashes((run[0], run[-1]), thin, width * 2.0, width * 1.5, STRONG)
    overlay.polygons([arc_points(path[0], width * 0.8, width * 0.8, 0.0, 0.0, 345.0, 24)], STRONG)
