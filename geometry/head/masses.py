"""Masses from the solids, and the list of O-rings of a head."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..assembly import Assembly, Part
from ..engineering.materials import material

if TYPE_CHECKING:
    from .head import Head


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


@dataclass(frozen=True)
class OringLine:
    """One line of the O-ring list: figures of the ring as it lies in its gland, mm."""

    kind: str
    name: str
    material: str
    count: int
    section_mm: float
    inside_mm: float
    """Inside of the ring in place: a ring of this inner diameter lies in its gland without stretch. A ring laid in a
    stadium groove is given by the circle of the same length."""


def oring_list(head: Head) -> tuple[OringLine, ...]:
    """Return every kind of O-ring in the head with count and size, in the order of the parts."""
    import math

    s = head.size
    sections = {
        "shaft_oring": s.shaft_oring_section_mm,
        "inner_seal_oring": s.seal_oring_section_mm,
        "outer_seal_oring": s.seal_oring_section_mm,
        "hub_oring": s.hub_oring_section_mm,
        "nut_oring": s.nut_oring_section_mm,
        "retainer_oring": s.retainer_oring_section_mm,
        "cover_oring": s.cover_oring_section_mm,
        "relief_oring": s.seal_oring_section_mm,
    }
    lines = []
    for kind in dict.fromkeys(p.kind for p in head if p.kind in sections):
        rings = head.of_kind(kind)
        ring, section = rings[0], sections[kind]
        # Pappus: volume of a ring is its section times the length of its centre line, whatever its plan.
        length = ring.volume_mm3 / (math.pi * section**2 / 4)
        inside = length / math.pi - section
        lines.append(OringLine(kind, ring.name, ring.material, len(rings), section, inside))
    return tuple(lines)
