"""The demo fleet: an invented plant that shows the family, with plans for every head."""

from __future__ import annotations

import pickle

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import Fleet, plan_head
from benchleaf.sequences.steps.asked_values import asked_values
from benchleaf.sequences.steps.conditions import option_values
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED
from program_files import DEMO


@pytest.fixture(scope="module")
def demo() -> Fleet:
    return load_fleet(DEMO)


def test_the_demo_fleet_says_that_it_is_invented(demo: Fleet) -> None:
    assert demo.demo
    assert "Invented" in demo.note
    given = [v.given for h in demo.heads for v in h.values.values() if v.given is not None]
    assert all("nvented" in g.source.document for g in given)


def test_the_demo_fleet_shows_the_family(demo: Fleet) -> None:
    base = [h for h in demo.heads if h.options == Options()]
    assert len({h.size.shaft_centre_distance_mm for h in base}) >= 3
    for name in (
        "rotor",
        "seal",
        "cover",
        "cover_nuts",
        "cover_oring",
        "body",
        "ports",
        "cleaning_in_place",
        "gear_case",
    ):
        assert {getattr(h.options, name) for h in demo.heads} == set(option_values(name)), name


def test_every_head_of_the_demo_has_its_plans_and_some_blanks(demo: Fleet) -> None:
    assert tuple(demo.sequences) == SHIPPED
    assert tuple(demo.checklists) == CHECKLISTS
    for head in demo.heads:
        plans = [plan_head(head, s) for s in (*demo.sequences.values(), *demo.checklists.values())]
        asked = asked_values(plans)
        assert set(asked) <= set(head.values)
        assert any(not head.values[n].known for n in asked)
        assert any(c.id == "site_permit" for c in plans[0].cautions)
        used = dict.fromkeys(n for p in plans for s in p.steps for n in s.values)
        assert set(used) <= set(asked)
        steps = {(p.sequence, p.title): {s.number for s in p.steps} for p in plans}
        for use in (u for uses in asked.values() for u in uses):
            assert use.step in steps[use.sequence, use.title]


def test_a_fleet_can_be_handed_to_a_worker(demo: Fleet) -> None:
    heads, sequences = pickle.loads(pickle.dumps((demo.heads, dict(demo.sequences))))
    assert heads == demo.heads
    assert plan_head(heads[0], sequences["assembly"]) == plan_head(demo.heads[0], demo.sequences["assembly"])


def test_every_screw_and_nut_that_turns_goes_as_far_as_its_pitch_says(demo: Fleet) -> None:
    turned = set()
    for head in demo.heads:
        pitches = head.size.pitches_mm
        for sequence in demo.sequences.values():
            plan = plan_head(head, sequence)
            for move in (m for s in plan.steps for m in s.moves):
                for leg in (leg for leg in move.legs if leg.turn_deg):
                    kind = next(k for p in move.parts if (k := head.parts[p]) in pitches)
                    turned.add(kind)
                    assert leg.distance_mm == pytest.approx(abs(leg.turn_deg) / 360 * pitches[kind]), kind
    assert turned == {"rotor_nut", "cover_nut", "body_screw", "relief_screw"}
