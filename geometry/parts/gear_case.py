"""Gear case front: the machined face that carries body, dowels and studs; the gears behind it are not modelled."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import PAST_MM, cross_cylinder, cut, cylinder, join, prism, rounded, turned, valid_solid
from ..dimensions.stack_up import StackUp
from ..frame import Z
from ..surfaces import Surface
from .body import dowel_holes, outline_block
from .fasteners import THREAD_CLEARANCE_MM, stud_span_z
from .named_surfaces import face, hole, round_skin

FLANGE_OVERLAP = 0.1
"""How far the housing ends behind the front face, within the flange, as a share of C."""
PLUG_ROOT = 0.05
"""How far the filler plug is sunk into the casting, as a share of C."""
BOSS_ROOT = 0.1
"""How far the drive shaft's boss is sunk into the casting, as a share of C."""
BOSS_BEVEL = 0.015
"""Bevel of that boss, as a share of C; so small that nobody measures it."""
FOOT_DRILL = 0.35
"""How far the drill for a foot's hole goes in from its sole, as a share of C."""
STUD_RUN_OUT_MM, SCREW_RUN_OUT_MM, DOWEL_ROOM_MM = 0.5, 1.5, 1.0
"""How much deeper the holes for studs, screws and dowels are than these reach; nothing ends on their floor."""
DOWEL_LEAD_MM = 0.8
"""Lead-in cone of a dowel hole, on radius and along it."""


def make_gear_case(stack: StackUp) -> cq.Solid:
    """Return the gear case, front face at z = 0, with feet below (against the reader's up), plugs and a sight glass.

    With ports sideways the head stands on end, so the feet stand under the drive shaft.
    """
    flange = outline_block(stack, -stack.size.case_flange_mm, 0, stack.size.casting_bevel_mm)
    upright = [*_feet(stack), _filler_plug(stack)]
    if _sideways(stack):
        upright = [
            valid_solid(e.rotate(cq.Vector(), cq.Vector(0, 0, 1), -90), "gear case", "feet") for e in upright
        ]
    parts = [_housing(stack), _drive_boss(stack), _sight_glass(stack), *upright]
    casting = join(flange, parts, "gear case", "housing, feet and plugs")
    tools = [*_shaft_bores(stack), *_threaded_holes(stack), *_dowel_holes(stack)]
    return cut(casting, tools, "gear case", "bores and holes")


def _sideways(stack: StackUp) -> bool:
    return stack.options.ports == "sideways"


def _housing(stack: StackUp) -> cq.Solid:
    """Return the housing behind the flange, its rear rounded."""
    s = stack.size
    depth, inset = s.gear_case_depth_mm, s.case_inset_mm
    box = (
        cq.Workplane("XY", origin=(0, 0, -depth))
        .rect(2 * (stack.half_width - inset), 2 * (stack.half_height - inset))
        .extrude(depth - FLANGE_OVERLAP * s.c)
        .edges("|Z")
        .fillet(s.corner_radius_mm)
    )
    housing = valid_solid(box.val(), "gear case", "housing")
    rear = [e for e in housing.Edges() if abs(e.BoundingBox().zmax + depth) < 0.01]
    return rounded(housing, rear, s.case_rear_radius_mm, "gear case", "rear rounds")


def _feet(stack: StackUp) -> list[cq.Solid]:
    """Return both feet below the casting, each with its two holes."""
    s = stack.size
    below, beside = (stack.half_height, stack.half_width)[:: -1 if _sideways(stack) else 1]
    sole, half = -below - s.foot_reach_mm, s.foot_width_share * beside
    shoulder, top, half_top = sole + s.foot_sole_mm, sole + s.foot_height_mm, s.foot_top_share * half
    outline = [
        (-half, sole),
        (half, sole),
        (half, shoulder),
        (half_top, top),
        (-half_top, top),
        (-half, shoulder),
    ]
    feet = []
    for z in (-s.gear_case_depth_mm + s.rear_foot_mm, -s.front_foot_mm):
        middle, off = z + s.foot_thickness_mm / 2, s.foot_hole_share * half
        holes = [
            cross_cylinder(s.foot_hole_mm / 2, (x, sole - PAST_MM, middle), (0, 1, 0), FOOT_DRILL * s.c)
            for x in (-off, off)
        ]
        feet.append(cut(prism(outline, z, z + s.foot_thickness_mm), holes, "gear case", "foot holes"))
    return feet


def _filler_plug(stack: StackUp) -> cq.Solid:
    """Return the filler plug on top of the housing."""
    s = stack.size
    top = (stack.half_width if _sideways(stack) else stack.half_height) - s.case_inset_mm
    start = (0, top - PLUG_ROOT * s.c, -s.filler_plug_share * s.gear_case_depth_mm)
    plug = cross_cylinder(s.filler_plug_mm / 2, start, (0, 1, 0), s.filler_plug_length_mm)
    return valid_solid(plug, "gear case", "filler plug")


def _sight_glass(stack: StackUp) -> cq.Solid:
    """Return the sight glass: on the driven shaft's side, or below the shafts' plane where the head stands on end."""
    s = stack.size
    rim, window = s.sight_glass_mm / 2, s.sight_glass_window_mm / 2
    high, deep = s.sight_glass_height_mm, s.sight_glass_window_height_mm
    glass = turned([(0, 0), (rim, 0), (rim, high), (window, high), (window, deep), (0, deep)])
    z = -s.sight_glass_share * s.gear_case_depth_mm
    if _sideways(stack):
        axis, at = (
            cq.Vector(1, 0, 0),
            cq.Vector(s.sight_glass_offset_mm, -(stack.half_height - s.case_inset_mm), z),
        )
    else:
        axis, at = (
            cq.Vector(0, 1, 0),
            cq.Vector(stack.half_width - s.case_inset_mm, -s.sight_glass_drop_mm, z),
        )
    return glass.rotate(cq.Vector(), axis, 90).translate(at)


def _drive_boss(stack: StackUp) -> cq.Solid:
    """Return the boss behind the casting that the drive shaft comes out of."""
    s = stack.size
    rear = -s.gear_case_depth_mm
    radius = stack.bearing_radius + s.case_boss_wall_mm
    x = stack.axis_x["drive"]
    return cylinder(radius, rear - s.case_boss_length_mm, rear + BOSS_ROOT * s.c, x, chamfer=BOSS_BEVEL * s.c)


def _shaft_bores(stack: StackUp) -> list[cq.Shape]:
    """Return the bores of both shafts: through for the drive shaft, up to the rear wall for the driven one."""
    s = stack.size
    radius, rear = stack.bearing_radius + s.case_bore_gap_mm, -s.gear_case_depth_mm
    return [
        cylinder(radius, rear - s.c, PAST_MM, stack.axis_x["drive"]),
        cylinder(radius, rear + s.case_rear_wall_mm, PAST_MM, stack.axis_x["driven"]),
    ]


def _threaded_holes(stack: StackUp) -> list[cq.Shape]:
    """Return the holes for studs and body retaining screws."""
    s = stack.size
    stud, screw = (t.radius_mm + THREAD_CLEARANCE_MM for t in (s.stud_thread, s.body_screw_thread))
    stud_end = stud_span_z(stack)[0] - STUD_RUN_OUT_MM
    screw_end = -s.body_screw_reach_mm - SCREW_RUN_OUT_MM
    return [
        *(cylinder(stud, stud_end, PAST_MM, x, y) for x, y in stack.stud_points),
        *(cylinder(screw, screw_end, PAST_MM, x, y) for x, y in stack.screw_points),
    ]


def _dowel_holes(stack: StackUp) -> list[cq.Shape]:
    """Return the holes of both body dowels with their lead-in cones."""
    s = stack.size
    tools: list[cq.Shape] = []
    for name, (x, y) in stack.dowel_points.items():
        r = s.dowels_mm[name] / 2 + s.fit_gap_mm
        tools.append(cylinder(r, -s.dowel_reach_mm - DOWEL_ROOM_MM, PAST_MM, x, y))
        cone = turned([(0, 0.01), (0, -DOWEL_LEAD_MM), (r, -DOWEL_LEAD_MM), (r + DOWEL_LEAD_MM, 0.01)])
        tools.append(cone.translate(cq.Vector(x, y, 0)))
    return tools


def gear_case_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the gear case front."""
    return (Feature("front face", "face", (0, 0, 0), mates="body"), *dowel_holes(stack, Z))


def gear_case_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the gear case front."""
    s = stack.size
    found = [face("front face", 0.0)]
    for name, at in stack.dowel_points.items():
        d = s.dowels_mm[name]
        wide = d / 2 + s.fit_gap_mm + DOWEL_LEAD_MM
        found.append(
            hole(f"{name} dowel hole", wide, (-s.dowel_reach_mm - DOWEL_ROOM_MM, 0.0), at=at, size=d)
        )
    rows = (
        ("screw hole", s.body_screw_thread, -s.body_screw_reach_mm - SCREW_RUN_OUT_MM, stack.screw_points),
        ("stud hole", s.stud_thread, stud_span_z(stack)[0] - STUD_RUN_OUT_MM, stack.stud_points),
    )
    for word, thread, end, points in rows:
        for n, at in enumerate(points, 1):
            radius = thread.radius_mm + THREAD_CLEARANCE_MM
            found.append(hole(f"{word} {n}", radius, (end, 0.0), at=at, size=thread.nominal_mm))
    radius = stack.bearing_radius + s.case_bore_gap_mm
    for side, x in stack.axis_x.items():
        found.append(round_skin(f"{side} shaft bore", "bore", radius, (-s.case_flange_mm, 0.0), at=(x, 0.0)))
    return tuple(found)
