"""What dimensions have to leave each other: each may be within its own range, and two of them still not go together.

What is broken is told of the dimension that was given, not of one that follows from it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from .options import Options
from .proportions.rules import unit_of
from .size import PROPORTIONS, Size, SizeFault
from .stack_up import StackUp

LEAST_WALL = 0.01
"""Least wall of a part, as a share of C: with less, the CAD kernel makes no solid of it, or an empty one."""
LEAST_LAND_MM = 0.5
"""Least metal between two holes or grooves of a casting, whatever its size: with less, one breaks into the other."""
BROKEN_EDGE_MM = 0.4
"""How far the edges of turned parts are broken (``EDGE_MM`` of the parts' solids)."""
BEYOND_BAND_MM = 0.32
"""Least of the rotating ring beyond its lapped band: room for its broken edge."""
SEAL_LAND_MM = 0.1
"""Least land of a stationary seal before its O-ring groove."""
LEAST_KEY_SIDE_MM = 0.1
"""Least straight length of a key between its round ends."""


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
    return max(LEAST_LAND_MM, _wall(stack))


def _vented(options: Options) -> bool:
    return options.cover == "vented"


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
    return stack.size.c - 2 * stack.seat_chamber_radius


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


def _behind_groove(stack: StackUp, length: float, notch: float, nose: float) -> float:
    """Return the metal between a stationary seal's O-ring groove and its notches; below 0 where they meet."""
    s = stack.size
    width = stack.gland_width_mm(s.seal_oring_section_mm)
    return length - notch - width - nose - BROKEN_EDGE_MM - SEAL_LAND_MM


def _outermost_band(stack: StackUp) -> float:
    """Return the outer radius of the rotating ring's outermost lapped band."""
    s = stack.size
    return s.shaft_radius_mm + (s.outer_band_outer_step_mm if stack.double else s.seat_band_outer_step_mm)


_COVER_RING = ("cover_oring_section_mm", "cover_gland_width_share", "cover_groove_wall_mm")
_RING = ("seal_oring_section_mm", "gland_width_share")

ROOMS: tuple[Room, ...] = (
    Room(
        "metal between the stationary ring's O-ring groove and its notches",
        ("seal_notch_mm", "inner_nose_mm", "inner_seal_length_mm", *_RING, "inner_seal_setback_mm"),
        lambda k: _behind_groove(k, k.inner_seal_length, k.size.seal_notch_mm, k.size.inner_nose_mm),
        lambda k: 0.0,
    ),
    Room(
        "metal between the atmosphere-side ring's O-ring groove and its notches",
        ("outer_seal_notch_mm", "outer_nose_mm", "outer_seal_length_mm", *_RING),
        lambda k: _behind_groove(
            k, k.size.outer_seal_length_mm, k.size.outer_seal_notch_mm, k.size.outer_nose_mm
        ),
        lambda k: 0.0,
        lambda options: options.seal == "double",
    ),
    Room(
        "a key longer than it is wide, since its ends are round",
        (
            "key_width_mm", "key_start_gap_mm", "key_end_gap_mm", "hub_oring_section_mm", "gland_width_share",
            "journal_setback_mm", "keyed_length_mm", "web_mm",
        ),
        _key_length,
        lambda k: k.size.key_width_mm + LEAST_KEY_SIDE_MM,
    ),
    Room(
        "a wall of the relief cap round its room",
        ("relief_cap_mm", "relief_cap_room_mm"),
        lambda k: (k.size.relief_cap_mm - k.size.relief_cap_room_mm) / 2,
        _wall,
        _vented,
    ),
    Room(
        "a flange of the relief cap beyond its cup",
        ("relief_cap_flange_mm", "relief_cap_mm"),
        lambda k: (k.size.relief_cap_flange_mm - k.size.relief_cap_mm) / 2,
        lambda k: 3 * _wall(k),
        _vented,
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
            "double_seat_chamber_step_mm", "double_seat_step_mm", "seat_chamber_step_mm", "seat_step_mm",
            "outer_seal_step_mm", "inner_seal_step_mm", "seal_wall_mm", "seal_pin_diameter_mm", "seal_pin_inset_mm",
        ),
        _between_chambers,
        _wall,
    ),
    Room(
        "wall of the rotating ring round the shaft's collar",
        ("seat_step_mm", "double_seat_step_mm", "collar_step_mm", "inner_nose_outer_step_mm", "inner_seal_step_mm"),
        lambda k: k.seat_radius - k.collar_radius,
        lambda k: 2 * _wall(k),
    ),
    Room(
        "room of the rotating ring in its chamber",
        ("seat_chamber_step_mm", "double_seat_chamber_step_mm", "seat_step_mm", "double_seat_step_mm"),
        lambda k: k.seat_chamber_radius - k.seat_radius,
        lambda k: k.size.fit_gap_mm,
    ),
    Room(
        "rotating ring beyond its lapped band",
        (
            "seat_band_outer_step_mm", "inner_nose_outer_step_mm", "outer_band_outer_step_mm",
            "outer_nose_outer_step_mm", "seat_step_mm", "double_seat_step_mm",
        ),
        lambda k: k.seat_radius - _outermost_band(k),
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
        _vented,
    ),
    Room(
        "room of the relief spring in its cap",
        ("relief_spring_mm", "relief_wire_mm", "relief_cap_room_mm"),
        lambda k: k.size.relief_cap_room_mm - k.size.relief_spring_mm - k.size.relief_wire_mm,
        lambda k: 2 * k.size.fit_gap_mm,
        _vented,
    ),
    Room(
        "room of the relief spring round its guide",
        ("relief_spring_mm", "relief_wire_mm", "piston_guide_mm"),
        lambda k: k.size.relief_spring_mm - k.size.relief_wire_mm - k.size.piston_guide_mm,
        lambda k: 2 * k.size.fit_gap_mm,
        _vented,
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
