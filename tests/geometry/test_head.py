"""The head: all parts there, each one valid closed solid, none through another, over sizes and options."""

from __future__ import annotations

from dataclasses import replace

import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import SizeError, example_measures, make_size
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, HeadBuilder, Maker, make_head
from benchleaf.geometry.head.rotor_turn import turn_rotors
from benchleaf.geometry.meshes.overlaps import Bodies, clashes
from families import UNLIKE, check_solid
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_solids import kernel


def head_of(centre: float, overrides: dict[str, float] | None = None, /, **options: object) -> Head:
    o = Options(**options)  # type: ignore[arg-type]
    return make_head("T-1", make_size("test", example_measures(centre, o.rotor), overrides), o)


def check_sound(head: Head) -> None:
    """Each part is sound, and no rigid one runs into another; elastic ones no more than they are squeezed."""
    for part in {id(p.solid): p for p in head}.values():
        check_solid(part)
    assert clashes(Bodies(head)) == []


def test_the_usual_head_is_sound() -> None:
    """The family, size by size: ``test_family_usual.py`` and those beside it."""
    check_sound(head_of(80.0))


TIPS = {"two-wing": (0.69, 0.73), "two-lobe": (0.735, 0.75), "three-lobe": (0.655, 0.68)}


@pytest.mark.slow
@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(
    centre=st.floats(55, 220),
    rotor=st.sampled_from(list(TIPS)),
    tip=st.floats(0, 1),
    width=st.floats(0.58, 0.95),
    shaft=st.floats(0.36, 0.40),
    overrides=st.fixed_dictionaries(
        {"studs": st.sampled_from([4.0, 6.0, 8.0]), "seal_pins": st.sampled_from([1.0, 2.0, 3.0, 4.0])}
    ),
    options=st.fixed_dictionaries(
        {
            "seal": st.sampled_from(["single", "double"]),
            "cover": st.sampled_from(["plain", "relief", "jacketed"]),
            "cover_nuts": st.sampled_from(["hex", "wing"]),
            "body": st.sampled_from(["standard", "free-draining"]),
            "ports": st.sampled_from(["upright", "sideways"]),
            "cleaning_in_place": st.booleans(),
        }
    ),
)
def test_random_sizes_and_options(
    centre: float,
    rotor: str,
    tip: float,
    width: float,
    shaft: float,
    overrides: dict[str, float],
    options: dict[str, object],
) -> None:
    """Three heads, always the same; ``tests/sheets/range_ends.py`` tries the ends of every dimension."""
    low, high = TIPS[rotor]
    measured = {
        "shaft_centre_distance_mm": centre,
        "rotor_diameter_mm": 2 * (low + tip * (high - low)) * centre,
        "rotor_width_mm": width * centre,
        "shaft_diameter_mm": shaft * centre,
        "port_bore_mm": 0.45 * centre,
    }
    size = make_size("random", measured, overrides)
    head = make_head("T-1", size, Options(rotor=rotor, **options))  # type: ignore[arg-type]
    assert list(head.parts) == list(part_kinds(head.options, int(size.studs), int(size.seal_pins)))
    check_sound(head)
    assert turn_rotors(head, tolerance_mm=0.01).clear


@pytest.mark.slow
def test_shared_solids_are_what_each_head_needs_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The share of solids between heads names every option that a part depends on."""
    forms = [*UNLIKE, replace(UNLIKE[2], cover_nuts="wing")]

    def volumes(options: Options) -> dict[str, float]:
        head = make_head("T-1", make_size("test", example_measures(80.0, options.rotor)), options)
        return {p.key: kernel(p.solid).Volume() for p in head}

    shared = [volumes(o) for o in forms]

    def make_alone(build: HeadBuilder, maker: Maker, uses: tuple[str, ...] = (), *extra: object) -> object:
        return maker(build.stack, *extra)

    monkeypatch.setattr(HeadBuilder, "make", make_alone)
    for options, found in zip(forms, shared, strict=True):
        assert volumes(options) == pytest.approx(found, rel=1e-9)


def test_twins_share_one_solid() -> None:
    head = head_of(80.0)
    for kind in ("rotor", "rotating_ring", "stationary_ring", "rotor_nut", "disc_spring"):
        drive, driven = head.of_kind(kind)
        assert drive.solid is driven.solid


def test_an_overlap_is_found() -> None:
    """The check that finds nothing in good heads finds a dowel that is 1 mm too thick for its hole."""
    head = head_of(80.0)
    dowel = head.part("body_dowel_large")
    from benchleaf.geometry.parts.fasteners import make_dowel

    thick = replace(dowel, solid=make_dowel(head.size.large_dowel_mm + 1.0, -5, 90))
    bad = replace(head, parts={**head.parts, dowel.key: thick})
    found = {frozenset((c.part, c.other)) for c in clashes(Bodies(bad))}
    assert frozenset(("body_dowel_large", "body")) in found


def test_mating_figures() -> None:
    """Gaps and angles where parts meet, from the placed solids, against the stack's figures."""
    head = head_of(80.0)
    s, k = head.size, head.stack

    def gap(a: str, b: str) -> float:
        return float(kernel(head.part(a).placed()).distance(kernel(head.part(b).placed())))

    assert gap("rotor_drive", "rotor_driven") == pytest.approx(s.running_gap_mm, rel=0.02)
    assert gap("rotor_drive", "body") == pytest.approx(min(s.running_gap_mm, s.rear_gap_mm), rel=0.02)
    assert gap("rotor_drive", "cover") == pytest.approx(s.front_gap_mm, rel=1e-6)
    assert gap("body", "gear_case") == pytest.approx(0, abs=1e-6)
    assert gap("stationary_ring_drive", "rotating_ring_drive") == pytest.approx(0, abs=1e-6)
    assert gap("rotor_drive", "shaft_drive") == pytest.approx(0, abs=1e-6)
    assert gap("rotor_nut_drive", "rotor_drive") == pytest.approx(0.02, abs=1e-3)
    assert gap("disc_spring_drive", "rotor_drive") == pytest.approx(0, abs=1e-6)
    assert gap("disc_spring_drive", "rotor_nut_drive") == pytest.approx(0, abs=1e-6)
    assert gap("body_dowel_large", "gear_case") == pytest.approx(s.fit_gap_mm, rel=1e-3)
    assert gap("cover", "body") == pytest.approx(0, abs=1e-6)
    box = kernel(head.part("body").placed()).copy().BoundingBox()
    reach = k.half_height + s.port_reach_mm
    assert (box.xlen, box.ylen, box.zmin) == pytest.approx(
        (2 * (k.half_width + s.ear_radius_mm), 2 * reach, 0), abs=1e-3
    )


def test_timing() -> None:
    """The driven rotor stands 90 degrees from the drive rotor, and both keyways carry their key at +Y."""
    head = head_of(80.0)
    drive, driven = (head.part(f"rotor_{side}") for side in ("drive", "driven"))

    def wing(part: Part) -> float:
        box = kernel(part.placed()).copy().BoundingBox()
        return box.ylen / box.xlen

    assert wing(drive) > 1.25
    assert wing(driven) < 0.8
    assert head.part("key_drive").place.rotation == head.part("key_driven").place.rotation


def test_what_turns_turns_with_its_shaft() -> None:
    """All on a shaft turns about its axis, the driven shaft as fast the other way; the rest stands still."""
    head = head_of(80.0)
    drive, driven = head.turning
    assert (drive.carrier, driven.carrier) == ("shaft_drive", "shaft_driven")
    assert (drive.ratio, driven.ratio) == (1.0, -1.0)
    still = ("seal_pin", "stationary_ring", "stationary_ring_oring", "wave_spring")
    turning = {p.key: p.side for p in head if p.side and p.kind not in still}
    assert {k: g.name for g in head.turning for k in g.parts} == turning
    turned = head.places_at(30.0)
    assert list(turned) == list(head.parts)
    for part in head:
        if part.key not in turning:
            assert turned[part.key] == part.place
            continue
        angle, x = (30.0, -head.size.c / 2) if part.side == "drive" else (-30.0, head.size.c / 2)
        wanted = Place.turn(angle, about=(x, 0.0, 0.0)) @ part.place
        assert turned[part.key].matrix() == pytest.approx(wanted.matrix(), abs=1e-9), part.key


@pytest.mark.parametrize(
    ("measured", "overrides", "options", "field"),
    [
        ({"rotor_diameter_mm": 150.0}, {}, {}, "rotor_diameter_mm"),
        ({"rotor_width_mm": 30.0}, {}, {}, "rotor_width_mm"),
        ({"shaft_diameter_mm": 50.0}, {}, {}, "shaft_diameter_mm"),
        ({"port_bore_mm": 70.0}, {}, {}, "port_bore_mm"),
        ({}, {"wing_half_angle_deg": 50.0}, {}, "wing_half_angle_deg"),
        ({}, {"cover_oring_section_mm": 4.0}, {}, "cover_oring_section_mm"),
        ({}, {"studs": 5.0}, {}, "studs"),
        ({}, {"wall_mm": 3.0}, {}, "wall_mm"),
        ({}, {"no_such": 3.0}, {}, "no_such"),
        ({"rotor_diameter_mm": 120.0}, {}, {"rotor": "three-lobe"}, "rotor_diameter_mm"),
    ],
)
def test_sizes_that_cannot_be_built_name_the_field(
    measured: dict[str, float], overrides: dict[str, float], options: dict[str, object], field: str
) -> None:
    def build() -> None:
        size = make_size("bad", {**example_measures(80.0), **measured}, overrides)
        make_head("T-1", size, Options(**options))  # type: ignore[arg-type]

    with pytest.raises(SizeError) as caught:
        build()
    assert field in [f.field for f in caught.value.faults]
    assert all(f.allowed and f.fix for f in caught.value.faults)


def test_all_faults_at_once() -> None:
    with pytest.raises(SizeError) as caught:
        make_size("bad", {"shaft_centre_distance_mm": 1.0, "rotor_diameter_mm": 9999.0, "lenght": 3.0})
    fields = [f.field for f in caught.value.faults]
    assert set(fields) == {
        "shaft_centre_distance_mm", "rotor_diameter_mm", "rotor_width_mm",
        "shaft_diameter_mm", "port_bore_mm", "lenght",
    }  # fmt: skip


def test_every_proportion_is_a_field() -> None:
    from dataclasses import fields

    from benchleaf.geometry.dimensions.measured import MEASURED
    from benchleaf.geometry.dimensions.size import PROPORTIONS, Size

    assert {f.name for f in fields(Size)} == {"name", *MEASURED, *PROPORTIONS}


@pytest.mark.slow
def test_combinations_differ() -> None:
    """No option is without effect on the solids, places or materials."""
    base = head_of(80.0)

    def look(head: Head) -> list[tuple[str, str, float, object]]:
        return [(p.key, p.material, round(kernel(p.solid).Volume(), 6), p.place) for p in head] + [
            ("up", "", 0.0, head.up)
        ]

    changes: tuple[tuple[str, object], ...] = (
        ("seal", "double"),
        ("cover", "relief"),
        ("cover", "jacketed"),
        ("cover_nuts", "wing"),
        ("cover_oring", "ptfe-encapsulated"),
        ("body", "free-draining"),
        ("ports", "sideways"),
        ("cleaning_in_place", True),
        ("gear_case", "stainless"),
        ("elastomer", "EPDM"),
        ("body_metal", "duplex"),
        ("rotor_metal", "316L"),
    )
    for name, value in changes:
        assert look(head_of(80.0, **{name: value})) != look(base), (name, value)
