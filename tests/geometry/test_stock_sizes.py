"""Stock sizes: rows of the standards, and what is chosen from them."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.dimensions import stock_sizes
from benchleaf.geometry.dimensions.stock_sizes import (
    PINS_MM,
    PREFERRED_THREADS_MM,
    STRIP_MM,
    clearance_holes,
    ferrule_for,
    ferrules,
    nearest,
    next_below,
)
from benchleaf.geometry.dimensions.threads import thread_table
from stacks import stack_of


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(stock_sizes).failed == 0


def test_tables_run_from_small_to_large() -> None:
    outer, groove = ([getattr(f, n) for f in ferrules()] for n in ("outer_mm", "groove_mm"))
    for sizes in (PINS_MM, STRIP_MM, PREFERRED_THREADS_MM, outer, groove, list(clearance_holes().values())):
        assert list(sizes) == sorted(set(sizes))
    assert all(f.groove_mm < f.outer_mm for f in ferrules())


@pytest.mark.parametrize(
    ("bore", "outer"),
    # DIN 32676: row A (DN 20 to DN 200; DN 150 has one above its 167 mm), row C (1½ to 6 inch)
    [
        (20, 34), (26, 50.5), (32, 50.5), (38, 50.5), (50, 64), (66, 91), (81, 106), (100, 119), (125, 155),
        (200, 233.5), (34.8, 50.5), (47.5, 64), (60.2, 77.5), (72.9, 91), (97.4, 119), (146.9, 167),
    ],
)  # fmt: skip
def test_a_bore_has_the_ferrule_of_the_standard(bore: float, outer: float) -> None:
    assert ferrule_for(bore).outer_mm == outer


def test_beyond_the_table_the_largest_ferrule_stands() -> None:
    assert ferrule_for(1000.0) == ferrules()[-1]


def test_holes_are_those_of_the_medium_series() -> None:
    holes = clearance_holes()
    assert set(holes) == {t.nominal_mm for t in thread_table()}
    assert [holes[d] for d in (5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0)] == [
        5.5,
        6.6,
        9,
        11,
        13.5,
        17.5,
        22,
        26,
    ]
    assert set(PREFERRED_THREADS_MM) <= set(holes)


def test_the_nearest_and_the_next() -> None:
    assert nearest(PINS_MM, 100.0) == 50.0
    assert next_below(PINS_MM, 11.0) == 10.0
    assert next_below(PINS_MM, 1.0) == 1.0


@pytest.mark.parametrize(
    ("centre", "large", "small", "pin", "stud", "studs"),
    [
        (45, 6, 5, 1.5, 6, 4), (62, 8, 6, 2, 8, 4), (80, 10, 8, 2.5, 10, 6), (118, 16, 12, 4, 12, 6),
        (200, 25, 20, 6, 24, 8), (300, 40, 30, 8, 36, 8),
    ],
)  # fmt: skip
def test_a_size_has_stock_parts(
    centre: float, large: float, small: float, pin: float, stud: float, studs: float
) -> None:
    s = stack_of(float(centre)).size
    assert (s.large_dowel_mm, s.small_dowel_mm, s.seal_pin_diameter_mm) == (large, small, pin)
    assert (s.stud_thread_mm, s.studs) == (stud, studs)
    assert s.stud_hole_mm == clearance_holes()[stud]
    assert s.wave_spring_strip_mm in STRIP_MM
    assert s.ferrule_mm == ferrule_for(s.port_bore_mm).outer_mm
