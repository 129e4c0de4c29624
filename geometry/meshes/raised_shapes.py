"""Thin rings with their cone or their waves drawn higher or lower, as thick as before: disc springs, wave springs.

What a thin ring is: a surface as high as a low harmonic of the angle with a slope along the radius, and half the
thickness on either side of it. The surface is fitted to the mesh's corners by least squares.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..frame import Floats
from .tessellation import Mesh

HARMONICS = 12
"""Most waves round a ring."""
THIN = 0.2
"""A ring is thin where it is no thicker than this share of its reach."""
MISFIT = 0.2
"""How far corners may lie off the fitted faces, as a share of the thickness."""
LEAST_RISE = 0.02
"""A ring whose middle surface rises less than this share of its thickness is flat."""
_STEP = 1e-4


@dataclass(frozen=True, eq=False)
class MiddleSurface:
    """The surface half way through a thin ring: its height over the plane of the ring, and the ring's thickness."""

    weights: Floats
    reach_mm: float
    thickness_mm: float
    rise_mm: float
    """From its lowest point to its highest."""
    breadth_mm: float
    """From its inner edge to its outer one."""

    def height(self, points: Floats) -> Floats:
        """Return the height under or over ``points`` (n, 3), (n,) mm, nought on the average."""
        heights: Floats = _terms(points, self.reach_mm) @ self.weights
        return heights

    def slope(self, points: Floats) -> Floats:
        """Return how steeply it rises along X and Y at ``points`` (n, 3), (n, 2)."""
        step = _STEP * self.reach_mm
        sides = [np.array([step, 0.0, 0.0]), np.array([0.0, step, 0.0])]
        rises = [(self.height(points + s) - self.height(points - s)) / (2 * step) for s in sides]
        return np.stack(rises, axis=1)


def middle_surface(mesh: Mesh) -> MiddleSurface | None:
    """Return the middle surface of a thin ring about Z; None of what is none, or flat."""
    reach = float(np.hypot(mesh.points[:, 0], mesh.points[:, 1]).max())
    faces = np.abs(mesh.normals[:, 2]) > 0.5
    points, up = mesh.points[faces], np.sign(mesh.normals[faces, 2])
    if len(points) < 8 or not (up > 0).any() or not (up < 0).any():
        return None
    rows = np.column_stack([_terms(points, reach), up])
    found = np.linalg.lstsq(rows, points[:, 2], rcond=None)[0]
    thickness = 2.0 * float(found[-1])
    off = float(np.abs(rows @ found - points[:, 2]).max())
    if thickness <= 0 or thickness > THIN * reach or off > MISFIT * thickness:
        return None
    weights = found[:-1]
    heights = _terms(mesh.points, reach) @ weights
    weights = weights.copy()
    weights[0] -= (heights.max() + heights.min()) / 2
    rise = float(np.ptp(heights))
    if rise <= LEAST_RISE * thickness:
        return None
    breadth = reach - float(np.hypot(mesh.points[:, 0], mesh.points[:, 1]).min())
    return MiddleSurface(weights, reach, thickness, rise, breadth)


def _terms(points: Floats, reach: float) -> Floats:
    x, y = points[:, 0], points[:, 1]
    angle, r = np.arctan2(y, x), np.hypot(x, y) / reach
    waves = [f(k * angle) for k in range(1, HARMONICS + 1) for f in (np.cos, np.sin)]
    return np.stack([np.ones_like(r), r, *waves], axis=1)


def raised(mesh: Mesh, surface: MiddleSurface, factor: float) -> Mesh:
    """Return ``mesh`` with its middle surface ``factor`` times as high, its thickness along Z as before."""
    more = factor - 1.0

    def lifted(points: Floats) -> Floats:
        moved = points.copy()
        moved[:, 2] += more * surface.height(points)
        return moved

    def turned(points: Floats, normals: Floats) -> Floats:
        new = normals.copy()
        new[:, :2] -= normals[:, 2:] * more * surface.slope(points)
        new /= np.maximum(np.linalg.norm(new, axis=1, keepdims=True), 1e-12)
        return new

    return replace(
        mesh,
        points=lifted(mesh.points),
        normals=turned(mesh.points, mesh.normals),
        joined_points=lifted(mesh.joined_points),
        edges=tuple(lifted(e) for e in mesh.edges),
        edge_normals=tuple(
            np.stack([turned(e, n[:, k]) for k in (0, 1)], axis=1)
            for e, n in zip(mesh.edges, mesh.edge_normals, strict=True)
        ),
        smooth_edges=tuple(lifted(e) for e in mesh.smooth_edges),
    )
