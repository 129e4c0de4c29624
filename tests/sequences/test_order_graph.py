"""What the order graph answers: where a step may stand, and why it stands where it does."""

from __future__ import annotations

import pytest
from benchleaf.geometry.frame import Place
from benchleaf.sequences.order.order_graph import OrderGraph, Why
from benchleaf.sequences.steps.plan import Plan
from proof_samples import (
    DOWN,
    ROWS,
    assembly_of,
    backwards,
    part,
    plan_of,
    prove_plan,
    proven_coupling,
    reordered,
    slide,
    tried_window,
    turned,
)

BY_ID = dict(ROWS)
TOGETHER = plan_of(
    [
        ("dowels", BY_ID["dowels"]),
        ("key", BY_ID["key"]),
        ("shaft parts", (*BY_ID["wheel"], *BY_ID["washer"], *BY_ID["nut"])),
        ("ring", BY_ID["ring"]),
        ("cover", BY_ID["cover"]),
        ("screws", BY_ID["screws"]),
    ]
)
"""The plan with a step whose own moves can come in one order alone."""


def graph_of(plan: Plan) -> OrderGraph:
    proven = proven_coupling()
    return prove_plan(proven.assembly, plan, proven.ways).graph


@pytest.mark.parametrize("plan", [plan_of(), backwards(plan_of()), TOGETHER, backwards(TOGETHER)])
def test_window_of_each_step_is_what_trying_every_place_gives(plan: Plan) -> None:
    graph = graph_of(plan)
    for step in plan.steps:
        assert graph.window(step.number) == tried_window(graph, step.number), step.id


def test_moves_of_a_step_do_not_limit_where_it_may_stand() -> None:
    graph = graph_of(TOGETHER)
    by_id = {s.id: graph.window(s.number) for s in TOGETHER.steps}
    assert by_id == {
        "dowels": (1, 4),  # any time before the cover
        "key": (1, 2),
        "shaft parts": (3, 4),  # after the key, before the cover
        "ring": (1, 4),
        "cover": (5, 5),
        "screws": (6, 6),
    }


def test_window_ends_where_a_part_has_nothing_to_sit_on() -> None:
    """A ring lies on a plate that is pushed in from the side: no way is closed, but the ring waits for its plate."""
    base, plate, ring = (turned([(0, 0), (r, 0), (r, 3), (0, 3)]) for r in (60, 30, 10))
    parts = assembly_of(
        part("base", base, Place.at(0, 0, -3.1)),
        part("plate", plate),
        part("ring", ring, Place.at(0, 0, 3.1)),
        part("far", ring, Place.at(0, 45, 0)),
    )
    rows = [
        (k, (((k,), slide((1.0, 0.0, 0.0) if k == "plate" else DOWN)),)) for k in ("far", "plate", "ring")
    ]
    graph = prove_plan(parts, plan_of(rows, ("base",))).graph
    assert graph.edges == ()
    assert {m.step_id: graph.window(m.step) for m in graph.moves} == {
        "far": (1, 3),
        "plate": (1, 2),
        "ring": (3, 3),
    }
    for m in graph.moves:
        assert graph.window(m.step) == tried_window(graph, m.step)


@pytest.mark.parametrize(
    ("moved", "window"),
    [
        (["dowels", "key", "wheel", "washer", "nut", "cover", "screws", "ring"], {"ring": (1, 6), "cover": (8, 6)}),
        (["screws", "dowels", "key", "wheel", "washer", "nut", "ring", "cover"], {"cover": (8, 1), "screws": (8, 8)}),
    ],
)  # fmt: skip
def test_step_out_of_order_is_told_where_it_belongs(
    moved: list[str], window: dict[str, tuple[int, int]]
) -> None:
    """The blocker may be the last step of all, or the first."""
    plan = reordered(moved)
    graph = graph_of(plan)
    assert {s.id: graph.window(s.number) for s in plan.steps if s.id in window} == window


def test_reasons_of_a_disassembly_name_what_would_stay_behind_and_what_is_still_there() -> None:
    plan = backwards(plan_of())
    graph = graph_of(plan)
    number = {m.parts[0]: m.number for m in graph.moves}
    why = {s.id: graph.why_now(s.number) for s in plan.steps}
    assert why["screws"] == (Why("now", (number["cover"],), 2),)
    assert why["nut"] == (Why("now", (number["washer"],), 5), Why("not earlier", (number["cover"],)))
    assert why["key"] == (Why("not earlier", (number["wheel"],)),)
    bound = {graph.moves[n].step for e in graph.edges for n in (e.first, e.then)}
    for step in plan.steps:
        assert (why[step.id] == (Why("free"),)) == (step.number not in bound)


def test_part_that_nothing_holds_in_its_place_is_free() -> None:
    parts = assembly_of(
        *(
            part(k, turned([(0, 0), (9, 0), (9, 9), (0, 9)]), Place.at(x, 0, 0))
            for k, x in (("a", 0), ("b", 19))
        )
    )
    plan = plan_of([("b", ((("b",), slide()),))], ("a",))
    assert prove_plan(parts, plan).graph.why_now(1) == (Why("free"),)
    assert prove_plan(parts, backwards(plan)).graph.why_now(1) == (Why("free"),)
