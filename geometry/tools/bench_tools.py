"""Tools that hold, strike, clean and light: soft block, mallet, clamp, strap, pick, air gun, swab, brush and more.

Proportions are general ones, of nobody's tool. Own frame: the origin lies where the tool touches, +Z is the way it
comes off.
"""

from __future__ import annotations

from collections.abc import Mapping

import cadquery as cq

from ..cad_shapes import cross_cylinder, cut, cylinder, join, turned, valid_solid

BLOCK_EDGE = 0.12
"""Bevel of a soft block's edges, in its least side."""
MALLET_LENGTH, MALLET_HANDLE, MALLET_GRIP = 2.4, 6.5, 0.34
"""Head's length, handle's length from the head's axis and handle's diameter, in diameters of the face."""
MALLET_FACES_MM = (22.0, 32.0, 40.0)
"""Diameters of mallets' faces, smallest first."""
STONE = (90.0, 22.0, 12.0)
"""Oil stone: length, width, height, mm."""
CLOTH = (46.0, 34.0, 7.0)
"""Folded cloth: length, width, height, mm."""
SWAB = (2.2, 9.0, 1.1, 120.0)
"""Cotton swab: radius and length of its head, radius and length of its stick, mm."""
PICK = (0.9, 7.0, 55.0, 5.0, 80.0)
"""O-ring pick: radius of its wire, length of its hook, free length of its wire, radius and length of its handle, mm."""
AIR_GUN = (3.0, 90.0, 13.0, 50.0, 80.0)
"""Air gun: radius and length of its nozzle, radius and length of its body, length of its grip, mm."""
BRUSH = (14.0, 5.0, 22.0, 12.0, 110.0)
"""Brush: width, thickness and length of its bristles, length of its ferrule, length of its handle, mm."""
LAMP = (18.0, 11.0, 26.0, 95.0)
"""Hand lamp: radius of its head, radius of its barrel, lengths of both, mm."""
LAMP_OFF_MM = 60.0
"""How far a lamp is held off what it lights."""
CLAMP = (12.0, 6.0)
"""Clamp: side of its frame's section and radius of its screw, mm."""
CLAMP_THROAT_MM = 45.0
STRAP_MM, STRAP_LIFT, STRAP_LIFT_MM = 2.5, 0.6, 40.0
"""Thickness of a lifting strap; height of its apex over the part in widths of the part, and at least."""


def make_soft_block(measures: Mapping[str, float]) -> cq.Solid:
    """Return a block that fills a ``gap`` along +X from the origin, ``width`` wide along Y.

    It reaches ``depth`` below z = 0, between the parts, and ``above`` over it, for the hand.
    """
    gap, wide, depth, above = (measures[n] for n in ("gap", "width", "depth", "above"))
    box = cq.Workplane(obj=cq.Solid.makeBox(gap, wide, depth + above, cq.Vector(0, -wide / 2, -depth)))
    bevel = BLOCK_EDGE * min(gap, wide)
    return valid_solid(box.edges(">Z").chamfer(bevel).val(), "soft block", "bevel")


def make_mallet(measures: Mapping[str, float]) -> cq.Solid:
    """Return a soft-faced mallet, one ``face`` (its diameter) on z = 0, its handle along +X."""
    d = measures["face"]
    long = MALLET_LENGTH * d
    outline = [(0, 0), (0.46 * d, 0), (0.5 * d, 0.06 * d), (0.5 * d, 0.5 * d), (0.42 * d, 0.55 * d)]
    back = [(r, long - z) for r, z in reversed(outline)]
    handle = cross_cylinder(MALLET_GRIP * d / 2, (0, 0, long / 2), (1, 0, 0), MALLET_HANDLE * d)
    grip = cross_cylinder(
        MALLET_GRIP * d * 0.72, (0.6 * MALLET_HANDLE * d, 0, long / 2), (1, 0, 0), 0.4 * MALLET_HANDLE * d
    )
    return join(turned([*outline, *back]), [handle, grip], "soft-faced mallet", "handle")


def make_oil_stone(_measures: Mapping[str, float]) -> cq.Solid:
    """Return an oil stone lying on z = 0."""
    return _slab(STONE)


def make_cloth(_measures: Mapping[str, float]) -> cq.Solid:
    """Return a cloth folded to a pad, lying on z = 0."""
    long, wide, high = CLOTH
    lower = _slab((long, wide, 0.6 * high))
    return join(lower, [_slab((0.8 * long, 0.8 * wide, high))], "cloth", "folds")


def _slab(size: tuple[float, float, float]) -> cq.Solid:
    long, wide, high = size
    box = cq.Workplane(obj=cq.Solid.makeBox(long, wide, high, cq.Vector(-long / 2, -wide / 2, 0)))
    return valid_solid(box.edges(">Z").chamfer(0.2 * high).val(), "slab", "bevel")


def make_swab(_measures: Mapping[str, float]) -> cq.Solid:
    """Return a cotton swab, its head on the origin, its stick along +Z."""
    r, head, stick, length = SWAB
    outline = [
        (0, 0),
        (0.7 * r, 0.1 * head),
        (r, 0.35 * head),
        (r, 0.75 * head),
        (stick, head),
        (stick, length),
        (0, length),
    ]
    return turned(outline)


def make_pick(_measures: Mapping[str, float]) -> cq.Solid:
    """Return a blunt pick, the tip of its hook at the origin, reaching back along +X; its wire and handle along +Z."""
    r, hook, wire, grip, handle = PICK
    bar = cross_cylinder(r, (0, 0, r), (1, 0, 0), hook)
    stem = cylinder(r, 0.0, wire + 5.0, hook)
    held = cylinder(grip, wire, wire + handle, hook, chamfer=0.35 * grip)
    return join(held, [stem, bar], "o-ring pick", "hook")


def make_air_gun(_measures: Mapping[str, float]) -> cq.Solid:
    """Return an air gun, the mouth of its nozzle at the origin, its grip along +X."""
    r, nozzle, body, length, grip = AIR_GUN
    pipe = cylinder(r, 0.0, nozzle + 2.0)
    barrel = cylinder(body, nozzle, nozzle + length, chamfer=3.0)
    held = cq.Solid.makeBox(
        grip + body, 1.3 * body, 0.45 * length, cq.Vector(0, -0.65 * body, nozzle + 0.5 * length)
    )
    lever = cq.Solid.makeBox(0.7 * grip, 5.0, 4.0, cq.Vector(body, -2.5, nozzle + 0.25 * length))
    strut = cq.Solid.makeBox(6.0, 5.0, 0.3 * length, cq.Vector(body - 2.0, -2.5, nozzle + 0.25 * length))
    return join(barrel, [pipe, held, lever, strut], "air gun", "grip")


def make_brush(_measures: Mapping[str, float]) -> cq.Solid:
    """Return a small flat brush, its bristles on the origin, its handle along +Z."""
    wide, thick, bristles, ferrule, handle = BRUSH
    outline = [(-0.35 * wide, 0.0), (0.35 * wide, 0.0), (0.5 * wide, bristles), (-0.5 * wide, bristles)]
    hair = cq.Workplane("XZ", origin=(0, thick / 2, 0)).polyline(outline).close().extrude(thick).val()
    band = cq.Solid.makeBox(
        1.1 * wide, 1.4 * thick, ferrule, cq.Vector(-0.55 * wide, -0.7 * thick, bristles - 1.0)
    )
    stick = cylinder(0.6 * thick, bristles + ferrule - 2.0, bristles + ferrule + handle, chamfer=1.0)
    return join(band, [valid_solid(hair, "brush", "bristles"), stick], "brush", "handle")


def make_lamp(_measures: Mapping[str, float]) -> cq.Solid:
    """Return a hand lamp that looks at the origin from :data:`LAMP_OFF_MM` along +Z."""
    head, barrel, head_long, long = LAMP
    z0 = LAMP_OFF_MM
    z1, z2 = z0 + head_long, z0 + head_long + long
    outline = [
        (0, z0 + 4.0),
        (0.85 * head, z0 + 4.0),
        (0.9 * head, z0),
        (head, z0),
        (head, z0 + 0.5 * head_long),
    ]
    return turned([*outline, (barrel, z1), (barrel, z2 - 2.0), (barrel - 2.0, z2), (0, z2)])


def make_lifting_strap(measures: Mapping[str, float]) -> cq.Solid:
    """Return a strap round what is ``width`` wide along X and hangs ``drop`` below z = 0; its apex is above.

    Its loop is a closed band: down on both sides, across below, and together at the hook's ring over the part.
    """
    thick, lift = STRAP_MM, max(STRAP_LIFT * measures["width"], STRAP_LIFT_MM)
    half, drop = measures["width"] / 2, measures["drop"]
    outer = [
        (-half - thick, -drop - thick),
        (half + thick, -drop - thick),
        (half + thick, 0),
        (0, lift + thick),
        (-half - thick, 0),
    ]
    inner = [(-half, -drop), (half, -drop), (half, 0), (0, lift - thick), (-half, 0)]
    band = max(14.0, 0.16 * measures["width"])

    def pulled(points: list[tuple[float, float]], wide: float) -> cq.Solid:
        work = cq.Workplane("XZ", origin=(0, wide / 2, 0)).polyline(points).close().extrude(wide)
        return valid_solid(work.val(), "lifting strap", "band")

    loop = cut(pulled(outer, band), [pulled(inner, band + 2.0)], "lifting strap", "inside")
    ring = cq.Solid.makeTorus(12.0, 3.5, cq.Vector(0, 0, lift + thick + 8.0), cq.Vector(0, 1, 0))
    return join(loop, [ring], "lifting strap", "ring")


def make_clamp(measures: Mapping[str, float]) -> cq.Solid:
    """Return a screw clamp over what is ``opening`` deep below z = 0: its screw's pad on z = 0, its frame along +X."""
    side, r = CLAMP
    opening, throat = measures["opening"], CLAMP_THROAT_MM
    over = 26.0
    upright = cq.Solid.makeBox(
        side, side, opening + over + side, cq.Vector(throat, -side / 2, -opening - side)
    )
    lower = cq.Solid.makeBox(throat + side + 9.0, side, side, cq.Vector(-9.0, -side / 2, -opening - side))
    upper = cq.Solid.makeBox(throat + side + 9.0, side, side, cq.Vector(-9.0, -side / 2, over - side))
    screw = cylinder(r, 3.0, over + 42.0)
    pad = cylinder(1.7 * r, 0.0, 5.0)
    bar = cross_cylinder(2.5, (0, -22.0, over + 36.0), (0, 1, 0), 44.0)
    return join(upright, [lower, upper, screw, pad, bar], "clamp", "frame and screw")
