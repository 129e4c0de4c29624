"""Mechanical seals: turning seat, stationary inner and outer seal with notches, their pins."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..dimensions.stack_up import GROOVE_WIDTH, StackUp, radial_depth
from ..frame import Z
from .solids import cut, rod, single, turned

FACE_RELIEF_MM = 0.6
"""Height by which a lapped ring stands above the face round it."""


def pin_angles(stack: StackUp) -> list[float]:
    """Return the angles of the inner seal's pins about the shaft, degrees; evenly spaced from +X."""
    count = int(stack.size.seal_pins)
    return [360.0 * k / count for k in range(count)]


def outer_pin_angles(stack: StackUp) -> list[float]:
    """Return the outer seal's pin angles: between those of the inner seal, clear of the flush holes at +Y and -Y."""
    count = int(stack.size.seal_pins)
    return [45.0 + 360.0 * k / count for k in range(count)]


def pin_circle(stack: StackUp, outer: bool) -> float:
    """Return the radius on which a seal's pins stand."""
    radius = stack.outer_seal_radius if outer else stack.inner_seal_radius
    return radius - 0.019 * stack.size.c


def notch_depth(stack: StackUp, outer: bool) -> float:
    """Return the axial depth of the notches over the pins."""
    return (0.022 if outer else 0.034) * stack.size.c


def make_seat(stack: StackUp) -> cq.Solid:
    """Return a seal seat: origin on its axis in the plane of its lapped face, face towards +Z, drive flats behind."""
    s, c = stack.size, stack.size.c
    length = stack.seat_face_z - stack.seat_rear_z
    socket = s.collar_length_mm - stack.seat_rear_z
    bore = s.shaft_radius_mm + s.fit_gap_mm
    inner0, inner1 = s.shaft_radius_mm + 0.014 * c, s.shaft_radius_mm + 0.046 * c
    low = -FACE_RELIEF_MM
    outline = [
        (bore, -length),
        (stack.seat_radius - 0.5, -length),
        (stack.seat_radius, -length + 0.5),
        (stack.seat_radius, low - 0.3),
        (stack.seat_radius - 0.3, low),
    ]
    if stack.double:
        outer0, outer1 = s.shaft_radius_mm + 0.096 * c, s.shaft_radius_mm + 0.130 * c
        outline += [(outer1, low), (outer1, 0), (outer0, 0), (outer0, low)]
    outline += [(inner1, low), (inner1, 0), (inner0, 0), (inner0, low), (bore + 0.5, low), (bore, low - 0.5)]
    seat = turned(outline)
    gap = s.fit_gap_mm
    far = 2 * stack.collar_radius
    hole = rod(stack.collar_radius + gap, -length - 1, -length + socket)
    slab = cq.Solid.makeBox(
        2 * (stack.flats_half + gap),
        2 * far,
        socket + 1,
        cq.Vector(-stack.flats_half - gap, -far, -length - 1),
    )
    pocket = single(hole.intersect(slab), "seal seat", "socket with flats")
    return cut(seat, [pocket], "seal seat", "socket with flats")


def seat_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a seat."""
    s = stack.size
    length = stack.seat_face_z - stack.seat_rear_z
    return (
        Feature("bore", "bore", (0, 0, 0), size_mm=s.shaft_diameter_mm, mates="shaft"),
        Feature("drive flats", "flats", (0, 0, -length), (0, 0, -1), 2 * stack.flats_half, "shaft"),
        Feature("lapped face", "face", (0, 0, 0), Z, 2 * (s.shaft_radius_mm + 0.046 * s.c), "inner_seal"),
    )


def _stationary(stack: StackUp, outer: bool) -> cq.Solid:
    """Return a stationary ring: lapped nose at z = 0 facing -Z, O-ring groove, notches in front."""
    s, c = stack.size, stack.size.c
    radius = stack.outer_seal_radius if outer else stack.inner_seal_radius
    hole = stack.outer_seal_hole_radius if outer else s.shaft_radius_mm + 0.008 * c
    length = s.outer_seal_length_mm if outer else stack.inner_seal_length
    base = 0.090 if outer else 0.0
    nose0, nose1 = s.shaft_radius_mm + (base + 0.010) * c, s.shaft_radius_mm + (base + 0.036) * c
    if not outer:
        nose0, nose1 = s.shaft_radius_mm + 0.018 * c, s.shaft_radius_mm + 0.040 * c
    nose = 0.014 * c if outer else 0.030 * c
    g0, g1 = seal_groove_z(stack, outer)
    groove = radius + s.fit_gap_mm - radial_depth(s.seal_oring_section_mm)
    ring = turned(
        [
            (hole, nose),
            (nose0, nose),
            (nose0, 0),
            (nose1, 0),
            (nose1, nose),
            (radius - 0.4, nose),
            (radius, nose + 0.4),
            (radius, g0),
            (groove, g0),
            (groove, g1),
            (radius, g1),
            (radius, length - 0.4),
            (radius - 0.4, length),
            (hole, length),
        ]
    )
    part = "outer seal" if outer else "inner seal"
    depth = notch_depth(stack, outer)
    half = 0.5 * s.seal_pin_diameter_mm + 0.004 * c
    circle = pin_circle(stack, outer)
    notches = []
    for angle in outer_pin_angles(stack) if outer else pin_angles(stack):
        slot = cq.Solid.makeBox(radius, 2 * half, depth + 1, cq.Vector(circle, -half, length - depth))
        round_end = rod(half, length - depth, length + 1, x=circle)
        notches.append(slot.fuse(round_end).rotate(cq.Vector(), cq.Vector(0, 0, 1), angle))
    return cut(ring, notches, part, "notches for the pins")


def seal_groove_z(stack: StackUp, outer: bool) -> tuple[float, float]:
    """Return the z range of a stationary seal's O-ring groove, own frame of the seal."""
    s, c = stack.size, stack.size.c
    width = GROOVE_WIDTH * s.seal_oring_section_mm
    if outer:
        end = s.outer_seal_length_mm - notch_depth(stack, True) - 0.006 * c
        return max(0.014 * c + 0.4, end - width), max(0.014 * c + 0.4, end - width) + width
    end = stack.inner_seal_length - notch_depth(stack, False) - 0.008 * c
    return end - width, end


def make_inner_seal(stack: StackUp) -> cq.Solid:
    """Return the inner seal: origin on its axis in the plane of its lapped nose, which faces -Z."""
    return _stationary(stack, outer=False)


def make_outer_seal(stack: StackUp) -> cq.Solid:
    """Return the outer seal of a double arrangement, round the inner one; origin as for the inner seal."""
    return _stationary(stack, outer=True)


def stationary_features(stack: StackUp, outer: bool) -> tuple[Feature, ...]:
    """Return the mating features of a stationary seal."""
    radius = stack.outer_seal_radius if outer else stack.inner_seal_radius
    length = stack.size.outer_seal_length_mm if outer else stack.inner_seal_length
    circle = pin_circle(stack, outer)
    notches = tuple(
        Feature(
            f"notch {n}",
            "notch",
            (circle * math.cos(math.radians(a)), circle * math.sin(math.radians(a)), length),
            Z,
            stack.size.seal_pin_diameter_mm,
            "outer_seal_pin" if outer else "seal_pin",
        )
        for n, a in enumerate(outer_pin_angles(stack) if outer else pin_angles(stack), 1)
    )
    return (
        Feature("lapped nose", "face", (0, 0, 0), (0, 0, -1), 2 * radius, "seal_seat"),
        Feature("outer diameter", "journal", (0, 0, length / 2), Z, 2 * radius, "body"),
        *notches,
    )


def make_pin(stack: StackUp, outer: bool) -> cq.Solid:
    """Return a seal drive pin along Z, its pressed end at z = 0, standing out towards -Z."""
    s = stack.size
    pressed = pin_hole_depth(stack, outer) - 0.3
    out = (s.outer_spring_height_mm if outer else s.wave_spring_height_mm) + 0.75 * notch_depth(stack, outer)
    return rod(s.seal_pin_diameter_mm / 2, -out, pressed, chamfer=0.15 * s.seal_pin_diameter_mm)


def pin_hole_depth(stack: StackUp, outer: bool) -> float:
    """Return the depth of a pin's hole in the body."""
    return (0.05 if outer else 0.042) * stack.size.c


def spring_radii(stack: StackUp, outer: bool) -> tuple[float, float]:
    """Return inner and outer radius of a wave spring, clear of the pins and of the shaft's hole in the body."""
    s, c = stack.size, stack.size.c
    outside = pin_circle(stack, outer) - 0.5 * s.seal_pin_diameter_mm - 0.004 * c
    inside = stack.outer_seal_hole_radius + 0.004 * c if outer else s.shaft_radius_mm + 0.016 * c
    return inside, outside
