"""Tools that touch or lie on a surface: dial indicator, straightedge, depth gauge, caliper, and what a hand holds.

Each is set down where it is free, off its surface by less than anybody sees. Gauges have to find such a place; what a
hand bends or tilts as it needs (swab, brush, cloth, pick, air gun, lamp, strap) is drawn in the best place and never
said not to reach.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import manifold3d as m3
import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.closed_bodies import STILL
from ...geometry.surfaces import Surface
from ...geometry.tools.gauges import CLAMP_Z_MM, FOOT_MM, POST_RADIUS_MM
from ...geometry.tools.tool_measures import tool_measures
from ...geometry.tools.tool_solids import rounded_measures
from ..steps.operations import SurfaceOf, Tool
from .standing import Skin, Standing, ToolMeets, frame_at, placed, spread, square_to, tool_body

GAUGES: tuple[Tool, ...] = ("dial indicator", "straightedge", "depth gauge", "caliper")
"""Tools that have to stand exactly as said."""
IN_HAND: tuple[Tool, ...] = ("air gun", "brush", "cloth", "lamp", "oil stone", "swab")
"""Tools that go over one surface after the other."""
OFF_MM = 0.1
"""How far off its surface a tool is tried for room: what it touches is no obstacle then."""
SPOTS, WAYS = 12, 12
"""Places on a surface and ways about each that are tried."""
FOOT_AWAY_MM = (70.0, 95.0, 125.0, 160.0)
"""How far an indicator's foot may stand from its tip."""
FOOT_HELD = 0.6
"""Least share of a foot's length and width, and of the skin under it, that is flat and level."""
INDICATOR_SPOTS = 6
HAND_TRIES = 12
"""Poses tried of what a hand holds: it has its place in the picture with or without room."""
LEANS = (0.4, 0.8)
"""How far an indicator may lean to the front from square to the side of something, as a share: readings are compared,
not absolute."""
COVERED_MM = 3.0
"""Room that a spot has to have over it to be reached at all."""
ROUND_KINDS = ("journal", "pin", "thread", "flats", "hexagon", "groove")
"""Kinds of surface across which a caliper measures; elsewhere it measures how thick the part is."""
HOLLOW_KINDS = ("bore", "groove", "hole", "keyway", "notch", "pocket")
"""Kinds of surface that a hand reaches through a mouth."""
JAW_MM = 5.0
"""How far a caliper's jaws reach over what they measure."""

Named = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class LaidFound:
    """Where a tool stands; ``met`` is what it meets where it found no free place."""

    measures: Named = ()
    place: Place = STILL
    met: ToolMeets | None = None


def find_laid(standing: Standing, tool: Tool, at: SurfaceOf, other: SurfaceOf | None = None) -> LaidFound:
    """Return where a tool stands on a surface; ``other`` is the one a depth gauge reaches down from.

    Raises:
        NoSurface: if there is no such surface.
    """
    skin, surface = standing.skin(at), standing.surface(at)
    first: tuple[Named, Place] | None = None
    tried = _candidates(standing, tool, at, surface, skin, other)
    for measures, place in tried if tool in GAUGES else itertools.islice(tried, HAND_TRIES):
        named = rounded_measures(measures)
        first = first or (named, place)
        if standing.is_free(_off(tool, named, place)):
            return LaidFound(named, place)
    assert first is not None, "each tool has a place to be tried"
    met = standing.met(_off(tool, *first)) if tool in GAUGES else None
    return LaidFound(*first, met)


def _off(tool: Tool, named: Named, place: Place) -> m3.Manifold:
    way = place.direction((0.0, 0.0, OFF_MM))
    return placed(tool_body(tool, named).manifold, place.moved(*way))


def _candidates(
    standing: Standing,
    tool: Tool,
    at: SurfaceOf,
    surface: Surface | None,
    skin: Skin,
    other: SurfaceOf | None,
) -> Iterator[tuple[dict[str, float], Place]]:
    if tool == "dial indicator":
        yield from _indicator(standing, skin)
    elif tool == "straightedge":
        yield from _across(standing, tool, surface, skin)
    elif tool == "depth gauge":
        yield from _down(standing, at, skin, standing.skin(other) if other else None)
    elif tool == "caliper":
        yield from _round_about(standing, at, surface, skin)
    elif tool in ("flat plate", "lifting strap", "clamp"):
        yield _about_part(standing, tool, at, surface, skin)
    else:
        yield from _touching(standing, tool, surface, skin)


def _spots(standing: Standing, skin: Skin) -> Iterator[tuple[Floats, Floats]]:
    """Yield places with their normals, those that look towards the person and up first, spread over the surface."""
    front, up = np.array(standing.front), np.array(standing.assembly.up)
    liking = skin.normals @ front + 0.6 * (skin.normals @ up)
    away = np.linalg.norm(skin.points - skin.middle, axis=1)
    order = np.lexsort((np.round(away, 1), -np.round(liking, 1)))
    chosen = order[:: max(1, len(order) // (3 * SPOTS))]
    # What lies in a hole or against another part is out of reach.
    open_ones = [n for n in chosen if not _covered(standing, skin.points[n], skin.normals[n])]
    for n in (open_ones or list(chosen))[:: max(1, len(open_ones) // SPOTS)][:SPOTS]:
        yield skin.points[n], skin.normals[n]


def _covered(standing: Standing, point: Floats, normal: Floats) -> bool:
    low, high = point - COVERED_MM, point + COVERED_MM
    return bool(standing.ray(point + 0.02 * normal, normal, standing.near((low, high)), COVERED_MM))


def _touching(
    standing: Standing, tool: Tool, surface: Surface | None, skin: Skin
) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield a tool that a hand holds to a spot, straight off it first, then leaning to the front and along the axis."""
    front, up = np.array(standing.front), np.array(standing.assembly.up)
    measures = tool_measures(tool, surface)
    axis, hollow = np.array(skin.axis), surface is not None and surface.kind in HOLLOW_KINDS
    for point, normal in _spots(standing, skin):
        ways = (normal, normal + front, normal + axis, front + 0.2 * normal)
        # Out of a hollow a tool comes the way its mouth looks, whatever is in its way there.
        for way in (axis + 0.3 * normal, axis + normal, *ways) if hollow else ways:
            if np.linalg.norm(way) > 0.3 and float(way @ normal) > -0.05:
                yield measures, frame_at(point, way, up + 0.5 * front)


def _indicator(standing: Standing, skin: Skin) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield an indicator square on its surface, its foot on something flat if there is such a place."""
    front, up = standing.assembly.front, standing.assembly.up
    loose = []
    for point, normal in itertools.islice(_spots(standing, skin), INDICATOR_SPOTS):
        along = 0 if abs(float(normal @ np.array(front))) > 0.5 else 1
        # Own +Y, up from the foot, looks to the front where the tip bears on the side of a shaft.
        x = square_to(normal, (up,)) if along == 0 else np.cross(np.array(front), normal)
        seat = frame_at(point, normal, x)
        ground = _ground(standing, seat, along)
        for away, n in itertools.product(FOOT_AWAY_MM, range(WAYS)):
            a = math.tau * n / WAYS
            flat = (away * math.cos(a), away * math.sin(a))
            height = _flat_under(ground, flat)
            if height is None:
                continue
            foot = (flat[0], flat[1], height) if along == 0 else (flat[0], height, flat[1])
            # The solid takes long to make: a stand of blocks says first whether it is worth it.
            if standing.is_free(placed(_rough_stand(foot, along), seat)):
                yield tool_measures("dial indicator", foot=foot, foot_along=along), seat
        for lean in LEANS if along else ():
            way = normal + lean * np.array(front)
            leaning = frame_at(point, way, np.cross(np.array(front), way))
            rest = (FOOT_AWAY_MM[-1], -60.0, 0.0)
            loose.append((tool_measures("dial indicator", foot=rest, foot_along=along), leaning))
        rest = (FOOT_AWAY_MM[-1], 0.0, -60.0) if along == 0 else (FOOT_AWAY_MM[-1], -60.0, 0.0)
        loose.append((tool_measures("dial indicator", foot=rest, foot_along=along), seat))
    yield from loose


def _rough_stand(foot: Vec3, along: int) -> m3.Manifold:
    """Return foot and post of a stand as blocks, and plunger and stem as a rod, a hair off what they stand on."""
    wide, long, high = FOOT_MM
    size, at = ((wide, long, high), 2) if along == 0 else ((wide, high, long), 1)
    middle = [foot[0], foot[1], foot[2]]
    middle[at] += high / 2 + OFF_MM
    box = m3.Manifold.cube(size, True).translate(tuple(middle))
    rise = max(0.0, (CLAMP_Z_MM if along == 0 else 0.0) - foot[at])
    sides = [2 * POST_RADIUS_MM] * 3
    sides[at] = max(rise, high)
    middle[at] = foot[at] + sides[at] / 2 + OFF_MM
    post = m3.Manifold.cube(tuple(sides), True).translate(tuple(middle))
    rod = m3.Manifold.cylinder(CLAMP_Z_MM, 1.0, 4.0, 12).translate((0.0, 0.0, OFF_MM))
    return m3.Manifold.compose([box, post]) + rod


def _ground(standing: Standing, seat: Place, along: int) -> Floats:
    """Return points of all skins that look up from the foot, own frame of the tool: two across, height, (n, 3)."""
    back, found = seat.inverse(), []
    for key in standing.keys:
        place = back @ standing.place(key)
        points, normals = spread(standing.bodies.own(key))
        looks = normals @ np.array(place.rotation).T
        level = looks[:, 2 if along == 0 else 1] > 0.99
        found.append(place.points(points[level]))
    own = np.concatenate(found)
    return own if along == 0 else own[:, [0, 2, 1]]


def _flat_under(ground: Floats, flat: tuple[float, float]) -> float | None:
    """Return at which height a foot finds flat metal under it; None where it does not."""
    wide, long, _ = FOOT_MM
    off = np.abs(ground[:, :2] - np.array(flat))
    under = ground[(off[:, 0] <= wide / 2) & (off[:, 1] <= long / 2)]
    if len(under) < 8:
        return None
    top = float(under[:, 2].max())
    held = under[under[:, 2] > top - 0.2]
    spans = np.ptp(held[:, :2], axis=0)
    wide_enough = bool(spans[0] > FOOT_HELD * wide and spans[1] > FOOT_HELD * long)
    return round(top, 3) if wide_enough and len(held) > FOOT_HELD * len(under) and abs(top) < 250.0 else None


def _plane(skin: Skin, standing: Standing) -> list[Floats]:
    """Return ways in the plane square to a surface's direction, level ones first."""
    axis = np.array(skin.axis)
    level = np.cross(np.array(standing.assembly.up), axis)
    zero = level / np.linalg.norm(level) if np.linalg.norm(level) > 0.1 else square_to(axis, ())
    side = np.cross(axis, zero)
    angles = [math.pi * n / WAYS for n in (0, 6, 1, 11, 2, 10, 3, 9, 4, 8, 5, 7)]
    return [math.cos(a) * zero + math.sin(a) * side for a in angles]


def _across(
    standing: Standing, tool: Tool, surface: Surface | None, skin: Skin
) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield a straightedge across a face, through its middle first, then beside it."""
    axis = np.array(skin.axis)
    top = float((skin.points @ axis).max())
    for share in (0.0, 0.25, -0.25, 0.4, -0.4):
        for way in _plane(skin, standing):
            side = np.cross(axis, way)
            off = (skin.points - skin.middle) @ side
            shift = share * float(np.ptp(off))
            strip = skin.points[np.abs(off - shift) < max(3.0, 0.02 * float(np.ptp(off)))]
            if len(strip) < 2:
                continue
            along = strip @ way
            low, high = float(along.min()), float(along.max())
            centre = skin.middle + side * shift
            centre = (
                centre + way * ((low + high) / 2 - float(centre @ way)) + axis * (top - float(centre @ axis))
            )
            yield tool_measures(tool, surface, width_mm=high - low), frame_at(centre, axis, way)


def _down(
    standing: Standing, at: SurfaceOf, skin: Skin, reference: Skin | None
) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield a depth gauge with its rod on a surface, its bridge on the reference or on the front of the part."""
    axis = np.array(skin.axis)
    base = reference.points if reference else standing.skin(SurfaceOf(at.part)).points
    top = float((base @ axis).max()) if reference is None else float(np.median(base @ axis))
    for point, _ in _spots(standing, skin):
        depth = max(0.0, top - float(point @ axis))
        for way in _plane(skin, standing):
            wide = 2.0 * min(60.0, max(20.0, float(np.abs((base - point) @ way).min()) + 20.0))
            yield (
                tool_measures("depth gauge", width_mm=wide, depth_mm=depth),
                frame_at(point + axis * depth, axis, way),
            )


def _round_about(
    standing: Standing, at: SurfaceOf, surface: Surface | None, skin: Skin
) -> Iterator[tuple[dict[str, float], Place]]:
    """Yield a caliper across a diameter, or over the thickness of the part under a face."""
    axis, up = np.array(skin.axis), np.array(standing.assembly.up)
    ways = [w for v in _plane(skin, standing) for w in (v, -v)]
    ways.sort(key=lambda w: -round(float(w @ up), 3))
    if surface is not None and surface.kind in ROUND_KINDS:
        flat = (skin.points - np.array(skin.origin)) @ axis
        centre = np.array(skin.origin) + axis * float(np.median(flat))
        radial = skin.points - centre - ((skin.points - centre) @ axis)[:, None] * axis
        radius = float(np.linalg.norm(radial, axis=1).max())
        for way in ways:
            measures = tool_measures("caliper", gap_mm=2 * radius + OFF_MM, depth_mm=radius + JAW_MM)
            yield measures, frame_at(centre + way * radius, way, np.cross(axis, way))
        return
    hits = standing.ray(skin.middle + axis * 500.0, -axis, [at.part], 1000.0)
    heights = standing.skin(SurfaceOf(at.part)).points @ axis
    thick = float(np.ptp(heights)) if not hits else max(float(np.ptp(heights)), 0.5)
    top = float(heights.max())
    for way in ways:
        rim = skin.points[int((skin.points @ way).argmax())]
        origin = rim + axis * (top - thick / 2 - float(rim @ axis))
        yield tool_measures("caliper", gap_mm=thick + OFF_MM, depth_mm=JAW_MM), frame_at(origin, way, axis)


def _about_part(
    standing: Standing, tool: Tool, at: SurfaceOf, surface: Surface | None, skin: Skin
) -> tuple[dict[str, float], Place]:
    """Return a plate under a part, a strap round it, or a clamp over it."""
    low, high = standing.box(at.part)
    up, whole = np.array(standing.assembly.up), standing.skin(SurfaceOf(at.part)).points
    if tool == "lifting strap":
        x = square_to(up, ((1.0, 0.0, 0.0),))
        middle = (low + high) / 2
        top, width = float((whole @ up).max()), float(np.ptp(whole @ x))
        origin = middle + up * (top - float(middle @ up))
        measures = tool_measures(tool, width_mm=width, depth_mm=float(np.ptp(whole @ up)))
        return measures, frame_at(origin, up, x)
    axis = np.array(skin.axis)
    top = float((whole @ axis).max())
    side = square_to(axis, (standing.assembly.up,))
    centre: Vec3 | Floats = skin.middle + axis * (top - float(skin.middle @ axis))
    if tool == "flat plate":
        flat = whole - (whole @ axis)[:, None] * axis
        return tool_measures(tool, width_mm=float(np.ptp(flat, axis=0).max())), frame_at(centre, axis, side)
    return tool_measures(tool, gap_mm=float(np.ptp(whole @ axis))), frame_at(centre, axis, side)
