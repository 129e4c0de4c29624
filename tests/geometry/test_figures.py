"""Figures print what they are made of, and their formulas give their values."""

from __future__ import annotations

import doctest
import math

import pytest
from benchleaf.geometry.engineering import figures, units
from benchleaf.geometry.engineering.figures import (
    Figure,
    Input,
    Limit,
    by_hand,
    evaluate,
    hand_tolerance,
    make_figure,
    with_span,
)
from hypothesis import given
from hypothesis import strategies as st


def _area() -> Figure:
    inputs = (Input("d", "diameter", 10.0, "mm", "drawing"), Input("p", "pitch", 1.5, "mm", "ISO 261"))
    return make_figure("area", "Stress area", "A", "mm²", "π/4·(d - 0.9382·p)²", inputs, "ISO 898-1")


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(figures).failed == 0


def test_the_notation_is_ordinary_arithmetic() -> None:
    values = {"a": 3.0, "b₁": 4.0, "b₂": 2.0, "Δt": 60.0, "µ": 0.3}
    assert evaluate("√(a² + b₁²)", values) == 5.0
    assert evaluate("-a·b₂ + b₁/b₂ - 1", values) == -5.0
    assert evaluate("1 - 2 - 3", values) == -4.0
    assert evaluate("a·10⁻³", values) == pytest.approx(0.003, rel=1e-12)
    assert evaluate("ln(b₂) + π", values) == pytest.approx(math.log(2) + math.pi, rel=1e-12)
    assert evaluate("max(min(a, b₁), b₂) + abs(b₂ - b₁)", values) == 5.0
    assert evaluate("(1 + µ)³·Δt", values) == pytest.approx(1.3**3 * 60, rel=1e-12)
    assert evaluate(f"a {units.MINUS} b₂", values) == 1.0


def test_both_micro_signs_are_one_symbol() -> None:
    assert evaluate("2·\u00b5", {"\u03bc": 0.5}) == 1.0


@pytest.mark.parametrize(
    ("formula", "message"),
    [
        ("2·(a", "cannot be read"),
        ("a·c", "needs 'c', given are a"),
        ("a.real", "not part of the notation"),
        ("__import__('os')", "not part of the notation"),
        ("a if a else 2", "not part of the notation"),
        ("'text'", "not part of the notation"),
        ("a // 2", "not part of the notation"),
    ],
)
def test_what_is_not_arithmetic_is_refused(formula: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        evaluate(formula, {"a": 1.0})


def test_a_figure_shows_formula_working_and_result() -> None:
    area = _area()
    assert area.value == pytest.approx(58.0, abs=0.05)  # ISO 898-1, M10
    assert area.equation() == f"A = π/4·(d {units.MINUS} 0.9382·p)²"
    assert (
        area.working().replace(units.NBSP, " ") == f"A = π/4·(10.000 {units.MINUS} 0.9382·1.500)² = 57.99 mm²"
    )
    assert by_hand(area) == pytest.approx(area.value, abs=hand_tolerance(area))


def test_symbols_that_begin_alike_are_put_in_apart() -> None:
    inputs = (Input("d", "", 2.0, "", ""), Input("d₂", "", 3.0, "", ""), Input("dd", "", -5.0, "", ""))
    figure = make_figure("x", "x", "y", "", "d·d₂ + dd", inputs, "")
    assert figure.working() == f"y = 2.000·3.000 + ({units.MINUS}5.000) = 1.000"


def test_a_span_is_the_least_and_greatest_of_its_corners() -> None:
    area = with_span(_area(), [{"d": 9.9}, {"d": 10.1, "p": 1.4}], "by tolerance")
    assert (area.low, area.high) == pytest.approx((56.648, 60.635), abs=1e-3)
    assert area.text().replace(units.NBSP, " ") == "57.99 mm² (56.65 to 60.64 mm²)"


@pytest.mark.parametrize(
    ("limit", "value", "low", "high", "judged"),
    [
        (Limit(10, 20, "%", "s"), 15, None, None, "inside"),
        (Limit(10, 20, "%", "s"), 15, 9, 21, "edge"),
        (Limit(10, 20, "%", "s"), 10, None, None, "inside"),
        (Limit(10, 20, "%", "s"), 25, 15, 30, "outside"),
        (Limit(None, 20, "%", "s"), -5, None, None, "inside"),
        (Limit(10, None, "%", "s"), 5, None, None, "outside"),
        (Limit(None, None, "%", "s"), 5, None, None, "no limit"),
    ],
)
def test_a_limit_judges_middle_and_span(
    limit: Limit, value: float, low: float | None, high: float | None, judged: str
) -> None:
    assert limit.judge(value, low, high) == judged


def test_limits_are_said_in_words() -> None:
    assert Limit(15, 30, "%", "s").text().replace(units.NBSP, " ") == "15.0 to 30.0 %"
    assert Limit(None, 0.2, "mm", "s").text().replace(units.NBSP, " ") == "0.200 mm at most"
    assert Limit(0.1, None, "mm", "s").text().replace(units.NBSP, " ") == "0.100 mm at least"
    assert Limit(None, None, "mm", "s").text() == "none"


def test_a_figure_without_a_limit_is_not_judged() -> None:
    assert _area().judgement == "no limit"


def test_a_sampled_figure_has_no_hand_working() -> None:
    sampled = Figure("mc", "gap", "g", 0.1, "mm", "", (), "seeded sample", method="100 000 draws")
    assert sampled.working() == sampled.equation() == "100 000 draws"
    with pytest.raises(ValueError, match="not worked out by one formula"):
        by_hand(sampled)


def test_what_cannot_be_printed_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be printed"):
        figures.number(math.nan, "mm")


@given(st.floats(-1e6, 1e6), st.sampled_from(["mm", "%", "N", "MPa", "µm", ""]))
def test_a_printed_number_is_within_half_its_last_step(value: float, unit: str) -> None:
    shown = figures.number(value, unit).replace("\u202f", "").replace(units.MINUS, "-")
    assert abs(float(shown) - value) <= figures.step(value, unit) / 2 * (1 + 1e-6) + 1e-12


@given(st.floats(1.0, 100.0), st.floats(0.1, 3.0))
def test_working_by_hand_meets_the_printed_figure(d: float, p: float) -> None:
    inputs = (Input("d", "d", d + 4, "mm", ""), Input("p", "p", p, "mm", ""))
    area = make_figure("area", "area", "A", "mm²", "π/4·(d - 0.9382·p)²", inputs, "")
    assert abs(by_hand(area) - area.value) <= hand_tolerance(area)
