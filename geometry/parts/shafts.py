"""Shafts and keys: collar with flats, seal journal, rotor journal with keyway, threaded end."""

from __future__ import annotations

import cadquery as cq

from ..assembly import Feature, Side
from ..dimensions.stack_up import GROOVE_WIDTH, StackUp, radial_depth
from ..frame import Y
from .solids import cut, single, threaded, turned


def shaft_groove_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of the shaft O-ring's groove, middle of the seat's sealing length."""
    width = GROOVE_WIDTH * stack.size.shaft_oring_section_mm
    middle = (stack.size.collar_length_mm + stack.seat_face_z) / 2
    return middle - width / 2, middle + width / 2


def shaft_groove_radius(stack: StackUp) -> float:
    """Return the bottom radius of the shaft O-ring's groove: the gland reaches from it to the seat's bore."""
    s = stack.size
    return s.shaft_radius_mm + s.fit_gap_mm - radial_depth(s.shaft_oring_section_mm)


def shaft_outline(stack: StackUp, side: Side) -> list[tuple[float, float]]:
    """Return the turned outline (radius, z) of a shaft, head frame in z.

    The drive shaft reaches out of the gear case's rear, the driven one ends inside it.
    """
    s, c = stack.size, stack.size.c
    rear = -s.gear_case_depth_mm - 0.75 * c if side == "drive" else -s.gear_case_depth_mm + 0.12 * c
    groove = shaft_groove_radius(stack)
    g0, g1 = shaft_groove_z(stack)
    bevel = 0.012 * c
    thread = s.rotor_thread
    relief = thread.root_radius_mm - 0.1
    points: list[tuple[float, float]] = [(0, rear)]
    if side == "drive":
        end = 0.9 * s.shaft_radius_mm
        points += [(end - bevel, rear), (end, rear + bevel), (end, -s.gear_case_depth_mm - 0.02 * c)]
        points += [(stack.bearing_radius, -s.gear_case_depth_mm - 0.02 * c)]
    else:
        points += [(stack.bearing_radius, rear)]
    points += [
        (stack.bearing_radius, -0.01 * c),
        (stack.collar_radius, -0.01 * c),
        (stack.collar_radius, s.collar_length_mm - 0.3),
        (stack.collar_radius - 0.3, s.collar_length_mm),
        (s.shaft_radius_mm, s.collar_length_mm),
        (s.shaft_radius_mm, g0),
        (groove, g0),
        (groove, g1),
        (s.shaft_radius_mm, g1),
        (s.shaft_radius_mm, stack.hub_rear_z - 0.4),
        (s.shaft_radius_mm - 0.4, stack.hub_rear_z),
        (s.journal_radius_mm, stack.hub_rear_z),
        (s.journal_radius_mm, stack.journal_end_z - bevel),
        (s.journal_radius_mm - bevel, stack.journal_end_z),
        (relief, stack.journal_end_z),
        *threaded(
            thread.radius_mm,
            thread.pitch_mm,
            stack.web_rear_z + 0.3 * s.web_mm,
            stack.shaft_end_z - thread.pitch_mm,
        ),
        (thread.root_radius_mm - 0.5 * thread.pitch_mm, stack.shaft_end_z),
        (0, stack.shaft_end_z),
    ]
    return points


def key_span_z(stack: StackUp) -> tuple[float, float]:
    """Return the z range of the key: from ahead of the hub O-ring to near the journal's end."""
    start = stack.hub_rear_z + stack.hub_gland_length + 0.015 * stack.size.c
    return start, stack.journal_end_z - 0.02 * stack.size.c


def _slot(half_width: float, z0: float, z1: float, low: float, high: float) -> cq.Solid:
    """Return a round-ended bar along Z, standing in +Y from ``low`` to ``high``."""
    work = (
        cq.Workplane("XZ", origin=(0, low, 0))
        .center(0, (z0 + z1) / 2)
        .slot2D(z1 - z0, 2 * half_width, 90)
        .extrude(-(high - low))
    )
    return single(work.val(), "key", "round-ended bar")


def make_shaft(stack: StackUp, side: Side) -> cq.Solid:
    """Return a shaft; own frame is the head's, on the shaft's axis."""
    s, c = stack.size, stack.size.c
    solid = turned(shaft_outline(stack, side))
    far = 2 * stack.bearing_radius
    flats = [
        cq.Solid.makeBox(far, 2 * far, s.collar_length_mm + 0.01 * c, cq.Vector(x, -far, -0.005 * c))
        for x in (stack.flats_half, -stack.flats_half - far)
    ]
    # The flats end with the collar: the seal journal behind them is narrower than they are.
    z0, z1 = key_span_z(stack)
    low = s.journal_radius_mm - s.key_depth_mm
    keyway = _slot(s.key_width_mm / 2 + 0.02, z0 - 0.02, z1 + 0.02, low, s.journal_radius_mm + 1)
    tools = [*flats, keyway]
    if side == "drive":
        rear = -s.gear_case_depth_mm - 0.75 * c
        end = 0.9 * s.shaft_radius_mm
        tools.append(_slot(0.055 * c, rear + 0.08 * c, rear + 0.6 * c, end - 0.05 * c, end + 1))
    return cut(solid, tools, "shaft", "flats and keyway")


def shaft_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a shaft."""
    s = stack.size
    z0, z1 = key_span_z(stack)
    return (
        Feature(
            "seal journal",
            "journal",
            (0, 0, stack.seat_face_z),
            size_mm=s.shaft_diameter_mm,
            mates="seal_seat",
        ),
        Feature(
            "drive flats",
            "flats",
            (0, 0, s.collar_length_mm / 2),
            size_mm=2 * stack.flats_half,
            mates="seal_seat",
        ),
        Feature(
            "rotor journal",
            "journal",
            (0, 0, stack.hub_rear_z),
            size_mm=2 * s.journal_radius_mm,
            mates="rotor",
        ),
        Feature("keyway", "keyway", (0, s.journal_radius_mm, (z0 + z1) / 2), Y, s.key_width_mm, "key"),
        Feature("thread", "thread", (0, 0, stack.shaft_end_z), size_mm=s.rotor_thread_mm, mates="rotor_nut"),
    )


def make_key(stack: StackUp) -> cq.Solid:
    """Return a parallel key with round ends; origin in its middle on the shaft's axis, standing in +Y."""
    s = stack.size
    z0, z1 = key_span_z(stack)
    half = (z1 - z0) / 2
    low = s.journal_radius_mm - s.key_depth_mm + 0.02
    return _slot(s.key_width_mm / 2, -half, half, low, s.journal_radius_mm + s.key_rise_mm)
