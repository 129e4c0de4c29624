"""Studs, screws, nuts and dowels: reach and widths, by the solids themselves."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.dimensions.threads import Thread, thread_table
from benchleaf.geometry.parts.fasteners import (
    THREAD_CLEARANCE_MM,
    make_cover_nut,
    make_dowel,
    make_hex_nut,
    make_screw,
    make_stud,
    make_wing_nut,
    nut_height,
    nut_turn_deg,
    stud_span_z,
    wing_reach,
)
from probing import Probe
from stacks import stack_of

THREADS = [pytest.param(t, id=f"M{t.nominal_mm:g}") for t in thread_table()]


@pytest.mark.parametrize("nuts", ["hex", "wing"])
@pytest.mark.parametrize("centre", [55.0, 80.0, 220.0])
def test_stud_reaches_through_its_nut(centre: float, nuts: str) -> None:
    stack = stack_of(centre, cover_nuts=nuts)
    s, t = stack.size, stack.size.stud_thread
    box = make_stud(stack).copy().BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx(stud_span_z(stack), abs=1e-5)
    nut_front = stack.face_z + s.cover_thickness_mm + nut_height(stack)
    assert box.zmax - nut_front == pytest.approx(2 * t.pitch_mm, abs=1e-5)
    assert -box.zmin == pytest.approx(2 * t.nominal_mm, abs=1e-5)
    assert t.root_radius_mm < box.xmax < t.radius_mm


@pytest.mark.parametrize("thread", THREADS)
def test_hex_nut_has_the_standard_widths(thread: Thread) -> None:
    nut = make_hex_nut(thread)
    box = nut.copy().BoundingBox()
    assert (box.ylen, box.zmin, box.zmax) == pytest.approx(
        (thread.across_flats_mm, 0, thread.nut_height_mm), abs=1e-5
    )
    bore = Probe(nut).radius(thread.nut_height_mm / 2, thread.nominal_mm)
    assert bore == pytest.approx(thread.radius_mm + THREAD_CLEARANCE_MM, abs=1e-5)


@pytest.mark.parametrize("thread", THREADS)
def test_screw_has_the_standard_head_and_the_asked_shank(thread: Thread) -> None:
    shank = 4.0 * thread.nominal_mm
    box = make_screw(thread, shank).copy().BoundingBox()
    assert (box.zmin, box.zmax, box.xlen) == pytest.approx(
        (-shank, thread.head_height_mm, thread.head_diameter_mm), abs=1e-5
    )
    probe = Probe(make_screw(thread, shank))
    # The shank is plain above its thread, and the socket is open to the front.
    assert probe.radius(-thread.nominal_mm, thread.nominal_mm) < thread.radius_mm
    assert not probe.metal((0, 0, thread.head_height_mm - 0.1))
    assert probe.metal((0, 0, 0.1))


def test_a_short_screw_is_threaded_up_to_its_head() -> None:
    m10 = next(t for t in thread_table() if t.nominal_mm == 10)
    short = make_screw(m10, 12.0)
    assert short.copy().BoundingBox().zmin == pytest.approx(-12.0, abs=1e-5)
    assert Probe(short).radius(-0.05, 10.0) < m10.radius_mm - 0.3  # a thread's root, right under the head


def test_wing_nut_reaches_as_far_as_it_says() -> None:
    stack = stack_of(80.0, cover_nuts="wing")
    nut = make_wing_nut(stack)
    d = stack.size.stud_thread.nominal_mm
    assert max(math.hypot(v.X, v.Y) for v in nut.Vertices()) == pytest.approx(wing_reach(stack), rel=1e-6)
    assert wing_reach(stack) == pytest.approx(math.hypot(2.0, 0.17) * d)
    box = nut.copy().BoundingBox()
    assert box.zmin == pytest.approx(0, abs=1e-5)
    assert (box.xlen, box.ylen) == pytest.approx((4 * d, 2 * d), abs=1e-5)  # wings across, hub
    wide = stack_of(80.0, {"wing_nut_span_mm": 24.0}, cover_nuts="wing")
    assert make_wing_nut(wide).copy().BoundingBox().xmax == pytest.approx(24.0, abs=1e-5)


def test_the_cover_nut_is_that_of_the_options() -> None:
    hexed, winged = (make_cover_nut(stack_of(80.0, cover_nuts=n)) for n in ("hex", "wing"))
    assert hexed.Volume() == pytest.approx(make_hex_nut(stack_of(80.0).size.stud_thread).Volume())
    assert winged.copy().BoundingBox().xlen > 2 * hexed.copy().BoundingBox().xlen


def test_wing_nuts_stand_along_the_outline() -> None:
    stack = stack_of(80.0)
    assert nut_turn_deg(stack, (10.0, 0.0)) == pytest.approx(90.0)
    assert nut_turn_deg(stack, (10.0, 10.0)) == pytest.approx(135.0)


def test_dowel_is_bevelled_at_both_ends() -> None:
    dowel = make_dowel(10.0, -8.0, 50.0)
    box = dowel.copy().BoundingBox()
    assert (box.xlen, box.zmin, box.zmax) == pytest.approx((10.0, -8.0, 50.0), abs=1e-5)
    probe = Probe(dowel)
    for end, way in ((-8.0, 1), (50.0, -1)):
        assert probe.radius(end + way * 1e-4, 6.0) == pytest.approx(3.8, abs=1e-3)
        assert probe.radius(end + way * 1.3, 6.0) == pytest.approx(5.0, abs=1e-5)
