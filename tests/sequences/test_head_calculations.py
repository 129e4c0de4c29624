"""Calculation sheets of whole heads: complete, reworkable, and blank wherever a source is missing."""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.engineering.elastomers import FoodContact
from benchleaf.geometry.engineering.figures import Figure, by_hand, hand_tolerance
from benchleaf.geometry.engineering.materials import ELASTOMERS
from benchleaf.geometry.engineering.orings import SizeChoice
from benchleaf.geometry.engineering.preload import LUBRICATIONS
from benchleaf.geometry.engineering.springs.settling import Settled, settle
from benchleaf.geometry.engineering.topics import EARLIER, Topic
from benchleaf.geometry.head.calculation_inputs import nut_joint, nut_spring
from benchleaf.sequences.calculations.calculation_sheets import (
    Blank,
    CalculationSheet,
    Gap,
    GapScatter,
    HotGap,
    Loosening,
    PreloadSpan,
    RingsOf,
    SheetGroup,
)
from benchleaf.sequences.calculations.head_calculations import GAP_VALUES, calculations, nut_spring_turned
from benchleaf.sequences.calculations.nut_calculations import torque_of
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.sourced_values import SourcedValue
from head_samples import SOURCE, WEIGHTS, full_values, make_fleet_head, sourced, span
from program_files import ROOT


def figures_of(head: FleetHead) -> list[Figure]:
    return [f for g in calculations(head, WEIGHTS) for f in g.figures]


def sheets_of(head: FleetHead) -> dict[str, CalculationSheet]:
    return {s.id: s for g in calculations(head, WEIGHTS) for s in g.sheets}


FORMS: tuple[dict[str, Any], ...] = (
    {"rotor": "two-wing", "seal": "double", "cover": "relief"},
    {"rotor": "two-lobe", "elastomer": "EPDM", "cover_oring": "ptfe-encapsulated"},
    {"rotor": "three-lobe", "rotor_metal": "316L", "elastomer": "VMQ", "hot": 8.0},
)
HEADS = [
    pytest.param(make_fleet_head(c, full_values(c), **more), id=f"{c:g}-{'-'.join(map(str, more.values()))}")
    for c, more in itertools.product((60.0, 80.0, 118.0, 200.0), FORMS)
]


@pytest.mark.parametrize("head", HEADS)
def test_every_figure_is_whole_and_worked_again_by_hand(head: FleetHead) -> None:
    figures = figures_of(head)
    ids = [f.id for f in figures]
    assert len(set(ids)) == len(ids)
    for f in figures:
        assert f.inputs
        if f.formula:
            assert abs(by_hand(f) - f.value) <= hand_tolerance(f), f.working()
        else:
            assert f.derivation is not None
    sampled = sum(not f.formula for f in figures)
    assert 4 <= sampled <= 5, "the four sampled gaps, and the displacement of lobes that are no cycloid"


@pytest.mark.parametrize("head", HEADS)
def test_what_a_formula_takes_from_another_figure_stands_before_it(head: FleetHead) -> None:
    for group in calculations(head, WEIGHTS):
        known: set[Topic] = {Topic("input.preload"), Topic("figure.preload"), Topic("figure.diameter_ratio")}
        for f in group.figures:
            earlier = {i.topic for i in f.inputs if i.source == EARLIER}
            assert earlier <= known, f.id
            known.add(f.topic)
            if f.topic.key.endswith("_settled"):  # carried along under the name it has at any settling
                known.add(Topic(f.topic.key.removesuffix("_settled")))


def test_no_two_figures_are_called_the_same() -> None:
    topics = [
        f.topic for f in figures_of(make_fleet_head(80.0, full_values(80.0), cover="relief", seal="double"))
    ]
    twice = [t for t, n in Counter(topics).items() if n > 1]
    assert twice == [Topic("figure.spring_force")], "the force at the edges is worked out for both ways round"
    assert len(topics) == len(set(topics)) + 1


def test_a_bare_head_has_blanks_and_no_figure_that_would_need_a_source() -> None:
    head = make_fleet_head(hot=None)
    sheets = sheets_of(head)
    names = {b.name for s in sheets.values() for b in s.blanks}
    assert {"rotor_nut_torque", "process_temperature_c", "mass_limit", "food_contact_registration"} <= names
    assert set(GAP_VALUES.values()) <= names
    assert Blank("process_temperature_c", "°C") in sheets["gap-front"].blanks
    assert Blank("rear_clearance", "mm") in sheets["gap-rear"].blanks
    figures = figures_of(head)
    assert not any(f.id.startswith(("nut.preload", "nut.kept", "nut.thread_stress")) for f in figures)
    assert not any("_hot" in f.id or f.id.endswith(".hot") for f in figures)
    assert not any(f.limit for f in figures if f.id.startswith("gap.")), "no limit without its source"
    assert "nut-settling" not in sheets


def test_nothing_on_a_sheet_proposes_a_torque() -> None:
    for head in (make_fleet_head(), make_fleet_head(80.0, full_values(80.0))):
        for f in figures_of(head):
            driving = Topic("figure.drive_torque")
            torques = [i for i in f.inputs if i.unit == "N·m" and i.topic != driving]
            assert f.unit != "N·m" or f.id.startswith(("reading.torque", "strength.drive_torque"))
            assert all(
                i.source.key == "source.on_file" or f.id.startswith(("reading.", "share.")) for i in torques
            )


def _nut(threads: str) -> CalculationSheet:
    value = sourced("50", "N·m", threads=threads)
    return sheets_of(make_fleet_head(80.0, {"rotor_nut_torque": value}))["nut-preload"]


@pytest.mark.parametrize("state", LUBRICATIONS)
def test_the_preload_is_that_of_the_state_on_file_and_others_only_compare(state: str) -> None:
    by_id = {f.id: f for f in _nut(state).figures}
    factors = [i.value for i in by_id["nut.preload"].inputs if i.symbol in ("µ₁", "µ₂")]
    assert factors == [LUBRICATIONS[state].friction] * 2
    others = [f for id, f in by_id.items() if id.startswith("nut.preload.")]
    assert {f.id.rsplit(".", 1)[1] for f in others} == set(LUBRICATIONS) - {state}
    assert {f.topic for f in others} == {
        Topic("figure.preload_compared", threads=s) for s in LUBRICATIONS if s != state
    }
    assert _nut(state).findings == (PreloadSpan(by_id["nut.preload"], state),)
    assert by_id["nut.thread_stress"].inputs[0].value == by_id["nut.preload"].value


def test_without_the_state_of_the_threads_no_preload_is_taken_for_the_right_one() -> None:
    sheet = _nut("")
    assert [b.name for b in sheet.blanks] == ["rotor_nut_torque.threads"]
    assert sheet.findings == (), "nothing is told of a preload whose state is not known"
    ids = {f.id for f in sheet.figures}
    assert {f"nut.preload.{s}" for s in LUBRICATIONS} <= ids
    assert not {"nut.preload", "nut.thread_stress"} & ids
    assert "nut-settling" not in sheets_of(make_fleet_head(80.0, {"rotor_nut_torque": sourced("50", "N·m")}))


def test_a_torque_in_inch_units_is_worked_with_a_figure_that_can_be_read() -> None:
    head = make_fleet_head(118.0, {"rotor_nut_torque": sourced("105", "lbf·ft", threads="dry")})
    assert torque_of(head.values["rotor_nut_torque"]) == 142
    working = next(f for f in figures_of(head) if f.id == "nut.preload").working()
    assert "1000·142/" in working


def test_turning_the_spring_over_is_told_the_same_in_step_and_sheet() -> None:
    head = make_fleet_head()
    assert sheets_of(head)["disc-spring"].findings == (nut_spring_turned(head),)
    assert nut_spring_turned(head).effect == "less"


def test_settling_is_compared_for_both_ways_round() -> None:
    found = sheets_of(make_fleet_head(80.0, full_values(80.0)))["nut-settling"]
    loosening, right, wrong = found.findings
    assert isinstance(loosening, Loosening)
    assert isinstance(right, Settled)
    assert isinstance(wrong, Settled)
    assert right.fitted is not None
    assert wrong.fitted is not None
    assert (right.fitted.turned_over, wrong.fitted.turned_over) == (False, True)
    assert found.figures[:3] == loosening.figures
    assert {f.topic["settling_um"] for f in found.figures[3:]} == {right.settling_um} == {wrong.settling_um}


@pytest.mark.parametrize("head", HEADS)
def test_settling_teaches_the_right_way_round(head: FleetHead) -> None:
    """Where the two ways are compared the wrong one holds nothing and the right one does, on every head."""
    loosening, right, wrong = sheets_of(head)["nut-settling"].findings
    assert isinstance(loosening, Loosening)
    assert isinstance(right, Settled)
    assert isinstance(wrong, Settled)
    plain, sprung, reversed_ = (f.value for f in loosening.figures)
    assert max(plain, reversed_) < right.settling_um < sprung
    assert wrong.kept_n == pytest.approx(0.0, abs=1e-6 * wrong.preload_n)
    assert right.kept_n > 0.02 * right.preload_n
    for way, most in ((right, sprung), (wrong, reversed_)):
        joint = nut_joint(StackUp(head.size, head.options))
        spring = nut_spring(StackUp(head.size, head.options))
        assert settle(way.preload_n, joint, 0.99 * most, spring, way.fitted).kept_n > 0
        assert settle(way.preload_n, joint, 1.01 * most, spring, way.fitted).kept_n == pytest.approx(
            0.0, abs=1e-6 * way.preload_n
        )


@pytest.mark.parametrize("elastomer", [e for e in ELASTOMERS if e != "ptfe-encapsulated"])
def test_rings_are_of_the_heads_own_elastomer_hot_and_cold(elastomer: str) -> None:
    group: SheetGroup = next(
        g for g in calculations(make_fleet_head(elastomer=elastomer, cover="relief")) if g.id == "orings"
    )
    for sheet in group.sheets:
        assert len(sheet.figures) == 8
        kind = str(sheet.topic["part"])
        rings, choice = sheet.findings
        assert rings == RingsOf(1 if kind in ("cover_oring", "relief_oring") else 2, elastomer)
        assert isinstance(choice, SizeChoice)
        assert choice.gland == kind
        hot = [f for f in sheet.figures if f.id.endswith("_hot")]
        assert {(f.topic["elastomer"], f.topic["process_c"]) for f in hot} == {(elastomer, 95.0)}
        assert len(hot) == 4
    heads = make_fleet_head(elastomer=elastomer, cover_oring="ptfe-encapsulated")
    assert sheets_of(heads)["gland-cover_oring"].findings[0] == RingsOf(1, "ptfe-encapsulated")


def test_gaps_are_judged_by_the_sourced_limit_alone() -> None:
    head = make_fleet_head(80.0, {"front_face_clearance": span("0.09", "0.15")})
    sheets = sheets_of(head)
    front, rear = sheets["gap-front"].figures[0], sheets["gap-rear"].figures[0]
    assert front.limit is not None
    assert (front.limit.low, front.limit.high) == (0.09, 0.15)
    assert front.limit.source == Topic(
        "source.on_file", document="Invented manual", revision="C", table="7", page="31", date="2031-01-01"
    )
    assert rear.limit is None
    hot = next(f for f in sheets["gap-front"].figures if f.id == "gap.front.hot")
    assert hot.limit is not None
    assert hot.limit.condition == Topic("limit.cold")
    gap, scatter, warm, warming = sheets["gap-front"].findings
    assert gap == Gap(front)
    assert isinstance(scatter, GapScatter)
    assert front.low is not None
    assert front.low < scatter.low_mm < front.value < scatter.high_mm
    assert isinstance(warm, HotGap)
    assert warm.figure == hot
    assert warm.opened_um == pytest.approx(1000 * (hot.value - front.value))
    assert isinstance(warming, HotGap)
    assert warming.figure.id == "gap.front.warm_up"
    assert warming.figure.limit is None, "no limit is given for a head that warms up"
    assert warming.opened_um < warm.opened_um, "the body lags behind"


def test_a_limit_keeps_its_own_condition_hot_and_cold() -> None:
    value = replace(span("0.09", "0.15"), condition="rotors pushed home")
    figures = sheets_of(make_fleet_head(80.0, {"front_face_clearance": value}))["gap-front"].figures
    own = Topic("limit.condition", words="rotors pushed home")
    judged = [f for f in figures if f.id in ("gap.front", "gap.front.hot")]
    assert [f.limit and f.limit.condition for f in judged] == [own, own]


def test_masses_are_judged_by_the_sites_own_limit() -> None:
    with_limit = sheets_of(make_fleet_head(given={"mass_limit": sourced("15", "kg")}))["masses"].figures
    assert [(f.id, f.judgement) for f in with_limit] == [("mass.cover", "outside"), ("mass.body", "inside")]
    without = sheets_of(make_fleet_head())["masses"]
    assert all(f.limit is None for f in without.figures)
    assert [b.name for b in without.blanks] == ["mass_limit"]
    assert "masses" not in {s.id for g in calculations(make_fleet_head()) for s in g.sheets}


def test_food_contact_is_asked_for_and_never_concluded() -> None:
    head = make_fleet_head()
    assert sheets_of(head)["food-contact"].findings == (FoodContact(),)
    words = SourcedValue("category H1, number 0000", "", SOURCE, "2031-01-01")
    known = replace(head, values=resolve_values({"food_contact_registration": words}, head.options))
    assert sheets_of(known)["food-contact"].findings == (
        FoodContact("category H1, number 0000", words.reference),
    )
    assert sheets_of(known)["food-contact"].blanks == ()


def test_sheets_need_no_cad_kernel() -> None:
    folders = [str(Path(__file__).parent), str(ROOT / "tests" / "samples")]
    code = (
        "import sys; sys.path[:0] = sys.argv[1:]; from test_head_calculations import *; "
        "figures_of(make_fleet_head()); print([m for m in ('cadquery', 'OCP', 'vtk', 'pyvista') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code, *folders], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
