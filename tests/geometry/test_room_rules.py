"""What dimensions leave each other: no combination within its ranges gets as far as a kernel that fails over it."""

from __future__ import annotations

from unittest.mock import patch

import pytest
from benchleaf.geometry.cad_shapes import EDGE_MM, SolidError
from benchleaf.geometry.dimensions import room_measures
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.room_rules import ROOMS, fault_of_given, given_dimensions, room_faults
from benchleaf.geometry.dimensions.size import PROPORTIONS, Size, SizeError, example_measures, make_size
from benchleaf.geometry.dimensions.size_checks import check_options
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.head import head as heads
from benchleaf.geometry.parts import covers
from dimension_ends import CENTRES_MM, FORMS, End, ends, judged
from hypothesis import given, settings
from hypothesis import strategies as st


def size_with(centre_mm: float, form: str = "wings", **overrides: float) -> Size:
    return make_size("S", example_measures(centre_mm, FORMS[form].rotor), overrides)


REFUSED = [
    (80.0, "wings", "rotor_fit_mm", 24.0),
    (80.0, "wings", "rotor_fit_length_mm", 30.0),
    (80.0, "wings", "key_height_mm", 6.9),
    (80.0, "wings", "key_length_mm", 28.0),
    (80.0, "wings", "hub_keyway_mm", 2.4),
    (80.0, "wings", "nut_crown_mm", 1.4),
    (80.0, "wings", "nut_across_flats_mm", 34.0),
    (80.0, "wings", "nut_flange_thickness_mm", 3.5),
    (80.0, "wings", "disc_spring_inner_mm", 14.0),
    (80.0, "wings", "bearing_bore_mm", 35.0),
    (62.0, "lobes", "hub_land_mm", 0.4),
    (62.0, "lobes", "hub_lead_mm", 0.8),
    (80.0, "wings", "relief_cap_mm", 22.0),
    (80.0, "wings", "relief_cap_room_mm", 75.2),
    (80.0, "wings", "relief_cap_flange_mm", 37.6),
    (80.0, "wings", "atmosphere_ring_length_mm", 7.28),
    (62.0, "lobes", "stationary_ring_length_mm", 6.727),
    (80.0, "wings", "large_dowel_mm", 20.0),
    (62.0, "lobes", "stud_thread_mm", 12.0),
    (80.0, "lobes", "body_screw_thread_mm", 12.0),
    (80.0, "wings", "stud_angle_deg", 34.8),
    (80.0, "wings", "relief_spring_turns", 10.0),
    (80.0, "wings", "relief_spring_mm", 34.0),
    (80.0, "wings", "piston_guide_mm", 20.8),
    (80.0, "wings", "double_rotating_ring_step_mm", 15.0),
    (80.0, "wings", "double_rotating_ring_chamber_step_mm", 27.0),
    (80.0, "wings", "case_flange_mm", 6.4),
    (80.0, "wings", "filler_plug_share", 1.1),
    (80.0, "wings", "sight_glass_share", 1.24),
]
"""Ends of ranges at which the CAD kernel failed, as these once were, or at which parts would run into one another."""


@pytest.mark.parametrize(("centre_mm", "form", "name", "value"), REFUSED)
def test_what_the_kernel_cannot_make_is_a_fault_of_the_dimension_given(
    centre_mm: float, form: str, name: str, value: float
) -> None:
    with pytest.raises(SizeError) as caught:
        check_options(size_with(centre_mm, form, **{name: value}), FORMS[form])
    (fault,) = caught.value.faults
    assert fault.field == name
    usual = PROPORTIONS[name].rule(vars(size_with(centre_mm, form)))
    assert fault.fix.startswith(f"leave it out for the usual {usual:.4g}")


@pytest.mark.parametrize("seal", ["single", "double"])
@pytest.mark.parametrize("rotor", ["two-wing", "two-lobe", "three-lobe"])
def test_usual_dimensions_leave_room_at_every_size(rotor: str, seal: str) -> None:
    options = Options(rotor=rotor, seal=seal, cover="relief")  # type: ignore[arg-type]
    for centre in range(55 if rotor == "two-lobe" else 50, 301):
        stack = StackUp(make_size("S", example_measures(float(centre), rotor)), options)
        assert list(room_faults(stack)) == [], centre


def test_a_room_is_told_once_and_only_to_heads_that_have_it() -> None:
    size = size_with(80.0, relief_cap_mm=45.0, relief_cap_room_mm=50.0)
    (fault,) = room_faults(StackUp(size, FORMS["wings"]))
    assert fault.field == "relief_cap_mm"
    assert fault.allowed == (
        "what leaves a wall of the relief cap round its room: 0.8 mm at least, where it is -2.5 mm"
    )
    assert list(room_faults(StackUp(size, Options()))) == []


def test_every_room_names_dimensions_that_may_be_given() -> None:
    assert {n for room in ROOMS for n in room.names} <= PROPORTIONS.keys()
    assert room_measures.BROKEN_EDGE_MM == EDGE_MM


def test_given_dimensions_are_those_with_a_value_of_their_own() -> None:
    usual = size_with(80.0)
    assert given_dimensions(usual) == {}
    given_here = given_dimensions(size_with(80.0, wall_mm=17.0, stud_thread_mm=12.0))
    assert given_here == {"wall_mm": usual.wall_mm, "stud_thread_mm": usual.stud_thread_mm}
    assert fault_of_given(usual, "wall_mm", "16", "more").fix == "give it another value under overrides"


def test_a_kernel_that_fails_over_given_dimensions_blames_them() -> None:
    def fails(*_: object) -> None:
        raise SolidError("cover", "pad", "2 solids instead of one")

    with patch.object(covers, "make_cover", fails):
        with pytest.raises(SizeError) as caught:
            heads.make_head("X", size_with(80.0, wall_mm=17.0, cover_pad_height_mm=3.0), Options())
        with pytest.raises(SolidError, match="2 solids"):
            heads.make_head("X", size_with(80.0), Options())
    faults = {f.field: f for f in caught.value.faults}
    assert set(faults) == {"wall_mm", "cover_pad_height_mm"}
    assert "cover, pad: 2 solids instead of one" in faults["wall_mm"].allowed
    assert faults["wall_mm"].fix == "leave it out for the usual 16 mm"


def test_the_ends_are_those_of_every_dimension() -> None:
    found = list(ends(80.0, "wings"))
    # Of three O-rings no other section is near enough at this size.
    only = {"hub_oring_section_mm", "nut_oring_section_mm", "spring_retaining_oring_section_mm"}
    assert {e.name for e in found} == PROPORTIONS.keys() - only
    assert len(found) > 1.9 * len(PROPORTIONS)


@pytest.mark.slow
@settings(max_examples=6, deadline=None)
@given(st.sampled_from([e for c in CENTRES_MM for form in FORMS for e in ends(c, form)]))
def test_an_end_gives_sound_solids_or_a_fault(end: End) -> None:
    """A few of them; ``tests/sheets/range_ends.py`` tries all."""
    assert judged(end) in ("sound", "fault")
