"""The rotor nut: pocket, grooves, thread and hexagon against the stack-up."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.fasteners import THREAD_CLEARANCE_MM
from benchleaf.geometry.parts.nuts import BEARING_GAP_MM, make_rotor_nut, nut_features, spring_retaining_z
from probing import Probe
from stacks import stack_of

STACKS = [pytest.param(stack_of(c), id=f"{c:g}") for c in (45.0, 55.0, 80.0, 150.0, 220.0, 300.0)]


@pytest.mark.parametrize("stack", STACKS)
def test_nut_is_hollow_as_its_stack_says(stack: StackUp) -> None:
    s, nut = stack.size, make_rotor_nut(stack)
    box, probe = nut.copy().BoundingBox(), Probe(nut)
    assert (box.zmin, box.zmax) == pytest.approx((BEARING_GAP_MM, stack.nut_height), abs=1e-5)
    assert box.xmax == pytest.approx(stack.nut_flange_radius, abs=1e-5)
    pocket = stack.pocket_depth - 0.3 * s.disc_spring_thickness_mm
    assert probe.radius(pocket, 60.0) == pytest.approx(stack.pocket_radius, abs=1e-5)
    thread = stack.pocket_depth + s.nut_thread_length_mm / 2
    assert probe.radius(thread, 60.0) == pytest.approx(
        s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM, abs=1e-5
    )
    # The shaft's end stays within the thread, short of the drill's point.
    assert (
        stack.pocket_depth
        < stack.shaft_end_z - stack.recess_floor_z
        < stack.pocket_depth + s.nut_thread_length_mm
    )


@pytest.mark.parametrize("stack", STACKS)
def test_grooves_take_their_rings(stack: StackUp) -> None:
    s, probe = stack.size, Probe(make_rotor_nut(stack))
    inner, outer = stack.nut_groove_radii
    depth = probe.surface(((inner + outer) / 2, 0, 0), (0, 0, 1), 10.0)
    assert depth == pytest.approx(stack.face_gland_mm(s.nut_oring_section_mm), abs=1e-5)
    half = s.spring_retaining_oring_section_mm / 2
    bottom = probe.radius(spring_retaining_z(stack), 60.0)
    # The retainer lies free in its groove, and is held by it: some of it beyond the pocket's wall.
    assert bottom > stack.spring_retaining_centre_radius + half
    assert stack.spring_retaining_centre_radius + half > stack.pocket_radius + 0.2 * half
    assert bottom < inner - 0.3
    # It lies right behind the disc spring's outer edge.
    assert spring_retaining_z(stack) + half < stack.pocket_depth - s.disc_spring_thickness_mm


@pytest.mark.parametrize("stack", STACKS)
def test_hexagon_takes_a_spanner_over_its_flats(stack: StackUp) -> None:
    s, probe = stack.size, Probe(make_rotor_nut(stack))
    middle = s.nut_flange_thickness_mm + 0.2 * (stack.nut_height - 0.06 * s.c - s.nut_flange_thickness_mm)
    solid = 0.9 * s.nut_across_flats_mm / 2  # within the metal, outside of the thread
    flat = probe.radius(middle, 90.0, start=solid, angle_deg=90)
    corner = probe.radius(middle, 90.0, start=solid, angle_deg=0)
    assert 2 * flat == pytest.approx(s.nut_across_flats_mm, abs=1e-5)
    assert 2 * corner == pytest.approx(s.nut_across_flats_mm / math.cos(math.pi / 6), abs=1e-4)


def test_overridden_dimensions_reach_the_solid() -> None:
    usual, other = stack_of(80.0), stack_of(80.0, {"nut_flange_thickness_mm": 6.5, "nut_crown_mm": 4.0})
    more = 4.0 - usual.size.nut_crown_mm
    boxes = [make_rotor_nut(s).copy().BoundingBox() for s in (usual, other)]
    assert boxes[1].zmax - boxes[0].zmax == pytest.approx(more, abs=1e-5)
    rim = Probe(make_rotor_nut(other)).surface((other.nut_flange_radius - 0.6, 0, 1.0), (0, 0, 1), 9.0)
    assert rim + 1.0 == pytest.approx(6.5, abs=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_metal_is_left_over_the_blind_thread_and_round_the_pocket(stack: StackUp) -> None:
    """The drill's point does not come through the dome, nor the pocket through the hexagon's flats."""
    s, probe = stack.size, Probe(make_rotor_nut(stack))
    wall = 0.01 * s.c
    end = stack.pocket_depth + s.nut_thread_length_mm
    point = end + 0.2 * (s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM)
    assert probe.surface((0, 0, end - 0.5), (0, 0, 1), 30.0) == pytest.approx(point - end + 0.5, abs=1e-5)
    for radius, low in ((0.0, point), (s.rotor_thread.radius_mm + THREAD_CLEARANCE_MM + 0.02, end)):
        top = low + 0.01 + probe.surface((radius, 0, low + 0.01), (0, 0, 1), 30.0)
        assert top - low >= wall
    # Over the pocket's outer edge, towards a flat.
    edge = (0, stack.pocket_radius - 0.05, stack.pocket_depth + 0.01)
    assert probe.metal(edge)
    assert probe.surface(edge, (0, 0, 1), 60.0) >= min(wall, 1.0) - 0.02


@pytest.mark.parametrize("stack", STACKS)
def test_thread_is_engaged_by_eight_tenths_of_its_diameter(stack: StackUp) -> None:
    s = stack.size
    full = stack.shaft_end_z - 0.5 * s.rotor_thread_pitch_mm - stack.recess_floor_z - stack.pocket_depth
    assert full >= 0.8 * s.rotor_thread_mm - 0.51 * s.rotor_thread_pitch_mm
    assert full + 0.5 * s.rotor_thread_pitch_mm >= 0.8 * s.rotor_thread_mm


def test_features_mate_with_what_the_nut_holds() -> None:
    stack = stack_of(80.0)
    assert {f.mates for f in nut_features(stack)} == {
        "shaft",
        "disc_spring",
        "spring_retaining_oring",
        "nut_oring",
    }
    pocket = next(f for f in nut_features(stack) if f.kind == "pocket")
    assert pocket.size_mm == pytest.approx(
        stack.size.disc_spring_outer_mm + 2 * stack.size.disc_spring_play_mm
    )
