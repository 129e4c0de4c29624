"""Figures print what they are made of, and their formulas give their values."""

from __future__ import annotations

import doctest
import math
from dataclasses import replace

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
from benchleaf.geometry.engineering.topics import EARLIER, SIZE, Topic
from hypothesis import given as drawn
from hypothesis import strategies as st

AREA, NORM, LIMIT = (
    Topic("figure.area"),
    Topic("source.standard", standard="ISO 898-1"),
    Topic("source.limit"),
)


def given(symbol: str, value: float, unit: str = "mm") -> Input:
    return Input(symbol, Topic(f"input.{symbol}"), value, unit, SIZE)


def _area() -> Figure:
    return make_figure(
        "area", AREA, "A", "mm²", "π/4·(d - 0.9382·p)²", (given("d", 10.0), given("p", 1.5)), NORM
    )


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
    inputs = (given("d", 2.0, ""), given("d₂", 3.0, ""), given("dd", -5.0, ""))
    figure = make_figure("x", AREA, "y", "", "d·d₂ + dd", inputs, NORM)
    assert figure.working() == f"y = 2.000·3.000 + ({units.MINUS}5.000) = 1.000"


def test_a_span_is_the_least_and_greatest_of_its_corners() -> None:
    area = with_span(_area(), [{"d": 9.9}, {"d": 10.1, "p": 1.4}], Topic("span.tolerance"))
    assert (area.low, area.high) == pytest.approx((56.648, 60.635), abs=1e-3)
    assert (area.amount, area.shown_span) == ("57.99\u00a0mm²", ("56.65", "60.64\u00a0mm²"))
    assert area.span == Topic("span.tolerance")


def test_a_span_that_print_cannot_tell_is_not_shown() -> None:
    assert _area().shown_span is None
    assert with_span(_area(), [{"d": 10.00001}], Topic("span.tolerance")).shown_span is None


def test_a_figure_goes_into_another_as_what_it_is() -> None:
    area = replace(_area(), decimals=1)
    assert area.as_input("Aₛ") == Input("Aₛ", AREA, area.value, "mm²", EARLIER, 1)
    assert area.as_input().symbol == "A"


@pytest.mark.parametrize(
    ("limit", "value", "low", "high", "judged"),
    [
        (Limit(10, 20, "%", LIMIT), 15, None, None, "inside"),
        (Limit(10, 20, "%", LIMIT), 15, 9, 21, "edge"),
        (Limit(10, 20, "%", LIMIT), 10, None, None, "inside"),
        (Limit(10, 20, "%", LIMIT), 25, 15, 30, "outside"),
        (Limit(None, 20, "%", LIMIT), -5, None, None, "inside"),
        (Limit(10, None, "%", LIMIT), 5, None, None, "outside"),
        (Limit(None, None, "%", LIMIT), 5, None, None, "no limit"),
    ],
)
def test_a_limit_judges_middle_and_span(
    limit: Limit, value: float, low: float | None, high: float | None, judged: str
) -> None:
    assert limit.judge(value, low, high) == judged


def test_a_figure_without_a_limit_is_not_judged() -> None:
    assert _area().judgement == "no limit"


def test_a_sampled_figure_has_no_hand_working() -> None:
    sampled = Figure("mc", AREA, "g", 0.1, "mm", "", (), NORM, derivation=Topic("derivation.sampled"))
    assert sampled.working() == sampled.equation() == ""
    with pytest.raises(ValueError, match="mc was not worked out by one formula"):
        by_hand(sampled)


def test_what_cannot_be_printed_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be printed"):
        figures.number(math.nan, "mm")


@drawn(st.floats(-1e6, 1e6), st.sampled_from(["mm", "%", "N", "MPa", "µm", ""]))
def test_a_printed_number_is_within_half_its_last_step(value: float, unit: str) -> None:
    shown = figures.number(value, unit).replace("\u202f", "").replace(units.MINUS, "-")
    assert abs(float(shown) - value) <= figures.step(value, unit) / 2 * (1 + 1e-6) + 1e-12


@drawn(st.floats(1.0, 100.0), st.floats(0.1, 3.0))
def test_working_by_hand_meets_the_printed_figure(d: float, p: float) -> None:
    inputs = (given("d", d + 4), given("p", p))
    area = make_figure("area", AREA, "A", "mm²", "π/4·(d - 0.9382·p)²", inputs, NORM)
    assert abs(by_hand(area) - area.value) <= hand_tolerance(area)
