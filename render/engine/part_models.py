"""Models: what the pictures need of an assembly, free of the CAD kernel so that it travels between processes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ...geometry.assembly import Assembly, Side, TurningGroup, places_at
from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Mesh, mesh_of
from ...geometry.surfaces import Surface
from .material_styles import MATERIALS

MESH_ANGLE_DEG = 14.0
DETAIL = 1.0 / 6000.0
"""Mesh tolerance as a fraction of the assembly's greatest extent: a third of a pixel of a full picture."""


@dataclass(frozen=True, eq=False)
class PartModel:
    """One part as the pictures know it; ``mesh`` in its own frame, shared by twins."""

    key: str
    kind: str
    name: str
    material: str
    mesh: Mesh
    place: Place
    side: Side | None = None
    thread: bool = False
    hatch: Floats | None = None
    """Hatch lines on cut faces, (k, 2, 3) mm, own frame; None for a whole part."""
    surfaces: tuple[Surface, ...] = ()
    """What of its skin has a name."""
    free_rise: float = 1.0
    """As of :class:`Elastic`."""

    def box(self, place: Place | None = None) -> tuple[Floats, Floats]:
        """Return lower and upper corner of the part in the head's frame, (3,) float64 each, mm."""
        points = (place or self.place).points(self.mesh.extreme_points)
        return points.min(axis=0), points.max(axis=0)


Axis = tuple[int, ...]
"""Where an axis of a given direction runs, as a cell of a grid."""


@dataclass(frozen=True, eq=False)
class PartModels:
    """All parts of an assembly as models, in the assembly's order."""

    name: str
    parts: Mapping[str, PartModel]
    up: Vec3 = (0.0, 1.0, 0.0)
    front: Vec3 = (0.0, 0.0, 1.0)
    extent_mm: float = field(default=1.0)
    turning: tuple[TurningGroup, ...] = ()
    """What turns with the shafts, as in the assembly."""
    made_from: str = ""
    """Key of the inputs that they were made from, where that is known."""
    tools: dict[str, PartModel] = field(default_factory=dict)
    """What is drawn beside the parts: tools, under keys of their own."""

    def model(self, key: str) -> PartModel:
        """Return the model of a part or a tool.

        Raises:
            KeyError: if there is none.
        """
        return self.parts[key] if key in self.parts else self.tools[key]

    def __iter__(self) -> Iterator[PartModel]:
        return iter(self.parts.values())

    def places_at(self, angle_deg: float) -> dict[str, Place]:
        """Return the place of every part with the driving shaft at ``angle_deg`` from its mark, in order."""
        return places_at({m.key: m.place for m in self}, self.turning, angle_deg)

    def axis_of(self, key: str, place: Place, along: Floats, cell_mm: float) -> tuple[Axis, Floats]:
        """Return the axis through the middle of a part, and the point of it nearest to the origin, (3,) mm.

        ``along`` is a unit vector (3,). Axes less than about ``cell_mm`` apart are one.
        """
        low, high = self.parts[key].box(place)
        middle = (low + high) / 2
        at = middle - along * float(middle @ along)
        return tuple(np.round(at / cell_mm).astype(int).tolist()), at

    @cached_property
    def digest(self) -> str:
        """Hex digest of everything that a picture of these models depends on: of their inputs where these are known."""
        if self.made_from:
            return self.made_from
        h = hashlib.sha256(repr((self.up, self.front, self.turning)).encode())
        seen: dict[int, str] = {}
        for m in self:
            if id(m.mesh) not in seen:
                seen[id(m.mesh)] = mesh_digest(m.mesh)
            told = (m.key, m.kind, m.material, m.side, m.thread, m.surfaces, m.free_rise)
            h.update(repr(told).encode())
            h.update(np.round(m.place.matrix(), 9).tobytes())
            h.update(seen[id(m.mesh)].encode())
        return h.hexdigest()


def mesh_digest(mesh: Mesh) -> str:
    """Return the hex digest of a mesh's points (to a nanometre), triangles and edges."""
    h = hashlib.sha256()
    for array in (mesh.points, mesh.normals, *mesh.edges):
        h.update((np.round(array, 6) + 0.0).tobytes())
    h.update(mesh.triangles.tobytes())
    return h.hexdigest()


def make_part_models(assembly: Assembly, detail: float = DETAIL, made_from: str = "") -> PartModels:
    """Return the models of ``assembly``, meshed to ``detail`` of its greatest extent; ``made_from`` is their key.

    Raises:
        MeshError: if a solid does not give a closed mesh; names the part.
    """
    boxes = [p.placed_box() for p in assembly]
    low, high = np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)
    extent = float((high - low).max())
    tolerance = float(f"{extent * detail:.2g}")  # two digits, so that equal sizes share their meshes
    parts = {
        p.key: PartModel(
            p.key,
            p.kind,
            p.name,
            p.colour if p.colour and p.material not in MATERIALS else p.material,
            mesh_of(p, tolerance, MESH_ANGLE_DEG),
            p.place,
            p.side,
            p.thread,
            surfaces=p.surfaces,
            free_rise=p.elastic.free_rise if p.elastic else 1.0,
        )
        for p in assembly
    }
    return PartModels(assembly.name, parts, assembly.up, assembly.front, extent, assembly.turning, made_from)
