"""Disc springs (Belleville washers): force, stress, stacks. How one sits in the nut is in :mod:`.spring_seats`.

Method: Almen and Laszlo (Trans. ASME 58, 1936), as DIN EN 16984 (before: DIN 2092) gives it for springs without
contact flats; E = 206 GPa and µ = 0.3 for spring steel.

Table (``disc_springs.csv``): series A, B and C of DIN EN 16983 (before: DIN 2093), groups 1 and 2, with the force at
0.75 of the cone height. The rows were typed from general knowledge; no row was used to write the code, and the
formula gives each of the 66 forces to its last printed digit. The standards themselves were not read.

Not verified: friction (2 to 3 % on one spring, more in packs) is left out; the section is taken as rectangular, stiff
and sharp-edged. DIN 2093 says of itself that its springs are not meant to make up for
settling in screwed joints as the washers of DIN 6796 are: how much the nut's spring may be relied upon is for the
pump's maker to say.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib import resources

from ...bisection import zero_of
from ..figures import Figure, Input, Limit, make_figure
from ..topics import SIZE, Topic

E_MPA = 206_000.0
POISSON = 0.3
SOURCE = Topic("source.disc_spring", work="Almen and Laszlo 1936", standard="DIN EN 16984 (DIN 2092)")
STEEL = Topic("source.spring_steel", standard="DIN EN 16984")
FLAT_STRESS_MPA = 1600.0
"""Reference stress of spring steel, about its yield strength (DIN EN 16983); typed from general knowledge."""


@dataclass(frozen=True)
class DiscSpring:
    """One disc spring: outer and inner diameter, thickness, cone height (free height less thickness), all mm."""

    outer_mm: float
    inner_mm: float
    thickness_mm: float
    cone_mm: float
    e_mpa: float = E_MPA
    source: Topic = SIZE

    def __post_init__(self) -> None:
        if not (self.outer_mm > self.inner_mm > 0 and self.thickness_mm > 0 and self.cone_mm > 0):
            raise ValueError(
                f"a disc spring {self.outer_mm:g} x {self.inner_mm:g} x {self.thickness_mm:g} mm with a cone of "
                f"{self.cone_mm:g} mm cannot be; outer > inner > 0, thickness and cone > 0"
            )

    @property
    def free_height_mm(self) -> float:
        """Height over all, free."""
        return self.thickness_mm + self.cone_mm

    @property
    def ratio(self) -> float:
        """Outer to inner diameter."""
        return self.outer_mm / self.inner_mm

    @property
    def k1(self) -> float:
        """Coefficient K1 of the standard."""
        d = self.ratio
        return ((d - 1) / d) ** 2 / ((d + 1) / (d - 1) - 2 / math.log(d)) / math.pi

    def _stress_unit(self) -> float:
        t = self.thickness_mm
        return 4 * self.e_mpa / (1 - POISSON**2) * t**2 / (self.k1 * self.outer_mm**2)

    def force_n(self, deflection_mm: float) -> float:
        """Return the force at a deflection from free, N.

        >>> round(DiscSpring(50, 25.4, 3, 1.1).force_n(0.83), -2)
        12000.0
        """
        h, x = self.cone_mm / self.thickness_mm, deflection_mm / self.thickness_mm
        return self._stress_unit() * self.thickness_mm**2 * x * ((h - x) * (h - x / 2) + 1)

    @property
    def flat_force_n(self) -> float:
        """Force that presses it flat, N."""
        return self.force_n(self.cone_mm)

    def stress_mpa(self, deflection_mm: float) -> dict[str, float]:
        """Return the stresses at OM and the edges I to IV, MPa; compression is negative.

        I and II are the inner edges above and below, III and IV the outer ones below and above.
        """
        d, t = self.ratio, self.thickness_mm
        k2 = 6 / math.pi * ((d - 1) / math.log(d) - 1) / math.log(d)
        k3 = 3 / math.pi * (d - 1) / math.log(d)
        x = deflection_mm / t
        bend = self.cone_mm / t - x / 2
        unit = self._stress_unit() * x
        return {
            "OM": -unit * 3 / math.pi,
            "I": -unit * (k2 * bend + k3),
            "II": -unit * (k2 * bend - k3),
            "III": -unit * ((k2 - 2 * k3) * bend - k3) / d,
            "IV": -unit * ((k2 - 2 * k3) * bend + k3) / d,
        }

    def deflection_mm(self, force_n: float) -> float:
        """Return the deflection at which it presses with ``force_n``.

        Raises:
            ValueError: if the force is below zero or beyond what presses it flat, or the cone is so steep
                (h0/t above √2) that one force belongs to several deflections.
        """
        if self.cone_mm / self.thickness_mm > math.sqrt(2):
            raise ValueError(
                "a cone above 1.41 thicknesses snaps through: its force does not tell its deflection"
            )
        if not 0 <= force_n <= self.flat_force_n * (1 + 1e-12):
            raise ValueError(
                f"{force_n:g} N is not between 0 and the {self.flat_force_n:.0f} N that press it flat"
            )
        return zero_of(lambda s: self.force_n(s) - force_n, 0.0, self.cone_mm)


@dataclass(frozen=True)
class SpringStack:
    """``parallel`` springs nested in each of ``series`` packets that face one another; friction left out."""

    spring: DiscSpring
    parallel: int = 1
    series: int = 1

    def __post_init__(self) -> None:
        if self.parallel < 1 or self.series < 1:
            raise ValueError(
                f"a stack needs at least one spring, got {self.parallel} parallel, {self.series} series"
            )

    @property
    def free_height_mm(self) -> float:
        """Height of the free stack: each packet is one free spring and the further thicknesses nested in it."""
        return self.series * (self.spring.free_height_mm + (self.parallel - 1) * self.spring.thickness_mm)

    @property
    def travel_mm(self) -> float:
        """Deflection until flat."""
        return self.series * self.spring.cone_mm

    def force_n(self, deflection_mm: float) -> float:
        """Return the force of the stack: parallel adds force, series shares the deflection."""
        return self.parallel * self.spring.force_n(deflection_mm / self.series)


@dataclass(frozen=True)
class TableRow:
    """A row of DIN EN 16983: a spring and its published force at a published deflection."""

    series: str
    spring: DiscSpring
    deflection_mm: float
    force_n: float


@cache
def spring_table() -> tuple[TableRow, ...]:
    """Return the rows, series A, B, C, smallest first."""
    text = resources.files(__package__).joinpath("disc_springs.csv").read_text(encoding="utf-8")
    rows = []
    for row in csv.DictReader(text.splitlines()):
        outer, inner, thick, cone = (
            float(row[k]) for k in ("outer_mm", "inner_mm", "thickness_mm", "cone_mm")
        )
        source = Topic("source.spring_series", standard="DIN EN 16983", series=row["series"])
        spring = DiscSpring(outer, inner, thick, cone, source=source)
        rows.append(TableRow(row["series"], spring, float(row["deflection_mm"]), float(row["force_n"])))
    return tuple(rows)


# ---- figures of one spring


def outer_input(spring: DiscSpring) -> Input:
    """Return the outer diameter as input of a formula."""
    return Input("Dₑ", Topic("input.outer_diameter"), spring.outer_mm, "mm", spring.source)


def inner_input(spring: DiscSpring) -> Input:
    """Return the inner diameter as input of a formula."""
    return Input("Dᵢ", Topic("input.inner_diameter"), spring.inner_mm, "mm", spring.source)


def thickness_input(spring: DiscSpring) -> Input:
    """Return the thickness as input of a formula."""
    return Input("t", Topic("input.thickness"), spring.thickness_mm, "mm", spring.source, 4)


def cone_input(spring: DiscSpring) -> Input:
    """Return the cone height as input of a formula."""
    return Input("h₀", Topic("input.cone_height"), spring.cone_mm, "mm", spring.source, 4)


def _k1_figure(spring: DiscSpring) -> Figure:
    given = (outer_input(spring), inner_input(spring))
    ratio = make_figure(
        "disc_spring.ratio", Topic("figure.diameter_ratio"), "δ", "", "Dₑ/Dᵢ", given, SOURCE, decimals=4
    )
    formula = "((δ - 1)/δ)²/((δ + 1)/(δ - 1) - 2/ln(δ))/π"
    return make_figure(
        "disc_spring.k1", Topic("figure.k1"), "K₁", "", formula, (ratio.as_input(),), SOURCE, decimals=4
    )


def _steel_inputs(spring: DiscSpring) -> tuple[Input, Input]:
    return (
        Input("E", Topic("input.elastic_modulus"), spring.e_mpa, "MPa", STEEL, 0),
        Input("µ", Topic("input.poisson_ratio"), POISSON, "", STEEL, 1),
    )


def force_figures(
    spring: DiscSpring, deflection_mm: float, id: str = "disc_spring.force"
) -> tuple[Figure, ...]:
    """Return diameter ratio's coefficient and the force at ``deflection_mm``, each with its working."""
    k1 = _k1_figure(spring)
    inputs = (
        *_steel_inputs(spring),
        thickness_input(spring),
        k1.as_input(),
        outer_input(spring),
        _deflection_input(deflection_mm),
        cone_input(spring),
    )
    formula = "4·E/(1 - µ²)·t⁴/(K₁·Dₑ²)·s/t·((h₀/t - s/t)·(h₀/t - s/(2·t)) + 1)"
    return k1, make_figure(
        id, Topic("figure.spring_force"), "F", "N", formula, inputs, SOURCE,
        not_verified=Topic("caveat.spring_force"),
    )  # fmt: skip


def _deflection_input(deflection_mm: float) -> Input:
    """Return the deflection with as many decimals as a force worked by hand needs, also where it is tiny."""
    decimals = 4 if deflection_mm <= 0 else min(9, max(4, 3 - math.floor(math.log10(deflection_mm))))
    return Input("s", Topic("input.deflection"), deflection_mm, "mm", Topic("source.fitted"), decimals)


def stress_figure(spring: DiscSpring, deflection_mm: float) -> Figure:
    """Return the reference stress at OM, MPa without sign, judged by that of spring steel."""
    inputs = (
        *_steel_inputs(spring),
        thickness_input(spring),
        _k1_figure(spring).as_input(),
        outer_input(spring),
        _deflection_input(deflection_mm),
    )
    limit = Limit(
        None, FLAT_STRESS_MPA, "MPa", Topic("source.reference_stress", standard="DIN EN 16983"),
        not_verified=Topic("caveat.typed"),
    )  # fmt: skip
    return make_figure(
        "disc_spring.stress", Topic("figure.spring_stress"), "σ", "MPa", "4·E/(1 - µ²)·t²/(K₁·Dₑ²)·s/t·3/π", inputs,
        SOURCE, limit=limit,
    )  # fmt: skip
