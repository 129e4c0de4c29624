"""The turning pair: gaps against closed forms and brute force, and nothing missed between angles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from benchleaf.geometry.dimensions.options import RotorForm
from benchleaf.geometry.dimensions.profile_limits import TIP_RANGE
from benchleaf.geometry.profiles.pair_turn import LOOSER, check_mesh, turn_body, turn_pair, turn_profile
from benchleaf.geometry.profiles.rotor_profiles import (
    MESH_TOLERANCE,
    Profile,
    arc_lobes,
    arc_tip_limit,
    cycloidal_lobes,
    make_profile,
    profile_faults,
    turn,
    two_wing,
    wing_half_angle_limits,
)
from hypothesis import given, settings
from hypothesis import strategies as st

C, GAP = 80.0, 0.08


def circle(radius: float, out: float = 0.0, count: int = 360) -> np.ndarray:
    """A circle about (out, 0), its corners on the circle."""
    a = np.arange(count) * 2 * math.pi / count
    return np.column_stack([out + radius * np.cos(a), radius * np.sin(a)])


def gap_at(drive: np.ndarray, driven: np.ndarray, centre: float, phase_deg: float, angle_deg: float) -> float:
    """The gap at one angle, by the library's own distance of two polygons."""
    axis = np.array([centre / 2, 0.0])
    a = shapely.Polygon(turn(drive, angle_deg) - axis)
    b = shapely.Polygon(turn(driven, phase_deg - angle_deg) + axis)
    return float(a.distance(b))


PAIRS = {
    "wing": make_profile("two-wing", C, 0.71 * C, GAP),
    "wing, widest": two_wing(C, 0.71 * C, GAP, wing_half_angle_limits(C, 0.71 * C, GAP)[1]),
    "cycloid 2": cycloidal_lobes(C, 2, GAP),
    "cycloid 3": cycloidal_lobes(C, 3, GAP),
    "arc 2": arc_lobes(C, 2, 0.76 * C, GAP),
    "arc 3": arc_lobes(C, 3, 0.68 * C, GAP),
}


@pytest.mark.parametrize("name", PAIRS)
def test_pair_keeps_its_running_gap_in_mesh(name: str) -> None:
    p = PAIRS[name]
    result = turn_profile(p)
    assert result.clear
    assert check_mesh(result, GAP) == []
    # every form has its gap exactly; polygons add or take their chord errors, one a rotor
    assert result.smallest_gap_mm == pytest.approx(GAP, abs=2 * p.chord_mm)
    opened = MESH_TOLERANCE / 2 * GAP if name == "wing" else 0.0
    assert result.largest_gap_mm == pytest.approx(GAP + opened, abs=2 * p.chord_mm + 2e-5)
    assert result.span_deg == pytest.approx(90 / p.lobes)
    assert gap_at(p.points, p.points, C, p.phase_deg, result.smallest_at_deg) == pytest.approx(
        result.smallest_gap_mm
    )
    assert gap_at(p.points, p.points, C, p.phase_deg, result.largest_at_deg) == pytest.approx(
        result.largest_gap_mm
    )


@settings(max_examples=15, deadline=None)
@given(
    form=st.sampled_from(("two-wing", "two-lobe", "three-lobe")),
    c=st.floats(55, 220),
    where=st.floats(0, 1),
    gap=st.floats(0.0005, 0.004),
    width=st.floats(0, 1),
    angle=st.floats(0, 360),
)
def test_every_allowed_pair_turns_clear(
    form: RotorForm, c: float, where: float, gap: float, width: float, angle: float
) -> None:
    g = gap * c
    low, high = (f * c for f in TIP_RANGE[form])
    if form != "two-wing":
        high = min(high, arc_tip_limit(c, 2 if form == "two-lobe" else 3, g))
    tip = low + where * (high - low)
    half = 0.0
    if form == "two-wing":
        least, most = wing_half_angle_limits(c, tip, g)
        half = least + width * (most - least)
    assert profile_faults(form, c, tip, g, half) == []
    p = make_profile(form, c, tip, g, half)
    result = turn_profile(p, resolution_mm=g / 4)
    assert result.clear
    assert check_mesh(result, g) == []
    assert result.smallest_gap_mm == pytest.approx(g, abs=2 * p.chord_mm + 1e-4 * g)
    # any angle of the whole turn, by another method
    found = gap_at(p.points, p.points, c, p.phase_deg, angle)
    assert result.proven_least_mm <= found <= result.proven_most_mm


def test_wings_too_wide_collide() -> None:
    """The closed-form limit is where the corners meet: with no gap left, half a degree more and they overlap."""
    c, r = C, 0.71 * C
    p = two_wing(c, r, GAP, wing_half_angle_limits(c, r, GAP)[1])
    # widen the wings only: both corners of each wing half a degree out
    z = p.points[:, 0] + 1j * p.points[:, 1]
    lean = np.angle(z * -1j)
    out = np.where(np.abs(lean) < math.pi / 2, lean, lean - np.sign(lean) * math.pi)
    moved = z * np.exp(1j * math.radians(0.5) * np.sign(out) * (np.abs(z) > 0.9 * r))
    wide = np.column_stack([moved.real, moved.imag])
    result = turn_pair(wide, wide, c, 90.0, GAP / 4)
    assert not result.clear
    assert result.smallest_gap_mm == 0.0
    assert check_mesh(result, GAP)[0].text.startswith("the rotors collide at ")


@pytest.mark.parametrize("name", ["flat wings", "cycloid 2", "arc 3"])
def test_a_pair_that_is_merely_thin_does_not_pass(name: str) -> None:
    if name == "flat wings":
        p = two_wing(C, 0.71 * C, GAP, 37.0)
        points = p.points
    else:
        p = PAIRS[name]
        points = shapely.get_coordinates(shapely.Polygon(p.points).buffer(-GAP / 2).exterior)[:-1]
    result = turn_pair(points, points, C, p.phase_deg, GAP / 4)
    assert result.clear
    faults = check_mesh(result, GAP)
    assert [f.gap_mm for f in faults] == [result.largest_gap_mm]
    assert "too thin to seal" in faults[0].text
    if name == "flat wings":
        # between two tips the corner's distance to the other hub, by plane trigonometry
        r, boss = 0.71 * C, 0.29 * C - GAP
        open_mm = math.sqrt(C * C - 2 * C * r * math.cos(math.radians(45 - 37.0)) + r * r) - boss
        assert result.largest_gap_mm == pytest.approx(open_mm, rel=LOOSER)
        assert result.proven_most_mm >= open_mm


@pytest.mark.parametrize(("name", "wrong_deg"), [("wing", 1.5), ("cycloid 2", 0.5), ("arc 3", -0.5)])
def test_a_rotor_out_of_phase_is_found(name: str, wrong_deg: float) -> None:
    result = turn_profile(PAIRS[name], wrong_deg, GAP / 2)
    assert not result.clear
    assert "the rotors collide" in check_mesh(result, GAP)[0].text


def test_no_contact_hides_between_two_angles() -> None:
    """A needle that meets the other's needle over some hundredths of a degree is found, though steps of half a
    degree, and of a tenth, see nothing."""
    at = 0.263
    drive, driven = (
        shapely.Polygon(circle(20.0)).union(shapely.Polygon([[19.9, -w], [reach, 0.0], [19.9, w]]))
        for reach, w in ((55.0, 2e-3), (26.0, 2e-4))
    )
    first = turn(shapely.get_coordinates(drive.exterior)[:-1], -at)
    second = turn(shapely.get_coordinates(driven.exterior)[:-1], 180 + at)
    for step in (0.5, 0.1):
        assert min(gap_at(first, second, 80.0, 0.0, a) for a in np.arange(-3, 3, step)) > 0.01
    result = turn_pair(first, second, 80.0, 0.0, 0.02)
    assert not result.clear
    assert result.smallest_at_deg == pytest.approx(at, abs=0.03)


@settings(max_examples=8, deadline=None)
@given(
    r1=st.floats(25, 32),
    r2=st.floats(25, 32),
    out1=st.floats(0.5, 7),
    out2=st.floats(0.5, 7),
    phase=st.floats(0, 360),
)
def test_eccentric_circles_by_the_closed_form(
    r1: float, r2: float, out1: float, out2: float, phase: float
) -> None:
    result = turn_pair(circle(r1, out1), circle(r2, out2), 80.0, phase, 0.1)
    a = np.radians(np.linspace(0, 360, 20001))
    first = -40 + out1 * np.exp(1j * a)
    second = 40 + out2 * np.exp(1j * (math.radians(phase) - a))
    true = np.abs(second - first) - r1 - r2
    facets = (r1 + r2) * (1 - math.cos(math.pi / 360))
    assert result.span_deg == 360
    assert result.proven_least_mm <= true.min() + facets
    assert result.proven_most_mm >= true.max()
    # the figures are those in the middle of a range: within the resolution and the facets of the true ones
    assert result.smallest_gap_mm == pytest.approx(true.min(), abs=0.1 + facets, rel=LOOSER)
    assert result.largest_gap_mm == pytest.approx(true.max(), abs=0.1 + facets, rel=LOOSER)
    assert result.proven_least_mm >= min(true.min() * (1 - 2 * LOOSER), true.min() - 0.2) - facets


def test_bounds_hold_at_any_angle_and_close_in_with_the_resolution() -> None:
    p = PAIRS["arc 2"]
    result = turn_profile(p, 0.05, GAP / 8)
    rng = np.random.default_rng(3)
    found = [gap_at(p.points, p.points, C, p.phase_deg + 0.05, a) for a in rng.uniform(0, 360, 200)]
    assert result.proven_least_mm <= min(found)
    assert max(found) <= result.proven_most_mm
    assert result.smallest_gap_mm - result.proven_least_mm <= 2 * GAP / 8 + 2 * p.chord_mm
    assert result.proven_most_mm - result.largest_gap_mm <= 2 * GAP / 8 + 2 * p.chord_mm
    coarse = turn_profile(p, 0.05, GAP / 2)
    assert coarse.proven_least_mm < result.proven_least_mm


def test_symmetry_is_used_only_where_it_is_there() -> None:
    p = PAIRS["cycloid 3"]
    assert turn_profile(p, resolution_mm=GAP).span_deg == pytest.approx(30)
    assert turn_profile(p, 1.0, GAP).span_deg == pytest.approx(120)
    dented = p.points.copy()
    dented[5] *= 0.999
    assert turn_pair(dented, p.points, C, 60.0, 2 * GAP).span_deg == pytest.approx(360)


@pytest.mark.parametrize("name", PAIRS)
def test_gaps_to_the_body(name: str) -> None:
    p: Profile = PAIRS[name]
    wing = p.curve == "wing"
    boss = C - p.tip_radius_mm - GAP
    gaps = turn_body(p, p.tip_radius_mm + 0.06, boss if wing else None)
    assert gaps.bore_gap_mm == pytest.approx(0.06)
    if not wing:
        assert gaps.own_boss_gap_mm is None
        assert gaps.smallest_gap_mm == pytest.approx(0.06)
        return
    assert gaps.own_boss_gap_mm == pytest.approx(GAP, abs=p.chord_mm)
    assert gaps.other_boss_gap_mm == pytest.approx(GAP)


def test_what_cannot_be_turned_is_refused() -> None:
    with pytest.raises(ValueError, match="resolution must be above 0 mm, found 0"):
        turn_pair(circle(10), circle(10), 80.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="three points or more"):
        turn_pair(circle(10)[:2], circle(10), 80.0, 0.0, 0.1)
