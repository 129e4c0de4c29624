"""Arrows of a tool's pull and push: which way a handle is swung, where a tool is pressed or drawn along.

A pull that tightens is a whole arrow, one that loosens a hollow one, so that the two are told apart without reading
which way the arc runs.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from PIL import Image

from ...geometry.frame import Floats
from ...sequences.steps.operations import Operation
from ..drawing.arrows import TRAVEL_HEAD, TRAVEL_WIDTH, OverlayCanvas, Point, draw_arrow, draw_hollow_arrow
from ..engine.camera import Camera
from ..engine.material_styles import STRONG
from ..engine.part_models import PartModels
from ..engine.stage import REFERENCE_WIDTH
from .tools_drawn import ToolDrawn

SHOWN_DEG = (38.0, 110.0)
"""Least and greatest angle that the arc of a pull is drawn over."""
HANDLE_SHARES = (0.96, 0.85, 0.72, 0.6, 0.48, 0.36, 0.28)
"""Radii tried for the arc, as shares of the tool's reach from its axis: the first that stays in the picture."""
SHORTER = 0.7
"""Each radius after those is so much of the one before."""
LEAST_POINTS = 20
"""Of the 60 points of an arc so many have to stay for it to be read."""
LEAST_RADIUS = 0.035
"""Least radius of an arc as a share of the picture's width."""
MARGIN = 0.02
PUSH = 0.1
"""Least length of the arrow of a push, as a share of the picture's width."""
ALONG = 0.7
"""Cosine above which a push runs along the tool's own axis."""
LOOSENS = frozenset({"loosen", "run off"})


def draw_tool_arrows(
    image: Image.Image,
    models: PartModels,
    tools: Iterable[ToolDrawn],
    operations: tuple[Operation, ...],
    camera: Camera,
    page_width: int,
) -> None:
    """Draw the arrow of each tool's pull or push over the picture."""
    overlay = OverlayCanvas(image)
    scale = page_width / REFERENCE_WIDTH
    width, head = TRAVEL_WIDTH * scale, TRAVEL_HEAD * scale
    for drawn in tools:
        if drawn.swings:
            points = swing_arc(models, drawn, camera)
        elif any(drawn.travel):
            points = push_line(models, drawn, camera)
        else:
            continue
        size = np.array(image.size)
        path: list[Point] = [(float(x), float(y)) for x, y in (points[:, :2] * size).tolist()]
        n = drawn.tool.operation
        if n < len(operations) and operations[n].verb in LOOSENS:
            draw_hollow_arrow(overlay, path, width, head, STRONG)
        else:
            draw_arrow(overlay, path, np.ones(len(path), dtype=bool), width, head, STRONG)


def swing_arc(models: PartModels, drawn: ToolDrawn, camera: Camera) -> Floats:
    """Return the arc (60, 3) in the picture along which the handle goes, from where it stands: as fractions, nearness.

    It is as far out on the handle as stays in the picture, and no shorter than can be read.
    """
    mesh = models.tools[drawn.key].mesh
    own = mesh.joined_points
    radius = np.hypot(own[:, 0], own[:, 1])
    tip = own[int(np.argmax(radius))]
    reach, begin = float(radius.max()), float(np.arctan2(tip[1], tip[0]))
    near = own[radius > 0.8 * reach]
    height = float(near[:, 2].max())
    swing = drawn.tool.swing_deg
    angle = np.sign(swing) * float(np.clip(abs(swing), *SHOWN_DEG))
    # Begin a little beside the handle, so that the arrow is not drawn along it.
    turn = np.radians(np.linspace(0.12, 1.0, 60) * angle)
    best = np.empty((0, 3))
    for r in arc_radii(reach, LEAST_RADIUS * camera.width_mm):
        ring = np.column_stack([r * np.cos(begin + turn), r * np.sin(begin + turn), np.full(60, height)])
        best = camera.project(drawn.place.points(ring))
        inside = np.abs(best[:, :2] - 0.5).max(axis=1) < 0.5 - MARGIN
        if inside.all():
            return best
    # At the picture's very border: as much of the least one as stays in it.
    count = int(np.argmin(inside))
    return best[:count] if count >= LEAST_POINTS else best


def arc_radii(reach: float, least: float) -> list[float]:
    """Return the radii tried for the arc of a handle of this reach, the greatest first, none below ``least``.

    >>> [round(r, 3) for r in arc_radii(100.0, 20.0)]
    [96.0, 85.0, 72.0, 60.0, 48.0, 36.0, 28.0, 20.0]
    """
    tried = [share * reach for share in HANDLE_SHARES]
    while tried[-1] > least:
        tried.append(tried[-1] * SHORTER)
    return [max(r, least) for r in tried[: next(n for n, r in enumerate(tried) if r <= least) + 1]]


def push_line(models: PartModels, drawn: ToolDrawn, camera: Camera) -> Floats:
    """Return the line (2, 3) in the picture along which a tool is pushed.

    Along its own axis it runs beyond the tool's outer end, to it or away from it; across, beside the tool at half its
    height.
    """
    way = np.array(drawn.travel)
    length = float(np.linalg.norm(way))
    along = way / length
    run = along * max(length, PUSH * camera.width_mm)
    contact, axis = np.array(drawn.place.shift), drawn.axis
    high = float(models.tools[drawn.key].mesh.box[1][2])
    facing = float(axis @ along)
    if facing < -ALONG:
        ends = np.stack([contact + axis * high - run, contact + axis * high])
    elif facing > ALONG:
        ends = np.stack([contact + axis * high, contact + axis * high + run])
    else:
        middle = contact + axis * high / 2.0
        ends = np.stack([middle - run / 2.0, middle + run / 2.0])
    return camera.project(ends)
