"""A feeler blade in its place: whether it enters where it measures, straight and without meeting anything.

Between parts that move against each other there has to be a gap for the thinnest blade. A joint of parts that stand
still is tried from outside: that a blade does not enter is what is looked for there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import manifold3d as m3
import numpy as np

from ...geometry.frame import Floats, Place
from ...geometry.meshes.closed_bodies import Bodies, box_of
from ...geometry.tools.gauges import BLADE_LENGTH_MM
from ...geometry.tools.tool_measures import BLADE_WIDTHS_MM, LEAST_BLADE_MM, tool_measures
from ...geometry.tools.tool_solids import rounded_measures
from ..steps.operations import SurfaceOf
from .standing import BetweenFound, Skin, Standing, ToolMeets, frame_at, placed, square_to, tool_body

ENTERS_MM = 5.0
"""How far a blade has to enter to measure."""
JOINT_MM = 0.02
"""A gap up to this is a joint: what meshes and bearing faces are off by."""
STRIP_MM = 1.0
"""Width of the middle of a blade that is tried: the thinnest blade bends to a hollow joint across its width."""
IN_METAL_MM2 = 0.5
"""Area of it that may be in metal: the corners of facets."""
WIDEST_GAP_MM = 20.0
MOST_TRIES = 60
"""Poses that are tried at most: a place that takes a blade does so among the first."""
BENT_MM = 12.0
"""Tip of a bent blade."""
PAST_MM = 3.0
"""A place farther than this from all spread points of a face lies past its rim."""
SPOTS, WAYS = 8, 12
"""Places that are tried, narrowest first, and ways out of each, in its plane."""
LEAN_DEG = 30.0
"""Between faces that look the same way, a blade under a straightedge leans by this."""


@dataclass(frozen=True)
class _Spot:
    point: Floats
    normal: Floats
    gap: float
    beside: bool = False
    """Whether it lies between two faces that look the same way, under a straightedge."""


_found: WeakKeyDictionary[Bodies, dict[Hashable, BetweenFound]] = WeakKeyDictionary()
"""What was found on the bodies of an assembly, by what stands where: plans try the same gaps."""


def find_blade(standing: Standing, between: tuple[SurfaceOf, ...]) -> BetweenFound:
    """Return where a feeler blade enters between two surfaces.

    Raises:
        NoSurface: if there is no such surface.
    """
    known = _found.setdefault(standing.bodies, {})
    at = (tuple(standing.keys), tuple(standing.poses.items()), between)
    if at not in known:
        known[at] = _find_blade(standing, between)
    return known[at]


def _find_blade(standing: Standing, between: tuple[SurfaceOf, ...]) -> BetweenFound:
    one, two = between
    skin, other = standing.skin(one), standing.skin(two)
    spots = _spots(standing, skin, other, two.part)
    if not spots:
        seat = _pose(_Spot(skin.middle, skin.normals[0], 0.0), skin.normals[0])
        return BetweenFound(_measures(BLADE_WIDTHS_MM[-1]), seat, "does not reach")
    if spots[0].gap < LEAST_BLADE_MM and _moves_against(standing, one.part, two.part):
        out = _ways(standing, spots[0].normal)[0]
        short = round(LEAST_BLADE_MM - max(spots[0].gap, 0.0), 3)
        tight = ToolMeets(two.part, 0.0)
        return BetweenFound(
            _measures(BLADE_WIDTHS_MM[-1]), _pose(spots[0], out), "does not reach", tight, short
        )
    joint = spots[0].gap < LEAST_BLADE_MM
    first: BetweenFound | None = None
    for spot, way, width in itertools.islice(_tries(standing, spots, joint), MOST_TRIES):
        named = _measures(width)
        place = _pose(spot, way, 0.0 if joint or spot.beside else ENTERS_MM)
        met = _blocked(standing, named, place, joint)
        if met is None:
            return BetweenFound(named, place)
        first = first or BetweenFound(named, place, "meets", met)
    assert first is not None
    return first if joint else _bent(standing, one, two, skin) or first


def _bent(standing: Standing, one: SurfaceOf, two: SurfaceOf, skin: Skin) -> BetweenFound | None:
    """Return where a bent blade enters under a face that looks away from the person, its arm to the front."""
    front = np.array(standing.assembly.front)
    if float(skin.normals.mean(axis=0) @ front) > -0.8:
        return None
    named = rounded_measures({**dict(_measures(BLADE_WIDTHS_MM[1])), "bent": BENT_MM})
    tries = (t for way in _ways(standing, front) for t in _past_rim(skin, way))
    for point, way, beyond in tries:
        # Straight up from where the arm begins nothing of the part may lie.
        if standing.ray(beyond - front * 0.01, front, [one.part], 500.0):
            continue
        hits = standing.ray(point + front, -front, [two.part], WIDEST_GAP_MM + 1.0)
        gap = next((d - 1.0 for d, _ in hits if d - 1.0 >= LEAST_BLADE_MM), None)
        if gap is not None:
            place = frame_at(beyond - front * (gap / 2), front, way)
            if _blocked(standing, named, place, False) is None:
                return BetweenFound(named, place)
    return None


def _past_rim(skin: Skin, way: Floats) -> Iterator[tuple[Floats, Floats, Floats]]:
    """Yield points of a face with a way and the place at its end that lies past the face's rim, some of each rim."""
    points = skin.points[:: max(1, len(skin.points) // 300)]
    beyond = points + way * (BENT_MM - ENTERS_MM)
    mates = skin.points[:: max(1, len(skin.points) // 2000)]
    off = _away(beyond, mates)
    past = np.argsort(-np.round(off, 1), kind="stable")
    for n in [n for n in past if off[n] > PAST_MM][:: max(1, int((off > PAST_MM).sum()) // SPOTS)]:
        yield points[n], way, beyond[n]


def _away(points: Floats, mates: Floats) -> Floats:
    """Return how far each of ``points`` (n, 3) is from the nearest of ``mates`` (m, 3), (n,) mm."""
    x, y, z = (points[:, None, k] - mates[None, :, k] for k in range(3))
    away: Floats = np.sqrt((x * x + y * y + z * z).min(axis=1))
    return away


def _measures(width: float) -> tuple[tuple[str, float], ...]:
    return rounded_measures(tool_measures("feeler blade", width_mm=width))


def _moves_against(standing: Standing, one: str, two: str) -> bool:
    """Return whether two parts turn apart: in other groups, or one in none."""
    groups = [next((g.name for g in standing.assembly.turning if k in g.parts), "") for k in (one, two)]
    return groups[0] != groups[1]


def _spots(standing: Standing, skin: Skin, other: Skin, part: str) -> list[_Spot]:
    """Return places on one surface with the gap to the other part square to it, narrowest first."""
    step = max(1, len(skin.points) // 400)
    points, normals = skin.points[::step], skin.normals[::step]
    mates = other.points[:: max(1, len(other.points) // 1500)]
    off = _away(points, mates)
    found = []
    nearest = np.argsort(np.round(off, 1), kind="stable")
    for n in nearest[:: max(1, len(nearest) // (12 * SPOTS))] if np.ptp(off) < 3.0 else nearest[: 6 * SPOTS]:
        point, normal = points[n], normals[n]
        hits = standing.ray(point - normal, normal, [part], WIDEST_GAP_MM + 1.0)
        gaps = [d - 1.0 for d, _ in hits if d - 1.0 > -JOINT_MM]
        if gaps:
            found.append(_Spot(point, normal, round(gaps[0], 3)))
        else:
            found += _beside(point, normal, other)
    return sorted(found, key=lambda s: s.gap)[: 8 * SPOTS]


def _beside(point: Floats, normal: Floats, other: Skin) -> list[_Spot]:
    """Return a place between two faces that look the same way: the lower one's, with the height of the other."""
    height = float(np.median((other.points - point) @ normal))
    alike = float(np.median(other.normals @ normal))
    return (
        [_Spot(point, normal, round(height, 3), True)] if alike > 0.9 and 0 <= height < WIDEST_GAP_MM else []
    )


def _ways(standing: Standing, normal: Floats) -> list[Floats]:
    """Return ways out in the plane of a gap, towards the person and upwards first."""
    zero = square_to(normal, (standing.assembly.front, standing.assembly.up))
    side = np.cross(normal, zero)
    angles = sorted((math.tau * n / WAYS for n in range(WAYS)), key=lambda a: round(1 - math.cos(a), 6))
    return [math.cos(a) * zero + math.sin(a) * side for a in angles]


def _tries(standing: Standing, spots: list[_Spot], joint: bool) -> Iterator[tuple[_Spot, Floats, float]]:
    """Yield places, ways and widths: of a joint its rim, of a gap its narrowest places; wide blades first."""
    if joint:
        for way in _ways(standing, spots[0].normal):
            yield max(spots, key=lambda s: float(s.point @ way)), way, BLADE_WIDTHS_MM[0]
        return
    ways = [(s, _ways(standing, s.normal)) for s in spots[:SPOTS:2]]
    for number in range(WAYS):
        for width in BLADE_WIDTHS_MM:
            for spot, its in ways:
                yield spot, its[number], width


def _pose(spot: _Spot, way: Floats, deep: float = 0.0) -> Place:
    """Return the place of a blade in the middle of a gap: its tip beyond the place that is measured."""
    if spot.beside:
        lean = math.radians(LEAN_DEG)
        way = math.cos(lean) * way + math.sin(lean) * spot.normal
    middle = spot.point + spot.normal * (spot.gap / 2) - way * deep
    return frame_at(middle, way, spot.normal)


def _blocked(
    standing: Standing, measures: tuple[tuple[str, float], ...], place: Place, joint: bool
) -> ToolMeets | None:
    """Return what the blade or its case meets."""
    body = tool_body("feeler blade", measures).manifold
    past = m3.Manifold.cube((400.0,) * 3, True).translate((0.0, 0.0, BLADE_LENGTH_MM + 200.0))
    met = standing.met(placed(body ^ past, place))
    if met is not None or joint:
        return met
    strip = (body - past).scale((1.0, STRIP_MM / dict(measures)["width"], 1.0))
    blade = placed(strip, place)
    thick = dict(measures)["thickness"]
    for key in standing.near(box_of(blade)):
        inside = blade ^ standing.manifold(key)
        if not inside.is_empty() and inside.volume() / thick > IN_METAL_MM2:
            return ToolMeets(key, round(float(inside.volume()) / thick / STRIP_MM, 3))
    return None
