"""Guessed O-rings: pressed as deep as they are drawn into their neighbours, stretched over what carries them.

Strangers draw an O-ring in its free shape, in a groove that it can only leave stretched or pressed together. So its
torus is tried larger and smaller until it passes what holds it along its axis.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ...geometry.assembly import Assembly, Elastic, Part
from ...geometry.exchange.assemblies.solid_frames import SolidFacts
from ...geometry.frame import Vec3, Z
from .free_ways import FreeWays

if TYPE_CHECKING:
    import cadquery as cq

STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
"""Half sections by which the ring is stretched, then pressed together, on its way."""
LEAST_SHARE = 0.4
"""Of its section an O-ring keeps at least so much when it is pressed."""
CLEAR_MM = 0.03


@dataclass(frozen=True)
class SoftRing:
    """What an O-ring may do, as solids in its own frame."""

    squeeze_mm: float
    core: cq.Shape
    passing: cq.Shape


def soft_rings(ways: FreeWays, rings: Mapping[str, SolidFacts]) -> dict[str, SoftRing]:
    """Return for each kind of ``rings`` what it has to do to come out; one that passes as drawn is left out."""
    found = {}
    for kind, facts in rings.items():
        keys = [p.key for p in ways.assembly.of_kind(kind)]
        radius, half = facts.tori[0]
        deep = [s.depth_mm for pair, s in ways.overlaps.items() if pair & set(keys)]
        squeeze = max(deep, default=0.0) + CLEAR_MM if deep else 0.0
        if half - squeeze < LEAST_SHARE * half:
            continue
        carriers = {k: _carriers(ways, k) for k in keys}
        if not deep and not any(carriers.values()):
            continue
        core = _torus(radius, half - squeeze)
        passing = _passing(ways, carriers, radius, half - squeeze, core)
        found[kind] = SoftRing(round(squeeze, 3), core, passing)
    return found


def with_soft(assembly: Assembly, soft: Mapping[str, SoftRing]) -> Assembly:
    """Return the assembly in which these kinds give way."""
    parts = {p.key: replace(p, elastic=_elastic(soft[p.kind])) if p.kind in soft else p for p in assembly}
    return replace(assembly, parts=parts)


def _elastic(ring: SoftRing) -> Elastic:
    return Elastic(ring.squeeze_mm, ring.core, ring.passing)


def _carriers(ways: FreeWays, key: str) -> list[str]:
    """Return the neighbours that hold a ring along its axis both ways."""
    up = ways.assembly.part(key).place.direction(Z)
    down: Vec3 = (-up[0], -up[1], -up[2])
    return [k for k in sorted(ways.near[key]) if ways.closes(k, key, up) and ways.closes(k, key, down)]


def _passing(
    ways: FreeWays, carriers: Mapping[str, Iterable[str]], radius: float, half: float, core: cq.Shape
) -> cq.Shape:
    """Return the shape nearest the ring's own in which it passes its carriers one way; its core where none does."""
    for sign in (1.0, -1.0):
        for step in STEPS:
            if radius + sign * step * half <= 1.5 * half:
                continue
            shape = _torus(radius + sign * step * half, half)
            if all(_passes(ways, key, held, core, shape) for key, held in carriers.items() if held):
                return shape
    return core


def _passes(ways: FreeWays, key: str, held: Iterable[str], core: cq.Shape, shape: cq.Shape) -> bool:
    ring = replace(ways.assembly.part(key), elastic=Elastic(0.0, core, shape))
    parts: dict[str, Part] = {key: ring, **{k: ways.assembly.part(k) for k in held}}
    alone = FreeWays(Assembly("", parts), ways.tolerance_mm)
    up = ring.place.direction(Z)
    ways_out: tuple[Vec3, ...] = (up, (-up[0], -up[1], -up[2]))
    return any(not any(alone.closes(k, key, d) for k in held) for d in ways_out)


def _torus(radius: float, half: float) -> cq.Shape:
    import cadquery as cq

    return cq.Solid.makeTorus(radius, half)
