"""What is bought for a shaft: tables against the standards' figures, typed a second time; what the usual sizes take."""

from __future__ import annotations

import itertools
import math

import pytest
from benchleaf.geometry.dimensions.options import Options, RotorForm
from benchleaf.geometry.dimensions.shaft_stock import (
    BEARING_BORES_MM,
    HEXAGONS_MM,
    KEY_LENGTHS_MM,
    key_for,
    key_sections,
    largest_up_to,
    nearest_bearing,
)
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.size_checks import check_options
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.engineering.springs.disc_springs import FLAT_STRESS_MPA, spring_table

KEYS = """
8: 2 2 1.2 1.0 | 10: 3 3 1.8 1.4 | 12: 4 4 2.5 1.8 | 17: 5 5 3 2.3 | 22: 6 6 3.5 2.8 | 30: 8 7 4 3.3 | 38: 10 8 5 3.3
44: 12 8 5 3.3 | 50: 14 9 5.5 3.8 | 58: 16 10 6 4.3 | 65: 18 11 7 4.4 | 75: 20 12 7.5 4.9 | 85: 22 14 9 5.4
95: 25 14 9 5.4 | 110: 28 16 10 6.4 | 130: 32 18 11 7.4
"""
"""Shafts up to, mm: width, height, depth in the shaft, depth in the hub of DIN 6885-1."""
FORMS: tuple[RotorForm, ...] = ("two-wing", "two-lobe", "three-lobe")


def _keys() -> dict[float, tuple[float, ...]]:
    rows = [r.split(":") for line in KEYS.split("\n") for r in line.split("|") if r.strip()]
    return {float(most): tuple(float(x) for x in figures.split()) for most, figures in rows}


def test_keys_are_those_of_din_6885() -> None:
    table = {k.up_to_mm: (k.width_mm, k.height_mm, k.shaft_depth_mm, k.hub_depth_mm) for k in key_sections()}
    assert table == _keys()
    for a, b in itertools.pairwise(key_sections()):
        assert a.up_to_mm == b.above_mm
    for k in key_sections():
        # A key stands about half out of its shaft, and has some room over it in the hub.
        assert 0.15 <= k.hub_depth_mm - (k.height_mm - k.shaft_depth_mm) <= 0.45
        assert {k.shortest_mm, k.longest_mm} <= set(KEY_LENGTHS_MM)


@pytest.mark.parametrize(
    ("shaft", "width"), [(17.0, 5), (17.1, 6), (22.0, 6), (24.0, 8), (30.0, 8), (36.0, 10)]
)
def test_a_shaft_has_the_key_of_its_range(shaft: float, width: float) -> None:
    assert key_for(shaft).width_mm == width


def test_beyond_the_tables_their_ends_are_taken() -> None:
    assert key_for(3.0).width_mm == 2
    assert key_for(200.0).width_mm == 32
    assert largest_up_to(HEXAGONS_MM, 2.0) == 8
    assert nearest_bearing(500.0, 400.0) == BEARING_BORES_MM[-1]


def test_bearings_and_hexagons_are_stock() -> None:
    assert {15, 17, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95} <= set(BEARING_BORES_MM)
    assert {13, 16, 18, 21, 24, 27, 30, 34, 36, 41, 46, 50, 55, 60, 65, 70, 75, 80} <= set(HEXAGONS_MM)


def _stack(centre: float, form: RotorForm) -> StackUp:
    return StackUp(make_size("t", example_measures(centre, form)), Options(rotor=form))


HEADS = [
    (centre, form)
    for centre, form in itertools.product((45.0, 55.0, 62.0, 80.0, 118.0, 150.0, 220.0, 300.0), FORMS)
    if (centre, form) != (45.0, "two-lobe")  # its hub has no room for the nut of the smallest thread
]


@pytest.mark.parametrize(("centre", "form"), HEADS)
def test_usual_heads_are_made_of_stock_parts(centre: float, form: RotorForm) -> None:
    stack = _stack(centre, form)
    check_options(stack.size, stack.options)
    s = stack.size
    key = key_for(s.rotor_fit_mm)
    assert (s.key_width_mm, s.key_height_mm) == (key.width_mm, key.height_mm)
    assert (s.key_depth_mm, s.hub_keyway_mm) == (key.shaft_depth_mm, key.hub_depth_mm)
    assert s.key_length_mm in KEY_LENGTHS_MM
    assert s.bearing_bore_mm in BEARING_BORES_MM
    assert s.nut_across_flats_mm in HEXAGONS_MM
    springs = {
        (r.spring.outer_mm, r.spring.inner_mm, r.spring.thickness_mm, r.spring.cone_mm): r.spring
        for r in spring_table()
    }
    spring = springs[
        s.disc_spring_outer_mm, s.disc_spring_inner_mm, s.disc_spring_thickness_mm, s.disc_spring_cone_mm
    ]
    assert abs(spring.stress_mpa(spring.cone_mm)["OM"]) <= FLAT_STRESS_MPA
    # The hub bears on at least one diameter of its fit, the key on most of that.
    assert s.rotor_fit_length_mm >= s.rotor_fit_mm
    assert s.key_length_mm >= 0.8 * s.rotor_fit_mm
    # The keyway stays within the bore on which the hub O-ring seals.
    corner = math.hypot(s.rotor_fit_mm / 2 + s.hub_keyway_mm, s.key_width_mm / 2 + s.keyway_play_mm)
    assert corner < s.shaft_diameter_mm / 2


CREDIBLE: list[tuple[dict[str, float], dict[str, float]]] = [
    ({}, {"key_width_mm": 8.0, "key_height_mm": 7.0, "key_depth_mm": 4.0, "hub_keyway_mm": 3.3}),
    ({"shaft_diameter_mm": 36.0}, {}),
    ({"shaft_diameter_mm": 32.0}, {"rotor_fit_mm": 24.0}),
    ({"shaft_diameter_mm": 24.0}, {"rotor_fit_mm": 17.0}),
    ({}, {"rotor_thread_mm": 16.0}),
    ({}, {"rotor_thread_mm": 12.0, "rotor_thread_pitch_mm": 1.75}),
    ({"rotor_width_mm": 42.0, "port_bore_mm": 32.0}, {}),
    ({"rotor_width_mm": 80.0}, {}),
    ({}, {"key_length_mm": 16.0}),
    ({}, {"nut_across_flats_mm": 30.0}),
]


@pytest.mark.parametrize(("measured", "overrides"), CREDIBLE)
def test_credible_heads_of_one_centre_distance_can_be_entered(
    measured: dict[str, float], overrides: dict[str, float]
) -> None:
    size = make_size("t", {**example_measures(80.0), **measured}, overrides)
    check_options(size, Options())


@pytest.mark.parametrize("row", [r for r in spring_table() if 14 <= r.spring.inner_mm <= 16.5])
def test_any_stock_disc_spring_that_the_hub_has_room_for_can_be_entered(row: object) -> None:
    spring = row.spring  # type: ignore[attr-defined]
    names = (
        "disc_spring_outer_mm",
        "disc_spring_inner_mm",
        "disc_spring_thickness_mm",
        "disc_spring_cone_mm",
    )
    figures = (spring.outer_mm, spring.inner_mm, spring.thickness_mm, spring.cone_mm)
    size = make_size("t", example_measures(80.0), dict(zip(names, figures, strict=True)))
    check_options(size, Options())
