"""Covers: plain, vented (a spring-loaded relief piston) and jacketed; cover O-ring lies in the body's groove."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Elastic, Feature
from ..dimensions.stack_up import FACE_DEPTH, GROOVE_WIDTH, StackUp, radial_depth
from .body import outline_block
from .fasteners import THREAD_CLEARANCE_MM, wing_reach
from .solids import cross_rod, cut, join, rod, single, stadium, turned

WING_ROOM = 0.01
"""Least room between a jacket and the circle of a turning wing nut, as a share of C."""


def relief_radius(stack: StackUp) -> float:
    """Return the radius of the relief piston's bore in a vented cover."""
    return 0.25 * stack.size.c


def relief_step_z(stack: StackUp) -> float:
    """Return the height in the cover of the step that stops the piston."""
    return 0.6 * stack.size.cover_thickness_mm


def relief_screw_points(stack: StackUp) -> list[tuple[float, float]]:
    """Return (x, y) of the relief cap's screws."""
    circle = 0.40 * stack.size.c
    return [
        (circle * math.cos(a), circle * math.sin(a)) for a in (math.radians(45 + 90 * k) for k in range(4))
    ]


def cap_flange_z(stack: StackUp) -> float:
    """Return where the relief cap's flange bears, own frame of the cover: its raised pad."""
    return stack.size.cover_thickness_mm + 0.03 * stack.size.c


def make_cover(stack: StackUp) -> cq.Solid:
    """Return the cover, rear face at z = 0, dowel holes in the rear, stud holes through.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    s, c = stack.size, stack.size.c
    thick = s.cover_thickness_mm
    solid = outline_block(stack, 0, thick, 0.014 * c)
    form = stack.options.cover
    tools: list[cq.Shape] = []
    if form == "jacketed":
        solid = join(solid, [_jacket(stack)], "cover", "jacket")
        tools += _jacket_room(stack)
    else:
        pad = stadium(c / 2, 0.52 * c, thick - 0.5, thick + 0.03 * c)
        pad = single(cq.Workplane(pad).faces(">Z").edges().chamfer(0.012 * c).val(), "cover", "pad")
        solid = join(solid, [pad], "cover", "pad")
    if form == "vented":
        r, step = relief_radius(stack), relief_step_z(stack)
        t = s.relief_screw_thread
        tools += [rod(r, -1, step + 1), rod(r + 0.05 * c, step, thick + c)]
        for x, y in relief_screw_points(stack):
            tools.append(
                rod(
                    t.radius_mm + THREAD_CLEARANCE_MM,
                    cap_flange_z(stack) - 1.7 * t.nominal_mm,
                    thick + c,
                    x,
                    y,
                )
            )
    for x, y in stack.stud_points:
        tools.append(rod(stack.stud_hole_radius, -1, thick + 1, x, y))
    for name, (x, y) in stack.dowel_points.items():
        r = (s.large_dowel_mm if name == "large" else s.small_dowel_mm) / 2 + s.fit_gap_mm
        deep = stack.dowel_reach + 0.02 * c
        hole = [(0, -1), (r + 0.6, -1), (r + 0.6, 0.0), (r, 0.6), (r, deep), (0, deep)]
        tools.append(turned(hole).translate(cq.Vector(x, y, 0)))
    return cut(solid, tools, "cover", "holes")


def jacket_radius(stack: StackUp) -> float:
    """Return the outer radius of the jacket about both shafts' axes, less where wing nuts need the room to turn."""
    c = stack.size.c
    if stack.options.cover_nuts != "wing":
        return 0.60 * c
    near = min(math.hypot(max(abs(x) - c / 2, 0.0), y) for x, y in stack.stud_points)
    return min(0.60 * c, near - wing_reach(stack) - WING_ROOM * c)


def _jacket(stack: StackUp) -> cq.Solid:
    """Return the outside of the jacket: a stadium shell with two threaded connections."""
    s, c = stack.size, stack.size.c
    z0, z1 = s.cover_thickness_mm - 0.5, s.cover_thickness_mm + 0.24 * c
    shell = stadium(c / 2, jacket_radius(stack), z0, z1)
    shell = single(
        cq.Workplane(shell).faces(">Z").edges().fillet(0.06 * c).val(), "cover", "jacket's rounded rim"
    )
    pipes = []
    for sign in (1, -1):
        pipe = rod(0.105 * c, z1 - 0.1 * c, z1 + 0.15 * c, sign * 0.55 * c, 0, chamfer=0.01 * c)
        pipes.append(pipe)
    return join(shell, pipes, "cover", "jacket connections")


def _jacket_room(stack: StackUp) -> list[cq.Shape]:
    """Return what is hollow in the jacket: its chamber and the bores of its two connections."""
    s, c = stack.size, stack.size.c
    z0, z1 = s.cover_thickness_mm, s.cover_thickness_mm + 0.24 * c
    room: list[cq.Shape] = [stadium(c / 2, jacket_radius(stack) - 0.05 * c, z0, z1 - 0.05 * c)]
    # A baffle between the connections makes the medium go round; it leaves a way at both ends.
    baffle = cq.Solid.makeBox(0.04 * c, 0.85 * c, c, cq.Vector(-0.02 * c, -0.425 * c, z0 - 0.1 * c))
    room = [room[0].cut(baffle)]
    for sign in (1, -1):
        room.append(rod(0.06 * c, z0 + 0.05 * c, z1 + c, sign * 0.55 * c, 0))
        room.append(rod(0.085 * c, z1 + 0.05 * c, z1 + c, sign * 0.55 * c, 0))
    return room


def make_relief_piston(stack: StackUp) -> cq.Solid:
    """Return the relief piston: wetted face at z = 0, groove for its O-ring, collar in front, spring guide."""
    s, c = stack.size, stack.size.c
    step = relief_step_z(stack)
    r = relief_radius(stack) - s.fit_gap_mm - 0.02
    g0, g1 = piston_groove_z(stack)
    deep = relief_radius(stack) - radial_depth(s.seal_oring_section_mm)
    collar = relief_radius(stack) + 0.035 * c
    return turned(
        [
            (0, 0.1),
            (r - 0.4, 0.1),
            (r, 0.5),
            (r, g0),
            (deep, g0),
            (deep, g1),
            (r, g1),
            (r, step),
            (collar, step),
            (collar, step + 0.03 * c),
            (0.10 * c, step + 0.03 * c),
            (0.10 * c, step + 0.14 * c),
            (0.09 * c, step + 0.15 * c),
            (0, step + 0.15 * c),
        ]
    )


def piston_groove_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of the piston's O-ring groove."""
    width = GROOVE_WIDTH * stack.size.seal_oring_section_mm
    middle = 0.5 * relief_step_z(stack)
    return middle - width / 2, middle + width / 2


def relief_spring_z(stack: StackUp) -> tuple[float, float]:
    """Return where the relief spring stands, own frame of the cover."""
    z0 = relief_step_z(stack) + 0.03 * stack.size.c
    return z0, cap_flange_z(stack) + 0.36 * stack.size.c


def make_relief_spring(stack: StackUp) -> tuple[cq.Solid, Elastic]:
    """Return the relief spring at its fitted length from z = 0: a round wire of five turns on a helix."""
    c = stack.size.c
    z0, z1 = relief_spring_z(stack)
    wire, mean = 0.036 * c, 0.165 * c
    height = z1 - z0 - wire - 0.1
    helix = cq.Wire.makeHelix(height / 5, height, mean)
    section = cq.Workplane("XZ").center(mean, 0).circle(wire / 2)
    swept = section.sweep(cq.Workplane(helix), isFrenet=True).val()
    solid = single(swept, "relief spring", "sweep along its helix").translate(
        cq.Vector(0, 0, wire / 2 + 0.05)
    )
    coil = single(solid, "relief spring", "coil")
    return coil, Elastic(0.0, coil)


def make_relief_cap(stack: StackUp) -> cq.Solid:
    """Return the cap over the relief spring: flange face at z = 0, cup in front with vents."""
    c = stack.size.c
    t = stack.size.relief_screw_thread
    top = 0.36 * c
    outline = [
        (0.235 * c, 0),
        (0.47 * c, 0),
        (0.47 * c, 0.04 * c),
        (0.46 * c, 0.05 * c),
        (0.29 * c, 0.05 * c),
        (0.275 * c, 0.065 * c),
        (0.275 * c, top + 0.02 * c),
        (0.25 * c, top + 0.05 * c),
        (0, top + 0.05 * c),
        (0, top),
        (0.235 * c, top),
    ]
    tools: list[cq.Shape] = [
        rod(0.55 * t.nominal_mm + 0.1, -1, c, x, y) for x, y in relief_screw_points(stack)
    ]
    for k in range(4):
        a = math.radians(90 * k)
        tools.append(cross_rod(0.03 * c, (0, 0, 0.2 * c), (math.cos(a), math.sin(a), 0), c))
    return cut(turned(outline), tools, "relief cap", "screw holes and vents")


def cover_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of the cover."""
    s = stack.size
    found = [Feature("rear face", "face", (0, 0, 0), (0, 0, -1), mates="body")]
    for name, (x, y) in stack.dowel_points.items():
        size = s.large_dowel_mm if name == "large" else s.small_dowel_mm
        found.append(Feature(f"{name} dowel hole", "hole", (x, y, 0), (0, 0, -1), size, "body_dowel"))
    return tuple(found)


def cover_gland_z(stack: StackUp) -> float:
    """Return the middle plane of the cover O-ring, head frame."""
    return stack.face_z - FACE_DEPTH * stack.size.cover_oring_section_mm / 2
