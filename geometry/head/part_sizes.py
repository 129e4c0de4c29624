"""Sizes of a head's parts, as a parts list and an order name them, read from the dimensions that its solids follow.

Without the CAD kernel; that they are those of the solids is held by a test. A part that is made to a drawing (body,
rotor, cover, seal ring) has none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from ..dimensions.stack_up import StackUp
from ..dimensions.threads import nearest_thread
from ..engineering.orings import Gland, RingSize, made_to_size, nearest_size
from ..part_size import PartSize
from .calculation_inputs import glands, section_mm

PIN_FLOOR_MM = 0.3
"""How far a pressed pin stays from the floor of its hole, as the pins are drawn."""

SizeOf = Callable[[StackUp], PartSize]


def part_sizes(stack: StackUp, parts: Mapping[str, str]) -> dict[str, PartSize]:
    """Return part key to size, of those parts that have one.

    Args:
        stack: the head's dimensions.
        parts: part key to kind.
    """
    by_kind = {**_rings(stack), **{kind: of(stack) for kind, of in _SIZES.items() if kind in parts.values()}}
    for kind, pitch in stack.size.pitches_mm.items():
        if kind in by_kind and pitch != nearest_thread(by_kind[kind].mm[0]).pitch_mm:
            by_kind[kind] = replace(by_kind[kind], pitch_mm=pitch)
    found = {key: by_kind[kind] for key, kind in parts.items() if kind in by_kind}
    for which, diameter in stack.size.dowels_mm.items():
        found[f"body_dowel_{which}"] = PartSize("pin", (diameter, _dowel_length(stack)))
    return {key: size for key, size in found.items() if key in parts}


def chosen_ring(gland: Gland, section: float) -> RingSize:
    """Return the O-ring for a gland: the nearest standard size where it may be stretched so far, or one made to it."""
    choice = nearest_size(gland, section)
    return choice.ring if choice.fits else made_to_size(gland, section)


# ---- O-rings
def _rings(stack: StackUp) -> dict[str, PartSize]:
    found = {kind: _ring(gland, section_mm(stack, kind)) for kind, gland in glands(stack).items()}
    section = stack.size.spring_retaining_oring_section_mm
    # Its groove lies around it: it springs out into it, and seals nothing.
    around = 2 * stack.spring_retaining_centre_radius + section
    found["spring_retaining_oring"] = _ring(
        Gland("spring_retaining_oring", "rod", section, section, around), section
    )
    return found


def _ring(gland: Gland, section: float) -> PartSize:
    ring = chosen_ring(gland, section)
    return PartSize("ring" if ring.code else "ring_made", (ring.d2_mm, ring.d1_mm), ring.code)


# ---- keys, fasteners, pins, springs
def _key(stack: StackUp) -> PartSize:
    s = stack.size
    start, end = stack.key_span_z
    return PartSize("parallel_key", (s.key_width_mm, s.key_rise_mm + s.key_depth_mm, end - start))


def _stud(stack: StackUp) -> PartSize:
    s, thread = stack.size, stack.size.stud_thread
    wing = stack.options.cover_nuts == "wing"
    nut = s.wing_nut_height_mm if wing else thread.nut_height_mm
    front = stack.face_z + s.cover_thickness_mm + nut + s.stud_end_pitches * thread.pitch_mm
    return PartSize("bolt", (thread.nominal_mm, front + s.stud_root_mm))


def _cover_nut(stack: StackUp) -> PartSize:
    thread = stack.size.stud_thread
    flats = 0.0 if stack.options.cover_nuts == "wing" else thread.across_flats_mm
    return PartSize("nut", (thread.nominal_mm, flats))


def _rotor_nut(stack: StackUp) -> PartSize:
    return PartSize("nut", (stack.size.rotor_thread.nominal_mm, stack.size.nut_across_flats_mm))


def _body_screw(stack: StackUp) -> PartSize:
    s = stack.size
    return PartSize("bolt", (s.body_screw_thread.nominal_mm, stack.screw_sink_z + s.body_screw_reach_mm))


def _relief_screw(stack: StackUp) -> PartSize:
    s = stack.size
    length = s.relief_screw_reach_mm + s.relief_cap_flange_thickness_mm
    return PartSize("bolt", (s.relief_screw_thread.nominal_mm, length))


def _dowel_length(stack: StackUp) -> float:
    return stack.face_z + 2 * stack.size.dowel_reach_mm


def _seal_pin(stack: StackUp) -> PartSize:
    s = stack.size
    out = s.wave_spring_height_mm + s.seal_pin_share * s.seal_notch_mm
    return PartSize("pin", (s.seal_pin_diameter_mm, s.seal_pin_hole_mm - PIN_FLOOR_MM + out))


def _atmosphere_pin(stack: StackUp) -> PartSize:
    s = stack.size
    out = s.atmosphere_spring_height_mm + s.seal_pin_share * s.atmosphere_ring_notch_mm
    return PartSize("pin", (s.seal_pin_diameter_mm, s.atmosphere_pin_hole_mm - PIN_FLOOR_MM + out))


def _disc_spring(stack: StackUp) -> PartSize:
    s = stack.size
    return PartSize("disc", (s.disc_spring_outer_mm, s.disc_spring_inner_mm, s.disc_spring_thickness_mm))


def _within_pins(stack: StackUp, seal_radius: float) -> float:
    """Return the outside diameter of a wave spring, which lies within its seal's pins."""
    s = stack.size
    return 2 * (seal_radius - s.seal_pin_inset_mm - s.seal_pin_diameter_mm / 2 - s.wave_spring_pin_gap_mm)


def _wave_spring(stack: StackUp) -> PartSize:
    s = stack.size
    inside = 2 * (s.shaft_radius_mm + s.wave_spring_step_mm)
    outside = _within_pins(stack, stack.stationary_ring_radius)
    return PartSize("wave", (outside, inside, s.wave_spring_strip_mm, s.wave_spring_height_mm))


def _atmosphere_wave_spring(stack: StackUp) -> PartSize:
    s = stack.size
    inside = 2 * (stack.atmosphere_ring_hole_radius + s.atmosphere_spring_bore_gap_mm)
    outside = _within_pins(stack, stack.atmosphere_ring_radius)
    return PartSize("wave", (outside, inside, s.wave_spring_strip_mm, s.atmosphere_spring_height_mm))


def _relief_spring(stack: StackUp) -> PartSize:
    s = stack.size
    start = s.relief_step_share * s.cover_thickness_mm + s.piston_collar_mm
    end = s.cover_thickness_mm + s.cover_pad_height_mm + s.relief_cap_height_mm
    return PartSize("coil", (s.relief_wire_mm, s.relief_spring_mm, end - start))


_SIZES: dict[str, SizeOf] = {
    "key": _key,
    "stud": _stud,
    "cover_nut": _cover_nut,
    "rotor_nut": _rotor_nut,
    "body_screw": _body_screw,
    "relief_screw": _relief_screw,
    "seal_pin": _seal_pin,
    "atmosphere_pin": _atmosphere_pin,
    "disc_spring": _disc_spring,
    "wave_spring": _wave_spring,
    "atmosphere_wave_spring": _atmosphere_wave_spring,
    "relief_spring": _relief_spring,
}
