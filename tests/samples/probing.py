"""Measure solids as with a probe: where metal begins and ends along a line."""

from __future__ import annotations

import itertools

import cadquery as cq
import numpy as np
from benchleaf.geometry.frame import Vec3, unit
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Dir, gp_Lin, gp_Pnt
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.TopAbs import TopAbs_State

WITHIN_MM = 1e-6
"""How finely a surface is found."""


class Probe:
    """Tells of points whether they lie in a solid, and finds its surface along lines."""

    def __init__(self, solid: cq.Solid) -> None:
        self._solid = solid
        self._classifier = BRepClass3d_SolidClassifier(solid.wrapped)

    def metal(self, point: Vec3) -> bool:
        """Return whether ``point`` lies in the metal."""
        self._classifier.Perform(gp_Pnt(*point), 1e-9)
        return bool(self._classifier.State() == TopAbs_State.TopAbs_IN)

    def surface(self, start: Vec3, direction: Vec3, reach: float) -> float:
        """Return how far from ``start`` the metal first begins or ends, mm, up to ``reach``.

        Where the line meets faces is asked of the kernel, between which of them there is metal of its classifier.

        Raises:
            ValueError: if there is no such place.
        """
        along, origin = np.array(unit(direction)), np.array(start, dtype=float)

        def metal(distance: float) -> bool:
            x, y, z = (origin + distance * along).tolist()
            return self.metal((x, y, z))

        first = metal(0.0)
        met = [d for d in crossings(self._solid, start, direction) if d < reach]
        for at, beyond in itertools.pairwise([*met, reach]):
            if metal((at + beyond) / 2) != first:
                return at
        raise ValueError(f"no surface within {reach:g} mm of {start} along {direction}")

    def radius(self, z: float, reach: float, start: float = 0.0, angle_deg: float = 0.0) -> float:
        """Return the radius of the first surface about Z at height ``z``, beyond the radius ``start``."""
        a = np.radians(angle_deg)
        out: Vec3 = (float(np.cos(a)), float(np.sin(a)), 0.0)
        return start + self.surface((start * out[0], start * out[1], z), out, reach - start)


def crossings(solid: cq.Solid, start: Vec3, direction: Vec3) -> list[float]:
    """Return how far from ``start`` a line enters and leaves the metal, mm, in order; quick on swept surfaces too."""
    finder = IntCurvesFace_ShapeIntersector()
    finder.Load(solid.wrapped, WITHIN_MM)
    finder.Perform(gp_Lin(gp_Pnt(*start), gp_Dir(*unit(direction))), 0.0, 1e6)
    return sorted(finder.WParameter(k) for k in range(1, finder.NbPnt() + 1))
