"""O-ring sizes against published rows, gland figures against closed forms and by hand."""

from __future__ import annotations

import dataclasses
import doctest
import math
from fractions import Fraction
from itertools import pairwise

import pytest
from benchleaf.geometry.engineering import orings
from benchleaf.geometry.engineering.figures import Figure, by_hand, hand_tolerance
from benchleaf.geometry.engineering.materials import ELASTOMERS, UnknownMaterial, material
from benchleaf.geometry.engineering.orings import (
    SQUEEZE,
    Gland,
    GlandKind,
    RingSize,
    fill_figure,
    gland_figures,
    hot_figures,
    made_to_size,
    nearest_size,
    ring_size,
    ring_sizes,
    squeeze_figure,
    stretch_figure,
)
from benchleaf.geometry.engineering.topics import Topic
from hypothesis import given
from hypothesis import strategies as st

KINDS: tuple[GlandKind, ...] = ("piston", "rod", "face-out", "face-in", "loop")


def _gland(kind: GlandKind = "piston", seat: float = 25.5, depth: float = 2.8) -> Gland:
    return Gland("hub", kind, depth, 4.7, seat, depth_tol_mm=0.03)


def _figures(
    kind: GlandKind, seat: float, elastomer: str = "FKM", process: float = 120.0
) -> dict[str, Figure]:
    found = gland_figures(_gland(kind, seat), ring_size("214"), elastomer, process)
    return {f.id.removeprefix("hub."): f for f in found}


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(orings).failed == 0


# ---- the size table


def test_the_table_has_every_code_of_the_five_series() -> None:
    codes = [int(r.code) for r in ring_sizes()]
    wanted = [*range(4, 51), *range(102, 179), *range(201, 285), *range(309, 396), *range(425, 476)]
    assert codes == wanted
    assert len(codes) == 346


@pytest.mark.parametrize(
    ("code", "d1", "d1_tol", "d2", "d2_tol"),
    # ISO 3601-1 dimensions as an open table prints them in millimetres; the table here was typed in inches
    [
        ("006", 2.90, 0.13, 1.78, 0.08),
        ("015", 14.00, 0.18, 1.78, 0.08),
        ("028", 34.65, 0.33, 1.78, 0.08),
        ("050", 133.07, 0.94, 1.78, 0.08),
        ("110", 9.19, 0.13, 2.62, 0.08),
        ("135", 48.90, 0.43, 2.62, 0.08),
        ("178", 247.32, 1.40, 2.62, 0.08),
        ("214", 24.99, 0.25, 3.53, 0.10),
        ("225", 47.22, 0.46, 3.53, 0.10),
        ("282", 405.26, 1.91, 3.53, 0.10),
        ("325", 37.47, 0.38, 5.33, 0.13),
        ("361", 151.77, 0.94, 5.33, 0.13),
        ("395", 658.88, 3.05, 5.33, 0.13),
        ("425", 113.67, 0.84, 6.99, 0.15),
        ("461", 405.26, 1.91, 6.99, 0.15),
    ],
)
def test_rows_are_those_published(code: str, d1: float, d1_tol: float, d2: float, d2_tol: float) -> None:
    r = ring_size(code)
    assert (r.d1_mm, r.d1_tol_mm, r.d2_mm, r.d2_tol_mm) == (d1, d1_tol, d2, d2_tol)


def test_millimetres_are_the_inches_rounded() -> None:
    for r in ring_sizes():
        assert r.d1_in is not None
        assert abs(r.d1_mm - r.d1_in * 25.4) <= 0.005 + 1e-9
        assert r.d2_in is not None
        assert abs(r.d2_mm - r.d2_in * 25.4) <= 0.005 + 1e-9


def test_regular_rows_lie_a_constant_step_below_a_thirty_second() -> None:
    """AS568's rule: nominal inside diameter in 1/32 inch, less an allowance that belongs to the section."""
    allowance = {"0": "0.011", "1": "0.013", "2": "0.016", "3": "0.025", "4": "0.025"}
    irregular = {"004", "005", "102"}
    for r in ring_sizes():
        assert r.d1_in is not None
        if r.code in irregular or r.d1_in >= 15.9:
            continue
        nominal = Fraction(str(r.d1_in)) + Fraction(allowance[r.code[0]])
        off = abs(nominal * 32 - round(nominal * 32)) / 32
        assert off <= Fraction("0.0013"), r


def test_sizes_grow_within_a_series_and_so_do_their_tolerances() -> None:
    for series in "01234":
        rows = [r for r in ring_sizes() if r.code[0] == series]
        assert all(a.d1_mm < b.d1_mm for a, b in pairwise(rows))
        assert all(a.d1_tol_mm <= b.d1_tol_mm for a, b in pairwise(rows))


def test_an_unknown_code_names_the_series() -> None:
    with pytest.raises(KeyError, match="no O-ring size '299'; there are 004 to 050"):
        ring_size("299")


# ---- figures


def test_stretch_section_squeeze_and_fill_follow_the_published_formulas() -> None:
    ring = RingSize("", 25.0, 0.0, 3.53, 0.10)
    gland = Gland("g", "piston", 2.80, 4.80, 25.5)
    stretch = stretch_figure(gland, ring)
    assert stretch.value == pytest.approx(2.0)
    section = orings.section_figure(gland, ring)
    assert section.value == pytest.approx(3.53 / math.sqrt(1.02))
    squeeze, fill = squeeze_figure(gland, ring), fill_figure(gland, ring)
    assert squeeze.value == pytest.approx(100 * (1 - 2.80 * math.sqrt(1.02) / 3.53))
    assert fill.value == pytest.approx(100 * math.pi / 4 * 3.53**2 / 1.02 / (2.80 * 4.80))
    assert (squeeze.low, squeeze.high) == pytest.approx(
        (100 * (1 - 2.80 * math.sqrt(1.02) / 3.43), 100 * (1 - 2.80 * math.sqrt(1.02) / 3.63))
    )


def test_each_kind_of_gland_holds_the_ring_by_its_own_diameter() -> None:
    ring = ring_size("214")
    held = {"piston": 24.99, "face-in": 24.99, "rod": 32.05, "face-out": 32.05, "loop": 28.52}
    for kind in KINDS:
        assert stretch_figure(_gland(kind, held[kind]), ring).value == pytest.approx(0.0, abs=1e-9)


def test_a_ring_made_to_size_is_not_stretched() -> None:
    for kind in KINDS:
        gland = _gland(kind, 61.25)
        ring = made_to_size(gland, 3.53)
        assert stretch_figure(gland, ring).value == pytest.approx(0.0, abs=0.01)
        assert ring.d2_tol_mm == 0.10
        assert ring.source == Topic("source.ring_made")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("elastomer", ELASTOMERS)
def test_a_reader_can_work_every_figure_again_from_what_is_printed(kind: GlandKind, elastomer: str) -> None:
    for figure in gland_figures(
        _gland(kind, 32.3 if kind == "rod" else 25.6), ring_size("214"), elastomer, 95.0
    ):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()
        assert figure.topic["gland"] == "hub"
        hot = figure.id.endswith("_hot")
        assert dict(figure.topic.facts).get("process_c") == (95.0 if hot else None)
        assert dict(figure.topic.facts).get("elastomer") == (elastomer if hot else None)


def test_limits_are_named_with_their_source_and_doubt() -> None:
    found = _figures("piston", 25.5)
    for name in ("stretch", "squeeze", "fill", "squeeze_hot", "fill_hot"):
        assert found[name].limit is not None
    cold, hot = found["squeeze"].limit, found["squeeze_hot"].limit
    assert cold is not None
    assert cold.source == orings.OPEN_GLANDS
    assert cold.condition == Topic("limit.squeeze.radial", section_mm=3.53)
    assert cold.not_verified == Topic("caveat.not_read", standard="ISO 3601-2")
    assert hot is not None
    assert hot == dataclasses.replace(cold, condition=Topic("limit.squeeze_hot.radial", section_mm=3.53))
    assert found["squeeze_hot"].not_verified == Topic("caveat.hot_ring")
    jacketed = _figures("piston", 25.5, "ptfe-encapsulated")["squeeze_hot"]
    assert jacketed.not_verified == Topic("caveat.hot_jacketed")


def test_a_gland_too_shallow_too_deep_or_too_narrow_is_told() -> None:
    ring = ring_size("214")
    assert squeeze_figure(_gland(depth=2.84), ring).judgement == "inside"
    assert squeeze_figure(_gland(depth=2.4), ring).judgement == "outside"
    assert squeeze_figure(_gland(depth=3.3), ring).judgement == "outside"
    tight = Gland("g", "piston", 2.8, 3.6, 25.5)
    assert fill_figure(tight, ring).judgement == "outside"
    assert stretch_figure(_gland(seat=27.5), ring).judgement == "outside"


def test_axial_and_radial_glands_have_their_own_limits() -> None:
    ring = ring_size("214")
    assert squeeze_figure(_gland("piston"), ring).limit.high == 23.0  # type: ignore[union-attr]
    assert squeeze_figure(_gland("face-in"), ring).limit.high == 30.0  # type: ignore[union-attr]


def test_at_room_temperature_the_hot_figures_are_the_cold_ones() -> None:
    for kind in KINDS:
        found = _figures(kind, 32.0 if kind in ("rod", "face-out") else 25.5, process=20.0)
        for name in ("stretch", "section", "squeeze", "fill"):
            assert found[f"{name}_hot"].value == pytest.approx(found[name].value, rel=1e-12)


def test_a_ring_held_in_length_swells_by_three_expansions_in_its_section() -> None:
    """Volume closed form: the section's area grows by (1 + e)^3 where the length may only grow by (1 + m)."""
    found = _figures("piston", 25.8, "FKM", 80.0)
    assert found["stretch_hot"].value > 0
    e, m = material("FKM").expansion * 60e-6, material("316L").expansion * 60e-6
    ratio = (found["section_hot"].value / found["section"].value) ** 2
    assert ratio == pytest.approx((1 + e) ** 3 / (1 + m), rel=1e-9)


def test_a_ring_that_slides_takes_less_squeeze() -> None:
    ring = ring_size("214")
    for depth, static, sliding in (
        (3.2, "outside", "outside"),
        (3.03, "outside", "inside"),
        (2.8, "inside", "outside"),
    ):
        still = squeeze_figure(_gland("piston", depth=depth), ring)
        moved = squeeze_figure(dataclasses.replace(_gland("piston", depth=depth), motion="sliding"), ring)
        assert still.value == moved.value
        judged = [f.limit.judge(f.value) for f in (still, moved) if f.limit is not None]
        assert judged == [static, sliding]
    assert moved.limit is not None
    assert (moved.limit.low, moved.limit.high) == (10.0, 15.0)
    hot = gland_figures(dataclasses.replace(_gland("piston"), motion="sliding"), ring, "FKM", 95.0)[6]
    condition = Topic("limit.squeeze_hot.sliding")
    assert hot.limit == dataclasses.replace(moved.limit, high=20.0, condition=condition)


@pytest.mark.parametrize("section", sorted(SQUEEZE))
@pytest.mark.parametrize("elastomer", ELASTOMERS)
def test_hot_figures_of_every_section_follow_from_the_rings_volume(section: float, elastomer: str) -> None:
    """Worked from the volume alone: it grows by (1 + e)^3, and the gland sets the length that it is spread over."""
    for kind in KINDS:
        depth, width, seat, warmth = 0.8 * section, 1.4 * section, 60.0, 120.0
        gland = Gland("hub", kind, depth, width, seat)
        ring = made_to_size(gland, section)
        squeeze, fill = gland_figures(gland, ring, elastomer, 20.0 + warmth)[-2:]
        e, m = material(elastomer).expansion * warmth * 1e-6, material("316L").expansion * warmth * 1e-6
        free = gland.free_diameter(ring)
        length = math.pi * max(seat * (1 + m), free * (1 + e) if gland.hold == "inner" else 0.0)
        volume = math.pi * free * math.pi / 4 * section**2 * (1 + e) ** 3
        area = volume / length
        hot_depth = depth * (1 + m)
        assert squeeze.value == pytest.approx(100 * (1 - hot_depth / math.sqrt(4 * area / math.pi)), rel=1e-6)
        assert fill.value == pytest.approx(100 * area / (width * (1 + m) * hot_depth), rel=1e-6)
        cold = gland_figures(gland, ring, elastomer)[2].value
        assert 0.5 < squeeze.value - cold < 4.0, "a hundred kelvin more add a few per cent, thick or thin"


def test_a_ring_that_outgrows_its_seat_grows_freely() -> None:
    found = _figures("piston", 25.0, "VMQ", 140.0)
    assert found["stretch_hot"].value < 0
    e = material("VMQ").expansion * 120e-6
    assert found["section_hot"].value == pytest.approx(3.53 * (1 + e), rel=1e-12)


@given(st.sampled_from(KINDS), st.sampled_from(ELASTOMERS), st.floats(20, 200), st.floats(1, 50))
def test_heat_fills_and_squeezes_more(kind: GlandKind, elastomer: str, process: float, more: float) -> None:
    gland, ring = _gland(kind, 25.4 if kind in ("piston", "face-in") else 32.0), ring_size("214")
    cooler, hotter = (hot_figures(gland, ring, elastomer, t) for t in (process, process + more))
    for a, b in zip(cooler[1:], hotter[1:], strict=True):  # section, squeeze, fill
        assert b.value > a.value
    assert hotter[0].value < cooler[0].value  # stretch
    for figure in hotter:
        assert figure.low is not None
        assert figure.high is not None
        assert figure.low <= figure.value <= figure.high


@given(st.floats(0.0, 0.2), st.floats(2.4, 3.3))
def test_a_deeper_gland_squeezes_less(more: float, depth: float) -> None:
    ring = ring_size("214")
    assert (
        squeeze_figure(_gland(depth=depth + more), ring).value
        <= squeeze_figure(_gland(depth=depth), ring).value
    )


def test_an_unknown_elastomer_is_refused_with_a_hint() -> None:
    with pytest.raises(UnknownMaterial, match="did you mean FKM"):
        gland_figures(_gland(), ring_size("214"), "FPM", 80.0)


def test_a_jacketed_ring_is_not_judged_for_stretch() -> None:
    stretch = _figures("piston", 25.5, "ptfe-encapsulated")["stretch"]
    assert stretch.limit is None
    assert stretch.judgement == "no limit"


# ---- the nearest standard size


@pytest.mark.parametrize("ring", [r for r in ring_sizes() if int(r.code) % 7 == 0], ids=lambda r: r.code)
@pytest.mark.parametrize("kind", KINDS)
def test_a_gland_made_for_a_size_finds_that_size(kind: GlandKind, ring: RingSize) -> None:
    want = sum(orings.STRETCH_RECOMMENDED[_gland(kind).hold]) / 2
    gland = Gland("g", kind, 0.8 * ring.d2_mm, 1.35 * ring.d2_mm, 1.0)
    seat = gland.free_diameter(ring) * (1 + want / 100)
    gland = Gland("g", kind, 0.8 * ring.d2_mm, 1.35 * ring.d2_mm, seat)
    choice = nearest_size(gland, ring.d2_mm)
    assert choice.ring == ring
    assert choice.fits
    assert choice.gland == "g"
    assert choice.stretch == stretch_figure(gland, ring)
    assert len(choice.others) == 2


def test_the_section_is_chosen_by_the_depth() -> None:
    for section in orings.SQUEEZE:
        assert nearest_size(Gland("g", "piston", 0.80 * section, 2, 60.0)).ring.d2_mm == section
        assert nearest_size(Gland("g", "face-in", 0.755 * section, 2, 60.0)).ring.d2_mm == section


def test_a_gland_between_sizes_is_told_to_have_its_ring_made() -> None:
    choice = nearest_size(Gland("g", "piston", 2.1, 3.5, 25.03))
    assert not choice.fits
    assert choice.ring.d2_mm == 2.62
    assert choice.stretch.judgement == "outside"
