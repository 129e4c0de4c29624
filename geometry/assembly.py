"""Parts and assemblies: what every other room knows of the geometry.

An :class:`Assembly` is any set of named solids in place; a fluid head is one kind of it. Proof and pictures work on
assemblies, so that a user's own solids get the same treatment as a head. What only a head knows comes with it as
data: which parts turn together (:class:`TurningGroup`), what a part may do (:class:`Elastic`, :attr:`Part.thread`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from .frame import Floats, Place, Vec3, Z
from .solid import Solid, box_mm, moved, volume_mm3
from .surfaces import Surface

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
    free_rise: float = 1.0
    """How many times as high its cone or its waves stand where nothing presses it; 1 where that is not known."""


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
    surfaces: tuple[Surface, ...] = ()
    """What of its skin has a name, for tools, zones and measuring."""
    colour: str = ""
    """``#rrggbb`` in which it is drawn where its material has no look of its own; empty: as steel."""
    taken_for: str = ""
    """Material of a part of the same shape that is had beside it and goes in as well; empty where there is none."""

    def surface(self, name: str) -> Surface:
        """Return its surface ``name``.

        Raises:
            KeyError: if it has none of that name.
        """
        for surface in self.surfaces:
            if surface.name == name:
                return surface
        raise KeyError(name)

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

    @property
    def number(self) -> str:
        """Its number in a row of equal parts, as its key ends with it; empty where it has none.

        >>> Part("cover_nut_3", "cover_nut", "Cover nut", "316L", None).number
        '3'
        """
        tail = self.key.rsplit("_", 1)[-1]
        return tail if tail.isdigit() else ""

    @property
    def which(self) -> str:
        """What its key adds to kind and side, to tell it from others of its kind; empty where nothing does.

        >>> Part("body_dowel_large", "body_dowel", "Body dowel", "316L", None).which
        'large'
        """
        if self.number or self.key in (self.kind, f"{self.kind}_{self.side}"):
            return ""
        return self.key.removeprefix(f"{self.kind}_") if self.key.startswith(f"{self.kind}_") else ""


@dataclass(frozen=True)
class TurningGroup:
    """Parts that turn as one, ``ratio`` times as far as the driving shaft, right-handed about ``axis``.

    ``about`` is a point of the axis in the assembly's frame, mm. The driving shaft's own group has the ratio 1.
    """

    name: str
    parts: tuple[str, ...]
    """Keys of the parts, in assembly order."""
    about: Vec3
    axis: Vec3 = Z
    ratio: float = 1.0
    carrier: str = ""
    """Key of the part that the others sit on (a shaft); empty where none carries them."""


def poses_at(turning: Iterable[TurningGroup], angle_deg: float) -> dict[str, Place]:
    """Return how far each turning part stands from its place with the driving shaft at ``angle_deg`` from its mark.

    Every picture, film, 3D model and proof takes the turn of the shafts from here.

    >>> poses_at([TurningGroup("arm", ("arm",), (10.0, 0.0, 0.0))], 90.0)["arm"].point((12.0, 0.0, 0.0))
    (10.0, 2.0, 0.0)
    >>> poses_at([TurningGroup("arm", ("arm",), (10.0, 0.0, 0.0))], 0.0)
    {}
    """
    poses: dict[str, Place] = {}
    if abs(angle_deg) < 1e-9:
        return poses
    for group in turning:
        pose = Place.turn(angle_deg * group.ratio, group.axis, group.about)
        poses.update(dict.fromkeys(group.parts, pose))
    return poses


def places_at(
    places: Mapping[str, Place], turning: Iterable[TurningGroup], angle_deg: float
) -> dict[str, Place]:
    """Return ``places`` (part key to its place at the mark) as they are with the driving shaft at ``angle_deg``."""
    poses = poses_at(turning, angle_deg)
    return {key: poses[key] @ place if key in poses else place for key, place in places.items()}


@dataclass(frozen=True)
class Assembly:
    """Named solids in place; iteration follows the order of :attr:`parts` (gear case outwards for a head).

    All places are those with the shafts at their mark (angle 0), where there are any.
    """

    name: str
    parts: Mapping[str, Part]
    up: Vec3 = (0.0, 1.0, 0.0)
    """The reader's up in the assembly's frame."""
    front: Vec3 = Z
    """Where the person who does the work stands."""
    turning: tuple[TurningGroup, ...] = ()
    """What turns with the shafts; empty where nothing does."""
    made_from: str = ""
    """Hash of the inputs that parts and places were made from, where whoever made them knows it: results over the
    assembly are kept by it, since the CAD kernel does not write the same solid twice alike."""

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

    def places_at(self, angle_deg: float) -> dict[str, Place]:
        """Return the place of every part with the driving shaft at ``angle_deg`` from its mark, in assembly order."""
        return places_at({p.key: p.place for p in self}, self.turning, angle_deg)

    def turning_group(self, key: str) -> TurningGroup:
        """Return the group that part ``key`` turns with.

        Raises:
            KeyError: if it turns with none.
        """
        for group in self.turning:
            if key in group.parts:
                return group
        raise KeyError(key)
