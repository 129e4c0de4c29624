"""Wrenches in their place: whether a socket or a key goes on, and whether there is room to swing.

The socket is slid on along the axis of what it turns, exactly; the arm is swung in steps of a ratchet, each whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import manifold3d as m3
import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.closed_bodies import STILL, Body, Box, box_of
from ...geometry.meshes.sweeps import swept
from ...geometry.surfaces import Surface
from ...geometry.tools.tool_measures import (
    EXTENSIONS_MM,
    KEY_LENGTHS_MM,
    KEY_SHARE,
    SOCKET_OVER_MM,
    tool_measures,
)
from ...geometry.tools.tool_solids import rounded_measures
from ...geometry.tools.turning_tools import JAW_RADIUS, head_radius, head_span, socket_radius
from ..steps.operations import SurfaceOf, Tool
from .standing import NoSurface, Skin, Standing, ToolMeets, frame_at, placed, square_to, tool_body

RATCHET_DEG = 15.0
"""Angle from which to which an arm is tried: a hexagon can be taken every 60 degrees, its wrench turned over every 30,
a ratchet of 24 teeth steps by 15."""
SWING_DEG = 2 * RATCHET_DEG
"""Least room to swing that counts as enough. A judgement: two clicks of such a ratchet, and the pull at the end."""
RIM_MM = 0.3
"""How far a socket's rim stays off what lies under the hexagon."""
WRENCHES: tuple[str, ...] = ("torque wrench", "hexagon key socket", "socket wrench", "open wrench")
FITTING, FITTING_MM = 1.35, 6.0
"""Width across flats of the fitting in a threaded connection, in sizes of the thread, and how far off the mouth the
wrench goes round it: the fitting is nobody's part here."""


@dataclass(frozen=True)
class WrenchFound:
    """Where a wrench stands, with its swing; or what keeps it from its work."""

    measures: tuple[tuple[str, float], ...] = ()
    place: Place = STILL
    swing_deg: float = 0.0
    met: ToolMeets | None = None
    """What the socket meets on its way on, where it does."""
    part: str = ""
    """What of the parts stands most in the arm's way, where it has no room."""
    room_deg: float = 0.0
    """Widest angle that the arm has, where that is too little."""
    on: bool = False
    """Whether the socket goes on."""


def find_wrench(standing: Standing, tool: Tool, at: SurfaceOf, sense: float) -> WrenchFound:
    """Return where a wrench stands on a hexagon or in a screw's socket; ``sense`` is +1 right-handed about the way off.

    Extensions (or longer keys) are tried from the shortest. Of free arms the one that points up and outwards is taken.

    Raises:
        NoSurface: if there is nothing to turn.
    """
    surface, skin = standing.surface(at), standing.skin(at)
    if surface is not None and surface.kind == "hole":
        tool = "open wrench"
    if surface is None or surface.kind not in ("hexagon", "socket", "flats", "hole"):
        raise NoSurface(f"{at.part}: {at.surface} is nothing that a wrench turns")
    best = WrenchFound()
    for measures, seat in _candidates(standing, tool, at, surface, skin):
        found = _tried(standing, tool, measures, seat, sense)
        if found.swing_deg:
            return found
        if found.on or not best.on:
            best = found if found.on >= best.on and (found.on or best.met is None) else best
    return best


def _candidates(
    standing: Standing, tool: Tool, at: SurfaceOf, surface: Surface, skin: Skin
) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield measures and seat (a corner along the tool's +X), the shortest wrench first."""
    axis, origin = np.array(skin.axis), np.array(skin.origin)
    low, high = surface.along_mm
    corner = _corner(skin, axis, origin)
    if surface.kind == "hole":
        across = tool_measures("open wrench", replace(surface, size_mm=FITTING * surface.size_mm))
        yield across, frame_at(origin + axis * FITTING_MM, axis, corner)
    elif tool == "open wrench":
        yield tool_measures(tool, surface), frame_at(origin + axis * low, axis, corner)
    elif surface.kind == "socket":
        depth = KEY_SHARE * (high - low)
        seat = frame_at(origin + axis * (high - depth), axis, corner)
        for clear in KEY_LENGTHS_MM:
            yield tool_measures(tool, surface, depth_mm=depth, extension_mm=clear), seat
    else:
        rim = low + RIM_MM
        seat = frame_at(origin + axis * rim, axis, corner)
        depth = max(high, _stands_up(standing, skin, surface.size_mm / 2)) - rim + SOCKET_OVER_MM
        for extension in EXTENSIONS_MM:
            yield tool_measures(tool, surface, depth_mm=depth, extension_mm=extension), seat


def _corner(skin: Skin, axis: Floats, origin: Floats) -> Floats:
    """Return the way to a corner of a hexagon: its points farthest from the axis."""
    flat = skin.points - origin
    flat = flat - (flat @ axis)[:, None] * axis
    radius = np.linalg.norm(flat, axis=1)
    zero = square_to(axis, ())
    side = np.cross(axis, zero)
    far = radius > radius.max() * 0.985
    # Sixfold, so that all corners say the same.
    turns = np.exp(6j * np.arctan2(flat[far] @ side, flat[far] @ zero)).mean()
    # Hexagons are drawn with a corner or a flat along an axis of their part: spread points say it to a degree or so.
    angle = math.radians(round(math.degrees(float(np.angle(turns)) / 6) * 2) / 2)
    corner: Floats = math.cos(angle) * zero + math.sin(angle) * side
    return corner


def _stands_up(standing: Standing, skin: Skin, within_mm: float) -> float:
    """Return how high over the surface's origin anything stands up inside the hexagon, mm."""
    axis, origin = np.array(skin.axis), np.array(skin.origin)
    seat = frame_at(origin, axis, square_to(axis, ()))
    column = placed(m3.Manifold.cylinder(400.0, within_mm, within_mm, 48), seat)
    top = 0.0
    for key in standing.near(box_of(column)):
        inside = column ^ standing.manifold(key)
        if not inside.is_empty():
            points = Body.of_manifold(inside).points
            top = max(top, float(((points - origin) @ axis).max()))
    return top


def _tried(
    standing: Standing, tool: Tool, measures: dict[str, float], seat: Place, sense: float
) -> WrenchFound:
    """Return what comes of one wrench on one seat."""
    named = rounded_measures(measures)
    head, arm = _head_and_arm(tool, named)
    out = seat.direction((0.0, 0.0, 1.0))
    beyond = max(
        0.0, max(_highest(standing.box(k), out) for k in standing.keys) - float(np.dot(seat.shift, out))
    )
    # An open wrench is put on from the side, between the swings that its arm is tried for.
    way = head.manifold if tool == "open wrench" else swept(head, (0.0, 0.0, beyond))
    met = standing.met(placed(way, seat))
    if met is not None:
        return WrenchFound(named, seat, met=met)
    free = _free_steps(standing, arm, seat)
    steps = round(SWING_DEG / RATCHET_DEG)
    starts = [n for n in range(_STEPS) if all(free[(n + k) % _STEPS] for k in range(steps))]
    if not starts:
        return WrenchFound(
            named, seat, part=_in_the_way(standing, arm, seat), room_deg=RATCHET_DEG * _longest(free), on=True
        )
    chosen = max(starts, key=lambda n: _liking(standing, seat, (n + steps / 2) * RATCHET_DEG))
    first = chosen * RATCHET_DEG if sense > 0 else (chosen + steps) * RATCHET_DEG
    return WrenchFound(named, seat @ Place.turn(first), math.copysign(SWING_DEG, sense), on=True)


def _free_steps(standing: Standing, arm: m3.Manifold, seat: Place) -> list[bool]:
    """Return in which steps round the axis the arm meets nothing, (24,)."""
    low, high = box_of(arm)
    reach = 1.01 * float(np.hypot(high[0], max(abs(low[1]), abs(high[1]))))
    disc = m3.Manifold.cylinder(float(high[2] - low[2]), reach, reach, 48).translate(
        (0.0, 0.0, float(low[2]))
    )
    near = standing.pieces(placed(disc, seat))
    return [
        not near or standing.clear_of(placed(_swung(arm, n * RATCHET_DEG), seat), near) for n in range(_STEPS)
    ]


def _in_the_way(standing: Standing, arm: m3.Manifold, seat: Place) -> str:
    """Return the part that shares most with the arm all round."""
    shared: dict[str, float] = {}
    for n in range(_STEPS):
        pose = placed(arm.rotate((0.0, 0.0, n * RATCHET_DEG)), seat)
        for key in standing.near(box_of(pose)):
            shared[key] = shared.get(key, 0.0) + float((pose ^ standing.manifold(key)).volume())
    return max(shared, key=lambda k: round(shared[k], 3)) if shared else ""


def _highest(box: Box, along: Vec3) -> float:
    return float(sum(max(low * a, high * a) for low, high, a in zip(*box, along, strict=True)))


_STEPS = round(360 / RATCHET_DEG)


@lru_cache(maxsize=64)
def _head_and_arm(tool: Tool, named: tuple[tuple[str, float], ...]) -> tuple[Body, m3.Manifold]:
    """Return what of a wrench is round about its axis, and the convex hull of the rest, its arm."""
    measures, body = dict(named), tool_body(tool, named).manifold
    if tool == "open wrench":
        radius = stem = JAW_RADIUS * measures["across"]
    else:
        radius, stem = (
            head_radius(measures),
            max(head_radius(measures), socket_radius(measures.get("socket", 0.0))),
        )
    inside = m3.Manifold.cylinder(2 * _FAR_MM, radius + 0.1, radius + 0.1, 96, True)
    if stem > radius:
        # Of a socket wider than the head: down to where the arm begins.
        low = head_span(measures)[0] - 0.1
        inside += m3.Manifold.cylinder(low + 1.0, stem + 0.1, stem + 0.1, 96).translate((0.0, 0.0, -1.0))
    return Body.of_manifold(body ^ inside, tool), (body - inside).hull()


_FAR_MM = 2000.0
"""Beyond any tool."""


def _swung(arm: m3.Manifold, from_deg: float) -> m3.Manifold:
    """Return a hull of what an arm sweeps over one step of the ratchet.

    Drawn out along its length by what the chord falls short of the arc.
    """
    longer = 1 / math.cos(math.radians(RATCHET_DEG / 4))
    points = Body.of_manifold(arm).points * (longer, longer, 1.0)
    turned = [
        points @ np.array(Place.turn(from_deg + share * RATCHET_DEG).rotation).T for share in (0.0, 0.5, 1.0)
    ]
    return m3.Manifold.hull_points(np.concatenate(turned))


def _longest(free: list[bool]) -> int:
    best = run = 0
    for step in (*free, *free):
        run = run + 1 if step else 0
        best = max(best, run)
    return min(best, len(free))


def _liking(standing: Standing, seat: Place, angle_deg: float) -> float:
    """Return how well an arm points up and outwards, to choose among free ones; ties fall to the first."""
    a = math.radians(angle_deg)
    way = np.array(seat.direction((math.cos(a), math.sin(a), 0.0)))
    up = np.array(standing.assembly.up)
    out = np.array(seat.shift) - standing.middle
    length = float(np.linalg.norm(out))
    return round(float(way @ up) + (0.6 * float(way @ out) / length if length > 1e-6 else 0.0), 6)


def sense_about(way_off: Vec3, tighten: bool, turn_deg: float | None, into: bool) -> float:
    """Return the sense in which a wrench turns about the way off: +1 right-handed.

    A move of the plan that turns the part says how its thread runs (``turn_deg`` about +Z of the head); without one it
    is taken for a right-hand thread, which a turn clockwise as seen by the person closes.

    >>> sense_about((0.0, 0.0, 1.0), True, -720.0, True), sense_about((0.0, 0.0, 1.0), False, -720.0, True)
    (-1.0, 1.0)
    """
    closes = -1.0
    if turn_deg and abs(way_off[2]) > 0.5:
        about_z = math.copysign(1.0, turn_deg) * (1.0 if into else -1.0)
        closes = about_z * math.copysign(1.0, way_off[2])
    return closes if tighten else -closes
