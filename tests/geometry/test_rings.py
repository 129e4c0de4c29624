"""Elastic rings: volumes by Pappus, heights, and what a ring may do on its way and in its place."""

from __future__ import annotations

import math

import cadquery as cq
import pytest
from benchleaf.geometry.parts.rings import (
    CORE_CLEARANCE_MM,
    WAVE_GAP_MM,
    disc_spring,
    oring,
    stadium_oring,
    torus,
    wave_spring,
)
from probing import crossings
from sample_solids import kernel


def tops(spring: cq.Solid) -> list[cq.Vector]:
    """Return one point on each crest of a wave spring: where its middle line is highest."""
    depths = {a: crossings(spring, (17 * cos(a), 17 * sin(a), 10.0), (0, 0, -1))[0] for a in range(0, 360, 5)}
    high = [a for a in depths if depths[a] < depths[(a - 5) % 360] and depths[a] <= depths[(a + 5) % 360]]
    return [cq.Vector(cos(a), sin(a), 10.0 - depths[a]) for a in high]


def cos(angle_deg: float) -> float:
    return math.cos(math.radians(angle_deg))


def sin(angle_deg: float) -> float:
    return math.sin(math.radians(angle_deg))


def ring_volume(centre: float, section: float) -> float:
    return 2 * math.pi * centre * math.pi * section**2 / 4


def test_oring_in_its_gland() -> None:
    ring, elastic = oring(20.0, 3.53, 2.8)
    assert ring.Volume() == pytest.approx(ring_volume(20.0, 3.53))
    assert elastic.squeeze_mm == pytest.approx((3.53 - 2.8) / 2)
    assert elastic.passing is None
    # The core just clears the gland's walls.
    assert kernel(elastic.core).Volume() == pytest.approx(ring_volume(20.0, 2.8 - 2 * CORE_CLEARANCE_MM))


def test_a_stretched_ring_keeps_its_volume() -> None:
    _, elastic = oring(20.0, 3.53, 2.8, passing_radius=24.0)
    assert elastic.passing is not None
    assert kernel(elastic.passing).Volume() == pytest.approx(kernel(elastic.core).Volume(), rel=1e-9)
    assert kernel(elastic.passing).copy().BoundingBox().xmax > kernel(elastic.core).copy().BoundingBox().xmax
    _, smaller = oring(20.0, 3.53, 2.8, passing_radius=18.0)
    assert smaller.passing is not None
    assert (
        kernel(smaller.passing).Volume() < kernel(smaller.core).Volume()
    )  # pressed together it grows no thicker


def test_a_ring_thinner_than_its_gland_is_not_pressed_out() -> None:
    _, elastic = oring(20.0, 2.0, 2.8)
    assert kernel(elastic.core).Volume() == pytest.approx(ring_volume(20.0, 2.0 - 2 * CORE_CLEARANCE_MM))


def test_cover_ring_follows_its_groove() -> None:
    ring = stadium_oring(40.0, 60.0, 5.33)
    length = 2 * math.pi * 60 + 4 * 40
    assert ring.Volume() == pytest.approx(length * math.pi * 5.33**2 / 4)
    box = ring.copy().BoundingBox()
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx(
        (2 * (100 + 5.33 / 2), 2 * (60 + 5.33 / 2), 5.33), abs=1e-5
    )


@pytest.mark.parametrize("waves", [3, 4, 6, 8])
def test_wave_spring_fills_its_height_and_its_width(waves: int) -> None:
    spring, elastic = wave_spring(15.0, 19.0, 4.0, 0.5, waves)
    box = spring.copy().BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((0, 4), abs=0.02 + WAVE_GAP_MM)
    assert box.zmin >= 0
    assert box.zmax <= 4
    assert max(box.xmax, -box.xmin) == pytest.approx(19.0, abs=0.02)
    assert elastic.squeeze_mm == 0
    # As thick along the shaft everywhere: as much as the flat strip (Cavalieri).
    assert spring.Volume() == pytest.approx(math.pi * (19**2 - 15**2) * 0.5, rel=1e-3)
    # The waves are there to be seen: they take up all of the height but the strip.
    crests = {round(math.degrees(math.atan2(v.y, v.x))) % 360 for v in tops(spring)}
    assert len(crests) == waves
    assert elastic.free_rise == 1.0
    loose = wave_spring(15.0, 19.0, 4.0, 0.5, waves, 6.0)[1]
    assert loose.free_rise * (3.5 - 2 * WAVE_GAP_MM) + 0.5 == pytest.approx(6.0), "free, it is 6 mm high"


def test_disc_spring_opens_forwards() -> None:
    spring, elastic = disc_spring(12.4, 19.84, 1.3, 1.7, 2.1)
    box = spring.copy().BoundingBox()
    assert (box.xmax, box.zmin, box.zmax) == pytest.approx((9.92, 0, 1.7), abs=1e-6)
    # A parallelogram of height t, turned: Pappus with its middle radius.
    assert spring.Volume() == pytest.approx(2 * math.pi * (6.2 + 9.92) / 2 * (9.92 - 6.2) * 1.3)
    assert elastic.squeeze_mm == 0
    assert elastic.free_rise == pytest.approx(2.0), "free, its cone is 0.8 mm high instead of 0.4"
    assert disc_spring(12.4, 19.84, 1.3, 1.3, 2.1)[1].free_rise == 1.0, "pressed flat it has no cone to raise"


def test_equal_rings_are_one_solid() -> None:
    assert torus(10.0, 1.0) is torus(10.0, 1.0)
    assert oring(20.0, 3.53, 2.8)[0] is oring(20.0, 3.53, 2.8)[0]
