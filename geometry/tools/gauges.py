"""Tools that measure: straightedge, feeler blade, dial indicator on a magnetic stand, depth gauge, caliper, flat plate.

Proportions are general ones, of nobody's tool. Own frame: the origin lies where the tool touches, +Z is the way it
comes off.
"""

from __future__ import annotations

from collections.abc import Mapping

import cadquery as cq

from ..cad_shapes import cross_cylinder, cylinder, join, prism, valid_solid
from ..frame import Vec3

STRAIGHTEDGE = (6.0, 1.2, 26.0, 9.0)
"""Thickness of a bevelled straightedge, width of its edge, its height, and where the bevel ends, mm."""
BLADE_LENGTH_MM = 75.0
"""Free length of a feeler blade from its tip to its case."""
CASE = (70.0, 16.0, 9.0)
"""Case of a set of feeler blades: length, width, thickness, mm."""
TIP_RADIUS_MM, PLUNGER_MM, STEM_MM = 1.5, 22.0, 18.0
"""Ball of an indicator's tip; lengths of its plunger and of the stem over that."""
DIAL_RADIUS_MM, DIAL_DEPTH_MM = 28.0, 16.0
CLAMP_Z_MM = PLUNGER_MM + 0.6 * STEM_MM
"""Where the stand's arm takes the stem."""
FOOT_MM = (50.0, 58.0, 46.0)
"""Magnetic foot: width, length, height."""
POST_RADIUS_MM, ARM_RADIUS_MM, POST_OVER_MM = 6.0, 5.0, 25.0
"""Post and arm of a stand; how far the post stands up over the height at which it holds its arm."""
BRIDGE = (12.0, 9.0)
"""Bridge of a depth gauge: height and thickness, mm."""
ROD_RADIUS_MM, ROD_OVER_MM = 2.0, 60.0
JAW = (14.0, 4.0)
"""Jaw of a caliper: its width and its thickness, mm."""
BEAM = (16.0, 6.0)
"""Its beam: height and thickness, mm."""
PLATE_MM = 12.0


def make_straightedge(measures: Mapping[str, float]) -> cq.Solid:
    """Return a bevelled straightedge, ``length`` long along X, standing on its edge at z = 0."""
    thick, edge, high, bevel = STRAIGHTEDGE
    half, length = thick / 2, measures["length"]
    outline = [(-edge / 2, 0), (edge / 2, 0), (half, bevel), (half, high), (-half, high), (-half, bevel)]
    # Drawn in the plane of Y and Z, and pulled along X.
    work = cq.Workplane("YZ", origin=(-length / 2, 0, 0)).polyline(outline).close().extrude(length)
    return valid_solid(work.val(), "straightedge", "extrusion")


def make_feeler_blade(measures: Mapping[str, float]) -> cq.Solid:
    """Return a set of feeler blades, one out: tip at z = 0, ``thickness`` along X, ``width`` along Y, both about 0.

    With ``bent``, the last so many millimetres of it lie square to the rest, towards -X, from z = 0 upwards.
    """
    thick, wide, bent = measures["thickness"], measures["width"], measures.get("bent", 0.0)
    long, broad, deep = CASE
    blade = cq.Solid.makeBox(thick, wide, BLADE_LENGTH_MM + 12.0, cq.Vector(-thick / 2, -wide / 2, 0))
    case = cq.Solid.makeBox(deep, broad, long, cq.Vector(-deep / 2, -broad / 2, BLADE_LENGTH_MM))
    pin = cross_cylinder(4.0, (-deep / 2 - 1.5, 0, BLADE_LENGTH_MM + 9.0), (1, 0, 0), deep + 3.0)
    tip = [cq.Solid.makeBox(bent, wide, thick, cq.Vector(-bent, -wide / 2, 0))] if bent else []
    return join(case, [blade, pin, *tip], "feeler blade", "case and blade")


def foot_normal(measures: Mapping[str, float]) -> Vec3:
    """Return the way that the stand of a dial indicator stands up from its foot, own frame: along +Z or +Y."""
    return (0.0, 0.0, 1.0) if measures["foot_along"] == 0 else (0.0, 1.0, 0.0)


def make_dial_indicator(measures: Mapping[str, float]) -> cq.Solid:
    """Return a dial indicator, its tip at the origin, on a stand whose foot is at ``foot_x``, ``foot_y``, ``foot_z``.

    The foot stands up along +Z where ``foot_along`` is 0, along +Y where it is 1.
    """
    dial_z = PLUNGER_MM + STEM_MM + DIAL_RADIUS_MM - 4.0
    dial = cross_cylinder(DIAL_RADIUS_MM, (0, -DIAL_DEPTH_MM / 2, dial_z), (0, 1, 0), DIAL_DEPTH_MM)
    rim = cross_cylinder(DIAL_RADIUS_MM - 3.0, (0, -DIAL_DEPTH_MM / 2 - 2.0, dial_z), (0, 1, 0), 3.0)
    tip = cq.Solid.makeSphere(TIP_RADIUS_MM, cq.Vector(0, 0, 0), angleDegrees1=-90, angleDegrees2=90)
    tip = tip.translate(cq.Vector(0, 0, TIP_RADIUS_MM))
    stem = [
        tip,
        cylinder(1.2, TIP_RADIUS_MM, PLUNGER_MM + 1.0),
        cylinder(4.0, PLUNGER_MM, PLUNGER_MM + STEM_MM + 2.0),
    ]
    foot = cq.Vector(*(measures[f"foot_{n}"] for n in "xyz"))
    up = cq.Vector(*foot_normal(measures))
    wide, long, high = FOOT_MM
    box = cq.Solid.makeBox(wide, long, high, cq.Vector(-wide / 2, -long / 2, 0))
    if measures["foot_along"] != 0:
        box = box.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 0, 0), -90)
    clamp = cq.Vector(0, 0, CLAMP_Z_MM)
    rise = max((clamp - foot).dot(up), high + 10.0)
    joint = foot + up * rise
    post = cq.Solid.makeCylinder(
        POST_RADIUS_MM, rise + POST_OVER_MM - high + 2.0, foot + up * (high - 2.0), up
    )
    arm = cq.Solid.makeCylinder(ARM_RADIUS_MM, (clamp - joint).Length, joint, (clamp - joint))
    knuckles = [
        cq.Solid.makeSphere(9.0, cq.Vector(0, 0, 0), angleDegrees1=-90).translate(p) for p in (joint, clamp)
    ]
    return join(dial, [rim, *stem, box.translate(foot), post, arm, *knuckles], "dial indicator", "stand")


def make_depth_gauge(measures: Mapping[str, float]) -> cq.Solid:
    """Return a depth gauge, its bridge ``span`` long along X on z = 0, its rod reaching ``depth`` below."""
    high, thick = BRIDGE
    span, depth = measures["span"], measures["depth"]
    bridge = cq.Solid.makeBox(span, thick, high, cq.Vector(-span / 2, -thick / 2, 0))
    rod = cylinder(ROD_RADIUS_MM, -depth, high + 1.0)
    scale = cq.Solid.makeBox(9.0, 4.0, ROD_OVER_MM, cq.Vector(-4.5, -2.0, high - 1.0))
    return join(bridge, [rod, scale] if depth > 0 else [scale], "depth gauge", "rod")


def make_caliper(measures: Mapping[str, float]) -> cq.Solid:
    """Return a caliper round what is ``opening`` wide along X; its jaws reach ``reach`` below z = 0."""
    wide, thick = JAW
    high, deep = BEAM
    opening, reach, over = measures["opening"], measures["reach"], 8.0
    long = max(90.0, 1.6 * opening + 50.0)
    beam = cq.Solid.makeBox(long, deep, high, cq.Vector(-opening / 2 - wide, -deep / 2, over))
    jaws = []
    for sign in (-1, 1):
        inner, outer = sign * opening / 2, sign * (opening / 2 + wide)
        outline = [
            (inner, -reach),
            (inner + sign * 0.35 * wide, -reach),
            (outer, over + 2.0),
            (inner, over + 2.0),
        ]
        outline = outline if sign > 0 else outline[::-1]
        work = cq.Workplane("XZ", origin=(0, thick / 2, 0)).polyline(outline).close().extrude(thick)
        jaws.append(valid_solid(work.val(), "caliper", "jaw"))
    slide = cq.Solid.makeBox(
        38.0, deep + 4.0, high + 4.0, cq.Vector(opening / 2, -deep / 2 - 2.0, over - 2.0)
    )
    return join(beam, [*jaws, slide], "caliper", "jaws and slide")


def make_flat_plate(measures: Mapping[str, float]) -> cq.Solid:
    """Return a flat plate ``width`` by ``width``, the side that the part lies on at z = 0, itself above it."""
    half = measures["width"] / 2
    return prism([(-half, -half), (half, -half), (half, half), (-half, half)], 0, PLATE_MM)
