"""Displacement: spaces against flow against formula, and against counting chambers."""

from __future__ import annotations

import math
from typing import get_args

import numpy as np
import pytest
import shapely
from benchleaf.geometry.dimensions.options import RotorForm
from benchleaf.geometry.profiles.displacement import Outlet, by_flow, by_spaces, closed_form, displacement
from benchleaf.geometry.profiles.rotor_profiles import (
    arc_lobes,
    cycloidal_lobes,
    make_profile,
    turn,
    two_wing,
    wing_half_angle_limits,
)
from hypothesis import given, settings
from hypothesis import strategies as st

C, GAP, WIDTH = 80.0, 0.08, 56.0
METHODS = 5e-4
"""Share by which the methods may differ: for the spaces, rotors are set out a little more than half the gap (2e-4)."""

PAIRS = {
    "wing": make_profile("two-wing", C, 0.71 * C, GAP),
    "wing, narrowest": two_wing(C, 0.70 * C, GAP, wing_half_angle_limits(C, 0.70 * C, GAP)[0]),
    "cycloid 2": cycloidal_lobes(C, 2, GAP),
    "cycloid 3": cycloidal_lobes(C, 3, GAP),
    "arc 2": arc_lobes(C, 2, 0.76 * C, GAP),
    "arc 3": arc_lobes(C, 3, 0.66 * C, GAP),
}


@pytest.mark.parametrize("name", PAIRS)
def test_methods_agree(name: str) -> None:
    p = PAIRS[name]
    found = displacement(p, WIDTH)
    assert found.flow_mm3 == pytest.approx(found.volume_mm3, rel=METHODS)
    if p.curve == "arc":
        assert found.closed_form_mm3 is None
    else:
        # midpoint rule over smooth ways of contact: polygon chords are all that is left
        assert found.flow_mm3 == pytest.approx(found.closed_form_mm3, rel=1e-5)
        assert found.volume_mm3 == pytest.approx(found.closed_form_mm3, rel=METHODS)
    assert found.litres == pytest.approx(found.volume_mm3 / 1e6)


@pytest.mark.parametrize("name", [n for n in PAIRS if not n.startswith("wing")])
def test_lobes_carry_what_lies_between_them_and_the_bores(name: str) -> None:
    """2 N chambers a turn and none comes back: tips fill roots in mesh. Area of the rotor by Monte Carlo."""
    p = PAIRS[name]
    reach = p.tip_radius_mm + GAP / 2
    grown = shapely.Polygon(p.points).buffer(GAP / 2)
    chambers = 2 * (math.pi * reach**2 - grown.area)
    assert by_flow(p) == pytest.approx(chambers, rel=5e-5)
    rng = np.random.default_rng(7)
    n = 400_000
    r, a = reach * np.sqrt(rng.random(n)), 2 * math.pi * rng.random(n)
    free = ~shapely.contains_xy(grown, r * np.cos(a), r * np.sin(a))
    share = float(free.mean())
    sigma = 2 * math.pi * reach**2 * math.sqrt(share * (1 - share) / n)
    assert abs(2 * math.pi * reach**2 * share - chambers) < 4 * sigma


def test_wings_bring_back_what_they_do_not_fill() -> None:
    """What two-wing rotors carry round the bores, less what the mesh brings back beside the wings, is one ring."""
    p = PAIRS["wing"]
    reach = p.tip_radius_mm + GAP / 2
    ring = math.pi * (reach**2 - (C - reach) ** 2)
    carried = 2 * (math.pi * reach**2 - shapely.Polygon(p.points).buffer(GAP / 2).area)
    assert carried > 1.2 * ring
    assert by_spaces(p) == pytest.approx(ring, rel=METHODS)
    # and narrower wings carry more, bring back more, and deliver the same
    narrow = PAIRS["wing, narrowest"]
    assert closed_form(narrow, 1.0) == pytest.approx(by_spaces(narrow), rel=METHODS)


def test_delivery_at_one_angle_by_the_outlet_space() -> None:
    """Between two jumps the two-wing form delivers evenly: half the ring's width squared, a radian."""
    p = PAIRS["wing"]
    outlet = Outlet(p)
    reach = p.tip_radius_mm + GAP / 2
    lost = outlet.area(20.0) - outlet.area(24.0)
    assert lost == pytest.approx(math.radians(4) * (reach**2 - (C - reach) ** 2) / 2, rel=1e-3)
    # what is counted is the lower half of what the cavity has left, with the port
    drive = shapely.Polygon(turn(outlet.rotor, 20.0) - outlet.axis)
    driven = shapely.Polygon(turn(outlet.rotor, 70.0) + outlet.axis)
    assert not drive.intersects(driven) or drive.intersection(driven).area < GAP * C
    assert outlet.area(20.0) < outlet.cavity.area - drive.area - driven.area


@settings(max_examples=8, deadline=None)
@given(
    c=st.floats(55, 220),
    gap=st.floats(0.0005, 0.003),
    tip=st.floats(0.0, 1.0),
    form=st.sampled_from(get_args(RotorForm)),
)
def test_methods_agree_over_the_family(c: float, gap: float, tip: float, form: RotorForm) -> None:
    low, high = {"two-wing": (0.68, 0.74), "two-lobe": (0.72, 0.80), "three-lobe": (0.645, 0.71)}[form]
    p = make_profile(form, c, (low + tip * (high - low)) * c, gap * c)
    # setting the rotors out shifts the spaces in proportion to the gap
    assert by_spaces(p) == pytest.approx(by_flow(p), rel=METHODS * max(1.0, gap / 0.001))


def test_film_bounds_the_choice_of_the_parting_surface() -> None:
    """Counting liquid to the bore, or to the rotor only, moves the figure by less than the stated film."""
    for p in PAIRS.values():
        r, whole = p.tip_radius_mm, shapely.Polygon(p.points)

        def moved(
            share: float, r: float = r, whole: shapely.Polygon = whole, wing: bool = p.curve == "wing"
        ) -> float:
            """With this share of each gap given to the rotor."""
            reach = r + GAP * (1 - share)
            if wing:
                return math.pi * WIDTH * (reach**2 - (C - r - GAP + share * GAP) ** 2)
            return 2 * WIDTH * (math.pi * reach**2 - float(whole.buffer(share * GAP).area))

        found = displacement(p, WIDTH)
        assert moved(0.5) == pytest.approx(found.flow_mm3, rel=5e-5)
        for share in (0.0, 1.0):
            assert abs(moved(share) - moved(0.5)) <= found.film_mm3
        assert found.film_mm3 < 0.01 * found.volume_mm3
