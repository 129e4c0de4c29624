"""What a moving solid passes through: exact for slides, bounded for turns, so that nothing is jumped over.

*Slides.* A closed mesh slid along a vector passes through the solid whose surface is: its triangles that look
forward, at the far end; those that look back, at the near end; and a strip from end to end along each side
where the two kinds meet. Along every line in the slide's direction each stretch of the mesh then reaches from
its own start to its own end plus the vector, which is what the sweep is. Where the mesh has hollows the result
covers space twice or more; booleans here multiply windings (see :mod:`.overlaps`), so overlaps are found all
the same. There are no samples in between.

*Turns.* See :func:`turn_hull` for whole turns and :func:`turned_contact` for part of a turn.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache, partial

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from ..frame import Floats, Place, Vec3
from .overlaps import (
    LEAST_VOLUME_MM3,
    Body,
    Indices,
    Overlap,
    box_of,
    boxes_meet,
    check_manifold,
    cropped,
    driven_in,
    gap,
    make_manifold,
    meets,
    offset,
    overlap,
)


def swept(body: Body, slide: Vec3 | Floats) -> m3.Manifold:
    """Return what ``body`` passes through on a slide, own frame; ``slide`` in mm, both ends included.

    The manifold may cover space more than once: use it for overlaps and gaps, not for its volume. The far end is
    drawn larger by :data:`ENLARGEMENT`, so that no two strips lie in one plane: the boolean library merges
    what is coplanar, and would merge strips that fold back on each other. That nothing was merged shows in the volume,
    which :func:`.overlaps.make_manifold` checks.

    Raises:
        OverlapError: if the body is not closed, or the library has altered the sweep.
    """
    d = np.asarray(slide, float)
    if float(np.linalg.norm(d)) < 1e-9:
        return body.manifold
    count = len(body.points)
    ahead = _looks_ahead(body, d / np.linalg.norm(d))
    start, end, beyond = body.sides
    strip = np.tile(ahead, 3) & ~ahead[beyond]
    copy = _far_corners(body, ahead, strip)
    far = copy.reshape(3, -1).T
    u, v = start[strip], end[strip]
    far_u, far_v = copy[strip], np.roll(copy.reshape(3, -1), -1, axis=0).ravel()[strip]
    triangles = np.concatenate(
        [
            np.where(ahead[:, None], far, body.triangles),
            np.stack([far_v, far_u, u], axis=1),
            np.stack([far_v, u, v], axis=1),
        ]
    )
    # Which corner of the body each far corner is a copy of.
    of = np.zeros(int(copy.max(initial=count)) + 1 - count, np.int64)
    moved = np.tile(ahead, 3)
    of[copy[moved] - count] = start[moved]
    low, high = body.points.min(axis=0), body.points.max(axis=0)
    centre = low - (high - low) * _ASKEW
    points = np.concatenate([body.points, centre + (body.points[of] - centre) * (1 + ENLARGEMENT) + d])
    used = np.zeros(len(points), bool)
    used[triangles] = True
    number = np.cumsum(used) - 1
    points, triangles = points[used], number[triangles]
    return make_manifold(points, triangles, f"{body.name}, on its way")


ENLARGEMENT = 1e-6
"""Share by which the far end of a sweep is drawn larger."""
_ASKEW = np.array([0.7137, 0.3391, 0.5193])
"""Shares of the box by which the far end's centre lies off its corner: on no plane of symmetry."""
_FLAT_MM = 1e-8


def _looks_ahead(body: Body, along: Floats) -> NDArray[np.bool_]:
    """Return which triangles look along a unit direction, (m,); walls along it, tilted by rounding alone, do not."""
    corners = body.points[body.triangles]
    longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    ahead: NDArray[np.bool_] = body.facings @ along > _FLAT_MM * longest
    return ahead


def _far_corners(body: Body, ahead: NDArray[np.bool_], strip: NDArray[np.bool_]) -> Indices:
    """Return the number of the moved copy of each triangle's corner, (3 m,) side-major, from ``len(points)`` on.

    A corner where triangles that look ahead come in several fans gets a copy for each: with one for all, strips would
    share their rising edge with more than one other, and the library would have to guess which belong together.
    """
    start, end, beyond = body.sides
    m, points = len(body.triangles), len(body.points)
    copy = start + points
    busy = np.bincount(start[strip], minlength=points) > 1
    if not busy.any():
        return copy
    # Side k of triangle t runs from corner k to the next; the triangle beyond has the same two corners.
    inner = np.flatnonzero(np.tile(ahead, 3) & ~strip & (busy[start] | busy[end]))
    triangle, side = inner % m, inner // m
    other = beyond[inner]
    pairs = []
    for mine in (inner, ((side + 1) % 3) * m + triangle):
        at = np.flatnonzero(busy[start[mine]])
        theirs = np.argmax(body.triangles[other[at]] == start[mine[at]][:, None], axis=1) * m + other[at]
        pairs.append(np.stack([mine[at], theirs], axis=1))
    a, b = np.concatenate(pairs).T
    number = np.arange(3 * m)
    while True:
        least = np.minimum(number[a], number[b])
        before = number.copy()
        np.minimum.at(number, number[a], least)
        np.minimum.at(number, number[b], least)
        number = number[number]
        if np.array_equal(number, before):
            break
    fans = np.flatnonzero(np.tile(ahead, 3) & busy[start])
    _, place = np.unique(number[fans], return_inverse=True)
    copy[fans] = 2 * points + place
    return copy


def first_contact(
    body: Body,
    place: Place,
    slide: Vec3 | Floats,
    others: Sequence[m3.Manifold],
    tolerance_mm: float,
    fine_mm: float = 0.05,
    coarse_before: tuple[float, float] = (0.0, 0.05),
    likely_mm: float = 0.0,
    sweep: Callable[[Body, Floats], m3.Manifold] = swept,
) -> tuple[float, list[int]]:
    """Return how far ``body`` at ``place`` can slide before it meets any of ``others``, and which it meets.

    The distance is found to within ``fine_mm`` by halving, each half tested by an exact sweep; without contact
    it is the length of ``slide``, with an empty list. Numbers index ``others``. A contact before the first of
    ``coarse_before`` need be found only to within the second. ``likely_mm`` is where a contact is to be expected, if
    anywhere: that costs or saves time alone. ``sweep`` gives :func:`swept` of the whole way, for those who keep it.
    """
    d = np.asarray(slide, float)
    length = float(np.linalg.norm(d))
    if length < 1e-9:
        return 0.0, [
            i
            for i, o in enumerate(others)
            if overlap(body.manifold.transform(place.matrix()[:3]), o, tolerance_mm)
        ]
    # Rounded, so that equal slides of a part that stands turned are one and the same.
    own = np.round(np.array(place.rotation).T @ d, 9)
    m = place.matrix()[:3]
    whole = sweep(body, own).transform(m)
    reach = box_of(whole)
    near: dict[int, m3.Manifold] = {}
    found: list[Overlap] = []
    for i, other in enumerate(others):
        if boxes_meet(reach, box_of(other)) and (met := overlap(whole, other, tolerance_mm)):
            near[i] = other
            found.append(met)
    if not near:
        return length, []
    # Only what lies in the columns over the shared space matters from here on: crop both to it.
    margin = 4 * tolerance_mm + 0.1
    low = np.min([f.low for f in found], axis=0) - margin
    high = np.max([f.high for f in found], axis=0) + margin
    near = {i: cropped(o, (low, high)) for i, o in near.items()}
    column = (np.minimum(low, low - d), np.maximum(high, high - d))
    placed = cropped(body.manifold.transform(m), column)
    if placed.is_empty():
        return length, []
    piece = Body.of_manifold(placed, body.name)
    along = d / length
    guess = length - max(_length_along((f.low, f.high), along) for f in found)
    guesses = (guess, likely_mm)
    return _halve(piece, along, length, guesses, near, tolerance_mm, (fine_mm, *coarse_before))


def _halve(
    piece: Body,
    along: Floats,
    length: float,
    guesses: tuple[float, float],
    near: dict[int, m3.Manifold],
    tolerance_mm: float,
    fine: tuple[float, float, float],
) -> tuple[float, list[int]]:
    """Return the distance free and what is met, knowing that all of ``near`` is met within ``length``.

    A guess is tried by a probe just before and one just beyond it: where the first is free and the second is not, all
    is known. Guesses come from how long the stretch driven into is; between them the way left is halved.
    """
    free, blocked, trust = 0.0, length, True
    guess, likely = guesses
    drawn = {i: cache(partial(offset, o, -tolerance_mm)) for i, o in near.items()}
    fine_mm, coarse_before, coarse_mm = fine
    before, beyond = 0.2 * fine_mm, tolerance_mm + 0.4 * fine_mm
    while blocked - free > (coarse_mm if blocked < coarse_before else fine_mm):
        if not trust and free < likely < blocked:
            # What is expected comes second: what was driven into knows better, unless it was driven through.
            guess, trust, likely = likely, True, 0.0
        probe = (free + blocked) / 2
        if trust and free < guess - before < blocked:
            probe = guess - before
        elif trust and free < guess + beyond < blocked:
            probe = guess + beyond
        way = swept(piece, along * probe)
        met = {
            i: r for i, other in near.items() if (r := driven_in(way, other, along, tolerance_mm, drawn[i]))
        }
        if not met:
            free, trust = probe, trust and probe < guess
            continue
        near, blocked = {i: near[i] for i in met}, probe
        if trust and probe >= guess > free:
            continue
        # What was driven into is as long as the way since the first contact, unless it was driven through: a good
        # guess every other time, never more than a guess.
        guess, trust = probe - max(met.values()), not trust
    return (guess if free < guess < blocked else free), sorted(near)


def _length_along(box: tuple[Vec3, Vec3], along: Floats) -> float:
    return float(np.abs(along) @ (np.array(box[1]) - np.array(box[0])))


def _axis_frame(about: Vec3, axis: Vec3) -> Place:
    """Return the place that carries +Z through the origin to the line through ``about`` along ``axis``."""
    z = np.asarray(axis, float) / np.linalg.norm(axis)
    x = np.cross(z, (0.0, 1.0, 0.0) if abs(z[1]) < 0.9 else (1.0, 0.0, 0.0))
    x /= np.linalg.norm(x)
    m = np.eye(4)
    m[:3, :3] = np.stack([x, np.cross(z, x), z], axis=1)
    m[:3, 3] = about
    return Place.from_matrix(m)


def _half_plane(points: Floats) -> Floats:
    """Return (n, 2) float64: distance from Z and height of ``points`` (n, 3)."""
    return np.stack([np.hypot(points[:, 0], points[:, 1]), points[:, 2]], axis=1)


MOST_HALVINGS = 48
"""A triangle of 100 m that the axis runs through takes 46 to come down to 0.01 mm there."""


def _turned_images(points: Floats, triangles: Indices, tolerance_mm: float) -> Floats:
    """Return where each triangle comes by, turned about Z: corners in the half plane, (k, 6, 2) float64.

    The distance from the axis is a convex function: inside a triangle it is at most what its corners say, and
    falls short of it by at most w^2 / 8r (w: how far the triangle reaches round the axis). Triangles are
    halved until that is within the tolerance; the shortfall is added, so that the images cover.
    """
    flat = np.ptp(points[triangles][:, :, 2], axis=1) < tolerance_mm / 8
    corners = points[triangles][~flat]
    done: list[Floats] = []
    for _ in range(MOST_HALVINGS):
        if not len(corners):
            break
        a, b = corners[:, [0, 1, 2]], corners[:, [1, 2, 0]]
        radius = np.hypot(corners[:, :, 0], corners[:, :, 1])
        # How far a side reaches round the axis: its part at right angles to the middle's radius.
        middle = corners[:, :, :2].mean(axis=1)
        out = middle / np.maximum(np.linalg.norm(middle, axis=1, keepdims=True), 1e-9)
        side = (b - a)[:, :, :2]
        width = np.abs(side[:, :, 0] * out[:, None, 1] - side[:, :, 1] * out[:, None, 0])
        reach = width.max(axis=1)
        least = np.maximum(np.linalg.norm(middle, axis=1) - reach - np.ptp(radius, axis=1), tolerance_mm)
        short = np.minimum(reach**2 / (8 * least), reach / 2)
        small = short <= tolerance_mm / 2
        image = np.stack([radius, corners[:, :, 2]], axis=2)
        lower = image - np.stack([short, np.zeros_like(short)], axis=1)[:, None, :]
        done.append(np.concatenate([image, lower], axis=1)[small])
        rest, w = corners[~small], width[~small]
        k = w.argmax(axis=1)
        i = np.arange(len(rest))
        p, q, o = rest[i, k], rest[i, (k + 1) % 3], rest[i, (k + 2) % 3]
        half = (p + q) / 2
        corners = np.concatenate([np.stack([p, half, o], axis=1), np.stack([half, q, o], axis=1)])
    if len(corners):
        raise ValueError("a triangle cannot be divided finely enough to turn it")
    return np.concatenate(done) if done else np.empty((0, 6, 2))


def turn_hull(body: Body, about: Vec3, axis: Vec3, tolerance_mm: float) -> m3.Manifold:
    """Return what ``body`` passes through on a whole turn, own frame, within a few tolerances.

    It is the solid of revolution of the half-plane images of the surface and of one section of the material:
    a circle about the axis is either all in the material, so that any section shows it, or crosses the
    surface.
    """
    import shapely

    frame = _axis_frame(about, axis)
    back = frame.inverse()
    points = back.points(body.points)
    images = _turned_images(points, body.triangles, tolerance_mm)
    images[:, :, 0] = np.maximum(images[:, :, 0], 0.0)
    # Rounding makes the many alike images of a round face one.
    steps = np.unique(np.round(images / (tolerance_mm / 4)).astype(np.int64), axis=0)
    images = steps.astype(np.float64) * (tolerance_mm / 4)
    corners = shapely.multipoints(images.reshape(-1, 2), indices=np.repeat(np.arange(len(images)), 6))
    shapes = shapely.orient_polygons(h) if len(h := _areas(shapely.convex_hull(corners))) else h
    rings = [shapely.get_coordinates(s)[:-1] for s in shapes]
    region = m3.CrossSection(rings, m3.FillRule.Positive)
    section = body.manifold.transform(back.matrix()[:3]).transform(
        [[1.0, 0, 0, 0], [0, 0, 1.0, 0], [0, -1.0, 0, 0]]
    )
    region = (region + section.slice(0.0)) ^ m3.CrossSection.square((1e6, 2e6)).translate((0.0, -1e6))
    # The images leave hair-thin slits between them, whose walls would cross when the surface is moved outwards.
    slit, miter = tolerance_mm / 4, m3.JoinType.Miter
    region = region.offset(slit, miter, 2.0).offset(-slit, miter, 2.0).simplify(slit / 4)
    reach = float(np.hypot(points[:, 0], points[:, 1]).max())
    segments = math.ceil(math.pi / math.acos(max(0.0, 1 - tolerance_mm / max(reach, 2 * tolerance_mm))))
    hull = m3.Manifold.revolve(region, segments).transform(frame.matrix()[:3])
    check_manifold(hull, f"{body.name}, turned")
    return hull


def turned_contact(
    body: Body,
    spun: Body,
    place: Place,
    slide: Vec3,
    turn_deg: float,
    about: Vec3,
    axis: Vec3,
    other: m3.Manifold,
    tolerance_mm: float,
) -> tuple[float, Overlap] | None:
    """Return where ``body`` at ``place`` meets ``other`` on an even slide and turn, None if it does not.

    ``spun`` is its :func:`turn_hull` about that axis. The answer is the share of the way (0 to 1) and the
    overlap found there. First the hull is slid: what that misses is never met. A whole turn or more that
    meets it counts as met where the sliding hull does, which is exact for a turn without slide. Part of a turn is
    followed in steps no longer than the gap just measured (at the radius of what could be met), or twice the
    tolerance where that is more: between two poses a contact hides at most one tolerance deep.
    """
    own = place.inverse()
    m = place.matrix()[:3]
    way = swept(spun, own.direction(slide)).transform(m)
    if not boxes_meet(box_of(way), box_of(other)):
        return None
    found = overlap(way, other, tolerance_mm)
    if found is None:
        return None
    length = float(np.linalg.norm(slide))
    if abs(turn_deg) >= 360.0:
        free, _ = first_contact(spun, place, slide, [other], tolerance_mm)
        return (free / length if length else 0.0), found
    low, high = box_of(way ^ other)
    near = cropped(other, (low - tolerance_mm, high + tolerance_mm)) ^ way
    # What the turn only grazes (the floor that a part turns on) is gone once it is drawn in: no step need be short for
    # that, and a contact deeper than the tolerance shows in the rest.
    deep = offset(other, -tolerance_mm) ^ way
    if deep.is_empty() or deep.volume() < LEAST_VOLUME_MM3:
        deep = near
    back = _axis_frame(about, axis).inverse()
    radius = float(_half_plane(back.points(Body.of_manifold(near).points))[:, 0].max())
    speed = math.radians(abs(turn_deg)) * radius + length
    share = 0.0
    while True:
        pose = Place.turn(turn_deg * share, axis, about).moved(*(share * c for c in slide)) @ place
        there = body.manifold.transform(pose.matrix()[:3])
        met = overlap(there, near, tolerance_mm) if meets(there, deep, 0.0) else None
        if met:
            return share, met
        if share >= 1.0:
            return None
        step = max(gap(there, deep, speed), 2 * tolerance_mm)
        share = min(1.0, share + step / speed)


def _areas(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    import shapely

    kept: NDArray[np.object_] = shapes[shapely.area(shapes) > 1e-12]
    return kept
