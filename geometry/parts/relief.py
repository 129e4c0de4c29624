"""The relief valve of a relief cover: a spring-loaded piston in the plate, its spring and its cap.

It lies over the mesh, between outlet and inlet: lifted off the rotors' front faces it opens a bypass inside the head.
The vents of the cap let the spring's room breathe, and show what passes the piston's O-ring.

Own frame of all of them is the cover's, but for the cap, which begins at its flange's face.
"""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Elastic
from ..cad_shapes import EDGE_MM, PAST_MM, cross_cylinder, cut, cylinder, turned, valid_solid
from ..dimensions.parts_list import RELIEF_SCREWS
from ..dimensions.room_measures import cap_front_z
from ..dimensions.stack_up import StackUp
from ..frame import Z
from ..surfaces import Surface
from .fasteners import THREAD_CLEARANCE_MM
from .named_surfaces import FLAT_MM, ROUND_MM, face, hole, ring, round_skin
from .rings import LOOSE_MM

FIRST_SCREW_DEG = 45.0
"""Angle of the first of the relief cap's screws, from +X."""
VENTS = 4
"""Vents in the cap, evenly spaced between its screws."""
PISTON_PLAY_MM = 0.02
"""Modelled on top of the piston's sliding fit: just above the mesh tolerance, so that no false overlap appears."""
CLOSED_TURN_GAP_MM = 0.1
"""Modelled gap of the spring's closed turns, which touch in truth."""
POINTS_A_TURN = 16
"""Points through which the spring's middle line is interpolated, for each turn."""
PISTON_FACE_MM = 0.1
"""How far the piston's wetted face lies behind the plate's."""
GUIDE_BEVEL = 0.01
"""Bevel of the spring guide's end, as a share of C."""
CAP_BEVEL, CAP_FOOT = 0.01, 0.015
"""Bevel of the cap's flange, and of the foot of its cup, as shares of C."""
CAP_CROWN = (0.025, 0.03)
"""Bevel of the cap's top, on radius and along it, as shares of C."""


def relief_radius(stack: StackUp) -> float:
    """Return the radius of the relief piston's bore."""
    return stack.size.relief_bore_mm / 2


def relief_step_z(stack: StackUp) -> float:
    """Return the height in the cover of the step that stops the piston."""
    return stack.size.relief_step_share * stack.size.cover_thickness_mm


def relief_screw_points(stack: StackUp) -> list[tuple[float, float]]:
    """Return (x, y) of the relief cap's screws."""
    radius = stack.size.relief_screw_circle_mm / 2
    angles = [math.radians(FIRST_SCREW_DEG + 360 / RELIEF_SCREWS * k) for k in range(RELIEF_SCREWS)]
    return [(radius * math.cos(a), radius * math.sin(a)) for a in angles]


def cap_flange_z(stack: StackUp) -> float:
    """Return where the relief cap's flange bears: the cover's raised pad."""
    return stack.size.cover_thickness_mm + stack.size.cover_pad_height_mm


def relief_bores(stack: StackUp) -> list[cq.Shape]:
    """Return what is taken out of the cover: the piston's stepped bore, the threaded holes for the cap's screws."""
    s = stack.size
    r, step, beyond = relief_radius(stack), relief_step_z(stack), s.cover_thickness_mm + s.c
    screw = s.relief_screw_thread.radius_mm + THREAD_CLEARANCE_MM
    deep = cap_flange_z(stack) - s.relief_screw_hole_depth_mm
    return [
        cylinder(r, -PAST_MM, step + PAST_MM),
        cylinder(r + s.relief_counterbore_gap_mm, step, beyond),
        *(cylinder(screw, deep, beyond, x, y) for x, y in relief_screw_points(stack)),
    ]


def make_relief_piston(stack: StackUp) -> cq.Solid:
    """Return the relief piston: wetted face at z = 0, groove for its O-ring, collar in front, spring guide."""
    s = stack.size
    step, bore = relief_step_z(stack), relief_radius(stack)
    r = bore - s.fit_gap_mm - PISTON_PLAY_MM
    g0, g1 = piston_groove_z(stack)
    deep = bore - stack.sliding_gland_mm(s.seal_oring_section_mm)
    collar, front = bore + s.piston_collar_step_mm, step + s.piston_collar_mm
    guide, tip, bevel = s.piston_guide_mm / 2, step + s.piston_guide_length_mm, GUIDE_BEVEL * s.c
    return turned(
        [
            (0, PISTON_FACE_MM),
            (r - EDGE_MM, PISTON_FACE_MM),
            (r, PISTON_FACE_MM + EDGE_MM),
            (r, g0),
            (deep, g0),
            (deep, g1),
            (r, g1),
            (r, step),
            (collar, step),
            (collar, front),
            (guide, front),
            (guide, tip - bevel),
            (guide - bevel, tip),
            (0, tip),
        ]
    )


def piston_groove_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of the piston's O-ring groove, half-way to the step."""
    width = stack.gland_width_mm(stack.size.seal_oring_section_mm)
    middle = relief_step_z(stack) / 2
    return middle - width / 2, middle + width / 2


def relief_spring_z(stack: StackUp) -> tuple[float, float]:
    """Return where the relief spring stands: from the piston's collar to the top of the cap's room."""
    s = stack.size
    return relief_step_z(stack) + s.piston_collar_mm, cap_front_z(stack)


def make_relief_spring(stack: StackUp) -> tuple[cq.Solid, Elastic]:
    """Return the relief spring at its fitted length from z = 0: round wire, a closed turn at each end."""
    s = stack.size
    z0, z1 = relief_spring_z(stack)
    wire, mean, turns = s.relief_wire_mm, s.relief_spring_mm / 2, s.relief_spring_turns
    height = z1 - z0 - wire - 2 * LOOSE_MM
    closed = wire + CLOSED_TURN_GAP_MM
    rise = (height - 2 * closed) / turns

    def rises(turn: float) -> float:
        """Return how high the wire's middle line is after ``turn`` turns."""
        ends = min(turn, 1.0) + max(turn - 1.0 - turns, 0.0)
        return closed * ends + rise * min(max(turn - 1.0, 0.0), turns)

    count = round(POINTS_A_TURN * (turns + 2))
    points = []
    for k in range(count + 1):
        turn = (turns + 2) * k / count
        a = 2 * math.pi * turn
        points.append(cq.Vector(mean * math.cos(a), mean * math.sin(a), rises(turn)))
    path = cq.Wire.assembleEdges([cq.Edge.makeSpline(points)])
    across = cq.Plane(points[0], xDir=cq.Vector(1, 0, 0), normal=path.tangentAt(0.0))
    swept = cq.Workplane(across).circle(wire / 2).sweep(cq.Workplane(path), isFrenet=True).val()
    solid = valid_solid(swept, "relief spring", "sweep along its turns")
    coil = valid_solid(solid.translate(cq.Vector(0, 0, wire / 2 + LOOSE_MM)), "relief spring", "coil")
    return coil, Elastic(0.0, coil)


def make_relief_cap(stack: StackUp) -> cq.Solid:
    """Return the cap over the relief spring: flange face at z = 0, cup in front with vents."""
    s, c = stack.size, stack.size.c
    room, cup, flange = (d / 2 for d in (s.relief_cap_room_mm, s.relief_cap_mm, s.relief_cap_flange_mm))
    thick, top = s.relief_cap_flange_thickness_mm, s.relief_cap_height_mm
    crown, (crown_r, crown_z) = top + s.relief_cap_top_mm, (share * c for share in CAP_CROWN)
    outline = [
        (room, 0),
        (flange, 0),
        (flange, thick - CAP_BEVEL * c),
        (flange - CAP_BEVEL * c, thick),
        (cup + CAP_FOOT * c, thick),
        (cup, thick + CAP_FOOT * c),
        (cup, crown - crown_z),
        (cup - crown_r, crown),
        (0, crown),
        (0, top),
        (room, top),
    ]
    holes: list[cq.Shape] = [
        cylinder(s.relief_screw_hole_mm / 2, -PAST_MM, c, x, y) for x, y in relief_screw_points(stack)
    ]
    start = (0, 0, s.relief_vent_height_mm)
    for k in range(VENTS):
        a = math.radians(360 / VENTS * k)
        holes.append(cross_cylinder(s.relief_vent_mm / 2, start, (math.cos(a), math.sin(a), 0), c))
    return cut(turned(outline), holes, "relief cap", "screw holes and vents")


def relief_piston_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the relief piston."""
    s, step, bore = stack.size, relief_step_z(stack), relief_radius(stack)
    r, (g0, g1) = bore - s.fit_gap_mm - PISTON_PLAY_MM, piston_groove_z(stack)
    deep = bore - stack.sliding_gland_mm(s.seal_oring_section_mm)
    guide, collar = s.piston_guide_mm / 2, bore + s.piston_collar_step_mm
    front, tip = step + s.piston_collar_mm, step + s.piston_guide_length_mm
    return (
        face("wetted face", PISTON_FACE_MM, (0.0, r), back=True),
        round_skin("sliding face", "journal", r, (PISTON_FACE_MM + EDGE_MM, step - FLAT_MM), back=True),
        ring(
            "O-ring groove",
            "groove",
            (deep - ROUND_MM, r - FLAT_MM),
            (g0 - FLAT_MM, g1 + FLAT_MM),
            size=g1 - g0,
        ),
        face("collar face", step, (r, collar), kind="shoulder", back=True),
        face("spring face", front, (guide, collar)),
        round_skin("guide", "journal", guide, (front + FLAT_MM, tip - GUIDE_BEVEL * s.c)),
        face("guide end", tip, (0.0, guide), kind="end"),
    )


def relief_spring_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the relief spring: both ends, its coils between them."""
    z0, z1 = relief_spring_z(stack)
    wire, height = stack.size.relief_wire_mm, z1 - z0
    outside = stack.size.relief_spring_mm / 2 + wire / 2 + ROUND_MM
    return (
        ring("front end", "end", (0.0, outside), (height - wire, height), size=height),
        ring("rear end", "end", (0.0, outside), (0.0, wire), back=True, size=height),
        ring("coils", "flank", (0.0, outside), (wire, height - wire), size=wire),
    )


def relief_cap_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the relief cap."""
    s = stack.size
    room, cup, flange = (d / 2 for d in (s.relief_cap_room_mm, s.relief_cap_mm, s.relief_cap_flange_mm))
    thick, crown = s.relief_cap_flange_thickness_mm, s.relief_cap_height_mm + s.relief_cap_top_mm
    found = [
        face("flange face", 0.0, (room, flange), back=True, size=2 * flange),
        face("top", crown, (0.0, cup), kind="end", size=2 * cup),
        face("flange front", thick, (cup, flange)),
    ]
    for n, at in enumerate(relief_screw_points(stack), 1):
        found.append(hole(f"screw hole {n}", s.relief_screw_hole_mm / 2, (0.0, thick), at=at))
    for k in range(VENTS):
        a = math.radians(360 / VENTS * k)
        out = (math.cos(a), math.sin(a), 0.0)
        mouth = (cup * out[0], cup * out[1], s.relief_vent_height_mm)
        radius = s.relief_vent_mm / 2
        found.append(
            Surface(
                f"vent {k + 1}", "hole", mouth, out, 2 * radius, (radius - ROUND_MM, radius + FLAT_MM),
                (room - cup, 0.0), Z,
            )
        )  # fmt: skip
    return tuple(found)
