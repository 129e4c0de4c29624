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
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .frame import Floats
from .options import RotorForm

Complexes = NDArray[np.complex128]
Curve = Callable[[Floats], Complexes]

MESH_TOLERANCE = 0.25
"""Share of the nominal running gap by which the mesh gap may grow through a turn; beyond it the pair is too thin."""
SPLINE_POINTS = 33
"""Points that the CAD kernel interpolates on each spline piece; error below 1 micrometre up to C = 220 mm (tested)."""
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


@dataclass(frozen=True, eq=False)
class Piece:
    """One smooth stretch of an outline.

    ``points`` (n, 2) float64 mm: start and end of a line; start, middle and end of an arc; the points to interpolate
    on a spline, with unit ``tangents`` (2, 2) at its ends. ``dense`` (m, 2) lies on the curve itself, chords at most
    :attr:`Profile.chord_mm` off.
    """

    kind: Literal["line", "arc", "spline"]
    points: Floats
    dense: Floats
    tangents: Floats | None = None

    def turned(self, angle_deg: float) -> Piece:
        """Return the piece turned about the origin."""
        t = None if self.tangents is None else turn(self.tangents, angle_deg)
        return Piece(self.kind, turn(self.points, angle_deg), turn(self.dense, angle_deg), t)


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
        return joined(self.pieces)

    @property
    def wing_points(self) -> tuple[Floats, ...]:
        """The closed outlines of the wings where they pass over the boss, (n, 2) float64 mm each."""
        return tuple(joined(w) for w in self.wings)

    @property
    def area_mm2(self) -> float:
        """Area within the outline with the hub."""
        return area(self.points)


def turn(points: Floats, angle_deg: float) -> Floats:
    """Return ``points`` (n, 2) turned about the origin, counter-clockwise.

    >>> turn(np.array([[1.0, 0.0]]), 90.0).round(9).tolist()
    [[0.0, 1.0]]
    """
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned: Floats = points @ np.array([[c, s], [-s, c]])
    return turned


def joined(pieces: tuple[Piece, ...]) -> Floats:
    """Return the closed polygon (n, 2) of a chain of pieces, without its last point repeated."""
    return np.concatenate([p.dense[:-1] for p in pieces])


def area(points: Floats) -> float:
    """Return the area of a closed polygon (n, 2), positive counter-clockwise."""
    x, y = points[:, 0], points[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


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
    right = _arc(bore_radius_mm, -math.pi + waist, math.pi - waist, chord_mm, half).dense
    return np.concatenate([right[:-1], -right[:-1]])


# ---- limits, closed form


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

    Found by halving on the sign of the root curve's speed along its tangent.
    """
    low, high = centre_mm / 2 * (1 + 0.5 / lobes), centre_mm / 2 * (1 + 1.9 / lobes)
    for _ in range(40):
        mid = (low + high) / 2
        low, high = (
            (mid, high) if _arc_root_speed(centre_mm, lobes, gap_mm, mid) > LEAST_ROOT_SPEED else (low, mid)
        )
    return low


def profile_faults(
    form: RotorForm, centre_mm: float, tip_radius_mm: float, gap_mm: float, wing_half_angle_deg: float = 0.0
) -> list[ProfileFault]:
    """Return every limit that these rotors break, empty where the pair turns; closed forms only.

    >>> profile_faults("two-wing", 100.0, 71.0, 0.1, 47.0)[0].allowed
    '44.18 to 44.94 degrees'
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
        most = min(most, arc_tip_limit(c, _count(form), gap_mm))
    if not least <= tip_radius_mm <= most:
        why = (
            "the wings lose their neck or their seal"
            if form == "two-wing"
            else "the lobes undercut or do not seal"
        )
        faults.append(_tip_fault(c, tip_radius_mm, least, most, why))
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
    n = _count(form)
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
    chord = _chord(c, g)
    relief = c * math.sin(math.pi / 4 - half)
    lag = math.pi / 4 - half
    end = math.acos(c * math.cos(lag) / (2 * r)) - lag

    def side(beta: Floats) -> Complexes:
        """Trailing side of a wing that stands on angle 0, from the hub (small beta) to the tip corner."""
        back = np.exp(-1j * (beta - half + math.pi / 2))
        corner = c - r * np.exp(-1j * beta)
        normal = corner - c / 2  # the pitch point lies at C/2 from the axis
        out: Complexes = (corner + relief * normal / np.abs(normal)) * back
        return out

    hub = c - r - g
    start = _root(lambda b: abs(complex(side(np.array([b]))[0])) - hub, 0.0, end)
    fine = np.linspace(start, end, 2001)
    neck = float(fine[int(np.argmax(np.angle(side(fine))))])  # least negative angle: the narrowest place

    trailing = _spline(side, start, end, chord)
    tip = _arc(r, -half, half, chord)
    leading = _mirrored(trailing)
    hub_from = float(np.angle(side(np.array([start]))[0]))
    land = _arc(hub, -hub_from, math.pi + hub_from, chord)
    one_wing = (trailing, tip, leading, land)
    pieces = tuple(p.turned(a) for a in (90.0, 270.0) for p in one_wing)

    outer = _spline(side, neck, end, chord)
    foot, waist = hub + g, side(np.array([neck]))[0]
    edge = _line(foot * waist / abs(waist), waist)
    lean = float(np.angle(waist))
    inner = _reversed(_arc(foot, lean, -lean, chord))
    open_wing = (edge, outer, tip, _mirrored(outer), _mirrored(edge), inner)
    wings = tuple(tuple(p.turned(a) for p in open_wing) for a in (90.0, 270.0))
    return Profile(
        "two-wing", "wing", c, g, 2, r, hub, 90.0, pieces, wings, chord, math.degrees(half), relief
    )  # fmt: skip


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
        raise ProfileError([_gap_fault(gap_mm, 0.1 * bend)])
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
    if tip_radius_mm <= r or _arc_root_speed(c, n, gap_mm, tip_radius_mm) <= LEAST_ROOT_SPEED:
        raise ProfileError(
            [_tip_fault(c, tip_radius_mm, r, arc_tip_limit(c, n, gap_mm), "the lobes undercut")]
        )
    e, rho = _arc_centre(c, n, tip_radius_mm + d)
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


def _count(form: RotorForm) -> int:
    return 3 if form == "three-lobe" else 2


def _chord(centre_mm: float, gap_mm: float) -> float:
    """Chord error of the dense points: small against any gap that is to be measured on them."""
    return min(5e-6 * centre_mm, gap_mm / 50)


def _gap_fault(gap_mm: float, limit: float) -> ProfileFault:
    fix = "the set-back flank undercuts at the pitch point: lessen the gap"
    return ProfileFault("running_gap_mm", f"{gap_mm:g} mm", f"up to {limit:.3f} mm", fix, limit)


def _tip_fault(c: float, tip_radius_mm: float, least: float, most: float, why: str) -> ProfileFault:
    allowed = f"{2 * least:.2f} to {2 * most:.2f} mm for a centre distance of {c:g} mm, beyond that {why}"
    limit = 2 * (least if tip_radius_mm < least else most)
    return ProfileFault(
        "rotor_diameter_mm", f"{2 * tip_radius_mm:g} mm", allowed, "check both measurements", limit
    )


def _arc_centre(c: float, n: int, full_tip: float) -> tuple[float, float]:
    """Return where the tip's arc has its centre and its radius, before the gap is taken off."""
    r = c / 2
    e = (full_tip**2 - r**2) / (2 * (full_tip - r * math.cos(math.pi / (2 * n))))
    return e, full_tip - e


def _arc_root_speed(c: float, n: int, gap_mm: float, tip_radius_mm: float) -> float:
    """Return the least speed of the root curve along its tangent, over C and radian; negative where it undercuts."""
    e, rho = _arc_centre(c, n, tip_radius_mm + gap_mm / 2)
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
        e, rho = _arc_centre(c, n, abs(mid) + gap / 2)
        span = float(np.angle(stop - e))
        tip_piece = _arc(rho - gap / 2, -span, span, chord, e)
        lean = 1j * (stop - e) / abs(stop - e)
    else:
        tip_piece = _spline(tip, -alpha, alpha, chord, (np.conj(pitch), -pitch))
        lean = -pitch
    # the root leaves each pitch point as the tip comes to it
    turn_back = np.exp(-2j * alpha)
    root_piece = _spline(root, -alpha, alpha, chord, (lean * turn_back, np.conj(-lean * turn_back)))
    pair = (tip_piece, root_piece.turned(math.degrees(2 * alpha)))
    pieces = tuple(p.turned(90.0 + 360.0 * k / n) for k in range(n) for p in pair)
    tip_r, root_r = float(abs(tip(np.array([0.0]))[0])), float(abs(root(np.array([0.0]))[0]))
    return Profile(form, curve, c, gap, n, tip_r, root_r, phase_deg(form), pieces, (), chord)


def _xy(z: Complexes | Floats) -> Floats:
    return np.column_stack([z.real, z.imag])


def _line(a: complex, b: complex) -> Piece:
    points = _xy(np.array([a, b]))
    return Piece("line", points, points)


def _arc(radius: float, start: float, stop: float, chord: float, centre_x: float = 0.0) -> Piece:
    """Return the arc between two angles (radians) about (centre_x, 0), counter-clockwise where stop > start."""
    step = 2 * math.acos(1 - min(chord / radius, 0.5))
    count = 2 * max(1, math.ceil(abs(stop - start) / step / 2)) + 1  # odd: the middle is a point
    dense = centre_x + radius * np.exp(1j * np.linspace(start, stop, count))
    three = centre_x + radius * np.exp(1j * np.array([start, (start + stop) / 2, stop]))
    return Piece("arc", _xy(three), _xy(dense))


def _spline(
    curve: Curve, start: float, stop: float, chord: float, tangents: tuple[complex, complex] | None = None
) -> Piece:
    """Return a spline piece; ``curve`` maps parameters (n,) to complex points.

    A chord ds on a curve of curvature k is off by k ds^2 / 8: points are spread so that this is at most ``chord``.
    """
    t = np.linspace(start, stop, 2001)
    z = curve(t)
    step = np.diff(z)
    length = np.abs(step)
    bend = np.abs(np.angle(step[1:] / step[:-1]))
    bend = np.concatenate([bend[:1], np.maximum(bend[1:], bend[:-1]), bend[-1:]])
    need = np.sqrt(bend * length / (8 * chord)) + 1e-3 * length / length.sum()
    few = _spread(0.5 * need / need.sum() + 0.5 * length / length.sum(), SPLINE_POINTS)
    fine = _spread(need, 2 * math.ceil(0.6 * float(need.sum())) + 17)
    few, fine = (start + (stop - start) / 2000 * k for k in (few, fine))
    if tangents is None:
        tangents = (complex(step[0]), complex(step[-1]))
    ends = np.array(tangents, dtype=np.complex128)
    return Piece("spline", _xy(curve(few)), _xy(curve(fine)), _xy(ends / np.abs(ends)))


def _reversed(piece: Piece) -> Piece:
    t = None if piece.tangents is None else -piece.tangents[::-1]
    return Piece(piece.kind, piece.points[::-1], piece.dense[::-1], t)


def _mirrored(piece: Piece) -> Piece:
    """Return the piece mirrored at the X axis, run the other way, so that the outline stays counter-clockwise."""
    flip = np.array([1.0, -1.0])
    t = None if piece.tangents is None else piece.tangents * flip
    return _reversed(Piece(piece.kind, piece.points * flip, piece.dense * flip, t))


def _spread(share: Floats, count: int) -> Floats:
    """Return ``count`` positions (float, 0 to the number of shares) that each take the same part of ``share`` (n,)."""
    taken = np.concatenate([[0.0], np.cumsum(share)])
    return np.interp(np.linspace(0.0, taken[-1], count), taken, np.arange(len(taken), dtype=np.float64))


def _root(f: Callable[[float], float], low: float, high: float) -> float:
    """Return where the rising function ``f`` crosses zero between two bounds."""
    for _ in range(60):
        mid = (low + high) / 2
        low, high = (mid, high) if f(mid) < 0 else (low, mid)
    return (low + high) / 2
