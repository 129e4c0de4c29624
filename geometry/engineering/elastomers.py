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
from .units import NBSP

Verdict = Literal["suits", "limited", "must not meet"]
Role = Literal["lubricant", "product", "cleaning"]

DOUBT = "general knowledge of the trade; the compound's own data sheet or its maker decides"

NAMES = {"ptfe-encapsulated": "PTFE-encapsulated rubber"}
"""What people call an elastomer, where the key is not that."""

HEAT_C = {"NBR": 100.0, "EPDM": 150.0, "VMQ": 225.0, "FKM": 250.0}
"""Elastomer to the highest temperature at which one of its usual ASTM D2000 types is heat-aged for 70 hours (B, D, G,
H); long service ends lower. Perfluoro rubber and jacketed rings have no figure here."""
HEAT_SOURCE = "ASTM D2000, temperature types by heat ageing for 70 h"


@dataclass(frozen=True)
class Medium:
    """A class of media; ``role`` is what it usually is in the plant."""

    key: str
    name: str
    role: Role


@dataclass(frozen=True)
class Match:
    """How one elastomer bears one class of media."""

    elastomer: str
    medium: Medium
    verdict: Verdict
    reason: str
    source: str
    not_verified: str = DOUBT

    @property
    def sentence(self) -> str:
        """Return the judgement in a sentence."""
        name = NAMES.get(self.elastomer, self.elastomer)
        if self.verdict == "must not meet":
            return f"{name} and {self.medium.name} must not meet: {self.reason}."
        if self.verdict == "limited":
            return f"{name} bears {self.medium.name} only within limits: {self.reason}."
        return f"Nothing general speaks against {name} with {self.medium.name}: {self.reason}."


@dataclass(frozen=True)
class Incompatibility:
    """Ground for a caution: what meets, how it hurts, how to avoid it."""

    elastomer: str
    met: str
    role: str
    verdict: Verdict
    hazard: str
    consequence: str
    avoidance: str
    source: str
    not_verified: str = DOUBT


@cache
def matches() -> dict[tuple[str, str], Match]:
    """Return (elastomer, medium) to judgement, in the order of the table."""
    text = resources.files(__package__).joinpath("elastomer_media.csv").read_text(encoding="utf-8")
    found: dict[tuple[str, str], Match] = {}
    for row in csv.DictReader(text.splitlines()):
        role, verdict = row["role"], row["verdict"]
        assert role in ("lubricant", "product", "cleaning"), row
        assert verdict in ("suits", "limited", "must not meet"), row
        medium = Medium(row["medium"], row["medium_name"], role)  # type: ignore[arg-type]
        match = Match(row["elastomer"], medium, verdict, row["reason"], row["source"])  # type: ignore[arg-type]
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


_AVOIDANCE = {
    "lubricant": "Use only the lubricant that the pump's maker names for {elastomer}; wipe off any other first.",
    "product": "Do not run this product on {elastomer} rings; ask the pump's maker for the elastomer that suits.",
    "cleaning": "Do not clean this pump with it; ask the pump's maker which agent, strength and temperature it bears.",
}
_WITHIN = {
    "lubricant": "Have the ring's maker agree to this lubricant in writing, or use one that suits.",
    "product": "Have the ring's maker agree to this product and its temperature in writing; look at the rings often.",
    "cleaning": "Keep to the strength, temperature and time that the pump's maker allows; look at the rings often.",
}
_CONSEQUENCE = {
    "lubricant": "The rings swell, are cut in fitting or leave their grooves, leak or shed rubber into the product.",
    "product": "The rings fail in service, leak, and shed rubber into the product.",
    "cleaning": "The rings harden, crack or swell, leak after some cleanings, and shed rubber into the product.",
}


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
        avoid = (_AVOIDANCE if match.verdict == "must not meet" else _WITHIN)[role]
        found.append(
            Incompatibility(
                elastomer, match.medium.name, role, match.verdict, match.sentence, _CONSEQUENCE[role],
                avoid.format(elastomer=NAMES.get(elastomer, elastomer)), match.source,
            )
        )  # fmt: skip
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
    return Incompatibility(
        elastomer, f"{process_c:g}{NBSP}°C", "product", "must not meet",
        f"{process_c:g}{NBSP}°C is above the {most:g}{NBSP}°C at which {elastomer} is heat-aged for 70 hours.",
        "The rings harden, take a set and leak.",
        "Keep below the temperature that the ring's maker allows; it is lower still for long service.",
        HEAT_SOURCE,
    )  # fmt: skip


@dataclass(frozen=True)
class FoodContact:
    """Whether a lubricant's or elastomer's fitness for food contact is shown by a sourced fact."""

    shown: bool
    sentence: str


def food_contact(what: str, registration: str | None = None, source: str | None = None) -> FoodContact:
    """Return what may be said of food contact: the fact that was given with its source, else what to ask for.

    It is never worked out from the class of a lubricant or elastomer: food grade is a property of the one product and
    its paper.

    >>> food_contact("Lubricant").shown
    False
    """
    if registration and source:
        return FoodContact(True, f"{what}: {registration} (source: {source}).")
    if registration:
        return FoodContact(
            False,
            f"{what}: '{registration}' is given without its source; ask for the certificate and its number.",
        )
    return FoodContact(
        False,
        f"{what}: food-contact registration not given. Ask the supplier for it: product name, category, number, date.",
    )
