"""Plans: where the shafts stand in each step, and that no two steps disagree on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.steps.plan import Plan, Section, Step, with_shaft_angles
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence
from hypothesis import given
from hypothesis import strategies as st


def steps_of(*turns: float) -> tuple[Step, ...]:
    return tuple(Step(n, f"s{n}", "s", "Turn", (), shaft_turn_deg=t) for n, t in enumerate(turns, 1))


def plan_of(steps: tuple[Step, ...]) -> Plan:
    return Plan("assembly", "Assembly", "A", (Section("s", "S"),), steps)


def test_a_step_begins_where_the_one_before_left_the_shafts() -> None:
    steps = with_shaft_angles(steps_of(0.0, 90.0, 0.0, -30.0, 360.0, 400.0, 0.0))
    assert [s.shaft_angle_deg for s in steps] == [0.0, 0.0, 90.0, 90.0, 60.0, 60.0, 100.0]
    assert [s.shaft_angle_deg for s in with_shaft_angles(steps_of(10.0, 0.0), 355.0)] == [355.0, 5.0]


def test_steps_that_say_so_already_stay_the_same_objects() -> None:
    steps = with_shaft_angles(steps_of(360.0, 90.0, 0.0))
    assert [a is b for a, b in zip(steps, with_shaft_angles(steps), strict=True)] == [True] * 3


def test_on_a_bench_no_part_is_turned() -> None:
    step = Step(1, "a", "s", "Fit", (), shaft_angle_deg=90.0)
    assert step.stands_at_deg == 90.0
    assert replace(step, bench="unit").stands_at_deg == 0.0


def test_a_plan_whose_steps_disagree_is_refused() -> None:
    one, two, three = with_shaft_angles(steps_of(90.0, 0.0, 0.0))
    plan_of((one, two, three))
    plan_of((two, three))  # a plan may be cut out of a longer one
    with pytest.raises(
        ValueError, match="step s3 begins with the shafts at 0 degrees, but step s2 leaves them at 90"
    ):
        plan_of((one, two, replace(three, shaft_angle_deg=0.0)))
    with pytest.raises(ValueError, match="step s2 begins with the shafts at 0 degrees"):
        plan_of(steps_of(90.0, 0.0))


@given(st.lists(st.floats(-3600, 3600), max_size=12))
def test_every_row_of_turns_makes_a_plan(turns: list[float]) -> None:
    plan = plan_of(with_shaft_angles(steps_of(*turns)))
    assert all(0 <= s.shaft_angle_deg < 360 for s in plan.steps)


def test_a_turn_of_a_sequence_file_reaches_all_later_steps() -> None:
    """A quarter before the shafts are looked at; the whole turns of the shipped sequence change nothing after that."""
    sequence = load_sequence("assembly")
    texts = tuple(
        t.model_copy(update={"turn_shafts_deg": 90.0}) if t.id == "inspect_shafts" else t
        for t in sequence.steps
    )
    sequence = replace(sequence, text=sequence.text.model_copy(update={"steps": list(texts)}))
    plan = resolve(sequence, Options(), part_kinds(Options()), assembly="P-1")
    at = next(n for n, s in enumerate(plan.steps) if s.id == "inspect_shafts")
    assert plan.steps[at].shaft_turn_deg == 90.0
    assert {s.shaft_angle_deg for s in plan.steps[: at + 1]} == {0.0}
    assert {s.shaft_angle_deg for s in plan.steps[at + 1 :]} == {90.0}
    assert sum(s.shaft_turn_deg == 360.0 for s in plan.steps[at + 1 :]) == 4


SAYS_UP = {
    "rear side up": "rear",
    "bearing face up": "rear",
    "front side down": "rear",
    "front side up": "front",
}
"""What acts say of how a unit lies, and which of its sides looks up then: a rotor nut bears with its rear face."""


@pytest.mark.parametrize("kind", ["assembly", "disassembly"])
def test_what_lies_on_a_bench_is_shown_as_its_acts_say(kind: str) -> None:
    options = Options(seal="double", cover="relief")
    plan = resolve(load_sequence(kind), options, part_kinds(options), assembly="P-1")
    said = {
        (s.bench, up)
        for s in plan.steps
        for words, up in SAYS_UP.items()
        if s.bench and any(words in act for act in s.acts)
    }
    assert len(said) >= 2
    for bench, up in said:
        assert {s.up for s in plan.steps if s.bench == bench} == {up}, bench
    assert all(s.up is None for s in plan.steps if s.bench is None)
