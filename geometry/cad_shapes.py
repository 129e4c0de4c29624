"""Drawing helpers over the CAD kernel: turned solids, rods, outlines, checked cuts and joins.

All solids are in the part's own frame, mm, main axis Z.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import cadquery as cq

Profile = Sequence[tuple[float, float]]

PAST_MM = 1.0
"""How far a cutting tool reaches past a face that it opens: what of it lies outside the part cuts nothing."""
FINE_EDGE_MM, EDGE_MM, BROAD_EDGE_MM = 0.3, 0.4, 0.5
"""Broken edges of turned parts, by the size of the face that they bound: nobody measures them, they catch the light."""
THREAD_CREST, THREAD_ROOT = 0.05, 0.55
"""Crest and root of a thread as it is drawn, in pitches under its nominal radius."""
THREAD_CREST_MM = 0.12
"""Most that a crest is drawn under it: thread and nut have to lie near enough to count as touching."""
THREAD_CREST_FROM, THREAD_CREST_TO = 0.42, 0.58
"""Where the flat of a crest begins and ends, in pitches."""
HEXAGON_CHAMFER_DEG = 30.0
"""Angle at which the corners of nuts are turned off (ISO 4032)."""
HEXAGON_CHAMFER_FLAT, HEXAGON_CHAMFER_CORNER = 0.97, 1.02
"""Where that chamfer begins, in widths across flats, and a radius beyond all corners, in widths across corners."""


class SolidError(RuntimeError):
    """A part that the kernel could not make; says part, feature and figures, which the kernel does not."""

    def __init__(self, part: str, feature: str, reason: str) -> None:
        super().__init__(f"{part}, {feature}: {reason}")
        self.part, self.feature, self.reason = part, feature, reason

    def __reduce__(self) -> tuple[type[SolidError], tuple[str, str, str]]:
        """Let it come back whole from another process."""
        return SolidError, (self.part, self.feature, self.reason)


def turned(profile: Profile) -> cq.Solid:
    """Return the solid of a closed (radius, z) outline, (n, 2) mm, turned about Z."""
    edges = cq.Workplane("XZ").polyline([(float(r), float(z)) for r, z in profile]).close()
    return valid_solid(edges.revolve(360, (0, 0, 0), (0, 1, 0)).val(), "turned part", "turning")


def cylinder(
    radius: float, z0: float, z1: float, x: float = 0.0, y: float = 0.0, chamfer: float = 0.0
) -> cq.Solid:
    """Return a cylinder along Z from ``z0`` to ``z1`` at (x, y), both ends chamfered by ``chamfer``."""
    if chamfer <= 0:
        return cq.Solid.makeCylinder(radius, z1 - z0, cq.Vector(x, y, z0))
    b = chamfer
    outline = [(0, z0), (radius - b, z0), (radius, z0 + b), (radius, z1 - b), (radius - b, z1), (0, z1)]
    return turned(outline).translate(cq.Vector(x, y, 0))


def cross_cylinder(
    radius: float, start: tuple[float, float, float], axis: tuple[float, float, float], length: float
) -> cq.Solid:
    """Return a cylinder from ``start`` along ``axis``."""
    return cq.Solid.makeCylinder(radius, length, cq.Vector(*start), cq.Vector(*axis))


def tube(outer: float, inner: float, z0: float, z1: float) -> cq.Solid:
    """Return a ring along Z."""
    return turned([(inner, z0), (outer, z0), (outer, z1), (inner, z1)])


def prism(points: Profile, z0: float, z1: float) -> cq.Solid:
    """Return the prism of a closed polygon (n, 2) mm between two heights."""
    work = cq.Workplane("XY", origin=(0, 0, z0)).polyline([(float(x), float(y)) for x, y in points]).close()
    return valid_solid(work.extrude(z1 - z0).val(), "prism", "extrusion")


def stadium(half_c: float, radius: float, z0: float, z1: float) -> cq.Solid:
    """Return the stadium about both shafts' axes at x = -half_c and +half_c."""
    work = (
        cq.Workplane("XY", origin=(0, 0, z0))
        .moveTo(-half_c, radius)
        .lineTo(half_c, radius)
        .threePointArc((half_c + radius, 0), (half_c, -radius))
        .lineTo(-half_c, -radius)
        .threePointArc((-half_c - radius, 0), (-half_c, radius))
        .close()
    )
    return valid_solid(work.extrude(z1 - z0).val(), "stadium", "extrusion")


def hexagon(across_flats: float, z0: float, z1: float, chamfer_front: bool = True) -> cq.Solid:
    """Return a hexagon prism along Z with a flat facing +Y, its front corners turned off at 30 degrees."""
    corner = across_flats / math.sqrt(3)
    points = [
        (corner * math.cos(math.radians(60 * k)), corner * math.sin(math.radians(60 * k))) for k in range(6)
    ]
    body: cq.Shape = prism(points, z0, z1)
    if chamfer_front:
        flat, beyond = across_flats / 2 * HEXAGON_CHAMFER_FLAT, corner * HEXAGON_CHAMFER_CORNER
        drop = chamfer_drop(across_flats)
        rear = z0 - PAST_MM
        keep = turned([(0, rear), (beyond, rear), (beyond, z1 - drop), (flat, z1), (0, z1)])
        body = body.intersect(keep)
    return valid_solid(body, "hexagon", "corner chamfer")


def chamfer_drop(across_flats: float) -> float:
    """Return how far under a hexagon's front its corners are turned off, mm."""
    flat, corner = across_flats / 2 * HEXAGON_CHAMFER_FLAT, across_flats / math.sqrt(3)
    return (corner * HEXAGON_CHAMFER_CORNER - flat) * math.tan(math.radians(HEXAGON_CHAMFER_DEG))


def threaded(radius: float, pitch: float, z0: float, z1: float) -> Profile:
    """Return the (radius, z) points of a thread's flank line from z0 to z1, as rings of 60 degrees.

    The rings stand for the helix: they show as a thread, keep every solid simple, and their crests stay
    :data:`THREAD_CREST` under the nominal radius, at most :data:`THREAD_CREST_MM`.
    """
    crest, root = radius - min(THREAD_CREST * pitch, THREAD_CREST_MM), radius - THREAD_ROOT * pitch
    count = max(1, int((z1 - z0) / pitch))
    step = (z1 - z0) / count
    points: list[tuple[float, float]] = []
    for n in range(count):
        z = z0 + n * step
        points.append((root, z))
        points += [(crest, z + at * step) for at in (THREAD_CREST_FROM, THREAD_CREST_TO)]
    return [*points, (root, z1)]


def valid_solid(shape: object, part: str, feature: str) -> cq.Solid:
    """Return ``shape`` as one valid solid.

    Raises:
        SolidError: if the kernel made none, several, or an invalid one.
    """
    if not isinstance(shape, cq.Shape):
        raise SolidError(part, feature, f"the kernel gave {type(shape).__name__}")
    solids = shape.Solids()
    if len(solids) != 1:
        raise SolidError(part, feature, f"{len(solids)} solids instead of one")
    if not solids[0].isValid():
        raise SolidError(part, feature, "the solid is not valid")
    if solids[0].Volume() <= 0:
        raise SolidError(part, feature, "the solid has no volume")
    return solids[0]


def cut(body: cq.Shape, tools: Iterable[cq.Shape], part: str, feature: str) -> cq.Solid:
    """Return ``body`` less all ``tools``, checked."""
    return valid_solid(body.cut(*list(tools)), part, feature)


def join(body: cq.Shape, others: Iterable[cq.Shape], part: str, feature: str) -> cq.Solid:
    """Return the union, checked, with faces that lie in one surface made one."""
    return valid_solid(body.fuse(*list(others)).clean(), part, feature)


def rounded(solid: cq.Solid, edges: Sequence[cq.Edge], radius: float, part: str, feature: str) -> cq.Solid:
    """Return ``solid`` with ``edges`` rounded; where the kernel cannot, by half the radius, else as it is.

    A round on a casting is looks, not function: a failure here must not stop a size from being built.
    """
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.Standard import Standard_Failure
    from OCP.TopoDS import TopoDS_FrozenShape  # what a round that eats a face ends in

    for r in (radius, radius / 2):
        builder = BRepFilletAPI_MakeFillet(solid.wrapped)
        for edge in edges:
            builder.Add(r, edge.wrapped)
        try:
            builder.Build()
            if builder.IsDone():
                return valid_solid(cq.Shape.cast(builder.Shape()), part, feature)
        except (SolidError, Standard_Failure, TopoDS_FrozenShape):
            continue
    return solid
