"""Every picture teaches its step: no two steps of a head have the same one, unless they are the very same step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from dataclasses import replace

import pytest
from acts_samples import SMALL as ACTS
from acts_samples import act_assembly, make_wrench, on, step_with, wrench
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.tools.tool_solids import make_tool
from benchleaf.render.pictures.picture_keys import shown_of
from benchleaf.render.pictures.step_pictures import choose_views
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.steps.operations import Operation, SurfaceOf
from benchleaf.sequences.steps.plan import Step
from head_proofs import head_of
from picture_reviews import MEASURED, MeasuringStudio, plans_of


def work_of(step: Step) -> Hashable:
    """Return what is done in a step, with which parts there: all of it but its name, and which sentence says it."""
    return shown_of(step)[3:-1], tuple(replace(o, sentence=0) for o in step.operations)


def alike(told: dict[str, tuple[Hashable, Step]]) -> list[tuple[str, ...]]:
    """Return the names of steps with one picture that are not the same step."""
    groups: dict[Hashable, list[str]] = defaultdict(list)
    for name, (teaching, _) in told.items():
        groups[teaching].append(name)
    return [tuple(names) for names in groups.values() if len({work_of(told[n][1]) for n in names}) > 1]


@pytest.mark.gl
def test_what_is_done_tells_pictures_of_the_same_parts_apart() -> None:
    tighten = Operation("tighten", "torque wrench", (SurfaceOf("nut_1", "hexagon"),))
    steps = {
        "clean": (step_with(on("clean", "plate", "seat")), ()),
        "measure": (step_with(on("measure", "plate", "seat")), ()),
        "tighten": (step_with(tighten), (wrench(),)),
        "loosen": (step_with(tighten), (wrench(swing_deg=-60.0),)),
        "same again": (step_with(on("clean", "plate", "seat")), ()),
    }
    with Studio(act_assembly(), ACTS, None, make_wrench) as studio:
        told = {n: (studio.scene(s, t).teaching, s) for n, (s, t) in steps.items()}
    assert len({teaching for teaching, _ in told.values()}) == 4
    assert alike(told) == []
    plain = {n: (told["clean"][0], s) for n, (s, _) in steps.items()}
    assert alike(plain) == [tuple(steps)], "one picture for all of them would be found"


@pytest.mark.gl
@pytest.mark.slow
def test_no_two_steps_of_a_head_have_the_same_picture() -> None:
    head = head_of(Options())
    told: dict[str, tuple[Hashable, Step]] = {}
    with MeasuringStudio(head, MEASURED, None, make_tool) as studio:
        for plan in plans_of(head):
            tools = find_reach(head, plan).tools
            for step, view in zip(plan.steps, choose_views(studio, plan, tools), strict=True):
                teaching = studio.scene(step, tools.get(step.number, ())).teaching
                told[f"{plan.sequence} {step.id}"] = ((view, teaching), step)
    assert len(told) > 70
    assert alike(told) == []
    # Twins have the same shape: the view alone tells their pictures apart.
    apart = [told[f"disassembly nut_{side}_apart"][0] for side in ("drive", "driven")]
    assert apart[0][0] != apart[1][0]  # type: ignore[index]
