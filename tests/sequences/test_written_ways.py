"""A way that was found, written as a sequence and read back: the same way, proven anew, in words a person follows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import yaml
from benchleaf.geometry.assembly import Assembly
from benchleaf.geometry.frame import Place, Vec3
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from benchleaf.sequences.order.order import check_order, make_order, plan_moves
from benchleaf.sequences.order.paths import Ways, stretches_of
from benchleaf.sequences.order.turn_search import TurnSearch
from benchleaf.sequences.own.written_ways import axis_word, written_acts, written_travel
from benchleaf.sequences.steps.plan import Leg, Plan, turn_about
from benchleaf.sequences.steps.sequence_form import TravelText
from benchleaf.sequences.steps.travel_poses import Stretch
from benchleaf.site.extras.assemblies.from_files import begin_from
from sample_solids import kernel
from turn_samples import bayonet, hook_on_a_bar, is_out, met_on_the_way


def begun(assembly: Assembly, folder: Path) -> UserAssembly:
    """Return what is begun from a STEP file of an assembly."""
    whole = cq.Assembly(name="Whole")
    for part in assembly:
        whole.add(kernel(part.solid), name=part.name, loc=part.place.location())
    whole.export(str(folder / "whole.step"))
    return load_user_assembly(
        begin_from([folder / "whole.step"], folder / "draft", None, lambda _: None).file
    )


@pytest.fixture(scope="module")
def draft(tmp_path_factory: pytest.TempPathFactory) -> UserAssembly:
    return begun(bayonet(35.0), tmp_path_factory.mktemp("bayonet"))


def blocks(draft: UserAssembly, plan: Plan) -> list[str]:
    ways = Ways(Bodies(draft.assembly))
    moves = plan_moves(ways, plan)
    return [f.kind for f in check_order(make_order(ways, plan, moves), plan)]


def test_the_draft_tells_the_turn_and_its_proof_follows_it(draft: UserAssembly) -> None:
    (plan,) = draft.plans
    (step,) = plan.steps
    (move,) = step.moves
    slide, turn = move.legs
    assert (slide.direction, slide.distance_mm) == ((0.0, 0.0, -1.0), None)
    assert (turn.axis, turn.turn_deg) == ((0.0, 0.0, 1.0), 35.0)
    assert turn.through is None  # its own axis
    assert step.acts == ("Slide it in.", "Turn it by 35° anticlockwise, as seen from the front.")
    assert blocks(draft, plan) == []
    (proven,) = plan_moves(Ways(Bodies(draft.assembly)), plan)
    assert met_on_the_way(draft.assembly, "lid", proven.path.stretches) < 0.5
    assert is_out(draft.assembly, "lid", proven.path.stretches)


def test_a_line_that_is_not_the_parts_own_is_named_and_read_back() -> None:
    """The hook turns about the bar, 14 mm below its own origin."""
    of = hook_on_a_bar()
    ways, hook = Ways(Bodies(of, 0.02)), of.part("hook")
    way = TurnSearch(ways, ["hook"], ["frame"], {}).way()
    assert way is not None
    told = TravelText.model_validate(yaml.safe_load(written_travel(way, hook.place)))
    slide, turn = told.legs
    assert (slide.slide, slide.mm, turn.about, abs(turn.deg or 0.0)) == ("+x", None, "y", 90.0)
    through = turn.through_mm
    assert through is not None
    assert (through[0], through[2]) == pytest.approx((0.0, 0.0), abs=1e-6)
    legs = (Leg((1.0, 0.0, 0.0)), turn_about((0.0, 1.0, 0.0), turn.deg or 0.0, (0.0, through[1], 0.0)))
    boxes = (ways.bodies.box("hook"), ways.bodies.box_of_all(of.parts))
    for found, read in zip(way, stretches_of(legs, True, hook.place, *boxes), strict=True):
        np.testing.assert_allclose(read.end.matrix(), found.end.matrix(), atol=1e-9)


@pytest.mark.parametrize("change", ["other way", "other line", "not at all"])
def test_a_wrong_turn_in_the_file_is_refused(draft: UserAssembly, change: str) -> None:
    (plan,) = draft.plans
    (step,) = plan.steps
    slide, turn = step.moves[0].legs
    wrong = {
        "other way": (slide, replace(turn, turn_deg=-turn.turn_deg)),
        "other line": (slide, replace(turn, through=(3.0, 0.0, 0.0))),
        "not at all": (slide,),
    }[change]
    seeded = replace(plan, steps=(replace(step, moves=(replace(step.moves[0], legs=wrong),)),))
    assert blocks(draft, seeded) == ["blocked"]


def test_what_the_file_leaves_to_be_found_is_found(draft: UserAssembly) -> None:
    (plan,) = draft.plans
    (step,) = plan.steps
    open_plan = replace(plan, steps=(replace(step, moves=(replace(step.moves[0], legs=()),)),))
    (move,) = plan_moves(Ways(Bodies(draft.assembly)), open_plan)
    assert (move.path.clear, move.path.found) == (True, True)
    assert [s.turn_deg for s in move.path.stretches] == [-35.0, 0.0]
    assert move.path.gap is not None
    assert move.path.gap.mm == pytest.approx(0.2, abs=0.03)  # lug to slot, lid to rim


STRAIGHT = Stretch(Place(), (0.0, 0.0, 9.0))
ASKEW: Vec3 = (0.6, 0.8, 0.0)


def test_what_no_file_can_say_is_left_to_be_found() -> None:
    assert written_travel((), Place()) == ""
    assert written_travel([STRAIGHT], Place()) == ""
    turn = Stretch(Place(), (0.0, 0.0, 0.0), 30.0, axis=ASKEW)
    assert written_travel([turn, replace(STRAIGHT, start=turn.end)], Place()) == ""
    assert axis_word(ASKEW) == ""


@pytest.mark.parametrize(
    ("turn_deg", "front", "sense"),
    [
        (30.0, (0.0, 0.0, 1.0), "clockwise, as seen from the front"),
        (30.0, (0.0, 0.0, -1.0), "anticlockwise, as seen from the front"),
        (-30.0, (1.0, 0.0, 0.0), "anticlockwise, as seen from +z"),
    ],
)
def test_the_sense_of_a_turn_is_that_of_whoever_looks(turn_deg: float, front: Vec3, sense: str) -> None:
    """A way out that turns right-handed is a way in that turns left-handed; what is seen depends on the side."""
    turn = Stretch(Place(), (0.0, 0.0, 0.0), turn_deg)
    _, said = written_acts([turn, replace(STRAIGHT, start=turn.end)], front)
    assert said == f"Turn it by 30° {sense}."
    if "front" in sense:
        # Seen from the front, to the right of up: where the point goes that is up.
        up = np.array([0.0, 1.0, 0.0])
        right = np.cross(up, front)
        goes = np.array(Place.turn(-turn_deg).point((0.0, 1.0, 0.0)))
        assert (float(goes @ right) > 0) == sense.startswith("clockwise")
