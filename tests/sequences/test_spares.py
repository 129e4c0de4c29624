"""The spares kit of a pump: what it takes, in which size, and never a number that nobody gave."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from benchleaf.geometry.exchange.own_parts import OwnPart
from benchleaf.geometry.frame import Place
from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.spares import kit, sizes_of
from benchleaf.sequences.upkeep.spare_parts import SparePart, summed
from head_samples import make_fleet_head

HEAD = make_fleet_head(80.0, seal="double", cover="relief", cover_oring="ptfe-encapsulated")


def test_every_oring_is_new_in_every_overhaul_and_nothing_else_unless_the_fleet_says_so() -> None:
    lines = kit(HEAD)
    rings = Counter(kind for kind in HEAD.parts.values() if kind.endswith("_oring"))
    assert sum(line.quantity for line in lines) == sum(rings.values())
    assert {kind for line in lines for kind in line.kinds} == set(rings)
    assert {line.need for line in lines} == {"always"}
    assert {line.number for line in lines} == {""}, "no number is made up"
    assert {line.material for line in lines if line.kinds == ("cover_oring",)} == {"ptfe-encapsulated"}


def test_what_the_fleet_marks_is_in_it_in_its_place() -> None:
    said = {
        "key_drive": SparePart("K-8", "yes"),
        "key_driven": SparePart("K-8", "yes"),
        "disc_spring_drive": SparePart("F-1", "replace always"),
        "rotor_drive": SparePart("R-1"),
        "body_dowel_large": SparePart("D-1", "on condition"),
        "body_dowel_small": SparePart("D-1", "on condition"),
    }
    lines = [x for x in kit(replace(HEAD, spare_parts=said)) if x.number]
    assert [(x.kinds, x.number, x.need, x.quantity) for x in lines] == [
        (("disc_spring",), "F-1", "always", 1),
        (("body_dowel",), "D-1", "ready", 1),
        (("body_dowel",), "D-1", "ready", 1),
        (("key",), "K-8", "ready", 2),
    ], "two sizes under one number stay two lines"


def test_rings_are_those_of_the_calculation_sheets() -> None:
    sheets = {s.id: s for g in calculations(HEAD) if g.id == "orings" for s in g.sheets}
    sizes, tried = sizes_of(HEAD), 0
    for key, kind in HEAD.parts.items():
        sheet = sheets.get(f"gland-{kind}")
        if sheet is not None:
            section = next(i.value for f in sheet.figures for i in f.inputs if i.symbol == "d₂")
            inside = next(i.value for f in sheet.figures for i in f.inputs if i.symbol == "d₁")
            assert sizes[key].mm == (section, inside), key
            tried += 1
    assert tried > 8


def test_an_own_part_has_no_size_that_we_know_of() -> None:
    own = {"key_drive": OwnPart(Path("key.step"), Place())}
    head = replace(
        HEAD,
        own_parts=own,
        spare_parts={"key_drive": SparePart("K", "yes"), "key_driven": SparePart("K", "yes")},
    )
    assert "key_drive" not in sizes_of(head)
    lines = [x for x in kit(head) if x.number]
    assert [(x.size is None, x.quantity) for x in lines] == [(True, 1), (False, 1)]


def test_kits_of_several_pumps_are_summed_with_how_many_each_takes() -> None:
    other = replace(HEAD, tag="P-2")
    one, both = kit(HEAD), summed([kit(HEAD), kit(other)])
    assert [x.quantity for x in both] == [2 * x.quantity for x in one]
    assert {x.tags for x in both} == {("P-1", "P-2")}
    assert all(sum(x.of_each) == x.quantity for x in both)
