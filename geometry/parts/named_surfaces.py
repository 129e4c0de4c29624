"""Named surfaces as parts give them: faces square to an axis along Z, and rings about it.

All in the part's own frame, mm. ``back`` surfaces are reached from -Z.
"""

from __future__ import annotations

import math

from ..frame import Vec3, X
from ..surfaces import EVERYWHERE, Range, Surface, SurfaceKind

PLANE_MM = 0.01
"""How far a point may lie off a plane that it belongs to: meshes hold planes exactly."""
FLAT_MM = 0.05
"""How far a surface is drawn back from, or reaches beyond, a plane that bounds it."""
ROUND_MM = 0.15
"""How far a facet of a drawn mesh may lie inside its cylinder; below every step between two named surfaces."""
BACK: Vec3 = (0.0, 0.0, -1.0)
FORWARD: Vec3 = (0.0, 0.0, 1.0)
Spot = tuple[float, float]
"""(x, y) of an axis along Z."""


def face(
    name: str,
    z: float,
    radii: Range = EVERYWHERE,
    *,
    kind: SurfaceKind = "face",
    at: Spot = (0.0, 0.0),
    back: bool = False,
    size: float = 0.0,
    drawn: float = 0.0,
) -> Surface:
    """Return the plane face at height ``z`` between two radii about an axis along Z at ``at``."""
    way = BACK if back else FORWARD
    return Surface(
        name, kind, (*at, z), way, size, (radii[0], radii[1]), (-PLANE_MM, PLANE_MM), drawn_mm=drawn
    )  # fmt: skip


def ring(
    name: str,
    kind: SurfaceKind,
    radii: Range,
    heights: Range,
    *,
    at: Spot = (0.0, 0.0),
    back: bool = False,
    size: float = 0.0,
    drawn: float = 0.0,
) -> Surface:
    """Return what lies between two radii and two heights; its origin is its end at the front, ``back`` the rear one."""
    low, high = heights
    way, end = (BACK, low) if back else (FORWARD, high)
    return Surface(name, kind, (*at, end), way, size, radii, (low - high, 0.0), drawn_mm=drawn)


def round_skin(
    name: str,
    kind: SurfaceKind,
    radius: float,
    heights: Range,
    *,
    at: Spot = (0.0, 0.0),
    back: bool = False,
    size: float | None = None,
) -> Surface:
    """Return the cylinder of ``radius`` between two heights; its size is its diameter where none is given."""
    radii = (max(0.0, radius - ROUND_MM), radius + FLAT_MM)
    return ring(name, kind, radii, heights, at=at, back=back, size=2 * radius if size is None else size)


def hole(
    name: str,
    radius: float,
    heights: Range,
    *,
    at: Spot = (0.0, 0.0),
    back: bool = False,
    size: float | None = None,
) -> Surface:
    """Return a hole's wall with what widens it; the planes that it opens into, and its floor, are left out."""
    inside = (heights[0] + FLAT_MM, heights[1] - FLAT_MM)
    whole = 2 * radius if size is None else size
    return ring(name, "hole", (0.0, radius + FLAT_MM), inside, at=at, back=back, size=whole)


def slot(
    name: str,
    kind: SurfaceKind,
    radii: Range,
    heights: Range,
    *,
    width: float,
    angle_deg: float = 90.0,
    back: bool = False,
) -> Surface:
    """Return a slot of ``width`` beside the axis, floor and sides, that stands at ``angle_deg`` about Z from +X."""
    low, high = heights
    way, end = (BACK, low) if back else (FORWARD, high)
    a = math.radians(angle_deg)
    half = math.degrees(math.asin(min(1.0, (width / 2 + ROUND_MM) / radii[0])))
    across = (round(math.cos(a), 12), round(math.sin(a), 12), 0.0)
    return Surface(
        name, kind, (0.0, 0.0, end), way, width, radii, (low - high, 0.0), across=across, half_deg=half
    )  # fmt: skip


def racetrack(
    name: str, kind: SurfaceKind, radii: Range, heights: Range, half_length: float, *, size: float = 0.0
) -> Surface:
    """Return a ring drawn out along X by ``half_length`` to either side, reached from the front."""
    found = ring(name, kind, radii, heights, size=size, drawn=half_length)
    assert found.across == X
    return found
