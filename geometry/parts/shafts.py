"""Shafts and keys: collar with flats, seal journal, rotor journal with keyway, threaded end."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature, Side
from ..cad_shapes import FINE_EDGE_MM, PAST_MM, cut, threaded, turned, valid_solid
from ..dimensions.stack_up import StackUp
from ..frame import Y, Z
from ..surfaces import Surface
from .named_surfaces import FLAT_MM, ROUND_MM, face, ring, round_skin, slot

KEY_PLAY_MM = 0.02
"""Modelled play of the key in the shaft's keyway, all round: just above the mesh tolerance, so that no false overlap
appears."""
THREAD_START = 0.3
"""Where the shaft's thread begins in the rotor's web, as a share of it: nothing holds there."""
THREAD_TIP_PITCHES = 0.5
"""Bevel of the shaft's threaded end below the root and along it, in pitches."""
FLATS_REAR, FLATS_LENGTH = 0.005, 0.01
"""Where the cutter for the collar's flats begins behind the gear case's front face, and how much longer it is than the
collar, as shares of C."""


def shaft_groove_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of the shaft O-ring's groove, middle of the seat's sealing length."""
    width = stack.gland_width_mm(stack.size.shaft_oring_section_mm)
    middle = (stack.size.collar_length_mm + stack.rotating_ring_face_z) / 2
    return middle - width / 2, middle + width / 2


def shaft_groove_radius(stack: StackUp) -> float:
    """Return the bottom radius of the shaft O-ring's groove: the gland reaches from it to the seat's bore."""
    s = stack.size
    return s.shaft_radius_mm + s.fit_gap_mm - stack.radial_gland_mm(s.shaft_oring_section_mm)


def shaft_outline(stack: StackUp, side: Side) -> list[tuple[float, float]]:
    """Return the turned outline (radius, z) of a shaft, head frame in z.

    The drive shaft reaches out of the gear case's rear, the driven one ends inside it.
    """
    s = stack.size
    groove = shaft_groove_radius(stack)
    g0, g1 = shaft_groove_z(stack)
    collar, journal, rotor_journal = stack.collar_radius, s.shaft_radius_mm, s.journal_radius_mm
    return [
        *_rear_end(stack, side),
        (stack.bearing_radius, -s.collar_setback_mm),
        (collar, -s.collar_setback_mm),
        (collar, s.collar_length_mm - FINE_EDGE_MM),
        (collar - FINE_EDGE_MM, s.collar_length_mm),
        (journal, s.collar_length_mm),
        (journal, g0),
        (groove, g0),
        (groove, g1),
        (journal, g1),
        (journal, stack.shoulder_z - s.hub_lead_mm),
        (journal - s.hub_lead_mm, stack.shoulder_z),
        (rotor_journal, stack.shoulder_z),
        (rotor_journal, stack.journal_end_z - s.shaft_bevel_mm),
        (rotor_journal - s.shaft_bevel_mm, stack.journal_end_z),
        *_threaded_end(stack),
    ]


def shaft_rear_z(stack: StackUp, side: Side) -> float:
    """Return the height of a shaft's rear end."""
    s = stack.size
    return -s.gear_case_depth_mm + (-s.drive_end_mm if side == "drive" else s.driven_end_mm)


def _rear_end(stack: StackUp, side: Side) -> list[tuple[float, float]]:
    """Return a shaft's outline from the axis to its bearing seat."""
    s, rear = stack.size, shaft_rear_z(stack, side)
    if side == "driven":
        return [(0, rear), (stack.bearing_radius, rear)]
    end, bevel, seat = (
        s.drive_end_share * s.shaft_radius_mm,
        s.shaft_bevel_mm,
        -s.gear_case_depth_mm - s.bearing_reach_mm,
    )
    return [(0, rear), (end - bevel, rear), (end, rear + bevel), (end, seat), (stack.bearing_radius, seat)]


def _threaded_end(stack: StackUp) -> list[tuple[float, float]]:
    """Return a shaft's outline from the end of the rotor journal to the axis."""
    s, thread = stack.size, stack.size.rotor_thread
    start, end = stack.web_rear_z + THREAD_START * s.web_mm, stack.shaft_end_z
    return [
        (thread.root_radius_mm - s.thread_relief_mm, stack.journal_end_z),
        *threaded(thread.radius_mm, thread.pitch_mm, start, end - THREAD_TIP_PITCHES * thread.pitch_mm),
        (thread.root_radius_mm - THREAD_TIP_PITCHES * thread.pitch_mm, end),
        (0, end),
    ]


def _key_bar(half_width: float, z0: float, z1: float, low: float, high: float) -> cq.Solid:
    """Return a round-ended bar along Z, standing in +Y from ``low`` to ``high``."""
    work = (
        cq.Workplane("XZ", origin=(0, low, 0))
        .center(0, (z0 + z1) / 2)
        .slot2D(z1 - z0, 2 * half_width, 90)
        .extrude(-(high - low))
    )
    return valid_solid(work.val(), "key", "round-ended bar")


def make_shaft(stack: StackUp, side: Side) -> cq.Solid:
    """Return a shaft; own frame is the head's, on the shaft's axis."""
    tools = [*_flats(stack), _rotor_keyway(stack)]
    if side == "drive":
        tools.append(_drive_keyway(stack))
    return cut(turned(shaft_outline(stack, side)), tools, "shaft", "flats and keyway")


def _flats(stack: StackUp) -> list[cq.Solid]:
    """Return what the two flats take off the collar; the seal journal before it is narrower than they are."""
    s, reach = stack.size, 2 * stack.bearing_radius
    length, rear = s.collar_length_mm + FLATS_LENGTH * s.c, -FLATS_REAR * s.c
    return [
        cq.Solid.makeBox(reach, 2 * reach, length, cq.Vector(x, -reach, rear))
        for x in (stack.flats_half, -stack.flats_half - reach)
    ]


def _rotor_keyway(stack: StackUp) -> cq.Solid:
    s, play = stack.size, KEY_PLAY_MM
    z0, z1 = stack.key_span_z
    low = s.journal_radius_mm - s.key_depth_mm - play
    return _key_bar(s.key_width_mm / 2 + play, z0 - play, z1 + play, low, s.journal_radius_mm + PAST_MM)


def _drive_keyway(stack: StackUp) -> cq.Solid:
    """Return the keyway for a coupling's or pulley's key in the drive shaft's end."""
    s, rear = stack.size, shaft_rear_z(stack, "drive")
    radius = s.drive_end_share * s.shaft_radius_mm
    low, high = radius - s.drive_key_depth_mm, radius + PAST_MM
    return _key_bar(
        s.drive_key_width_mm / 2, rear + s.drive_key_start_mm, rear + s.drive_key_stop_mm, low, high
    )


def shaft_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a shaft."""
    s = stack.size
    z0, z1 = stack.key_span_z
    return (
        Feature(
            "seal journal",
            "journal",
            (0, 0, stack.rotating_ring_face_z),
            size_mm=s.shaft_diameter_mm,
            mates="rotating_ring",
        ),
        Feature(
            "drive flats",
            "flats",
            (0, 0, s.collar_length_mm / 2),
            size_mm=2 * stack.flats_half,
            mates="rotating_ring",
        ),
        Feature(
            "rotor journal",
            "journal",
            (0, 0, stack.shoulder_z),
            size_mm=2 * s.journal_radius_mm,
            mates="rotor",
        ),
        Feature("keyway", "keyway", (0, s.journal_radius_mm, (z0 + z1) / 2), Y, s.key_width_mm, "key"),
        Feature("thread", "thread", (0, 0, stack.shaft_end_z), size_mm=s.rotor_thread_mm, mates="rotor_nut"),
    )


def make_key(stack: StackUp) -> cq.Solid:
    """Return a parallel key, form A of DIN 6885-1 (round ends); origin in its middle on the axis, standing in +Y."""
    s = stack.size
    z0, z1 = stack.key_span_z
    half = (z1 - z0) / 2
    low = s.journal_radius_mm - s.key_depth_mm
    return _key_bar(s.key_width_mm / 2, -half, half, low, s.journal_radius_mm + s.key_rise_mm)


def shaft_surfaces(stack: StackUp, side: Side) -> tuple[Surface, ...]:
    """Return the named surfaces of a shaft."""
    s, thread = stack.size, stack.size.rotor_thread
    seal, fit, shoulder = s.shaft_radius_mm, s.journal_radius_mm, stack.shoulder_z
    groove, (g0, g1), rear = shaft_groove_radius(stack), shaft_groove_z(stack), shaft_rear_z(stack, side)
    start, end = stack.web_rear_z + THREAD_START * s.web_mm, stack.shaft_end_z
    low, (k0, k1) = fit - s.key_depth_mm - KEY_PLAY_MM, stack.key_span_z
    flush = min(k1, stack.journal_end_z - s.shaft_bevel_mm)
    rear_radius = stack.bearing_radius if side == "driven" else s.drive_end_share * seal
    found = [
        ring(
            "thread", "thread", (thread.root_radius_mm - ROUND_MM, thread.radius_mm), (start, end - FLAT_MM),
            size=s.rotor_thread_mm,
        ),
        round_skin("rotor fit", "journal", fit, (shoulder + FLAT_MM, stack.journal_end_z - s.shaft_bevel_mm)),
        round_skin("shaft seal diameter", "journal", seal, (s.collar_length_mm, shoulder - s.hub_lead_mm)),
        face(
            "shoulder", shoulder, (fit + FLAT_MM, seal - s.hub_lead_mm), kind="shoulder",
            size=2 * (seal - s.hub_lead_mm),
        ),
        ring(
            "shoulder edge", "edge", (seal - s.hub_lead_mm, seal), (shoulder - s.hub_lead_mm, shoulder),
            size=2 * seal,
        ),
        ring(
            "O-ring groove", "groove", (groove - ROUND_MM, seal - FLAT_MM), (g0 - FLAT_MM, g1 + FLAT_MM),
            size=g1 - g0,
        ),
        slot("keyway", "keyway", (low - FLAT_MM, fit - ROUND_MM), (k0, flush), width=s.key_width_mm),
        ring(
            "collar flats", "flats", (stack.flats_half - FLAT_MM, stack.collar_radius - ROUND_MM),
            (FLAT_MM, s.collar_length_mm - FINE_EDGE_MM - FLAT_MM), size=2 * stack.flats_half,
        ),
        face("collar face", s.collar_length_mm, (seal + FLAT_MM, stack.collar_radius), kind="shoulder"),
        face("front end", end, (0.0, thread.radius_mm), kind="end"),
        face("rear end", rear, (0.0, rear_radius), kind="end", back=True, size=2 * rear_radius),
    ]  # fmt: skip
    if side == "drive":
        seat = -s.gear_case_depth_mm - s.bearing_reach_mm
        span = (rear + s.shaft_bevel_mm, seat - FLAT_MM)
        depth = rear_radius - s.drive_key_depth_mm
        found += [
            round_skin("coupling diameter", "journal", rear_radius, span, back=True),
            slot(
                "coupling keyway", "keyway", (depth - FLAT_MM, rear_radius - ROUND_MM),
                (rear + s.drive_key_start_mm, rear + s.drive_key_stop_mm), width=s.drive_key_width_mm, back=True,
            ),
        ]  # fmt: skip
    return tuple(found)


def key_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a key: what lies under its top and between its round ends are its sides."""
    s = stack.size
    z0, z1 = stack.key_span_z
    half_length, half = (z1 - z0) / 2, s.key_width_mm / 2
    low, high = s.journal_radius_mm - s.key_depth_mm, s.journal_radius_mm + s.key_rise_mm
    middle, height = (low + high) / 2, high - low
    down = (0.0, -1.0, 0.0)
    found = [
        Surface("top", "face", (0.0, high, 0.0), Y, height),
        Surface("bottom", "face", (0.0, low, 0.0), down, height),
    ]
    for n, sign in enumerate((1.0, -1.0), 1):
        found.append(
            Surface(f"side {n}", "face", (sign * half, middle, 0.0), (sign, 0.0, 0.0), s.key_width_mm)
        )
    for name, sign in (("front end", 1.0), ("rear end", -1.0)):
        at, out = (0.0, high, sign * (half_length - half)), (0.0, 0.0, sign * Z[2])
        radii, along = (half - ROUND_MM, half + ROUND_MM), (-height + FLAT_MM, -FLAT_MM)
        found.append(Surface(name, "end", at, Y, s.key_width_mm, radii, along, out, 85.0))
    return tuple(found)
