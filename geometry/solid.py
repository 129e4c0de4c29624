"""What a part is made of: a solid of the CAD kernel, or a closed mesh where its owner has nothing better.

Whoever needs a volume, a box or a moved copy asks here; what only one of the two can answer (true faces, true edges) is
asked for where it is used.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias, Union

import numpy as np
from numpy.typing import NDArray

from .frame import Floats, Place

if TYPE_CHECKING:
    import cadquery as cq

Triangles = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class MeshSolid:
    """A closed mesh that stands for a solid, facing outwards: ``points`` (n, 3) float64 mm, ``triangles`` (m, 3) int32.

    Every corner is one point, shared by all triangles that meet there.

    >>> points = np.array([[0, 0, 0], [6, 0, 0], [0, 1, 0], [0, 0, 1]], float)
    >>> wedge = MeshSolid(points, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]], np.int32))
    >>> wedge.volume_mm3
    1.0
    """

    points: Floats
    triangles: Triangles
    remarks: tuple[str, ...] = ()
    """What its owner has to know of how it was read: what was mended, how fine it is."""

    @cached_property
    def volume_mm3(self) -> float:
        """Volume that it encloses, mm3."""
        return enclosed_mm3(self.points, self.triangles)

    @cached_property
    def digest(self) -> bytes:
        """Hash of points and triangles."""
        h = hashlib.sha256((self.points + 0.0).tobytes())
        h.update(self.triangles.astype(np.int32).tobytes())
        return h.digest()

    def moved(self, place: Place) -> MeshSolid:
        """Return it carried by ``place``."""
        return replace(self, points=place.points(self.points))


@dataclass(frozen=True, eq=False)
class AbsentSolid:
    """Stands for a solid that is not at hand, where its volume is all that anybody asks: equal parts share one."""

    volume_mm3: float


Solid: TypeAlias = Union["cq.Shape", MeshSolid]


def enclosed_mm3(points: Floats, triangles: NDArray[np.integer]) -> float:
    """Return the volume that a closed surface encloses, mm3; below 0 where it is inside out.

    Sum of the tetrahedra from one corner to every triangle.
    """
    a, b, c = (points[triangles[:, k]] - points[0] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def volume_mm3(solid: Solid) -> float:
    """Return the volume of ``solid``, mm3."""
    return solid.volume_mm3 if isinstance(solid, (MeshSolid, AbsentSolid)) else float(solid.Volume())


def box_mm(solid: Solid) -> tuple[Floats, Floats]:
    """Return lower and upper corner of the box round ``solid``, (3,) float64 each, mm.

    It is that of the surfaces themselves: the CAD kernel's usual box is that of the triangles, and looser, from the
    moment that anybody has the solid meshed.
    """
    if isinstance(solid, MeshSolid):
        return solid.points.min(axis=0), solid.points.max(axis=0)
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return np.array([low.X(), low.Y(), low.Z()]), np.array([high.X(), high.Y(), high.Z()])


def moved(solid: Solid, place: Place) -> Solid:
    """Return ``solid`` carried by ``place``."""
    return solid.moved(place) if isinstance(solid, MeshSolid) else solid.moved(place.location())
