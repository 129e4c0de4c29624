"""Rules of dimensions: what they give, what may be given in their place, and how that is said."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest
from benchleaf.geometry.dimensions.proportions.rules import (
    ORING_SECTIONS_MM,
    OneOf,
    Within,
    ZeroOrWithin,
    by_rule,
    count,
    fixed,
    of_c,
    of_dimension,
    oring_section,
    proportions_of,
    stock_of_c,
    thread_of_c,
    unit_of,
    zero_or,
)


@dataclass(frozen=True, kw_only=True)
class Sample:
    wall_mm: float = of_c("wall", 0.2, 0.9, 1.5)
    gap_mm: float = of_c("gap", 0.0004, at_least_mm=0.03)
    rib_mm: float = of_dimension("rib", 0.5, "wall_mm", "the wall")
    slope_deg: float = fixed("slope", 3.0, " degrees")
    sum_mm: float = by_rule("wall and rib", lambda d: d["wall_mm"] + d["rib_mm"])
    pins: float = count("pins: 2", 2, (1, 2, 4))
    ring_mm: float = oring_section("ring", 0.03)
    screw_mm: float = thread_of_c("screw", 0.12)
    dowel_mm: float = stock_of_c("dowel", 0.125, (6.0, 8.0, 10.0, 12.0, 16.0, 20.0))
    angle_deg: float = zero_or("angle, 0 for what suits", 20, 60)


PROPORTIONS = proportions_of(Sample)


def dimensions(c: float) -> dict[str, float]:
    known = {"shaft_centre_distance_mm": c}
    for name, p in PROPORTIONS.items():
        known[name] = p.rule(known)
    return known


def test_each_dimension_follows_from_those_before_it() -> None:
    assert dimensions(80.0) == {
        "shaft_centre_distance_mm": 80.0, "wall_mm": 16.0, "gap_mm": 0.032, "rib_mm": 8.0, "slope_deg": 3.0,
        "sum_mm": 24.0, "pins": 2.0, "ring_mm": 2.62, "screw_mm": 10.0, "dowel_mm": 10.0, "angle_deg": 0.0,
    }  # fmt: skip
    small = dimensions(60.0)
    assert (small["gap_mm"], small["ring_mm"], small["screw_mm"]) == (0.03, 1.78, 8.0)


def test_words_hold_the_rule() -> None:
    assert {name: p.words for name, p in PROPORTIONS.items()} == {
        "wall_mm": "wall: 0.2 C", "gap_mm": "gap: 0.0004 C, at least 0.03 mm", "rib_mm": "rib: 0.5 of the wall",
        "slope_deg": "slope: 3 degrees", "sum_mm": "wall and rib", "pins": "pins: 2",
        "ring_mm": "ring O-ring section nearest to 0.03 C",
        "screw_mm": "screw: metric thread of first choice nearest to 0.12 C",
        "dowel_mm": "dowel: stock size nearest to 0.125 C",
        "angle_deg": "angle, 0 for what suits",
    }  # fmt: skip


ALLOWED = [
    ("wall_mm", [14.4, 16.0, 24.0], [14.3, 24.1, -16.0, math.nan, math.inf], "14.4 to 24 mm"),
    ("slope_deg", [1.5, 6.0], [1.4, 6.1], "1.5 to 6 degrees"),
    ("pins", [1, 2, 4], [0, 3, 2.5, math.nan], "1 or 2 or 4"),
    ("ring_mm", [1.78, 2.62, 3.53], [2.0, 5.33], "1.78, 2.62, 3.53 mm (ISO 3601-1)"),
    ("screw_mm", [6, 8, 10, 12, 14], [5, 7, 9, 16], "6, 8, 10, 12, 14 mm (metric coarse)"),
    ("dowel_mm", [5, 9.525, 20], [4.9, 21, math.nan], "5 to 20 mm"),
    ("angle_deg", [0, 20, 44.5, 60], [-1, 19.9, 60.1, math.nan], "0, or 20 to 60 degrees"),
]


@pytest.mark.parametrize(("name", "good", "bad", "words"), ALLOWED, ids=[a[0] for a in ALLOWED])
def test_what_may_be_given_instead(name: str, good: list[float], bad: list[float], words: str) -> None:
    usual, choice = dimensions(80.0)[name], PROPORTIONS[name].choice
    assert [v for v in good if not choice.holds(v, usual)] == []
    assert [v for v in bad if choice.holds(v, usual)] == []
    assert choice.words(usual, unit_of(name)) == words


def test_ends_of_a_range_belong_to_it_whatever_rounding_does() -> None:
    within = Within(0.7, 1.1)
    assert within.holds(0.7 * 0.3, 0.3)
    assert within.holds(0.21, 0.3)
    assert within.holds(0.33, 0.3)


def test_standard_sections_are_those_of_the_ring_table() -> None:
    from benchleaf.geometry.engineering.orings import ring_sizes

    assert set(ORING_SECTIONS_MM) == {ring.d2_mm for ring in ring_sizes()}


def test_choices_do_not_depend_on_what_they_do_not_name() -> None:
    assert OneOf(lambda usual: (1.0, usual)).words(2.0, " mm") == "1, 2"
    assert ZeroOrWithin(1, 2).words(99.0, "") == "0, or 1 to 2"
