"""Seeded faults in sequence and travel: each is found and named, step, part and blocker; harmless changes are not."""

from __future__ import annotations

import pytest
from benchleaf.geometry.frame import Vec3
from benchleaf.sequences.order.order import check_order
from benchleaf.sequences.steps.plan import Leg, Plan
from proof_samples import (
    DOWN,
    ROWS,
    UP,
    backwards,
    plan_of,
    prove_plan,
    proven_coupling,
    reordered,
    slide,
)

Found = set[tuple[str, str, str]]
Y_IN: Vec3 = (0.0, -1.0, 0.0)


def moved(step: str, where: str, anchor: str) -> list[str]:
    """Return the step ids with one put right before or after another."""
    ids = [r[0] for r in ROWS if r[0] != step]
    ids.insert(ids.index(anchor) + (where == "after"), step)
    return ids


def faults_of(plan: Plan) -> set[tuple[str, str, str, str]]:
    """Return the kind, step id, part and blocker of every fault of a plan over the coupling."""
    proven = proven_coupling()
    graph = prove_plan(proven.assembly, plan, proven.ways).graph
    found = check_order(graph, plan)
    assert all(plan.steps[f.step - 1].id == f.step_id for f in found)
    for f in found:
        assert (f.move is None) == (f.kind == "forgotten")
        assert f.move is None or f.part in graph.moves[f.move].parts
        assert (f.remaining_mm is not None) == (f.kind in ("blocked", "no way"))
    return {(f.kind, f.step_id, f.part, f.by) for f in found}


def with_row(step: str, key: str, legs: tuple[Leg, ...]) -> Plan:
    """Return the right plan with the travel of one part changed."""
    rows = [
        (i, tuple((p, legs if (i, p) == (step, (key,)) else had) for p, had in moves)) for i, moves in ROWS
    ]
    return plan_of(rows)


def blocked(*found: tuple[str, str, str]) -> set[tuple[str, str, str, str]]:
    """Return what is expected of parts whose way is closed."""
    return {("blocked", *f) for f in found}


WRONG_ORDER: list[tuple[str, str, str, Found]] = [
    ("ring", "after", "cover", {("ring", "ring", "cover")}),
    ("washer", "after", "nut", {("washer", "washer", "nut")}),
    ("nut", "before", "wheel", {("wheel", "wheel", "nut"), ("washer", "washer", "nut")}),
    ("washer", "before", "wheel", {("wheel", "wheel", "washer")}),
    ("key", "after", "wheel", {("key", "key", "wheel")}),
    ("key", "after", "nut", {("key", "key", "wheel")}),
    ("key", "after", "cover", {("key", "key", "wheel"), ("key", "key", "cover")}),
    ("wheel", "after", "nut", {("wheel", "wheel", "washer"), ("wheel", "wheel", "nut")}),
    ("wheel", "after", "cover", {("wheel", "wheel", b) for b in ("washer", "nut", "cover")}),
    ("washer", "after", "cover", {("washer", "washer", "nut"), ("washer", "washer", "cover")}),
    ("nut", "after", "cover", {("nut", "nut", "cover")}),
    ("cover", "before", "wheel", {(k, k, "cover") for k in ("wheel", "washer", "nut", "ring")}),
    ("cover", "before", "nut", {(k, k, "cover") for k in ("nut", "ring")}),
    ("screws", "before", "cover", {("cover", "cover", "screw_1"), ("cover", "cover", "screw_2")}),
    ("screws", "before", "dowels", {("cover", "cover", "screw_1"), ("cover", "cover", "screw_2")}),
    ("dowels", "after", "cover", {("dowels", k, "cover") for k in ("dowel_large", "dowel_small")}),
    ("dowels", "after", "screws", {("dowels", k, "cover") for k in ("dowel_large", "dowel_small")}),
]
MAY_SWAP = [
    ("dowels", "after", "key"),
    ("dowels", "after", "nut"),
    ("dowels", "after", "ring"),
    ("ring", "before", "dowels"),
    ("ring", "before", "wheel"),
    ("ring", "before", "washer"),
]


@pytest.mark.parametrize("way", ["assembly", "disassembly"])
@pytest.mark.parametrize(("step", "where", "anchor", "expected"), WRONG_ORDER)
def test_step_out_of_order_names_step_part_and_blocker(
    step: str, where: str, anchor: str, expected: Found, way: str
) -> None:
    plan = reordered(moved(step, where, anchor))
    assert faults_of(plan if way == "assembly" else backwards(plan)) == blocked(*expected)


@pytest.mark.parametrize("way", ["assembly", "disassembly"])
@pytest.mark.parametrize(("step", "where", "anchor"), MAY_SWAP)
def test_steps_that_may_be_swapped_are_not_flagged(step: str, where: str, anchor: str, way: str) -> None:
    plan = reordered(moved(step, where, anchor))
    assert faults_of(plan if way == "assembly" else backwards(plan)) == set()


def test_moves_of_one_step_may_come_the_other_way_round() -> None:
    assert faults_of(plan_of([(i, tuple(reversed(moves))) for i, moves in ROWS])) == set()


@pytest.mark.parametrize(
    ("step", "key", "legs", "by"),
    [
        ("wheel", "wheel", slide(UP), {"housing"}),
        ("cover", "cover", slide(UP), {"housing"}),
        ("key", "key", slide(DOWN), {"shaft"}),
        ("key", "key", slide((0.0, 1.0, 0.0)), {"shaft"}),
        ("key", "key", (Leg(DOWN), Leg(Y_IN, 1.0)), {"shaft"}),
        ("dowels", "dowel_large", slide((1.0, 0.0, 0.0)), {"housing"}),
        ("wheel", "wheel", (Leg(DOWN), Leg(DOWN, 10.0, 90.0)), {"key"}),
    ],
)
def test_wrong_travel_names_what_is_in_the_way(
    step: str, key: str, legs: tuple[Leg, ...], by: set[str]
) -> None:
    found = faults_of(with_row(step, key, legs))
    assert {f[:3] for f in found if f[0] == "blocked"} == {("blocked", step, key)}
    assert by <= {f[3] for f in found}


def test_travel_that_clears_before_it_turns_off_is_not_flagged() -> None:
    assert faults_of(with_row("key", "key", (Leg(DOWN), Leg(Y_IN, 40.0)))) == set()


@pytest.mark.parametrize("key", ["key", "washer", "ring", "cover", "screws"])
def test_part_missing_from_the_sequence_is_named(key: str) -> None:
    found = faults_of(plan_of([r for r in ROWS if r[0] != key]))
    missing = {"screw_1", "screw_2"} if key == "screws" else {key}
    assert {f[2] for f in found if f[0] == "forgotten"} == missing
    assert {f[0] for f in found} == {"forgotten"}


def test_dowels_without_their_housing_have_nothing_to_sit_in() -> None:
    found = faults_of(plan_of(ROWS, ("shaft",)))
    assert ("loose", "dowels", "dowel_large", "") in found
    assert ("forgotten", "screws", "housing", "") in found


def test_part_fitted_again_is_named() -> None:
    found = faults_of(plan_of([*ROWS, ("again", dict(ROWS)["washer"])]))
    assert ("twice", "again", "washer", "") in found
