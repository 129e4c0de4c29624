"""The strength of whole heads: loads on file alone, blanks where one is missing, judged and doubted alike."""

from __future__ import annotations

import itertools
import math
import random
from decimal import Decimal
from typing import Any

import pytest
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.engineering.figures import Figure, by_hand, hand_tolerance
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.geometry.profiles.displacement import by_flow
from benchleaf.geometry.profiles.rotor_profiles import make_profile
from benchleaf.sequences.calculations.calculation_sheets import Borne, CalculationSheet
from benchleaf.sequences.calculations.doubts import StrengthOutside
from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.nut_calculations import stated_preload
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.calculations.strength_calculations import BULGE_SHARE, rotor_yield, stud_strength
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.values.sourced_values import SourcedValue
from head_samples import SOURCE, full_values, make_fleet_head, sourced
from program_files import DEMO

SHEETS = ("shaft", "key", "nut", "spring", "cover", "studs", "relief")
FORMS: tuple[dict[str, Any], ...] = (
    {"rotor": "two-wing", "cover": "relief"},
    {"rotor": "two-lobe", "cover_oring": "ptfe-encapsulated"},
    {"rotor": "three-lobe", "rotor_metal": "316L", "body_metal": "duplex", "seal": "double"},
)
HEADS = [
    pytest.param(make_fleet_head(c, full_values(c), **more), id=f"{c:g}-{'-'.join(more.values())}")
    for c, more in itertools.product((60.0, 80.0, 118.0, 200.0), FORMS)
]


def sheets_of(head: FleetHead) -> dict[str, CalculationSheet]:
    (group,) = [g for g in calculations(head) if g.id == "strength"]
    return {s.id.removeprefix("strength-"): s for s in group.sheets}


def figures_of(head: FleetHead) -> dict[str, Figure]:
    return {f.id.removeprefix("strength."): f for s in sheets_of(head).values() for f in s.figures}


@pytest.mark.parametrize("head", HEADS)
def test_each_part_has_its_sheet_and_each_figure_is_worked_again(head: FleetHead) -> None:
    sheets = sheets_of(head)
    assert tuple(sheets) == (SHEETS if head.options.cover == "relief" else SHEETS[:-1])
    for sheet in sheets.values():
        assert sheet.blanks == ()
        assert sheet.notes
        told = [f.figure for f in sheet.findings if isinstance(f, Borne)]
        judged = [f for f in sheet.figures if f.limit is not None]
        thick = [
            f for f in sheet.figures if f.id == "strength.relief_shear" and head.size.relief_wire_mm > 10
        ]
        assert told == judged + thick, (
            "all that is judged is told, and wire that no row of the standard reaches"
        )
        assert told, sheet.id
        for f in sheet.figures:
            assert abs(by_hand(f) - f.value) <= hand_tolerance(f), f.working()


@pytest.mark.parametrize("head", HEADS)
def test_what_is_outside_is_doubted_and_nothing_else(head: FleetHead) -> None:
    outside = [f for f in figures_of(head).values() if f.judgement == "outside"]
    found = [d for d in doubts(head) if d.kind == "strength"]
    assert [d.ground for d in found] == [StrengthOutside(f) for f in outside]
    assert {d.sheet for d in found} <= {f"strength-{s}" for s in SHEETS}


@pytest.mark.parametrize("head", HEADS)
def test_loads_are_those_of_pressure_and_preload(head: FleetHead) -> None:
    """Written anew from the size alone: 8 bar is 0.8 N/mm2."""
    s, stack, found = head.size, StackUp(head.size, head.options), figures_of(head)
    assert found["rotor_load"].value == pytest.approx(0.8 * s.rotor_diameter_mm * s.rotor_width_mm)
    profile = make_profile(head.options.rotor, s.c, s.tip_radius_mm, s.running_gap_mm, s.wing_half_angle_deg)
    moved_mm3 = by_flow(profile) * s.rotor_width_mm
    assert found["drive_torque"].value == pytest.approx(0.8 * moved_mm3 / (2 * math.pi) / 1000, rel=0.01)
    radius = stack.cover_groove[1]
    pressed = math.pi * radius**2 + 2 * radius * s.c
    sealing = found["ring_force"].value if "ring_force" in found else 0.0
    assert found["stud_load"].value * s.studs == pytest.approx(0.8 * pressed + sealing)
    assert ("ring_force" in found) == (head.options.cover_oring == "solid")
    preload = stated_preload(head, stack)
    assert preload is not None
    for name in ("shoulder", "nut_face", "strip_shaft", "strip_nut"):
        force = next(i for i in found[name].inputs if i.symbol == "F")
        assert force.value == preload.value
        assert found[name].low is not None, "the preload's span is carried along"
    if head.options.cover == "relief":
        assert found["relief_force"].value == pytest.approx(0.6 * math.pi / 4 * s.relief_bore_mm**2)


@pytest.mark.parametrize("head", HEADS)
def test_limits_are_those_of_the_weaker_partner(head: FleetHead) -> None:
    found = figures_of(head)
    rotor = 180.0 if head.options.rotor_metal == "nickel-alloy" else 200.0
    body = 200.0 if head.options.body_metal == "316L" else 450.0
    limits = {name: f.limit.high for name, f in found.items() if f.limit is not None}
    wanted = {
        "deflection": head.size.running_gap_mm,
        "key_shear": 0.577 * 450,
        "key_flank_shaft": 0.9 * 450,
        "key_flank_hub": 0.9 * rotor,
        "shoulder": rotor,
        "nut_face": rotor,
        "strip_shaft": 0.577 * 450,
        "strip_nut": 0.577 * 450,
        "disc_spring_flat": 1600.0,
        "cover_stress": body / 1.5,
        "cover_bulge": BULGE_SHARE * head.size.front_gap_mm,
        "stud_stress": 450.0,
    }
    assert {n: limits[n] for n in wanted} == pytest.approx(wanted)
    assert set(limits) - set(wanted) <= {"relief_solid", "relief_shear"}


def test_the_demo_pumps_bear_all_their_loads() -> None:
    judged = 0
    for tag, found in load_fleet(DEMO, ()).figures.items():
        (group,) = [g for g in found.sheets if g.id == "strength"]
        assert [(tag, f.id, f.amount) for f in group.figures if f.judgement == "outside"] == []
        judged += sum(f.limit is not None for f in group.figures)
        assert not [d for d in found.doubts if d.kind == "strength"]
    assert judged > 60


@pytest.mark.parametrize("rotor", ["two-wing", "two-lobe", "three-lobe"])
def test_heads_of_any_size_bear_four_bar(rotor: str) -> None:
    """At usual proportions: keys, shoulders, threads, disc springs, covers and studs, whatever the size."""
    chance = random.Random(20_311)
    for _ in range(12):
        centre = round(chance.uniform(50.0, 300.0), 1)
        size = make_size("any", example_measures(centre, rotor))
        given = {
            **full_values(centre),
            "pressure_limit": sourced("4", "bar"),
            "rotor_nut_torque": sourced(f"{0.02 * size.rotor_thread_mm**3:.1f}", "N·m", threads="anti-seize"),
        }
        head = make_fleet_head(centre, given, rotor=rotor)
        outside = {f.id: f.amount for f in figures_of(head).values() if f.judgement == "outside"}
        assert outside == {}, centre


def test_without_its_load_nothing_is_worked_out() -> None:
    sheets = sheets_of(make_fleet_head(cover="relief"))
    asked = {id: [b.name for b in s.blanks] for id, s in sheets.items()}
    assert asked == {
        "shaft": ["pressure_limit"],
        "key": ["pressure_limit"],
        "nut": ["rotor_nut_torque"],
        "spring": [],
        "cover": ["pressure_limit"],
        "studs": ["pressure_limit", "stud_property_class"],
        "relief": ["relief_set_pressure"],
    }
    assert [id for id, s in sheets.items() if s.figures] == ["spring"]


def test_without_a_strength_a_figure_is_worked_out_and_not_judged() -> None:
    given = full_values(80.0)
    del given["rotor_yield_strength"], given["stud_property_class"]
    head = make_fleet_head(80.0, given)
    sheets, found = sheets_of(head), figures_of(head)
    assert {id: [b.name for b in s.blanks] for id, s in sheets.items() if s.blanks} == {
        "key": ["rotor_yield_strength"], "nut": ["rotor_yield_strength"], "studs": ["stud_property_class"]
    }  # fmt: skip
    for name in ("key_flank_hub", "shoulder", "nut_face", "stud_stress"):
        assert found[name].judgement == "no limit"
        assert any(Borne(found[name]) in s.findings for s in sheets.values()), "told all the same"


def test_a_rotor_of_a_standards_metal_asks_for_no_certificate() -> None:
    head = make_fleet_head(80.0, rotor_metal="316L")
    assert "rotor_yield_strength" not in head.values
    assert rotor_yield(head).source == Topic("source.yield_bars", standard="EN 10088-3", grade="1.4404")
    own = make_fleet_head(80.0, {"rotor_yield_strength": sourced("25", "psi")})
    assert rotor_yield(own).mpa == pytest.approx(25 * 0.00689475729)


def test_the_torque_needs_the_state_of_its_threads() -> None:
    head = make_fleet_head(80.0, {"rotor_nut_torque": sourced("50", "N·m")})
    (blank,) = sheets_of(head)["nut"].blanks
    assert blank.name == "rotor_nut_torque.threads"
    assert sheets_of(head)["nut"].figures == ()


@pytest.mark.parametrize(("said", "mpa"), [("A4-70", 450), ("a4-80 ", 600), ("A4-50", 210)])
def test_studs_are_judged_by_their_own_class(said: str, mpa: float) -> None:
    given = {**full_values(80.0), "stud_property_class": SourcedValue(said, "", SOURCE, "2031-01-01")}
    found = stud_strength(make_fleet_head(80.0, given))
    assert found is not None
    assert found.mpa == mpa


def test_a_class_that_no_table_has_is_said_and_not_judged() -> None:
    given = {**full_values(80.0), "stud_property_class": SourcedValue("C9-99", "", SOURCE, "2031-01-01")}
    sheet = sheets_of(make_fleet_head(80.0, given))["studs"]
    assert [b.name for b in sheet.blanks] == ["stud_property_class"]
    assert Topic("note.class_unknown", designation="C9-99") in sheet.notes
    assert sheet.figures[-1].judgement == "no limit"


def test_the_greatest_pressure_of_a_span_counts() -> None:
    spanned = sourced("100", "psi", tolerance=Decimal(16))
    found = figures_of(make_fleet_head(80.0, {"pressure_limit": spanned}))
    size = make_fleet_head(80.0).size
    area = size.rotor_diameter_mm * size.rotor_width_mm
    assert found["rotor_load"].value == pytest.approx(116 * 0.00689475729 * area)


def test_more_load_is_never_judged_milder() -> None:
    order = {"inside": 0, "edge": 1, "outside": 2, "no limit": -1}
    before: dict[str, int] = {}
    for bar in ("0.5", "2", "8", "30", "99"):
        given = {
            **full_values(80.0),
            "pressure_limit": sourced(bar, "bar"),
            "relief_set_pressure": sourced(bar, "bar"),
        }
        now = {
            n: order[f.judgement] for n, f in figures_of(make_fleet_head(80.0, given, cover="relief")).items()
        }
        assert all(now[n] >= before.get(n, -1) for n in now)
        before = now
    for name in ("deflection", "key_shear", "cover_stress", "cover_bulge", "stud_stress", "relief_shear"):
        assert before[name] == 2, "99 bar is too much for each of them"
