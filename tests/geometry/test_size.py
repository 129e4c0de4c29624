"""Sizes: the usual proportions hold together, an override is taken or refused in words, measures are judged."""

from __future__ import annotations

import math
import pickle
from dataclasses import fields

import pytest
from benchleaf.geometry.dimensions.measured import MEASURED
from benchleaf.geometry.dimensions.proportions.rules import Within, unit_of
from benchleaf.geometry.dimensions.size import (
    PROPORTIONS,
    ByName,
    Size,
    SizeError,
    SizeFault,
    example_measures,
    make_size,
    measured_fields,
    override_fields,
)

CENTRES = (45.0, 55.0, 62.0, 80.0, 118.0, 150.0, 220.0, 300.0)
USUAL = {c: make_size("t", example_measures(c)) for c in CENTRES}


def faults_of(overrides: dict[str, float], **measures: float) -> list[SizeFault]:
    with pytest.raises(SizeError) as caught:
        make_size("bad", {**example_measures(80.0), **measures}, overrides)
    return caught.value.faults


def test_every_dimension_is_measured_or_has_a_proportion() -> None:
    assert {f.name for f in fields(Size)} == {"name", *MEASURED, *PROPORTIONS}
    assert set(measured_fields()) == set(MEASURED)
    assert list(override_fields()) == list(PROPORTIONS)


def test_the_usual_value_may_be_given_and_changes_nothing() -> None:
    for c, size in USUAL.items():
        for name in PROPORTIONS:
            usual = getattr(size, name)
            assert math.isfinite(usual), (c, name)
            assert usual > 0 or name == "wing_half_angle_deg", (c, name)
            assert make_size("t", example_measures(c), {name: usual}) == size, (c, name)


def test_a_size_is_read_by_name_as_rules_read_it() -> None:
    size = USUAL[80.0]
    named = ByName(size)
    assert dict(named) == {n: getattr(size, n) for n in (*MEASURED, *PROPORTIONS)}
    assert len(named) == len(dict(named))


def test_names_end_on_their_unit_or_are_shares_and_counts() -> None:
    bare = {n for n in PROPORTIONS if not unit_of(n) and not n.endswith("_share")}
    waves = {"wave_spring_waves", "atmosphere_spring_waves"}
    assert bare == waves | {
        "studs",
        "seal_pins",
        "disc_spring_deflection",
        "stud_end_pitches",
        "relief_spring_turns",
    }
    # A share is one of something, of the same order as it.
    assert all(0 < getattr(USUAL[80.0], n) <= 2.5 for n in PROPORTIONS if n.endswith("_share"))


def test_words_say_what_it_is_and_how_it_follows() -> None:
    words = override_fields()
    assert len(set(words.values())) == len(words)
    assert all(any(ch.isdigit() for ch in w) for w in words.values())
    ranges = {n: p.choice for n, p in PROPORTIONS.items() if isinstance(p.choice, Within)}
    assert all(0 < r.least < 1 < r.most for r in ranges.values())


def test_an_override_out_of_its_range_is_told_with_range_and_usual_value() -> None:
    overrides = {"studs": 5.0, "stud_angle_deg": 170.0, "stud_thread_mm": 11.0, "wall_mm": 3.0}
    found = {f.field: (f.found, f.allowed, f.fix) for f in faults_of(overrides)}
    angles = PROPORTIONS["stud_angle_deg"].choice.words(58.0, " degrees")
    screw = "studs: metric thread of first choice nearest to 0.115 C, at least M6"
    plane = "studs about the nearer shaft, from the plane of the shafts: 58 degrees, 63 where there are eight"
    number = "studs for the cover: 4, from C = 80 mm on 6, from C = 180 mm on 8"
    assert found == {
        "wall_mm": ("3", "9.6 to 32 mm", "leave it out for the usual 16 mm (body wall round the bores: 0.2 C)"),
        "stud_thread_mm": (
            "11", "6, 8, 10, 12, 14 mm (metric coarse)", f"leave it out for the usual 10 mm ({screw})"
        ),
        "studs": ("5", "4 or 6 or 8", f"leave it out for the usual 6 ({number})"),
        "stud_angle_deg": ("170", angles, f"leave it out for the usual 58 degrees ({plane})"),
    }  # fmt: skip


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused_everywhere(value: float) -> None:
    found = faults_of(dict.fromkeys(PROPORTIONS, value))
    assert [f.field for f in found] == list(PROPORTIONS)


def test_unknown_names_and_bad_measures_are_told_together() -> None:
    found = faults_of({"wall_m": 1.0}, port_bore_mm=math.nan, lenght_mm=3.0)
    assert [f.field for f in found] == ["port_bore_mm", "lenght_mm", "wall_m"]
    assert found[1].allowed == ", ".join(MEASURED)
    assert found[2].allowed.startswith("a dimension that has a proportion, such as wall_mm")


def test_measures_must_suit_the_centre_distance() -> None:
    (fault,) = faults_of({}, shaft_diameter_mm=40.0)
    fix = "measure the seal journal, not the rotor's"
    assert fault == SizeFault("shaft_diameter_mm", "40", "20 to 36 mm at C = 80 mm", fix)
    (fault,) = faults_of({}, port_bore_mm=66.0)
    assert fault.allowed == f"20 to {56.0 - 0.085 * 80:g} mm at C = 80 mm"


def test_what_follows_from_an_overridden_dimension_follows_it() -> None:
    def with_(**overrides: float) -> Size:
        return make_size("t", example_measures(80.0), overrides)

    small = with_(rotor_thread_mm=10.0)
    spring = (small.disc_spring_outer_mm, small.disc_spring_inner_mm, small.disc_spring_thickness_mm)
    assert spring == (20.0, 10.2, 1.1)
    assert small.rotor_thread_pitch_mm == 1.0
    wide = with_(rotor_fit_mm=20.0)
    assert (wide.key_width_mm, wide.key_height_mm, wide.key_depth_mm) == (6.0, 6.0, 3.5)
    thick = with_(seal_oring_section_mm=3.53)
    assert thick.stationary_ring_length_mm == pytest.approx(1.35 * 3.53 + 0.11 * 80)
    broad = with_(rotating_ring_step_mm=12.0)
    assert broad.rotating_ring_chamber_step_mm == pytest.approx(12.0 + 0.012 * 80)
    assert with_(stud_thread_mm=12.0).stud_hole_mm == 13.5
    assert with_(ferrule_mm=77.5).gasket_groove_mm == 70.5
    assert with_(large_dowel_mm=12.0).small_dowel_mm == 10.0
    eight = with_(studs=8.0)
    assert (eight.stud_angle_deg, eight.dowel_angle_deg) == (63.0, 45.5)


def test_an_error_comes_back_whole_from_another_process() -> None:
    error = SizeError("80", faults_of({"wall_mm": 3.0}))
    again = pickle.loads(pickle.dumps(error))
    assert (again.name, again.faults, str(again)) == (error.name, error.faults, str(error))
    assert str(error).startswith(
        "size 80 cannot be built:\nwall_mm: found 3, allowed 9.6 to 32 mm; leave it out"
    )
