"""What is in sight of a surface: by points spread evenly over it, each hidden or not.

It is measured on the coarse grid that tells what is seen where, so it takes no drawing and serves the choice of views.
"""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place, unit
from ...geometry.meshes.tessellation import Mesh
from ...geometry.surfaces import Surface
from ..drawing.insets import Box
from ..drawing.measure import values_at
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.part_models import PartModel
from .zone_patterns import WIDENED, is_flat, widened

SPREAD, MOST_SPREAD = 3000, 60000
"""Points spread over the part's facets that may be of the surface, and how many at most until enough are of it."""
ENOUGH = 120
"""Points of the surface that are enough."""
FACING = 0.05
"""A spot faces the eye where the cosine of its normal to it is more than this."""
SLACK_PIXELS = 1.6
"""How far behind what is seen a point may lie and be seen itself, pixels of the grid."""
WELL_FACED = 0.25
"""Share of a surface's area, as projected, above which more is no better: a shaft shows a third of its own at most."""


@dataclass(frozen=True)
class Spots:
    """Points of a surface, (n, 3) own frame, their normals (n, 3), and the area that each stands for, mm2."""

    points: Floats
    normals: Floats
    each_mm2: float


@dataclass(frozen=True)
class Sight:
    """What is in sight of a surface.

    ``shown`` is the share of what faces the eye that nothing hides, ``area_mm2`` how much that is as projected,
    ``faced`` how well the surface is turned to the eye, 0 to 1. ``middle`` is a spot in the middle of what is seen and
    ``box`` the box round it, as fractions of the picture. ``spots`` are the points that are seen.
    """

    shown: float
    area_mm2: float
    faced: float
    middle: tuple[float, float] | None
    box: Box | None
    spots: int = 0

    @property
    def worth(self) -> float:
        """How well it is seen, 0 to 1."""
        return self.shown * self.faced


_spots: WeakKeyDictionary[Mesh, dict[Surface | None, Spots]] = WeakKeyDictionary()


def spots_of(model: PartModel, surface: Surface | None) -> Spots:
    """Return points spread over a surface of a part, over all of the part where it is None; remembered."""
    known = _spots.setdefault(model.mesh, {})
    if surface not in known:
        known[surface] = _spread(model.mesh, surface)
    return known[surface]


def sight_of(model: PartModel, surface: Surface | None, place: Place, ids: Ids, camera: Camera) -> Sight:
    """Return what is in sight of a surface of a part in ``place``; ``ids`` is what is seen where in ``camera``."""
    spots = spots_of(model, surface)
    if not len(spots.points):
        return Sight(0.0, 0.0, 0.0, None, None)
    facing = spots.normals @ np.array(place.rotation).T @ camera.view.axes[2]
    turned = facing > FACING
    if not turned.any():
        return Sight(0.0, 0.0, 0.0, None, None)
    weight = facing[turned]
    at = camera.project(place.points(spots.points[turned]))
    inside = ((at[:, :2] >= 0.0) & (at[:, :2] <= 1.0)).all(axis=1)
    pixel_mm = camera.width_mm / ids.part.shape[1]
    slack = (
        SLACK_PIXELS * pixel_mm * (1.0 + 0.7 * np.sqrt(np.maximum(1.0 / weight**2 - 1.0, 0.0)).clip(max=4.0))
    )
    seen: NDArray[np.bool_] = inside & (values_at(ids.near_mm, at) <= at[:, 2] + slack)
    total = float(weight.sum())
    shown = float(weight[seen].sum())
    there = at[seen, :2]
    faced = min(total / (WELL_FACED * len(spots.points)), 1.0)
    box, middle = None, None
    if len(there):
        low, high = there.min(axis=0), there.max(axis=0)
        box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        nearest = there[np.argmin(np.linalg.norm(there - there.mean(axis=0), axis=1))]
        middle = (float(nearest[0]), float(nearest[1]))
    return Sight(shown / total, shown * spots.each_mm2, faced, middle, box, len(there))


def _spread(mesh: Mesh, surface: Surface | None) -> Spots:
    corners = mesh.points[mesh.triangles]
    chosen = _may_hold(corners, surface) if surface is not None else np.arange(len(corners))
    if not len(chosen):
        return Spots(np.empty((0, 3)), np.empty((0, 3)), 0.0)
    corners, normals = corners[chosen], mesh.normals[mesh.triangles[chosen]]
    area = (
        np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2.0
    )
    total, count = float(area.sum()), SPREAD
    while True:
        # Evenly along the facets' areas laid end to end, and over each by a sequence that leaves no gaps.
        number = np.arange(count)
        facet = np.searchsorted(np.cumsum(area), (number + 0.5) / count * total).clip(max=len(area) - 1)
        a, b = (0.5 + 0.754877666 * number) % 1.0, (0.5 + 0.569840291 * number) % 1.0
        over = a + b > 1.0
        a, b = np.where(over, 1.0 - a, a), np.where(over, 1.0 - b, b)
        shares = np.stack([1.0 - a - b, a, b], axis=1)[:, :, None]
        points = (corners[facet] * shares).sum(axis=1)
        turned = (normals[facet] * shares).sum(axis=1)
        if surface is not None:
            held = widened(surface, WIDENED).holds(points)
            if is_flat(surface):  # not the sliver of a wall beside it
                held &= turned @ np.array(unit(surface.direction)) > 0.5
            points, turned = points[held], turned[held]
        if len(points) >= ENOUGH or count >= MOST_SPREAD:
            break
        count *= 4
    length = np.maximum(np.linalg.norm(turned, axis=1, keepdims=True), 1e-12)
    return Spots(points, turned / length, total / count)


def _may_hold(corners: Floats, surface: Surface) -> NDArray[np.intp]:
    """Return which of the triangles (n, 3, 3), own frame, may have a point on ``surface``, by height and radius."""
    along = np.array(unit(surface.direction))
    away = corners - np.array(surface.origin)
    height = away @ along
    middle = away.mean(axis=1)
    reach = np.linalg.norm(away - middle[:, None], axis=2).max(axis=1)
    radius = np.linalg.norm(middle - (middle @ along)[:, None] * along, axis=1)
    (near, far), (low, high) = surface.radius_mm, surface.along_mm
    far += surface.drawn_mm
    found = (height.max(axis=1) >= low - WIDENED) & (height.min(axis=1) <= high + WIDENED)
    found &= (radius + reach >= near - WIDENED) & (radius - reach <= far + WIDENED)
    return np.flatnonzero(found)
