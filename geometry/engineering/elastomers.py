"""Which elastomer may meet which lubricant, product and cleaning agent, and how hot; food contact is asked for.

Judgements (``elastomer_media.csv``) are general knowledge of the trade on classes of media, each with the open work
it can be looked up in: ASTM D2000 for oil and heat, the handbooks of Flitney, Hofmann and Schweitzer for the rest.

Not verified: typed from general knowledge, not copied from these works row by row. Compound, strength, temperature and
time decide; the maker of the ring answers for its compound (test by ISO 1817). A judgement here raises a caution and
never clears a combination: ``suits`` means that nothing general speaks against it.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal

from .materials import ELASTOMERS
from .topics import Topic

Verdict = Literal["suits", "limited", "must not meet"]
Role = Literal["lubricant", "product", "cleaning"]

HEAT_C = {"NBR": 100.0, "EPDM": 150.0, "VMQ": 225.0, "FKM": 250.0}
"""Elastomer to the highest temperature at which one of its usual ASTM D2000 types is heat-aged for 70 hours (B, D, G,
H); long service ends lower. Perfluoro rubber and jacketed rings have no figure here."""
HEAT_SOURCE = Topic("source.heat_ageing", standard="ASTM D2000")


@dataclass(frozen=True)
class Medium:
    """A class of media; ``role`` is what it usually is in the plant."""

    key: str
    role: Role


@dataclass(frozen=True)
class Match:
    """How one elastomer bears one class of media."""

    elastomer: str
    medium: Medium
    verdict: Verdict
    source: Topic


@dataclass(frozen=True)
class Incompatibility:
    """Ground for a caution: an elastomer and what it meets, a class of media or too much heat."""

    elastomer: str
    role: Role
    verdict: Verdict
    source: Topic
    medium: str = ""
    """Key of the class of media; empty where it is heat."""
    heat_c: float | None = None
    """The temperature met, beyond :data:`HEAT_C` of the elastomer."""


@cache
def matches() -> dict[tuple[str, str], Match]:
    """Return (elastomer, medium) to judgement, in the order of the table."""
    text = resources.files(__package__).joinpath("elastomer_media.csv").read_text(encoding="utf-8")
    found: dict[tuple[str, str], Match] = {}
    for row in csv.DictReader(text.splitlines()):
        role, verdict = row["role"], row["verdict"]
        assert role in ("lubricant", "product", "cleaning"), row
        assert verdict in ("suits", "limited", "must not meet"), row
        medium = Medium(row["medium"], role)  # type: ignore[arg-type]
        source = Topic(f"source.media.{row['source']}", work=row["work"])
        match = Match(row["elastomer"], medium, verdict, source)  # type: ignore[arg-type]
        found[match.elastomer, medium.key] = match
    return found


@cache
def media() -> dict[str, Medium]:
    """Return key to class of media, in the order of the table."""
    return {m.medium.key: m.medium for m in matches().values()}


def _check(kind: str, found: str, allowed: Iterable[str]) -> None:
    allowed = tuple(allowed)
    if found not in allowed:
        folded = {a.casefold(): a for a in allowed}
        near = difflib.get_close_matches(found.casefold(), folded, n=1, cutoff=0.4)
        hint = f"did you mean {folded[near[0]]}? " if near else ""
        raise KeyError(f"no {kind} '{found}'; {hint}Known are {', '.join(allowed)}.")


def judge(elastomer: str, medium: str) -> Match:
    """Return how ``elastomer`` bears ``medium``.

    Raises:
        KeyError: if one of them is not in the table; says the nearest and all known.

    >>> judge("EPDM", "mineral-grease").verdict
    'must not meet'
    """
    _check("elastomer", elastomer, ELASTOMERS)
    _check("class of media", medium, media())
    return matches()[elastomer, medium]


def incompatibilities(
    elastomer: str,
    lubricant: str | None = None,
    product: Iterable[str] = (),
    cleaning: Iterable[str] = (),
) -> tuple[Incompatibility, ...]:
    """Return every combination of a head's row that must not meet, or only within limits; the worst first.

    Args:
        elastomer: what the O-rings are made of.
        lubricant: class of the assembly lubricant, None where it is not known.
        product: classes that the product belongs to.
        cleaning: classes of the cleaning agents.

    Raises:
        KeyError: if a name is not in the table.
    """
    met: list[tuple[Role, str]] = [] if lubricant is None else [("lubricant", lubricant)]
    met += [("product", p) for p in product] + [("cleaning", c) for c in cleaning]
    found = []
    for role, key in met:
        match = judge(elastomer, key)
        if match.verdict == "suits":
            continue
        found.append(Incompatibility(elastomer, role, match.verdict, match.source, match.medium.key))
    return tuple(sorted(found, key=lambda c: c.verdict != "must not meet"))


def heat_incompatibility(elastomer: str, process_c: float) -> Incompatibility | None:
    """Return the ground for a caution where a temperature lies above what the elastomer's class is aged at.

    Raises:
        KeyError: if the elastomer is not in the table.
    """
    _check("elastomer", elastomer, ELASTOMERS)
    most = HEAT_C.get(elastomer)
    if most is None or process_c <= most:
        return None
    return Incompatibility(elastomer, "product", "must not meet", HEAT_SOURCE, heat_c=process_c)


@dataclass(frozen=True)
class FoodContact:
    """What is on file about the lubricants' fitness for food contact: the owner's words and their source."""

    registration: str = ""
    source: Topic | None = None

    @property
    def shown(self) -> bool:
        """Whether it is shown by a sourced fact.

        It is never worked out from the class of a lubricant or elastomer: food grade is a property of the one product
        and its paper.
        """
        return bool(self.registration) and self.source is not None
