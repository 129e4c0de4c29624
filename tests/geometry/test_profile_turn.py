"""Rotor outlines through a whole turn: the gap in mesh against closed forms, pairs too wide or too thin, the body."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from benchleaf.geometry.dimensions.options import RotorForm
from benchleaf.geometry.dimensions.profile_limits import TIP_RANGE
from benchleaf.geometry.profiles.pair_turn import LOOSER, turn_pair
from benchleaf.geometry.profiles.profile_turn import check_mesh, turn_body, turn_profile
from benchleaf.geometry.profiles.rotor_profiles import (
    MESH_TOLERANCE,
    Profile,
    arc_tip_limit,
    make_profile,
    profile_faults,
    two_wing,
    wing_half_angle_limits,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from rotor_pairs import GAP, PAIRS, C, gap_at


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
