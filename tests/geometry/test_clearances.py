"""Gaps from chains: closed forms, published tolerances, the sample against what it must tend to, heat by hand."""

from __future__ import annotations

import dataclasses
import doctest
import math
from itertools import pairwise

import numpy as np
import pytest
from benchleaf.geometry.engineering import clearances
from benchleaf.geometry.engineering.clearances import (
    Chain,
    Dimension,
    dimension,
    gap_figures,
    hot_gap_figure,
    root_sum_square,
    sample,
    tolerance_mm,
    worst_case,
)
from benchleaf.geometry.engineering.figures import Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.materials import UnknownMaterial, material
from benchleaf.geometry.engineering.topics import Topic
from hypothesis import given, settings
from hypothesis import strategies as st

DRAWING, SHEET = Topic("source.drawing"), Topic("source.sheet")


def _front(rotor: str = "nickel-alloy") -> Chain:
    return Chain(
        "front",
        (
            dimension("B", "body_face", 60.12, 0.020, 1, "316L", DRAWING),
            dimension("W", "rotor_front", 60.00, 0.015, -1, rotor, DRAWING),
        ),
    )


LINKS = st.lists(
    st.tuples(st.floats(1, 200), st.floats(0.001, 0.1), st.sampled_from([1, -1])), min_size=1, max_size=6
)


def _chain(links: list[tuple[float, float, int]]) -> Chain:
    made = [
        dimension(f"L{'₀₁₂₃₄₅₆'[n]}", f"link_{n}", round(a, 3), round(t, 4), 1 if sign > 0 else -1)
        for n, (a, t, sign) in enumerate(links)
    ]
    return Chain("c", tuple(made))


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(clearances).failed == 0


def test_a_chain_by_hand() -> None:
    nominal, rss, sampled = gap_figures(_front())
    assert nominal.value == pytest.approx(0.12)
    assert (nominal.low, nominal.high) == pytest.approx((0.085, 0.155))
    assert rss.value == pytest.approx(math.hypot(0.020, 0.015))
    assert root_sum_square(_front()) == pytest.approx((0.095, 0.145))
    assert nominal.formula == "B - W"
    assert sampled.low == pytest.approx(0.095, abs=0.001)
    assert sampled.high == pytest.approx(0.145, abs=0.001)
    assert sampled.derivation == Topic("derivation.sampled", draws=100_000, seed="20231")
    assert [f.topic for f in (nominal, rss, sampled)] == [
        Topic(f"figure.gap{way}", gap="front") for way in ("", "_rss", "_sampled")
    ]


def test_an_input_tells_its_tolerance_and_a_half_one_its_dimension() -> None:
    nominal, rss, _ = gap_figures(_front())
    assert nominal.inputs[0].topic == Topic("dimension.body_face")
    assert nominal.inputs[0].source == Topic("source.drawing_toleranced", upper_mm=0.020, lower_mm=-0.020)
    assert rss.inputs[1].topic == Topic("input.half_tolerance", dimension="rotor_front")
    assert rss.inputs[1].source == DRAWING


@given(LINKS)
def test_worst_case_is_every_dimension_at_its_end(links: list[tuple[float, float, int]]) -> None:
    chain = _chain(links)
    corners = [
        sum(link.sense * (link.nominal_mm + sign * link.half_mm * link.sense) for link in chain.links)
        for sign in (-1, 1)
    ]
    assert worst_case(chain) == pytest.approx(tuple(corners))


@given(LINKS)
def test_root_sum_square_lies_within_the_worst_case(links: list[tuple[float, float, int]]) -> None:
    chain = _chain(links)
    (a, b), (c, d) = worst_case(chain), root_sum_square(chain)
    assert a - 1e-9 <= c <= d <= b + 1e-9
    if len(links) == 1:
        assert (a, b) == pytest.approx((c, d))


def test_an_uneven_tolerance_moves_the_middle() -> None:
    link = Dimension("L", "length", 10.0, 0.03, 0.01, 1)
    chain = Chain("c", (link,))
    assert chain.nominal_mm == 10.0
    assert chain.middle_mm == pytest.approx(10.02)
    assert worst_case(chain) == pytest.approx((10.01, 10.03))


# ---- the sample against its closed forms


@pytest.mark.parametrize(
    ("spread", "deviation"),
    # normal: a third of half the tolerance each; even: half the tolerance over the root of three each
    [("normal", math.hypot(0.020, 0.015) / 3), ("even", math.hypot(0.020, 0.015) / math.sqrt(3))],
)
def test_a_sample_has_the_mean_and_deviation_of_its_closed_form(
    spread: clearances.Spread, deviation: float
) -> None:
    gaps = sample(_front(), spread=spread)
    error = deviation / math.sqrt(len(gaps))
    assert np.mean(gaps) == pytest.approx(0.12, abs=4 * error)
    assert np.std(gaps) == pytest.approx(deviation, abs=4 * error)


def test_a_normal_sample_has_the_share_of_three_deviations() -> None:
    low, high = root_sum_square(_front())
    gaps = sample(_front())
    share = np.mean((gaps >= low) & (gaps <= high))
    expected = math.erf(3 / math.sqrt(2))
    assert share == pytest.approx(expected, abs=4 * math.sqrt(expected * (1 - expected) / len(gaps)))


def test_an_even_sample_of_one_link_never_leaves_its_tolerance() -> None:
    chain = Chain("c", (dimension("L", "length", 5.0, 0.01, 1),))
    gaps = sample(chain, 10_000, spread="even")
    assert np.min(gaps) >= 4.99
    assert np.max(gaps) <= 5.01
    assert np.max(gaps) - np.min(gaps) > 0.0199


def test_the_same_seed_draws_the_same_heads() -> None:
    assert np.array_equal(sample(_front(), 100, seed=7), sample(_front(), 100, seed=7))
    assert not np.array_equal(sample(_front(), 100, seed=7), sample(_front(), 100, seed=8))


def test_links_are_drawn_one_after_the_other() -> None:
    random = np.random.default_rng(7)
    chain = _front()
    drawn = sum(k.sense * random.normal(k.middle_mm, k.half_mm / 3, 500) for k in chain.links)
    assert np.array_equal(sample(chain, 500, seed=7), drawn)
    assert np.array_equal(sample(chain, 500, seed=7), drawn), "drawn once, and the same again"


# ---- heat


def test_one_material_grows_by_its_share_of_the_gap_alone() -> None:
    chain = _front("316L")
    hot = hot_gap_figure(chain, 120.0)
    assert hot.value == pytest.approx(0.12 * (1 + material("316L").expansion * 100e-6), rel=1e-9)


def test_two_materials_open_or_close_by_their_difference() -> None:
    hot = hot_gap_figure(_front("nickel-alloy"), 120.0)
    steel, alloy = material("316L"), material("nickel-alloy")
    assert hot.value == pytest.approx(0.12 + 100e-6 * (60.12 * steel.expansion - 60 * alloy.expansion))
    assert hot.low == pytest.approx(0.12 + 100e-6 * (60.12 * steel.expansion_low - 60 * alloy.expansion_high))
    assert hot.high == pytest.approx(
        0.12 + 100e-6 * (60.12 * steel.expansion_high - 60 * alloy.expansion_low)
    )
    assert 1000 * (hot.value - 0.12) == pytest.approx(17.595), "it opens"
    assert hot.topic == Topic("figure.gap_hot", gap="front", process_c=120.0)
    closing = hot_gap_figure(
        Chain("c", tuple(dataclasses.replace(x, material="316L" if x.symbol == "W" else "duplex")
                                  for x in _front().links)), 120.0
    )  # fmt: skip
    assert 1000 * (closing.value - 0.12) == pytest.approx(-17.841), "it closes"


def test_a_rotor_hotter_than_its_body_closes_the_gap() -> None:
    links = tuple(
        dataclasses.replace(x, temperature="rotor") if x.symbol == "W" else x for x in _front("316L").links
    )
    chain = Chain("front", links)
    even = hot_gap_figure(chain, 100.0)
    hotter = hot_gap_figure(chain, 100.0, shares={"rotor": 1.25})
    assert even.value - hotter.value == pytest.approx(60 * material("316L").expansion * 20e-6)


def test_at_room_temperature_nothing_changes() -> None:
    hot = hot_gap_figure(_front(), 20.0)
    assert (hot.value, hot.low, hot.high) == pytest.approx((0.12, 0.12, 0.12))


@given(LINKS, st.floats(-20, 180), st.lists(st.sampled_from(["316L", "duplex", "painted-iron"]), min_size=6))
def test_a_reader_can_work_every_figure_again(
    links: list[tuple[float, float, int]], process: float, names: list[str]
) -> None:
    chain = _chain(links)
    chain = Chain(
        "c",
        tuple(dataclasses.replace(x, material=m) for x, m in zip(chain.links, names, strict=False)),
    )
    nominal, rss, _ = gap_figures(chain)
    hot = hot_gap_figure(chain, round(process, 1))
    for figure in (nominal, rss, hot):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()
    assert hot.low is not None
    assert hot.high is not None
    assert hot.low <= hot.value <= hot.high


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownMaterial, match="no material 'butter'"):
        hot_gap_figure(_front("butter"), 100.0)


# ---- judgement


@pytest.mark.parametrize(
    ("low", "high", "judged"), [(0.05, 0.20, "inside"), (0.10, 0.14, "edge"), (0.13, 0.20, "outside")]
)
def test_a_gap_is_judged_by_its_sourced_limit(low: float, high: float, judged: str) -> None:
    limit = Limit(low, high, "mm", SHEET)
    nominal, _, sampled = gap_figures(_front(), limit)
    assert nominal.judgement == judged
    assert nominal.limit == sampled.limit == limit
    assert hot_gap_figure(_front(), 20.0, limit).limit == limit


def test_without_a_sourced_limit_nothing_is_judged() -> None:
    for figure in (*gap_figures(_front()), hot_gap_figure(_front(), 100.0)):
        assert figure.limit is None
        assert figure.judgement == "no limit"


# ---- tolerances of ISO 286-1


@pytest.mark.parametrize(
    ("nominal", "grade", "um"),
    [
        (3, 7, 10),
        (3.01, 7, 12),
        (25, 6, 13),
        (63, 7, 30),
        (100, 8, 54),
        (150, 7, 40),
        (150.0, 9, 100),
        (500, 11, 400),
    ],
)
def test_tolerances_are_those_of_the_standard(nominal: float, grade: int, um: int) -> None:
    assert tolerance_mm(nominal, grade) == pytest.approx(um / 1000)


def test_tolerances_agree_with_the_formula_behind_the_table() -> None:
    """ISO 286-1: i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of the step (the first step is rounded more)."""
    factors = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}
    for lower, upper in pairwise(clearances.SIZE_STEPS):
        mean = math.sqrt(lower * upper)
        i = 0.45 * mean ** (1 / 3) + 0.001 * mean
        for grade, factor in factors.items():
            assert 1000 * tolerance_mm(upper, grade) == pytest.approx(factor * i, rel=0.04, abs=1.0)


@settings(max_examples=50)
@given(st.floats(0.1, 500), st.integers(5, 10))
def test_a_coarser_grade_is_wider(nominal: float, grade: int) -> None:
    assert tolerance_mm(nominal, grade) < tolerance_mm(nominal, grade + 1)


def test_what_the_table_does_not_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="no grade IT4 here; there are IT5 to IT11"):
        tolerance_mm(10, 4)
    with pytest.raises(ValueError, match="sizes go up to 500 mm"):
        tolerance_mm(600, 7)


def test_chains_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match=r"length: upper deviation -0.1 mm lies below the lower one 0.1 mm"):
        Dimension("L", "length", 10, -0.1, 0.1, 1)
    link = dimension("L", "length", 10, 0.1, 1)
    with pytest.raises(ValueError, match="symbols of their own"):
        Chain("c", (link, link))
    with pytest.raises(ValueError, match="symbols of their own"):
        Chain("c", ())
