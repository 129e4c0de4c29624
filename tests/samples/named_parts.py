"""A few parts of a head that are names alone, and moves of them, for tests of sentences."""

from __future__ import annotations

import dataclasses
from typing import get_args, get_type_hints

from benchleaf.geometry.assembly import Part, Side
from benchleaf.sequences.order.order_graph import PlannedMove
from benchleaf.sequences.order.paths import PathEvidence
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.practice import Practice
from benchleaf.sequences.steps.plan import Move, Plan
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.part_names import PartNames

WORDS = load_words()


def bare_part(key: str, kind: str, side: Side | None = None, name: str = "") -> Part:
    """Return a part without a solid."""
    return Part(key, kind, name or kind.capitalize().replace("_", " "), "316L", None, side=side)  # type: ignore[arg-type]


PARTS = {
    p.key: p
    for p in (
        bare_part("body", "body"),
        bare_part("cover", "cover"),
        bare_part("shaft_drive", "shaft", "drive"),
        bare_part("rotor_drive", "rotor", "drive"),
        bare_part("rotor_driven", "rotor", "driven"),
        bare_part("rotor_nut_drive", "rotor_nut", "drive"),
        bare_part("nut_oring_drive", "nut_oring", "drive"),
        bare_part("body_dowel_large", "body_dowel"),
        bare_part("body_dowel_small", "body_dowel"),
        bare_part("cover_nut_1", "cover_nut"),
        bare_part("cover_nut_2", "cover_nut"),
    )
}
UNIT = ("rotor_nut_drive", "nut_oring_drive")
PLAN = Plan(
    "assembly", "Assembly", "x", (), (), units={"nut": UNIT}, unit_titles={"nut": "Rotor nut, built up"}
)
NAMES = PartNames(WORDS, PARTS, PLAN)


def planned(number: int, *parts: str, group: str = "") -> PlannedMove:
    """Return a move of the step after its number."""
    path = PathEvidence(parts, (), (), None)
    return PlannedMove(number, number + 1, f"s{number}", Move(parts, (), True, group), None, (), path)


FIT = [
    planned(0, "rotor_drive"),
    planned(1, *UNIT, group="nut"),
    planned(2, "cover"),
    planned(3, "cover_nut_1", "cover_nut_2"),
]
OFF = [dataclasses.replace(m, move=dataclasses.replace(m.move, into=False)) for m in FIT]


def bare_evidence(**more: object) -> Evidence:
    """Return evidence that shows nothing but ``more``."""
    empty: dict[str, object] = {f.name: () for f in dataclasses.fields(Evidence) if f.name != "touching"}
    fixed = {"assembly": "x", "sequence": "assembly", "key": "k", "tolerance_mm": 0.01}
    return Evidence(**(empty | fixed | {"practice": Practice((), ())} | more))  # type: ignore[arg-type]


def text_keys(table: str) -> set[str]:
    """Return the keys below a table of the catalogue, plural forms once."""
    found = {k.removeprefix(f"{table}.") for k in WORDS.texts if k.startswith(f"{table}.")}
    return {k.removesuffix(".one").removesuffix(".other") for k in found}


def slugs(kinds: object) -> set[str]:
    """Return the values of a literal type as keys of the catalogue."""
    return {k.replace(" ", "_") for k in get_args(kinds)}


def values_of(kind: type, field: str) -> object:
    """Return the literal type of a field."""
    return get_type_hints(kind)[field]
