"""Materials: density, thermal expansion, elastic modulus and yield, each with the open source it comes from.

Source and doubt of every row stand in the table itself (``materials.csv``; ``*_source`` is the last part of a key in
the catalogues of words, ``*_work`` the standard or work that it names). Expansion is linear and given
as a span, from scatter between grades or from the temperature range; figures use its middle and carry the
span along. Yields (``yields.csv``) are those of metals for which an open standard states one.
"""

from __future__ import annotations

import csv
import difflib
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources

from .figures import Input
from .topics import Topic

ROOM_C = 20.0
"""Reference temperature for dimensions, ISO 1."""

ELASTOMERS = ("FKM", "EPDM", "NBR", "VMQ", "FFKM", "ptfe-encapsulated")
"""Keys of what an O-ring can be made of."""


@dataclass(frozen=True)
class Material:
    """One material: density kg/m3, expansion 1e-6/K (linear), modulus GPa."""

    key: str
    density_kg_m3: float
    density_source: str
    density_work: str
    expansion_low: float
    expansion_high: float
    expansion_source: str
    expansion_work: str
    youngs_low_gpa: float
    youngs_high_gpa: float
    youngs_source: str
    not_verified: str

    @property
    def expansion(self) -> float:
        """Middle of the span of linear expansion, 1e-6/K."""
        return (self.expansion_low + self.expansion_high) / 2

    @property
    def youngs_gpa(self) -> float:
        """Middle of the span of the elastic modulus, GPa."""
        return (self.youngs_low_gpa + self.youngs_high_gpa) / 2

    @property
    def stated_yield(self) -> StatedYield | None:
        """Its yield by the row of a standard, None where none states one for the material as such.

        >>> material("duplex").stated_yield.mpa, material("nickel-alloy").stated_yield
        (450.0, None)
        """
        return stated_yields().get(self.key)

    def youngs_input(self, symbol: str = "E") -> Input:
        """Return the elastic modulus as input of a formula, in MPa."""
        source = Topic("source.youngs", standard=self.youngs_source.split(" at ")[0])
        return Input(
            symbol, Topic("input.modulus_of", material=self.key), 1000 * self.youngs_gpa, "MPa", source, 0
        )

    def mass_kg(self, volume_mm3: float) -> float:
        """Return the mass of ``volume_mm3`` of this material.

        >>> round(material("316L").mass_kg(1e6), 3)
        8.0
        """
        return self.density_kg_m3 * volume_mm3 * 1e-9

    def expansion_input(self, symbol: str) -> Input:
        """Return the expansion as input of a formula, in 10⁻⁶/K."""
        source = Topic(
            f"source.expansion.{self.expansion_source}", work=self.expansion_work,
            least=self.expansion_low, most=self.expansion_high,
        )  # fmt: skip
        return Input(symbol, Topic("input.expansion", material=self.key), self.expansion, "10⁻⁶/K", source, 2)

    def density_input(self, symbol: str) -> Input:
        """Return the density as input of a formula, in kg/m³."""
        source = Topic(f"source.density.{self.density_source}", work=self.density_work)
        return Input(symbol, Topic("input.density", material=self.key), self.density_kg_m3, "kg/m³", source)


@dataclass(frozen=True)
class StatedYield:
    """0.2 % yield, MPa, of a grade by its standard."""

    mpa: float
    standard: str
    grade: str

    @property
    def source(self) -> Topic:
        """The row of the standard."""
        return Topic("source.yield_bars", standard=self.standard, grade=self.grade)


class UnknownMaterial(KeyError):
    """A material that is not in the table."""

    def __init__(self, found: str, allowed: tuple[str, ...]) -> None:
        near = difflib.get_close_matches(found.casefold(), [k.casefold() for k in allowed], n=1, cutoff=0.4)
        match = next((k for k in allowed if near and k.casefold() == near[0]), None)
        self.found, self.allowed = found, allowed
        self.fix = f"did you mean {match}?" if match else "add it to the table with its sources"
        self.message = f"no material '{found}'; {self.fix} Known are {', '.join(allowed)}."
        super().__init__(self.message)

    def __str__(self) -> str:
        return self.message


@cache
def materials() -> dict[str, Material]:
    """Return key to material, in the order of the table."""
    text = resources.files(__package__).joinpath("materials.csv").read_text(encoding="utf-8")
    numbers = {f.name for f in fields(Material) if f.type == "float"}
    rows = [
        Material(**{k: float(v) if k in numbers else v for k, v in row.items()})  # type: ignore[arg-type]
        for row in csv.DictReader(text.splitlines())
    ]
    return {m.key: m for m in rows}


@cache
def stated_yields() -> dict[str, StatedYield]:
    """Return key of a metal to its yield; typed from general knowledge of the standards named."""
    text = resources.files(__package__).joinpath("yields.csv").read_text(encoding="utf-8")
    return {
        row["metal"]: StatedYield(float(row["yield_mpa"]), row["standard"], row["grade"])
        for row in csv.DictReader(text.splitlines())
    }


def material(key: str) -> Material:
    """Return the material ``key``.

    Raises:
        UnknownMaterial: if there is none; says the nearest and all known.

    >>> material("duplex").expansion
    13.25
    """
    table = materials()
    if key not in table:
        raise UnknownMaterial(key, tuple(table))
    return table[key]
