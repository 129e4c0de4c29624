"""What dimensions have to leave each other: each may be within its own range, and two of them still not go together.

What is broken is told of the dimension that was given, not of one that follows from it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from .options import Options
from .proportions.rules import unit_of
from .size import PROPORTIONS, Size, SizeFault
from .stack_up import StackUp

LEAST_WALL = 0.01
"""Least wall of a part, as a share of C: with less, the CAD kernel makes no solid of it, or an empty one."""
BROKEN_EDGE_MM = 0.4
"""How far the edges of turned parts are broken (``EDGE_MM`` of the parts' solids)."""
SEAL_LAND_MM = 0.1
"""Least land of a stationary seal before its O-ring groove."""
LEAST_KEY_SIDE_MM = 0.1
"""Least straight length of a key between its round ends."""


@dataclass(frozen=True)
class Room:
    """Something that has to be left, in mm, and the dimensions that it is made of, the likeliest first."""

    words: str
    names: tuple[str, ...]
    left_mm: Callable[[StackUp], float]
    needed_mm: Callable[[StackUp], float]
    belongs: Callable[[Options], bool] = lambda _: True


def _wall(stack: StackUp) -> float:
    return LEAST_WALL * stack.size.c


def _vented(options: Options) -> bool:
    return options.cover == "vented"


def _key_length(stack: StackUp) -> float:
    start, end = stack.key_span_z
    return end - start


def _behind_groove(stack: StackUp, length: float, notch: float, nose: float) -> float:
    """Return the metal between a stationary seal's O-ring groove and its notches; below 0 where they meet."""
    s = stack.size
    width = stack.gland_width_mm(s.seal_oring_section_mm)
    return length - notch - width - nose - BROKEN_EDGE_MM - SEAL_LAND_MM


_RING = ("seal_oring_section_mm", "gland_width_share")

ROOMS: tuple[Room, ...] = (
    Room(
        "metal between the inner seal's O-ring groove and its notches",
        ("seal_notch_mm", "inner_nose_mm", "inner_seal_length_mm", *_RING, "inner_seal_setback_mm"),
        lambda k: _behind_groove(k, k.inner_seal_length, k.size.seal_notch_mm, k.size.inner_nose_mm),
        lambda k: 0.0,
    ),
    Room(
        "metal between the outer seal's O-ring groove and its notches",
        ("outer_seal_notch_mm", "outer_nose_mm", "outer_seal_length_mm", *_RING),
        lambda k: _behind_groove(
            k, k.size.outer_seal_length_mm, k.size.outer_seal_notch_mm, k.size.outer_nose_mm
        ),
        lambda k: 0.0,
        lambda options: options.seal == "double",
    ),
    Room(
        "a key longer than it is wide, since its ends are round",
        (
            "key_width_mm", "key_start_gap_mm", "key_end_gap_mm", "hub_oring_section_mm", "gland_width_share",
            "journal_setback_mm", "keyed_length_mm", "web_mm",
        ),
        _key_length,
        lambda k: k.size.key_width_mm + LEAST_KEY_SIDE_MM,
    ),
    Room(
        "a wall of the relief cap round its room",
        ("relief_cap_mm", "relief_cap_room_mm"),
        lambda k: (k.size.relief_cap_mm - k.size.relief_cap_room_mm) / 2,
        _wall,
        _vented,
    ),
    Room(
        "a flange of the relief cap beyond its cup",
        ("relief_cap_flange_mm", "relief_cap_mm"),
        lambda k: (k.size.relief_cap_flange_mm - k.size.relief_cap_mm) / 2,
        lambda k: 3 * _wall(k),
        _vented,
    ),
)  # fmt: skip


def room_faults(stack: StackUp) -> Iterator[SizeFault]:
    """Yield a fault for each room that is not left."""
    given = given_dimensions(stack.size)
    for room in ROOMS:
        if not room.belongs(stack.options):
            continue
        left, needed = room.left_mm(stack), room.needed_mm(stack)
        if left < needed:
            name = next((n for n in room.names if n in given), room.names[0])
            allowed = f"what leaves {room.words}: {needed:.4g} mm at least, where it is {left:.4g} mm"
            yield fault_of_given(stack.size, name, f"{getattr(stack.size, name):g}", allowed)


def given_dimensions(size: Size) -> dict[str, float]:
    """Return the dimensions that have a value of their own, with the usual ones that they stand for."""
    known = vars(size)
    usual = {name: p.rule(known) for name, p in PROPORTIONS.items()}
    return {name: value for name, value in usual.items() if getattr(size, name) != value}


def fault_of_given(size: Size, name: str, found: str, allowed: str) -> SizeFault:
    """Return the fault of a dimension that may have a value of its own."""
    usual = PROPORTIONS[name].rule(vars(size))
    own = f"leave it out for the usual {usual:.4g}{unit_of(name)}"
    fix = own if getattr(size, name) != usual else "give it another value under overrides"
    return SizeFault(name, found, allowed, fix)
