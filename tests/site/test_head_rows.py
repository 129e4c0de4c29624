"""What booklets are compared by: data, not words."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.proof.head_work import make_plans
from benchleaf.site.booklets.head_rows import compared_rows, kit_lines
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.library.head_lines import ComparedRow
from benchleaf.site.words.catalogue import load_words
from fleet_pages import make_booklet

WORDS = load_words()


@pytest.fixture(scope="module")
def fleet() -> JudgedFleet:
    return load_fleet(DEMO_FLEET / "fleet.yaml")


def rows_of(fleet: JudgedFleet, row: FleetHead) -> tuple[ComparedRow, ...]:
    plans = make_plans(row, (*fleet.sequences.values(), *fleet.checklists.values()))
    return compared_rows(row, plans, make_booklet(fleet, row), WORDS)


def keys(rows: tuple[ComparedRow, ...]) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {(r.group, r.id): r.key for r in rows}
    assert len(found) == len(rows), "no two rows of one group have the same id"
    return found


def test_every_option_part_value_and_step_has_its_row(fleet: JudgedFleet) -> None:
    row = fleet.head("P-101")
    rows, booklet = rows_of(fleet, row), make_booklet(fleet, row)
    count = Counter(r.group for r in rows)
    assert count["steps"] == sum(c.total for c in booklet.chapters)
    assert count["values"] == len(booklet.values)
    assert count["parts"] == len(booklet.parts)
    assert count["options"] > 10
    assert all(r.name and r.page for r in rows)


@pytest.mark.parametrize("tag", ["P-101", "P-104"])
def test_one_option_changes_its_row_and_what_follows_from_it_alone(fleet: JudgedFleet, tag: str) -> None:
    row = fleet.head(tag)
    other = replace(row, options=replace(row.options, gear_case="stainless"))
    was, now = keys(rows_of(fleet, row)), keys(rows_of(fleet, other))
    differing = {k for k in was.keys() | now.keys() if was.get(k) != now.get(k)}
    assert ("options", "gear_case") in differing
    assert {group for group, _ in differing} <= {"options", "parts", "steps"}
    assert keys(rows_of(fleet, row)) == was, "the same head has the same keys"


def test_a_value_changes_its_own_row_and_no_step(fleet: JudgedFleet) -> None:
    row = fleet.head("P-101")
    name = next(n for n, v in row.values.items() if v.known)
    blank = replace(row, values={**row.values, name: replace(row.values[name], given=None)})
    was, now = keys(rows_of(fleet, row)), keys(rows_of(fleet, blank))
    assert {k for k in was if was[k] != now.get(k)} == {("values", name)}


def test_a_kit_has_a_key_for_each_thing_ordered(fleet: JudgedFleet) -> None:
    lines = kit_lines(fleet.head("P-101"), WORDS)
    assert len({k.same for k in lines}) == len(lines) > 5
    again = kit_lines(fleet.head("P-105"), WORDS)
    assert {k.same for k in lines} & {k.same for k in again}, "pumps of one size share spares"
