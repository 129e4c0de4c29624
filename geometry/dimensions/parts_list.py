"""Keys, kinds and trade names of a head's parts, known without building a solid.

The data checks of fleet and sequence files read this list; :mod:`..head.head` builds exactly these parts.
"""

from __future__ import annotations

from .options import Options

SIDES = ("drive", "driven")
RELIEF_SCREWS = 4
"""Screws of a relief cap."""

KINDS: dict[str, str] = {
    "gear_case": "Gear case front",
    "shaft": "Shaft",
    "stud": "Stud",
    "shaft_oring": "Shaft O-ring",
    "rotating_ring": "Rotating seal ring",
    "seal_pin": "Anti-rotation pin",
    "stationary_ring": "Stationary seal ring",
    "stationary_ring_oring": "Stationary seal ring O-ring",
    "wave_spring": "Wave spring",
    "atmosphere_pin": "Atmosphere-side anti-rotation pin",
    "atmosphere_ring": "Atmosphere-side seal ring",
    "atmosphere_ring_oring": "Atmosphere-side seal ring O-ring",
    "atmosphere_wave_spring": "Atmosphere-side wave spring",
    "body": "Body",
    "body_dowel": "Body dowel",
    "body_screw": "Body screw (socket head cap screw)",
    "key": "Key",
    "hub_oring": "Rotor hub O-ring",
    "rotor": "Rotor",
    "rotor_nut": "Rotor nut",
    "nut_oring": "Nut O-ring",
    "disc_spring": "Disc spring (Belleville washer)",
    "spring_retaining_oring": "Spring-retaining O-ring",
    "cover_oring": "Cover O-ring",
    "cover": "Cover",
    "relief_piston": "Relief piston",
    "relief_oring": "Relief piston O-ring",
    "relief_spring": "Relief spring",
    "relief_cap": "Relief cap",
    "relief_screw": "Relief cap screw (socket head cap screw)",
    "cover_nut": "Cover nut",
}
"""Kind of part to its trade name."""


def part_kinds(
    options: Options, studs: int = 4, seal_pins: int = 2, relief_screws: int = RELIEF_SCREWS
) -> dict[str, str]:
    """Return part key to kind for every part of a head, from the gear case outwards.

    Twins are ``kind_drive`` and ``kind_driven``; rows of equal parts are ``kind_1``, ``kind_2`` ... (seal pins
    ``seal_pin_drive_1`` ...); the two body dowels are ``body_dowel_large`` and ``body_dowel_small``.

    >>> list(part_kinds(Options()))[:4]
    ['gear_case', 'shaft_drive', 'shaft_driven', 'stud_1']
    """
    kinds = {
        **_single("gear_case"), **_twins("shaft"), **_row("stud", studs), **_twins("shaft_oring", "rotating_ring"),
        **_single("body"), "body_dowel_large": "body_dowel", "body_dowel_small": "body_dowel",
        **_pins("seal_pin", seal_pins), **_twins("wave_spring", "stationary_ring", "stationary_ring_oring"),
    }  # fmt: skip
    if options.seal == "double":
        kinds |= _pins("atmosphere_pin", seal_pins)
        kinds |= _twins("atmosphere_wave_spring", "atmosphere_ring", "atmosphere_ring_oring")
    kinds |= _row("body_screw", 2)
    kinds |= _twins(
        "hub_oring", "key", "rotor", "rotor_nut", "disc_spring", "spring_retaining_oring", "nut_oring"
    )
    kinds |= _single("cover_oring", "cover")
    if options.cover == "relief":
        kinds |= _single("relief_oring", "relief_piston", "relief_spring", "relief_cap")
        kinds |= _row("relief_screw", relief_screws)
    return kinds | _row("cover_nut", studs)


def _single(*kinds: str) -> dict[str, str]:
    """Return the parts of kinds of which a head has one, key to kind."""
    return {kind: kind for kind in kinds}


def _twins(*kinds: str) -> dict[str, str]:
    """Return the parts of kinds of which there is one on each shaft."""
    return {f"{kind}_{side}": kind for kind in kinds for side in SIDES}


def _row(kind: str, count: int) -> dict[str, str]:
    """Return equal parts, numbered."""
    return {f"{kind}_{n}": kind for n in range(1, count + 1)}


def _pins(kind: str, count: int) -> dict[str, str]:
    """Return equal parts on each shaft, numbered."""
    return {f"{kind}_{side}_{n}": kind for side in SIDES for n in range(1, count + 1)}
