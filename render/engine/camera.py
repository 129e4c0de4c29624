"""Views and cameras: parallel projection, the reader's up stays up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...geometry.frame import Floats, Vec3, unit


@dataclass(frozen=True)
class View:
    """A direction of view with a name for people; ``direction`` points from the parts to the eye."""

    name: str
    direction: Vec3
    up: Vec3

    @cached_property
    def axes(self) -> Floats:
        """Right, up and towards-the-eye as rows of a (3, 3) float64 array."""
        eye = np.array(unit(self.direction))
        right = np.cross(np.array(self.up), eye)
        right /= np.linalg.norm(right)
        return np.stack([right, np.cross(eye, right), eye])


def make_view(name: str, side_deg: float, above_deg: float, front: Vec3, up: Vec3) -> View:
    """Return the view ``side_deg`` to the right of ``front`` (as the reader sees it) and ``above_deg`` above it."""
    f, u = np.array(unit(front)), np.array(unit(up))
    right = np.cross(u, f)
    a, b = math.radians(side_deg), math.radians(above_deg)
    d = math.cos(b) * (math.cos(a) * f + math.sin(a) * right) + math.sin(b) * u
    return View(name, (float(d[0]), float(d[1]), float(d[2])), up)


def sensible_views(front: Vec3, up: Vec3) -> tuple[View, ...]:
    """Return the views a reader finds natural, the most natural first; the last ones look from behind."""
    table = (
        ("front right, from above", 48.0, 24.0),
        ("front left, from above", -48.0, 24.0),
        ("front right, from high above", 42.0, 42.0),
        ("front left, from high above", -42.0, 42.0),
        ("right, from above", 68.0, 24.0),
        ("left, from above", -68.0, 24.0),
        ("front, from above", 20.0, 20.0),
        ("front right, from below", 48.0, -24.0),
        ("rear right, from above", 132.0, 24.0),
        ("rear left, from above", -132.0, 24.0),
        ("rear, from above", 160.0, 20.0),
    )
    return tuple(make_view(name, side, above, front, up) for name, side, above in table)


def bench_views(up: Vec3, right: Vec3) -> tuple[View, ...]:
    """Return the views of what lies on a bench with ``up`` up and ``right`` to the right, the most natural first."""
    front = np.cross(np.array(right), np.array(up))
    table = (
        ("bench, right, from above", 40.0, 36.0),
        ("bench, left, from above", -40.0, 36.0),
        ("bench, right, from high above", 40.0, 52.0),
        ("bench, left, from high above", -40.0, 52.0),
        ("bench, front, from above", 15.0, 40.0),
        ("bench, rear right, from above", 140.0, 36.0),
        ("bench, rear left, from above", -140.0, 36.0),
    )
    towards = (float(front[0]), float(front[1]), float(front[2]))
    return tuple(make_view(name, side, above, towards, up) for name, side, above in table)


@dataclass(frozen=True)
class Camera:
    """A view with its frame: ``centre`` in the head's frame, ``height_mm`` from foot to top of the picture."""

    view: View
    centre: Vec3
    height_mm: float
    aspect: float
    """Width over height."""

    @property
    def width_mm(self) -> float:
        """Width of the frame, mm."""
        return self.height_mm * self.aspect

    def project(self, points: Floats) -> Floats:
        """Return points (n, 3) mm as (n, 3): x and y as fractions of the picture (y down), nearness in mm."""
        p = (np.atleast_2d(points) - np.array(self.centre)) @ self.view.axes.T
        return np.column_stack([0.5 + p[:, 0] / self.width_mm, 0.5 - p[:, 1] / self.height_mm, p[:, 2]])

    def part(self, left: float, top: float, right: float, foot: float) -> Camera:
        """Return the camera of a part of this picture, its borders as fractions."""
        x = ((left + right) / 2 - 0.5) * self.width_mm
        y = (0.5 - (top + foot) / 2) * self.height_mm
        axes = self.view.axes
        c = np.array(self.centre) + x * axes[0] + y * axes[1]
        height = (foot - top) * self.height_mm
        return Camera(
            self.view,
            (float(c[0]), float(c[1]), float(c[2])),
            height,
            (right - left) * self.width_mm / height,
        )


def fit_camera(view: View, points: Floats, aspect: float, margin: float = 0.06) -> Camera:
    """Return the camera that just holds ``points`` (n, 3) mm with ``margin`` (fraction) on every side."""
    axes = view.axes
    p = points @ axes.T
    low, high = p.min(axis=0), p.max(axis=0)
    span = np.maximum(high - low, 1e-6)
    height = max(span[1], span[0] / aspect) / (1.0 - 2.0 * margin)
    c = axes.T @ ((low + high) / 2)
    return Camera(view, (float(c[0]), float(c[1]), float(c[2])), float(height), aspect)
