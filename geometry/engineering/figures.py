"""Figures that explain themselves: value, unit, formula, inputs, source and limit, to be reworked by hand.

What a figure and its parts are called is no concern of this room: each carries its :class:`.topics.Topic`. A formula
is written the way a workshop book prints it (``π/4·d₂²/(W·H)``) and is exact enough to be evaluated: :func:`by_hand`
works it from the inputs *as printed*, as a reader with a calculator does.
"""

from __future__ import annotations

import ast
import math
import operator
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from . import units
from .topics import EARLIER, Topic

Judgement = Literal["inside", "edge", "outside", "no limit"]
"""``edge``: the middle is inside its limit, but scatter or tolerance reaches beyond it."""

SIGNIFICANT = 4
"""Digits of a figure whose unit has no fixed number of decimals."""
_DECIMALS = {"mm": 3, "µm": 1, "%": 1, "°C": 0, "K": 0, "10⁻⁶/K": 1, "GPa": 1, "°": 1, "kg": 2, "kg/m³": 0}


@dataclass(frozen=True)
class Input:
    """One thing that goes into a formula, with the place it comes from."""

    symbol: str
    topic: Topic
    value: float
    unit: str
    source: Topic
    decimals: int | None = None

    @property
    def shown(self) -> str:
        """The number as printed, without its unit."""
        return number(self.value, self.unit, self.decimals)

    @property
    def amount(self) -> str:
        """Value and unit as printed."""
        return amount(self.value, self.unit, self.decimals)


@dataclass(frozen=True)
class Limit:
    """What a figure is judged by; an open side is None."""

    low: float | None
    high: float | None
    unit: str
    source: Topic
    condition: Topic | None = None
    """Under which it holds."""
    not_verified: Topic | None = None

    def judge(self, value: float, low: float | None = None, high: float | None = None) -> Judgement:
        """Return where ``value``, with its span from ``low`` to ``high``, lies."""
        if self.low is None and self.high is None:
            return "no limit"

        def within(x: float) -> bool:
            slack = 1e-9 * max(1.0, abs(x))
            return (self.low is None or x >= self.low - slack) and (
                self.high is None or x <= self.high + slack
            )

        if not within(value):
            return "outside"
        return "inside" if all(within(x) for x in (low, high) if x is not None) else "edge"


@dataclass(frozen=True)
class Figure:
    """A computed figure with everything that is needed to believe it, or to doubt it.

    ``formula`` is empty where no single formula gives the value (a sampled result); ``derivation`` then says how
    it was had.
    """

    id: str
    """Its address: alone among the figures of a head."""
    topic: Topic
    """What it is a figure of."""
    symbol: str
    value: float
    unit: str
    formula: str
    inputs: tuple[Input, ...]
    source: Topic
    low: float | None = None
    high: float | None = None
    """Span by tolerances or scatter, both inputs' doing; None where there is none."""
    span: Topic | None = None
    """What the span stands for."""
    limit: Limit | None = None
    derivation: Topic | None = None
    not_verified: Topic | None = None
    decimals: int | None = None

    @property
    def judgement(self) -> Judgement:
        """Where the figure lies against its limit."""
        return "no limit" if self.limit is None else self.limit.judge(self.value, self.low, self.high)

    @property
    def shown(self) -> str:
        """The number as printed, without its unit."""
        return number(self.value, self.unit, self.decimals)

    @property
    def amount(self) -> str:
        """Value and unit as printed."""
        return amount(self.value, self.unit, self.decimals)

    @property
    def shown_span(self) -> tuple[str, str] | None:
        """Least value and, with its unit, greatest value as printed; None where print cannot tell them apart."""
        if self.low is None or self.high is None:
            return None
        low, high = (number(x, self.unit, self.decimals) for x in (self.low, self.high))
        if low == high == self.shown:
            return None
        return low, amount(self.high, self.unit, self.decimals)

    def equation(self) -> str:
        """Return the formula with its left side: ``A = π/4·d²``; empty without a formula."""
        return f"{self.symbol} = {_pretty(self.formula)}" if self.formula else ""

    def working(self) -> str:
        """Return the formula with the printed inputs put in, and the result; empty without a formula."""
        if not self.formula:
            return ""
        shown = {i.symbol: i.shown if i.value >= 0 else f"({i.shown})" for i in self.inputs}
        put_in = _NAME.sub(lambda m: shown.get(m.group(), m.group()), _pretty(self.formula))
        return f"{self.symbol} = {put_in} = {self.amount}"

    def as_input(self, symbol: str | None = None) -> Input:
        """Return this figure as an input of a further one."""
        return Input(symbol or self.symbol, self.topic, self.value, self.unit, EARLIER, self.decimals)


def number(value: float, unit: str = "", decimals: int | None = None) -> str:
    """Return ``value`` rounded for print: by its unit, else to four significant digits.

    >>> number(0.07512, "mm"), number(12345.0, "N"), number(24.16, "%")
    ('0.075', '12\\u202f340', '24.2')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be printed as a figure")
    return units.text(units.rounded(value, _decimals(value, unit, decimals)))


def _decimals(value: float, unit: str, decimals: int | None) -> int:
    if decimals is not None:
        return decimals
    if unit in _DECIMALS:
        return _DECIMALS[unit]
    # what the sums of a computer leave of a true zero is zero
    return SIGNIFICANT - 1 - math.floor(math.log10(abs(value))) if abs(value) > 1e-9 else 0


def step(value: float, unit: str, decimals: int | None = None) -> float:
    """Return the step of the last digit that is printed."""
    return float(10.0 ** -_decimals(value, unit, decimals))


def amount(value: float, unit: str, decimals: int | None = None) -> str:
    """Return ``value`` with its unit, rounded for print as :func:`number` does and never broken apart.

    >>> amount(0.07512, "mm") == "0.075\\u00a0mm"
    True
    """
    shown = number(value, unit, decimals)
    return shown if not unit else shown + unit if unit == "°" else f"{shown}{units.NBSP}{unit}"


# ---- the notation of formulas

_NAME = re.compile(r"[^\W\d⁰¹²³⁴⁵⁶⁷⁸⁹][^\W⁰¹²³⁴⁵⁶⁷⁸⁹]*")
_POWERS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_MARKS = {ord(c): f"_{n}" for n, c in enumerate("₀₁₂₃₄₅₆₇₈₉")}
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "ln": math.log,
    "min": min,
    "max": max,
    "abs": abs,
}
_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """Return the value of a formula in print notation.

    Known are ``+ - · /``, brackets, ``√( )``, ``ln( )``, ``min( )``, ``max( )``, ``abs( )``, ``π`` and raised
    whole numbers (``d²``, ``10⁻⁶``). Multiplication is always written.

    Raises:
        ValueError: if the formula cannot be read, or needs a symbol that is not given.

    >>> round(evaluate("π/4·(d - 0.9382·p)²", {"d": 10.0, "p": 1.5}), 1)
    58.0
    """
    return _walk(_read(formula), {_plain(k): float(v) for k, v in values.items()}, formula)


@lru_cache(maxsize=4096)
def _read(formula: str) -> ast.expr:
    """Return a formula as a tree; the same few are worked out for every head of a fleet."""
    plain = formula.replace("√(", "sqrt(").replace("π", "(3.141592653589793)")
    plain = re.sub(r"[⁰¹²³⁴⁵⁶⁷⁸⁹⁻]+", lambda m: f"**({m.group().translate(_POWERS)})", plain)
    plain = plain.translate({ord("·"): "*", ord(units.MINUS): "-"}).translate(_MARKS)
    try:
        return ast.parse(plain.strip(), mode="eval").body
    except SyntaxError as error:
        raise ValueError(f"formula '{formula}' cannot be read") from error


@lru_cache(maxsize=4096)
def _plain(symbol: str) -> str:
    """Return a symbol as it stands in the tree of a formula."""
    return unicodedata.normalize("NFKC", symbol.translate(_MARKS))


def _pretty(formula: str) -> str:
    """True minus signs, with thin air round the dyadic ones as they are typed."""
    return formula.replace("-", units.MINUS)


def _walk(node: ast.expr, known: Mapping[str, float], formula: str) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    if isinstance(node, ast.Name):
        if node.id not in known:
            raise ValueError(f"formula '{formula}' needs '{node.id}', given are {', '.join(sorted(known))}")
        return known[node.id]
    if isinstance(node, ast.BinOp) and type(node.op) in _OPERATORS:
        left, right = _walk(node.left, known, formula), _walk(node.right, known, formula)
        return float(_OPERATORS[type(node.op)](left, right))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return -_walk(node.operand, known, formula)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _FUNCTIONS:
        return float(_FUNCTIONS[node.func.id](*[_walk(a, known, formula) for a in node.args]))
    raise ValueError(f"formula '{formula}' has something that is not part of the notation")


def by_hand(figure: Figure) -> float:
    """Return what a reader gets who puts the printed inputs into the printed formula.

    Raises:
        ValueError: if the figure has no formula (a sampled result).
    """
    if not figure.formula:
        raise ValueError(f"{figure.id} was not worked out by one formula")
    return evaluate(figure.formula, {i.symbol: _as_printed(i) for i in figure.inputs})


def _as_printed(given: Input) -> float:
    return float(units.rounded(given.value, _decimals(given.value, given.unit, given.decimals)))


def hand_tolerance(figure: Figure) -> float:
    """Return how far a result worked by hand may lie off: one step of the last printed digit, or 0.5 %."""
    return max(step(figure.value, figure.unit, figure.decimals), 0.005 * abs(figure.value))


def make_figure(
    id: str,
    topic: Topic,
    symbol: str,
    unit: str,
    formula: str,
    inputs: tuple[Input, ...],
    source: Topic,
    *,
    limit: Limit | None = None,
    not_verified: Topic | None = None,
    decimals: int | None = None,
) -> Figure:
    """Return the figure whose value is that of ``formula`` with ``inputs``, so that the two can never differ.

    Raises:
        ValueError: if the formula cannot be read or lacks an input.
    """
    value = evaluate(formula, {i.symbol: i.value for i in inputs})
    return Figure(
        id, topic, symbol, value, unit, formula, inputs, source,
        limit=limit, not_verified=not_verified, decimals=decimals,
    )  # fmt: skip


def with_span(figure: Figure, corners: Iterable[Mapping[str, float]], span: Topic) -> Figure:
    """Return ``figure`` with the least and greatest value over ``corners`` (symbol to changed value)."""
    nominal = {i.symbol: i.value for i in figure.inputs}
    found = [evaluate(figure.formula, {**nominal, **corner}) for corner in corners] + [figure.value]
    return replace(figure, low=min(found), high=max(found), span=span)
