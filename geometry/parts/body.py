"""The body: rear wall with seal bores, two overlapping bores, bosses, ports, O-ring groove."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..dimensions.stack_up import FACE_DEPTH, StackUp
from .seals import outer_pin_angles, pin_angles, pin_circle, pin_hole_depth
from .solids import cross_rod, cut, join, prism, rod, single, stadium, turned

PRESS_GAP_MM = 0.02
"""Modelled radial gap of pressed pins and dowels: just above the mesh tolerance, so that no false overlap appears."""


def outline_block(stack: StackUp, z0: float, z1: float, bevel: float, grow: float = 0.0) -> cq.Solid:
    """Return the common outline of body and cover between two heights, outer edges bevelled.

    Heads with six studs carry the two end ones in round ears.
    """
    s = stack.size
    work = (
        cq.Workplane("XY", origin=(0, 0, z0))
        .rect(2 * (stack.half_width + grow), 2 * (stack.half_height + grow))
        .extrude(z1 - z0)
        .edges("|Z")
        .fillet(s.corner_radius_mm + grow)
    )
    solid: cq.Shape = single(work.faces("<Z or >Z").edges().chamfer(bevel).val(), "outline", "bevelled edges")
    ears = [p for p in stack.stud_points if p[1] == 0.0]
    if ears:
        r = stack.ear_radius
        solid = join(
            solid, [rod(r, z0, z1, x, y, chamfer=bevel) for x, y in ears], "outline", "ears of the end studs"
        )
    return single(solid, "outline", "ears")


def port_face_y(stack: StackUp) -> float:
    """Return the distance of the port faces from the plane of the shafts."""
    return stack.half_height + stack.size.port_reach_mm


def _port(stack: StackUp, sign: int) -> cq.Solid:
    """Return one port's neck with its clamp ferrule (the conical-backed shape of ISO 2852), not yet bored."""
    s, c = stack.size, stack.size.c
    bore, neck = s.port_bore_mm / 2, s.port_bore_mm / 2 + 0.038 * c
    flange, far = s.port_bore_mm / 2 + 0.115 * c, port_face_y(stack)
    thick = 0.045 * c
    back = (flange - neck) * math.tan(math.radians(20))
    start = stack.half_height - 0.1 * c
    outline = [
        (bore * 0.5, start),
        (neck, start),
        (neck, far - thick - back),
        (flange, far - thick),
        (flange, far - 0.3),
        (flange - 0.3, far),
        (bore * 0.5, far),
    ]
    gasket = [
        (bore + 0.035 * c, far - 0.016 * c),
        (bore + 0.06 * c, far - 0.016 * c),
        (bore + 0.06 * c, far + 1),
        (bore + 0.035 * c, far + 1),
    ]
    port = cut(turned(outline), [turned(gasket)], "body", "ferrule of a port")
    turned_to_y = port.rotate(cq.Vector(), cq.Vector(1, 0, 0), -90 * sign)
    return single(turned_to_y.translate(cq.Vector(0, 0, stack.port_z)), "body", "port")


def _seal_bore(stack: StackUp, x: float) -> cq.Solid:
    """Return what is taken out for one shaft: seat chamber, seal bores with lead-in, shaft hole through the boss."""
    s, c = stack.size, stack.size.c
    fit = s.fit_gap_mm
    inner = stack.inner_seal_radius + fit
    hole = s.shaft_radius_mm + 0.012 * c
    chamber_end = stack.seat_face_z + (-0.004 if stack.double else 0.010) * c
    end = (stack.boss_front_z if not stack.lobed else stack.floor_z) + 1.0
    outline = [(0.0, -1.0), (stack.seat_chamber_radius, -1.0), (stack.seat_chamber_radius, chamber_end)]
    if stack.double:
        outer = stack.outer_seal_radius + fit
        outline += [(outer, chamber_end + (stack.seat_chamber_radius - outer)), (outer, stack.outer_end_z)]
        outline += [(inner + 0.4, stack.outer_end_z), (inner, stack.outer_end_z + 0.8)]
    else:
        outline += [(inner, chamber_end + (stack.seat_chamber_radius - inner))]
    outline += [(inner, stack.seal_end_z), (hole, stack.seal_end_z), (hole, end), (0.0, end)]
    return turned(outline).translate(cq.Vector(x, 0, 0))


def _pin_holes(stack: StackUp, x: float) -> list[cq.Solid]:
    holes = []
    sets = [(False, stack.seal_end_z, pin_angles(stack))]
    if stack.double:
        sets.append((True, stack.outer_end_z, outer_pin_angles(stack)))
    for outer, z, angles in sets:
        r, circle = stack.size.seal_pin_diameter_mm / 2 + PRESS_GAP_MM, pin_circle(stack, outer)
        for angle in angles:
            a = math.radians(angle)
            holes.append(
                rod(
                    r,
                    z - 0.01,
                    z + pin_hole_depth(stack, outer),
                    x + circle * math.cos(a),
                    circle * math.sin(a),
                )
            )
    return holes


def flush_points(stack: StackUp) -> list[tuple[float, float, int]]:
    """Return (x, z, side) of the flush connections of a double seal: below and above each shaft."""
    z = stack.outer_end_z - 0.5 * stack.size.outer_spring_height_mm
    return [(x, z, sign) for x in stack.axis_x.values() for sign in (1, -1)]


def _cavity(stack: StackUp) -> list[cq.Solid]:
    """Return the two bores less their bosses, and the port passages and drain flats that open into them."""
    s, c = stack.size, stack.size.c
    bores = [rod(s.bore_radius_mm, stack.floor_z, stack.face_z + 1, x) for x in stack.axis_x.values()]
    room: cq.Shape = bores[0].fuse(bores[1])
    low = s.boss_radius_mm + 0.02 * c
    if s.port_bore_mm > 0:
        far = port_face_y(stack) + 1
        for sign in (1, -1):
            room = room.fuse(
                cross_rod(s.port_bore_mm / 2, (0, sign * low, stack.port_z), (0, sign, 0), far - low)
            )
    if stack.options.body == "free-draining":
        fall = 0.5 * (s.c - s.port_bore_mm) * math.tan(math.radians(3))
        for sign in (1, -1):
            r, half, mouth = s.bore_radius_mm, c / 2, min(s.port_bore_mm / 2, 0.49 * c)
            points = [(-half, sign * low), (half, sign * low), (half, sign * r), (mouth, sign * (r + fall))]
            points += [(-mouth, sign * (r + fall)), (-half, sign * r)]
            room = room.fuse(prism(points, stack.floor_z, stack.face_z + 1))
    if not stack.lobed:
        bosses = []
        for x in stack.axis_x.values():
            bosses.append(rod(s.boss_radius_mm, stack.floor_z - 1, stack.boss_front_z, x))
        room = room.cut(*bosses)
    return room.Solids()


def make_body(stack: StackUp) -> cq.Solid:
    """Return the body, own frame the head's: rear face at z = 0, front face at ``stack.face_z``.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    s, c = stack.size, stack.size.c
    face = stack.face_z
    rear = outline_block(stack, 0, 0.20 * c, 0.012 * c)
    front = outline_block(stack, face - 0.24 * c, face, 0.012 * c)
    middle = outline_block(stack, 0.1 * c, face - 0.12 * c, 0.012 * c, grow=-0.032 * c)
    solid = join(rear, [middle, front], "body", "waist of the casting")
    solid = join(solid, [_port(stack, 1), _port(stack, -1)], "body", "ports")

    g0, g1 = stack.cover_groove
    depth = FACE_DEPTH * s.cover_oring_section_mm
    groove = stadium(c / 2, g1, face - depth, face + 1).cut(stadium(c / 2, g0, face - depth - 1, face + 2))
    tools: list[cq.Shape] = [*_cavity(stack), groove]
    for x in stack.axis_x.values():
        tools += [_seal_bore(stack, x), *_pin_holes(stack, x)]
    for x, y in stack.stud_points:
        tools.append(rod(stack.stud_hole_radius, -1, face + 1, x, y))
    for name, (x, y) in stack.dowel_points.items():
        r = (s.large_dowel_mm if name == "large" else s.small_dowel_mm) / 2
        tools.append(rod(r + PRESS_GAP_MM, -1, face + 1, x, y))
    t = s.body_screw_thread
    for x, y in stack.screw_points:
        tools.append(rod(0.55 * t.nominal_mm + 0.2, -1, face + 1, x, y))
        tools.append(rod(t.head_diameter_mm / 2 + 0.6, stack.screw_sink_z, face + 1, x, y))
    if stack.double:
        for x, z, sign in flush_points(stack):
            top = stack.half_height + 1
            low = stack.outer_seal_radius - 0.01 * c
            tools.append(cross_rod(0.016 * c, (x, sign * low, z), (0, sign, 0), top - low))
            tools.append(cross_rod(0.04 * c, (x, sign * (top - 1 - 0.10 * c), z), (0, sign, 0), 0.10 * c + 1))
    if stack.options.cleaning_in_place:
        end = (stack.floor_z if stack.lobed else stack.boss_front_z) + 1
        for x in stack.axis_x.values():
            for sign in (1, -1):
                y = sign * (s.shaft_radius_mm + 0.045 * c)
                tools.append(rod(0.014 * c, stack.seal_end_z - 0.5, end, x, y))
    return cut(solid, tools, "body", "bores, groove and holes")


def body_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the body."""
    s = stack.size
    found = []
    for side, x in stack.axis_x.items():
        found.append(
            Feature(
                f"bore, {side} side",
                "bore",
                (x, 0, stack.face_z),
                size_mm=2 * s.bore_radius_mm,
                mates="rotor",
            )
        )
        found.append(
            Feature(
                f"seal bore, {side} side",
                "bore",
                (x, 0, stack.seal_end_z),
                (0, 0, -1),
                2 * stack.inner_seal_radius,
                "inner_seal",
            )
        )
    for name, (x, y) in stack.dowel_points.items():
        size = s.large_dowel_mm if name == "large" else s.small_dowel_mm
        found.append(Feature(f"{name} dowel hole", "hole", (x, y, 0), (0, 0, -1), size, "body_dowel"))
    found.append(Feature("O-ring groove", "groove", (0, 0, stack.face_z), mates="cover_oring"))
    found.append(Feature("rear face", "face", (0, 0, 0), (0, 0, -1), mates="gear_case"))
    found.append(Feature("front face", "face", (0, 0, stack.face_z), mates="cover"))
    return tuple(found)
