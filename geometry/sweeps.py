"""What a moving solid passes through: exact for slides, bounded for turns, so that nothing is jumped over.

*Slides.* A closed mesh slid along a vector passes through the solid whose surface is: its triangles that look forward,
at the far end; those that look back, at the near end; and a strip from end to end along each side where the two kinds
meet. Along every line in the slide's direction each stretch of the mesh then reaches from its own start to its own end
plus the vector, which is what the sweep is. Where the mesh has hollows the result covers space twice or more; booleans
here multiply windings (see :mod:`.overlaps`), so overlaps are found all the same. There are no samples in between.

*Turns.* See :func:`turn_hull` for whole turns and :func:`turned_contact` for part of a turn.
"""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np

from .frame import Floats, Place, Vec3
from .overlaps import Body, Overlap, box_of, boxes_meet, cropped, make_manifold, overlap


def swept(body: Body, slide: Vec3 | Floats) -> m3.Manifold:
    """Return what ``body`` passes through on a slide, own frame; ``slide`` in mm, both ends included.

    The manifold may cover space more than once: use it for overlaps and gaps, not for its volume.

    Raises:
        OverlapError: if the body is not closed.
    """
    d = np.asarray(slide, float)
    if float(np.linalg.norm(d)) < 1e-9:
        return body.manifold
    count = len(body.points)
    ahead = body.facings @ d > 0
    start, end, beyond = body.sides
    strip = np.tile(ahead, 3) & ~ahead[beyond]
    u, v = start[strip], end[strip]
    triangles = np.concatenate(
        [
            body.triangles + np.where(ahead, count, 0)[:, None],
            np.stack([v + count, u + count, u], axis=1),
            np.stack([v + count, u, v], axis=1),
        ]
    )
    points = np.concatenate([body.points, body.points + d])
    used = np.zeros(2 * count, bool)
    used[triangles] = True
    number = np.cumsum(used) - 1
    return make_manifold(points[used], number[triangles], f"{body.name}, on its way")


def first_contact(
    body: Body, place: Place, slide: Vec3 | Floats, others: list[m3.Manifold], tolerance_mm: float, fine_mm: float = 0.02
) -> tuple[float, list[int]]:
    """Return how far ``body`` at ``place`` can slide before it meets any of ``others``, and which it then meets.

    The distance is found by halving, each half tested by an exact sweep, to within ``fine_mm`` (never more than the
    true one); without contact it is the length of ``slide``, with an empty list. Numbers index ``others``.
    """
    d = np.asarray(slide, float)
    length = float(np.linalg.norm(d))
    if length < 1e-9:
        return 0.0, [i for i, o in enumerate(others) if overlap(body.manifold.transform(place.matrix()[:3]), o, tolerance_mm)]
    own = np.array(place.rotation).T @ d
    m = place.matrix()[:3]
    whole = swept(body, own).transform(m)
    reach = box_of(whole)
    near: dict[int, m3.Manifold] = {}
    for i, other in enumerate(others):
        if boxes_meet(reach, box_of(other)) and overlap(whole, other, tolerance_mm):
            near[i] = other
    if not near:
        return length, []
    # Only what lies in the columns over the shared space matters from here on: crop both to it.
    margin = 4 * tolerance_mm + 0.1
    shared = [box_of(whole ^ other) for other in near.values()]
    low = np.min([s[0] for s in shared], axis=0) - margin
    high = np.max([s[1] for s in shared], axis=0) + margin
    near = {i: cropped(o, (low, high)) for i, o in near.items()}
    column = (np.minimum(low, low - d), np.maximum(high, high - d))
    placed = cropped(body.manifold.transform(m), column)
    if placed.is_empty():
        return length, []
    piece = Body.of_manifold(placed, body.name)
    free, blocked = 0.0, length
    while blocked - free > fine_mm:
        middle = (free + blocked) / 2
        way = swept(piece, d * (middle / length))
        hit = {i: o for i, o in near.items() if overlap(way, o, tolerance_mm)}
        if hit:
            near, blocked = hit, middle
        else:
            free = middle
    return free, sorted(near)
