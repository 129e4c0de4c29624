"""Displacement: liquid moved by one turn of the drive rotor, from the rotors' own outlines.

Two methods that share nothing but the outlines, and a closed form for the forms that have one. All are for liquid
that fills every space and gaps that hold it: the figure is the geometric displacement, without slip. The surfaces that
part the liquid are taken in the middle of each running gap (tip circle r + g/2; rotors set out by g/2), because half of
the gap's liquid goes with the rotor and half stays, as in any sheared film. Other choices differ by at most half a gap
all along both rotors and both bores, which :class:`Displacement` states.

Not covered, and not verified against a pump: slip through the gaps, liquid locked up and released in the mesh, gas.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .outlines import turn
from .rotor_profiles import MESH_TOLERANCE, Profile, cavity_outline


@dataclass(frozen=True)
class Displacement:
    """Litres and cubic millimetres for one turn, by each method."""

    volume_mm3: float
    """By the spaces: :func:`by_spaces`."""
    flow_mm3: float
    """By the flow past the mesh: :func:`by_flow`."""
    closed_form_mm3: float | None
    """By formula, where the form has one."""
    film_mm3: float
    """What the choice of the parting surface within the gaps can change at most."""

    @property
    def litres(self) -> float:
        """The figure to print: litres a turn."""
        return self.volume_mm3 / 1e6


def displacement(profile: Profile, width_mm: float) -> Displacement:
    """Return the displacement of a pair of rotors of this outline and axial width, by all methods.

    >>> from .rotor_profiles import make_profile
    >>> round(displacement(make_profile("two-wing", 100.0, 71.0, 0.1), 60.0).litres, 3)
    0.793
    """
    p = profile
    length = float(np.hypot(*(p.points - np.roll(p.points, 1, axis=0)).T).sum())
    # both bores at r + g, both rotors as long as they are set out by g
    film = p.gap_mm * (length + 2 * math.pi * (p.tip_radius_mm + 2 * p.gap_mm)) * width_mm
    return Displacement(by_spaces(p) * width_mm, by_flow(p) * width_mm, closed_form(p, width_mm), film)


def closed_form(profile: Profile, width_mm: float) -> float | None:
    """Return the displacement (mm3) by formula, with s the tip radius and half the gap; None for the arc form.

    From the flow past the mesh (:func:`by_flow`) with the way of the point of contact known:

    - two wings: contact on the line of centres at s from one axis and C - s from the other, V = pi W C (2 s - C):
      the ring between tip and hub, once;
    - cycloid: contact on the rolling circles of radius b = R/(2N), whose mean squared distance from the pitch point
      is 2 b^2, V = 4 pi W b (2 R + b).
    """
    c = profile.centre_mm
    if profile.curve == "wing":
        return math.pi * width_mm * c * (2 * profile.tip_radius_mm + profile.gap_mm - c)
    if profile.curve == "cycloid":
        b = c / (4 * profile.lobes)
        return 4 * math.pi * width_mm * b * (c + b)
    return None


def by_flow(profile: Profile, angles: int = 90) -> float:
    """Return the area (mm2) moved by one turn, from where the rotors are nearest to each other in mesh.

    A pressure difference p between the sides turns a rotor by p W (s^2 - q^2) / 2, q being the distance of the mesh
    seal from its axis and s that of the seal at the bore. Work done in turning by da is p dV for both rotors,
    so dV/da = W (s^2 - q1^2 / 2 - q2^2 / 2) = W (s^2 - R^2 - m^2) with m the distance from the pitch point.
    The mean over ``angles`` equal steps (midpoint rule) of half a pitch is the mean over the turn, by symmetry.
    """
    import shapely

    p = profile
    half = p.centre_mm / 2
    drive = shapely.LinearRing(p.points)
    shapely.prepare(drive)
    a = (np.arange(angles) + 0.5) * 90.0 / p.lobes / angles
    # seen from the drive rotor; the pitch point runs round it
    pitch = half * np.exp(-1j * np.radians(a))
    axes = 2 * np.column_stack([pitch.real, pitch.imag])
    driven = [turn(p.points, p.phase_deg - 2 * x) + axis for x, axis in zip(a, axes, strict=True)]
    nearest = shapely.shortest_line(drive, shapely.linearrings(driven))
    middle = shapely.get_coordinates(nearest).reshape(-1, 2, 2).mean(axis=1)
    square = float((np.abs(middle[:, 0] + 1j * middle[:, 1] - pitch) ** 2).mean())
    s = p.tip_radius_mm + p.gap_mm / 2
    return 2 * math.pi * (s * s - half * half - square)


def by_spaces(profile: Profile, step_deg: float = 0.75) -> float:
    """Return the area (mm2) moved by one turn, from the plane area of the outlet's space at many angles.

    The outlet's space is the part of the cavity that hangs together with the outlet once the rotors are set out so
    that their gaps close. While nothing opens or closes, what it loses in area is delivered. It jumps where a space
    between two wings or lobes opens to it (and where one is shut off): the jumps are found by halving and left out. The
    sum over one pitch, times the pitches of a turn, is the displacement. Knows nothing of contact or gearing.
    """
    spaces = Outlet(profile)
    pitch = 180.0 / profile.lobes
    count = math.ceil(pitch / step_deg)
    angles = np.linspace(0.0, pitch, count + 1) + 0.37 * pitch / count
    areas = np.array([spaces.area(a) for a in angles])
    lost = -np.diff(areas)
    usual = float(np.median(lost))
    delivered = 0.0
    for a, b, at_a, at_b in zip(angles[:-1], angles[1:], areas[:-1], areas[1:], strict=True):
        delivered += _smooth_loss(spaces, float(a), float(b), float(at_a), float(at_b), usual)
    return delivered * 2 * profile.lobes


def _smooth_loss(spaces: Outlet, a: float, b: float, at_a: float, at_b: float, usual: float) -> float:
    """Return the loss of area from angle ``a`` to ``b`` without the jumps in it; ``usual`` is what is lost elsewhere.

    Delivery varies by less than a sixth of its mean for every form here, a jump is many times that.
    """
    loss = at_a - at_b
    facets = 1e-6 * spaces.reach**2  # what polygons turning past polygons may add
    if abs(loss - usual) <= 0.25 * abs(usual) + facets:
        return loss
    if b - a < 1e-4:
        return 0.0
    middle = (a + b) / 2
    there = spaces.area(middle)
    first = _smooth_loss(spaces, a, middle, at_a, there, usual / 2)
    return first + _smooth_loss(spaces, middle, b, there, at_b, usual / 2)


class Outlet:
    """The outlet's space of one pair, in the plane; the outlet lies at -Y, where the turning drive rotor carries to."""

    def __init__(self, profile: Profile) -> None:
        import shapely

        p = profile
        self.half = p.centre_mm / 2
        self.axis = np.array([self.half, 0.0])
        self.reach = p.tip_radius_mm + p.gap_mm / 2
        self.phase = p.phase_deg
        opening = 1.02 + (MESH_TOLERANCE if p.curve == "wing" else 0.0)
        grown = shapely.Polygon(p.points).buffer(opening * p.gap_mm / 2 + 2 * p.chord_mm, quad_segs=4)
        self.rotor = shapely.get_coordinates(grown.exterior)[:-1]
        cavity = shapely.Polygon(cavity_outline(p.centre_mm, self.reach, p.chord_mm))
        port = shapely.box(-0.1 * self.half, -3 * self.half, 0.1 * self.half, -0.5 * self.half)
        self.cavity = cavity.union(port)
        self.outlet = shapely.Point(0.0, -2.9 * self.half)

    def area(self, angle_deg: float) -> float:
        """Return the area (mm2) that hangs together with the outlet at an angle of the drive rotor."""
        import shapely

        drive = shapely.Polygon(turn(self.rotor, angle_deg) - self.axis)
        driven = shapely.Polygon(turn(self.rotor, self.phase - angle_deg) + self.axis)
        for space in shapely.get_parts(self.cavity.difference(drive).difference(driven)):
            if space.intersects(self.outlet):
                return float(space.area)
        raise ValueError("the outlines leave no space at the outlet")
