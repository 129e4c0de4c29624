"""The rotor nut: hexagon with flange, thread, disc-spring pocket, grooves for retainer and nut O-ring."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature
from ..dimensions.stack_up import FACE_DEPTH, StackUp
from .fasteners import THREAD_CLEARANCE_MM
from .solids import cut, hexagon, join, turned


def make_rotor_nut(stack: StackUp) -> cq.Solid:
    """Return a closed rotor nut: bearing face at z = 0 (rear), dome in front.

    The pocket behind takes the disc spring; its wall carries a groove for the retainer O-ring, and the bearing face one
    for the nut O-ring. A lead-in cone at the pocket's mouth lets the retainer pass.
    """
    s, c = stack.size, stack.size.c
    flange, height = stack.nut_flange_radius, stack.nut_height
    corner = stack.nut_across_flats / 2
    rim = max(1.5, 0.035 * c)
    thread = s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM
    deep = stack.pocket_depth + stack.nut_thread_length
    skin = [
        (0, 0.02),
        (flange - 0.3, 0.02),
        (flange, 0.3),
        (flange, rim - 0.4),
        (flange - 0.4, rim),
        (0, rim),
    ]
    dome = [
        (0, rim - 0.5),
        (0.80 * corner, rim - 0.5),
        (0.80 * corner, height - 0.055 * c),
        (0.72 * corner, height - 0.025 * c),
        (0.50 * corner, height - 0.006 * c),
        (0.2 * corner, height),
        (0, height),
    ]
    hexed = hexagon(stack.nut_across_flats, 0.2, height - 0.06 * c)
    solid = join(turned(skin), [hexed, turned(dome)], "rotor nut", "flange, hexagon and dome")
    groove = stack.retainer_centre_radius + 0.5 * s.retainer_oring_section_mm + 0.05
    middle, half = retainer_z(stack), 0.5 * s.retainer_oring_section_mm
    mouth = 0.25
    hollow = turned(
        [
            (0, -1),
            (stack.pocket_radius + mouth, -1),
            (stack.pocket_radius + mouth, 0.02),
            (stack.pocket_radius, 0.02 + mouth),
            (stack.pocket_radius, middle - 1.06 * half),
            (groove - 0.4 * half, middle - 1.06 * half),
            (groove, middle - 0.75 * half),
            (groove, middle + 0.75 * half),
            (groove - 0.4 * half, middle + 1.06 * half),
            (stack.pocket_radius, middle + 1.06 * half),
            (stack.pocket_radius, stack.pocket_depth),
            (thread, stack.pocket_depth),
            (thread, deep),
            (0.3 * thread, deep + 0.4 * thread),
            (0, deep + 0.4 * thread),
        ]
    )
    r0, r1 = stack.nut_groove_radii
    depth = FACE_DEPTH * s.nut_oring_section_mm
    ring = turned([(r0, -1), (r1, -1), (r1, depth), (r0, depth)])
    return cut(solid, [hollow, ring], "rotor nut", "pocket and grooves")


def retainer_z(stack: StackUp) -> float:
    """Return the middle plane of the retainer O-ring in the nut: right behind the disc spring's outer edge."""
    s = stack.size
    edge = stack.pocket_depth - s.disc_spring_thickness_mm
    return edge - 0.5 * s.retainer_oring_section_mm - 0.05


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
            (0, 0, retainer_z(stack)),
            back,
            2 * stack.retainer_centre_radius,
            "retainer_oring",
        ),
        Feature("O-ring groove", "groove", (0, 0, 0), back, sum(stack.nut_groove_radii), "nut_oring"),
    )
