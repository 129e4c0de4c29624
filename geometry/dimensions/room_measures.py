"""What dimensions leave each other: walls, lands and gaps of a head, measured on its stack-up without a solid."""

from __future__ import annotations

import itertools
import math

from .proportions.rotors import LEAST_WALL, hub_groove_radius_mm
from .size import ByName
from .stack_up import StackUp

LEAST_METAL_MM = 0.5
"""Least metal between two holes or grooves of a casting, whatever its size: with less, one breaks into the other."""
BROKEN_EDGE_MM = 0.4
"""How far the edges of turned parts are broken (``EDGE_MM`` of the parts' solids)."""
BEYOND_BAND_MM = 0.32
"""Least of the rotating ring beyond its lapped band: room for its broken edge."""
SEAL_LAND_MM = 0.1
"""Least land of a stationary seal before its O-ring groove."""
LEAST_KEY_SIDE_MM = 0.1
"""Least straight length of a key between its round ends."""
LEAST_SHOULDER_MM = 0.5
"""Least ring of the shaft's shoulder that the rotor bears on."""
LEAST_LAND_MM = 0.2
"""Least land under a disc spring's edge."""
DOME = ((0.80, 0.055), (0.72, 0.025), (0.50, 0.006), (0.2, 0.0))
"""Outline of the rotor nut's dome: radius in half widths across flats, distance behind its top as a share of C. It is
round and smooth so that it can be cleaned; its exact shape meets nothing."""
DRILL_DEPTH = 0.2
"""Depth of the point that ends the nut's blind thread, in radii of its bore."""
NUT_BORE_MM = 0.1
"""How much wider, on radius, the nut's thread is drawn than the shaft's."""
HEXAGON_END = 0.06
"""How far the hexagon ends behind the nut's dome, as a share of C."""


def wall(stack: StackUp) -> float:
    return LEAST_WALL * stack.size.c


def land(stack: StackUp) -> float:
    """Return the least metal between two holes or grooves of a casting."""
    return max(LEAST_METAL_MM, wall(stack))


def key_length(stack: StackUp) -> float:
    start, end = stack.key_span_z
    return end - start


def beside_cover_groove(stack: StackUp, share: float, hole_mm: float) -> float:
    """Return the metal between the cover O-ring's groove and a hole whose middle lies at ``share`` of the wall."""
    s = stack.size
    return s.bore_radius_mm + share * s.wall_mm - hole_mm / 2 - stack.cover_groove[1]


def counterbore_mm(stack: StackUp) -> float:
    """Return the diameter of the counterbore for a body screw's head."""
    return stack.size.body_screw_thread.head_diameter_mm + 2 * stack.size.body_screw_head_gap_mm


def between_chambers(stack: StackUp) -> float:
    return stack.size.c - 2 * stack.rotating_ring_chamber_radius


def apart(stack: StackUp) -> float:
    """Return the least metal between two holes for studs, dowels and body screws."""
    s = stack.size
    holes = [(p, s.stud_hole_mm / 2) for p in stack.stud_points]
    holes += [(p, s.dowels_mm[name] / 2) for name, p in stack.dowel_points.items()]
    holes += [(p, counterbore_mm(stack) / 2) for p in stack.screw_points]
    return min(math.dist(a, b) - ra - rb for (a, ra), (b, rb) in itertools.combinations(holes, 2))


def solid_spring(stack: StackUp) -> float:
    """Return the room of the relief spring at its fitted length, over its solid length and least gaps (EN 13906-1)."""
    s = stack.size
    wire, mean, n = s.relief_wire_mm, s.relief_spring_mm, s.relief_spring_turns
    fitted = cap_front_z(stack) - s.relief_step_share * s.cover_thickness_mm - s.piston_collar_mm
    return fitted - (n + 2) * wire - n * (0.0015 * mean**2 / wire + 0.1 * wire)


def cap_front_z(stack: StackUp) -> float:
    """Return where the relief cap's room ends, own frame of the cover."""
    s = stack.size
    return s.cover_thickness_mm + s.cover_pad_height_mm + s.relief_cap_height_mm


def key_corner(stack: StackUp) -> float:
    """Return how far the key's top corners stand from the shaft's axis."""
    s = stack.size
    return math.hypot(s.journal_radius_mm + s.key_rise_mm, s.key_width_mm / 2)


def keyway_corner(stack: StackUp) -> float:
    """Return how far the corners of the hub's keyway lie from its axis."""
    s = stack.size
    return math.hypot(s.journal_radius_mm + s.hub_keyway_mm, s.key_width_mm / 2 + s.keyway_play_mm)


def round_keyway(stack: StackUp) -> float:
    """Return the metal of the hub round its keyway, at its thinnest place."""
    neck = stack.hub_neck_radius if stack.hub_necked else stack.hub_radius
    return min(neck, stack.hub_radius) - keyway_corner(stack)


def behind_hub(stack: StackUp) -> float:
    """Return what is free behind a two-wing rotor's hub; of lobes, what the seal journal's groove leaves."""
    if stack.lobed:
        return stack.shoulder_z - stack.hub_groove_z[1]
    return stack.hub_rear_z - stack.rotor_rear_z


def needed_behind_hub(stack: StackUp) -> float:
    return (stack.size.hub_land_mm if stack.lobed else stack.size.hub_neck_gap_mm) - 1e-9


def shoulder(stack: StackUp) -> float:
    inner, outer = stack.shoulder_radii
    return outer - inner


def boss_wall(stack: StackUp) -> float:
    """Return the wall of the body's hub round the neck of the rotor's."""
    return stack.size.boss_radius_mm - stack.boss_bore_radius if stack.hub_necked else wall(stack)


def groove_wall(stack: StackUp) -> float:
    """Return the wall of a hub round its O-ring's groove."""
    outside = stack.hub_neck_radius if stack.hub_necked else stack.hub_radius
    return outside - hub_groove_radius_mm(ByName(stack.size))


def dome_drop(stack: StackUp, radius: float) -> float:
    """Return how far the nut's dome lies behind its top at a radius."""
    s = stack.size
    share = radius / (s.nut_across_flats_mm / 2)
    points = [(0.0, 0.0), *reversed(DOME)]
    for (near, high), (far, low) in itertools.pairwise(points):
        if share <= far:
            return (high + (low - high) * (share - near) / (far - near)) * s.c
    return s.c * DOME[0][1]


def crown(stack: StackUp) -> float:
    """Return the metal between the end of the nut's blind thread and its dome, at its thinnest place."""
    s = stack.size
    bore = s.rotor_thread.radius_mm + NUT_BORE_MM
    point = s.nut_crown_mm - DRILL_DEPTH * bore - dome_drop(stack, 0.3 * bore)
    return min(point, s.nut_crown_mm - dome_drop(stack, bore))


def round_pocket(stack: StackUp) -> float:
    """Return the metal of the nut round its pocket where the hexagon begins, and over it in its flange."""
    s = stack.size
    beside = s.nut_across_flats_mm / 2 - stack.pocket_radius
    over = s.nut_flange_thickness_mm - stack.pocket_depth
    return max(beside, over)


def hexagon(stack: StackUp) -> float:
    """Return the length of the nut's hexagon before its flange."""
    s = stack.size
    return stack.nut_height - HEXAGON_END * s.c - s.nut_flange_thickness_mm


def behind_groove(stack: StackUp, length: float, notch: float, nose: float) -> float:
    """Return the metal between a stationary seal's O-ring groove and its notches; below 0 where they meet."""
    s = stack.size
    width = stack.gland_width_mm(s.seal_oring_section_mm)
    return length - notch - width - nose - BROKEN_EDGE_MM - SEAL_LAND_MM


def outermost_band(stack: StackUp) -> float:
    """Return the outer radius of the rotating ring's outermost lapped band."""
    s = stack.size
    return s.shaft_radius_mm + (
        s.atmosphere_band_outer_step_mm if stack.double else s.rotating_ring_band_outer_step_mm
    )
