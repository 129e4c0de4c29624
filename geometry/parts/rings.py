"""Elastic rings as solids: O-rings in place, wave springs at working height, disc springs."""

from __future__ import annotations

import math
from functools import lru_cache

import cadquery as cq

from ..assembly import Elastic
from ..cad_shapes import turned, valid_solid
from ..surfaces import Range, Surface
from .named_surfaces import FLAT_MM, ROUND_MM, ring, round_skin

CORE_CLEARANCE_MM = 0.02
"""How far an O-ring's pressed core stays from its gland's walls: above the mesh tolerance, far below any squeeze."""
LOOSE_MM = 0.05
"""Modelled gap between the relief spring's end coils and what they stand on: they meet along a line in truth."""
WAVE_GAP_MM = 0.03
"""The same of a wave spring's crests, on its half height."""
POINTS_A_WAVE = 16
"""Points through which the middle line of a wave spring is interpolated, for each wave."""


@lru_cache(maxsize=256)
def torus(centre_radius: float, section_radius: float, z: float = 0.0) -> cq.Solid:
    """Return a ring of round section about Z."""
    return cq.Solid.makeTorus(centre_radius, section_radius, cq.Vector(0, 0, z))


@lru_cache(maxsize=256)
def oring(
    centre_radius: float, section_mm: float, gland_mm: float, passing_radius: float | None = None
) -> tuple[cq.Solid, Elastic]:
    """Return an O-ring about Z, origin in its middle plane, and what it may do.

    Args:
        centre_radius: centre circle of the section in place, mm.
        section_mm: free section.
        gland_mm: distance of the two walls that press it.
        passing_radius: centre circle while it travels, stretched over a land; None where it need not stretch.
    """
    core_radius = min(section_mm, gland_mm) / 2 - CORE_CLEARANCE_MM
    core = torus(centre_radius, core_radius)
    passing = None
    if passing_radius is not None:
        # A stretched ring keeps its volume, so its section shrinks with the root of the stretch.
        thin = core_radius * min(1.0, math.sqrt(centre_radius / passing_radius))
        passing = torus(passing_radius, thin)
    return torus(centre_radius, section_mm / 2), Elastic((section_mm - gland_mm) / 2, core, passing)


@lru_cache(maxsize=256)
def stadium_oring(half_c: float, radius: float, section_mm: float) -> cq.Solid:
    """Return an O-ring laid in a stadium groove, centre line of ``radius`` about both shafts' axes.

    Its volume is that of the section times the centre line (Pappus).
    """
    path = (
        cq.Workplane("XY")
        .moveTo(-half_c, radius)
        .lineTo(half_c, radius)
        .threePointArc((half_c + radius, 0), (half_c, -radius))
        .lineTo(-half_c, -radius)
        .threePointArc((-half_c - radius, 0), (-half_c, radius))
        .close()
    )
    ring = cq.Workplane("YZ", origin=(-half_c, radius, 0)).circle(section_mm / 2).sweep(path)
    return valid_solid(ring.val(), "cover O-ring", "sweep along its groove")


@lru_cache(maxsize=256)
def wave_spring(
    inner: float, outer: float, height: float, thickness: float, waves: int = 3, free_height: float = 0.0
) -> tuple[cq.Solid, Elastic]:
    """Return a single-turn wave spring at ``height``, from z = 0 to ``height``, and what it may do.

    Nothing pressing it, it is ``free_height`` high, mm; 0 where that is not known.

    The strip keeps its width flat on radius and its thickness along the shaft; its middle line is a wave of ``waves``
    periods. It is drawn from a crest on, where the line runs level and the strip's section stands upright.
    """
    from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipeShell
    from OCP.gp import gp_Dir

    middle = (inner + outer) / 2
    swing = (height - thickness) / 2 - WAVE_GAP_MM
    count = POINTS_A_WAVE * waves
    points = []
    for k in range(count):
        a = 2 * math.pi * k / count
        points.append(
            cq.Vector(middle * math.cos(a), middle * math.sin(a), height / 2 + swing * math.cos(waves * a))
        )
    path = cq.Wire.assembleEdges([cq.Edge.makeSpline(points, periodic=True)])
    start = path.positionAt(0.0)
    tangent = path.tangentAt(0.0)
    across = cq.Plane(start, xDir=cq.Vector(1, 0, 0), normal=tangent)
    section = cq.Workplane(across).rect(outer - inner, thickness).ctx.pendingWires[0]
    pipe = BRepOffsetAPI_MakePipeShell(path.wrapped)
    pipe.SetMode(gp_Dir(0, 0, 1))
    pipe.Add(section.wrapped)
    pipe.Build()
    pipe.MakeSolid()
    solid = valid_solid(cq.Shape.cast(pipe.Shape()), "wave spring", "sweep along its wave")
    free_rise = (free_height - thickness) / (2 * swing) if free_height > height else 1.0
    return solid, Elastic(0.0, solid, free_rise=free_rise)


@lru_cache(maxsize=256)
def disc_spring(
    inner_d: float, outer_d: float, thickness: float, height: float, free_height: float
) -> tuple[cq.Solid, Elastic]:
    """Return a disc spring (Belleville washer) at ``height`` over all, and what it may do.

    Inner edge at the rear (z = 0), outer edge at the front (z = height): the cone opens towards +Z. Nothing pressing
    it, it is ``free_height`` over all, mm; pressed flat, it is taken to be as drawn.
    """
    ri, ro = inner_d / 2, outer_d / 2
    rise = height - thickness
    outline = [(ri, 0.0), (ro, rise), (ro, height), (ri, thickness)]
    solid = turned(outline)
    free_rise = (free_height - thickness) / rise if rise > 1e-6 else 1.0
    return solid, Elastic(0.0, solid, free_rise=free_rise)


def oring_surfaces(centre_radius: float, section_mm: float, drawn: float = 0.0) -> tuple[Surface, ...]:
    """Return the named surfaces of an O-ring, origin in its middle plane: its four sides, each a quarter of its skin.

    ``drawn`` is half the straight length of one laid as a racetrack.
    """
    r, half = centre_radius, section_mm / 2
    broad, quarter = half + ROUND_MM, half / math.sqrt(2)
    rows: tuple[tuple[str, Range, Range, bool, float], ...] = (
        ("outer diameter", (r + quarter, r + broad), (-broad, broad), False, 2 * (r + half)),
        ("inner diameter", (r - broad, r - quarter), (-broad, broad), False, 2 * (r - half)),
        ("front side", (r - broad, r + broad), (quarter, broad), False, section_mm),
        ("rear side", (r - broad, r + broad), (-broad, -quarter), True, section_mm),
    )
    return tuple(
        ring(name, "edge", radii, heights, back=back, size=size, drawn=drawn)
        for name, radii, heights, back, size in rows
    )


def wave_spring_surfaces(inner: float, outer: float, height: float) -> tuple[Surface, ...]:
    """Return the named surfaces of a wave spring: crests are what lies in the last tenth of its height."""
    crest = height / 10
    radii = (inner - ROUND_MM, outer + ROUND_MM)
    return (
        ring("front crests", "end", radii, (height - crest, height), size=height),
        ring("rear crests", "end", radii, (0.0, crest), back=True, size=height),
        round_skin("inner edge", "edge", inner, (0.0, height)),
        round_skin("outer edge", "edge", outer, (0.0, height)),
    )


def disc_spring_surfaces(
    inner_d: float, outer_d: float, thickness: float, height: float
) -> tuple[Surface, ...]:
    """Return the named surfaces of a disc spring; its hollow side looks to the front.

    Heights alone tell its two sides apart where its cone rises by no more than its thickness; of one that rises more,
    the rim of its hollow side and the middle of its crown are named.
    """
    ri, ro, rise = inner_d / 2, outer_d / 2, height - thickness
    across = (ri + FLAT_MM, ro - FLAT_MM)
    upper, lower = max(thickness, rise + 2 * FLAT_MM), min(rise, thickness - 2 * FLAT_MM)
    return (
        round_skin("inner edge", "edge", ri, (0.0, thickness), back=True),
        round_skin("outer edge", "edge", ro, (rise, height)),
        ring("hollow side", "face", across, (upper - FLAT_MM, height + FLAT_MM), size=height),
        ring("crown side", "face", across, (-FLAT_MM, lower + FLAT_MM), back=True, size=height),
    )
