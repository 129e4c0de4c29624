"""What has changed in the values: told by what is typed, never by how it is worded."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.measuring import DecisionRule
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.sourced_values import ChosenRule, ResolvedValue, Source, SourcedValue
from benchleaf.sequences.values.value_changes import SNAPSHOT_FORM, ValueChange, changed, snapshot
from benchleaf.sequences.values.value_names import VALUE_NAMES
from hypothesis import given
from hypothesis import strategies as st

SOURCE = Source("Manual 1", "C", "7", "31")
Values = Mapping[str, Mapping[str, ResolvedValue]]


def figure(value: str, unit: str, **more: object) -> SourcedValue:
    return SourcedValue(Decimal(value), unit, SOURCE, "2031-01-02", **more)  # type: ignore[arg-type]


def words(text: str) -> SourcedValue:
    return SourcedValue(text, "", SOURCE, "2031-01-02")


def head(**given: SourcedValue) -> Values:
    return {"P-1": resolve_values(given, Options(seal="double"))}


def kept(values: Values) -> object:
    """Return the values as they come back from a file."""
    return json.loads(json.dumps(snapshot(values), ensure_ascii=False))


def test_what_has_changed() -> None:
    torque, paste, limit = figure("85", "N·m"), words("paste"), figure("10", "bar")
    old = {**head(rotor_nut_torque=torque, anti_seize=paste, pressure_limit=limit), "P-3": {}}
    assert changed(kept(old), old, VALUE_NAMES) == []
    newer = replace(limit, source=Source("Manual 1", "D", "7", "31"), date="2031-05-05")
    more, water = figure("90", "N·m"), words("water")
    new = {
        **head(rotor_nut_torque=more, cleaning_agent=water, pressure_limit=newer),
        "P-2": resolve_values({"anti_seize": paste}, Options()),
    }
    found = changed(kept(old), new, VALUE_NAMES)
    assert found == [
        ValueChange("P-1", "rotor_nut_torque", torque, more),
        ValueChange("P-1", "pressure_limit", limit, newer, "most"),
        ValueChange("P-1", "anti_seize", paste, None),
        ValueChange("P-1", "cleaning_agent", None, water),
    ]
    assert [c.source_alone for c in found] == [False, True, False, False]


def test_how_readings_are_judged_is_no_change_of_the_value() -> None:
    gap = SourcedValue(None, "mm", SOURCE, "2031-01-02", span=(Decimal("0.05"), Decimal("0.10")))
    judged = replace(gap, critical=True, rule=ChosenRule(DecisionRule("guarded"), SOURCE, "2031-01-02"))
    assert changed(kept(head(radial_clearance=gap)), head(radial_clearance=judged), VALUE_NAMES) == []
    assert changed(kept(head(radial_clearance=judged)), head(radial_clearance=gap), VALUE_NAMES) == []


def test_a_figure_written_with_other_digits_is_a_change() -> None:
    old = head(rotor_nut_torque=figure("85", "N·m"))
    (change,) = changed(kept(old), head(rotor_nut_torque=figure("85.0", "N·m")), VALUE_NAMES)
    assert not change.source_alone
    assert (str(change.was and change.was.value), str(change.now and change.now.value)) == ("85", "85.0")


def test_where_it_stands_in_the_file_and_its_class_of_medium_are_no_change() -> None:
    old = head(anti_seize=replace(words("paste"), level="fleet"))
    new = head(anti_seize=replace(words("paste"), level="head", medium="mineral-grease"))
    assert changed(kept(old), new, VALUE_NAMES) == []


def test_a_value_that_no_longer_belongs_is_a_change() -> None:
    water = words("water")
    old = {"P-1": resolve_values({"flush_fluid": water}, Options(seal="double"))}
    new = {"P-1": resolve_values({}, Options())}
    assert changed(kept(old), new, VALUE_NAMES) == [ValueChange("P-1", "flush_fluid", water, None)]


FIGURES = st.decimals(allow_nan=False, allow_infinity=False, places=3, min_value=-999, max_value=999)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=20)
VALUES = st.one_of(
    st.builds(lambda t: words(t), TEXTS),
    st.builds(
        lambda v, t, c: SourcedValue(v, "N·m", SOURCE, "2031-01-02", tolerance=t, condition=c),
        FIGURES, st.none() | FIGURES, TEXTS,
    ),
    st.builds(
        lambda v, a, b: SourcedValue(v, "mm", SOURCE, "2031-01-02", span=(a, b)),
        st.none() | FIGURES, FIGURES, FIGURES,
    ),
)  # fmt: skip


@given(VALUES, VALUES)
def test_values_come_back_from_a_file_as_they_were(one: SourcedValue, other: SourcedValue) -> None:
    was = {"P-1": {"anti_seize": ResolvedValue("anti_seize", "text", "", given=one)}}
    assert changed(kept(was), was, VALUE_NAMES) == []
    now = {"P-1": {"anti_seize": ResolvedValue("anti_seize", "text", "", given=other)}}
    found = changed(kept(was), now, VALUE_NAMES)
    assert found == ([ValueChange("P-1", "anti_seize", one, other)] if str(one) != str(other) else [])


@pytest.mark.parametrize(
    "old",
    [None, [], {}, {"form": 99, "heads": {"P-1": {}}}, {"form": SNAPSHOT_FORM, "heads": []},
     {"form": 1, "heads": {"P-1": {"anti_seize": {"text": "paste", "source": "Manual 1"}}}}],
)  # fmt: skip
def test_a_snapshot_of_another_form_tells_nothing(old: object) -> None:
    assert changed(old, head(anti_seize=words("paste")), VALUE_NAMES) == []


@pytest.mark.parametrize("entry", [7, "paste", [], {"value": "much", "unit": "mm"}, {"value": "x", "unit": "mm",
    "source": {"document": "M"}, "date": "2031-01-01"}])  # fmt: skip
def test_a_value_that_cannot_be_read_counts_as_a_blank(entry: object) -> None:
    paste = words("paste")
    old = {"form": SNAPSHOT_FORM, "heads": {"P-1": {"anti_seize": entry}}}
    assert changed(old, head(anti_seize=paste), VALUE_NAMES) == [
        ValueChange("P-1", "anti_seize", None, paste)
    ]
