"""Rotors: bore, recess, keyways and hub of the solids against the stack-up and the plane outline."""

from __future__ import annotations

import math
from functools import cache

import cadquery as cq
import pytest
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.rotors import keyway_angles, make_rotor, rotor_features, rotor_profile
from probing import Probe
from stacks import stack_of

STACKS = [
    pytest.param(stack_of(c, rotor=rotor), id=f"{c:g}-{rotor}")
    for c, rotor in (
        (45.0, "two-wing"),
        (80.0, "two-lobe"),
        (150.0, "three-lobe"),
        (220.0, "two-wing"),
        (300.0, "three-lobe"),
    )
]
FAR = 300.0


@cache
def rotor_of(stack: StackUp) -> cq.Solid:
    """Return a stack's rotor, made once for all tests."""
    return make_rotor(stack)


@pytest.mark.parametrize("stack", STACKS)
def test_rotor_fills_its_width_and_its_tips(stack: StackUp) -> None:
    box = rotor_of(stack).copy().BoundingBox()
    s = stack.size
    assert (box.zmin, box.zmax) == pytest.approx((-s.rotor_width_mm, 0.0), abs=1e-5)
    assert box.ymax == pytest.approx(s.tip_radius_mm, abs=2e-3)  # a wing or lobe stands up


@pytest.mark.parametrize("stack", STACKS)
def test_bore_recess_and_land_are_those_of_the_stack_up(stack: StackUp) -> None:
    s, front = stack.size, stack.rotor_front_z
    probe = Probe(rotor_of(stack))
    hub_rear, shoulder, web_rear, floor = (
        z - front for z in (stack.hub_rear_z, stack.shoulder_z, stack.web_rear_z, stack.recess_floor_z)
    )

    def bore(z: float) -> float:
        # At 45 degrees from the keyways, and away from them at every form.
        return probe.radius(z, FAR, angle_deg=-45)

    assert bore((shoulder + web_rear) / 2) == pytest.approx(s.rotor_fit_mm / 2 + s.fit_gap_mm, abs=1e-5)
    # The hub's rear sits on the seal journal, with a groove in the middle of it; the shoulder before it is solid.
    pilot = s.shaft_diameter_mm / 2 + s.fit_gap_mm
    groove = s.shaft_diameter_mm / 2 + stack.radial_gland_mm(s.hub_oring_section_mm)
    start = hub_rear + s.hub_land_mm
    end = start + stack.gland_width_mm(s.hub_oring_section_mm)
    for z, radius in ((start - 0.1, pilot), (start + 0.1, groove), (end - 0.1, groove), (end + 0.1, pilot)):
        assert bore(z) == pytest.approx(radius, abs=1e-5)
    assert bore(shoulder - 0.01) == pytest.approx(pilot, abs=1e-5)
    inner, outer = stack.shoulder_radii
    assert probe.metal((0.7071 * (inner + 0.05), -0.7071 * (inner + 0.05), shoulder + 0.01))
    assert probe.metal((0.7071 * (outer - 0.05), -0.7071 * (outer - 0.05), shoulder + 0.01))
    web = (web_rear + floor) / 2
    assert probe.radius(web, FAR) == pytest.approx(s.rotor_thread.radius_mm + s.thread_hole_gap_mm, abs=1e-5)
    # The recess is open to the front down to its floor, but for the land in its middle.
    assert probe.radius(-1.0, FAR) == pytest.approx(stack.recess_radius, abs=1e-5)
    depth = probe.surface((0.5 * (stack.land_radius + stack.recess_radius), 0, 0), (0, 0, -1), FAR)
    assert depth == pytest.approx(stack.recess_depth, abs=1e-5)
    land = probe.surface((stack.land_radius - 0.1, 0, 0), (0, 0, -1), FAR)
    assert land == pytest.approx(stack.recess_depth - stack.land_height, abs=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_either_keyway_takes_the_key_of_its_shaft(stack: StackUp) -> None:
    s, probe = stack.size, Probe(rotor_of(stack))
    first, second = keyway_angles(stack)
    assert first - second == stack.phase_deg
    z = stack.web_rear_z - stack.rotor_front_z - 1.0
    top = s.rotor_fit_mm / 2 + s.hub_keyway_mm
    for angle in (first, second):
        assert probe.radius(z, FAR, angle_deg=angle) == pytest.approx(top, abs=1e-5)
        a = math.radians(angle)
        at = (
            (s.journal_radius_mm + s.key_rise_mm / 2) * math.cos(a),
            (s.journal_radius_mm + s.key_rise_mm / 2) * math.sin(a),
        )
        side = probe.surface((*at, z), (math.sin(a), -math.cos(a), 0), 20.0)
        assert side == pytest.approx(s.key_width_mm / 2 + s.keyway_play_mm, abs=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_a_two_wing_rotor_is_open_behind_its_hub(stack: StackUp) -> None:
    s, probe = stack.size, Probe(rotor_of(stack))
    behind = -s.rotor_width_mm + 0.5
    if stack.lobed:
        assert probe.radius(behind, FAR, angle_deg=-45) < stack.hub_radius
    else:
        # The wings pass over the boss at the running gap.
        over = probe.radius(behind, FAR, angle_deg=90)
        assert over == pytest.approx(s.boss_radius_mm + s.running_gap_mm, abs=1e-5)
        # The hub goes on behind its full width as a neck, which ends short of the cavity's floor.
        neck = (stack.hub_rear_z + stack.hub_step_z) / 2 - stack.rotor_front_z
        inside = s.shaft_radius_mm + stack.hub_gland_depth + 0.1
        outside = probe.radius(neck, FAR, start=inside, angle_deg=90)
        assert outside == pytest.approx(stack.hub_neck_radius, abs=1e-5)
        assert stack.hub_neck_radius < stack.boss_bore_radius < s.boss_radius_mm


@pytest.mark.parametrize("stack", STACKS)
def test_volume_is_that_of_the_outline_less_what_is_bored_out(stack: StackUp) -> None:
    """Between web and recess nothing but the web's hole is taken out of the outline's area."""
    rotor, profile = rotor_of(stack), rotor_profile(stack)
    web_rear, floor = (z - stack.rotor_front_z for z in (stack.web_rear_z, stack.recess_floor_z))
    from benchleaf.geometry.cad_shapes import cylinder

    slab = rotor.intersect(cylinder(FAR, web_rear + 0.01, floor - 0.01)).Volume()
    hole = math.pi * (stack.size.rotor_thread.radius_mm + stack.size.thread_hole_gap_mm) ** 2
    assert slab == pytest.approx((floor - web_rear - 0.02) * (profile.area_mm2 - hole), rel=1e-4)


@pytest.mark.parametrize("stack", STACKS)
def test_the_hub_is_bored_out_ring_by_ring(stack: StackUp) -> None:
    """From the O-ring's groove to the shoulder: pilot and groove, and nothing of the keyways."""
    from benchleaf.geometry.cad_shapes import cylinder

    s, front = stack.size, stack.rotor_front_z
    start, end = stack.hub_groove_z[0] - front, stack.shoulder_z - front
    pilot, section = s.shaft_diameter_mm / 2 + s.fit_gap_mm, s.hub_oring_section_mm
    bottom = s.shaft_diameter_mm / 2 + stack.radial_gland_mm(section)
    taken = cylinder(bottom + 0.5, start, end).cut(rotor_of(stack)).Volume()
    groove = math.pi * (bottom**2 - pilot**2) * stack.gland_width_mm(section)
    assert taken == pytest.approx(math.pi * pilot**2 * (end - start) + groove, rel=1e-6)


def test_cleaning_holes_go_through_each_wing_and_lobe() -> None:
    for rotor, count in (("two-wing", 2), ("three-lobe", 3)):
        stack = stack_of(80.0, rotor=rotor, cleaning_in_place=True)
        probe = Probe(rotor_of(stack))
        radius = stack.size.rotor_cleaning_share * (stack.hub_radius + stack.size.tip_radius_mm)
        for k in range(count):
            a = math.radians(90 + 360 * k / count)
            x, y = radius * math.cos(a), radius * math.sin(a)
            assert not any(probe.metal((x, y, z)) for z in (-0.1, -28.0, -55.9)), rotor
    plain = Probe(rotor_of(stack_of(80.0)))
    assert plain.metal((0, 0.5 * (stack_of(80.0).hub_radius + 56.8), -0.1))


def test_features_of_a_rotor() -> None:
    stack = stack_of(80.0)
    features = rotor_features(stack)
    assert [f.mates for f in features] == ["shaft", "hub_oring", "rotor_nut", "key", "key"]
    assert features[0].size_mm == pytest.approx(2 * stack.size.journal_radius_mm)
