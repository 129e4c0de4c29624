"""Assemblies: what turns together, and where it stands at an angle of the driving shaft."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.assembly import Assembly, Part, TurningGroup, places_at, poses_at
from benchleaf.geometry.frame import Place
from hypothesis import given
from hypothesis import strategies as st

ARM = TurningGroup("arm", ("arm", "pin"), (10.0, 0.0, 0.0), carrier="arm")
WHEEL = TurningGroup("wheel", ("wheel",), (0.0, 0.0, 5.0), (0.0, 1.0, 0.0), -2.0)
HOME = {
    "base": Place.at(1, 2, 3),
    "arm": Place.at(12, 0, 0) @ Place.turn(30.0),
    "pin": Place.at(10, 3, 7),
    "wheel": Place.at(0, 4, 6),
}


def sample() -> Assembly:
    parts = {k: Part(k, k, k, "316L", None, p) for k, p in HOME.items()}  # type: ignore[arg-type]
    return Assembly("arm", parts, turning=(ARM, WHEEL))


def test_parts_turn_about_the_axis_of_their_group_by_its_ratio() -> None:
    """By hand: the arm's origin, 2 mm out on X, goes to 2 mm out on Y; the wheel, geared -2 to 1, goes half round."""
    turned = sample().places_at(90.0)
    assert list(turned) == list(HOME)
    assert turned["base"] == HOME["base"]
    assert turned["arm"].shift == pytest.approx((10.0, 2.0, 0.0))
    assert turned["arm"].direction((1.0, 0.0, 0.0)) == pytest.approx(
        (math.cos(math.radians(120)), math.sin(math.radians(120)), 0.0)
    )
    assert turned["pin"].shift == pytest.approx((7.0, 0.0, 7.0))
    assert turned["wheel"].shift == pytest.approx((0.0, 4.0, 4.0))


def test_at_the_mark_every_part_is_in_its_very_place() -> None:
    assert poses_at([ARM, WHEEL], 0.0) == {}
    assert sample().places_at(0.0) == HOME
    assert Assembly("none", {}).places_at(30.0) == {}


@given(st.floats(-720, 720), st.floats(-720, 720))
def test_turns_add_up(a: float, b: float) -> None:
    """What is turned further from where it stands, stands where both turns take it."""
    further = places_at(places_at(HOME, [ARM, WHEEL], a), [ARM, WHEEL], b)
    at_once = places_at(HOME, [ARM, WHEEL], a + b)
    for key in HOME:
        assert further[key].matrix() == pytest.approx(at_once[key].matrix(), abs=1e-6)


def test_a_part_knows_its_group() -> None:
    assert sample().turning_group("pin") is ARM
    with pytest.raises(KeyError, match="base"):
        sample().turning_group("base")
