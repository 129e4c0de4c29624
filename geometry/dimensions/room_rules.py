"""What dimensions have to leave each other: each may be within its own range, and two of them still not go together.

What is broken is told of the dimension that was given, not of one that follows from it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from .options import Options
from .proportions.rotors import LEAST_WALL, hub_groove_radius_mm
from .proportions.rules import unit_of
from .size import PROPORTIONS, ByName, Size, SizeFault
from .stack_up import StackUp

LEAST_METAL_MM = 0.5
"""Least metal between two holes or grooves of a casting, whatever its size: with less, one breaks into the other."""
BROKEN_EDGE_MM = 0.4
"""How far the edges of turned parts are broken (``EDGE_MM`` of the parts' solids)."""
BEYOND_BAND_MM = 0.32
"""Least of the rotating ring beyond its lapped band: room for its broken edge."""
SEAL_LAND_MM = 0.1
"""Least land of a stationary seal before its O-ring groove."""
LEAST_KEY_SIDE_MM = 0.1
"""Least straight length of a key between its round ends."""
LEAST_SHOULDER_MM = 0.5
"""Least ring of the shaft's shoulder that the rotor bears on."""
LEAST_LAND_MM = 0.2
"""Least land under a disc spring's edge."""
DOME = ((0.80, 0.055), (0.72, 0.025), (0.50, 0.006), (0.2, 0.0))
"""Outline of the rotor nut's dome: radius in half widths across flats, distance behind its top as a share of C. It is
round and smooth so that it can be cleaned; its exact shape meets nothing."""
DRILL_DEPTH = 0.2
"""Depth of the point that ends the nut's blind thread, in radii of its bore."""
NUT_BORE_MM = 0.1
"""How much wider, on radius, the nut's thread is drawn than the shaft's."""


@dataclass(frozen=True)
class Room:
    """Something that has to be left, in mm, and the dimensions that it is made of, the likeliest first."""

    words: str
    names: tuple[str, ...]
    left_mm: Callable[[StackUp], float]
    needed_mm: Callable[[StackUp], float]
    belongs: Callable[[Options], bool] = lambda _: True


def _wall(stack: StackUp) -> float:
    return LEAST_WALL * stack.size.c


def _land(stack: StackUp) -> float:
    """Return the least metal between two holes or grooves of a casting."""
    return max(LEAST_METAL_MM, _wall(stack))


def _relief(options: Options) -> bool:
    return options.cover == "relief"


def _key_length(stack: StackUp) -> float:
    start, end = stack.key_span_z
    return end - start


def _beside_cover_groove(stack: StackUp, share: float, hole_mm: float) -> float:
    """Return the metal between the cover O-ring's groove and a hole whose middle lies at ``share`` of the wall."""
    s = stack.size
    return s.bore_radius_mm + share * s.wall_mm - hole_mm / 2 - stack.cover_groove[1]


def _counterbore_mm(stack: StackUp) -> float:
    """Return the diameter of the counterbore for a body screw's head."""
    return stack.size.body_screw_thread.head_diameter_mm + 2 * stack.size.body_screw_head_gap_mm


def _between_chambers(stack: StackUp) -> float:
    return stack.size.c - 2 * stack.rotating_ring_chamber_radius


def _apart(stack: StackUp) -> float:
    """Return the least metal between two holes for studs, dowels and body screws."""
    s = stack.size
    holes = [(p, s.stud_hole_mm / 2) for p in stack.stud_points]
    holes += [(p, s.dowels_mm[name] / 2) for name, p in stack.dowel_points.items()]
    holes += [(p, _counterbore_mm(stack) / 2) for p in stack.screw_points]
    return min(math.dist(a, b) - ra - rb for (a, ra), (b, rb) in itertools.combinations(holes, 2))


def _solid_spring(stack: StackUp) -> float:
    """Return the room of the relief spring at its fitted length, over its solid length and least gaps (EN 13906-1)."""
    s = stack.size
    wire, mean, n = s.relief_wire_mm, s.relief_spring_mm, s.relief_spring_turns
    fitted = cap_front_z(stack) - s.relief_step_share * s.cover_thickness_mm - s.piston_collar_mm
    return fitted - (n + 2) * wire - n * (0.0015 * mean**2 / wire + 0.1 * wire)


def cap_front_z(stack: StackUp) -> float:
    """Return where the relief cap's room ends, own frame of the cover."""
    s = stack.size
    return s.cover_thickness_mm + s.cover_pad_height_mm + s.relief_cap_height_mm


def _key_corner(stack: StackUp) -> float:
    """Return how far the key's top corners stand from the shaft's axis."""
    s = stack.size
    return math.hypot(s.journal_radius_mm + s.key_rise_mm, s.key_width_mm / 2)


def _keyway_corner(stack: StackUp) -> float:
    """Return how far the corners of the hub's keyway lie from its axis."""
    s = stack.size
    return math.hypot(s.journal_radius_mm + s.hub_keyway_mm, s.key_width_mm / 2 + s.keyway_play_mm)


def _round_keyway(stack: StackUp) -> float:
    """Return the metal of the hub round its keyway, at its thinnest place."""
    neck = stack.hub_neck_radius if stack.hub_necked else stack.hub_radius
    return min(neck, stack.hub_radius) - _keyway_corner(stack)


def _behind_hub(stack: StackUp) -> float:
    """Return what is free behind a two-wing rotor's hub; of lobes, what the seal journal's groove leaves."""
    if stack.lobed:
        return stack.shoulder_z - stack.hub_groove_z[1]
    return stack.hub_rear_z - stack.rotor_rear_z


def _needed_behind_hub(stack: StackUp) -> float:
    return (stack.size.hub_land_mm if stack.lobed else stack.size.hub_neck_gap_mm) - 1e-9


def _shoulder(stack: StackUp) -> float:
    inner, outer = stack.shoulder_radii
    return outer - inner


def _boss_wall(stack: StackUp) -> float:
    """Return the wall of the body's hub round the neck of the rotor's."""
    return stack.size.boss_radius_mm - stack.boss_bore_radius if stack.hub_necked else _wall(stack)


def _groove_wall(stack: StackUp) -> float:
    """Return the wall of a hub round its O-ring's groove."""
    outside = stack.hub_neck_radius if stack.hub_necked else stack.hub_radius
    return outside - hub_groove_radius_mm(ByName(stack.size))


def _dome_drop(stack: StackUp, radius: float) -> float:
    """Return how far the nut's dome lies behind its top at a radius."""
    s = stack.size
    share = radius / (s.nut_across_flats_mm / 2)
    points = [(0.0, 0.0), *reversed(DOME)]
    for (near, high), (far, low) in itertools.pairwise(points):
        if share <= far:
            return (high + (low - high) * (share - near) / (far - near)) * s.c
    return s.c * DOME[0][1]


def _crown(stack: StackUp) -> float:
    """Return the metal between the end of the nut's blind thread and its dome, at its thinnest place."""
    s = stack.size
    bore = s.rotor_thread.radius_mm + NUT_BORE_MM
    point = s.nut_crown_mm - DRILL_DEPTH * bore - _dome_drop(stack, 0.3 * bore)
    return min(point, s.nut_crown_mm - _dome_drop(stack, bore))


def _round_pocket(stack: StackUp) -> float:
    """Return the metal of the nut round its pocket where the hexagon begins, and over it in its flange."""
    s = stack.size
    beside = s.nut_across_flats_mm / 2 - stack.pocket_radius
    over = s.nut_flange_thickness_mm - stack.pocket_depth
    return max(beside, over)


def _hexagon(stack: StackUp) -> float:
    """Return the length of the nut's hexagon before its flange."""
    s = stack.size
    return stack.nut_height - HEXAGON_END * s.c - s.nut_flange_thickness_mm


HEXAGON_END = 0.06
"""How far the hexagon ends behind the nut's dome, as a share of C."""


def _behind_groove(stack: StackUp, length: float, notch: float, nose: float) -> float:
    """Return the metal between a stationary seal's O-ring groove and its notches; below 0 where they meet."""
    s = stack.size
    width = stack.gland_width_mm(s.seal_oring_section_mm)
    return length - notch - width - nose - BROKEN_EDGE_MM - SEAL_LAND_MM


def _outermost_band(stack: StackUp) -> float:
    """Return the outer radius of the rotating ring's outermost lapped band."""
    s = stack.size
    return s.shaft_radius_mm + (
        s.atmosphere_band_outer_step_mm if stack.double else s.rotating_ring_band_outer_step_mm
    )


_COVER_RING = ("cover_oring_section_mm", "cover_gland_width_share", "cover_groove_wall_mm")
_FIT = (
    "rotor_fit_length_mm",
    "rotor_fit_mm",
    "web_mm",
    "rotor_thread_mm",
    "hub_oring_section_mm",
    "gland_width_share",
)
_RING = ("seal_oring_section_mm", "gland_width_share")

ROOMS: tuple[Room, ...] = (
    Room(
        "metal between the stationary ring's O-ring groove and its notches",
        ("seal_notch_mm", "stationary_nose_mm", "stationary_ring_length_mm", *_RING, "stationary_ring_setback_mm"),
        lambda k: _behind_groove(k, k.stationary_ring_length, k.size.seal_notch_mm, k.size.stationary_nose_mm),
        lambda k: 0.0,
    ),
    Room(
        "metal between the atmosphere-side ring's O-ring groove and its notches",
        ("atmosphere_ring_notch_mm", "atmosphere_nose_mm", "atmosphere_ring_length_mm", *_RING),
        lambda k: _behind_groove(
            k, k.size.atmosphere_ring_length_mm, k.size.atmosphere_ring_notch_mm, k.size.atmosphere_nose_mm
        ),
        lambda k: 0.0,
        lambda options: options.seal == "double",
    ),
    Room(
        "a key longer than it is wide, since its ends are round",
        ("key_length_mm", "key_width_mm", *_FIT),
        _key_length,
        lambda k: k.size.key_width_mm + LEAST_KEY_SIDE_MM,
    ),
    Room(
        "a rotor fit that takes the key",
        ("key_length_mm", "key_start_gap_mm", "key_end_gap_mm", "journal_setback_mm", *_FIT),
        lambda k: k.key_span_z[0] - k.shoulder_z,
        lambda k: 0.0,
    ),
    Room(
        "the hub O-ring free of the key that it passes",
        ("key_height_mm", "key_depth_mm", "key_width_mm", "rotor_fit_mm"),
        lambda k: k.size.shaft_radius_mm - _key_corner(k),
        lambda k: 0.0,
    ),
    Room(
        "the keyway clear of the groove of the hub O-ring",
        ("hub_keyway_mm", "key_width_mm", "rotor_fit_mm", "hub_oring_section_mm"),
        lambda k: k.size.shaft_radius_mm + k.hub_gland_depth - _keyway_corner(k),
        lambda k: LEAST_LAND_MM,
    ),
    Room(
        "room over the key in the hub's keyway",
        ("hub_keyway_mm", "key_height_mm", "key_depth_mm"),
        lambda k: k.size.hub_keyway_mm - k.size.key_rise_mm,
        lambda k: 0.02,
    ),
    Room(
        "a key that stands out of its shaft",
        ("key_height_mm", "key_depth_mm"),
        lambda k: k.size.key_rise_mm,
        lambda k: LEAST_LAND_MM,
    ),
    Room(
        "metal of the shaft below its keyway",
        ("key_depth_mm", "rotor_fit_mm"),
        lambda k: k.size.journal_radius_mm - k.size.key_depth_mm,
        lambda k: k.size.journal_radius_mm / 3,
    ),
    Room(
        "metal of the hub round its keyway",
        ("hub_keyway_mm", "hub_neck_wall_mm", "rotor_fit_mm", "key_width_mm"),
        _round_keyway,
        _wall,
    ),
    Room(
        "a shoulder of the shaft that the rotor bears on",
        ("rotor_fit_mm", "hub_lead_mm"),
        _shoulder,
        lambda k: LEAST_SHOULDER_MM,
    ),
    Room(
        "room for the rotor's hub on its shaft",
        (
            "rotor_fit_length_mm", "web_mm", "hub_land_mm", "hub_oring_section_mm", "nut_thread_length_mm",
            "nut_crown_mm", "nut_sink_mm", "gland_width_share", "hub_neck_gap_mm", "rotor_thread_mm",
            "disc_spring_thickness_mm", "disc_spring_cone_mm", "land_rise_mm",
        ),
        _behind_hub,
        _needed_behind_hub,
    ),
    Room(
        "a land of the hub between its mouth and its O-ring's groove",
        ("hub_land_mm", "hub_lead_mm"),
        lambda k: k.size.hub_land_mm - k.size.hub_lead_mm,
        lambda k: LEAST_LAND_MM / 2,
    ),
    Room(
        "a wall of the body's hub round the neck of the rotor's",
        ("hub_neck_wall_mm", "hub_neck_gap_mm", "hub_oring_section_mm"),
        _boss_wall,
        _wall,
        lambda options: options.rotor == "two-wing",
    ),
    Room(
        "a wall of the hub round its O-ring's groove",
        ("hub_neck_wall_mm", "hub_oring_section_mm"),
        _groove_wall,
        _wall,
    ),
    Room(
        "the shaft's thread thinner than the rotor fit",
        ("rotor_thread_mm", "rotor_fit_mm"),
        lambda k: k.size.journal_radius_mm - k.size.shaft_bevel_mm - k.size.rotor_thread.radius_mm,
        lambda k: LEAST_LAND_MM,
    ),
    Room(
        "a locating bearing that passes over the collar",
        ("bearing_bore_mm", "collar_step_mm"),
        lambda k: k.bearing_radius - k.collar_radius,
        lambda k: 0.02,
    ),
    Room(
        "a disc spring that passes over the shaft's thread",
        ("disc_spring_inner_mm", "rotor_thread_mm"),
        lambda k: (k.size.disc_spring_inner_mm - k.size.rotor_thread_mm) / 2 - k.size.thread_hole_gap_mm,
        lambda k: 0.02,
    ),
    Room(
        "a land under the disc spring",
        (
            "disc_spring_inner_mm", "disc_spring_outer_mm", "spring_retaining_oring_section_mm",
            "land_gap_mm", "land_share",
        ),
        lambda k: k.land_radius - k.size.disc_spring_inner_mm / 2,
        lambda k: LEAST_LAND_MM,
    ),
    Room(
        "metal between the rotor nut's blind thread and its dome",
        ("nut_crown_mm", "nut_across_flats_mm", "rotor_thread_mm"),
        _crown,
        _wall,
    ),
    Room(
        "metal of the rotor nut round its pocket",
        ("nut_flange_thickness_mm", "nut_across_flats_mm", "disc_spring_outer_mm"),
        _round_pocket,
        _wall,
    ),
    Room(
        "a hexagon before the rotor nut's flange",
        ("nut_flange_thickness_mm", "nut_thread_length_mm", "nut_crown_mm"),
        _hexagon,
        lambda k: 0.1 * k.size.nut_across_flats_mm,
    ),
    Room(
        "metal of the rotor nut round its thread",
        ("nut_across_flats_mm", "rotor_thread_mm"),
        lambda k: k.size.nut_across_flats_mm / 2 - k.size.rotor_thread.radius_mm - NUT_BORE_MM,
        _wall,
    ),
    Room(
        "corners of the rotor nut's hexagon within its flange",
        ("nut_across_flats_mm", "nut_flange_rim_mm"),
        lambda k: k.nut_flange_radius - k.size.nut_across_flats_mm / math.sqrt(3),
        lambda k: 0.0,
    ),
    Room(
        "the shaft's end short of the end of the nut's thread",
        ("nut_end_room_mm", "nut_thread_length_mm"),
        lambda k: k.size.nut_thread_length_mm - k.size.nut_end_room_mm,
        lambda k: 2 * k.size.rotor_thread_pitch_mm,
    ),
    Room(
        "a wall of the relief cap round its room",
        ("relief_cap_mm", "relief_cap_room_mm"),
        lambda k: (k.size.relief_cap_mm - k.size.relief_cap_room_mm) / 2,
        _wall,
        _relief,
    ),
    Room(
        "a flange of the relief cap beyond its cup",
        ("relief_cap_flange_mm", "relief_cap_mm"),
        lambda k: (k.size.relief_cap_flange_mm - k.size.relief_cap_mm) / 2,
        lambda k: 3 * _wall(k),
        _relief,
    ),
    Room(
        "metal between the cover O-ring's groove and the studs' holes",
        ("stud_thread_mm", "stud_hole_mm", "wall_mm", "corner_share", *_COVER_RING),
        lambda k: _beside_cover_groove(k, k.size.corner_share, k.size.stud_hole_mm),
        _land,
    ),
    Room(
        "metal between the cover O-ring's groove and the body dowels",
        ("large_dowel_mm", "small_dowel_mm", "wall_mm", "corner_share", *_COVER_RING),
        lambda k: _beside_cover_groove(k, k.size.corner_share, max(k.size.dowels_mm.values())),
        _land,
    ),
    Room(
        "metal between the cover O-ring's groove and the body screws' heads",
        ("body_screw_thread_mm", "body_screw_head_gap_mm", "body_screw_share", "wall_mm", *_COVER_RING),
        lambda k: _beside_cover_groove(k, k.size.body_screw_share, _counterbore_mm(k)),
        _land,
    ),
    Room(
        "metal between the holes of studs, dowels and body screws",
        (
            "stud_angle_deg", "low_stud_angle_deg", "dowel_angle_deg", "body_screw_angle_deg", "large_dowel_mm",
            "small_dowel_mm", "stud_thread_mm", "stud_hole_mm", "body_screw_thread_mm", "body_screw_head_gap_mm",
            "studs", "corner_share", "body_screw_share", "wall_mm",
        ),
        _apart,
        _land,
    ),
    Room(
        "metal between the seal chambers of the two shafts",
        (
            "double_rotating_ring_chamber_step_mm", "double_rotating_ring_step_mm",
            "rotating_ring_chamber_step_mm", "rotating_ring_step_mm",
            "atmosphere_ring_step_mm", "stationary_ring_step_mm", "seal_wall_mm", "seal_pin_diameter_mm",
            "seal_pin_inset_mm",
        ),
        _between_chambers,
        _wall,
    ),
    Room(
        "wall of the rotating ring round the shaft's collar",
        (
            "rotating_ring_step_mm", "double_rotating_ring_step_mm", "collar_step_mm",
            "stationary_nose_outer_step_mm", "stationary_ring_step_mm",
        ),
        lambda k: k.rotating_ring_radius - k.collar_radius,
        lambda k: 2 * _wall(k),
    ),
    Room(
        "room of the rotating ring in its chamber",
        (
            "rotating_ring_chamber_step_mm", "double_rotating_ring_chamber_step_mm",
            "rotating_ring_step_mm", "double_rotating_ring_step_mm",
        ),
        lambda k: k.rotating_ring_chamber_radius - k.rotating_ring_radius,
        lambda k: k.size.fit_gap_mm,
    ),
    Room(
        "rotating ring beyond its lapped band",
        (
            "rotating_ring_band_outer_step_mm", "stationary_nose_outer_step_mm", "atmosphere_band_outer_step_mm",
            "atmosphere_nose_outer_step_mm", "rotating_ring_step_mm", "double_rotating_ring_step_mm",
        ),
        lambda k: k.rotating_ring_radius - _outermost_band(k),
        lambda k: BEYOND_BAND_MM,
    ),
    Room(
        "room of the relief spring over its solid length and least gaps",
        (
            "relief_wire_mm", "relief_spring_mm", "relief_spring_turns", "relief_cap_height_mm",
            "cover_thickness_mm", "relief_step_share", "piston_collar_mm", "cover_pad_height_mm",
        ),
        _solid_spring,
        lambda k: 0.0,
        _relief,
    ),
    Room(
        "room of the relief spring in its cap",
        ("relief_spring_mm", "relief_wire_mm", "relief_cap_room_mm"),
        lambda k: k.size.relief_cap_room_mm - k.size.relief_spring_mm - k.size.relief_wire_mm,
        lambda k: 2 * k.size.fit_gap_mm,
        _relief,
    ),
    Room(
        "room of the relief spring round its guide",
        ("relief_spring_mm", "relief_wire_mm", "piston_guide_mm"),
        lambda k: k.size.relief_spring_mm - k.size.relief_wire_mm - k.size.piston_guide_mm,
        lambda k: 2 * k.size.fit_gap_mm,
        _relief,
    ),
    Room(
        "a land of the ferrule round the port's bore",
        ("ferrule_mm", "gasket_groove_mm", "gasket_groove_width_mm"),
        lambda k: (k.size.gasket_groove_mm - k.size.gasket_groove_width_mm - k.size.port_bore_mm) / 2,
        lambda k: 0.5,
    ),
    Room(
        "a rim of the ferrule round the gasket's groove",
        ("ferrule_mm", "gasket_groove_mm", "gasket_groove_width_mm"),
        lambda k: (k.size.ferrule_mm - k.size.gasket_groove_mm - k.size.gasket_groove_width_mm) / 2,
        lambda k: 0.5,
    ),
    Room(
        "a rim of the ferrule round the port's neck",
        ("port_wall_mm", "ferrule_mm"),
        lambda k: (k.size.ferrule_mm - k.size.port_bore_mm) / 2 - k.size.port_wall_mm,
        lambda k: 0.5,
    ),
)  # fmt: skip


def room_faults(stack: StackUp) -> Iterator[SizeFault]:
    """Yield a fault for each room that is not left."""
    given = given_dimensions(stack.size)
    for room in ROOMS:
        if not room.belongs(stack.options):
            continue
        left, needed = room.left_mm(stack), room.needed_mm(stack)
        if left < needed:
            name = next((n for n in room.names if n in given), room.names[0])
            allowed = f"what leaves {room.words}: {needed:.4g} mm at least, where it is {left:.4g} mm"
            yield fault_of_given(stack.size, name, f"{getattr(stack.size, name):g}", allowed)


def given_dimensions(size: Size) -> dict[str, float]:
    """Return the dimensions that have a value of their own, with the usual ones that they stand for."""
    known = vars(size)
    usual = {name: p.rule(known) for name, p in PROPORTIONS.items()}
    return {name: value for name, value in usual.items() if getattr(size, name) != value}


def fault_of_given(size: Size, name: str, found: str, allowed: str) -> SizeFault:
    """Return the fault of a dimension that may have a value of its own."""
    usual = PROPORTIONS[name].rule(vars(size))
    own = f"leave it out for the usual {usual:.4g}{unit_of(name)}"
    fix = own if getattr(size, name) != usual else "give it another value under overrides"
    return SizeFault(name, found, allowed, fix)
