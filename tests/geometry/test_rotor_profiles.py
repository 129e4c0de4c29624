"""Rotor outlines: the curves are what they claim, the limits are where the curves fail."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
import shapely
from benchleaf.geometry.dimensions import profile_limits
from benchleaf.geometry.dimensions.options import RotorForm
from benchleaf.geometry.profiles import rotor_profiles as profiles
from benchleaf.geometry.profiles.outlines import SPLINE_ERROR_MM
from benchleaf.geometry.profiles.rotor_profiles import (
    Profile,
    ProfileError,
    arc_lobes,
    arc_tip_limit,
    area,
    cavity_outline,
    cycloidal_lobes,
    cycloidal_tip_radius,
    make_profile,
    profile_faults,
    turn,
    two_wing,
    wing_half_angle_limits,
    wire_of,
)
from hypothesis import given, settings
from hypothesis import strategies as st

C, GAP = 80.0, 0.08

FORMS = {
    "wing": lambda c, g: make_profile("two-wing", c, 0.71 * c, g),
    "wing, widest": lambda c, g: two_wing(c, 0.71 * c, g, wing_half_angle_limits(c, 0.71 * c, g)[1]),
    "cycloid 2": lambda c, g: cycloidal_lobes(c, 2, g),
    "cycloid 3": lambda c, g: cycloidal_lobes(c, 3, g),
    "arc 2": lambda c, g: arc_lobes(c, 2, 0.76 * c, g),
    "arc 3": lambda c, g: arc_lobes(c, 3, 0.68 * c, g),
}


def complex_points(points: np.ndarray) -> np.ndarray:
    return points[:, 0] + 1j * points[:, 1]


@pytest.fixture(params=FORMS, ids=list(FORMS))
def profile(request: pytest.FixtureRequest) -> Profile:
    return FORMS[request.param](C, GAP)


def test_outline_is_one_closed_counter_clockwise_chain(profile: Profile) -> None:
    for chain in (profile.pieces, *profile.wings):
        for piece, following in zip(chain, chain[1:] + chain[:1], strict=True):
            assert piece.dense[-1] == pytest.approx(following.dense[0], abs=1e-9)
            assert piece.points[0] == pytest.approx(piece.dense[0], abs=1e-9)
            assert piece.points[-1] == pytest.approx(piece.dense[-1], abs=1e-9)
    for points in (profile.points, *profile.wing_points):
        assert shapely.Polygon(points).is_valid
        assert area(points) > 0


def test_radii_and_symmetry(profile: Profile) -> None:
    radius = np.abs(complex_points(profile.points))
    assert radius.max() == pytest.approx(profile.tip_radius_mm, abs=1e-9)
    # chords of the root cut in by the chord error, points do not
    assert radius.min() == pytest.approx(profile.root_radius_mm, abs=1e-9)
    assert profile.tip_radius_mm + profile.root_radius_mm + profile.gap_mm == pytest.approx(C, abs=1e-9)
    whole = shapely.Polygon(profile.points)
    for other in (turn(profile.points, 360 / profile.lobes), profile.points * [-1, 1]):
        assert whole.symmetric_difference(shapely.Polygon(other)).area < 1e-6
    assert shapely.Point(0, profile.tip_radius_mm - 1e-3).within(whole)


def test_wings_are_what_the_outline_leaves_beyond_the_boss(profile: Profile) -> None:
    if profile.curve != "wing":
        assert profile.wings == ()
        return
    inner = profile.root_radius_mm + profile.gap_mm
    whole = shapely.Polygon(profile.points)
    for points in profile.wing_points:
        assert shapely.Polygon(points).difference(whole.buffer(1e-9)).area < 1e-9
        # the inner arc's chords run inside the circle by the chord error at most
        nearest = shapely.distance(shapely.Point(0, 0), shapely.LinearRing(points))
        assert inner - profile.chord_mm <= nearest <= inner + 1e-9


@pytest.mark.parametrize("n", [2, 3])
def test_dense_points_keep_their_chord_error(n: int) -> None:
    """Points between the dense ones, from the formula, lie off the polygon by no more than is claimed."""
    p = cycloidal_lobes(C, n, GAP)
    r, b, d = C / 2, C / (4 * n), GAP / 2
    psi = np.linspace(-0.97, 0.97, 4001) * math.pi / (2 * n)
    tip = (r + b) * np.exp(1j * psi) + b * np.exp(1j * psi * (1 + 2 * n)) - d * np.exp(1j * psi * (1 + n))
    root = (r - b) * np.exp(1j * psi) - b * np.exp(1j * psi * (1 - 2 * n)) - d * np.exp(1j * psi * (1 - n))
    for curve, lean in ((tip, -90.0), (root, -90.0 - 180.0 / n)):
        off = shapely.distance(
            shapely.LinearRing(turn(p.points, lean)), shapely.points(curve.real, curve.imag)
        )
        assert off.max() <= p.chord_mm


@pytest.mark.parametrize("n", [2, 3])
def test_cycloid_area_by_its_formula(n: int) -> None:
    """Equal rolling circles: area pi R^2 + 2 pi b^2; set back by d it loses d times the length, less pi d^2."""
    p = cycloidal_lobes(C, n, GAP)
    ring = shapely.LinearRing(p.points)
    b, d = C / (4 * n), GAP / 2
    full = p.area_mm2 + d * ring.length + math.pi * d * d
    assert full == pytest.approx(math.pi * (C / 2) ** 2 + 2 * math.pi * b * b, rel=1e-5)


@pytest.mark.parametrize(("n", "tip"), [(2, 0.73), (2, 0.76), (2, 0.82), (3, 0.65), (3, 0.68), (3, 0.72)])
def test_arc_root_is_the_envelope_of_the_other_tip(n: int, tip: float) -> None:
    """However the other rotor stands, its tip arc comes no nearer to a root point than the gap, and once that near."""
    p = arc_lobes(C, n, tip * C, GAP)
    arc, root = p.pieces[0], p.pieces[1]
    start, mid, _ = complex_points(turn(arc.points, -90.0))
    # circle through the arc's three points, which stand mirror symmetric about +X
    e = (abs(mid) ** 2 - abs(start) ** 2) / (2 * (abs(mid) - start.real))
    rho = abs(mid) - e
    points = complex_points(turn(root.dense, -90.0 - 180.0 / n))
    a = np.radians(np.linspace(-90 / n, 90 / n, 6001))
    centre = C * np.exp(1j * a) - e * np.exp(2j * a)
    away = np.array([np.abs(centre - z).min() for z in points]) - rho
    # between 6001 angles the distance changes by no more than a curvature times the half step squared: 1e-5 mm
    assert away == pytest.approx(GAP, abs=2e-5)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_wing_side_keeps_its_relief_from_the_other_corner(share: float) -> None:
    low, high = wing_half_angle_limits(C, 0.71 * C, GAP)
    p = two_wing(C, 0.71 * C, GAP, low + share * (high - low))
    assert p.side_relief_mm == pytest.approx(C * math.sin(math.radians(45 - p.wing_half_angle_deg)))
    r, h = p.tip_radius_mm, math.radians(p.wing_half_angle_deg)
    beta = np.linspace(-0.2, 1.0, 40001)
    corner = (C - r * np.exp(-1j * beta)) * np.exp(-1j * (beta - h + math.pi / 2))
    side = np.concatenate([complex_points(turn(piece.dense, -90.0)) for piece in p.pieces[:2]])
    away = np.array([np.abs(corner - z).min() for z in side])
    assert away == pytest.approx(p.side_relief_mm, abs=1e-5)


@settings(max_examples=40, deadline=None)
@given(c=st.floats(55, 220), tip=st.floats(0.66, 0.76), gap=st.floats(0.0003, 0.004))
def test_half_angle_limits_by_brute_force(c: float, tip: float, gap: float) -> None:
    """Corners that pass come to the gap at the upper limit; at the lower one the mesh opens by the tolerance."""
    r, g = tip * c, gap * c
    low, high = wing_half_angle_limits(c, r, g)
    assert low < high < 45
    beta = np.linspace(0, 1, 200001)  # in such steps of 5e-6 rad, corners move by C/100000 at most
    late = beta + 2 * math.radians(45 - high)
    near = np.abs((r * np.exp(1j * late)) - (c - r * np.exp(-1j * beta))).min()
    assert near == pytest.approx(g, rel=2e-4)
    opened = abs(c - r * np.exp(1j * math.radians(45 - low))) - (c - r - g)
    assert opened == pytest.approx(g * (1 + profiles.MESH_TOLERANCE), rel=1e-6)


@pytest.mark.parametrize("n", [2, 3])
def test_arc_lobes_undercut_just_beyond_their_limit(n: int, monkeypatch: pytest.MonkeyPatch) -> None:
    limit = arc_tip_limit(C, n, GAP)
    fine = arc_lobes(C, n, limit * 0.9999, GAP)
    assert shapely.LineString(fine.pieces[1].dense).is_simple
    with pytest.raises(ProfileError, match="the lobes undercut"):
        arc_lobes(C, n, limit * 1.001, GAP)
    for module in (profiles, profile_limits):
        monkeypatch.setattr(module, "LEAST_ROOT_SPEED", -10.0)
    cut = arc_lobes(C, n, limit * 1.02, GAP)
    assert not shapely.LineString(cut.pieces[1].dense).is_simple


def test_faults_name_the_limit_and_its_value() -> None:
    wide = profile_faults("two-wing", C, 0.71 * C, GAP, 47.0)
    assert [f.field for f in wide] == ["wing_half_angle_deg"]
    assert wide[0].limit == pytest.approx(45 - math.degrees(math.asin(GAP / C)))
    assert "the wings collide in mesh" in wide[0].fix
    thin = profile_faults("two-wing", C, 0.71 * C, GAP, 37.0)
    assert thin[0].limit == pytest.approx(wing_half_angle_limits(C, 0.71 * C, GAP)[0])
    assert "leaks in mesh" in thin[0].fix
    limits: tuple[tuple[RotorForm, float, str], ...] = (
        ("two-wing", 0.80, "rotor_diameter_mm"),
        ("two-lobe", 0.60, "rotor_diameter_mm"),
        ("three-lobe", 0.76, "rotor_diameter_mm"),
    )
    for form, tip, field in limits:
        faults = profile_faults(form, C, tip * C, GAP)
        assert [f.field for f in faults] == [field]
        assert f"{faults[0].limit:.2f} " in faults[0].allowed
        with pytest.raises(ProfileError, match=f"found {2 * tip * C:g} mm, allowed"):
            make_profile(form, C, tip * C, GAP)
    assert profile_faults("two-lobe", C, 0.75 * C, 1.0)[0].field == "running_gap_mm"
    with pytest.raises(ProfileError, match="wings collide"):
        two_wing(C, 0.71 * C, GAP, 46.0)
    with pytest.raises(ProfileError, match="set-back flank undercuts"):
        cycloidal_lobes(C, 2, 0.1 * C)


def test_cycloid_where_the_tip_radius_is_the_cycloidal_one() -> None:
    lobes: tuple[tuple[RotorForm, int], ...] = (("two-lobe", 2), ("three-lobe", 3))
    for form, n in lobes:
        tip = cycloidal_tip_radius(C, n, GAP)
        assert make_profile(form, C, tip, GAP).curve == "cycloid"
        near = make_profile(form, C, tip + 0.02, GAP)
        assert near.curve == "arc"
        assert near.tip_radius_mm == tip + 0.02


@settings(max_examples=12, deadline=None)
@given(c=st.floats(55, 220), share=st.floats(0.0005, 0.003), form=st.sampled_from(sorted(FORMS)))
def test_edges_of_the_kernel_lie_on_the_curve(c: float, share: float, form: str) -> None:
    import cadquery as cq

    p = FORMS[form](c, share * c)
    for piece in p.pieces[: len(p.pieces) // p.lobes]:
        edge = piece.edge()
        for x, y in piece.dense[:: max(1, len(piece.dense) // 40)]:
            assert edge.distance(cq.Vertex.makeVertex(float(x), float(y), 0)) <= SPLINE_ERROR_MM


def test_prisms_are_valid_and_hold_the_area(profile: Profile) -> None:
    import cadquery as cq

    for chain, points in (
        (profile.pieces, profile.points),
        *zip(profile.wings, profile.wing_points, strict=True),
    ):
        face = cq.Face.makeFromWires(wire_of(chain))
        solid = cq.Solid.extrudeLinear(face, cq.Vector(0, 0, 10))
        assert solid.isValid()
        # the kernel integrates spline faces with few points: 1e-4
        assert solid.Volume() == pytest.approx(10 * area(points), rel=2e-4)


def test_cavity_is_the_two_bores_together() -> None:
    r = 0.711 * C
    outline = shapely.Polygon(cavity_outline(C, r, 1e-4))
    half = math.acos(C / 2 / r)
    lens = 2 * (r * r * half - C / 2 * r * math.sin(half))
    assert outline.is_valid
    assert outline.area == pytest.approx(2 * math.pi * r * r - lens, rel=1e-5)
    with pytest.raises(ValueError, match="do not overlap"):
        cavity_outline(C, C / 2)


def test_limits_and_outlines_need_no_cad_kernel() -> None:
    code = (
        "import sys; from benchleaf.geometry.profiles import displacement, pair_turn, rotor_profiles\n"
        "rotor_profiles.make_profile('three-lobe', 80.0, 54.0, 0.08)\n"
        "assert not {'cadquery', 'OCP', 'shapely', 'vtk'} & sys.modules.keys()"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
