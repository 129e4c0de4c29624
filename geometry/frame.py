"""Rigid transforms in the head's frame: millimetres, right-handed, Z along the shafts towards the cover.

X points from the drive shaft to the driven shaft and Y up. The origin lies on the front face of the gear case,
half-way between the shafts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import cadquery as cq

Vec3 = tuple[float, float, float]
Floats = NDArray[np.float64]

X: Vec3 = (1.0, 0.0, 0.0)
Y: Vec3 = (0.0, 1.0, 0.0)
Z: Vec3 = (0.0, 0.0, 1.0)


def unit(vector: Vec3) -> Vec3:
    """Return ``vector`` at length 1.

    Raises:
        ValueError: if the vector has no length.

    >>> unit((0.0, 0.0, -4.0))
    (0.0, 0.0, -1.0)
    """
    length = math.sqrt(sum(c * c for c in vector))
    if length < 1e-12:
        raise ValueError(f"a direction needs a length, got {vector}")
    return (vector[0] / length + 0.0, vector[1] / length + 0.0, vector[2] / length + 0.0)


@dataclass(frozen=True)
class Place:
    """A rigid transform: first the rotation, then the shift.

    ``rotation`` is a row-major 3 x 3 proper rotation, ``shift`` is in mm.

    >>> Place.at(0, 0, 5).point((1.0, 2.0, 3.0))
    (1.0, 2.0, 8.0)
    """

    rotation: tuple[Vec3, Vec3, Vec3] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    shift: Vec3 = (0.0, 0.0, 0.0)

    @classmethod
    def at(cls, x: float, y: float, z: float) -> Place:
        """Return a pure shift by (x, y, z) mm."""
        return cls(shift=(float(x), float(y), float(z)))

    @classmethod
    def turn(cls, angle_deg: float, axis: Vec3 = Z, about: Vec3 = (0.0, 0.0, 0.0)) -> Place:
        """Return a right-handed turn by ``angle_deg`` about the line through ``about`` along ``axis``."""
        ax = np.array(unit(axis))
        k = np.array([[0, -ax[2], ax[1]], [ax[2], 0, -ax[0]], [-ax[1], ax[0], 0]])
        a = math.radians(angle_deg)
        r = np.eye(3) + math.sin(a) * k + (1 - math.cos(a)) * (k @ k)
        c = np.array(about, dtype=float)
        return cls.from_matrix(np.block([[r, (c - r @ c)[:, None]], [np.zeros((1, 3)), np.ones((1, 1))]]))

    @classmethod
    def from_matrix(cls, matrix: Floats) -> Place:
        """Return the place of a (4, 4) float64 homogeneous matrix."""
        rows = [(float(r[0]), float(r[1]), float(r[2])) for r in matrix[:3, :3]]
        s = matrix[:3, 3]
        return cls((rows[0], rows[1], rows[2]), (float(s[0]), float(s[1]), float(s[2])))

    def matrix(self) -> Floats:
        """Return the (4, 4) float64 homogeneous matrix."""
        m = np.eye(4)
        m[:3, :3] = self.rotation
        m[:3, 3] = self.shift
        return m

    def __matmul__(self, other: Place) -> Place:
        """Return the place that applies ``other`` first, then ``self``."""
        return Place.from_matrix(self.matrix() @ other.matrix())

    def inverse(self) -> Place:
        """Return the place that undoes this one."""
        r = np.array(self.rotation).T
        m = np.eye(4)
        m[:3, :3] = r
        m[:3, 3] = -r @ np.array(self.shift)
        return Place.from_matrix(m)

    def point(self, p: Vec3) -> Vec3:
        """Return the point ``p`` (mm) carried by this place."""
        q = np.array(self.rotation) @ np.array(p) + np.array(self.shift)
        return (float(q[0]), float(q[1]), float(q[2]))

    def points(self, p: Floats) -> Floats:
        """Return points (n, 3) float64 (mm) carried by this place."""
        carried: Floats = p @ np.array(self.rotation).T + np.array(self.shift)
        return carried

    def direction(self, d: Vec3) -> Vec3:
        """Return the direction ``d`` turned by this place (no shift)."""
        q = np.array(self.rotation) @ np.array(d)
        return (float(q[0]), float(q[1]), float(q[2]))

    def moved(self, x: float, y: float, z: float) -> Place:
        """Return this place shifted further by (x, y, z) mm in the head's frame."""
        s = self.shift
        return Place(self.rotation, (s[0] + x, s[1] + y, s[2] + z))

    def location(self) -> cq.Location:
        """Return the same transform for the CAD kernel."""
        import cadquery as cq
        from OCP.gp import gp_Trsf

        m = self.matrix()
        t = gp_Trsf()
        t.SetValues(*[float(v) for v in m[:3, :].ravel()])
        return cq.Location(t)
