"""A pair of solids that turn in each other: the pair by its shadows, parts that stand still by solids of revolution.

The plane result of :mod:`.pair_turn` holds for outlines; this module takes the outlines from the solids themselves, so
that it holds for a user's own solids as well. Looked at along the shafts, a solid's shadow is the union of all its
sections: two solids whose shadows stay clear through the turn are clear. (Stepped ones, whose shadows cross while the
solids pass, are not proven clear by it; they are reported as not clear.) Against parts that stand still a solid is
clear through the turn if what it passes through in one turn is. What turns about what is data of the assembly.
"""

from __future__ import annotations

import math
import weakref
from collections.abc import Iterable
from dataclasses import dataclass

import manifold3d as m3
import numpy as np

from ..assembly import Assembly, Part, TurningGroup
from ..frame import Floats, Place
from ..meshes.overlaps import Bodies, box_of, boxes_meet, gap, matrix34, overlap
from ..meshes.sweeps import turn_hull
from ..meshes.tessellation import Mesh, mesh_of
from .pair_turn import PairTurn, turn_pair


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
    """What the solids of a timed pair do through a whole turn."""

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
    pair: tuple[str, str],
    gap_mm: float,
    *,
    moving: Iterable[str] = (),
    tolerance_mm: float = 0.005,
    bodies: Bodies | None = None,
) -> SolidTurn:
    """Return what two parts that turn against each other do through a whole turn, in place at angle 0.

    Args:
        assembly: the parts, with what turns about what.
        pair: keys of the two, on axes along Z and timed 1:1 against each other.
        gap_mm: nominal running gap; the pair is followed to a quarter of it.
        moving: keys of what else turns with them and is to be clear of what stands still.
        tolerance_mm: how far a mesh may be off its solid.
        bodies: spare meshing again what is meshed already; their tolerance then counts.

    Raises:
        KeyError: if a part of the pair, or of ``moving``, does not turn.
        ValueError: if the two are not timed so.
        ShadowError: if one of them casts no single closed shadow.
        OverlapError: if a mesh is not fit for booleans.
    """
    bodies = bodies or Bodies(assembly, tolerance_mm)
    tolerance_mm = bodies.tolerance_mm
    turned = _turn_pair(assembly, pair, gap_mm, tolerance_mm)
    turning = {*pair, *moving}
    reach = 8 * gap_mm
    found: list[StillGap] = []
    still = [(p, p.placed_box()) for p in assembly if p.side is None and p.elastic is None]
    hulls: dict[tuple[int, bytes], m3.Manifold] = {}
    for part in assembly:
        if part.key not in turning:
            continue
        group = assembly.turning_group(part.key)
        back, own = part.place.inverse(), bodies.own(part.key)
        about, axis = (np.round(v, 9) + 0.0 for v in (back.point(group.about), back.direction(group.axis)))
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
    return SolidTurn(turned, tuple(found), tolerance_mm, reach)


def _turn_pair(assembly: Assembly, pair: tuple[str, str], gap_mm: float, tolerance_mm: float) -> PairTurn:
    """Return what the shadows of the two do through a turn."""
    one, other = (assembly.turning_group(key) for key in pair)
    check_timed(one, other)
    apart = np.subtract(other.about[:2], one.about[:2])
    angle = -math.atan2(apart[1], apart[0])
    c, s = math.cos(angle), math.sin(angle)
    level = np.array([[c, -s], [s, c]])  # the plane proof has both axes on X
    outlines = [
        (shadow(assembly.part(key), tolerance_mm) - np.array(group.about[:2])) @ level.T
        for key, group in zip(pair, (one, other), strict=True)
    ]
    return turn_pair(outlines[0], outlines[1], float(np.linalg.norm(apart)), 0.0, gap_mm / 4, tolerance_mm)


def check_timed(one: TurningGroup, other: TurningGroup) -> None:
    """Check that two groups turn 1:1 against each other about axes along Z.

    Raises:
        ValueError: if they do not.
    """
    along = all(abs(a) < 1e-9 for g in (one, other) for a in g.axis[:2])
    if not along or abs(one.ratio * one.axis[2] + other.ratio * other.axis[2]) > 1e-9:
        raise ValueError(f"{one.name} and {other.name} are not timed 1:1 against each other along Z")


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
