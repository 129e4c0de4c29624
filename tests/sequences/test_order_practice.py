"""Practice of the order: judged by solids and rules alike, held to the order graph over random orders."""

from __future__ import annotations

import random

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.steps.plan import OrderRule
from benchleaf.sequences.training.order_practice import OrderChoice
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from practice_samples import BASE, RICH, Practised, practice_of, practised
from proof_samples import coupling, plan_of, proven_coupling

CASES = [("assembly", BASE), ("disassembly", BASE), ("assembly", RICH), ("disassembly", RICH)]
IDS = [f"{kind}-{'base' if o == BASE else 'rich'}" for kind, o in CASES]


def choice_of(p: Practised, step: str, part: str = "") -> OrderChoice:
    found = [c for c in p.practice.choices if c.step_id == step and (not part or part in c.parts)]
    assert len(found) == 1, (step, part, found)
    return found[0]


def grounds(p: Practised, done: set[int], number: int) -> set[str]:
    return {"solids" if h.by_solids else "rule" for h in p.practice.against(done, number)}


@pytest.mark.parametrize(("kind", "options"), CASES, ids=IDS)
def test_the_written_order_is_right_from_first_to_last(kind: str, options: Options) -> None:
    p = practised(kind, options)
    assert {c.step for c in p.practice.choices} == {s.number for s in p.plan.steps}
    assert sorted(m for c in p.practice.choices for m in c.moves) == [m.number for m in p.graph.moves]
    for c in p.practice.choices:
        assert p.practice.against(range(c.number), c.number) == [], c.step_id


@pytest.mark.parametrize(("kind", "options"), CASES, ids=IDS)
@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 2**32))
def test_every_order_that_solids_and_rules_allow_is_right_and_no_other(
    kind: str, options: Options, seed: int
) -> None:
    """On a random way from bare shafts to the end, each choice is judged as the graph and the rules judge it."""
    p, pick, done = practised(kind, options), random.Random(seed), set[int]()
    while len(done) < len(p.practice.choices):
        left = [c.number for c in p.practice.choices if c.number not in done]
        told = {n: p.verdict(done, n) for n in left}
        for n in left:
            said = grounds(p, done, n)
            # What a rule says too is told by the rule alone: the solids need not be named beside it.
            assert bool(said) == bool(told[n]), (p.practice.choices[n], said, told[n])
            assert said <= told[n] or "rule" in told[n]
            assert "rule" not in told[n] or "rule" in said
        right = [n for n in left if not told[n]]
        assert done or len(right) < len(left) / 2, "most of it is wrong at first"
        assert right, "no way on"
        done.add(pick.choice(right))


def until(p: Practised, step: str) -> set[int]:
    """Return all choices that the written order has before a step."""
    return {c.number for c in p.practice.choices if c.number < choice_of(p, step).number}


@pytest.mark.parametrize(
    ("picked", "part", "left_out", "reason"),
    [
        ("key_drive", "key_drive", ("hub_oring_drive",), "Fit the hub O-rings first"),
        ("key_driven", "key_driven", ("hub_oring_driven",), "Fit the hub O-rings first"),
        ("rotor_drive", "", ("body_screws", "body_home"), "Draw the body down first"),
        ("rotor_driven", "", ("torque_drive",), "Torque the first nut"),
    ],
)
def test_wrong_work_that_the_solids_allow_is_stopped_by_the_rules(
    picked: str, part: str, left_out: tuple[str, ...], reason: str
) -> None:
    p = practised("assembly")
    done = until(p, picked) - {c.number for c in p.practice.choices if c.step_id in left_out}
    choice = choice_of(p, picked, part)
    against = p.practice.against(done, choice.number)
    rules = [h for h in against if h.kind == "rule"]
    assert any(h.because.startswith(reason) for h in rules), against
    assert {p.practice.choices[h.choice or 0].step_id for h in rules} <= set(left_out)
    by_solids = {h.kind for h in against if h.by_solids}
    # A rotor whose hub ring is still to come is another matter: its unit is not built.
    assert by_solids == set(), "the solids have nothing against it"


def test_a_torque_a_reading_and_a_look_are_choices_and_need_what_they_work_on() -> None:
    p = practised("assembly")
    tasks = {c.step_id: c.task for c in p.practice.choices if not c.moves}
    assert (tasks["torque_drive"], tasks["front_clearance"], tasks["turn_open"]) == (
        "torque",
        "measure",
        "turn",
    )
    assert tasks["seals_free"] == "check"
    (torque,) = (c for c in p.practice.choices if c.step_id == "torque_drive")
    against = p.practice.against(until(p, "nut_drive"), torque.number)
    assert [h.kind for h in against] == ["not there"]
    body = choice_of(p, "body_on")
    done = until(p, "body_on") - {c.number for c in p.practice.choices if c.step_id == "inspect_body"}
    (late,) = p.practice.against(done, body.number)
    assert (late.kind, p.practice.choices[late.choice or 0].step_id) == ("too late", "inspect_body")


def test_equal_parts_of_a_step_are_one_choice_and_others_are_not() -> None:
    p = practised("assembly")
    (nuts,) = (c for c in p.practice.choices if c.step_id == "cover_nuts")
    assert len(nuts.moves) == sum(k.startswith("cover_nut_") for k in p.graph.assembly.parts) > 2
    assert [len(c.moves) for c in p.practice.choices if c.step_id == "second_nut"] == [1, 1, 1]


def test_a_rule_between_steps_of_any_assembly_is_told_with_its_reason() -> None:
    proven = proven_coupling()
    rule = OrderRule("ring", ("nut",), "Tighten the nut while nothing lies on the flange.")
    plan = plan_of()
    kinds = {p.key: p.kind for p in coupling()}
    with_rule = practice_of(type(plan)(**{**vars(plan), "rules": (rule,)}), proven.graph, kinds)
    ring, nut = choice_of(with_rule, "ring"), choice_of(with_rule, "nut")
    (said,) = with_rule.practice.against(set(), ring.number)
    assert (said.kind, said.choice, said.because) == ("rule", nut.number, rule.because)
    assert with_rule.practice.against({nut.number}, ring.number) == []
    without = practice_of(plan, proven.graph, kinds)
    assert without.practice.against(set(), ring.number) == []
