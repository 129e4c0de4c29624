"""The rotors' own outlines through a whole turn: in mesh with each other, and past the bores and bosses of the body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..frame import Floats
from .pair_turn import PairTurn, turn_pair
from .rotor_profiles import MESH_TOLERANCE, Profile


@dataclass(frozen=True)
class MeshFault:
    """How a pair misses its nominal running gap in mesh."""

    text: str
    gap_mm: float
    at_deg: float


@dataclass(frozen=True)
class BodyTurn:
    """Gaps of a rotor to the body; the same at every angle, since bores and bosses are round about the axes."""

    bore_gap_mm: float
    own_boss_gap_mm: float | None
    """Wing's inner radius to the boss that it passes over; None without bosses."""
    other_boss_gap_mm: float | None
    """Tip circle to the boss about the other shaft."""

    @property
    def smallest_gap_mm(self) -> float:
        """The least of these gaps."""
        return min(
            g for g in (self.bore_gap_mm, self.own_boss_gap_mm, self.other_boss_gap_mm) if g is not None
        )


def turn_profile(
    profile: Profile, out_of_phase_deg: float = 0.0, resolution_mm: float | None = None
) -> PairTurn:
    """Return what the pair does through a turn; ``out_of_phase_deg`` turns the driven rotor on its shaft.

    ``resolution_mm`` is how far the gap may lie from the values at the ends of a step, a tenth of the running gap
    where it is not given.

    >>> from benchleaf.geometry.profiles.rotor_profiles import make_profile
    >>> turn_profile(make_profile("two-wing", 100.0, 71.0, 0.1)).clear
    True
    """
    points = profile.points
    return turn_pair(
        points,
        points,
        profile.centre_mm,
        profile.phase_deg + out_of_phase_deg,
        resolution_mm or profile.gap_mm / 10,
        profile.chord_mm,
    )


def check_mesh(turn: PairTurn, gap_mm: float, tolerance: float = MESH_TOLERANCE) -> list[MeshFault]:
    """Return how the pair misses its nominal gap in mesh by more than ``tolerance`` of it; empty where it does not.

    Less than the gap: the rotors touch or nearly so. More: the pair is merely thin and leaks.
    """
    faults: list[MeshFault] = []
    slack = turn.smallest_gap_mm - turn.proven_least_mm
    if turn.smallest_gap_mm <= 0:
        text = f"the rotors collide at {turn.smallest_at_deg:.2f} degrees"
        faults.append(MeshFault(text, 0.0, turn.smallest_at_deg))
    elif turn.smallest_gap_mm < gap_mm * (1 - tolerance) - slack:
        text = (
            f"the rotors come as near as {turn.smallest_gap_mm:.3f} mm at {turn.smallest_at_deg:.2f} degrees, "
            f"nominal {gap_mm:.3f} mm, allowed {gap_mm * (1 - tolerance):.3f} mm"
        )
        faults.append(MeshFault(text, turn.smallest_gap_mm, turn.smallest_at_deg))
    if turn.largest_gap_mm > gap_mm * (1 + tolerance) + slack:
        text = (
            f"the mesh opens to {turn.largest_gap_mm:.3f} mm at {turn.largest_at_deg:.2f} degrees, "
            f"nominal {gap_mm:.3f} mm, allowed {gap_mm * (1 + tolerance):.3f} mm: the rotors are too thin to seal"
        )
        faults.append(MeshFault(text, turn.largest_gap_mm, turn.largest_at_deg))
    return faults


def turn_body(profile: Profile, bore_radius_mm: float, boss_radius_mm: float | None = None) -> BodyTurn:
    """Return the rotor's gaps to the bores and, for two wings, to the bosses about both shafts."""
    tip = float(_radius(profile.points))
    if boss_radius_mm is None:
        return BodyTurn(bore_radius_mm - tip, None, None)
    inner = min(float(_segment_distance(w).min()) for w in profile.wing_points)
    return BodyTurn(bore_radius_mm - tip, inner - boss_radius_mm, profile.centre_mm - tip - boss_radius_mm)


def _radius(points: Floats) -> float:
    return float(np.hypot(points[:, 0], points[:, 1]).max())


def _segment_distance(points: Floats) -> Floats:
    """Return the distance of each side of a closed polygon (n, 2) from the origin, (n,)."""
    a, b = points, np.roll(points, -1, axis=0)
    ab = b - a
    t = np.clip(-(a * ab).sum(axis=1) / np.maximum((ab * ab).sum(axis=1), 1e-30), 0, 1)
    nearest = a + t[:, None] * ab
    return np.asarray(np.hypot(nearest[:, 0], nearest[:, 1]))
