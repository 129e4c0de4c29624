"""Values: limits for readings, blanks, and what is missing."""

from __future__ import annotations

import doctest
from decimal import Decimal

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.geometry.engineering.units import UnitError
from benchleaf.sequences.values import sourced_values as module
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.quantities import UNIT
from benchleaf.sequences.values.sourced_values import (
    Missing,
    Source,
    SourcedValue,
    ValueUse,
    limits_in,
    missing_values,
)
from benchleaf.sequences.values.value_names import VALUE_NAMES

SOURCE = Source("Manual 1", "C", "7", "31")


def given_value(value: object, unit: str = "", **more: object) -> SourcedValue:
    figure = (
        None if value is None else value if isinstance(value, str) and unit == "" else Decimal(str(value))
    )
    return SourcedValue(figure, unit, SOURCE, "2031-01-02", **more)  # type: ignore[arg-type]


def resolved(name: str, given: SourcedValue, options: Options | None = None) -> module.ResolvedValue:
    return resolve_values({name: given}, options or Options())[name]


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(module).failed == 0


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
    assert limits_in(value, "µm") == pytest.approx((None, 30.0))
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


def test_a_value_left_out_is_a_blank() -> None:
    for name, value in resolve_values({}, Options(seal="double", cover="relief")).items():
        assert not value.known
        assert value.given is None
        assert (value.nominal, value.low, value.high) == (None, None, None)
        assert value.unit == ("MPa" if name == "rotor_yield_strength" else UNIT[VALUE_NAMES[name].quantity])


def test_a_value_names_its_document_and_day() -> None:
    given = given_value("85", "N·m")
    assert given.reference == Topic(
        "source.on_file", document="Manual 1", revision="C", table="7", page="31", date="2031-01-02"
    )


def test_only_values_that_belong_are_there() -> None:
    def extra(options: Options) -> set[str]:
        return set(resolve_values({}, options)) ^ set(resolve_values({}, Options()))

    assert extra(Options(seal="double")) == {"flush_pressure", "flush_fluid"}
    assert extra(Options(cover="relief")) == {
        "relief_set_pressure",
        "relief_screw_torque",
        "relief_spring_free_length",
    }
    assert extra(Options(cover="jacketed")) == {"jacket_pressure_limit"}
    assert extra(Options(cover_nuts="wing")) == {"cover_nut_torque"}


# ------------------------------------------------------------------ missing
def test_missing_over_the_fleet() -> None:
    known = {"rotor_nut_torque": given_value("85", "N·m")}
    values = {"P-1": resolve_values(known, Options()), "P-2": resolve_values({}, Options())}
    everything = missing_values(values)
    assert len(everything) == 2 * len(values["P-1"]) - 1
    first, second = ValueUse("assembly", "Assembly", 3), ValueUse("inspection", "Inspection", 4)
    used: dict[str, dict[str, tuple[ValueUse, ...]]] = {
        "P-1": {"rotor_nut_torque": (first,), "anti_seize": (first, second)},
        "P-2": {"rotor_nut_torque": (second,)},
    }
    assert missing_values(values, used) == [
        Missing("P-1", "anti_seize", "", (first, second)),
        Missing("P-2", "rotor_nut_torque", "N·m", (second,)),
    ]


def test_states_of_threads_are_those_that_the_preload_knows() -> None:
    import typing

    from benchleaf.geometry.engineering.preload import LUBRICATIONS
    from benchleaf.sequences.fleet.fleet_file import SourcedText

    optional = SourcedText.model_fields["threads"].annotation
    (states, _) = typing.get_args(optional)
    assert set(typing.get_args(states)) == set(LUBRICATIONS)
