"""Limits of rotor outlines: which figures give a pair that turns, and by which limit the others fail. Closed forms."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..bisection import turning_point
from .options import RotorForm

MESH_TOLERANCE = 0.25
"""Share of the nominal running gap by which the mesh gap may grow through a turn; beyond it the pair is too thin."""
LEAST_ROOT_SPEED = 0.02
"""How near the arc form may come to undercutting: least speed of the root curve, over C and radian of turn."""
TIP_RANGE: dict[RotorForm, tuple[float, float]] = {
    "two-wing": (0.66, 0.76),
    "two-lobe": (0.70, 0.82),
    "three-lobe": (0.63, 0.73),
}
"""Tip radius over C within which the forms are tested; lobes also end where they undercut."""


@dataclass(frozen=True)
class ProfileFault:
    """One figure that gives no rotor that turns: with the limit it breaks."""

    field: str
    found: str
    allowed: str
    fix: str
    limit: float


class ProfileError(ValueError):
    """Rotors that cannot turn; ``faults`` lists every limit they break."""

    def __init__(self, faults: list[ProfileFault]) -> None:
        self.faults = faults
        super().__init__(
            "; ".join(f"{f.field}: found {f.found}, allowed {f.allowed}; {f.fix}" for f in faults)
        )

    def __reduce__(self) -> tuple[type[ProfileError], tuple[list[ProfileFault]]]:
        """Let it come back whole from another process."""
        return ProfileError, (self.faults,)


def phase_deg(form: RotorForm) -> float:
    """Return how far the driven rotor's outline is turned against the drive rotor's."""
    return 60.0 if form == "three-lobe" else 90.0


def wing_half_angle_limits(centre_mm: float, tip_radius_mm: float, gap_mm: float) -> tuple[float, float]:
    """Return the least and greatest half angle (degrees) of a wing at its tip.

    Greatest: two wing corners that pass each other come as near as C sin(45 deg - h), which must be the running gap
    or more: h = 45 deg - asin(gap / C). Least: between the moment when one wing's tip leaves the other hub and the
    next tip arrives, the corner's distance to the hub grows to sqrt(C^2 - 2 C r cos(45 deg - h) + r^2) - boss; it may
    exceed the gap by :data:`MESH_TOLERANCE` of it, or the pair is too thin to seal in mesh. Both follow from plane
    trigonometry and are checked against the turning pair.
    """
    greatest = 45.0 - math.degrees(math.asin(gap_mm / centre_mm))
    return _half_angle_for_mesh(centre_mm, tip_radius_mm, gap_mm, MESH_TOLERANCE), greatest


def default_wing_half_angle(centre_mm: float, tip_radius_mm: float, gap_mm: float) -> float:
    """Return the half angle (degrees) whose mesh gap grows by half of what is allowed; the rest is side relief.

    A side that follows the other corner at the bare gap would lock liquid in; relief lets it out.
    """
    least, greatest = wing_half_angle_limits(centre_mm, tip_radius_mm, gap_mm)
    return max(
        least, min(_half_angle_for_mesh(centre_mm, tip_radius_mm, gap_mm, MESH_TOLERANCE / 2), greatest)
    )


def _half_angle_for_mesh(c: float, r: float, gap: float, share: float) -> float:
    reach = c - r + share * gap
    return 45.0 - math.degrees(math.acos(min(1.0, (c * c + r * r - reach * reach) / (2 * c * r))))


def cycloidal_tip_radius(centre_mm: float, lobes: int, gap_mm: float) -> float:
    """Return the one tip radius of the cycloidal form: R (1 + 1/N) less half the running gap.

    >>> cycloidal_tip_radius(100.0, 2, 0.1)
    74.95
    """
    return centre_mm / 2 * (1 + 1 / lobes) - gap_mm / 2


def arc_tip_limit(centre_mm: float, lobes: int, gap_mm: float) -> float:
    """Return the greatest tip radius (mm) of the arc form: beyond it the conjugate root undercuts itself.

    Found by bisection on the sign of the root curve's speed along its tangent.
    """
    low, high = centre_mm / 2 * (1 + 0.5 / lobes), centre_mm / 2 * (1 + 1.9 / lobes)

    def undercuts(tip_radius_mm: float) -> bool:
        return arc_root_speed(centre_mm, lobes, gap_mm, tip_radius_mm) <= LEAST_ROOT_SPEED

    return turning_point(undercuts, low, high, 1e-12 * centre_mm)[0]


def profile_faults(
    form: RotorForm, centre_mm: float, tip_radius_mm: float, gap_mm: float, wing_half_angle_deg: float = 0.0
) -> list[ProfileFault]:
    """Return every limit that these rotors break, empty where the pair turns; closed forms only.

    >>> profile_faults("two-wing", 100.0, 71.0, 0.1, 47.0)[0].allowed
    '44.19 to 44.94 degrees'
    """
    faults: list[ProfileFault] = []
    c = centre_mm
    if not 0.0002 * c <= gap_mm <= 0.008 * c:
        limit = 0.0002 * c if gap_mm < 0.0002 * c else 0.008 * c
        allowed = f"{0.0002 * c:.3f} to {0.008 * c:.3f} mm (0.0002 to 0.008 C)"
        faults.append(
            ProfileFault("running_gap_mm", f"{gap_mm:g} mm", allowed, "check the gap and its unit", limit)
        )
        return faults
    least, most = (f * c for f in TIP_RANGE[form])
    if form != "two-wing":
        most = min(most, arc_tip_limit(c, lobe_count(form), gap_mm))
    if not least <= tip_radius_mm <= most:
        why = (
            "the wings lose their neck or their seal"
            if form == "two-wing"
            else "the lobes undercut or do not seal"
        )
        faults.append(tip_fault(c, tip_radius_mm, least, most, why))
    elif form == "two-wing" and wing_half_angle_deg:
        low, high = wing_half_angle_limits(c, tip_radius_mm, gap_mm)
        if not low - 1e-9 <= wing_half_angle_deg <= high + 1e-9:
            wide = wing_half_angle_deg > high
            fix = (
                "the wings collide in mesh: make them narrower"
                if wide
                else "the pair leaks in mesh: make the wings wider"
            )
            allowed = f"{math.ceil(low * 100) / 100:.2f} to {math.floor(high * 100) / 100:.2f} degrees"
            found = f"{wing_half_angle_deg:g} degrees"
            faults.append(ProfileFault("wing_half_angle_deg", found, allowed, fix, high if wide else low))
    return faults


def lobe_count(form: RotorForm) -> int:
    return 3 if form == "three-lobe" else 2


def gap_fault(gap_mm: float, limit: float) -> ProfileFault:
    fix = "the set-back flank undercuts at the pitch point: lessen the gap"
    return ProfileFault("running_gap_mm", f"{gap_mm:g} mm", f"up to {limit:.3f} mm", fix, limit)


def tip_fault(c: float, tip_radius_mm: float, least: float, most: float, why: str) -> ProfileFault:
    allowed = f"{2 * least:.2f} to {2 * most:.2f} mm for a centre distance of {c:g} mm, beyond that {why}"
    limit = 2 * (least if tip_radius_mm < least else most)
    return ProfileFault(
        "rotor_diameter_mm", f"{2 * tip_radius_mm:g} mm", allowed, "check both measurements", limit
    )


def arc_centre(c: float, n: int, full_tip: float) -> tuple[float, float]:
    """Return where the tip's arc has its centre and its radius, before the gap is taken off."""
    r = c / 2
    e = (full_tip**2 - r**2) / (2 * (full_tip - r * math.cos(math.pi / (2 * n))))
    return e, full_tip - e


def arc_root_speed(c: float, n: int, gap_mm: float, tip_radius_mm: float) -> float:
    """Return the least speed of the root curve along its tangent, over C and radian; negative where it undercuts."""
    e, rho = arc_centre(c, n, tip_radius_mm + gap_mm / 2)
    psi = np.linspace(0.0, math.pi / (2 * n), 181)
    a = np.exp(1j * psi)
    way = a * (e * a - c / 2)
    unit = way / np.abs(way)
    way_rate = 1j * a * (2 * e * a - c / 2)
    centre_rate = 1j * a * (c - 2 * e * a)
    along = 1j * unit
    speed = (centre_rate * np.conj(along)).real + (rho + gap_mm / 2) * (way_rate / way).imag
    forward = np.sign(speed[0])
    return float((speed * forward).min() / c)
