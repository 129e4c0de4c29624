"""Rotor outlines in the plane: two wings, two or three lobes, and the cavity they turn in.

Frame: the rotor's own, origin on its axis, +X towards the driven shaft, mm; the first wing or lobe stands on +Y. The
drive axis lies at (-C/2, 0) and the driven axis at (+C/2, 0). The drive rotor turns by +a, the driven one, the same
outline turned by :attr:`Profile.phase_deg`, by -a.

Three curves, all from the general theory of gearing (the common normal at the point of contact passes through the
pitch point; for 1:1 counter-turning the motion of one rotor against the other is the rolling of two equal circles of
radius R = C/2):

- *cycloid*: tips are epicycloids and roots hypocycloids of one rolling circle of radius R/(2N), the classical form
  of the Roots blower. Identical rotors need equal rolling circles for tip and root, so the tip radius is fixed.
- *arc*: tips are circular arcs through the pitch points, roots the curves that these arcs envelop in the other
  rotor (the offset of a trochoid). The tip radius is free between limits.
- *wing*: tips and hub are arcs about the axis; the sides follow the path of the other wing's corner (a trochoid) at
  a constant distance, the relief.

Not verified: no maker's rotor was measured. Real flanks carry allowances for heat and pressure, and broken edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..bisection import zero_of
from ..dimensions.options import RotorForm
from ..dimensions.profile_limits import (
    LEAST_ROOT_SPEED,
    MESH_TOLERANCE,
    ProfileError,
    ProfileFault,
    arc_centre,
    arc_root_speed,
    arc_tip_limit,
    cycloidal_tip_radius,
    default_wing_half_angle,
    gap_fault,
    lobe_count,
    phase_deg,
    profile_faults,
    tip_fault,
    wing_half_angle_limits,
)
from ..frame import Floats
from .outlines import (
    Complexes,
    Curve,
    Piece,
    arc,
    area,
    backward,
    joined_pieces,
    line,
    mirrored,
    spline,
    turn,
    wire_of,
)

__all__ = [
    "MESH_TOLERANCE",
    "Piece",
    "Profile",
    "ProfileError",
    "ProfileFault",
    "arc_lobes",
    "arc_tip_limit",
    "area",
    "cavity_outline",
    "cycloidal_lobes",
    "cycloidal_tip_radius",
    "default_wing_half_angle",
    "joined_pieces",
    "make_profile",
    "phase_deg",
    "profile_faults",
    "turn",
    "two_wing",
    "wing_half_angle_limits",
    "wire_of",
]


@dataclass(frozen=True, eq=False)
class Profile:
    """A rotor's outline; counter-clockwise, each piece starts where the last one ends.

    ``pieces`` is the outline with the hub. A two-wing rotor is open behind: there it has only its wings, each a
    closed outline in ``wings``, that pass over the boss; for lobes ``wings`` is empty.
    """

    form: RotorForm
    curve: Literal["wing", "cycloid", "arc"]
    centre_mm: float
    gap_mm: float
    lobes: int
    tip_radius_mm: float
    root_radius_mm: float
    phase_deg: float
    pieces: tuple[Piece, ...]
    wings: tuple[tuple[Piece, ...], ...]
    chord_mm: float
    wing_half_angle_deg: float = 0.0
    side_relief_mm: float = 0.0
    """Distance between a wing's side and the other wing's corner as it passes."""

    @property
    def points(self) -> Floats:
        """The closed outline with the hub, (n, 2) float64 mm, last point not repeated."""
        return joined_pieces(self.pieces)

    @property
    def wing_points(self) -> tuple[Floats, ...]:
        """The closed outlines of the wings where they pass over the boss, (n, 2) float64 mm each."""
        return tuple(joined_pieces(w) for w in self.wings)

    @property
    def area_mm2(self) -> float:
        """Area within the outline with the hub."""
        return area(self.points)


def cavity_outline(centre_mm: float, bore_radius_mm: float, chord_mm: float = 0.005) -> Floats:
    """Return the outline of the two overlapping bores in the head's frame, (n, 2) float64 mm, counter-clockwise.

    Raises:
        ValueError: if the bores do not overlap.
    """
    half = centre_mm / 2
    if bore_radius_mm <= half:
        raise ValueError(
            f"bores of radius {bore_radius_mm:g} mm do not overlap at a centre distance of {centre_mm:g} mm"
        )
    waist = math.acos(half / bore_radius_mm)
    right = arc(bore_radius_mm, -math.pi + waist, math.pi - waist, chord_mm, half).dense
    return np.concatenate([right[:-1], -right[:-1]])


# ---- outlines


def make_profile(
    form: RotorForm, centre_mm: float, tip_radius_mm: float, gap_mm: float, wing_half_angle_deg: float = 0.0
) -> Profile:
    """Return the outline of one rotor of the pair.

    Lobes take the cycloid where the tip radius is the cycloidal one (within 0.005 mm), else the arc form. A half
    angle of 0 is the usual one.

    Raises:
        ProfileError: with every limit that the figures break.
    """
    faults = profile_faults(form, centre_mm, tip_radius_mm, gap_mm, wing_half_angle_deg)
    if faults:
        raise ProfileError(faults)
    if form == "two-wing":
        return two_wing(centre_mm, tip_radius_mm, gap_mm, wing_half_angle_deg)
    n = lobe_count(form)
    if abs(tip_radius_mm - cycloidal_tip_radius(centre_mm, n, gap_mm)) <= min(0.005, gap_mm / 10):
        return cycloidal_lobes(centre_mm, n, gap_mm)
    return arc_lobes(centre_mm, n, tip_radius_mm, gap_mm)


def two_wing(
    centre_mm: float, tip_radius_mm: float, gap_mm: float, wing_half_angle_deg: float = 0.0
) -> Profile:
    """Return the two-wing outline; the hub, as wide as the boss, has radius C - tip radius - gap.

    Beside :func:`make_profile` it takes any half angle under 45 degrees less the relief, thin ones too, so that a
    thin pair can be shown to be thin.

    Raises:
        ProfileError: if the wings would collide in mesh.
    """
    c, r, g = centre_mm, tip_radius_mm, gap_mm
    half = math.radians(wing_half_angle_deg or default_wing_half_angle(c, r, g))
    high = wing_half_angle_limits(c, r, g)[1]
    if math.degrees(half) > high + 1e-9:
        raise ProfileError(profile_faults("two-wing", c, r, g, wing_half_angle_deg))
    side, chord, hub = _WingSide(c, r, half), _chord(c, g), c - r - g
    start, end = side.foot(hub), side.corner
    neck = side.neck(start)
    # Two splines, so that hub and open wing share the outer one to the last digit: no sliver where they are joined.
    foot, outer = spline(side, start, neck, chord), spline(side, neck, end, chord)
    tip = arc(r, -half, half, chord)

    hub_from = float(np.angle(side(np.array([start]))[0]))
    land = arc(hub, -hub_from, math.pi + hub_from, chord)
    one_wing = (foot, outer, tip, mirrored(outer), mirrored(foot), land)

    rim, waist = hub + g, complex(side(np.array([neck]))[0])
    edge = line(rim * waist / abs(waist), waist)
    lean = float(np.angle(waist))
    inner = backward(arc(rim, lean, -lean, chord))
    open_wing = (edge, outer, tip, mirrored(outer), mirrored(edge), inner)

    pieces = tuple(p.turned(a) for a in _WINGS_DEG for p in one_wing)
    wings = tuple(tuple(p.turned(a) for p in open_wing) for a in _WINGS_DEG)
    return Profile(
        "two-wing", "wing", c, g, 2, r, hub, 90.0, pieces, wings, chord, math.degrees(half), side.relief
    )  # fmt: skip


_WINGS_DEG = (90.0, 270.0)
"""Where the two wings stand."""


@dataclass(frozen=True)
class _WingSide:
    """Trailing side of a wing that stands on angle 0, from the hub to its tip corner.

    Its points go by the turn (radians) at which the other wing's corner passes them; ``half`` is the wing's half angle,
    radians.
    """

    centre: float
    tip_radius: float
    half: float

    @property
    def relief(self) -> float:
        """Distance that the side keeps from the corner's path."""
        return self.centre * math.sin(math.pi / 4 - self.half)

    @property
    def corner(self) -> float:
        """Where the side ends in the tip corner."""
        lag = math.pi / 4 - self.half
        return math.acos(self.centre * math.cos(lag) / (2 * self.tip_radius)) - lag

    def __call__(self, beta: Floats) -> Complexes:
        back = np.exp(-1j * (beta - self.half + math.pi / 2))
        corner = self.centre - self.tip_radius * np.exp(-1j * beta)
        normal = corner - self.centre / 2  # the pitch point lies at C/2 from the axis
        out: Complexes = (corner + self.relief * normal / np.abs(normal)) * back
        return out

    def foot(self, hub: float) -> float:
        """Return where the side leaves a hub of radius ``hub``."""
        return zero_of(lambda b: abs(complex(self(np.array([b]))[0])) - hub, 0.0, self.corner)

    def neck(self, start: float) -> float:
        """Return where the wing is narrowest, looked for from ``start`` on: at the least negative angle."""
        fine = np.linspace(start, self.corner, 2001)
        return float(fine[int(np.argmax(np.angle(self(fine))))])


def cycloidal_lobes(centre_mm: float, lobes: int, gap_mm: float) -> Profile:
    """Return the cycloidal outline with ``lobes`` 2 or 3, set back by half the gap along its normal.

    Tip R (1 + 1/N), root R (1 - 1/N), both less half the gap. At the pitch points the epicycloid's curvature has no
    bound, so the set-back curve turns on itself there over a few micrometres; that stretch is left out, and
    widens the gap by under a nanometre at usual gaps.

    Raises:
        ProfileError: if the gap is too wide for that.
    """
    n, c, d = lobes, centre_mm, gap_mm / 2
    r = c / 2
    b = r / (2 * n)
    alpha = math.pi / (2 * n)
    bend = 4 * b * (r + b) / (r + 2 * b)
    cut = 2 * d / bend
    if cut > 0.1:
        raise ProfileError([gap_fault(gap_mm, 0.1 * bend)])
    end = math.acos(cut) / n
    meet = r * np.exp(1j * alpha) * (1 - 1j * d / r)  # where set-back tip and root meet

    def tip(psi: Floats) -> Complexes:
        a = psi * (end / alpha)
        p = (r + b) * np.exp(1j * a) + b * np.exp(1j * a * (1 + 2 * n)) - d * np.exp(1j * a * (1 + n))
        last = np.abs(psi) > alpha * (1 - 1e-9)
        q: Complexes = np.where(last, np.where(psi > 0, meet, np.conj(meet)), p)
        return q

    def root(psi: Floats) -> Complexes:
        p: Complexes = (
            (r - b) * np.exp(1j * psi) - b * np.exp(1j * psi * (1 - 2 * n)) - d * np.exp(1j * psi * (1 - n))
        )
        return p

    return _lobed("cycloid", c, gap_mm, n, tip, root)


def arc_lobes(centre_mm: float, lobes: int, tip_radius_mm: float, gap_mm: float) -> Profile:
    """Return the outline with circular tips and their conjugate roots, ``lobes`` 2 or 3.

    With T the tip radius and half the gap: arc centre at e = (T^2 - R^2) / (2 (T - R cos(pi / 2N))), arc radius T - e,
    so that the arc ends on the pitch points. The gap is taken by setting tip and root back by half of it.

    Raises:
        ProfileError: if the root undercuts.
    """
    n, c, d = lobes, centre_mm, gap_mm / 2
    r = c / 2
    alpha = math.pi / (2 * n)
    if tip_radius_mm <= r or arc_root_speed(c, n, gap_mm, tip_radius_mm) <= LEAST_ROOT_SPEED:
        raise ProfileError(
            [tip_fault(c, tip_radius_mm, r, arc_tip_limit(c, n, gap_mm), "the lobes undercut")]
        )
    e, rho = arc_centre(c, n, tip_radius_mm + d)
    span = math.atan2(r * math.sin(alpha), r * math.cos(alpha) - e)

    def tip(psi: Floats) -> Complexes:
        p: Complexes = e + (rho - d) * np.exp(1j * psi * (span / alpha))
        return p

    def root(psi: Floats) -> Complexes:
        centre = c * np.exp(1j * psi) - e * np.exp(2j * psi)
        way = r * np.exp(1j * psi) - centre
        p: Complexes = centre + (rho + d) * way / np.abs(way)
        return p

    return _lobed("arc", c, gap_mm, n, tip, root)


# ---- helpers


def _chord(centre_mm: float, gap_mm: float) -> float:
    """Chord error of the dense points: small against any gap that is to be measured on them."""
    return min(5e-6 * centre_mm, gap_mm / 50)


def _lobed(
    curve: Literal["cycloid", "arc"], c: float, gap: float, n: int, tip: Curve, root: Curve
) -> Profile:
    """Return the closed chain of N tips and roots; ``tip`` and ``root`` give points over -alpha..alpha."""
    chord = _chord(c, gap)
    form: RotorForm = "two-lobe" if n == 2 else "three-lobe"
    alpha = math.pi / (2 * n)
    pitch = complex(np.exp(1j * alpha))
    if curve == "arc":
        mid, stop = tip(np.array([0.0, alpha]))
        e, rho = arc_centre(c, n, abs(mid) + gap / 2)
        span = float(np.angle(stop - e))
        tip_piece = arc(rho - gap / 2, -span, span, chord, e)
        lean = 1j * (stop - e) / abs(stop - e)
    else:
        tip_piece = spline(tip, -alpha, alpha, chord, (np.conj(pitch), -pitch))
        lean = -pitch
    # the root leaves each pitch point as the tip comes to it
    turn_back = np.exp(-2j * alpha)
    root_piece = spline(root, -alpha, alpha, chord, (lean * turn_back, np.conj(-lean * turn_back)))
    pair = (tip_piece, root_piece.turned(math.degrees(2 * alpha)))
    pieces = tuple(p.turned(90.0 + 360.0 * k / n) for k in range(n) for p in pair)
    tip_r, root_r = float(abs(tip(np.array([0.0]))[0])), float(abs(root(np.array([0.0]))[0]))
    return Profile(form, curve, c, gap, n, tip_r, root_r, phase_deg(form), pieces, (), chord)
