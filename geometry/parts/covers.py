"""Covers: plain, with a relief valve (a spring-loaded piston, see :mod:`.relief`) and jacketed.

The cover O-ring lies in the body's groove.
"""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import PAST_MM, cut, cylinder, join, stadium, turned, valid_solid
from ..dimensions.stack_up import StackUp
from ..surfaces import FAR_MM, Surface
from .body import dowel_holes, outline_block
from .fasteners import THREAD_CLEARANCE_MM, wing_reach
from .named_surfaces import FLAT_MM, face, hole, round_skin
from .relief import cap_flange_z, relief_bores, relief_radius, relief_screw_points, relief_step_z

SUNK_MM = 0.5
"""How far pad and jacket are sunk into the plate that they are joined to."""
PAD_BEVEL = 0.012
"""Bevel round the pad, as a share of C; so small that nobody measures it."""
DOWEL_LEAD_MM = 0.6
"""Lead-in cone of a dowel hole, on radius and along it."""
PIPE_ROOT, PIPE_BEVEL = 0.1, 0.01
"""How far a jacket connection is sunk into the jacket, and its bevel, as shares of C."""
PIPE_BORE_START, PIPE_THREAD_START = 0.05, 0.05
"""Where a connection's bore begins before the plate, and its thread before the jacket, as shares of C."""
BAFFLE_ROOT = 0.1
"""How far the baffle reaches into the plate, as a share of C: it need only stand on it."""

NUT_SEAT = 1.0
"""Radius about a stud on which its nut bears on the cover, in its diameters."""


def make_cover(stack: StackUp) -> cq.Solid:
    """Return the cover, rear face at z = 0, dowel holes in the rear, stud holes through.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    thick = stack.size.cover_thickness_mm
    plate = outline_block(stack, 0, thick, stack.size.cover_bevel_mm)
    form = stack.options.cover
    tools: list[cq.Shape] = []
    if form == "jacketed":
        solid = join(plate, [_jacket(stack)], "cover", "jacket")
        tools += _jacket_room(stack)
    else:
        solid = join(plate, [_pad(stack)], "cover", "pad")
    if form == "relief":
        tools += relief_bores(stack)
    tools += [
        cylinder(stack.size.stud_hole_mm / 2, -PAST_MM, thick + PAST_MM, x, y) for x, y in stack.stud_points
    ]
    return cut(solid, [*tools, *_dowel_holes(stack)], "cover", "holes")


def _pad(stack: StackUp) -> cq.Solid:
    """Return the raised pad on the front of the plate."""
    s, c = stack.size, stack.size.c
    thick = s.cover_thickness_mm
    pad = stadium(c / 2, s.cover_pad_radius_mm, thick - SUNK_MM, thick + s.cover_pad_height_mm)
    return valid_solid(cq.Workplane(pad).faces(">Z").edges().chamfer(PAD_BEVEL * c).val(), "cover", "pad")


def _dowel_holes(stack: StackUp) -> list[cq.Shape]:
    """Return the blind holes for both body dowels, with their lead-in cones."""
    s = stack.size
    deep, lead = s.dowel_reach_mm + s.dowel_hole_spare_mm, DOWEL_LEAD_MM
    holes: list[cq.Shape] = []
    for name, (x, y) in stack.dowel_points.items():
        r = s.dowels_mm[name] / 2 + s.fit_gap_mm
        outline = [(0, -PAST_MM), (r + lead, -PAST_MM), (r + lead, 0.0), (r, lead), (r, deep), (0, deep)]
        holes.append(turned(outline).translate(cq.Vector(x, y, 0)))
    return holes


def jacket_radius(stack: StackUp) -> float:
    """Return the outer radius of the jacket about both shafts' axes, less where wing nuts need the room to turn."""
    s = stack.size
    if stack.options.cover_nuts != "wing":
        return s.jacket_radius_mm
    near = min(math.hypot(max(abs(x) - s.c / 2, 0.0), y) for x, y in stack.stud_points)
    return min(s.jacket_radius_mm, near - wing_reach(stack) - s.wing_nut_room_mm)


def _pipe_xs(stack: StackUp) -> tuple[float, float]:
    """Return where the jacket's two connections stand."""
    x = stack.size.jacket_pipe_offset_mm
    return x, -x


def _jacket(stack: StackUp) -> cq.Solid:
    """Return the outside of the jacket: a stadium shell with two threaded connections."""
    s, c = stack.size, stack.size.c
    front = s.cover_thickness_mm + s.jacket_height_mm
    block = stadium(c / 2, jacket_radius(stack), s.cover_thickness_mm - SUNK_MM, front)
    rounded = cq.Workplane(block).faces(">Z").edges().fillet(s.jacket_round_mm)
    shell = valid_solid(rounded.val(), "cover", "jacket's rounded rim")
    start, end = front - PIPE_ROOT * c, front + s.jacket_pipe_length_mm
    pipes = [cylinder(s.jacket_pipe_mm / 2, start, end, x, chamfer=PIPE_BEVEL * c) for x in _pipe_xs(stack)]
    return join(shell, pipes, "cover", "jacket connections")


def _jacket_room(stack: StackUp) -> list[cq.Shape]:
    """Return what is hollow in the jacket: its chamber and the bores of its two connections."""
    s, c = stack.size, stack.size.c
    rear, front = s.cover_thickness_mm, s.cover_thickness_mm + s.jacket_height_mm
    chamber = stadium(c / 2, jacket_radius(stack) - s.jacket_wall_mm, rear, front - s.jacket_wall_mm)
    # A baffle between the connections makes the medium go round; it leaves a way at both ends.
    thick, long = s.jacket_baffle_mm, s.jacket_baffle_length_mm
    corner = cq.Vector(-thick / 2, -long / 2, rear - BAFFLE_ROOT * c)
    room: list[cq.Shape] = [chamber.cut(cq.Solid.makeBox(thick, long, c, corner))]
    for x in _pipe_xs(stack):
        room.append(cylinder(s.jacket_pipe_bore_mm / 2, rear + PIPE_BORE_START * c, front + c, x))
        room.append(cylinder(s.jacket_pipe_thread_mm / 2, front + PIPE_THREAD_START * c, front + c, x))
    return room


def cover_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the cover."""
    back = (0.0, 0.0, -1.0)
    return (Feature("rear face", "face", (0, 0, 0), back, mates="body"), *dowel_holes(stack, back))


def cover_gland_z(stack: StackUp) -> float:
    """Return the middle plane of the cover O-ring, head frame."""
    return stack.face_z - stack.face_gland_mm(stack.size.cover_oring_section_mm) / 2


def cover_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the cover; its inner face ends where the sealing face begins, at the O-ring."""
    s, thick = stack.size, stack.size.cover_thickness_mm
    (inner, _), half = stack.cover_groove, s.c / 2
    found = [
        face("inner face", 0.0, (0.0, inner), back=True, drawn=half),
        face("sealing face", 0.0, (inner, FAR_MM), back=True, drawn=half),
        face("front face", thick),
    ]
    for name, at in stack.dowel_points.items():
        d, lead = s.dowels_mm[name], s.fit_gap_mm + DOWEL_LEAD_MM
        deep = s.dowel_reach_mm + s.dowel_hole_spare_mm
        found.append(
            hole(f"{name} dowel hole", d / 2 + lead, (0.0, deep + FLAT_MM), at=at, back=True, size=d)
        )
    for n, at in enumerate(stack.stud_points, 1):
        seat = s.stud_hole_mm / 2
        found.append(hole(f"stud hole {n}", seat, (0.0, thick - FLAT_MM), at=at, back=True))
        found.append(face(f"nut seat {n}", thick, (seat, NUT_SEAT * s.stud_thread.nominal_mm), at=at))
    if stack.options.cover == "jacketed":
        front = thick + s.jacket_height_mm
        for n, x in enumerate(_pipe_xs(stack), 1):
            end, radius = front + s.jacket_pipe_length_mm, s.jacket_pipe_thread_mm / 2
            deep = front + PIPE_THREAD_START * s.c
            found.append(hole(f"jacket connection {n}", radius, (deep, end), at=(x, 0.0)))
    if stack.options.cover == "relief":
        seat, step = cap_flange_z(stack), relief_step_z(stack)
        wide = relief_radius(stack) + s.relief_counterbore_gap_mm
        found += [
            round_skin("piston bore", "bore", relief_radius(stack), (0.0, step - FLAT_MM)),
            face("piston step", step, (relief_radius(stack), wide), kind="shoulder"),
            face("cap seat", seat, (wide, s.relief_cap_flange_mm / 2)),
        ]
        for n, at in enumerate(relief_screw_points(stack), 1):
            t = s.relief_screw_thread
            radius, heights = t.radius_mm + THREAD_CLEARANCE_MM, (seat - s.relief_screw_hole_depth_mm, seat)
            found.append(hole(f"screw hole {n}", radius, heights, at=at, size=t.nominal_mm))
    return tuple(found)
