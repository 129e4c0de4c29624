"""Rotor pairs of every form for tests of their turn, and the gap at one angle by another method."""

from __future__ import annotations

import numpy as np
import shapely
from benchleaf.geometry.profiles.outlines import turn
from benchleaf.geometry.profiles.rotor_profiles import (
    arc_lobes,
    cycloidal_lobes,
    make_profile,
    two_wing,
    wing_half_angle_limits,
)

C, GAP = 80.0, 0.08


PAIRS = {
    "wing": make_profile("two-wing", C, 0.71 * C, GAP),
    "wing, widest": two_wing(C, 0.71 * C, GAP, wing_half_angle_limits(C, 0.71 * C, GAP)[1]),
    "cycloid 2": cycloidal_lobes(C, 2, GAP),
    "cycloid 3": cycloidal_lobes(C, 3, GAP),
    "arc 2": arc_lobes(C, 2, 0.76 * C, GAP),
    "arc 3": arc_lobes(C, 3, 0.68 * C, GAP),
}


def gap_at(drive: np.ndarray, driven: np.ndarray, centre: float, phase_deg: float, angle_deg: float) -> float:
    """The gap at one angle, by the library's own distance of two polygons."""
    axis = np.array([centre / 2, 0.0])
    a = shapely.Polygon(turn(drive, angle_deg) - axis)
    b = shapely.Polygon(turn(driven, phase_deg - angle_deg) + axis)
    return float(a.distance(b))
