"""What dimensions have to leave each other: each may be within its own range, and two of them still not go together.

What is broken is told of the dimension that was given, not of one that follows from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from . import room_measures as measures
from .options import Options
from .proportions.rules import unit_of
from .size import PROPORTIONS, Size, SizeFault
from .stack_up import StackUp


@dataclass(frozen=True)
class Room:
    """Something that has to be left, in mm, and the dimensions that it is made of, the likeliest first."""

    words: str
    names: tuple[str, ...]
    left_mm: Callable[[StackUp], float]
    needed_mm: Callable[[StackUp], float]
    belongs: Callable[[Options], bool] = lambda _: True


def _relief(options: Options) -> bool:
    return options.cover == "relief"


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
        lambda k: measures.behind_groove(k, k.stationary_ring_length, k.size.seal_notch_mm, k.size.stationary_nose_mm),
        lambda k: 0.0,
    ),
    Room(
        "metal between the atmosphere-side ring's O-ring groove and its notches",
        ("atmosphere_ring_notch_mm", "atmosphere_nose_mm", "atmosphere_ring_length_mm", *_RING),
        lambda k: measures.behind_groove(
            k, k.size.atmosphere_ring_length_mm, k.size.atmosphere_ring_notch_mm, k.size.atmosphere_nose_mm
        ),
        lambda k: 0.0,
        lambda options: options.seal == "double",
    ),
    Room(
        "a key longer than it is wide, since its ends are round",
        ("key_length_mm", "key_width_mm", *_FIT),
        measures.key_length,
        lambda k: k.size.key_width_mm + measures.LEAST_KEY_SIDE_MM,
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
        lambda k: k.size.shaft_radius_mm - measures.key_corner(k),
        lambda k: 0.0,
    ),
    Room(
        "the keyway clear of the groove of the hub O-ring",
        ("hub_keyway_mm", "key_width_mm", "rotor_fit_mm", "hub_oring_section_mm"),
        lambda k: k.size.shaft_radius_mm + k.hub_gland_depth - measures.keyway_corner(k),
        lambda k: measures.LEAST_LAND_MM,
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
        lambda k: measures.LEAST_LAND_MM,
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
        measures.round_keyway,
        measures.wall,
    ),
    Room(
        "a shoulder of the shaft that the rotor bears on",
        ("rotor_fit_mm", "hub_lead_mm"),
        measures.shoulder,
        lambda k: measures.LEAST_SHOULDER_MM,
    ),
    Room(
        "room for the rotor's hub on its shaft",
        (
            "rotor_fit_length_mm", "web_mm", "hub_land_mm", "hub_oring_section_mm", "nut_thread_length_mm",
            "nut_crown_mm", "nut_sink_mm", "gland_width_share", "hub_neck_gap_mm", "rotor_thread_mm",
            "disc_spring_thickness_mm", "disc_spring_cone_mm", "land_rise_mm",
        ),
        measures.behind_hub,
        measures.needed_behind_hub,
    ),
    Room(
        "a land of the hub between its mouth and its O-ring's groove",
        ("hub_land_mm", "hub_lead_mm"),
        lambda k: k.size.hub_land_mm - k.size.hub_lead_mm,
        lambda k: measures.LEAST_LAND_MM / 2,
    ),
    Room(
        "a wall of the body's hub round the neck of the rotor's",
        ("hub_neck_wall_mm", "hub_neck_gap_mm", "hub_oring_section_mm"),
        measures.boss_wall,
        measures.wall,
        lambda options: options.rotor == "two-wing",
    ),
    Room(
        "a wall of the hub round its O-ring's groove",
        ("hub_neck_wall_mm", "hub_oring_section_mm"),
        measures.groove_wall,
        measures.wall,
    ),
    Room(
        "the shaft's thread thinner than the rotor fit",
        ("rotor_thread_mm", "rotor_fit_mm"),
        lambda k: k.size.journal_radius_mm - k.size.shaft_bevel_mm - k.size.rotor_thread.radius_mm,
        lambda k: measures.LEAST_LAND_MM,
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
        lambda k: measures.LEAST_LAND_MM,
    ),
    Room(
        "metal between the rotor nut's blind thread and its dome",
        ("nut_crown_mm", "nut_across_flats_mm", "rotor_thread_mm"),
        measures.crown,
        measures.wall,
    ),
    Room(
        "metal of the rotor nut round its pocket",
        ("nut_flange_thickness_mm", "nut_across_flats_mm", "disc_spring_outer_mm"),
        measures.round_pocket,
        measures.wall,
    ),
    Room(
        "a hexagon before the rotor nut's flange",
        ("nut_flange_thickness_mm", "nut_thread_length_mm", "nut_crown_mm"),
        measures.hexagon,
        lambda k: 0.1 * k.size.nut_across_flats_mm,
    ),
    Room(
        "metal of the rotor nut round its thread",
        ("nut_across_flats_mm", "rotor_thread_mm"),
        lambda k: k.size.nut_across_flats_mm / 2 - k.size.rotor_thread.radius_mm - measures.NUT_BORE_MM,
        measures.wall,
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
        measures.wall,
        _relief,
    ),
    Room(
        "a flange of the relief cap beyond its cup",
        ("relief_cap_flange_mm", "relief_cap_mm"),
        lambda k: (k.size.relief_cap_flange_mm - k.size.relief_cap_mm) / 2,
        lambda k: 3 * measures.wall(k),
        _relief,
    ),
    Room(
        "metal between the cover O-ring's groove and the studs' holes",
        ("stud_thread_mm", "stud_hole_mm", "wall_mm", "corner_share", *_COVER_RING),
        lambda k: measures.beside_cover_groove(k, k.size.corner_share, k.size.stud_hole_mm),
        measures.land,
    ),
    Room(
        "metal between the cover O-ring's groove and the body dowels",
        ("large_dowel_mm", "small_dowel_mm", "wall_mm", "corner_share", *_COVER_RING),
        lambda k: measures.beside_cover_groove(k, k.size.corner_share, max(k.size.dowels_mm.values())),
        measures.land,
    ),
    Room(
        "metal between the cover O-ring's groove and the body screws' heads",
        ("body_screw_thread_mm", "body_screw_head_gap_mm", "body_screw_share", "wall_mm", *_COVER_RING),
        lambda k: measures.beside_cover_groove(k, k.size.body_screw_share, measures.counterbore_mm(k)),
        measures.land,
    ),
    Room(
        "metal between the holes of studs, dowels and body screws",
        (
            "stud_angle_deg", "low_stud_angle_deg", "dowel_angle_deg", "body_screw_angle_deg", "large_dowel_mm",
            "small_dowel_mm", "stud_thread_mm", "stud_hole_mm", "body_screw_thread_mm", "body_screw_head_gap_mm",
            "studs", "corner_share", "body_screw_share", "wall_mm",
        ),
        measures.apart,
        measures.land,
    ),
    Room(
        "metal between the seal chambers of the two shafts",
        (
            "double_rotating_ring_chamber_step_mm", "double_rotating_ring_step_mm",
            "rotating_ring_chamber_step_mm", "rotating_ring_step_mm",
            "atmosphere_ring_step_mm", "stationary_ring_step_mm", "seal_wall_mm", "seal_pin_diameter_mm",
            "seal_pin_inset_mm",
        ),
        measures.between_chambers,
        measures.wall,
    ),
    Room(
        "wall of the rotating ring round the shaft's collar",
        (
            "rotating_ring_step_mm", "double_rotating_ring_step_mm", "collar_step_mm",
            "stationary_nose_outer_step_mm", "stationary_ring_step_mm",
        ),
        lambda k: k.rotating_ring_radius - k.collar_radius,
        lambda k: 2 * measures.wall(k),
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
        lambda k: k.rotating_ring_radius - measures.outermost_band(k),
        lambda k: measures.BEYOND_BAND_MM,
    ),
    Room(
        "room of the relief spring over its solid length and least gaps",
        (
            "relief_wire_mm", "relief_spring_mm", "relief_spring_turns", "relief_cap_height_mm",
            "cover_thickness_mm", "relief_step_share", "piston_collar_mm", "cover_pad_height_mm",
        ),
        measures.solid_spring,
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
