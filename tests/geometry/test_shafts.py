"""Shafts and keys: steps, grooves, flats and keyways of the solids against the stack-up."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.shafts import (
    KEY_PLAY_MM,
    make_key,
    make_shaft,
    shaft_features,
    shaft_groove_radius,
    shaft_groove_z,
    shaft_rear_z,
)
from probing import Probe
from stacks import stack_of

STACKS = [
    pytest.param(stack_of(c, rotor=rotor, seal=seal), id=f"{c:g}-{rotor}-{seal}")
    for c, rotor, seal in (
        (45.0, "two-wing", "single"),
        (80.0, "three-lobe", "double"),
        (300.0, "two-lobe", "single"),
    )
]


@pytest.mark.parametrize("stack", STACKS)
def test_steps_are_those_of_the_stack_up(stack: StackUp) -> None:
    s, probe = stack.size, Probe(make_shaft(stack, "drive"))

    def radius(z: float) -> float:
        # Away from flats (along X) and keyways (along +Y).
        return probe.radius(z, 2 * stack.bearing_radius, angle_deg=-90)

    groove0, groove1 = shaft_groove_z(stack)
    assert radius(-1.0 - s.collar_setback_mm) == pytest.approx(stack.bearing_radius, abs=1e-5)
    assert radius(s.collar_length_mm / 2) == pytest.approx(stack.collar_radius, abs=1e-5)
    assert radius((groove0 + groove1) / 2) == pytest.approx(shaft_groove_radius(stack), abs=1e-5)
    assert radius(groove1 + 0.1) == pytest.approx(s.shaft_radius_mm, abs=1e-5)
    assert radius((stack.hub_rear_z + stack.shoulder_z) / 2) == pytest.approx(s.shaft_radius_mm, abs=1e-5)
    assert radius(stack.shoulder_z - 0.01) == pytest.approx(
        s.shaft_radius_mm - s.hub_lead_mm + 0.01, abs=1e-5
    )
    for z in (stack.shoulder_z + 0.01, (stack.shoulder_z + stack.journal_end_z) / 2):
        assert radius(z) == pytest.approx(s.rotor_fit_mm / 2, abs=1e-5)
    assert radius(stack.shaft_end_z - 1.5 * s.rotor_thread.pitch_mm) < s.rotor_thread.radius_mm
    assert radius(-s.gear_case_depth_mm - s.drive_end_mm / 2) == pytest.approx(
        0.9 * s.shaft_radius_mm, abs=1e-5
    )


@pytest.mark.parametrize("stack", STACKS)
def test_flats_and_keyway(stack: StackUp) -> None:
    s, probe = stack.size, Probe(make_shaft(stack, "driven"))
    reach = 2 * stack.bearing_radius
    assert probe.radius(s.collar_length_mm / 2, reach) == pytest.approx(stack.flats_half, abs=1e-5)
    z = sum(stack.key_span_z) / 2
    bottom = s.journal_radius_mm - s.key_depth_mm - KEY_PLAY_MM
    assert probe.radius(z, reach, angle_deg=90) == pytest.approx(bottom, abs=1e-5)
    side = probe.surface((0, bottom + 0.1, z), (1, 0, 0), reach)
    assert side == pytest.approx(s.key_width_mm / 2 + KEY_PLAY_MM, abs=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_the_drive_shaft_reaches_out_of_the_case_and_the_driven_one_ends_in_it(stack: StackUp) -> None:
    depth = stack.size.gear_case_depth_mm
    drive, driven = (make_shaft(stack, side).copy().BoundingBox() for side in ("drive", "driven"))
    assert drive.zmin == pytest.approx(shaft_rear_z(stack, "drive"), abs=1e-5)
    assert driven.zmin == pytest.approx(shaft_rear_z(stack, "driven"), abs=1e-5)
    assert drive.zmin < -depth < driven.zmin
    assert drive.zmax == pytest.approx(stack.shaft_end_z, abs=1e-5)
    assert driven.zmax == pytest.approx(stack.shaft_end_z, abs=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_key_fills_its_keyway_but_for_the_play(stack: StackUp) -> None:
    s, key = stack.size, make_key(stack)
    box, (z0, z1) = key.copy().BoundingBox(), stack.key_span_z
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx(
        (s.key_width_mm, s.key_height_mm, s.key_length_mm), abs=1e-5
    )
    assert box.ymax == pytest.approx(s.journal_radius_mm + s.key_rise_mm, abs=1e-5)
    assert box.ymin == pytest.approx(s.journal_radius_mm - s.key_depth_mm, abs=1e-5)
    b, h, length = s.key_width_mm, s.key_height_mm, s.key_length_mm
    assert key.Volume() == pytest.approx(h * (b * (length - b) + math.pi * b * b / 4), rel=1e-9)
    # The key lies on the rotor fit, clear of the shoulder and of the fit's end.
    assert stack.shoulder_z < z0 < z1 < stack.journal_end_z
    assert z1 - z0 > s.key_width_mm


def test_overridden_dimensions_reach_the_solid() -> None:
    stack = stack_of(80.0, {"drive_end_mm": 70.0, "bearing_bore_mm": 45.0, "journal_setback_mm": 1.0})
    shaft = make_shaft(stack, "drive")
    assert shaft.copy().BoundingBox().zmin == pytest.approx(-stack.size.gear_case_depth_mm - 70.0, abs=1e-5)
    assert Probe(shaft).radius(-5.0, 40.0) == pytest.approx(22.5, abs=1e-5)


def test_features_are_where_the_solid_has_them() -> None:
    stack = stack_of(80.0)
    features = {f.name: f for f in shaft_features(stack)}
    assert set(features) == {"seal journal", "drive flats", "rotor journal", "keyway", "thread"}
    probe = Probe(make_shaft(stack, "drive"))
    journal = features["rotor journal"]
    at = journal.origin[2] + 1.0
    assert 2 * probe.radius(at, 40.0, angle_deg=-90) == pytest.approx(journal.size_mm, abs=1e-5)
    assert features["drive flats"].size_mm == pytest.approx(2 * stack.flats_half)
