"""Studs, screws, cover nuts and dowels."""

from __future__ import annotations

import math
from functools import lru_cache

import cadquery as cq

from ..dimensions.stack_up import StackUp
from ..dimensions.threads import Thread
from .solids import cut, hexagon, join, rod, single, threaded, turned

THREAD_CLEARANCE_MM = 0.1
"""Internal threads are plain bores this much wider (radius) than the nominal thread: see :func:`solids.threaded`."""

WING_SPAN = 2.0
"""How far a wing nut's wings reach from its axis, in thread diameters."""
WING_HALF_THICKNESS = 0.17
"""Half the thickness of its wings, in thread diameters."""


def stud_span_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of a stud: rooted in the gear case, through body and cover, two pitches past its nut."""
    s = stack.size
    thread = s.stud_thread
    top = stack.face_z + s.cover_thickness_mm + nut_height(stack) + 2 * thread.pitch_mm
    return -2.0 * thread.nominal_mm, top


def nut_height(stack: StackUp) -> float:
    """Return the height of a cover nut."""
    thread = stack.size.stud_thread
    return 1.15 * thread.nominal_mm if stack.options.cover_nuts == "wing" else thread.nut_height_mm


def make_stud(stack: StackUp) -> cq.Solid:
    """Return a stud; own frame z is the head's."""
    s = stack.size
    t = s.stud_thread
    z0, z1 = stud_span_z(stack)
    # The plain shank shows where body and cover slide; threads only where they hold.
    start = stack.face_z + s.cover_thickness_mm - 1.0 * t.nominal_mm
    outline = [
        (0, z0),
        (t.radius_mm - 0.1, z0),
        (t.radius_mm - 0.1, start),
        *threaded(t.radius_mm, t.pitch_mm, start, z1 - 0.6 * t.pitch_mm),
        (t.radius_mm - 1.1 * t.pitch_mm, z1),
        (0, z1),
    ]
    return turned(outline)


@lru_cache(maxsize=64)
def make_screw(thread: Thread, shank: float) -> cq.Solid:
    """Return a socket-head screw along Z: under-head face at z = 0, head towards +Z, shank ``shank`` long."""
    t = thread
    r, k, d = t.head_diameter_mm / 2, t.head_height_mm, t.radius_mm
    grip = max(0.0, shank - 2.2 * t.nominal_mm)
    line = threaded(d, t.pitch_mm, -shank + 0.5 * t.pitch_mm, -grip) if shank - grip > t.pitch_mm else []
    outline = [
        (0, -shank),
        (d - 1.0 * t.pitch_mm, -shank),
        *line,
        (d - 0.1, -grip if grip else -0.01),
        (d - 0.1, 0),
        (r, 0),
        (r, k - 0.08 * t.nominal_mm),
        (r - 0.08 * t.nominal_mm, k),
        (0, k),
    ]
    socket = hexagon(0.82 * t.nominal_mm, k - 0.55 * t.nominal_mm, k + 1, chamfer_front=False)
    return cut(turned(outline), [socket], "screw", "hexagon socket")


def make_hex_nut(thread: Thread) -> cq.Solid:
    """Return a hexagon nut: bearing face at z = 0, front chamfered, plain bore for the thread."""
    t = thread
    body = hexagon(t.across_flats_mm, 0, t.nut_height_mm)
    bore = rod(t.radius_mm + THREAD_CLEARANCE_MM, -1, t.nut_height_mm + 1)
    lead = turned(
        [
            (0, t.nut_height_mm - 0.5 * t.pitch_mm),
            (t.radius_mm + THREAD_CLEARANCE_MM, t.nut_height_mm - 0.5 * t.pitch_mm),
            (t.radius_mm + 0.6 * t.pitch_mm, t.nut_height_mm + 0.01),
            (0, t.nut_height_mm + 0.01),
        ]
    )
    return cut(body, [bore, lead], "cover nut", "bore")


def wing_reach(stack: StackUp) -> float:
    """Return the radius that a wing nut on the studs sweeps when it is turned: out to the corner of its wing's tip."""
    return math.hypot(WING_SPAN, WING_HALF_THICKNESS) * stack.size.stud_thread.nominal_mm


def make_wing_nut(stack: StackUp) -> cq.Solid:
    """Return a wing nut for hand tightening: round hub, two rounded wings, bearing face at z = 0."""
    t = stack.size.stud_thread
    d, h = t.nominal_mm, nut_height(stack)
    hub = turned([(0, 0), (1.0 * d, 0), (1.0 * d, 0.15 * d), (0.82 * d, h), (0, h)])
    wings = []
    for sign in (1, -1):
        work = (
            cq.Workplane("XZ", origin=(0, WING_HALF_THICKNESS * d, 0))
            .polyline(
                [
                    (sign * 0.55 * d, 0.25 * d),
                    (sign * 1.25 * d, 0.55 * d),
                    (sign * 1.95 * d, 1.15 * d),
                    (sign * WING_SPAN * d, 1.75 * d),
                    (sign * 1.5 * d, 1.8 * d),
                    (sign * 1.0 * d, 1.2 * d),
                    (sign * 0.55 * d, 1.05 * d),
                ]
            )
            .close()
            .extrude(2 * WING_HALF_THICKNESS * d)
        )
        wings.append(single(work.val(), "cover nut", "wing"))
    body = join(hub, wings, "cover nut", "wings on their hub")
    return cut(body, [rod(t.radius_mm + THREAD_CLEARANCE_MM, -1, h + 0.8 * d)], "cover nut", "bore")


@lru_cache(maxsize=64)
def make_dowel(diameter: float, z0: float, z1: float) -> cq.Solid:
    """Return a dowel along Z with both ends chamfered by a tenth of its diameter."""
    return rod(diameter / 2, z0, z1, chamfer=0.12 * diameter)


def nut_turn_deg(stack: StackUp, point: tuple[float, float]) -> float:
    """Return how a wing nut stands so that its wings clear the port and its neighbours: along the outline's tangent."""
    return math.degrees(math.atan2(point[1], point[0])) + 90.0


def make_cover_nut(stack: StackUp) -> cq.Solid:
    """Return the cover nut of the chosen form."""
    if stack.options.cover_nuts == "wing":
        return make_wing_nut(stack)
    return make_hex_nut(stack.size.stud_thread)
