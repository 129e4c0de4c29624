"""An assembly without its solids: all that plans, pages and keys ask of it, kept as a small file.

Whoever has it needs no CAD kernel to resolve plans, to name and weigh parts, or to tell what evidence and pictures are
kept under.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ...geometry.assembly import Assembly, Elastic, Feature, Part, Side, TurningGroup
from ...geometry.frame import Place, Vec3
from ...geometry.solid import AbsentSolid
from ...geometry.surfaces import Surface


@dataclass(frozen=True)
class BarePart:
    """A part without its solid; ``solid`` numbers the solids, which twins share."""

    key: str
    kind: str
    name: str
    material: str
    solid: int
    volume_mm3: float
    place: Place
    side: Side | None
    squeeze_mm: float | None
    """Of an elastic part."""
    features: tuple[Feature, ...]
    thread: bool
    surfaces: tuple[Surface, ...]
    taken_for: str = ""


@dataclass(frozen=True)
class BareAssembly:
    """All of an assembly but its name and its solids."""

    parts: tuple[BarePart, ...]
    up: Vec3
    front: Vec3
    turning: tuple[TurningGroup, ...]
    remarks: tuple[str, ...] = ()
    """What the owner of parts has to know of how they were read."""

    def named(self, name: str, made_from: str) -> Assembly:
        """Return the assembly; its solids only know their volumes."""
        solids: dict[int, Any] = {}
        parts = {}
        for p in self.parts:
            solid = solids.setdefault(p.solid, AbsentSolid(p.volume_mm3))
            elastic = None if p.squeeze_mm is None else Elastic(p.squeeze_mm, solid)
            parts[p.key] = Part(
                p.key,
                p.kind,
                p.name,
                p.material,
                solid,
                p.place,
                p.side,
                elastic,
                p.features,
                p.thread,
                p.surfaces,
                taken_for=p.taken_for,
            )
        return Assembly(name, parts, self.up, self.front, self.turning, made_from)


def bare(assembly: Assembly) -> BareAssembly:
    """Return ``assembly`` without its solids."""
    numbers: dict[int, int] = {}
    parts = tuple(
        BarePart(
            p.key,
            p.kind,
            p.name,
            p.material,
            numbers.setdefault(id(p.solid), len(numbers)),
            p.volume_mm3,
            p.place,
            p.side,
            p.elastic.squeeze_mm if p.elastic else None,
            p.features,
            p.thread,
            p.surfaces,
            p.taken_for,
        )
        for p in assembly
    )
    remarks = (r for p in assembly for r in getattr(p.solid, "remarks", ()))
    return BareAssembly(parts, assembly.up, assembly.front, assembly.turning, tuple(dict.fromkeys(remarks)))
