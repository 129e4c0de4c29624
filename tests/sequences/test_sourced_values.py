"""Values: both systems of units, limits for readings, blanks, what is missing and what has changed."""

from __future__ import annotations

import csv
import doctest
import io
import json
from decimal import Decimal

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.units import UnitError
from benchleaf.sequences.values import sourced_values as module
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.quantities import UNIT
from benchleaf.sequences.values.sourced_values import (
    Missing,
    Source,
    SourcedValue,
    limits_in,
    missing_csv,
    missing_values,
)
from benchleaf.sequences.values.value_changes import changed, snapshot
from benchleaf.sequences.values.value_names import VALUE_NAMES

SOURCE = Source("Manual 1", "C", "7", "31")


def given_value(value: object, unit: str = "", **more: object) -> SourcedValue:
    figure = (
        None if value is None else value if isinstance(value, str) and unit == "" else Decimal(str(value))
    )
    return SourcedValue(figure, unit, SOURCE, "2031-01-02", **more)  # type: ignore[arg-type]


def resolved(name: str, given: SourcedValue, options: Options | None = None) -> module.ResolvedValue:
    return resolve_values({name: given}, options or Options())[name]


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(module).failed == 0


# Expected figures by hand: 1 lbf·ft = 1.3558179483314004 N·m, 1 in = 25.4 mm, 1 psi = 6894.757293168 Pa.
@pytest.mark.parametrize(
    ("name", "given", "text"),
    [
        ("rotor_nut_torque", given_value("85", "N·m"), "85 N·m (62.7 lbf·ft)"),
        (
            "rotor_nut_torque",
            given_value("85", "N·m", tolerance=Decimal(5)),
            "85 ± 5 N·m (62.7 ± 3.6 lbf·ft)",
        ),
        ("rotor_nut_torque", given_value("100", "lbf·ft"), "100 lbf·ft (136 N·m)"),
        ("rotor_nut_torque", given_value("100", "lbf·in"), "100 lbf·in (11.3 N·m)"),
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
    value = resolved(name, given)
    assert plain(value.text) == text
    assert value.known
    assert value.source == "Manual 1, rev. C, table 7, p. 31; 2031-01-02"


def test_number_and_unit_never_break_apart() -> None:
    text = resolved("rotor_nut_torque", given_value("85", "N·m", tolerance=Decimal(5))).text
    assert "5\u00a0N·m" in text
    assert "3.6\u00a0lbf·ft" in text


@pytest.mark.parametrize(
    ("name", "given", "limits"),
    [
        ("rotor_nut_torque", given_value("85", "N·m", tolerance=Decimal(5)), (80.0, 90.0)),
        ("rotor_nut_torque", given_value("85", "N·m"), (None, None)),
        (
            "rotor_nut_torque",
            given_value("10", "lbf·ft", tolerance=Decimal(1)),
            (12.202361534982604, 14.913997431645404),
        ),
        (
            "front_face_clearance",
            given_value(None, "in", span=(Decimal("0.004"), Decimal("0.006"))),
            (0.1016, 0.1524),
        ),
        ("shaft_runout_limit", given_value("0.03", "mm"), (None, 0.03)),
        ("shaft_runout_limit", given_value("30", "µm"), (None, 0.03)),
        ("disc_spring_free_height", given_value("1.95", "mm"), (1.95, None)),
        ("safe_touch_temperature", given_value("113", "°F"), (None, 45.0)),
        ("assembly_lubricant", given_value("grease"), (None, None)),
    ],
)
def test_limits_judge_a_reading_in_the_quantitys_own_unit(
    name: str, given: SourcedValue, limits: tuple[float | None, float | None]
) -> None:
    value = resolved(name, given)
    assert (value.low, value.high) == pytest.approx(limits)
    assert limits_in(value, value.unit) == (value.low, value.high)


def test_limits_in_the_unit_of_the_reading() -> None:
    value = resolved("shaft_runout_limit", given_value("0.03", "mm"))
    assert limits_in(value, "µm") == (None, pytest.approx(30.0))
    with pytest.raises(UnitError):
        limits_in(value, "bar")
    assert limits_in(resolve_values({}, Options())["shaft_runout_limit"], "mm") == (None, None)


@pytest.mark.parametrize(
    ("given", "nominal"),
    [
        (given_value("10", "lbf·ft"), 13.558179483314004),
        (given_value(None, "N·m", span=(Decimal(80), Decimal(90))), 85.0),
    ],
)
def test_nominal_figure(given: SourcedValue, nominal: float) -> None:
    assert resolved("rotor_nut_torque", given).nominal == pytest.approx(nominal)


def test_a_value_left_out_is_a_blank_that_says_where_to_look() -> None:
    for name, value in resolve_values({}, Options(seal="double", cover="vented")).items():
        assert not value.known
        assert value.text == value.source == ""
        assert value.nominal is value.low is value.high is None
        assert len(value.where) > 20
        assert value.unit == UNIT[VALUE_NAMES[name].quantity]


def test_only_values_that_belong_are_there() -> None:
    def extra(options: Options) -> set[str]:
        return set(resolve_values({}, options)) ^ set(resolve_values({}, Options()))

    assert extra(Options(seal="double")) == {"flush_pressure", "flush_fluid"}
    assert extra(Options(cover="vented")) == {
        "relief_set_pressure",
        "relief_screw_torque",
        "relief_spring_free_length",
    }
    assert extra(Options(cover="jacketed")) == {"jacket_pressure_limit"}
    assert extra(Options(cover_nuts="wing")) == {"cover_nut_torque"}


def test_no_value_name_carries_a_figure() -> None:
    for v in VALUE_NAMES.values():
        assert not any(c.isdigit() for c in v.title + v.where), v.name


# ------------------------------------------------------------------ missing
def test_missing_over_the_fleet() -> None:
    known = {"rotor_nut_torque": given_value("85", "N·m")}
    values = {"P-1": resolve_values(known, Options()), "P-2": resolve_values({}, Options())}
    everything = missing_values(values)
    assert len(everything) == 2 * len(values["P-1"]) - 1
    used = {
        "P-1": {"rotor_nut_torque": ("a",), "anti_seize": ("b", "c")},
        "P-2": {"rotor_nut_torque": ("a",)},
    }
    asked = missing_values(values, used)
    assert [(m.tag, m.name, m.used) for m in asked] == [
        ("P-1", "anti_seize", ("b", "c")),
        ("P-2", "rotor_nut_torque", ("a",)),
    ]


def test_missing_as_csv_reads_back_and_disarms_formulas() -> None:
    rows = [
        Missing("P-1", "anti_seize", "Anti-seize", "", 'the "list", page 2', ("Assembly, step 3", "step 4")),
        Missing("=cmd()", "x", "+y", "mm", "-z"),
    ]
    back = list(csv.reader(io.StringIO(missing_csv(rows))))
    assert back[1] == [
        "P-1",
        "Anti-seize",
        "anti_seize",
        "",
        'the "list", page 2',
        "Assembly, step 3; step 4",
    ]
    assert back[2] == ["'=cmd()", "'+y", "x", "mm", "'-z", ""]


# ------------------------------------------------------------------ changes
def test_what_has_changed() -> None:
    old = {
        "P-1": resolve_values(
            {
                "rotor_nut_torque": given_value("85", "N·m"),
                "anti_seize": given_value("paste"),
                "pressure_limit": given_value("10", "bar"),
            },
            Options(),
        ),
        "P-3": resolve_values({}, Options()),
    }
    kept = json.loads(json.dumps(snapshot(old)))
    assert changed(kept, old) == []
    newer = SourcedValue(Decimal(10), "bar", Source("Manual 1", "D", "7", "31"), "2031-05-05")
    new = {
        "P-1": resolve_values(
            {
                "rotor_nut_torque": given_value("90", "N·m"),
                "cleaning_agent": given_value("water"),
                "pressure_limit": newer,
            },
            Options(),
        ),
        "P-2": resolve_values({"anti_seize": given_value("paste")}, Options()),
    }
    found = {(c.tag, c.name): (plain(c.was), plain(c.now)) for c in changed(kept, new)}
    assert found == {
        ("P-1", "rotor_nut_torque"): ("85 N·m (62.7 lbf·ft)", "90 N·m (66.4 lbf·ft)"),
        ("P-1", "anti_seize"): ("paste", ""),
        ("P-1", "cleaning_agent"): ("", "water"),
        ("P-1", "pressure_limit"): (
            "10 bar (145 psi) (Manual 1, rev. C, table 7, p. 31; 2031-01-02)",
            "10 bar (145 psi) (Manual 1, rev. D, table 7, p. 31; 2031-05-05)",
        ),
    }


def test_a_value_that_no_longer_belongs_is_a_change() -> None:
    old = {"P-1": resolve_values({"flush_fluid": given_value("water")}, Options(seal="double"))}
    new = {"P-1": resolve_values({}, Options())}
    (change,) = changed(snapshot(old), new)
    assert (change.name, change.was, change.now) == ("flush_fluid", "water", "")


@pytest.mark.parametrize("old", [None, [], {}, {"form": 99, "heads": {"P-1": {}}}, {"form": 1, "heads": []}])
def test_a_snapshot_of_another_form_tells_nothing(old: object) -> None:
    assert changed(old, {"P-1": resolve_values({"anti_seize": given_value("paste")}, Options())}) == []


def test_states_of_threads_are_those_that_the_preload_knows() -> None:
    import typing

    from benchleaf.geometry.engineering.preload import LUBRICATIONS
    from benchleaf.sequences.fleet.fleet_file import SourcedText

    optional = SourcedText.model_fields["threads"].annotation
    (states, _) = typing.get_args(optional)
    assert set(typing.get_args(states)) == set(LUBRICATIONS)
