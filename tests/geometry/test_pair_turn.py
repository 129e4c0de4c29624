"""The turning pair: gaps against closed forms and brute force, and nothing missed between angles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from benchleaf.geometry.profiles.outlines import turn
from benchleaf.geometry.profiles.pair_turn import LOOSER, turn_pair
from benchleaf.geometry.profiles.profile_turn import turn_profile
from hypothesis import given, settings
from hypothesis import strategies as st
from rotor_pairs import GAP, PAIRS, C, gap_at


def circle(radius: float, out: float = 0.0, count: int = 360) -> np.ndarray:
    """A circle about (out, 0), its corners on the circle."""
    a = np.arange(count) * 2 * math.pi / count
    return np.column_stack([out + radius * np.cos(a), radius * np.sin(a)])


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


def test_what_cannot_be_turned_is_refused() -> None:
    with pytest.raises(ValueError, match="resolution must be above 0 mm, found 0"):
        turn_pair(circle(10), circle(10), 80.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="three points or more"):
        turn_pair(circle(10)[:2], circle(10), 80.0, 0.0, 0.1)
