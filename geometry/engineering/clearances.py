"""Clearances from chains of dimensions: worst case, root sum square, sampled; and what heat does to them.

Method: a gap is the sum of dimensions with their signs. Worst case adds all tolerances, root sum square adds their
squares (independent dimensions), a seeded sample draws each dimension within its tolerance. Heat lengthens each
dimension by its material's linear expansion.

Tolerances that nobody gave can be taken from the grades of ISO 286-1 (:func:`tolerance_mm`). They are an assumption
then and must be said to be one: drawing tolerances of a pump belong to its maker.

Not verified: parts keep their shape, and each has one temperature throughout; pressure, bearing play and wear come in
only as dimensions of the chain. The values of ISO 286-1 are typed from general knowledge and agree with the
standard's own formula (tests); the standard was not read.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .figures import Figure, Input, Limit, make_figure, with_span
from .materials import ROOM_C, material
from .topics import PROCESS, SIZE, Topic

SOURCE = Topic("source.chain")
DRAWS = 100_000
SEED = 20_231
COVERAGE = 0.9973
"""Share of a sample between its reported ends; that of three standard deviations of a normal spread."""
HeatState = Literal["hot", "warm_up"]
"""In service, or on the way there."""
Spread = Literal["normal", "even"]
"""How a dimension lies in its tolerance: normally with three standard deviations to each end, or evenly."""


WARMTH: dict[HeatState, dict[str, float]] = {
    "hot": {"gear_case": 0.5},
    "warm_up": {"body": 0.5, "gear_case": 0.25},
}
"""State of a head to what share of the product's rise of temperature its parts have; what is not named, shaft and rotor
among it, has all of it. Assumed: in service the body is lagged, while warming up it lags behind shaft and rotor."""


@dataclass(frozen=True)
class Dimension:
    """One link of a chain, mm: nominal, upper and lower deviation; sense +1 where it opens the gap, -1 where it closes.

    ``key`` tells which dimension it is, in lower case. ``material`` is what lengthens with heat; ``temperature`` names
    its temperature where parts differ.
    """

    symbol: str
    key: str
    nominal_mm: float
    upper_mm: float
    lower_mm: float
    sense: Literal[1, -1]
    material: str = "316L"
    source: Topic = SIZE
    temperature: str = "process"

    def __post_init__(self) -> None:
        if self.upper_mm < self.lower_mm:
            raise ValueError(
                f"{self.key}: upper deviation {self.upper_mm:g} mm lies below the lower one {self.lower_mm:g} mm"
            )

    @property
    def middle_mm(self) -> float:
        """Middle of the tolerance."""
        return self.nominal_mm + (self.upper_mm + self.lower_mm) / 2

    @property
    def half_mm(self) -> float:
        """Half the tolerance."""
        return (self.upper_mm - self.lower_mm) / 2

    def input(self) -> Input:
        """Return the nominal dimension as input of a formula; its source tells the tolerance too."""
        source = self.source.with_key(
            f"{self.source.key}_toleranced", upper_mm=self.upper_mm, lower_mm=self.lower_mm
        )
        return Input(self.symbol, Topic(f"dimension.{self.key}"), self.nominal_mm, "mm", source, 4)


def dimension(
    symbol: str, key: str, nominal_mm: float, half_mm: float, sense: Literal[1, -1],
    material: str = "316L", source: Topic = SIZE, temperature: str = "process",
) -> Dimension:  # fmt: skip
    """Return a dimension with a symmetrical tolerance of ``half_mm`` to each side."""
    return Dimension(symbol, key, nominal_mm, half_mm, -half_mm, sense, material, source, temperature)


@dataclass(frozen=True)
class Chain:
    """Dimensions that make one gap; ``key`` in lower case tells which."""

    key: str
    links: tuple[Dimension, ...]

    def __post_init__(self) -> None:
        symbols = [link.symbol for link in self.links]
        if not symbols or len(set(symbols)) != len(symbols):
            raise ValueError(f"chain {self.key} needs links with symbols of their own, got {symbols}")

    @property
    def nominal_mm(self) -> float:
        """Gap of the nominal dimensions."""
        return sum(link.sense * link.nominal_mm for link in self.links)

    @property
    def middle_mm(self) -> float:
        """Gap of the middles of all tolerances."""
        return sum(link.sense * link.middle_mm for link in self.links)

    @property
    def formula(self) -> str:
        """The sum in print notation, opening dimensions first."""
        links = sorted(self.links, key=lambda link: -link.sense)
        terms = "".join(f" {'+' if link.sense > 0 else '-'} {link.symbol}" for link in links)
        return terms.removeprefix(" + ").removeprefix(" ")


SIZE_STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
_GRADES_UM = {
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400),
}
"""Grade to the tolerance in µm for sizes up to each of the steps."""


def tolerance_mm(nominal_mm: float, grade: int) -> float:
    """Return the standard tolerance of ISO 286-1 for a nominal size up to 500 mm, grades 5 to 11.

    Raises:
        ValueError: if the size or the grade lies outside.

    >>> tolerance_mm(63, 7)
    0.03
    """
    if grade not in _GRADES_UM:
        raise ValueError(f"no grade IT{grade} here; there are IT5 to IT11")
    if not 0 < nominal_mm <= SIZE_STEPS[-1]:
        raise ValueError(f"no standard tolerance for {nominal_mm:g} mm; sizes go up to {SIZE_STEPS[-1]} mm")
    place = next(n for n, s in enumerate(SIZE_STEPS) if nominal_mm <= s)
    return _GRADES_UM[grade][place] / 1000


# ---- at room temperature


def worst_case(chain: Chain) -> tuple[float, float]:
    """Return least and greatest gap, mm, all dimensions at their ends."""
    reach = sum(link.half_mm for link in chain.links)
    return chain.middle_mm - reach, chain.middle_mm + reach


def root_sum_square(chain: Chain) -> tuple[float, float]:
    """Return least and greatest gap, mm, of independent dimensions: middle less and plus the root of the squares."""
    reach = math.sqrt(sum(link.half_mm**2 for link in chain.links))
    return chain.middle_mm - reach, chain.middle_mm + reach


def sample(
    chain: Chain, draws: int = DRAWS, seed: int = SEED, spread: Spread = "normal"
) -> NDArray[np.float64]:
    """Return ``draws`` gaps, (draws,) float64 mm, the same for the same seed."""
    random = np.random.default_rng(seed)
    gaps = np.zeros(draws)
    for n, link in enumerate(chain.links):
        if spread == "normal":
            drawn = link.middle_mm + link.half_mm / 3 * _standard_draws(n, draws, seed)
        else:
            drawn = random.uniform(link.middle_mm - link.half_mm, link.middle_mm + link.half_mm, draws)
        gaps += link.sense * drawn
    return gaps


@lru_cache(maxsize=8)
def _standard_draws(link: int, draws: int, seed: int) -> NDArray[np.float64]:
    """Return draws, (draws,) float64, of mean 0 and deviation 1 for a chain's link by its number.

    A seed gives the links of every chain the same ones: they are drawn once for all chains of a fleet.
    """
    random = np.random.default_rng(seed)
    for _ in range(link):
        random.standard_normal(draws)
    drawn = random.standard_normal(draws)
    drawn.flags.writeable = False
    return drawn


@lru_cache(maxsize=1024)
def _sampled_ends(chain: Chain) -> tuple[float, float]:
    """Return least and greatest gap, mm, between which :data:`COVERAGE` of a sample lies."""
    tail = (1 - COVERAGE) / 2
    low, high = np.quantile(sample(chain), [tail, 1 - tail])
    return float(low), float(high)


def gap_figures(chain: Chain, limit: Limit | None = None) -> tuple[Figure, ...]:
    """Return the gap with its worst case, its root-sum-square span and its sampled span.

    Args:
        chain: the dimensions.
        limit: sourced limit of the gap; without one nothing is judged.
    """
    inputs = tuple(link.input() for link in chain.links)
    nominal = make_figure(
        f"gap.{chain.key}", Topic("figure.gap", gap=chain.key), "g", "mm", chain.formula, inputs, SOURCE, limit=limit
    )  # fmt: skip
    low, high = worst_case(chain)
    worst = replace(nominal, low=low, high=high, span=Topic("span.worst_case"))
    halves = tuple(
        Input(f"t{_sub(n)}", Topic("input.half_tolerance", dimension=link.key), link.half_mm, "mm", link.source, 4)
        for n, link in enumerate(chain.links, start=1)
    )  # fmt: skip
    squares = " + ".join(f"{h.symbol}²" for h in halves)
    reach = make_figure(
        f"gap.{chain.key}.rss", Topic("figure.gap_rss", gap=chain.key), "t", "mm", f"√({squares})", halves,
        Topic("source.root_sum_square"), decimals=4,
    )  # fmt: skip
    low, high = _sampled_ends(chain)
    sampled = Figure(
        f"gap.{chain.key}.sampled", Topic("figure.gap_sampled", gap=chain.key), "g", chain.middle_mm, "mm", "", (),
        Topic("source.sample"), low=low, high=high,
        span=Topic("span.sample", percent=100 * COVERAGE), limit=limit,
        derivation=Topic("derivation.sampled", draws=DRAWS, seed=str(SEED)),
    )  # fmt: skip
    return worst, reach, sampled


# ---- hot


def hot_gap_figure(
    chain: Chain,
    process_c: float,
    limit: Limit | None = None,
    shares: Mapping[str, float] | None = None,
    state: HeatState = "hot",
) -> Figure:
    """Return the gap at process temperature, or while warming up to it; its span is that of the materials' expansion.

    Args:
        chain: the dimensions.
        process_c: process temperature, °C.
        limit: sourced limit of the hot gap.
        shares: share of the rise from room temperature by the name of a temperature that dimensions give; what is not
            named has all of it.
        state: whether the head is in service or warming up.

    Raises:
        UnknownMaterial: if a dimension's material is not in the table.
    """
    inputs, terms = [], []
    names = sorted({link.material for link in chain.links})
    expansion = {name: f"α{_sub(n)}" for n, name in enumerate(names, start=1)}
    of_rise = {link.temperature: (shares or {}).get(link.temperature, 1.0) for link in chain.links}
    rises = {name: share * (process_c - ROOM_C) for name, share in of_rise.items()}
    warmth = {name: f"Δ{_sub(n)}" for n, name in enumerate(sorted(rises), start=1)}
    for link in sorted(chain.links, key=lambda x: -x.sense):
        sign = "+" if link.sense > 0 else "-"
        grown = f"(1 + {expansion[link.material]}·{warmth[link.temperature]}·10⁻⁶)"
        terms.append(f" {sign} {link.symbol}·{grown}")
        inputs.append(link.input())
    inputs += [material(name).expansion_input(symbol) for name, symbol in expansion.items()]
    inputs += [
        Input(
            symbol,
            Topic("input.rise", room_c=ROOM_C, temperature=name),
            rises[name],
            "K",
            _warmed(of_rise[name]),
            1,
        )
        for name, symbol in warmth.items()
    ]
    formula = "".join(terms).removeprefix(" + ").removeprefix(" ")
    figure = make_figure(
        f"gap.{chain.key}.{state}", Topic(f"figure.gap_{state}", gap=chain.key, process_c=process_c), "gₕ", "mm",
        formula, tuple(inputs), Topic("source.chain_hot"), limit=limit, not_verified=Topic("caveat.gap_hot"),
    )  # fmt: skip
    spans = [(s, material(n).expansion_low, material(n).expansion_high) for n, s in expansion.items()]
    corners = [
        {symbol: end for (symbol, _, _), end in zip(spans, ends, strict=True)}
        for ends in itertools.product(*[(low, high) for _, low, high in spans])
    ]
    return with_span(figure, corners, Topic("span.expansion"))


def _warmed(share: float) -> Topic:
    return PROCESS if share == 1 else Topic("source.assumed_rise", percent=100 * share)


# ---- shared


def _sub(count: int) -> str:
    return str(count).translate(str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉"))
