"""The reach of tools is kept by what it rests on, and comes back as it was."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from acts_samples import on, step_with, wrench
from benchleaf.sequences.reach.kept_reach import keep_reach, reach_key, stored_reach, uses_tools
from benchleaf.sequences.reach.tool_places import PlanReach, ReachFound
from benchleaf.sequences.steps.operations import SurfaceOf
from benchleaf.sequences.steps.plan import Plan, Section, Step
from benchleaf.sequences.work.store import Store


def plan(*steps: Step) -> Plan:
    return Plan("assembly", "Assembly", "bench", (Section("a", "A"),), steps)


def test_what_was_found_comes_back(tmp_path: Path) -> None:
    fault = ReachFound(2, "s2", 0, SurfaceOf("nut_1", "hexagon"), "torque wrench", "no swing", "plate", 12.5)
    found = PlanReach({3: (wrench(3, label="1"),)}, (fault,))
    store = Store(tmp_path)
    key = reach_key("solids", plan(step_with(number=1))).digest
    assert stored_reach(store, key) is None
    keep_reach(store, key, found)
    assert stored_reach(store, key) == found


def test_words_do_not_count_and_operations_do() -> None:
    step = step_with(on("tighten", "nut_1", "hexagon", tool="torque wrench"))
    key = reach_key("solids", plan(step))
    assert reach_key("solids", plan(replace(step, title="Other", acts=("Said otherwise.",)))) == key
    assert reach_key("solids", plan(replace(step, examples=("pit",)))) == key
    for other in (
        replace(step, operations=()),
        replace(step, shaft_angle_deg=10.0),
        replace(step, present=()),
    ):
        assert reach_key("solids", plan(other)).digest != key.digest
    assert reach_key("others", plan(step)).digest != key.digest
    assert uses_tools(plan(step))
    assert not uses_tools(plan(step_with(on("look", "plate", "seat"))))
