"""What the strength of one head is worked out from: its key, faces, threads, plate, studs, relief spring and shaft.

All from the stack's dimensions, read by name, without the CAD kernel. What is taken for granted stands beside it.
"""

from __future__ import annotations

import math

from ..dimensions.stack_up import StackUp
from ..engineering.preload import ThreadAndFace, mean_face_mm
from ..engineering.strength.cantilevers import Overhang
from ..engineering.strength.helical_springs import HelicalSpring
from ..engineering.strength.keys import KeyJoint
from ..engineering.strength.plates import Plate
from .calculation_inputs import SHAFT_METAL, bearing_mm

NUT_METAL = "duplex"
"""As the head's rotor nuts are made: they carry the preload."""
KEY_METAL = SHAFT_METAL
FINE_EDGE_MM = 0.3
"""How far the edges of the nut's flange are broken, as its solid has it."""
POCKET_MOUTH_MM = 0.25
"""Lead-in of the nut's pocket on its face, on radius, as its solid has it."""
NUT_FACE_SHARE = 0.95
"""Bearing circle of a hexagon nut as a share of its width across flats (ISO 4032, about)."""

Rings = tuple[tuple[float, float], ...]
"""Inner and outer diameter of each ring of a face, mm."""


def key_joint(stack: StackUp) -> KeyJoint:
    """Return the rotor's key."""
    s = stack.size
    start, end = stack.key_span_z
    return KeyJoint(2 * s.journal_radius_mm, s.key_width_mm, end - start, s.key_depth_mm, s.key_rise_mm)


def shoulder_rings(stack: StackUp) -> Rings:
    """Return the ring of the shaft's shoulder that bears the hub."""
    inner, outer = stack.shoulder_radii
    return ((2 * inner, 2 * outer),)


def nut_face_rings(stack: StackUp) -> Rings:
    """Return the rotor nut's bearing face: within its O-ring's groove, and without."""
    inner, outer = stack.nut_groove_radii
    rings = (
        (2 * (stack.pocket_radius + POCKET_MOUTH_MM), 2 * inner),
        (2 * outer, 2 * (stack.nut_flange_radius - FINE_EDGE_MM)),
    )
    return tuple((a, b) for a, b in rings if b > a)


def rotor_nut_joint(stack: StackUp) -> ThreadAndFace:
    """Return thread and face of the rotor nut."""
    thread = stack.size.rotor_thread
    return ThreadAndFace(thread.nominal_mm, thread.pitch_mm, mean_face_mm(nut_face_rings(stack)))


def screw_joints(stack: StackUp) -> dict[str, ThreadAndFace]:
    """Return the name of a torque to thread and face of the screw or nut that it turns."""
    s = stack.size
    screw, stud = s.body_screw_thread, s.stud_thread
    head = mean_face_mm([(s.body_screw_hole_mm, screw.head_diameter_mm)])
    nut = mean_face_mm([(s.stud_hole_mm, NUT_FACE_SHARE * stud.across_flats_mm)])
    return {
        "body_screw_torque": ThreadAndFace(screw.nominal_mm, screw.pitch_mm, head),
        "cover_nut_torque": ThreadAndFace(stud.nominal_mm, stud.pitch_mm, nut),
    }


def engaged_mm(stack: StackUp) -> float:
    """Return the length over which the shaft's thread and the nut's meet, from the pocket's floor on."""
    return stack.shaft_end_z - stack.recess_floor_z - stack.pocket_depth


def cover_loop(stack: StackUp) -> tuple[float, float]:
    """Return the groove's outer radius about the shafts' axes and the length of its middle line, mm."""
    inner, outer = stack.cover_groove
    return outer, 2 * stack.size.c + math.pi * (inner + outer)


def cover_plate(stack: StackUp) -> Plate:
    """Return the cover as a plate held along the line of its studs, with the relief piston's bore in its middle."""
    s = stack.size
    short = 2 * (s.bore_radius_mm + s.corner_share * s.wall_mm)
    hole = s.relief_bore_mm if stack.options.cover == "relief" else 0.0
    return Plate(short, short + s.c, s.cover_thickness_mm, hole)


def relief_spring(stack: StackUp) -> tuple[HelicalSpring, float]:
    """Return the relief spring and the length that it has in its place, mm."""
    s = stack.size
    rear = s.relief_step_share * s.cover_thickness_mm + s.piston_collar_mm
    room = s.cover_thickness_mm + s.cover_pad_height_mm + s.relief_cap_height_mm - rear
    return HelicalSpring(s.relief_wire_mm, s.relief_spring_mm, s.relief_spring_turns), room


def overhang(stack: StackUp) -> Overhang:
    """Return the shaft before the middle of its locating bearing."""
    s = stack.size
    bearing = bearing_mm(stack)
    return Overhang(
        s.shaft_diameter_mm,
        2 * s.journal_radius_mm,
        stack.shoulder_z + bearing,
        (stack.rotor_rear_z + stack.rotor_front_z) / 2 + bearing,
    )
