"""The turning rotors of a head, from its solids: the pair by its shadows, body and cover by solids of revolution.

The plane result of :mod:`.pair_turn` holds for outlines; this module takes the outlines from the solids themselves, so
that it holds for a user's own rotors as well. Looked at along the shafts, a rotor's shadow is the union of all its
sections: two rotors whose shadows stay clear through the turn are clear. (Stepped rotors, whose shadows cross while the
solids pass, are not proven clear by it; they are reported as not clear.) Against parts that stand still a rotor is
clear through the turn if the solid that it passes through in one turn is.
"""

from __future__ import annotations

import weakref
from collections.abc import Iterable
from dataclasses import dataclass

import manifold3d as m3
import numpy as np

from ..assembly import Assembly, Part
from ..frame import Floats, Place, Z
from ..meshes.overlaps import Bodies, box_of, boxes_meet, gap, matrix34, overlap
from ..meshes.sweeps import turn_hull
from ..meshes.tessellation import Mesh, mesh_of
from .pair_turn import PairTurn, turn_pair

MOVING = ("rotor", "rotor_nut")
"""Kinds that turn in the cavity."""


@dataclass(frozen=True)
class StillGap:
    """How near a turning part comes to one that stands still, through a whole turn."""

    moving: str
    still: str
    gap_mm: float
    """0 where they overlap; not looked for beyond :attr:`SolidTurn.reach_mm`."""
    overlap_mm3: float


@dataclass(frozen=True)
class SolidTurn:
    """What the solids of a rotor pair do through a whole turn."""

    pair: PairTurn
    still: tuple[StillGap, ...]
    """Nearest first; only what comes within :attr:`reach_mm`."""
    tolerance_mm: float
    """How far the meshes may lie off the solids; gaps to still parts are short of the truth by up to four of it."""
    reach_mm: float

    @property
    def clear(self) -> bool:
        """Whether the pair is proven clear and nothing overlaps a part that stands still."""
        return self.pair.clear and all(s.gap_mm > 0 for s in self.still)


class ShadowError(ValueError):
    """A solid whose shadow along the shafts is not one closed outline."""


def turn_solids(
    assembly: Assembly,
    centre_mm: float,
    gap_mm: float,
    *,
    tolerance_mm: float = 0.005,
    bodies: Bodies | None = None,
    moving: Iterable[str] = MOVING,
    rotors: tuple[str, str] = ("rotor_drive", "rotor_driven"),
) -> SolidTurn:
    """Return what the rotors, in place at angle 0, do through a whole turn.

    ``gap_mm`` is the nominal running gap: the pair is followed to a quarter of it. ``bodies`` spares meshing again
    what is meshed already; its tolerance then counts.

    Raises:
        ShadowError: if a rotor casts no single closed shadow.
        OverlapError: if a mesh is not fit for booleans.
    """
    bodies = bodies or Bodies(assembly, tolerance_mm)
    tolerance_mm = bodies.tolerance_mm
    axis = np.array([centre_mm / 2, 0.0])
    drive = shadow(assembly.part(rotors[0]), tolerance_mm) + axis
    driven = shadow(assembly.part(rotors[1]), tolerance_mm) - axis
    pair = turn_pair(drive, driven, centre_mm, 0.0, gap_mm / 4, tolerance_mm)
    kinds = tuple(moving)
    reach = 8 * gap_mm
    found: list[StillGap] = []
    still = [(p, p.placed_box()) for p in assembly if p.side is None and p.elastic is None]
    hulls: dict[tuple[int, bytes], m3.Manifold] = {}
    for part in assembly:
        if part.kind not in kinds:
            continue
        shaft = (-centre_mm / 2 if part.side == "drive" else centre_mm / 2, 0.0, 0.0)
        back, own = part.place.inverse(), bodies.own(part.key)
        about, axis = (np.round(v, 9) + 0.0 for v in (back.point(shaft), back.direction(Z)))
        twin = (id(own), np.concatenate([about, axis]).tobytes())
        if twin not in hulls:
            hulls[twin] = turn_hull(own, tuple(about.tolist()), tuple(axis.tolist()), tolerance_mm)
        hull = hulls[twin].transform(matrix34(part.place))
        reached = box_of(hull)
        for other, box in still:
            if not boxes_meet(reached, box, reach):
                continue
            there = bodies.placed(other.key)
            met = overlap(hull, there, tolerance_mm)
            near = 0.0 if met else gap(hull, there, reach)
            if near < reach:
                found.append(StillGap(part.key, other.key, near, met.volume_mm3 if met else 0.0))
    found.sort(key=lambda s: s.gap_mm)
    return SolidTurn(pair, tuple(found), tolerance_mm, reach)


def shadow(part: Part, tolerance_mm: float) -> Floats:
    """Return the outer outline of a placed part, seen along the shafts, (n, 2) float64 mm in the head's frame.

    Faces parallel to the shafts are left out: they show only as edges of other faces. (The kernel spans them with
    triangles from end to end, whose chords run further off the surface than the tolerance.)

    Raises:
        ShadowError: if it is not one closed outline.
    """
    mesh = mesh_of(part, tolerance_mm)
    known = _outlines.setdefault(mesh, {})
    if part.place not in known:
        known[part.place] = _shadow(part, mesh)
    return known[part.place].copy()


_outlines: weakref.WeakKeyDictionary[Mesh, dict[Place, Floats]] = weakref.WeakKeyDictionary()
"""Of each mesh, as long as it lives: several look at the same rotors."""


def _shadow(part: Part, mesh: Mesh) -> Floats:
    import shapely

    matrix = part.place.matrix()[:3, :3]
    points = part.place.points(mesh.points)[:, :2]
    along = np.abs(mesh.normals @ matrix[2])
    corners = points[mesh.triangles[along[mesh.triangles].max(axis=1) > 1e-6]]
    triangles = shapely.polygons(corners)
    seen = shapely.unary_union(triangles[shapely.area(triangles) > 1e-9])
    # slits as thin as rounding between triangles of one face
    whole = seen.buffer(1e-6, join_style="mitre").buffer(-1e-6, join_style="mitre")
    if whole.geom_type != "Polygon":
        raise ShadowError(f"{part.key}: its shadow along the shafts has several outlines, one is needed")
    outline: Floats = shapely.get_coordinates(shapely.orient_polygons(whole).exterior)[:-1]
    return outline
