"""Rotors: two-wing (ring sectors over the body's bosses) and lobed, with hub, keyways, nut recess and O-ring groove."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq

from ..assembly import Feature
from ..cad_shapes import BROAD_EDGE_MM, FINE_EDGE_MM, PAST_MM, cut, cylinder, turned, valid_solid
from ..dimensions.profile_limits import lobe_count
from ..dimensions.stack_up import StackUp
from ..frame import Y
from ..profiles.outlines import Piece, wire_of
from ..profiles.rotor_profiles import Profile, make_profile
from ..surfaces import Surface
from .named_surfaces import FLAT_MM, ROUND_MM, face, hole, ring, round_skin, slot

TIP_SHARE = 0.04
"""How much of a wing or lobe, between its root and its tip's circle, counts as its tip and as its root."""


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
    rear = -s.rotor_width_mm
    profile = rotor_profile(stack)
    solid = outline_prism(profile.pieces, rear, 0.0)
    tools: list[cq.Shape] = []
    if profile.wings:
        tools.append(_behind_hub(stack, rear))
    tools += [_bore(stack), *_keyways(stack)]
    if stack.options.cleaning_in_place:
        tools += _cleaning_holes(stack, rear)
    return cut(solid, tools, "rotor", "bore, recess and keyways")


def _behind_hub(stack: StackUp, rear: float) -> cq.Solid:
    """Return what is open behind the hub, where the wings pass over the body's boss: all but the hub's neck."""
    s, front = stack.size, stack.rotor_front_z
    over, step, hub_rear = (
        s.boss_radius_mm + s.running_gap_mm,
        stack.hub_step_z - front,
        stack.hub_rear_z - front,
    )
    if not stack.hub_necked:
        return cylinder(over, rear - PAST_MM, step)
    neck = stack.hub_neck_radius
    return turned(
        [
            (0, rear - PAST_MM),
            (over, rear - PAST_MM),
            (over, step),
            (neck, step),
            (neck, hub_rear + FINE_EDGE_MM),
            (neck - FINE_EDGE_MM, hub_rear),
            (0, hub_rear),
        ]
    )


def _bore(stack: StackUp) -> cq.Solid:
    """Return what is taken out about the axis: pilot with the O-ring's groove, bore, web's hole, nut's recess."""
    s, front = stack.size, stack.rotor_front_z
    hub_rear, shoulder, web_rear = (z - front for z in (stack.hub_rear_z, stack.shoulder_z, stack.web_rear_z))
    groove_rear, groove_front = (z - front for z in stack.hub_groove_z)
    floor, recess = stack.recess_floor_z - front, stack.recess_radius
    # Narrower than the disc spring's bore, so that the spring's inner edge rests on the land.
    hole = s.rotor_thread.radius_mm + s.thread_hole_gap_mm
    bore, pilot, lead = s.journal_radius_mm + s.fit_gap_mm, s.shaft_radius_mm + s.fit_gap_mm, s.hub_lead_mm
    groove = s.shaft_radius_mm + stack.hub_gland_depth
    return turned(
        [
            (0, hub_rear - PAST_MM),
            (pilot + lead, hub_rear - PAST_MM),
            (pilot + lead, hub_rear),
            (pilot, hub_rear + lead),
            (pilot, groove_rear),
            (groove, groove_rear),
            (groove, groove_front),
            (pilot, groove_front),
            (pilot, shoulder),
            (bore + lead, shoulder),
            (bore, shoulder + lead),
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
    top = s.journal_radius_mm + s.hub_keyway_mm
    length = stack.web_rear_z - stack.rotor_front_z - rear
    slot = cq.Solid.makeBox(2 * half, top, length, cq.Vector(-half, 0, rear))
    return [slot.rotate(cq.Vector(), cq.Vector(0, 0, 1), angle - 90) for angle in keyway_angles(stack)]


def _cleaning_holes(stack: StackUp, rear: float) -> list[cq.Shape]:
    """Return one axial hole through each wing or lobe."""
    radius = stack.size.rotor_cleaning_hole_mm / 2
    return [cylinder(radius, rear - PAST_MM, PAST_MM, x, y) for x, y in _cleaning_points(stack)]


def _cleaning_points(stack: StackUp) -> list[tuple[float, float]]:
    """Return (x, y) of the cleaning holes, own frame."""
    count = lobe_count(stack.options.rotor)
    circle = stack.size.rotor_cleaning_share * (stack.hub_radius + stack.size.tip_radius_mm)
    angles = [math.radians(90 + 360 * k / count) for k in range(count)]
    return [(circle * math.cos(a), circle * math.sin(a)) for a in angles]


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
        Feature("bore", "bore", (0, 0, stack.shoulder_z - front), back, s.rotor_fit_mm, "shaft"),
        Feature("O-ring groove", "groove", (0, 0, stack.hub_groove_z[0] - front), back, mates="hub_oring"),
        Feature(
            "nut recess",
            "pocket",
            (0, 0, stack.recess_floor_z - front),
            size_mm=2 * stack.recess_radius,
            mates="rotor_nut",
        ),
        *keyways,
    )


def rotor_surfaces(stack: StackUp) -> tuple[Surface, ...]:
    """Return the named surfaces of a rotor: its flanks are what lies between root and tips, both told by a share."""
    s, front, rear = stack.size, stack.rotor_front_z, -stack.size.rotor_width_mm
    hub_rear, shoulder, web_rear = (z - front for z in (stack.hub_rear_z, stack.shoulder_z, stack.web_rear_z))
    g0, g1 = (z - front for z in stack.hub_groove_z)
    floor, recess, lead = stack.recess_floor_z - front, stack.recess_radius, s.hub_lead_mm
    bore, pilot = s.journal_radius_mm + s.fit_gap_mm, s.shaft_radius_mm + s.fit_gap_mm
    groove, spring_hole = (
        s.shaft_radius_mm + stack.hub_gland_depth,
        s.rotor_thread.radius_mm + s.thread_hole_gap_mm,
    )
    tip, root, whole = s.tip_radius_mm, stack.hub_radius, (rear + FLAT_MM, -FLAT_MM)
    end = TIP_SHARE * (tip - root)
    keyway = s.key_width_mm + 2 * s.keyway_play_mm
    corner = math.hypot(keyway / 2, s.journal_radius_mm + s.hub_keyway_mm)
    found = [
        round_skin("bore", "bore", bore, (shoulder + lead, web_rear - FLAT_MM), back=True, size=s.rotor_fit_mm),
        round_skin("pilot bore", "bore", pilot, (hub_rear + lead, shoulder - FLAT_MM), back=True),
        ring("hub mouth", "edge", (pilot, pilot + lead), (hub_rear, hub_rear + lead), back=True, size=2 * pilot),
        ring("O-ring groove", "groove", (pilot + FLAT_MM, groove + ROUND_MM), (g0 - FLAT_MM, g1 + FLAT_MM), back=True,
             size=g1 - g0),
        ring("tip", "journal", (tip - end, tip + ROUND_MM), whole, size=2 * tip),
        ring("flank", "flank", (root + end, tip - end), whole),
        face("front face", 0.0, (recess + BROAD_EDGE_MM, tip + ROUND_MM)),
        face("rear face", rear, (pilot + lead, tip + ROUND_MM), back=True),
        face("hub face", shoulder, (bore + lead, pilot), kind="shoulder", back=True, size=2 * pilot),
        face("nut recess face", floor, (stack.land_radius, recess), size=2 * recess),
        face("spring land", floor + stack.land_height, (spring_hole, stack.land_radius), size=2 * stack.land_radius),
    ]  # fmt: skip
    for n, angle in enumerate(keyway_angles(stack), 1):
        radii, heights = (bore + FLAT_MM, corner + FLAT_MM), (shoulder + FLAT_MM, web_rear + FLAT_MM)
        found.append(
            replace(
                slot(f"keyway {n}", "keyway", radii, heights, width=keyway, angle_deg=angle, back=True),
                size_mm=s.key_width_mm,
            )
        )
    if not stack.lobed:
        over, step = s.boss_radius_mm + s.running_gap_mm, stack.hub_step_z - front
        found.append(round_skin("wing inner side", "bore", over, (rear + FLAT_MM, step - FLAT_MM), back=True))
    if stack.options.cleaning_in_place:
        for n, at in enumerate(_cleaning_points(stack), 1):
            found.append(hole(f"cleaning passage {n}", s.rotor_cleaning_hole_mm / 2, whole, at=at))
    return tuple(found)
