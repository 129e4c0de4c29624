"""Rotors: two-wing (ring sectors over the body's bosses) and lobed, with hub, keyways, nut recess and O-ring gland."""

from __future__ import annotations

import math

import cadquery as cq

from ..assembly import Feature
from ..dimensions.stack_up import StackUp
from ..frame import Y
from ..profiles.rotor_profiles import Piece, Profile, make_profile
from .solids import cut, rod, single, turned


def rotor_profile(stack: StackUp) -> Profile:
    """Return the plane outline of the rotor.

    Raises:
        ProfileError: if rotors of these figures cannot turn.
    """
    s = stack.size
    return make_profile(stack.options.rotor, s.c, s.tip_radius_mm, s.running_gap_mm, s.wing_half_angle_deg)


def _edge(piece: Piece) -> cq.Edge:
    points = [cq.Vector(float(x), float(y), 0) for x, y in piece.points]
    if piece.kind == "line":
        return cq.Edge.makeLine(points[0], points[-1])
    if piece.kind == "arc":
        return cq.Edge.makeThreePointArc(points[0], points[1], points[2])
    tangents = None
    if piece.tangents is not None:
        tangents = [cq.Vector(float(x), float(y), 0) for x, y in piece.tangents]
    return cq.Edge.makeSpline(points, tangents, scale=False)


def outline_prism(pieces: tuple[Piece, ...], z0: float, z1: float) -> cq.Solid:
    """Return the prism of one closed outline between two heights."""
    wire = cq.Wire.assembleEdges([_edge(p) for p in pieces])
    solid = cq.Solid.extrudeLinear(cq.Face.makeFromWires(wire), cq.Vector(0, 0, z1 - z0))
    return single(solid.translate(cq.Vector(0, 0, z0)), "rotor", "outline")


def keyway_angles(stack: StackUp) -> tuple[float, float]:
    """Return the own-frame angles of the two keyways, degrees: one for each shaft, so that one rotor serves both."""
    return 90.0, 90.0 - stack.phase_deg


def make_rotor(stack: StackUp) -> cq.Solid:
    """Return a rotor: origin on its axis in its front face, body towards -Z, a wing or lobe along +Y.

    Raises:
        SolidError: naming the feature that the kernel could not make.
    """
    s = stack.size
    front = stack.rotor_front_z
    rear, hub_rear = -s.rotor_width_mm, stack.hub_rear_z - front
    floor, web_rear = stack.recess_floor_z - front, stack.web_rear_z - front
    profile = rotor_profile(stack)
    solid = outline_prism(profile.pieces, rear, 0.0)
    tools: list[cq.Shape] = []
    if profile.wings:
        # Open behind the hub: the wings pass over the body's boss.
        tools.append(rod(s.boss_radius_mm + s.running_gap_mm, rear - 1, hub_rear))
    # Narrower than the disc spring's bore, so that the spring's inner edge rests on the land.
    hole = s.rotor_thread.radius_mm + 0.12
    bore = s.journal_radius_mm + s.fit_gap_mm
    gland = s.journal_radius_mm + stack.hub_gland_depth
    lead = 0.35
    tools.append(
        turned(
            [
                (0, hub_rear - 1),
                (gland + lead, hub_rear - 1),
                (gland + lead, hub_rear),
                (gland, hub_rear + lead),
                (gland, hub_rear + stack.hub_gland_length),
                (bore, hub_rear + stack.hub_gland_length),
                (bore, web_rear),
                (hole, web_rear),
                (hole, floor + stack.land_height),
                (stack.land_radius, floor + stack.land_height),
                (stack.land_radius, floor),
                (stack.recess_radius, floor),
                (stack.recess_radius, -0.5),
                (stack.recess_radius + 0.5, 0),
                (stack.recess_radius + 0.5, 1),
                (0, 1),
            ]
        )
    )
    half, top = s.key_width_mm / 2 + 0.03, s.journal_radius_mm + s.key_rise_mm + 0.15
    for angle in keyway_angles(stack):
        slot = cq.Solid.makeBox(2 * half, top, web_rear - hub_rear + 1, cq.Vector(-half, 0, hub_rear - 1))
        tools.append(slot.rotate(cq.Vector(), cq.Vector(0, 0, 1), angle - 90))
    if stack.options.cleaning_in_place:
        tools += _cleaning_holes(stack, rear)
    return cut(solid, tools, "rotor", "bore, recess and keyways")


def _cleaning_holes(stack: StackUp, rear: float) -> list[cq.Shape]:
    """Return one axial hole through each wing or lobe."""
    count = 3 if stack.options.rotor == "three-lobe" else 2
    circle = 0.5 * (stack.hub_radius + stack.size.tip_radius_mm)
    angles = [math.radians(90 + 360 * k / count) for k in range(count)]
    return [
        rod(0.028 * stack.size.c, rear - 1, 1, circle * math.cos(a), circle * math.sin(a)) for a in angles
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
