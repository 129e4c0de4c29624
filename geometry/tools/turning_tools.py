"""Tools that turn a nut or a screw: torque wrench with a socket or a hexagon key, open wrench.

Proportions are general ones, of nobody's tool. Own frame: Z is the axis of what is turned, the handle lies along +X.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import cadquery as cq

from ..cad_shapes import PAST_MM, cut, cylinder, hexagon, join, prism, valid_solid
from ..engineering.wrench_sockets import SOCKET_OUTSIDE

SOCKET_CLEARANCE_MM = 0.2
"""How much wider across flats a socket is than its nut, and how much narrower a key than its screw's socket: so that it
goes on by hand. A round figure, no standard's."""
SOCKET_CROWN, MOST_CROWN_MM = 1.2, 12.0
"""Metal of a socket over its hollow, in drive squares, and the most of it."""
DRIVE_SQUARES = ((14.0, 6.3, 180.0), (22.0, 10.0, 260.0), (34.0, 12.5, 380.0), (math.inf, 20.0, 560.0))
"""Most width across flats (a hexagon key counts twice), drive square for it (sizes of ISO 1174) and length of the
wrench from its axis. Which goes with which is a usual choice, from memory."""
BAR, HEAD_RADIUS, HEAD_HEIGHT = 1.5, 1.5, 1.7
"""Diameter of an extension, radius and height of the ratchet's head, in drive squares."""
ARM_WIDTH, ARM_HEIGHT = 1.1, 0.9
"""Arm of the wrench, in drive squares."""
GRIP_DIAMETER, GRIP_SHARE, GRIP_EDGE = 1.9, 0.36, 0.15
"""Grip: diameter in drive squares, its share of the length, bevel of its ends in diameters."""
JAW_RADIUS, JAW_HEIGHT, OPEN_LENGTH, OPEN_WIDTH = 1.05, 0.32, 6.0, 0.62
"""Open wrench: radius of its head, its thickness, length from the axis and width of its arm, in widths across flats."""


def drive_of(across_flats: float) -> tuple[float, float]:
    """Return drive square and length from the axis of a wrench for a socket ``across_flats`` wide, mm.

    >>> drive_of(30.0)
    (12.5, 380.0)
    """
    return next((square, length) for most, square, length in DRIVE_SQUARES if across_flats <= most)


def socket_radius(across_flats: float) -> float:
    """Return the outer radius of a thin-walled socket, mm, for which nuts leave room in a recess.

    >>> socket_radius(30.0)
    19.5
    """
    return SOCKET_OUTSIDE * across_flats / 2


def key_reach(measures: Mapping[str, float]) -> float:
    """Return how far a hexagon key stands out of its holder, mm: what is in the screw, and free length over it."""
    return measures["depth"] + measures["clear"]


def head_span(measures: Mapping[str, float]) -> tuple[float, float]:
    """Return from where to where the ratchet's head lies along Z, mm: all under it turns about the axis alone."""
    square, _ = _drive(measures)
    low = measures["extension"]
    if "hexagon" in measures:
        low += key_reach(measures) + 2 * square
    else:
        low += measures["depth"] + _crown(square)
    return low, low + HEAD_HEIGHT * square


def head_radius(measures: Mapping[str, float]) -> float:
    """Return the radius of the ratchet's head, mm: the arm begins there."""
    return HEAD_RADIUS * _drive(measures)[0]


def _crown(square: float) -> float:
    return min(SOCKET_CROWN * square, MOST_CROWN_MM)


def _drive(measures: Mapping[str, float]) -> tuple[float, float]:
    return drive_of(2 * measures["hexagon"] if "hexagon" in measures else measures["socket"])


def make_torque_wrench(measures: Mapping[str, float]) -> cq.Solid:
    """Return a wrench with a socket or a hexagon key on it, all of one piece.

    ``socket`` (or ``hexagon``): width across flats of the nut (of the screw's socket); ``depth``: of the hollow, or how
    far the key is in the screw; ``clear``: free length of the key; ``extension``: between it and the head. The
    rim of the socket, or the end of the key, lies at z = 0; a corner of the hexagon looks along +X.
    """
    square, length = _drive(measures)
    low, high = head_span(measures)
    pieces: list[cq.Shape] = []
    if "hexagon" in measures:
        reach = key_reach(measures)
        body: cq.Shape = hexagon(
            measures["hexagon"] - SOCKET_CLEARANCE_MM, 0.0, reach + PAST_MM, chamfer_front=False
        )
        pieces.append(
            cylinder(max(0.75 * measures["hexagon"], 0.9 * square), reach, reach + 2 * square + PAST_MM)
        )
        top = reach + 2 * square
    else:
        outer, top = socket_radius(measures["socket"]), measures["depth"] + _crown(square)
        body = cylinder(outer, 0.0, top + PAST_MM * 0.2, chamfer=min(1.0, 0.08 * outer))
        hollow = hexagon(
            measures["socket"] + SOCKET_CLEARANCE_MM, -PAST_MM, measures["depth"], chamfer_front=False
        )
        body = cut(body, [hollow], "torque wrench", "socket")
    pieces.append(cylinder(BAR * square / 2, top - PAST_MM * 0.5, low + PAST_MM))
    pieces.append(cylinder(HEAD_RADIUS * square, low, high, chamfer=0.12 * square))
    middle, grip = (low + high) / 2, GRIP_SHARE * length
    tall, wide = ARM_HEIGHT * square / 2, ARM_WIDTH * square / 2
    pieces.append(
        cq.Solid.makeBox(length - grip + PAST_MM, 2 * wide, 2 * tall, cq.Vector(0, -wide, middle - tall))
    )
    radius = GRIP_DIAMETER * square / 2
    held = cylinder(radius, 0.0, grip, chamfer=2 * GRIP_EDGE * radius)
    pieces.append(
        held.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 1, 0), 90).translate(cq.Vector(length - grip, 0, middle))
    )
    return join(body, pieces, "torque wrench", "head and handle")


def make_open_wrench(measures: Mapping[str, float]) -> cq.Solid:
    """Return an open wrench round a hexagon ``across`` flats wide, from z = 0 upwards, its jaws open towards -X."""
    across = measures["across"]
    high, radius = JAW_HEIGHT * across, JAW_RADIUS * across
    wide, length = OPEN_WIDTH * across / 2, OPEN_LENGTH * across
    arm = prism(
        [(0, -wide), (length - wide, -wide), (length - wide, wide), (0, wide)], 0.12 * high, 0.88 * high
    )
    whole = join(cylinder(radius, 0, high), [arm, cylinder(wide * 1.25, 0.12 * high, 0.88 * high, length - wide)],
                 "open wrench", "arm")  # fmt: skip
    half = (across + SOCKET_CLEARANCE_MM) / 2
    corner = half * 2 / math.sqrt(3)
    outline = [
        (-2 * radius, -half),
        (corner / 2, -half),
        (corner, 0),
        (corner / 2, half),
        (-2 * radius, half),
    ]
    return valid_solid(
        cut(whole, [prism(outline, -PAST_MM, high + PAST_MM)], "open wrench", "jaws"), "open wrench", "jaws"
    )
