"""Gear case front: the machined face that carries body, dowels and studs; the gears behind it are not modelled."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature
from ..dimensions.stack_up import StackUp
from .body import outline_block
from .fasteners import THREAD_CLEARANCE_MM, stud_span_z
from .solids import cross_rod, cut, join, rod, single, soften, turned


def screw_reach(stack: StackUp) -> float:
    """Return how deep a body retaining screw reaches into the gear case."""
    return 1.6 * stack.size.body_screw_thread.nominal_mm


def make_gear_case(stack: StackUp) -> cq.Solid:
    """Return the gear case, front face at z = 0, with feet below (against the reader's up), plugs and a sight glass.

    With ports sideways the head stands on end, so the feet stand under the drive shaft.
    """
    s, c = stack.size, stack.size.c
    depth = s.gear_case_depth_mm
    flange = outline_block(stack, -0.16 * c, 0, 0.012 * c)
    inset = 0.045 * c
    box = (
        cq.Workplane("XY", origin=(0, 0, -depth))
        .rect(2 * (stack.half_width - inset), 2 * (stack.half_height - inset))
        .extrude(depth - 0.1 * c)
        .edges("|Z")
        .fillet(s.corner_radius_mm)
    )
    casting: cq.Shape = single(box.val(), "gear case", "housing")
    rear = [e for e in casting.Edges() if abs(e.BoundingBox().zmax + depth) < 0.01]
    casting = soften(single(casting, "gear case", "housing"), rear, 0.06 * c, "gear case", "rear rounds")
    sideways = stack.options.ports == "sideways"
    base = (stack.half_width if sideways else stack.half_height) + 0.14 * c
    half = 0.8 * (stack.half_height if sideways else stack.half_width)
    feet = []
    for z0 in (-depth + 0.04 * c, -0.36 * c):
        foot = cq.Workplane("XY", origin=(0, 0, z0)).moveTo(-half, -base)
        foot = foot.lineTo(half, -base).lineTo(half, -base + 0.1 * c).lineTo(0.7 * half, -base + 0.4 * c)
        foot = (
            foot.lineTo(-0.7 * half, -base + 0.4 * c).lineTo(-half, -base + 0.1 * c).close().extrude(0.22 * c)
        )
        plate = single(foot.val(), "gear case", "foot")
        holes = [
            cross_rod(0.05 * c, (x, -base - 1, z0 + 0.11 * c), (0, 1, 0), 0.35 * c)
            for x in (-0.88 * half, 0.88 * half)
        ]
        feet.append(cut(plate, holes, "gear case", "foot holes"))
    top = (stack.half_width if sideways else stack.half_height) - inset
    plug = cross_rod(0.09 * c, (0, top - 0.05 * c, -0.55 * depth), (0, 1, 0), 0.13 * c)
    extras = [*feet, single(plug, "gear case", "filler plug")]
    if sideways:
        extras = [single(e.rotate(cq.Vector(), cq.Vector(0, 0, 1), -90), "gear case", "feet") for e in extras]
    side = stack.half_width - inset
    eye = turned(
        [
            (0, 0),
            (0.12 * c, 0),
            (0.12 * c, 0.03 * c),
            (0.085 * c, 0.03 * c),
            (0.085 * c, 0.018 * c),
            (0, 0.018 * c),
        ]
    )
    if sideways:
        eye = eye.rotate(cq.Vector(), cq.Vector(1, 0, 0), 90).translate(
            cq.Vector(0.2 * c, -(stack.half_height - inset), -0.62 * depth)
        )
    else:
        eye = eye.rotate(cq.Vector(), cq.Vector(0, 1, 0), 90).translate(
            cq.Vector(side, -0.25 * c, -0.62 * depth)
        )
    boss = rod(
        stack.bearing_radius + 0.10 * c,
        -depth - 0.05 * c,
        -depth + 0.1 * c,
        stack.axis_x["drive"],
        chamfer=0.015 * c,
    )
    casting = join(flange, [casting, boss, eye, *extras], "gear case", "housing, feet and plugs")

    bore = stack.bearing_radius + 0.004 * c
    tools: list[cq.Shape] = [
        rod(bore, -depth - 1 * c, 1, stack.axis_x["drive"]),
        rod(bore, -depth + 0.1 * c, 1, stack.axis_x["driven"]),
    ]
    z0, _ = stud_span_z(stack)
    for x, y in stack.stud_points:
        tools.append(rod(s.stud_thread.radius_mm + THREAD_CLEARANCE_MM, z0 - 0.5, 1, x, y))
    for x, y in stack.screw_points:
        tools.append(
            rod(s.body_screw_thread.radius_mm + THREAD_CLEARANCE_MM, -screw_reach(stack) - 1.5, 1, x, y)
        )
    for name, (x, y) in stack.dowel_points.items():
        r = (s.large_dowel_mm if name == "large" else s.small_dowel_mm) / 2
        tools.append(rod(r + s.fit_gap_mm, -stack.dowel_reach - 1.0, 1, x, y))
        tools.append(
            turned(
                [(0, 0.01), (0, -0.8), (r + s.fit_gap_mm, -0.8), (r + s.fit_gap_mm + 0.8, 0.01)]
            ).translate(cq.Vector(x, y, 0))
        )
    return cut(casting, tools, "gear case", "bores and holes")


def gear_case_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the gear case front."""
    s = stack.size
    found = [Feature("front face", "face", (0, 0, 0), mates="body")]
    for name, (x, y) in stack.dowel_points.items():
        size = s.large_dowel_mm if name == "large" else s.small_dowel_mm
        found.append(Feature(f"{name} dowel hole", "hole", (x, y, 0), size_mm=size, mates="body_dowel"))
    return tuple(found)
