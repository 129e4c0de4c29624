"""Masses of parts, from their solids."""

from __future__ import annotations

from collections.abc import Iterable

from ..assembly import Assembly, Part
from ..engineering.materials import material


def part_mass_kg(part: Part) -> float:
    """Return the mass of one part: the solid's volume by the density of its material.

    Raises:
        UnknownMaterial: if the materials table has no such material.
    """
    return material(part.material).mass_kg(part.volume_mm3)


def masses_kg(assembly: Assembly, keys: Iterable[str] | None = None) -> dict[str, float]:
    """Return part key to mass, kg; twins are weighed once."""
    known: dict[tuple[int, str], float] = {}
    found: dict[str, float] = {}
    for key in assembly.parts if keys is None else keys:
        part = assembly.part(key)
        same = (id(part.solid), part.material)
        if same not in known:
            known[same] = part_mass_kg(part)
        found[key] = known[same]
    return found
