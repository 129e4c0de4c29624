"""Units of the trade: exact conversions, rounding that invents no precision, both systems side by side.

Sources: inch 25.4 mm and pound 0.453 592 37 kg (international yard and pound agreement, 1959); standard
gravity 9.806 65 m/s2 (CGPM 1901); from these the pound-force and all torques and pressures follow exactly.
US fluid ounce: 1/128 of 231 cubic inches (NIST SP 811, appendix B). Rounding follows the thought of
NIST SP 811, B.7: a converted figure is given to the power of ten next below the step of the figure
converted, and never to fewer than three digits.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

Typed = int | float | str | Decimal
"""A figure as somebody wrote it: its last digit says how exact it is meant."""
Number = Typed | Fraction
Toward = Literal["nearest", "down", "up"]
"""Which way a converted figure is rounded: a greatest allowed value goes down, a least one up."""

LEAST_DIGITS = 3
"""Significant digits a converted figure keeps at least: 10 bar is 145 psi, not 150."""

NBSP = "\u00a0"
MINUS = "\u2212"

INCH_MM = Fraction(254, 10)
POUND_KG = Fraction(45359237, 100000000)
GRAVITY = Fraction(980665, 100000)
LBF_N = POUND_KG * GRAVITY
"""Pound-force in newtons, 4.448 221 615 260 5 exactly."""
LBF_FT_NM = LBF_N * 12 * INCH_MM / 1000
"""Pound-force foot in newton metres, 1.355 817 948 331 400 4 exactly."""
PSI_PA = LBF_N / (INCH_MM / 1000) ** 2


@dataclass(frozen=True)
class Unit:
    """A unit of one quantity: ``base = value * factor + offset``."""

    symbol: str
    quantity: str
    factor: Fraction
    other: str = ""
    """Symbol of the unit that people of the other system use; empty where there is none."""
    aliases: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


class UnitError(ValueError):
    """A unit that is not known, or two that measure different things."""

    def __init__(self, message: str, found: str, allowed: tuple[str, ...], fix: str) -> None:
        super().__init__(message)
        self.found, self.allowed, self.fix = found, allowed, fix


def _f(value: str) -> Fraction:
    return Fraction(value)


_UNITS = (
    Unit("mm", "length", _f("1"), "in", ("millimetre", "millimeter", "millimetres", "millimeters")),
    Unit("µm", "length", _f("1/1000"), "in", ("um", "micron", "microns", "micrometre", "micrometer")),
    Unit("cm", "length", _f("10"), "in", ("centimetre", "centimeter")),
    Unit("m", "length", _f("1000"), "ft", ("metre", "meter", "metres", "meters")),
    Unit("in", "length", INCH_MM, "mm", ("inch", "inches", '"', "″")),
    Unit("ft", "length", INCH_MM * 12, "m", ("foot", "feet")),
    Unit("N·m", "torque", _f("1"), "lbf·ft", ("newton metre", "newton meter")),
    Unit("N·cm", "torque", _f("1/100"), "lbf·in"),
    Unit("lbf·ft", "torque", LBF_FT_NM, "N·m", ("ft·lbf", "lb·ft", "ft·lb", "foot-pound", "foot-pounds")),
    Unit(
        "lbf·in", "torque", LBF_FT_NM / 12, "N·m", ("in·lbf", "lb·in", "in·lb", "inch-pound", "inch-pounds")
    ),
    Unit("N", "force", _f("1"), "lbf", ("newton", "newtons")),
    Unit("kN", "force", _f("1000"), "lbf"),
    Unit("lbf", "force", LBF_N, "N", ("pound-force",)),
    Unit("bar", "pressure", _f("100000"), "psi", ("barg", "bar(g)")),
    Unit("mbar", "pressure", _f("100"), "psi"),
    Unit("Pa", "pressure", _f("1"), "psi"),
    Unit("kPa", "pressure", _f("1000"), "psi"),
    Unit("MPa", "pressure", _f("1000000"), "psi", ("N/mm2", "N/mm²")),
    Unit("psi", "pressure", PSI_PA, "bar", ("psig", "lbf/in2", "lbf/in²")),
    Unit("°C", "temperature", _f("1"), "°F", ("C", "degC", "celsius")),
    Unit("°F", "temperature", _f("5/9"), "°C", ("F", "degF", "fahrenheit"), _f("-160/9")),
    Unit("K", "temperature difference", _f("1"), "", ("kelvin",)),
    Unit("kg", "mass", _f("1"), "lb", ("kilogram", "kilograms")),
    Unit("g", "mass", _f("1/1000"), "oz", ("gram", "grams")),
    Unit("lb", "mass", POUND_KG, "kg", ("lbs", "lbm", "pound", "pounds")),
    Unit("oz", "mass", POUND_KG / 16, "g", ("ounce", "ounces")),
    Unit("mL", "volume", _f("1"), "fl oz", ("cm3", "cm³", "cc", "millilitre", "milliliter")),
    Unit("L", "volume", _f("1000"), "fl oz", ("litre", "liter", "litres", "liters")),
    Unit("fl oz", "volume", 231 * (INCH_MM / 10) ** 3 / 128, "mL", ("US fl oz",)),
    Unit("1/min", "speed of rotation", _f("1"), "", ("rpm", "r/min", "min⁻¹", "rev/min")),
    Unit("°", "angle", _f("1"), "", ("deg", "degree", "degrees")),
    Unit("%", "share", _f("1"), "", ("percent",)),
)


def folded_spelling(name: str) -> str:
    """Fold case, dots, hyphens and blanks: ``N.m``, ``Nm`` and ``n-m`` are one name."""
    return re.sub(r"[\s.·⋅*\-]+", "", name.replace("μ", "µ").casefold())


UNITS: dict[str, Unit] = {u.symbol: u for u in _UNITS}
"""Symbol to unit."""
_SPELLINGS = {folded_spelling(name): u for u in _UNITS for name in (u.symbol, *u.aliases)}


def unit_named(text: str, quantity: str | None = None) -> Unit:
    """Return the unit that ``text`` names, by symbol or by a usual other spelling.

    Args:
        text: what somebody typed.
        quantity: the quantity that is wanted (``torque``), where that is known.

    Raises:
        UnitError: if there is no such unit, or it measures another quantity.

    >>> unit_named("Nm").symbol, unit_named("ft-lb").symbol
    ('N·m', 'lbf·ft')
    """
    typed = " ".join(str(text).split())
    found = _SPELLINGS.get(folded_spelling(typed))
    wanted = tuple(u.symbol for u in _UNITS if quantity in (None, u.quantity))
    if found is None:
        pool = [n for n, u in _SPELLINGS.items() if quantity in (None, u.quantity)]
        near = difflib.get_close_matches(folded_spelling(typed), pool, n=1, cutoff=0.4)
        fix = f"did you mean {_SPELLINGS[near[0]].symbol}?" if near else f"write one of {', '.join(wanted)}"
        raise UnitError(f"no unit '{typed}'; {fix}", typed, wanted, fix)
    if quantity is not None and found.quantity != quantity:
        fix = f"write one of {', '.join(wanted)}"
        message = f"'{typed}' is a unit of {found.quantity}, not of {quantity}; {fix}"
        raise UnitError(message, typed, wanted, fix)
    return found


def exact(value: Number) -> Fraction:
    """Return ``value`` as an exact fraction; a float counts as the shortest decimal that stands for it."""
    return Fraction(Decimal(repr(value))) if isinstance(value, float) else Fraction(value)


def convert(value: Number, source: str, target: str, difference: bool = False) -> Fraction:
    """Return ``value`` in another unit, exactly.

    Args:
        value: figure in ``source`` units.
        source: symbol or usual spelling of the unit it has.
        target: the unit wanted.
        difference: ``value`` is a difference (a tolerance), so that a temperature's zero does not count.

    Raises:
        UnitError: if a unit is unknown or the two measure different quantities.

    >>> float(convert(100, "°C", "°F")), float(convert(1, "in", "mm"))
    (212.0, 25.4)
    """
    a = unit_named(source)
    b = unit_named(target, a.quantity)
    base = exact(value) * a.factor + (0 if difference else a.offset)
    return (base - (0 if difference else b.offset)) / b.factor


def step_of(value: Typed) -> Decimal:
    """Return the step of the last digit written: ``25`` has 1, ``0.150`` as text has 0.001.

    >>> step_of("0.150"), step_of(25)
    (Decimal('0.001'), Decimal('1'))
    """
    digits = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if isinstance(value, float):
        digits = digits.normalize()
    exponent = digits.as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"{value} is no figure")
    return Decimal(1).scaleb(min(exponent, 0))


_ROUNDERS: dict[Toward, Callable[[Fraction], int]] = {"nearest": round, "down": math.floor, "up": math.ceil}


def _to_step(value: Fraction, exponent: int, toward: Toward) -> Decimal:
    return Decimal(_ROUNDERS[toward](value / Fraction(10) ** exponent)).scaleb(exponent)


def rounded(value: Number, decimals: int, toward: Toward = "nearest") -> Decimal:
    """Return ``value`` with ``decimals`` digits behind the point (negative: tens, hundreds)."""
    return _to_step(exact(value), -decimals, toward)


def converted(
    value: Typed, source: str, target: str, toward: Toward = "nearest", difference: bool = False
) -> Decimal:
    """Return ``value`` in the target unit, rounded as its own last digit allows.

    Converting the answer back and rounding it to the step of ``value`` gives ``value`` again.

    >>> converted(25, "N·m", "lbf·ft"), converted("0.15", "mm", "in", toward="down")
    (Decimal('18.4'), Decimal('0.00590'))
    """
    there = convert(value, source, target, difference)
    step = abs(convert(step_of(value), source, target, difference=True))
    exponent = _power_of_ten(step)
    if there and unit_named(source).quantity != "temperature":
        exponent = min(exponent, _power_of_ten(there) - LEAST_DIGITS + 1)
    return _to_step(there, exponent, toward)


def _power_of_ten(value: Fraction) -> int:
    """Exponent of the power of ten next below ``value``, exactly."""
    exponent = math.floor(math.log10(abs(value)))
    while Fraction(10) ** (exponent + 1) <= abs(value):
        exponent += 1
    while Fraction(10) ** exponent > abs(value):
        exponent -= 1
    return exponent


def text(value: Typed, unit: str = "") -> str:
    """Return a figure with its unit, never broken apart; true minus sign, thin groups from 10000 on.

    >>> text(Decimal("12500"), "N")
    '12\\u202f500\\xa0N'
    """
    digits = Decimal(repr(value)) if isinstance(value, float) else Decimal(str(value))
    plain = f"{abs(digits):f}"
    whole, _, part = plain.partition(".")
    if len(whole) > 4:
        groups = f"{int(whole):,}".split(",")
        whole = "\u202f".join(groups)
    sign = MINUS if digits < 0 and any(c != "0" for c in plain if c.isdigit()) else ""
    figure = sign + whole + ("." + part if part else "")
    return figure + ("" if not unit else unit if unit == "°" else NBSP + unit)


def both(value: Typed, unit: str, toward: Toward = "nearest") -> str:
    """Return a figure as written and, in brackets, in the other system.

    >>> both(25, "N·m").replace(NBSP, " ")
    '25 N·m (18.4 lbf·ft)'
    """
    own = unit_named(unit)
    first = text(value, own.symbol)
    if not own.other:
        return first
    return f"{first} ({text(converted(value, own.symbol, own.other, toward), own.other)})"


def both_tolerance(value: Typed, tolerance: Typed, unit: str) -> str:
    """Return ``value`` with its symmetrical tolerance in both systems; the converted one is never wider.

    >>> both_tolerance(25, 2, "N·m").replace(NBSP, " ")
    '25 ± 2 N·m (18.4 ± 1.4 lbf·ft)'
    """
    own = unit_named(unit)
    first = f"{text(value)}{NBSP}±{NBSP}{text(tolerance, own.symbol)}"
    if not own.other:
        return first
    middle = convert(value, own.symbol, own.other)
    reach = convert(tolerance, own.symbol, own.other, difference=True)
    finest = _power_of_ten(abs(convert(step_of(tolerance), own.symbol, own.other, difference=True)))
    exponent = min(_exponent(converted(value, own.symbol, own.other)), finest)
    there = _to_step(middle, exponent, "nearest")
    # Rounding the middle moves both ends; the tolerance gives way so that the span stays inside the true one.
    half = _to_step(max(reach - abs(Fraction(there) - middle), Fraction(0)), exponent, "down")
    return f"{first} ({text(there)}{NBSP}±{NBSP}{text(half, own.other)})"


def ends_in_both(low: Typed, high: Typed, unit: str) -> tuple[tuple[str, str], ...]:
    """Return least and, with its unit, greatest of a span: as written, and in the other system where there is one.

    The converted span lies inside the one given.

    >>> [[end.replace(NBSP, " ") for end in ends] for ends in ends_in_both("0.10", "0.20", "mm")]
    [['0.10', '0.20 mm'], ['0.00394', '0.00787 in']]
    """
    own = unit_named(unit)
    first = (text(low), text(high, own.symbol))
    if not own.other:
        return (first,)
    least = converted(low, own.symbol, own.other, "up")
    most = converted(high, own.symbol, own.other, "down")
    return first, (text(least), text(most, own.other))


def units_of(quantity: str) -> tuple[str, ...]:
    """Return the symbols of all units of ``quantity``.

    Raises:
        KeyError: if no unit measures it.
    """
    found = tuple(u.symbol for u in _UNITS if u.quantity == quantity)
    if not found:
        raise KeyError(quantity)
    return found


def quantities() -> Iterable[str]:
    """Return the quantities that have units, in the order of the table."""
    return dict.fromkeys(u.quantity for u in _UNITS)


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0
