"""Limits by the yield of the weakest of several metals: a standard's row or a sourced value, never a guess."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..figures import Limit
from ..materials import material
from ..topics import Topic

SHEAR_SHARE = 0.577
"""Yield in shear as a share of that in tension, by distortion energy: 1/√3."""


@dataclass(frozen=True)
class Yield:
    """0.2 % yield of one partner, MPa, and where it stands; ``mpa`` is None where no source states it."""

    mpa: float | None
    source: Topic


def yield_of(metal: str) -> Yield:
    """Return the yield of a material by the row of its standard.

    Raises:
        UnknownMaterial: if it is not in the table.

    >>> yield_of("duplex").mpa, yield_of("nickel-alloy").mpa
    (450.0, None)
    """
    stated = material(metal).stated_yield
    return Yield(None, Topic("source.no_yield")) if stated is None else Yield(stated.mpa, stated.source)


def weakest(partners: Iterable[Yield]) -> Yield | None:
    """Return the partner that yields first, None where the yield of one is not known.

    >>> weakest([yield_of("duplex"), yield_of("316L")]).mpa
    200.0
    """
    known = list(partners)
    if any(p.mpa is None for p in known):
        return None
    return min(known, key=lambda p: p.mpa or 0.0)


def yield_limit(partners: Iterable[Yield], share: float, kind: str) -> Limit | None:
    """Return the limit ``share`` of the weakest partner's yield; ``kind`` is the last part of its condition's key.

    None where the yield of a partner is not known: nothing is judged then.
    """
    weak = weakest(partners)
    if weak is None or weak.mpa is None:
        return None
    condition = Topic(f"limit.{kind}", share=round(share, 3), yield_mpa=weak.mpa)
    return Limit(None, share * weak.mpa, "MPa", weak.source, condition, Topic("caveat.typed"))
