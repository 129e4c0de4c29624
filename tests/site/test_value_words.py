"""Sourced values in words: both systems of units, documents, blanks, doubts, instruments and changes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.preload import TorqueDoubt
from benchleaf.geometry.engineering.units import NBSP
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.instruments import instruments
from benchleaf.sequences.values.sourced_values import (
    ResolvedValue,
    Source,
    SourcedValue,
    ValueUse,
)
from benchleaf.sequences.values.value_changes import ValueChange
from benchleaf.sequences.values.value_names import VALUE_NAMES
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.topic_words import topic_in_words
from benchleaf.site.words.value_words import (
    ChangeText,
    change_in_words,
    instrument_in_words,
    use_in_words,
    value_in_words,
)

WORDS = load_words("en")
SOURCE = Source("Manual 1", "C", "7", "31")
NO_THREADS = "state of the threads not on file: ask"


def given_value(value: object, unit: str = "", **more: object) -> SourcedValue:
    figure = (
        None if value is None else value if isinstance(value, str) and unit == "" else Decimal(str(value))
    )
    return SourcedValue(figure, unit, SOURCE, "2031-01-02", **more)  # type: ignore[arg-type]


def resolved(name: str, given: SourcedValue, options: Options | None = None) -> ResolvedValue:
    return resolve_values({name: given}, options or Options())[name]


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


# Expected figures by hand: 1 lbf·ft = 1.3558179483314004 N·m, 1 in = 25.4 mm, 1 psi = 6894.757293168 Pa.
@pytest.mark.parametrize(
    ("name", "given", "text"),
    [
        ("rotor_nut_torque", given_value("85", "N·m"), f"85 N·m (62.7 lbf·ft), {NO_THREADS}"),
        (
            "rotor_nut_torque",
            given_value("85", "N·m", tolerance=Decimal(5)),
            f"85 ± 5 N·m (62.7 ± 3.6 lbf·ft), {NO_THREADS}",
        ),
        ("rotor_nut_torque", given_value("100", "lbf·ft"), f"100 lbf·ft (136 N·m), {NO_THREADS}"),
        ("rotor_nut_torque", given_value("100", "lbf·in"), f"100 lbf·in (11.3 N·m), {NO_THREADS}"),
        (
            "front_face_clearance",
            given_value(None, "mm", span=(Decimal("0.10"), Decimal("0.15"))),
            "0.10 to 0.15 mm (0.00394 to 0.00590 in)",
        ),
        (
            "front_face_clearance",
            given_value("0.12", "mm", span=(Decimal("0.10"), Decimal("0.15"))),
            "0.12 mm (0.00472 in), 0.10 to 0.15 mm (0.00394 to 0.00590 in)",
        ),
        ("temperature_limit", given_value("100", "°C"), "100 °C (212 °F)"),
        ("pressure_limit", given_value("10", "bar"), "10 bar (145 psi)"),
        ("pressure_limit", given_value("145", "psi"), "145 psi (9.99 bar)"),
        ("assembly_lubricant", given_value("silicone grease"), "silicone grease"),
        (
            "rotor_nut_torque",
            given_value("85", "N·m", threads="dry", condition="new nut"),
            "85 N·m (62.7 lbf·ft), threads dry, new nut",
        ),
    ],
)
def test_both_systems_are_shown_with_sensible_rounding(name: str, given: SourcedValue, text: str) -> None:
    said = value_in_words(resolved(name, given), WORDS)
    assert plain(said.text) == text
    assert said.known
    assert said.source == "Manual 1, rev. C, table 7, p. 31; 2031-01-02"


def test_number_and_unit_never_break_apart() -> None:
    given = given_value("85", "N·m", tolerance=Decimal(5))
    text = value_in_words(resolved("rotor_nut_torque", given), WORDS).text
    assert "5\u00a0N·m" in text
    assert "3.6\u00a0lbf·ft" in text


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (Source("Manual 1"), "Manual 1; 2031-01-02"),
        (Source("Manual 1", table="7"), "Manual 1, table 7; 2031-01-02"),
        (Source("Manual 1", table="sheet 4", page="2"), "Manual 1, sheet 4, p. 2; 2031-01-02"),
        (Source("Manual 4711", "C", "7", "31"), "Manual 4711, rev. C, table 7, p. 31; 2031-01-02"),
    ],
)
def test_a_document_is_named_as_far_as_it_is_given(source: Source, said: str) -> None:
    given = replace(given_value("85", "N·m"), source=source)
    assert topic_in_words(given.reference, WORDS) == said


def test_a_blank_says_where_to_look() -> None:
    blank = value_in_words(resolve_values({}, Options())["rotor_nut_torque"], WORDS)
    assert (blank.title, blank.known, blank.text, blank.source, blank.doubt) == (
        "Rotor nut torque",
        False,
        "",
        "",
        "",
    )
    assert blank.where == "the pump maker's manual for this size, table of tightening torques"
    assert blank.unit == "N·m"


@pytest.mark.parametrize("name", ["rotor_nut_torque", "cover_nut_torque", "body_screw_torque"])
def test_a_torque_without_the_state_of_its_threads_says_so(name: str) -> None:
    bare = value_in_words(resolved(name, given_value("85", "N·m")), WORDS)
    assert plain(bare.text) == f"85 N·m (62.7 lbf·ft), {NO_THREADS}"
    told = value_in_words(resolved(name, given_value("85", "N·m", threads="dry")), WORDS)
    assert plain(told.text) == "85 N·m (62.7 lbf·ft), threads dry"
    assert "threads" not in value_in_words(resolved("pressure_limit", given_value("10", "bar")), WORDS).text


def test_no_value_is_called_by_a_figure_and_each_has_its_place() -> None:
    for name in VALUE_NAMES:
        title, where = WORDS(f"value.{name}.title"), WORDS(f"value.{name}.where")
        assert not any(c.isdigit() for c in title + where), name
        assert len(where) > 20


def test_a_doubt_is_told_with_its_value() -> None:
    low = TorqueDoubt("too low", True, 2.0, "dry", 750.0, 5200.0)
    value = replace(resolved("rotor_nut_torque", given_value("2", "N·m", threads="dry")), doubts=(low,))
    assert plain(value_in_words(value, WORDS).doubt) == (
        "Rotor nut torque: 2 N·m (1.48 lbf·ft) gives 0.8 kN at most (dry); the disc spring needs 5.2 kN before the nut "
        "is home. The nut would stop on the spring. Check the figure, its unit and its source; no other figure is "
        "proposed here."
    )


def test_an_instrument_is_named_with_what_it_can_tell() -> None:
    (feeler,) = instruments("radial_clearance", "mm")
    said = instrument_in_words(feeler, "mm", WORDS)
    assert (said.key, said.uncertainty) == (feeler.key, feeler.uncertainty)
    assert said.text == f"Feeler gauge in the radial gap, ±0.019{NBSP}mm"
    (wrench,) = instruments("rotor_nut_torque", "N·m", 53.0)
    assert instrument_in_words(wrench, "N·m", WORDS).text == f"Torque wrench, ±2.45{NBSP}N·m"


def test_a_use_names_sequence_and_step() -> None:
    assert use_in_words(ValueUse("assembly", "Assembly", 12), WORDS) == "Assembly, step 12"


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (
            given_value("85", "N·m"),
            given_value("90", "N·m"),
            ("85 N·m (62.7 lbf·ft)", "90 N·m (66.4 lbf·ft)"),
        ),
        (given_value("85", "N·m"), None, ("85 N·m (62.7 lbf·ft)", "")),
        (None, given_value("85", "N·m"), ("", "85 N·m (62.7 lbf·ft)")),
        (
            given_value("85", "N·m"),
            replace(given_value("85", "N·m"), source=Source("Manual 1", "D", "7", "31"), date="2031-05-05"),
            (
                "85 N·m (62.7 lbf·ft) (Manual 1, rev. C, table 7, p. 31; 2031-01-02)",
                "85 N·m (62.7 lbf·ft) (Manual 1, rev. D, table 7, p. 31; 2031-05-05)",
            ),
        ),
    ],
)
def test_a_change_is_told_with_its_source_where_that_alone_is_new(
    was: SourcedValue | None, now: SourcedValue | None, said: tuple[str, str]
) -> None:
    found = change_in_words(ValueChange("P-1", "rotor_nut_torque", was, now), WORDS)
    assert (found.title, plain(found.was), plain(found.now)) == ("Rotor nut torque", *said)


def test_a_change_of_a_name_that_is_no_more_keeps_the_name() -> None:
    paste = given_value("paste")
    assert change_in_words(ValueChange("P-1", "old_name", paste, None), WORDS) == ChangeText(
        "old_name", "paste", ""
    )


def test_limits_are_converted_to_the_safe_side() -> None:
    most = value_in_words(resolved("shaft_runout_limit", given_value("0.15", "mm")), WORDS)
    least = value_in_words(resolved("disc_spring_free_height", given_value("0.15", "mm")), WORDS)
    assert (plain(most.text), plain(least.text)) == ("0.15 mm (0.00590 in)", "0.15 mm (0.00591 in)")
