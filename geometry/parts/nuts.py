"""The rotor nut: hexagon with flange, thread, disc-spring pocket, grooves for retainer and nut O-ring."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import EDGE_MM, FINE_EDGE_MM, PAST_MM, Profile, cut, hexagon, join, tube, turned
from ..dimensions.room_measures import DOME, DRILL_DEPTH, HEXAGON_END
from ..dimensions.stack_up import StackUp
from ..surfaces import Surface
from .fasteners import THREAD_CLEARANCE_MM, hexagon_surface
from .named_surfaces import FLAT_MM, PLANE_MM, ROUND_MM, face, ring, round_skin

BEARING_GAP_MM = 0.02
"""Modelled gap of the nut's bearing face to the rotor: just above the mesh tolerance, so that no overlap appears."""
SUNK_MM = 0.5
"""How far the dome is sunk into the flange that it is joined to."""
HEXAGON_START_MM = 0.2
"""Where the hexagon begins, within the flange."""
MOUTH_MM = 0.25
"""Lead-in cone at the pocket's mouth, on radius and along it."""
RETAINER_GAP_MM = 0.05
"""Room behind the retainer O-ring in its groove, and before it to the disc spring."""
RETAINER_GROOVE = ((-0.4, 1.06), (0.0, 0.75))
"""Half outline of the retainer O-ring's groove, from its side wall to its bottom: radius from the bottom and half
width, in half sections. It holds a ring that seals nothing, so its shape is free."""
DRILL_POINT = (0.3, DRILL_DEPTH)
"""End of the blind thread, bored nearly flat: radius and depth of its point, in bore radii."""


def make_rotor_nut(stack: StackUp) -> cq.Solid:
    """Return a closed rotor nut: bearing face at z = 0 (rear), dome in front.

    The pocket behind takes the disc spring; its wall carries a groove for the retainer O-ring, and the bearing face one
    for the nut O-ring. A lead-in cone at the pocket's mouth lets the retainer pass.
    """
    hexed = hexagon(
        stack.size.nut_across_flats_mm, HEXAGON_START_MM, stack.nut_height - HEXAGON_END * stack.size.c
    )
    body = [hexed, turned(_dome(stack))]
    solid = join(turned(_flange(stack)), body, "rotor nut", "flange, hexagon and dome")
    section = stack.size.nut_oring_section_mm
    inner, outer = stack.nut_groove_radii
    groove = tube(outer, inner, -PAST_MM, stack.face_gland_mm(section))
    return cut(solid, [turned(_hollow(stack)), groove], "rotor nut", "pocket and grooves")


def _flange(stack: StackUp) -> Profile:
    radius, thick, bottom = stack.nut_flange_radius, stack.size.nut_flange_thickness_mm, BEARING_GAP_MM
    return [
        (0, bottom),
        (radius - FINE_EDGE_MM, bottom),
        (radius, FINE_EDGE_MM),
        (radius, thick - EDGE_MM),
        (radius - EDGE_MM, thick),
        (0, thick),
    ]


def _dome(stack: StackUp) -> Profile:
    half, top = stack.size.nut_across_flats_mm / 2, stack.nut_height
    start = stack.size.nut_flange_thickness_mm - SUNK_MM
    skin = [(share * half, top - behind * stack.size.c) for share, behind in DOME]
    return [(0, start), (skin[0][0], start), *skin, (0, top)]


def _hollow(stack: StackUp) -> Profile:
    """Return what is taken out along the axis: mouth, pocket with the retainer's groove, blind thread."""
    s, pocket = stack.size, stack.pocket_radius
    half = s.spring_retaining_oring_section_mm / 2
    bottom, middle = stack.spring_retaining_centre_radius + half + RETAINER_GAP_MM, spring_retaining_z(stack)
    groove = [(bottom + r * half, width * half) for r, width in RETAINER_GROOVE]
    across = [(pocket, groove[0][1]), *groove]
    rear, front = [(r, middle - w) for r, w in across], [(r, middle + w) for r, w in reversed(across)]
    thread = s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM
    end, (point_r, point_z) = stack.pocket_depth + s.nut_thread_length_mm, DRILL_POINT
    return [
        (0, -PAST_MM),
        (pocket + MOUTH_MM, -PAST_MM),
        (pocket + MOUTH_MM, BEARING_GAP_MM),
        (pocket, BEARING_GAP_MM + MOUTH_MM),
        *rear,
        *front,
        (pocket, stack.pocket_depth),
        (thread, stack.pocket_depth),
        (thread, end),
        (point_r * thread, end + point_z * thread),
        (0, end + point_z * thread),
    ]


def spring_retaining_z(stack: StackUp) -> float:
    """Return the middle plane of the retainer O-ring in the nut: right behind the disc spring's outer edge."""
    s = stack.size
    edge = stack.pocket_depth - s.disc_spring_thickness_mm
    return edge - s.spring_retaining_oring_section_mm / 2 - RETAINER_GAP_MM


def nut_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a rotor nut."""
    s = stack.size
    back = (0.0, 0.0, -1.0)
    return (
        Feature("thread", "thread", (0, 0, stack.pocket_depth), back, s.rotor_thread_mm, "shaft"),
        Feature("pocket", "pocket", (0, 0, stack.pocket_depth), back, 2 * stack.pocket_radius, "disc_spring"),
        Feature(
            "retainer groove",
            "groove",
            (0, 0, spring_retaining_z(stack)),
            back,
            2 * stack.spring_retaining_centre_radius,
            "spring_retaining_oring",
        ),
        Feature("O-ring groove", "groove", (0, 0, 0), back, sum(stack.nut_groove_radii), "nut_oring"),
    )


def nut_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a rotor nut."""
    s, pocket, depth = stack.size, stack.pocket_radius, stack.pocket_depth
    end = stack.nut_height - HEXAGON_END * s.c
    inner, outer = stack.nut_groove_radii
    half = s.spring_retaining_oring_section_mm / 2
    bottom, middle = stack.spring_retaining_centre_radius + half + RETAINER_GAP_MM, spring_retaining_z(stack)
    thread, flange = s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM, stack.nut_flange_radius
    return (
        hexagon_surface(s.nut_across_flats_mm, s.nut_flange_thickness_mm, end),
        face(
            "bearing face", BEARING_GAP_MM, (pocket + MOUTH_MM, flange - FINE_EDGE_MM), back=True, size=2 * flange
        ),
        ring(
            "O-ring groove", "groove", (inner - FLAT_MM, outer + FLAT_MM),
            (BEARING_GAP_MM + FLAT_MM, stack.face_gland_mm(s.nut_oring_section_mm) + FLAT_MM),
            back=True, size=outer - inner,
        ),
        ring(
            "pocket", "pocket", (thread + FLAT_MM, pocket + PLANE_MM), (MOUTH_MM + BEARING_GAP_MM, depth + FLAT_MM),
            back=True, size=2 * pocket,
        ),
        ring(
            "spring-retaining groove", "groove", (pocket + FLAT_MM, bottom + ROUND_MM),
            (middle - RETAINER_GROOVE[0][1] * half, middle + RETAINER_GROOVE[0][1] * half),
            back=True, size=2 * RETAINER_GROOVE[0][1] * half,
        ),
        round_skin(
            "thread", "thread", thread, (depth + FLAT_MM, depth + s.nut_thread_length_mm), back=True,
            size=s.rotor_thread_mm,
        ),
        round_skin("flange", "journal", flange, (FINE_EDGE_MM, s.nut_flange_thickness_mm - EDGE_MM)),
        ring("dome", "end", (0.0, s.nut_across_flats_mm / 2), (end + FLAT_MM, stack.nut_height + FLAT_MM)),
    )  # fmt: skip
