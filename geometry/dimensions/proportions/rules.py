"""How a dimension follows from those before it, and what may be given in its place.

Proportions are those of the general trade, mostly a fraction of the shaft centre distance C, not of any maker. A class
of dimensions declares each as a field::

    wall_mm: float = of_c("body wall round the bores", 0.2, 0.95, 1.6)

The factors at the end are the range within which it may be overridden, as factors of its usual value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import Field, dataclass, field, fields
from typing import Any, Protocol

from ..stock_sizes import PREFERRED_THREADS_MM, nearest
from ..threads import thread_table

ORING_SECTIONS_MM = (1.78, 2.62, 3.53, 5.33, 6.99)
"""Cross-sections of ISO 3601-1."""
OTHER_SECTION = 0.45
"""How far, as a share of the usual one, an O-ring section given in its place may be off: the next size or two."""
UNITS = {"_mm": " mm", "_deg": " degrees"}
"""End of a dimension's name to its unit as it is written; shares and counts have none."""
_METADATA = "proportion"

Dimensions = Mapping[str, float]
"""Name to value of the dimensions worked out so far."""
Rule = Callable[[Dimensions], float]


class Choice(Protocol):
    """What may be given in place of a dimension's usual value."""

    def holds(self, value: float, usual: float) -> bool:
        """Return whether ``value`` may be given where ``usual`` is the usual one."""

    def words(self, usual: float, unit: str) -> str:
        """Return what is allowed, in words."""


@dataclass(frozen=True)
class Within:
    """A range, as factors of the usual value."""

    least: float
    most: float

    def holds(self, value: float, usual: float) -> bool:
        near = 1e-9
        return math.isfinite(value) and self.least * usual - near <= value <= self.most * usual + near

    def words(self, usual: float, unit: str) -> str:
        return f"{self.least * usual:.4g} to {self.most * usual:.4g}{unit}"


@dataclass(frozen=True)
class OneOf:
    """A few values, which may depend on the usual one."""

    values: Callable[[float], tuple[float, ...]]
    between: str = ", "
    after: str = ""

    def holds(self, value: float, usual: float) -> bool:
        return value in self.values(usual)

    def words(self, usual: float, unit: str) -> str:
        return self.between.join(f"{v:g}" for v in self.values(usual)) + self.after


@dataclass(frozen=True)
class ZeroOrWithin:
    """Zero, which stands for what suits the other dimensions, or a range of its own."""

    least: float
    most: float

    def holds(self, value: float, usual: float) -> bool:
        return value == 0 or self.least <= value <= self.most

    def words(self, usual: float, unit: str) -> str:
        return f"0, or {self.least:g} to {self.most:g}{unit}"


@dataclass(frozen=True)
class Proportion:
    """How a dimension follows from those before it, and what may be given in its place."""

    words: str
    rule: Rule
    choice: Choice


def proportions_of(*groups: type) -> dict[str, Proportion]:
    """Return dimension to proportion, for classes of dimensions in the order in which they are worked out."""
    return {f.name: _of_field(f) for group in groups for f in fields(group)}


def _of_field(f: Field[Any]) -> Proportion:
    found: Proportion = f.metadata[_METADATA]
    return found


def unit_of(name: str) -> str:
    """Return the unit that a dimension's name ends on, as it is written behind a number.

    >>> unit_of("wall_mm"), unit_of("stud_angle_deg"), unit_of("studs")
    (' mm', ' degrees', '')
    """
    return next((unit for end, unit in UNITS.items() if name.endswith(end)), "")


# ---- rules, each as a field of a class of dimensions


def by_rule(words: str, rule: Rule, least: float = 0.5, most: float = 2.0) -> Any:
    """Return the field of a dimension that follows by ``rule``."""
    return _field(words, rule, Within(least, most))


def of_c(what: str, factor: float, least: float = 0.5, most: float = 2.0, *, at_least_mm: float = 0.0) -> Any:
    """Return the field of a dimension that is a fraction of the shaft centre distance."""
    words = f"{what}: {factor:g} C" + (f", at least {at_least_mm:g} mm" if at_least_mm else "")
    return by_rule(words, lambda d: max(at_least_mm, factor * d["shaft_centre_distance_mm"]), least, most)


def of_dimension(
    what: str, factor: float, name: str, named: str, least: float = 0.5, most: float = 2.0
) -> Any:
    """Return the field of a dimension that is a fraction of another, called ``named`` in words."""
    return by_rule(f"{what}: {factor:g} of {named}", lambda d: factor * d[name], least, most)


def fixed(what: str, value: float, unit: str = "", least: float = 0.5, most: float = 2.0) -> Any:
    """Return the field of a dimension that is the same for every size; ``unit`` is for its words."""
    return by_rule(f"{what}: {value:g}{unit}", lambda d: value, least, most)


def count(words: str, usual: int | Rule, choices: tuple[int, ...]) -> Any:
    """Return the field of a number of parts, the same for every size or by a rule."""
    rule = usual if callable(usual) else lambda d: float(usual)
    return _field(words, rule, OneOf(lambda _: choices, between=" or "))


def stock_of_c(
    what: str, factor: float, sizes: tuple[float, ...], least: float = 0.5, most: float = 2.0
) -> Any:
    """Return the field of a dimension that is the one of ``sizes`` nearest to a fraction of C.

    Others may be given: what was measured on a pump need not be of the same row of sizes.
    """
    words = f"{what}: stock size nearest to {factor:g} C"
    return by_rule(words, lambda d: nearest(sizes, factor * d["shaft_centre_distance_mm"]), least, most)


def oring_section(what: str, factor: float) -> Any:
    """Return the field of an O-ring's cross-section, the standard one nearest to a fraction of C."""

    def rule(d: Dimensions) -> float:
        return min(ORING_SECTIONS_MM, key=lambda s: abs(s - factor * d["shaft_centre_distance_mm"]))

    def near(usual: float) -> tuple[float, ...]:
        return tuple(s for s in ORING_SECTIONS_MM if abs(s - usual) < OTHER_SECTION * usual)

    return _field(
        f"{what} O-ring section nearest to {factor:g} C", rule, OneOf(near, after=" mm (ISO 3601-1)")
    )


def thread(words: str, rule: Rule, least: float = 0.7, most: float = 1.2) -> Any:
    """Return the field of a thread's nominal diameter, one of the table."""

    def near(usual: float) -> tuple[float, ...]:
        return tuple(t.nominal_mm for t in thread_table() if least * usual <= t.nominal_mm <= most * usual)

    return _field(words, rule, OneOf(near, after=" mm (metric coarse)"))


def thread_of_c(what: str, factor: float, at_least_mm: float = 0.0) -> Any:
    """Return the field of a thread that is the nearest of first choice to a fraction of C."""
    floor = f", at least M{at_least_mm:g}" if at_least_mm else ""

    def rule(d: Dimensions) -> float:
        return max(at_least_mm, nearest(PREFERRED_THREADS_MM, factor * d["shaft_centre_distance_mm"]))

    return thread(f"{what}: metric thread of first choice nearest to {factor:g} C{floor}", rule, 0.6, 1.5)


def zero_or(words: str, least: float, most: float) -> Any:
    """Return the field of a dimension that is 0 unless one is given."""
    return _field(words, lambda d: 0.0, ZeroOrWithin(least, most))


def _field(words: str, rule: Rule, choice: Choice) -> Any:
    return field(metadata={_METADATA: Proportion(words, rule, choice)})
