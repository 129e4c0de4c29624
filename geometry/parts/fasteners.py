"""Studs, screws, cover nuts and dowels."""

from __future__ import annotations

import math
from functools import lru_cache

import cadquery as cq

from ..cad_shapes import PAST_MM, chamfer_drop, cut, cylinder, hexagon, join, threaded, turned, valid_solid
from ..dimensions.stack_up import StackUp
from ..dimensions.threads import Thread
from ..surfaces import Surface
from .named_surfaces import FLAT_MM, ROUND_MM, face, ring, round_skin

THREAD_CLEARANCE_MM = 0.1
"""Internal threads are plain bores this much wider (radius) than the nominal thread: see :func:`solids.threaded`."""

SHANK_GAP_MM = 0.1
"""How much thinner (radius) a shank is than its thread's nominal diameter: it shows where the thread begins."""
STUD_TIP_PITCHES, STUD_TIP_FROM_PITCHES = 1.1, 0.6
"""Bevel of a stud's end on radius, and where its thread ends before it, in pitches."""
SCREW_THREAD = 2.2
"""Longest thread of a screw, in diameters: about that of ISO 4762."""
SCREW_TIP_PITCHES, SCREW_TIP_FROM_PITCHES = 1.0, 0.5
"""The same of a screw's end."""
SCREW_EDGE, SCREW_SOCKET, SCREW_SOCKET_DEPTH = 0.08, 0.82, 0.55
"""Bevel of a socket head, width across its socket's flats and depth of it, in diameters: about those of ISO 4762."""
NUT_LEAD_PITCHES, NUT_LEAD_DEPTH_PITCHES = 0.6, 0.5
"""Countersink of a nut's thread beyond its nominal radius and along it, in pitches."""
DOWEL_BEVEL = 0.12
"""Bevel of a dowel's ends, in diameters."""
WING_HUB = ((1.0, 0.0), (1.0, 0.15), (0.82, 1.0))
"""Outline of a wing nut's hub from its bearing face: radius in diameters; height in diameters, at the end in hubs."""
WING_OUTLINE = (
    (0.275, 0.25), (0.625, 0.55), (0.975, 1.15), (1.0, 1.75), (0.75, 1.8), (0.5, 1.2), (0.275, 1.05),
)  # fmt: skip
"""Outline of a wing: from the axis as a share of the wings' reach, height in diameters. Its shape is nobody's
drawing; what matters is how far it reaches when it is turned."""


def stud_span_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of a stud: rooted in the gear case, through body and cover, some pitches past its nut."""
    s = stack.size
    thread = s.stud_thread
    top = stack.face_z + s.cover_thickness_mm + nut_height(stack) + s.stud_end_pitches * thread.pitch_mm
    return -s.stud_root_mm, top


def nut_height(stack: StackUp) -> float:
    """Return the height of a cover nut."""
    s = stack.size
    return s.wing_nut_height_mm if stack.options.cover_nuts == "wing" else s.stud_thread.nut_height_mm


def make_stud(stack: StackUp) -> cq.Solid:
    """Return a stud; own frame z is the head's."""
    s = stack.size
    t = s.stud_thread
    z0, z1 = stud_span_z(stack)
    # The plain shank shows where body and cover slide; threads only where they hold.
    start = stack.face_z + s.cover_thickness_mm - s.stud_thread_length_mm
    shank = t.radius_mm - SHANK_GAP_MM
    outline = [
        (0, z0),
        (shank, z0),
        (shank, start),
        *threaded(t.radius_mm, t.pitch_mm, start, z1 - STUD_TIP_FROM_PITCHES * t.pitch_mm),
        (t.radius_mm - STUD_TIP_PITCHES * t.pitch_mm, z1),
        (0, z1),
    ]
    return turned(outline)


@lru_cache(maxsize=64)
def make_screw(thread: Thread, shank: float) -> cq.Solid:
    """Return a socket-head screw along Z: under-head face at z = 0, head towards +Z, shank ``shank`` long."""
    t = thread
    head, height, radius = t.head_diameter_mm / 2, t.head_height_mm, t.radius_mm
    grip = max(0.0, shank - SCREW_THREAD * t.nominal_mm)
    if shank - grip > t.pitch_mm:
        thread_line = threaded(radius, t.pitch_mm, -shank + SCREW_TIP_FROM_PITCHES * t.pitch_mm, -grip)
    else:
        thread_line = []
    edge = SCREW_EDGE * t.nominal_mm
    outline = [
        (0, -shank),
        (radius - SCREW_TIP_PITCHES * t.pitch_mm, -shank),
        *thread_line,
        (radius - SHANK_GAP_MM, -grip if grip else -0.01),
        (radius - SHANK_GAP_MM, 0),
        (head, 0),
        (head, height - edge),
        (head - edge, height),
        (0, height),
    ]
    floor = height - SCREW_SOCKET_DEPTH * t.nominal_mm
    socket = hexagon(SCREW_SOCKET * t.nominal_mm, floor, height + PAST_MM, chamfer_front=False)
    return cut(turned(outline), [socket], "screw", "hexagon socket")


def make_hex_nut(thread: Thread) -> cq.Solid:
    """Return a hexagon nut: bearing face at z = 0, front chamfered, plain bore for the thread."""
    t = thread
    height, bore = t.nut_height_mm, t.radius_mm + THREAD_CLEARANCE_MM
    start, end = height - NUT_LEAD_DEPTH_PITCHES * t.pitch_mm, height + 0.01
    lead = turned([(0, start), (bore, start), (t.radius_mm + NUT_LEAD_PITCHES * t.pitch_mm, end), (0, end)])
    tools = [cylinder(bore, -PAST_MM, height + PAST_MM), lead]
    return cut(hexagon(t.across_flats_mm, 0, height), tools, "cover nut", "bore")


def wing_reach(stack: StackUp) -> float:
    """Return the radius that a wing nut on the studs sweeps when it is turned: out to the corner of its wing's tip."""
    return math.hypot(stack.size.wing_nut_span_mm, stack.size.wing_nut_wing_mm / 2)


def make_wing_nut(stack: StackUp) -> cq.Solid:
    """Return a wing nut for hand tightening: round hub, two rounded wings, bearing face at z = 0."""
    s = stack.size
    t = s.stud_thread
    d, height = t.nominal_mm, nut_height(stack)
    (r0, _), (r1, z1), (r2, z2) = WING_HUB
    hub = turned([(0, 0), (r0 * d, 0), (r1 * d, z1 * d), (r2 * d, z2 * height), (0, height)])
    thick = s.wing_nut_wing_mm
    wings = []
    for sign in (1, -1):
        points = [(sign * x * s.wing_nut_span_mm, z * d) for x, z in WING_OUTLINE]
        work = cq.Workplane("XZ", origin=(0, thick / 2, 0)).polyline(points).close().extrude(thick)
        wings.append(valid_solid(work.val(), "cover nut", "wing"))
    body = join(hub, wings, "cover nut", "wings on their hub")
    # Bored up to beyond the wings' tips.
    bore = cylinder(t.radius_mm + THREAD_CLEARANCE_MM, -PAST_MM, height + max(z for _, z in WING_OUTLINE) * d)
    return cut(body, [bore], "cover nut", "bore")


@lru_cache(maxsize=64)
def make_dowel(diameter: float, z0: float, z1: float) -> cq.Solid:
    """Return a dowel along Z with both ends bevelled."""
    return cylinder(diameter / 2, z0, z1, chamfer=DOWEL_BEVEL * diameter)


def nut_turn_deg(stack: StackUp, point: tuple[float, float]) -> float:
    """Return how a wing nut stands so that its wings clear the port and its neighbours: along the outline's tangent."""
    return math.degrees(math.atan2(point[1], point[0])) + 90.0


def make_cover_nut(stack: StackUp) -> cq.Solid:
    """Return the cover nut of the chosen form."""
    if stack.options.cover_nuts == "wing":
        return make_wing_nut(stack)
    return make_hex_nut(stack.size.stud_thread)


def stud_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a stud."""
    s, t = stack.size, stack.size.stud_thread
    _, end = stud_span_z(stack)
    start = stack.face_z + s.cover_thickness_mm - s.stud_thread_length_mm
    tip = end - STUD_TIP_FROM_PITCHES * t.pitch_mm
    return (
        ring(
            "thread", "thread", (t.root_radius_mm - ROUND_MM, t.radius_mm), (start + FLAT_MM, tip),
            size=t.nominal_mm,
        ),
        round_skin("shank", "journal", t.radius_mm - SHANK_GAP_MM, (0.0, start - FLAT_MM)),
        face("front end", end, (0.0, t.radius_mm), kind="end", size=t.nominal_mm),
    )  # fmt: skip


def screw_surfaces(thread: Thread, shank: float) -> tuple[Surface, ...]:
    """Return the named surfaces of a socket-head screw; ``socket`` is its internal hexagon by width across flats."""
    t = thread
    head, height, flats = t.head_diameter_mm / 2, t.head_height_mm, SCREW_SOCKET * t.nominal_mm
    floor, grip = height - SCREW_SOCKET_DEPTH * t.nominal_mm, max(0.0, shank - SCREW_THREAD * t.nominal_mm)
    return (
        ring(
            "socket",
            "socket",
            (0.0, flats / math.sqrt(3) + FLAT_MM),
            (floor - FLAT_MM, height - FLAT_MM),
            size=flats,
        ),
        round_skin("head", "journal", head, (FLAT_MM, height - SCREW_EDGE * t.nominal_mm)),
        face("bearing face", 0.0, (t.radius_mm, head), back=True, size=2 * head),
        ring(
            "thread",
            "thread",
            (0.0, t.radius_mm),
            (-shank + FLAT_MM, -grip - FLAT_MM),
            size=t.nominal_mm,
            back=True,
        ),
    )


def cover_nut_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a cover nut: a hexagon, or two wings on a hub."""
    t = stack.size.stud_thread
    height, bore = nut_height(stack), t.radius_mm + THREAD_CLEARANCE_MM
    wing = stack.options.cover_nuts == "wing"
    outside = t.nominal_mm if wing else t.across_flats_mm / math.sqrt(3)
    lead = 0.0 if wing else NUT_LEAD_DEPTH_PITCHES * t.pitch_mm
    found = [
        face("bearing face", 0.0, (bore, outside), back=True),
        round_skin(
            "thread", "thread", bore, (FLAT_MM, height - lead - FLAT_MM), back=True, size=t.nominal_mm
        ),
    ]
    if wing:
        d, top = t.nominal_mm, max(z for _, z in WING_OUTLINE)
        found.append(ring("wings", "flank", (d + FLAT_MM, wing_reach(stack) + ROUND_MM), (0.0, top * d)))
    else:
        found.append(hexagon_surface(t.across_flats_mm, 0.0, height))
    return tuple(found)


def hexagon_surface(across_flats: float, start: float, end: float) -> Surface:
    """Return the hexagon of a nut whose front corners are turned off at ``end``: its flats where they are whole."""
    corner = across_flats / math.sqrt(3)
    radii = (across_flats / 2 - FLAT_MM, corner + FLAT_MM)
    return ring(
        "hexagon",
        "hexagon",
        radii,
        (start + FLAT_MM, end - chamfer_drop(across_flats) - FLAT_MM),
        size=across_flats,
    )


def dowel_surfaces(diameter: float, z0: float, z1: float) -> tuple[Surface, ...]:
    """Return the named surfaces of a dowel."""
    bevel, flat = DOWEL_BEVEL * diameter, (0.5 - DOWEL_BEVEL) * diameter + FLAT_MM
    return (
        face("front end", z1, (0.0, flat), kind="end", size=diameter),
        face("rear end", z0, (0.0, flat), kind="end", back=True, size=diameter),
        round_skin("side", "pin", diameter / 2, (z0 + bevel, z1 - bevel)),
    )
