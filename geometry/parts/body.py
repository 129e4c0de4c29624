"""The body: rear wall with seal bores, two overlapping bores, bosses, ports, O-ring groove."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import (
    FINE_EDGE_MM,
    PAST_MM,
    cross_cylinder,
    cut,
    cylinder,
    join,
    prism,
    stadium,
    tube,
    turned,
    valid_solid,
)
from ..dimensions.stack_up import StackUp
from ..frame import Vec3, X
from ..surfaces import Surface
from .named_surfaces import FLAT_MM, ROUND_MM, face, hole, racetrack, ring, round_skin
from .seals import atmosphere_pin_angles, pin_angles, pin_circle, pin_hole_depth

PRESS_GAP_MM = 0.02
"""Modelled radial gap of pressed pins and dowels: just above the mesh tolerance, so that no false overlap appears."""
FERRULE_ANGLE_DEG = 20.0
"""Slope of the back of a clamp ferrule (ISO 2852)."""
PORT_ROOT = 0.1
"""How deep a port's neck is sunk into the casting before it is bored, as a share of C: nothing of it is seen."""
PASSAGE_START = 0.02
"""Where port passages and drain flats begin beyond the boss, as a share of C: in the cavity, where nothing is left."""
WIDEST_DRAIN = 0.49
"""Half the flat bottom of a drain at most, as a share of C: it ends between the shafts."""
FLUSH_START = 0.01
"""How far into the atmosphere-side ring's bore a flush passage is bored, as a share of C."""
SEAL_LEAD_MM = (0.4, 0.8)
"""Lead-in of the stationary ring's bore behind the atmosphere-side ring, on radius and along the shaft."""


def outline_block(stack: StackUp, z0: float, z1: float, bevel: float, drawn_in: float = 0.0) -> cq.Solid:
    """Return the common outline of gear case, body and cover between two heights, outer edges bevelled.

    ``drawn_in`` takes as much off its sides, mm. Heads with six studs carry the two end ones in round ears.
    """
    s = stack.size
    work = (
        cq.Workplane("XY", origin=(0, 0, z0))
        .rect(2 * (stack.half_width - drawn_in), 2 * (stack.half_height - drawn_in))
        .extrude(z1 - z0)
        .edges("|Z")
        .fillet(s.corner_radius_mm - drawn_in)
    )
    solid: cq.Shape = valid_solid(
        work.faces("<Z or >Z").edges().chamfer(bevel).val(), "outline", "bevelled edges"
    )
    ears = [p for p in stack.stud_points if p[1] == 0.0]
    if ears:
        r = s.ear_radius_mm
        solid = join(
            solid,
            [cylinder(r, z0, z1, x, y, chamfer=bevel) for x, y in ears],
            "outline",
            "ears of the end studs",
        )
    return valid_solid(solid, "outline", "ears")


def port_face_y(stack: StackUp) -> float:
    """Return the distance of the port faces from the plane of the shafts."""
    return stack.half_height + stack.size.port_reach_mm


def _port(stack: StackUp, sign: int) -> cq.Solid:
    """Return one port's neck with its clamp ferrule (the conical-backed shape of ISO 2852), not yet bored."""
    s = stack.size
    bore, neck = s.port_bore_mm / 2, s.port_bore_mm / 2 + s.port_wall_mm
    flange, far = s.ferrule_mm / 2, port_face_y(stack)
    rim = far - s.ferrule_thickness_mm
    back = (flange - neck) * math.tan(math.radians(FERRULE_ANGLE_DEG))
    start = stack.half_height - PORT_ROOT * s.c
    within = bore / 2  # bored out later
    outline = [
        (within, start),
        (neck, start),
        (neck, rim - back),
        (flange, rim),
        (flange, far - FINE_EDGE_MM),
        (flange - FINE_EDGE_MM, far),
        (within, far),
    ]
    groove0, groove1 = ((s.gasket_groove_mm + way * s.gasket_groove_width_mm) / 2 for way in (-1, 1))
    gasket = tube(groove1, groove0, far - s.gasket_groove_depth_mm, far + PAST_MM)
    port = cut(turned(outline), [gasket], "body", "ferrule of a port")
    turned_to_y = port.rotate(cq.Vector(), cq.Vector(1, 0, 0), -90 * sign)
    return valid_solid(turned_to_y.translate(cq.Vector(0, 0, stack.port_z)), "body", "port")


def _seal_bore(stack: StackUp, x: float) -> cq.Solid:
    """Return what is taken out for one shaft: seat chamber, seal bores with lead-in, shaft hole through the boss."""
    s = stack.size
    inner = stack.stationary_ring_radius + s.fit_gap_mm
    hole = s.shaft_radius_mm + s.shaft_hole_gap_mm
    chamber = stack.rotating_ring_chamber_radius
    past_faces = (
        -s.double_rotating_ring_chamber_setback_mm if stack.double else s.rotating_ring_chamber_reach_mm
    )
    chamber_end = stack.rotating_ring_face_z + past_faces
    end = cavity_rear_z(stack) + PAST_MM
    outline = [(0.0, -PAST_MM), (chamber, -PAST_MM), (chamber, chamber_end)]
    if stack.double:
        outer = stack.atmosphere_ring_radius + s.fit_gap_mm
        lead_r, lead_z = SEAL_LEAD_MM
        outline += [(outer, chamber_end + (chamber - outer)), (outer, stack.outer_end_z)]
        outline += [(inner + lead_r, stack.outer_end_z), (inner, stack.outer_end_z + lead_z)]
    else:
        outline += [(inner, chamber_end + (chamber - inner))]
    outline += [(inner, stack.seal_end_z), (hole, stack.seal_end_z)]
    if stack.hub_necked:  # the boss is bored out for the neck of the rotor's hub
        outline += [(hole, stack.boss_bore_z), (stack.boss_bore_radius, stack.boss_bore_z)]
        hole = stack.boss_bore_radius
    outline += [(hole, end), (0.0, end)]
    return turned(outline).translate(cq.Vector(x, 0, 0))


def cavity_rear_z(stack: StackUp) -> float:
    """Return the height at which the shaft's hole opens into the cavity: the boss's front, or the floor."""
    return stack.floor_z if stack.lobed else stack.boss_front_z


def _pin_holes(stack: StackUp, x: float) -> list[cq.Solid]:
    """Return the holes of one shaft's seal pins."""
    sets = [(False, stack.seal_end_z, pin_angles(stack))]
    if stack.double:
        sets.append((True, stack.outer_end_z, atmosphere_pin_angles(stack)))
    radius = stack.size.seal_pin_diameter_mm / 2 + PRESS_GAP_MM
    holes = []
    for outer, z, angles in sets:
        circle, end = pin_circle(stack, outer), z + pin_hole_depth(stack, outer)
        for a in map(math.radians, angles):
            holes.append(cylinder(radius, z - PAST_MM, end, x + circle * math.cos(a), circle * math.sin(a)))
    return holes


def flush_points(stack: StackUp) -> list[tuple[float, float, int]]:
    """Return (x, z, side) of the flush connections of a double seal: below and above each shaft."""
    z = stack.outer_end_z - stack.size.atmosphere_spring_height_mm / 2
    return [(x, z, sign) for x in stack.axis_x.values() for sign in (1, -1)]


def _cavity(stack: StackUp) -> list[cq.Solid]:
    """Return the two bores less their bosses, and the port passages and drain flats that open into them."""
    s = stack.size
    front = stack.face_z + PAST_MM
    bores = [cylinder(s.bore_radius_mm, stack.floor_z, front, x) for x in stack.axis_x.values()]
    room: cq.Shape = bores[0].fuse(bores[1])
    start = s.boss_radius_mm + PASSAGE_START * s.c
    if s.port_bore_mm > 0:
        length = port_face_y(stack) + PAST_MM - start
        for sign in (1, -1):
            room = room.fuse(
                cross_cylinder(s.port_bore_mm / 2, (0, sign * start, stack.port_z), (0, sign, 0), length)
            )
    if stack.options.body == "free-draining":
        for sign in (1, -1):
            room = room.fuse(_drain(stack, sign, start))
    if not stack.lobed:
        rear = stack.floor_z - PAST_MM
        room = room.cut(
            *[cylinder(s.boss_radius_mm, rear, stack.boss_front_z, x) for x in stack.axis_x.values()]
        )
    return room.Solids()


def _drain(stack: StackUp, sign: int, start: float) -> cq.Solid:
    """Return what makes the bores' bottom (or top) fall towards the port, from ``start`` beyond the shafts on."""
    s = stack.size
    half, radius = s.c / 2, s.bore_radius_mm
    fall = (s.c - s.port_bore_mm) / 2 * math.tan(math.radians(s.drain_slope_deg))
    mouth = min(s.port_bore_mm / 2, WIDEST_DRAIN * s.c)
    points = [
        (-half, sign * start),
        (half, sign * start),
        (half, sign * radius),
        (mouth, sign * (radius + fall)),
    ]
    points += [(-mouth, sign * (radius + fall)), (-half, sign * radius)]
    return prism(points, stack.floor_z, stack.face_z + PAST_MM)


def make_body(stack: StackUp) -> cq.Solid:
    """Return the body, own frame the head's: rear face at z = 0, front face at ``stack.face_z``.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    tools: list[cq.Shape] = [*_cavity(stack), _cover_groove(stack)]
    for x in stack.axis_x.values():
        tools += [_seal_bore(stack, x), *_pin_holes(stack, x)]
    tools += _fastener_holes(stack)
    if stack.double:
        tools += _flush_passages(stack)
    if stack.options.cleaning_in_place:
        tools += _cleaning_holes(stack)
    return cut(_casting(stack), tools, "body", "bores, groove and holes")


def _casting(stack: StackUp) -> cq.Solid:
    """Return the casting before it is machined: two flanges, the waist between them, both ports."""
    s, face = stack.size, stack.face_z
    bevel, rear_thick, front_thick = s.casting_bevel_mm, s.rear_flange_mm, s.front_flange_mm
    rear = outline_block(stack, 0, rear_thick, bevel)
    front = outline_block(stack, face - front_thick, face, bevel)
    # The waist ends within the flanges.
    waist = outline_block(stack, rear_thick / 2, face - front_thick / 2, bevel, drawn_in=s.waist_mm)
    solid = join(rear, [waist, front], "body", "waist of the casting")
    return join(solid, [_port(stack, 1), _port(stack, -1)], "body", "ports")


def _cover_groove(stack: StackUp) -> cq.Shape:
    inner, outer = stack.cover_groove
    half, face = stack.size.c / 2, stack.face_z
    floor = face - stack.face_gland_mm(stack.size.cover_oring_section_mm)
    core = stadium(half, inner, floor - PAST_MM, face + 2 * PAST_MM)
    return stadium(half, outer, floor, face + PAST_MM).cut(core)


def _fastener_holes(stack: StackUp) -> list[cq.Shape]:
    """Return the holes of studs, dowels and retaining screws, from rear to front."""
    s, rear, front = stack.size, -PAST_MM, stack.face_z + PAST_MM
    holes: list[cq.Shape] = [cylinder(s.stud_hole_mm / 2, rear, front, x, y) for x, y in stack.stud_points]
    for name, (x, y) in stack.dowel_points.items():
        holes.append(cylinder(s.dowels_mm[name] / 2 + PRESS_GAP_MM, rear, front, x, y))
    sink = s.body_screw_thread.head_diameter_mm / 2 + s.body_screw_head_gap_mm
    for x, y in stack.screw_points:
        holes.append(cylinder(s.body_screw_hole_mm / 2, rear, front, x, y))
        holes.append(cylinder(sink, stack.screw_sink_z, front, x, y))
    return holes


def _flush_passages(stack: StackUp) -> list[cq.Shape]:
    """Return the passages from outside to the atmosphere-side rings' bores, each with its connection."""
    s, top = stack.size, stack.half_height
    start = stack.atmosphere_ring_radius - FLUSH_START * s.c
    tools: list[cq.Shape] = []
    for x, z, sign in flush_points(stack):
        along = (0, sign, 0)
        deep = s.flush_thread_depth_mm
        tools.append(cross_cylinder(s.flush_hole_mm / 2, (x, sign * start, z), along, top + PAST_MM - start))
        tools.append(
            cross_cylinder(s.flush_thread_mm / 2, (x, sign * (top - deep), z), along, deep + PAST_MM)
        )
    return tools


def _cleaning_holes(stack: StackUp) -> list[cq.Shape]:
    """Return the holes above and below each shaft, from the seal chamber to the cavity."""
    s = stack.size
    off = s.shaft_radius_mm + s.body_cleaning_step_mm
    start, end = stack.seal_end_z - PAST_MM, cavity_rear_z(stack) + PAST_MM
    return [
        cylinder(s.body_cleaning_hole_mm / 2, start, end, x, sign * off)
        for x in stack.axis_x.values()
        for sign in (1, -1)
    ]


def body_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the body."""
    s, back = stack.size, (0.0, 0.0, -1.0)
    found = []
    for side, x in stack.axis_x.items():
        front, seal_end = (x, 0, stack.face_z), (x, 0, stack.seal_end_z)
        seal_bore = 2 * stack.stationary_ring_radius
        found += [
            Feature(f"bore, {side} side", "bore", front, size_mm=2 * s.bore_radius_mm, mates="rotor"),
            Feature(f"seal bore, {side} side", "bore", seal_end, back, seal_bore, "stationary_ring"),
        ]
    found += dowel_holes(stack, back)
    found.append(Feature("O-ring groove", "groove", (0, 0, stack.face_z), mates="cover_oring"))
    found.append(Feature("rear face", "face", (0, 0, 0), back, mates="gear_case"))
    found.append(Feature("front face", "face", (0, 0, stack.face_z), mates="cover"))
    return tuple(found)


def dowel_holes(stack: StackUp, along: Vec3) -> list[Feature]:
    """Return the dowel holes of a part whose face with them lies at z = 0 and looks ``along``."""
    return [
        Feature(f"{name} dowel hole", "hole", (x, y, 0), along, stack.size.dowels_mm[name], "body_dowel")
        for name, (x, y) in stack.dowel_points.items()
    ]


def body_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of the body; those about a shaft begin with its side."""
    s, front = stack.size, stack.face_z
    half, (inner, outer) = s.c / 2, stack.cover_groove
    floor = front - stack.face_gland_mm(s.cover_oring_section_mm)
    found = [
        face("front face", front),
        face("rear face", 0.0, back=True),
        racetrack(
            "O-ring groove", "groove", (inner - FLAT_MM, outer + FLAT_MM), (floor - FLAT_MM, front - FLAT_MM), half,
            size=outer - inner,
        ),
        face("floor", stack.floor_z, (0.0, s.bore_radius_mm), drawn=half),
    ]  # fmt: skip
    for side, x in stack.axis_x.items():
        found += _surfaces_about(stack, side, (x, 0.0))
    for name, at in stack.dowel_points.items():
        d = s.dowels_mm[name]
        found.append(hole(f"{name} dowel hole", d / 2 + PRESS_GAP_MM, (0.0, front), at=at, back=True, size=d))
    sink, through = (
        s.body_screw_thread.head_diameter_mm / 2 + s.body_screw_head_gap_mm,
        s.body_screw_hole_mm / 2,
    )
    for n, at in enumerate(stack.screw_points, 1):
        found += [
            hole(f"screw hole {n}", through, (0.0, stack.screw_sink_z), at=at),
            face(f"screw seat {n}", stack.screw_sink_z, (through, sink), at=at, size=2 * sink),
        ]
    for n, at in enumerate(stack.stud_points, 1):
        found.append(hole(f"stud hole {n}", s.stud_hole_mm / 2, (0.0, front), at=at))
    return (*found, *_passage_surfaces(stack))


def _surfaces_about(stack: StackUp, side: str, at: tuple[float, float]) -> list[Surface]:
    """Return what of the body goes round one shaft, from the cavity to the rear."""
    s, end = stack.size, stack.seal_end_z
    ring_bore, chamber = stack.stationary_ring_radius + s.fit_gap_mm, stack.rotating_ring_chamber_radius
    past = -s.double_rotating_ring_chamber_setback_mm if stack.double else s.rotating_ring_chamber_reach_mm
    chamber_end = stack.rotating_ring_face_z + past
    shaft_hole = s.shaft_radius_mm + s.shaft_hole_gap_mm
    found = [round_skin(f"{side} bore", "bore", s.bore_radius_mm, (stack.floor_z, stack.face_z), at=at)]
    wider, start = (chamber, chamber_end)
    if stack.double:
        outer, step = stack.atmosphere_ring_radius + s.fit_gap_mm, stack.outer_end_z
        lead_r, lead_z = SEAL_LEAD_MM
        cone = chamber_end + chamber - outer
        word = f"{side} atmosphere-side"
        found += [
            round_skin(f"{word} seal bore", "bore", outer, (cone, step), at=at, back=True,
                       size=2 * stack.atmosphere_ring_radius),
            ring(f"{word} lead-in edge", "edge", (outer, chamber), (chamber_end, cone), at=at, back=True,
                 size=2 * outer),
            face(f"{word} spring step", step, (ring_bore + lead_r, outer), kind="shoulder", at=at, back=True),
        ]  # fmt: skip
        wider, start, lead_end = ring_bore + lead_r, step, step + lead_z
    else:
        lead_end = chamber_end + chamber - ring_bore
    found += [
        round_skin(f"{side} seal bore", "bore", ring_bore, (lead_end, end), at=at, back=True,
                   size=2 * stack.stationary_ring_radius),
        ring(f"{side} lead-in edge", "edge", (ring_bore, wider), (start, lead_end), at=at, back=True,
             size=2 * ring_bore),
        face(f"{side} spring step", end, (shaft_hole, ring_bore), kind="shoulder", at=at, back=True),
        round_skin(f"{side} seal chamber", "bore", chamber, (0.0, chamber_end), at=at, back=True),
    ]  # fmt: skip
    if not stack.lobed:
        boss, top = s.boss_radius_mm, stack.boss_front_z
        inside = stack.boss_bore_radius if stack.hub_necked else shaft_hole
        found += [
            round_skin(f"{side} hub", "journal", boss, (stack.floor_z + FLAT_MM, top - FLAT_MM), at=at),
            face(f"{side} hub face", top, (inside, boss), at=at),
        ]
    return found


def _passage_surfaces(stack: StackUp) -> list[Surface]:
    """Return ports, flush connections and cleaning passages, numbered from +Y on."""
    s, found = stack.size, []
    far = port_face_y(stack)
    for n, sign in enumerate((1, -1), 1):
        bore, out = s.port_bore_mm / 2, (0.0, float(sign), 0.0)
        mouth = (0.0, sign * far, stack.port_z)
        radii = (bore - ROUND_MM, bore + FLAT_MM)
        deep = stack.half_height - far
        found += [
            Surface(f"port {n}", "bore", mouth, out, 2 * bore, radii, (deep, 0.0)),
            Surface(
                f"port face {n}", "face", mouth, out, s.ferrule_mm, (bore, s.ferrule_mm / 2 - FINE_EDGE_MM)
            ),
        ]
    if stack.double:
        for n, (x, z, sign) in enumerate(flush_points(stack), 1):
            mouth, radius = (x, sign * stack.half_height, z), s.flush_thread_mm / 2
            found.append(
                Surface(
                    f"flush connection {n}", "hole", mouth, (0.0, float(sign), 0.0), s.flush_thread_mm,
                    (0.0, radius + ROUND_MM), (-s.flush_thread_depth_mm - FLAT_MM, 0.0), X,
                )
            )  # fmt: skip
    if stack.options.cleaning_in_place:
        radius, off = s.body_cleaning_hole_mm / 2, s.shaft_radius_mm + s.body_cleaning_step_mm
        spots = [(x, sign * off) for x in stack.axis_x.values() for sign in (1, -1)]
        heights = (stack.seal_end_z, cavity_rear_z(stack))
        found += [hole(f"cleaning passage {n}", radius, heights, at=at) for n, at in enumerate(spots, 1)]
    return found
