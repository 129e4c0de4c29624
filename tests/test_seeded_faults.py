"""Seeded faults in sequence: each is found and named, step, part and blocker; harmless changes are not."""

from __future__ import annotations

import pytest
from benchleaf.sequences.order import check_order
from benchleaf.sequences.plan import Plan
from proof_samples import (
    ROWS,
    backwards,
    prove_plan,
    proven_coupling,
    reordered,
)

Found = set[tuple[str, str, str]]


def moved(step: str, where: str, anchor: str) -> list[str]:
    """Return the step ids with one put right before or after another."""
    ids = [r[0] for r in ROWS if r[0] != step]
    ids.insert(ids.index(anchor) + (where == "after"), step)
    return ids


def faults_of(plan: Plan) -> set[tuple[str, str, str, str]]:
    """Return the kind, step id, part and blocker of every fault of a plan over the coupling."""
    proven = proven_coupling()
    graph = prove_plan(proven.assembly, plan, proven.ways).graph
    said = check_order(graph, plan)
    numbers = {s.id: s.number for s in plan.steps}
    assert all(plan.steps[f.step - 1].id == f.step_id and f.text for f in said)
    assert all(f.step in numbers.values() for f in said)
    return {(f.kind, f.step_id, f.part, f.by) for f in said}


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
