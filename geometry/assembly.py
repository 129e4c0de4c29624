"""Parts and assemblies: what every other room knows of the geometry.

An :class:`Assembly` is any set of named solids in place; a fluid head is one kind of it. Proof and pictures work on
assemblies, so that a user's own solids get the same treatment as a head.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from .frame import Floats, Place, Vec3, Z
from .solid import Solid, box_mm, moved, volume_mm3

Side = Literal["drive", "driven"]


@dataclass(frozen=True)
class Feature:
    """A mating feature of a part, in the part's own frame (mm).

    ``kind`` is one of bore, journal, pin, hole, face, flats, keyway, key, groove, thread, notch, pocket.
    ``size_mm`` is the figure that decides the fit: a diameter, a width across flats, a width.
    """

    name: str
    kind: str
    origin: Vec3
    direction: Vec3 = Z
    size_mm: float = 0.0
    mates: str = ""
    """Kind of the part that this feature meets, where that is known."""


@dataclass(frozen=True)
class Elastic:
    """What an elastic part may do.

    ``core`` is the part pressed in by its declared squeeze (own frame): in its place the part itself may overlap its
    neighbours, the core may not. ``passing`` is the shape it can take on its way (an O-ring stretched over a land,
    pressed into a pocket); None where it travels in its free shape.
    """

    squeeze_mm: float
    core: Solid
    passing: Solid | None = None


@dataclass(frozen=True)
class Part:
    """One solid with its trade name, material and place.

    The own frame of a part has its origin on its main axis and +Z pointing the way it faces when it is fitted right
    (towards the cover). Twins (same kind, both sides) share one solid object.
    """

    key: str
    """Unique in its assembly, lower case with underscores: ``rotor_drive``."""
    kind: str
    """What it is, shared by twins: ``rotor``."""
    name: str
    """Trade name for people: ``Rotor``; sides are said by :attr:`side`."""
    material: str
    """Key of the materials table."""
    solid: Solid
    """One valid solid of the CAD kernel or one closed mesh, own frame, mm."""
    place: Place = field(default_factory=Place)
    side: Side | None = None
    elastic: Elastic | None = None
    features: tuple[Feature, ...] = ()
    thread: bool = False
    """Fitted by turning (nut, screw)."""

    def placed(self) -> Solid:
        """Return the solid in the assembly's frame."""
        return moved(self.solid, self.place)

    def placed_box(self) -> tuple[Floats, Floats]:
        """Return lower and upper corner of the box round the placed solid, (3,) float64 each, mm."""
        return box_mm(self.placed())

    @property
    def volume_mm3(self) -> float:
        """Volume of the solid, mm3."""
        return volume_mm3(self.solid)


@dataclass(frozen=True)
class Assembly:
    """Named solids in place; iteration follows the order of :attr:`parts` (gear case outwards for a head)."""

    name: str
    parts: Mapping[str, Part]
    up: Vec3 = (0.0, 1.0, 0.0)
    """The reader's up in the assembly's frame."""
    front: Vec3 = Z
    """Where the person who does the work stands."""

    def __iter__(self) -> Iterator[Part]:
        return iter(self.parts.values())

    def part(self, key: str) -> Part:
        """Return the part ``key``.

        Raises:
            KeyError: if the assembly has no such part.
        """
        return self.parts[key]

    def of_kind(self, kind: str) -> tuple[Part, ...]:
        """Return all parts of ``kind``, in assembly order."""
        return tuple(p for p in self if p.kind == kind)
