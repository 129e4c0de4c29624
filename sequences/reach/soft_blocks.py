"""A soft block in its place: between what turns and what stands still, where it holds against the sense of a nut.

Looked at in sections square to the shaft's axis, where rotors and bores are outlines: the block is a rectangle that
stands square on the part that turns and reaches across to the part that stands. It holds where the force with which it
bears turns that part back; it does not where it would bear on a thin edge. Its other end may bear by a corner: a bore
is hollow, and soft stuff gives way there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import shapely
from shapely import affinity

from ...geometry.frame import Floats, Place, Vec3, Z
from ...geometry.tools.tool_measures import BLOCK_MM, tool_measures
from ...geometry.tools.tool_solids import rounded_measures
from ..steps.operations import SurfaceOf
from .standing import BetweenFound, Skin, Standing, ToolMeets, frame_at, placed, tool_body
from .tool_places import ReachFault

CRUSH_MM = 1.0
"""How far a block of soft wood or plastic gives way where it bears. A judgement, as are the next ones."""
LEAST_BEARING = 0.3
"""Least share of its width on which a block has to bear, once it has given way."""
THIN_EDGE_MM = 3.0
"""Metal behind the place where it bears that is thinner is an edge, which a block would dent or break."""
LEAST_LEVER = 0.35
"""Least arm of the block's force about the axis, as a share of its distance: with less it would be wedged out."""
LEAST_SQUARE = 0.6
"""Least cosine of the angle at which the block meets what stands still: about what friction holds of wood on steel."""
DEPTH_SHARE, DEPTHS_MM = 0.5, (8.0, 40.0)
"""How deep a block goes in, as a share of the turning part's length, and the least and most of it."""
GAPS_MM = (4.0, 120.0)
WIDTHS_MM = (BLOCK_MM[0], 0.6 * BLOCK_MM[0], BLOCK_MM[1])
MOST_TRIES = 12
"""Blocks that are tried whole, the best first."""
SPOTS = 90
"""Places on the turning part that are tried, spread over those that its surface has."""
Outline: TypeAlias = Any
"""A plane area, mm: shapely's, which has no types."""


@dataclass(frozen=True)
class _Sections:
    """Outlines of all parts at the block's depth, in a plane square to the axis."""

    frame: Place
    outlines: Mapping[str, Outline]
    top: float
    depth: float


@dataclass(frozen=True)
class _Tried:
    fault: ReachFault | None
    liking: float
    width: float = 0.0
    low: float = 0.0
    high: float = 0.0
    met: str = ""
    millimetres: float = 0.0


def find_block(standing: Standing, between: tuple[SurfaceOf, ...], sense: float) -> BetweenFound:
    """Return where a block stands between two surfaces.

    ``sense`` is the way in which a wrench would turn the part that turns, +1 right-handed about the axis of its group;
    0 where nothing turns it.

    Raises:
        NoSurface: if there is no such surface.
    """
    turned, still = _turning_first(standing, between)
    skin, other = standing.skin(turned), standing.skin(still)
    sections = _sections(standing, turned.part, skin)
    best = _Tried("does not reach", -math.inf)
    chosen: tuple[Floats, Floats] | None = None
    good: list[tuple[_Tried, Floats, Floats]] = []
    for spot, normal in _spots(skin, sections, sense):
        facing = _facing(sections, turned.part, still.part, spot, normal)
        if facing is None:
            continue
        for width in WIDTHS_MM:
            tried = _try(facing, turned.part, still.part, spot, width)
            if tried is None:
                continue
            if tried.fault is None and not _on(sections, other, spot, normal, tried):
                continue
            if tried.fault is None:
                good.append((tried, spot, normal))
            if (tried.fault is None, tried.liking) > (best.fault is None, best.liking):
                best, chosen = tried, (spot, normal)
    if chosen is None:
        # No place where the block's force would turn the part back is no hold at all.
        held = any(True for _ in _spots(skin, sections, sense))
        return BetweenFound(fault="does not reach" if held else "does not hold")
    # Sections do not show all: the best that is clear over its whole depth.
    for tried, at, way in sorted(good, key=lambda g: -g[0].liking)[:MOST_TRIES]:
        place, measures = _block(sections, at, way, tried)
        if standing.met(placed(tool_body("soft block", measures).manifold, place)) is None:
            return BetweenFound(measures, place)
    spot, normal = chosen
    place, measures = _block(sections, spot, normal, best)
    if best.fault is not None:
        met = ToolMeets(best.met, 0.0) if best.met else None
        return BetweenFound(measures, place, best.fault, met, round(best.millimetres, 3))
    met = standing.met(placed(tool_body("soft block", measures).manifold, place))
    return BetweenFound(measures, place, "meets" if met else None, met)


def _turning_first(standing: Standing, between: tuple[SurfaceOf, ...]) -> tuple[SurfaceOf, SurfaceOf]:
    one, two = between
    turning = {k for group in standing.assembly.turning for k in group.parts}
    return (two, one) if two.part in turning and one.part not in turning else (one, two)


def _sections(standing: Standing, part: str, skin: Skin) -> _Sections:
    """Return the outlines at the block's depth, measured from the front end of the turning part's surface."""
    axis, about = _axis(standing, part)
    front = np.array(standing.assembly.front, float)
    out = np.array(axis) * (1.0 if np.array(axis) @ front >= 0 else -1.0)
    frame = frame_at(about, out, standing.assembly.up)
    back = frame.inverse()
    heights = back.points(skin.points)[:, 2]
    top, length = float(heights.max()), float(np.ptp(heights))
    depth = min(max(DEPTH_SHARE * length, DEPTHS_MM[0]), DEPTHS_MM[1], max(length, DEPTHS_MM[0]))
    outlines = {}
    for key in standing.keys:
        body = placed(standing.manifold(key), back)
        cuts = [
            _outline(body.slice(top - share * depth).to_polygons()) for share in (0.02, 0.15, 0.5, 0.9, 0.99)
        ]
        whole = shapely.union_all([c for c in cuts if not c.is_empty])
        if not whole.is_empty:
            outlines[key] = whole
    return _Sections(frame, outlines, top, depth)


def _axis(standing: Standing, part: str) -> tuple[Vec3, Vec3]:
    try:
        group = standing.assembly.turning_group(part)
    except KeyError:
        return Z, standing.place(part).shift
    return group.axis, group.about


def _outline(rings: list[Floats]) -> Outline:
    """Return the area of a section: its rings run left about metal, right about holes."""
    shapes = [shapely.Polygon(r) for r in rings if len(r) > 2]
    metal = [s for s in shapes if shapely.is_ccw(s.exterior)]
    holes = [s for s in shapes if not shapely.is_ccw(s.exterior)]
    whole: Outline = shapely.union_all(metal)
    return whole.difference(shapely.union_all(holes)) if holes else whole


def _spots(skin: Skin, sections: _Sections, sense: float) -> Iterator[tuple[Floats, Floats]]:
    """Yield places on the turning part, with the way out of its metal, from which a block turns it back."""
    back = sections.frame.inverse()
    points, normals = back.points(skin.points), skin.normals @ np.array(back.rotation).T
    # The group's own axis may look back.
    height = points[:, 2] - sections.top
    wall = (np.abs(normals[:, 2]) < 0.3) & (height > -sections.depth) & (height <= 0)
    spots, ways = points[wall][:, :2], normals[wall][:, :2]
    ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    arm = spots[:, 0] * ways[:, 1] - spots[:, 1] * ways[:, 0]
    holds = arm * sense > 0 if sense else np.ones(len(arm), bool)
    holds &= np.abs(arm) >= (LEAST_LEVER * np.linalg.norm(spots, axis=1) if sense else 0.0)
    spots, ways = spots[holds], ways[holds]
    if not len(spots):
        return
    order = np.argsort(np.arctan2(spots[:, 1], spots[:, 0]), kind="stable")
    for n in order[:: max(1, len(order) // SPOTS)]:
        yield spots[n], ways[n]


@dataclass(frozen=True)
class _Facing:
    """Outlines as seen from a spot on the turning part, and how far across its surface what stands still is, mm."""

    outlines: Mapping[str, Outline]
    gap: float


def _facing(sections: _Sections, turned: str, still: str, spot: Floats, normal: Floats) -> _Facing | None:
    """Return what lies across from a spot; None where what stands still is not the first."""
    if still not in sections.outlines:
        return None
    local = {k: _local(o, spot, normal) for k, o in sections.outlines.items()}
    across = shapely.LineString([(0.05, 0.0), (GAPS_MM[1], 0.0)])
    first = {
        k: b[0]
        for k, o in local.items()
        if not (cut := o.intersection(across)).is_empty and (b := cut.bounds)
    }
    if still not in first or first.get(turned, math.inf) < first[still]:
        return None
    return _Facing(local, first[still])


def _try(facing: _Facing, turned: str, still: str, spot: Floats, width: float) -> _Tried | None:
    """Return what comes of a block of ``width`` on one spot; None where there is no room for one."""
    local, gap = facing.outlines, facing.gap
    mine, its = local[turned], local[still]
    half = width / 2
    before, behind = shapely.box(-10.0, -half, gap / 2, half), shapely.box(gap / 2, -half, gap + 10.0, half)
    low, high = mine.intersection(before).bounds[2], its.intersection(behind).bounds[0]
    if not GAPS_MM[0] <= high - low:
        return None
    room = shapely.box(low + 0.02, -half, high - 0.02, half)
    stops = [k for k, o in local.items() if k not in (turned, still) and o.intersection(room).area > 0.05]
    radius = float(np.linalg.norm(spot))
    if stops or mine.intersection(room).area > 0.05 or its.intersection(room).area > 0.05:
        return _Tried("does not reach", -radius, width, low, high, stops[0] if stops else "", high - low)
    borne = mine.intersection(shapely.box(low - CRUSH_MM, -half, low, half))
    on_still = its.intersection(shapely.box(high, -half, high + CRUSH_MM, half))
    bearing, other = borne.area / CRUSH_MM, on_still.area / CRUSH_MM
    behind_it = mine.intersection(
        shapely.LineString([(low - CRUSH_MM / 2, borne.centroid.y), (low - 200.0, borne.centroid.y)])
    )
    thick = _first_run(behind_it)
    liking = (bearing + other) / width - radius / 200.0 + width / 200.0
    if thick < THIN_EDGE_MM:
        return _Tried("does not hold", liking, width, low, high, millimetres=thick)
    if bearing < LEAST_BEARING * width:
        return _Tried("does not hold", liking, width, low, high, millimetres=bearing)
    return _Tried(None, liking, width, low, high)


def _local(outline: Outline, spot: Floats, normal: Floats) -> Outline:
    """Return an outline with the spot as its origin and the way out of the metal along +X."""
    c, s = float(normal[0]), float(normal[1])
    x, y = float(spot[0]), float(spot[1])
    moved: Outline = affinity.affine_transform(outline, [c, s, -s, c, -c * x - s * y, s * x - c * y])
    return moved


def _first_run(line: Outline) -> float:
    """Return how long the first stretch of a line is that runs towards -X."""
    runs = [g for g in getattr(line, "geoms", [line]) if not g.is_empty]
    return max(runs, key=lambda g: g.bounds[2]).length if runs else 0.0


def _on(sections: _Sections, other: Skin, spot: Floats, normal: Floats, tried: _Tried) -> bool:
    """Return whether the block's far end meets the other surface, squarely enough not to slip along it."""
    back = sections.frame.inverse()
    points, normals = back.points(other.points), other.normals @ np.array(back.rotation).T
    height = points[:, 2] - sections.top
    inside = (height > -sections.depth - 2.0) & (height < 2.0) & (np.abs(normals[:, 2]) < 0.5)
    if not inside.any():
        return False
    flat, looks = points[inside][:, :2], normals[inside][:, :2]
    end = spot + normal * tried.high
    off = np.linalg.norm(flat - end, axis=1)
    near = int(off.argmin())
    return bool(off[near] <= tried.width / 2 + 4.0 and -float(looks[near] @ normal) >= LEAST_SQUARE)


def _block(
    sections: _Sections, spot: Floats, normal: Floats, tried: _Tried
) -> tuple[Place, tuple[tuple[str, float], ...]]:
    at = spot + normal * tried.low
    origin = sections.frame.point((float(at[0]), float(at[1]), sections.top))
    along = sections.frame.direction((float(normal[0]), float(normal[1]), 0.0))
    measures = tool_measures(
        "soft block", gap_mm=max(tried.high - tried.low, 1.0), width_mm=tried.width, depth_mm=sections.depth
    )
    return frame_at(origin, sections.frame.direction(Z), along), rounded_measures(measures)
