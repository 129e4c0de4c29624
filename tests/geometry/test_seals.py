"""Mechanical seals: rotating ring, stationary rings, pins and springs against the stack-up, single and double."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.seals import (
    FACE_RELIEF_MM,
    atmosphere_pin_angles,
    make_atmosphere_ring,
    make_pin,
    make_rotating_ring,
    make_stationary_ring,
    notch_depth,
    pin_angles,
    pin_circle,
    pin_hole_depth,
    rotating_ring_features,
    seal_groove_z,
    seal_length,
    seal_radius,
    spring_height,
    spring_radii,
    stationary_features,
)
from probing import Probe
from stacks import stack_of

SINGLE = [pytest.param(stack_of(c), id=f"{c:g}") for c in (55.0, 80.0, 220.0)]
DOUBLE = [pytest.param(stack_of(c, seal="double"), id=f"{c:g}, double") for c in (55.0, 80.0, 220.0)]
BOTH = [
    pytest.param(p.values[0], o, id=f"{p.id}, {'outer' if o else 'inner'}")
    for p in DOUBLE
    for o in (False, True)
]


@pytest.mark.parametrize("stack", [*SINGLE, *DOUBLE])
def test_seat_fits_the_collar_and_bears_its_lapped_bands(stack: StackUp) -> None:
    s, seat = stack.size, make_rotating_ring(stack)
    box, probe = seat.copy().BoundingBox(), Probe(seat)
    assert (box.zmin, box.zmax) == pytest.approx(
        (stack.rotating_ring_rear_z - stack.rotating_ring_face_z, 0.0), abs=1e-5
    )
    assert box.xmax == pytest.approx(stack.rotating_ring_radius, abs=1e-5)
    # Its bore slides on the journal, its socket on the collar with its flats.
    assert probe.radius(-2.0, 150.0) == pytest.approx(s.shaft_radius_mm + s.fit_gap_mm, abs=1e-5)
    socket = box.zmin + 0.1
    assert probe.radius(socket, 150.0) == pytest.approx(stack.flats_half + s.fit_gap_mm, abs=1e-5)
    assert probe.radius(socket, 150.0, angle_deg=90) == pytest.approx(
        stack.collar_radius + s.fit_gap_mm, abs=1e-5
    )
    # Bands stand out by the relief; between them and outside of them the face lies back.
    inside = s.shaft_radius_mm + s.rotating_ring_band_inner_step_mm
    band = probe.radius(-FACE_RELIEF_MM / 2, 150.0)
    assert band == pytest.approx(inside, abs=1e-5)
    outside = probe.radius(-FACE_RELIEF_MM / 2, 150.0, start=band + 0.1)
    assert outside == pytest.approx(s.shaft_radius_mm + s.rotating_ring_band_outer_step_mm, abs=1e-5)
    # The ring has its wall round the collar, and all of the band.
    assert stack.rotating_ring_radius - stack.collar_radius - s.fit_gap_mm >= min(4.0, 0.08 * s.c)
    assert outside < stack.rotating_ring_radius - FACE_RELIEF_MM / 2
    if stack.double:
        second = probe.radius(-FACE_RELIEF_MM / 2, 150.0, start=outside + 0.1)
        assert second == pytest.approx(s.shaft_radius_mm + s.atmosphere_band_inner_step_mm, abs=1e-5)


@pytest.mark.parametrize(("stack", "outer"), BOTH)
def test_stationary_seal_lies_in_its_bore_and_over_its_pins(stack: StackUp, outer: bool) -> None:
    s, ring = stack.size, make_atmosphere_ring(stack) if outer else make_stationary_ring(stack)
    box, probe = ring.copy().BoundingBox(), Probe(ring)
    length, radius, circle = seal_length(stack, outer), seal_radius(stack, outer), pin_circle(stack, outer)
    assert (box.zmin, box.zmax) == pytest.approx((0.0, length), abs=1e-5)
    z0, z1 = seal_groove_z(stack, outer)
    away = -45.0 if not outer else 0.0  # between the pins
    hole = probe.radius((z0 + z1) / 2, 80.0, angle_deg=away)
    bottom = probe.radius((z0 + z1) / 2, 80.0, start=hole + 0.05, angle_deg=away)
    gland = radius + s.fit_gap_mm - bottom
    assert gland == pytest.approx(stack.sliding_gland_mm(s.seal_oring_section_mm), abs=1e-5)
    assert z1 - z0 == pytest.approx(stack.gland_width_mm(s.seal_oring_section_mm))
    for angle in atmosphere_pin_angles(stack) if outer else pin_angles(stack):
        a = math.radians(angle)
        at = (circle * math.cos(a), circle * math.sin(a))
        depth = probe.surface((*at, length + 1.0), (0, 0, -1), length)
        assert depth - 1.0 == pytest.approx(notch_depth(stack, outer), abs=1e-5)


@pytest.mark.parametrize("outer", [False, True])
@pytest.mark.parametrize("centre", [45.0, 62.0, 80.0, 118.0, 300.0])
def test_rings_have_their_wall_at_the_notches(centre: float, outer: bool) -> None:
    """Measured in the solid: from the ring's bore outwards to the floor of a notch."""
    stack = stack_of(centre, seal="double")
    s, probe = stack.size, Probe(make_atmosphere_ring(stack) if outer else make_stationary_ring(stack))
    angle = (atmosphere_pin_angles(stack) if outer else pin_angles(stack))[0]
    back = seal_length(stack, outer) - notch_depth(stack, outer) / 2
    bore = probe.radius(back, 300.0, angle_deg=angle)
    wall = probe.radius(back, 300.0, start=bore + 0.05, angle_deg=angle) - bore
    assert wall == pytest.approx(s.seal_wall_mm, abs=1e-4)
    assert wall >= 4.0 - 1e-4 or centre < 50.0
    assert wall >= 3.4


@pytest.mark.parametrize("outer", [False, True])
@pytest.mark.parametrize("share", [0.9, 1.1])
def test_a_nose_may_be_narrower_or_wider_than_its_ring(share: float, outer: bool) -> None:
    name = f"{'atmosphere' if outer else 'stationary'}_nose_outer_step_mm"
    usual = stack_of(80.0, seal="double")
    stack = stack_of(80.0, {name: share * getattr(usual.size, name)}, seal="double")
    ring = make_atmosphere_ring(stack) if outer else make_stationary_ring(stack)
    nose = stack.size.shaft_radius_mm + getattr(stack.size, name)
    assert ring.copy().BoundingBox().xmax == pytest.approx(max(nose, seal_radius(stack, outer)), abs=1e-5)
    probe = Probe(ring)
    inside = probe.radius(0.3, 80.0)
    assert probe.radius(0.3, 80.0, start=inside + 0.1) == pytest.approx(nose, abs=1e-5)


@pytest.mark.parametrize(("shaft", "wall"), [(0.38, 3.6), (0.41, 3.2)])
def test_walls_give_way_where_two_rings_have_no_room(shaft: float, wall: float) -> None:
    measures = {**example_measures(45.0), "shaft_diameter_mm": shaft * 45.0}
    stack = StackUp(make_size("t", measures), Options(seal="double"))
    assert stack.size.seal_wall_mm == pytest.approx(wall, abs=0.05)
    assert stack.size.c / 2 - stack.rotating_ring_chamber_radius >= 0.02 * stack.size.c - 1e-9


@pytest.mark.parametrize(("stack", "outer"), BOTH)
def test_pin_is_pressed_into_the_body_and_reaches_into_its_notch(stack: StackUp, outer: bool) -> None:
    box = make_pin(stack, outer).copy().BoundingBox()
    assert box.xlen == pytest.approx(stack.size.seal_pin_diameter_mm, abs=1e-5)
    assert 0 < box.zmax < pin_hole_depth(stack, outer)
    into_notch = -box.zmin - spring_height(stack, outer)
    assert into_notch == pytest.approx(0.75 * notch_depth(stack, outer), abs=1e-5)


@pytest.mark.parametrize(("stack", "outer"), BOTH)
def test_spring_lies_between_the_shaft_and_the_pins(stack: StackUp, outer: bool) -> None:
    s = stack.size
    inside, outside = spring_radii(stack, outer)
    assert inside < outside < pin_circle(stack, outer) - s.seal_pin_diameter_mm / 2
    assert inside > (stack.atmosphere_ring_hole_radius if outer else s.shaft_radius_mm + s.shaft_hole_gap_mm)


def test_pins_are_spread_evenly_and_the_outer_ones_between() -> None:
    for count in (1.0, 2.0, 3.0, 4.0):
        stack = stack_of(80.0, {"seal_pins": count}, seal="double")
        inner, outer = pin_angles(stack), atmosphere_pin_angles(stack)
        assert inner == [360.0 / count * k for k in range(int(count))]
        assert [b - a for a, b in zip(inner, outer, strict=True)] == [45.0] * int(count)
        # None over the flush connections, which come in above and below the shaft.
        assert all(abs(math.cos(math.radians(a))) > 0.2 for a in outer)


def test_features_name_each_notch_and_face() -> None:
    stack = stack_of(80.0, {"seal_pins": 3.0}, seal="double")
    inner, outer = (stationary_features(stack, o) for o in (False, True))
    assert [f.mates for f in inner if f.kind == "notch"] == ["seal_pin"] * 3
    assert [f.mates for f in outer if f.kind == "notch"] == ["atmosphere_pin"] * 3
    assert {f.name for f in rotating_ring_features(stack)} == {"bore", "drive flats", "lapped face"}
