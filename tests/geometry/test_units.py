"""Conversions against the definitions, and rounding that loses nothing and invents nothing."""

from __future__ import annotations

import doctest
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from benchleaf.geometry.engineering import units
from benchleaf.geometry.engineering.units import (
    NBSP,
    UnitError,
    both,
    both_tolerance,
    convert,
    converted,
    ends_in_both,
    unit_named,
)
from hypothesis import given
from hypothesis import strategies as st


def _plain(text: str) -> str:
    return text.replace(NBSP, " ")


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(units).failed == 0


@pytest.mark.parametrize(
    ("value", "source", "target", "exact"),
    [
        # international yard and pound agreement 1959, CGPM 1901, NIST SP 811 appendix B.8
        (1, "in", "mm", Fraction("25.4")),
        (1, "ft", "mm", Fraction("304.8")),
        (1, "lb", "kg", Fraction("0.45359237")),
        (16, "oz", "lb", Fraction(1)),
        (1, "lbf", "N", Fraction("4.4482216152605")),
        (1, "lbf·ft", "N·m", Fraction("1.3558179483314004")),
        (12, "lbf·in", "lbf·ft", Fraction(1)),
        (1, "bar", "Pa", Fraction(100000)),
        (1, "MPa", "bar", Fraction(10)),
        (128, "fl oz", "mL", Fraction("3785.411784")),
        (32, "°F", "°C", Fraction(0)),
        (212, "°F", "°C", Fraction(100)),
        (-40, "°C", "°F", Fraction(-40)),
        (1, "m", "µm", Fraction(1000000)),
    ],
)
def test_conversions_are_those_of_the_definitions(
    value: int, source: str, target: str, exact: Fraction
) -> None:
    assert convert(value, source, target) == exact


def test_psi_agrees_with_the_published_digits() -> None:
    # NIST SP 811, B.8: 6.894757 E+03 Pa
    assert float(convert(1, "psi", "Pa")) == pytest.approx(6894.757, abs=5e-4)


def test_a_tolerance_of_temperature_has_no_zero() -> None:
    assert convert(5, "°C", "°F", difference=True) == 9


@pytest.mark.parametrize(
    ("typed", "symbol"),
    [
        ("Nm", "N·m"), ("N m", "N·m"), ("n.m", "N·m"), ("N-m", "N·m"), ("ft-lb", "lbf·ft"),
        ("lb ft", "lbf·ft"),
        ("LBF.FT", "lbf·ft"), ("in lb", "lbf·in"), ("inch", "in"), ('"', "in"), ("um", "µm"),
        ("\u03bcm", "µm"),
        ("N/mm2", "MPa"), ("deg C", "°C"), ("f", "°F"), ("RPM", "1/min"), ("ML", "mL"),
    ],
)  # fmt: skip
def test_usual_spellings_are_understood(typed: str, symbol: str) -> None:
    assert unit_named(typed).symbol == symbol


def test_an_unknown_unit_is_answered_with_the_nearest() -> None:
    with pytest.raises(UnitError, match=r"no unit 'newton meters'; did you mean N·m\?") as caught:
        unit_named("newton meters", "torque")
    assert caught.value.allowed == ("N·m", "N·cm", "lbf·ft", "lbf·in")


def test_a_unit_of_another_quantity_is_refused() -> None:
    with pytest.raises(UnitError, match="'mm' is a unit of length, not of torque; write one of N·m"):
        unit_named("mm", "torque")
    with pytest.raises(UnitError, match="'bar' is a unit of pressure, not of length"):
        convert(1, "mm", "bar")


def test_no_two_units_share_a_spelling() -> None:
    spelled = [units.folded_spelling(n) for u in units.UNITS.values() for n in (u.symbol, *u.aliases)]
    assert len(spelled) == len(set(spelled))


def test_the_other_system_is_always_another_unit_of_the_same_quantity() -> None:
    for unit in units.UNITS.values():
        if unit.other:
            assert units.UNITS[unit.other].quantity == unit.quantity
            assert unit.other != unit.symbol


PAIRS = sorted((u.symbol, u.other) for u in units.UNITS.values() if u.other)
FIGURES = st.decimals(min_value=Decimal("-9999"), max_value=Decimal("9999"), places=3).map(
    lambda d: d.quantize(Decimal("0.001"))
)


@given(FIGURES, st.integers(0, 3), st.sampled_from(PAIRS))
def test_converting_there_and_back_gives_the_figure_as_written(
    figure: Decimal, places: int, pair: tuple[str, str]
) -> None:
    written = figure.quantize(Decimal(1).scaleb(-places))
    there = converted(written, *pair)
    back = convert(there, pair[1], pair[0])
    assert abs(back - Fraction(written)) <= Fraction(1, 2) * Fraction(10) ** -places


@given(FIGURES, st.integers(0, 3), st.sampled_from(PAIRS))
def test_the_converted_figure_has_three_digits_or_a_step_like_the_one_written(
    figure: Decimal, places: int, pair: tuple[str, str]
) -> None:
    written = figure.quantize(Decimal(1).scaleb(-places))
    there = converted(written, *pair)
    exponent = there.as_tuple().exponent
    assert isinstance(exponent, int)
    ratio = Fraction(10) ** exponent / abs(convert(units.step_of(written), *pair, difference=True))
    assert ratio <= 1
    # 9.996 rounds up to 10.00, one digit more
    assert ratio > Fraction(1, 10) or len(there.as_tuple().digits) in (3, 4)


@given(FIGURES, st.sampled_from(PAIRS))
def test_a_limit_never_moves_outwards(figure: Decimal, pair: tuple[str, str]) -> None:
    there = convert(figure, *pair)
    assert Fraction(converted(figure, *pair, "down")) <= there <= Fraction(converted(figure, *pair, "up"))


@given(st.decimals(1, 500, places=1), st.decimals("0.1", 50, places=1), st.sampled_from(PAIRS))
def test_a_converted_tolerance_stays_inside_the_true_one(
    value: Decimal, half: Decimal, pair: tuple[str, str]
) -> None:
    words = _plain(both_tolerance(value, half, pair[0])).replace("\u202f", "").replace(units.MINUS, "-")
    middle, rest = words.split("(")[1].split(" ± ")
    shown, half_shown = Fraction(middle), Fraction(rest.split(" ")[0])
    low, high = convert(value - half, *pair), convert(value + half, *pair)
    assert half_shown == 0 or (low <= shown - half_shown and shown + half_shown <= high)


def test_both_systems_are_shown_in_one_line() -> None:
    assert _plain(both("85", "°C")) == "85 °C (185 °F)"
    assert _plain(both("0.15", "mm")) == "0.15 mm (0.00591 in)"
    assert _plain(both(60, "lbf·ft")) == "60 lbf·ft (81.3 N·m)"
    assert _plain(both(10, "bar", "down")) == "10 bar (145 psi)"
    assert _plain(both(45, "%")) == "45 %"
    own, other = ends_in_both("0.10", "0.20", "mm")
    assert [_plain(end) for end in (*own, *other)] == ["0.10", "0.20 mm", "0.00394", "0.00787 in"]
    assert ends_in_both("1", "2", "K") == (("1", f"2{NBSP}K"),), "kelvins have no other system"


def test_numbers_are_written_for_people() -> None:
    assert units.text(-3, "mm") == f"{units.MINUS}3{NBSP}mm"
    assert units.text(Decimal("-0.00"), "mm") == f"0.00{NBSP}mm"
    assert units.text(1234567, "N") == f"1\u202f234\u202f567{NBSP}N"
    assert units.text(9999) == "9999"
    assert units.text(45, "°") == "45°"


def test_rounding_goes_the_way_asked() -> None:
    assert units.rounded(2.45, 1) == Decimal("2.4")  # half to even
    assert units.rounded(2.41, 1, "up") == Decimal("2.5")
    assert units.rounded(2.49, 1, "down") == Decimal("2.4")
    assert math.isclose(float(units.rounded(1234.0, -2)), 1200.0)


def test_units_are_listed_by_quantity() -> None:
    assert units.units_of("torque") == ("N·m", "N·cm", "lbf·ft", "lbf·in")
    assert "torque" in list(units.quantities())
    with pytest.raises(KeyError):
        units.units_of("colour")
