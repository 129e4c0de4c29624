"""Rotors: two-wing (ring sectors over the body's bosses) and lobed, with hub, keyways, nut recess and O-ring gland."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..dimensions.profile_limits import lobe_count
from ..dimensions.stack_up import StackUp
from ..frame import Y
from ..profiles.outlines import Piece, wire_of
from ..profiles.rotor_profiles import Profile, make_profile
from .solids import BROAD_EDGE_MM, PAST_MM, cut, cylinder, turned, valid_solid

GLAND_LEAD_MM = 0.35
"""Lead-in cone of the hub O-ring's gland, on radius and along it."""


def rotor_profile(stack: StackUp) -> Profile:
    """Return the plane outline of the rotor.

    Raises:
        ProfileError: if rotors of these figures cannot turn.
    """
    s = stack.size
    return make_profile(stack.options.rotor, s.c, s.tip_radius_mm, s.running_gap_mm, s.wing_half_angle_deg)


def outline_prism(pieces: tuple[Piece, ...], z0: float, z1: float) -> cq.Solid:
    """Return the prism of one closed outline between two heights."""
    solid = cq.Solid.extrudeLinear(cq.Face.makeFromWires(wire_of(pieces)), cq.Vector(0, 0, z1 - z0))
    return valid_solid(solid.translate(cq.Vector(0, 0, z0)), "rotor", "outline")


def keyway_angles(stack: StackUp) -> tuple[float, float]:
    """Return the own-frame angles of the two keyways, degrees: one for each shaft, so that one rotor serves both."""
    return 90.0, 90.0 - stack.phase_deg


def make_rotor(stack: StackUp) -> cq.Solid:
    """Return a rotor: origin on its axis in its front face, body towards -Z, a wing or lobe along +Y.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    s = stack.size
    rear, hub_rear = -s.rotor_width_mm, stack.hub_rear_z - stack.rotor_front_z
    profile = rotor_profile(stack)
    solid = outline_prism(profile.pieces, rear, 0.0)
    tools: list[cq.Shape] = []
    if profile.wings:
        # Open behind the hub: the wings pass over the body's boss.
        tools.append(cylinder(s.boss_radius_mm + s.running_gap_mm, rear - PAST_MM, hub_rear))
    tools += [_bore(stack), *_keyways(stack)]
    if stack.options.cleaning_in_place:
        tools += _cleaning_holes(stack, rear)
    return cut(solid, tools, "rotor", "bore, recess and keyways")


def _bore(stack: StackUp) -> cq.Solid:
    """Return what is taken out about the axis: O-ring gland, bore, web's hole, nut's recess round the land."""
    s, front = stack.size, stack.rotor_front_z
    hub_rear, web_rear = stack.hub_rear_z - front, stack.web_rear_z - front
    floor, recess = stack.recess_floor_z - front, stack.recess_radius
    # Narrower than the disc spring's bore, so that the spring's inner edge rests on the land.
    hole = s.rotor_thread.radius_mm + s.thread_hole_gap_mm
    bore = s.journal_radius_mm + s.fit_gap_mm
    gland, lead = s.journal_radius_mm + stack.hub_gland_depth, GLAND_LEAD_MM
    return turned(
        [
            (0, hub_rear - PAST_MM),
            (gland + lead, hub_rear - PAST_MM),
            (gland + lead, hub_rear),
            (gland, hub_rear + lead),
            (gland, hub_rear + stack.hub_gland_length),
            (bore, hub_rear + stack.hub_gland_length),
            (bore, web_rear),
            (hole, web_rear),
            (hole, floor + stack.land_height),
            (stack.land_radius, floor + stack.land_height),
            (stack.land_radius, floor),
            (recess, floor),
            (recess, -BROAD_EDGE_MM),
            (recess + BROAD_EDGE_MM, 0),
            (recess + BROAD_EDGE_MM, PAST_MM),
            (0, PAST_MM),
        ]
    )


def _keyways(stack: StackUp) -> list[cq.Shape]:
    """Return the two keyways, through the hub's rear up to the web."""
    s, rear = stack.size, stack.hub_rear_z - stack.rotor_front_z - PAST_MM
    half = s.key_width_mm / 2 + s.keyway_play_mm
    top = s.journal_radius_mm + s.key_rise_mm + s.keyway_room_mm
    length = stack.web_rear_z - stack.rotor_front_z - rear
    slot = cq.Solid.makeBox(2 * half, top, length, cq.Vector(-half, 0, rear))
    return [slot.rotate(cq.Vector(), cq.Vector(0, 0, 1), angle - 90) for angle in keyway_angles(stack)]


def _cleaning_holes(stack: StackUp, rear: float) -> list[cq.Shape]:
    """Return one axial hole through each wing or lobe."""
    s = stack.size
    count = lobe_count(stack.options.rotor)
    circle = s.rotor_cleaning_share * (stack.hub_radius + s.tip_radius_mm)
    return [
        cylinder(
            s.rotor_cleaning_hole_mm / 2, rear - PAST_MM, PAST_MM, circle * math.cos(a), circle * math.sin(a)
        )
        for a in (math.radians(90 + 360 * k / count) for k in range(count))
    ]


def rotor_features(stack: StackUp) -> tuple[Feature, ...]:
    """Return the mating features of a rotor."""
    s = stack.size
    front = stack.rotor_front_z
    back = (0.0, 0.0, -1.0)
    keyways = tuple(
        Feature(f"keyway {n}", "keyway", (0, 0, stack.web_rear_z - front), Y, s.key_width_mm, "key")
        for n, _ in enumerate(keyway_angles(stack), 1)
    )
    return (
        Feature("bore", "bore", (0, 0, stack.hub_rear_z - front), back, 2 * s.journal_radius_mm, "shaft"),
        Feature("O-ring gland", "groove", (0, 0, stack.hub_rear_z - front), back, mates="hub_oring"),
        Feature(
            "nut recess",
            "pocket",
            (0, 0, stack.recess_floor_z - front),
            size_mm=2 * stack.recess_radius,
            mates="rotor_nut",
        ),
        *keyways,
    )
