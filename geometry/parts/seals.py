"""Mechanical seals: rotating ring, stationary inner and atmosphere-side ring with notches, their pins."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import BROAD_EDGE_MM, EDGE_MM, FINE_EDGE_MM, PAST_MM, cut, cylinder, turned, valid_solid
from ..dimensions.room_measures import SEAL_LAND_MM
from ..dimensions.stack_up import StackUp
from ..frame import Z
from ..surfaces import Surface
from .named_surfaces import FLAT_MM, ROUND_MM, face, ring, round_skin

FACE_RELIEF_MM = 0.6
"""Height by which a lapped band stands above the face round it."""
LEAST_SHOULDER_MM = 0.01
"""Least step between a nose and its ring that is drawn."""
PIN_FLOOR_MM = 0.3
"""How far a pressed pin stays from the floor of its hole."""
PIN_BEVEL = 0.15
"""Bevel of a pin's ends, in diameters."""


def pin_angles(stack: StackUp) -> list[float]:
    """Return the angles of the stationary ring's pins about the shaft, degrees; evenly spaced from +X."""
    count = int(stack.size.seal_pins)
    return [360.0 * k / count for k in range(count)]


def atmosphere_pin_angles(stack: StackUp) -> list[float]:
    """Return the angles of the atmosphere-side pins: between the others, clear of the flush holes at +Y and -Y."""
    return [stack.size.atmosphere_pin_angle_deg + angle for angle in pin_angles(stack)]


def seal_radius(stack: StackUp, outer: bool) -> float:
    """Return the outer radius of a stationary seal."""
    return stack.atmosphere_ring_radius if outer else stack.stationary_ring_radius


def pin_circle(stack: StackUp, outer: bool) -> float:
    """Return the radius on which a seal's pins stand."""
    return seal_radius(stack, outer) - stack.size.seal_pin_inset_mm


def notch_depth(stack: StackUp, outer: bool) -> float:
    """Return the axial depth of the notches over the pins."""
    return stack.size.atmosphere_ring_notch_mm if outer else stack.size.seal_notch_mm


def make_rotating_ring(stack: StackUp) -> cq.Solid:
    """Return a rotating ring: origin on its axis in the plane of its lapped face, face to +Z, drive flats behind."""
    return cut(turned(_seat_outline(stack)), [_seat_socket(stack)], "rotating ring", "socket with flats")


def _seat_outline(stack: StackUp) -> list[tuple[float, float]]:
    s, journal = stack.size, stack.size.shaft_radius_mm
    rear, low = stack.rotating_ring_rear_z - stack.rotating_ring_face_z, -FACE_RELIEF_MM
    bore, radius = journal + s.fit_gap_mm, stack.rotating_ring_radius
    bands = [(journal + s.rotating_ring_band_inner_step_mm, journal + s.rotating_ring_band_outer_step_mm)]
    if stack.double:
        bands.insert(
            0, (journal + s.atmosphere_band_inner_step_mm, journal + s.atmosphere_band_outer_step_mm)
        )
    return [
        (bore, rear),
        (radius - BROAD_EDGE_MM, rear),
        (radius, rear + BROAD_EDGE_MM),
        (radius, low - FINE_EDGE_MM),
        (radius - FINE_EDGE_MM, low),
        *(p for inner, outer in bands for p in ((outer, low), (outer, 0), (inner, 0), (inner, low))),
        (bore + BROAD_EDGE_MM, low),
        (bore, low - BROAD_EDGE_MM),
    ]


def _seat_socket(stack: StackUp) -> cq.Solid:
    """Return what is taken out of the ring's rear for the shaft's collar with its flats."""
    s = stack.size
    rear, deep = (
        stack.rotating_ring_rear_z - stack.rotating_ring_face_z,
        s.collar_length_mm - stack.rotating_ring_rear_z,
    )
    radius, half = stack.collar_radius + s.fit_gap_mm, stack.flats_half + s.fit_gap_mm
    hole = cylinder(radius, rear - PAST_MM, rear + deep)
    reach = 2 * stack.collar_radius
    corner = cq.Vector(-half, -reach, rear - PAST_MM)
    slab = cq.Solid.makeBox(2 * half, 2 * reach, deep + PAST_MM, corner)
    return valid_solid(hole.intersect(slab), "rotating ring", "socket with flats")


def rotating_ring_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a rotating ring."""
    s = stack.size
    length = stack.rotating_ring_face_z - stack.rotating_ring_rear_z
    return (
        Feature("bore", "bore", (0, 0, 0), size_mm=s.shaft_diameter_mm, mates="shaft"),
        Feature("drive flats", "flats", (0, 0, -length), (0, 0, -1), 2 * stack.flats_half, "shaft"),
        Feature(
            "lapped face",
            "face",
            (0, 0, 0),
            Z,
            2 * (s.shaft_radius_mm + s.rotating_ring_band_outer_step_mm),
            "stationary_ring",
        ),
    )


def _stationary(stack: StackUp, outer: bool) -> cq.Solid:
    """Return a stationary ring: lapped nose at z = 0 facing -Z, O-ring groove, notches in front."""
    s, journal = stack.size, stack.size.shaft_radius_mm
    radius, length, nose = seal_radius(stack, outer), seal_length(stack, outer), nose_length(stack, outer)
    if outer:
        hole = stack.atmosphere_ring_hole_radius
        nose0, nose1 = journal + s.atmosphere_nose_inner_step_mm, journal + s.atmosphere_nose_outer_step_mm
    else:
        hole = journal + s.stationary_ring_bore_step_mm
        nose0, nose1 = journal + s.stationary_nose_inner_step_mm, journal + s.stationary_nose_outer_step_mm
    g0, g1 = seal_groove_z(stack, outer)
    groove = radius + s.fit_gap_mm - stack.sliding_gland_mm(s.seal_oring_section_mm)
    ring = turned(
        [
            (hole, nose),
            (nose0, nose),
            (nose0, 0),
            (nose1, 0),
            *_shoulder(nose1, nose, radius),
            (radius, g0),
            (groove, g0),
            (groove, g1),
            (radius, g1),
            (radius, length - EDGE_MM),
            (radius - EDGE_MM, length),
            (hole, length),
        ]
    )
    part = "atmosphere-side ring" if outer else "stationary ring"
    return cut(ring, _notches(stack, outer), part, "notches for the pins")


def _shoulder(nose_radius: float, nose: float, radius: float) -> list[tuple[float, float]]:
    """Return the outline from the outside of a lapped nose to that of its ring: none where they are one."""
    step = radius - nose_radius
    if abs(step) < LEAST_SHOULDER_MM:
        return []
    broken = min(EDGE_MM, step) if step > 0 else 0.0
    return [
        (nose_radius, nose),
        *([(radius - broken, nose)] if broken < step else []),
        (radius, nose + broken),
    ]


def _notches(stack: StackUp, outer: bool) -> list[cq.Shape]:
    """Return what is taken out of a stationary seal's front over its pins: open outwards, round towards the axis."""
    s = stack.size
    radius, front = seal_radius(stack, outer), seal_length(stack, outer)
    floor, circle = front - notch_depth(stack, outer), pin_circle(stack, outer)
    half = s.seal_pin_diameter_mm / 2 + s.seal_notch_gap_mm
    slot = cq.Solid.makeBox(radius, 2 * half, front - floor + PAST_MM, cq.Vector(circle, -half, floor))
    notch = slot.fuse(cylinder(half, floor, front + PAST_MM, x=circle))
    angles = atmosphere_pin_angles(stack) if outer else pin_angles(stack)
    return [notch.rotate(cq.Vector(), cq.Vector(0, 0, 1), angle) for angle in angles]


def seal_length(stack: StackUp, outer: bool) -> float:
    """Return the length of a stationary seal."""
    return stack.size.atmosphere_ring_length_mm if outer else stack.stationary_ring_length


def nose_length(stack: StackUp, outer: bool) -> float:
    """Return how far a stationary seal's lapped nose stands out."""
    return stack.size.atmosphere_nose_mm if outer else stack.size.stationary_nose_mm


def seal_groove_z(stack: StackUp, outer: bool) -> tuple[float, float]:
    """Return the z range of a stationary seal's O-ring groove, own frame of the seal: behind the notches."""
    s = stack.size
    width = stack.gland_width_mm(s.seal_oring_section_mm)
    wall = s.atmosphere_ring_groove_wall_mm if outer else s.seal_groove_wall_mm
    end = seal_length(stack, outer) - notch_depth(stack, outer) - wall
    start = max(nose_length(stack, outer) + EDGE_MM + SEAL_LAND_MM, end - width)
    return start, start + width


def make_stationary_ring(stack: StackUp) -> cq.Solid:
    """Return the stationary ring: origin on its axis in the plane of its lapped nose, which faces -Z."""
    return _stationary(stack, outer=False)


def make_atmosphere_ring(stack: StackUp) -> cq.Solid:
    """Return the atmosphere-side ring of a double seal, round the inner one; origin as for the stationary ring."""
    return _stationary(stack, outer=True)


def stationary_features(stack: StackUp, outer: bool) -> tuple[Feature, ...]:
    """Return the mating features of a stationary seal."""
    radius, length = seal_radius(stack, outer), seal_length(stack, outer)
    circle = pin_circle(stack, outer)
    notches = tuple(
        Feature(
            f"notch {n}",
            "notch",
            (circle * math.cos(math.radians(a)), circle * math.sin(math.radians(a)), length),
            Z,
            stack.size.seal_pin_diameter_mm,
            "atmosphere_pin" if outer else "seal_pin",
        )
        for n, a in enumerate(atmosphere_pin_angles(stack) if outer else pin_angles(stack), 1)
    )
    return (
        Feature("lapped nose", "face", (0, 0, 0), (0, 0, -1), 2 * radius, "rotating_ring"),
        Feature("outer diameter", "journal", (0, 0, length / 2), Z, 2 * radius, "body"),
        *notches,
    )


def make_pin(stack: StackUp, outer: bool) -> cq.Solid:
    """Return a seal drive pin along Z, its pressed end at z = 0, standing out towards -Z."""
    s = stack.size
    pressed = pin_hole_depth(stack, outer) - PIN_FLOOR_MM
    out = spring_height(stack, outer) + s.seal_pin_share * notch_depth(stack, outer)
    return cylinder(s.seal_pin_diameter_mm / 2, -out, pressed, chamfer=PIN_BEVEL * s.seal_pin_diameter_mm)


def pin_hole_depth(stack: StackUp, outer: bool) -> float:
    """Return the depth of a pin's hole in the body."""
    return stack.size.atmosphere_pin_hole_mm if outer else stack.size.seal_pin_hole_mm


def spring_height(stack: StackUp, outer: bool) -> float:
    """Return the working height of a wave spring."""
    return stack.size.atmosphere_spring_height_mm if outer else stack.size.wave_spring_height_mm


def spring_waves(stack: StackUp, outer: bool) -> int:
    """Return the number of waves of a wave spring."""
    return int(stack.size.atmosphere_spring_waves if outer else stack.size.wave_spring_waves)


def spring_radii(stack: StackUp, outer: bool) -> tuple[float, float]:
    """Return inner and outer radius of a wave spring, clear of the pins and of the shaft's hole in the body."""
    s = stack.size
    outside = pin_circle(stack, outer) - s.seal_pin_diameter_mm / 2 - s.wave_spring_pin_gap_mm
    if outer:
        return stack.atmosphere_ring_hole_radius + s.atmosphere_spring_bore_gap_mm, outside
    return s.shaft_radius_mm + s.wave_spring_step_mm, outside


def rotating_ring_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a rotating ring."""
    s, journal, radius = stack.size, stack.size.shaft_radius_mm, stack.rotating_ring_radius
    rear, low = stack.rotating_ring_rear_z - stack.rotating_ring_face_z, -FACE_RELIEF_MM
    floor, bore = rear + s.collar_length_mm - stack.rotating_ring_rear_z, journal + s.fit_gap_mm
    flats, socket = stack.flats_half + s.fit_gap_mm, stack.collar_radius + s.fit_gap_mm
    inner, outer = journal + s.rotating_ring_band_inner_step_mm, journal + s.rotating_ring_band_outer_step_mm
    found = [
        face("lapped face", 0.0, (inner - FLAT_MM, outer + FLAT_MM), size=2 * outer),
        round_skin("outer diameter", "journal", radius, (rear + BROAD_EDGE_MM, low - FINE_EDGE_MM)),
        ring(
            "back flats", "flats", (flats - FLAT_MM, socket - ROUND_MM), (rear + FLAT_MM, floor - FLAT_MM),
            back=True, size=2 * stack.flats_half,
        ),
        face("rear face", rear, (flats, radius - BROAD_EDGE_MM), back=True),
        round_skin(
            "bore", "bore", bore, (floor + FLAT_MM, low - BROAD_EDGE_MM), back=True, size=s.shaft_diameter_mm
        ),
        face("relief", low, (bore + BROAD_EDGE_MM, radius - FINE_EDGE_MM)),
    ]  # fmt: skip
    if stack.double:
        inner, outer = journal + s.atmosphere_band_inner_step_mm, journal + s.atmosphere_band_outer_step_mm
        radii = (inner - FLAT_MM, outer + FLAT_MM)
        found.insert(1, face("atmosphere-side lapped face", 0.0, radii, size=2 * outer))
    return tuple(found)


def stationary_surfaces(stack: StackUp, outer: bool) -> tuple[Surface, ...]:
    """Return the named surfaces of a stationary seal."""
    s, journal = stack.size, stack.size.shaft_radius_mm
    radius, length, nose = seal_radius(stack, outer), seal_length(stack, outer), nose_length(stack, outer)
    if outer:
        bore = stack.atmosphere_ring_hole_radius
        nose0, nose1 = journal + s.atmosphere_nose_inner_step_mm, journal + s.atmosphere_nose_outer_step_mm
    else:
        bore = journal + s.stationary_ring_bore_step_mm
        nose0, nose1 = journal + s.stationary_nose_inner_step_mm, journal + s.stationary_nose_outer_step_mm
    g0, g1 = seal_groove_z(stack, outer)
    groove = radius + s.fit_gap_mm - stack.sliding_gland_mm(s.seal_oring_section_mm)
    half, circle = s.seal_pin_diameter_mm / 2 + s.seal_notch_gap_mm, pin_circle(stack, outer)
    reach = math.hypot(max(half, radius - circle), half) if radius > circle else half
    found = [
        face("lapped face", 0.0, (nose0 - FLAT_MM, nose1 + FLAT_MM), back=True, size=2 * nose1),
        round_skin("nose", "journal", nose1, (FLAT_MM, nose - FLAT_MM), back=True),
        round_skin("outer diameter", "journal", radius, (nose + EDGE_MM, length - EDGE_MM)),
        ring(
            "O-ring groove", "groove", (groove - ROUND_MM, radius - FLAT_MM), (g0 - FLAT_MM, g1 + FLAT_MM),
            size=g1 - g0,
        ),
        face("spring face", length, (bore, radius - EDGE_MM)),
        round_skin("bore", "bore", bore, (nose + FLAT_MM, length - FLAT_MM)),
    ]  # fmt: skip
    heights = (length - notch_depth(stack, outer) - FLAT_MM, length - FLAT_MM)
    for n, angle in enumerate(atmosphere_pin_angles(stack) if outer else pin_angles(stack), 1):
        a = math.radians(angle)
        at = (circle * math.cos(a), circle * math.sin(a))
        found.append(ring(f"notch {n}", "notch", (0.0, reach + FLAT_MM), heights, at=at, size=2 * half))
    return tuple(found)


def pin_surfaces(stack: StackUp, outer: bool) -> tuple[Surface, ...]:
    """Return the named surfaces of a seal drive pin: its free end looks to the rear."""
    d = stack.size.seal_pin_diameter_mm
    out = spring_height(stack, outer) + stack.size.seal_pin_share * notch_depth(stack, outer)
    bevel = PIN_BEVEL * d
    return (
        face("rear end", -out, (0.0, d / 2 - bevel + FLAT_MM), kind="end", back=True, size=d),
        round_skin("side", "pin", d / 2, (-out + bevel, 0.0), back=True),
    )
