"""Plane outlines made of smooth pieces: lines, arcs and splines, for the CAD kernel and as dense points.

Complex numbers stand for points (x + iy, mm). An outline is a chain of pieces, counter-clockwise, each starting where
the last one ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from ..frame import Floats

if TYPE_CHECKING:
    import cadquery as cq

Complexes = NDArray[np.complex128]
Curve = Callable[[Floats], Complexes]

SPLINE_ERROR_MM = 0.0005
"""How far the interpolated spline of a piece may run from the true curve."""


@dataclass(frozen=True, eq=False)
class Piece:
    """One smooth stretch of an outline.

    ``points`` (n, 2) float64 mm: start and end of a line; start, middle and end of an arc; the points to interpolate
    on a spline, with unit ``tangents`` (2, 2) at its ends. ``dense`` (m, 2) lies on the curve, its chords at most
    the outline's chord error off.
    """

    kind: Literal["line", "arc", "spline"]
    points: Floats
    dense: Floats
    tangents: Floats | None = None

    def edge(self) -> cq.Edge:
        """Return the piece as an edge of the CAD kernel, in the plane z = 0."""
        import cadquery as cq

        points = [cq.Vector(float(x), float(y)) for x, y in self.points]
        if self.kind == "line":
            return cq.Edge.makeLine(points[0], points[1])
        if self.kind == "arc":
            return cq.Edge.makeThreePointArc(points[0], points[1], points[2])
        assert self.tangents is not None
        ends = [cq.Vector(float(x), float(y)) for x, y in self.tangents]
        return cq.Edge.makeSpline(points, tangents=ends, scale=False)

    def turned(self, angle_deg: float) -> Piece:
        """Return the piece turned about the origin."""
        t = None if self.tangents is None else turn(self.tangents, angle_deg)
        return Piece(self.kind, turn(self.points, angle_deg), turn(self.dense, angle_deg), t)


def turn(points: Floats, angle_deg: float) -> Floats:
    """Return ``points`` (n, 2) turned about the origin, counter-clockwise.

    >>> turn(np.array([[1.0, 0.0]]), 90.0).round(9).tolist()
    [[0.0, 1.0]]
    """
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned: Floats = points @ np.array([[c, s], [-s, c]])
    return turned


def wire_of(pieces: tuple[Piece, ...]) -> cq.Wire:
    """Return the closed wire of a chain of pieces, in the plane z = 0."""
    import cadquery as cq

    return cq.Wire.assembleEdges([p.edge() for p in pieces])


def joined_pieces(pieces: tuple[Piece, ...]) -> Floats:
    """Return the closed polygon (n, 2) of a chain of pieces, without its last point repeated."""
    return np.concatenate([p.dense[:-1] for p in pieces])


def area(points: Floats) -> float:
    """Return the area of a closed polygon (n, 2), positive counter-clockwise."""
    x, y = points[:, 0], points[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def points_of(z: Complexes | Floats) -> Floats:
    """Return complex points (n,) as (n, 2) float64."""
    return np.column_stack([z.real, z.imag])


def line(a: complex, b: complex) -> Piece:
    """Return the straight piece from ``a`` to ``b``."""
    points = points_of(np.array([a, b]))
    return Piece("line", points, points)


def arc(radius: float, start: float, stop: float, chord: float, centre_x: float = 0.0) -> Piece:
    """Return the arc between two angles (radians) about (centre_x, 0), counter-clockwise where stop > start."""
    step = 2 * math.acos(1 - min(chord / radius, 0.5))
    count = 2 * max(1, math.ceil(abs(stop - start) / step / 2)) + 1  # odd: the middle is a point
    dense = centre_x + radius * np.exp(1j * np.linspace(start, stop, count))
    three = centre_x + radius * np.exp(1j * np.array([start, (start + stop) / 2, stop]))
    return Piece("arc", points_of(three), points_of(dense))


def spline(
    curve: Curve, start: float, stop: float, chord: float, tangents: tuple[complex, complex] | None = None
) -> Piece:
    """Return a spline piece; ``curve`` maps parameters (n,) to complex points.

    A chord ds on a curve of curvature k is off by k ds^2 / 8: dense points are spread so that this is at most
    ``chord``. The points to interpolate are halved where the spline through them runs off, until it does not.
    """
    t = np.linspace(start, stop, 2049)
    z = curve(t)
    step = np.diff(z)
    length = np.abs(step)
    bend = np.abs(np.angle(step[1:] / step[:-1]))
    bend = np.concatenate([bend[:1], np.maximum(bend[1:], bend[:-1]), bend[-1:]])
    need = np.sqrt(bend * length / (8 * chord)) + 1e-3 * length / length.sum()
    fine = start + (stop - start) / 2048 * _spread(need, 2 * math.ceil(0.6 * float(need.sum())) + 17)
    first, last = tangents or (complex(step[0]), complex(step[-1]))
    ends = np.array([first / abs(first), last / abs(last)])
    knots = np.arange(0, 2049, 128)
    for _ in range(7):
        off = _spline_error(z, knots, ends)
        wide = np.flatnonzero((off > SPLINE_ERROR_MM / 2) & (np.diff(knots) > 1))
        if not wide.size:
            break
        knots = np.sort(np.concatenate([knots, (knots[wide] + knots[wide + 1]) // 2]))
    return Piece("spline", points_of(z[knots]), points_of(curve(fine)), points_of(ends))


def _spline_error(z: Complexes, knots: NDArray[np.int64], ends: Complexes) -> Floats:
    """Return for each span of the clamped cubic spline through ``z[knots]`` how far it runs off ``z``, across it.

    The spline is the CAD kernel's: twice smooth, its parameter the chord length, unit end tangents.
    """
    p = z[knots]
    h = np.abs(np.diff(p))
    slope = np.diff(p) / h
    n = len(p)
    rows = np.eye(n, dtype=np.complex128)
    right = np.concatenate([ends[:1], 3 * (h[1:] * slope[:-1] + h[:-1] * slope[1:]), ends[1:]])
    inner = np.arange(1, n - 1)
    rows[inner, inner - 1], rows[inner, inner], rows[inner, inner + 1] = h[1:], 2 * (h[:-1] + h[1:]), h[:-1]
    m = np.linalg.solve(rows, right)
    run = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(z)))])
    span = np.clip(np.searchsorted(knots, np.arange(len(z)), side="right") - 1, 0, n - 2)
    u = (run - run[knots[span]]) / (run[knots[span + 1]] - run[knots[span]])
    v = 1 - u
    k = h[span]
    s = (
        p[span] * v * v * (1 + 2 * u)
        + p[span + 1] * u * u * (3 - 2 * u)
        + k * (m[span] * u * v * v - m[span + 1] * u * u * v)
    )
    way = np.gradient(z)
    off = np.abs(((s - z) * np.conj(way / np.abs(way))).imag)
    worst = np.zeros(n - 1)
    np.maximum.at(worst, span, off)
    return worst


def backward(piece: Piece) -> Piece:
    """Return the piece run from its end to its start."""
    t = None if piece.tangents is None else -piece.tangents[::-1]
    return Piece(piece.kind, piece.points[::-1], piece.dense[::-1], t)


def mirrored(piece: Piece) -> Piece:
    """Return the piece mirrored at the X axis, run the other way, so that the outline stays counter-clockwise."""
    flip = np.array([1.0, -1.0])
    t = None if piece.tangents is None else piece.tangents * flip
    return backward(Piece(piece.kind, piece.points * flip, piece.dense * flip, t))


def _spread(share: Floats, count: int) -> Floats:
    """Return ``count`` positions (float, 0 to the number of shares) that each take the same part of ``share`` (n,)."""
    taken = np.concatenate([[0.0], np.cumsum(share)])
    return np.interp(np.linspace(0.0, taken[-1], count), taken, np.arange(len(taken), dtype=np.float64))
