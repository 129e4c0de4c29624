"""Tools in a picture: which, where, named in the manifest, with the numbers of what goes in turn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from acts_samples import SMALL, act_assembly, make_wrench, on, step_with, wrench
from benchleaf.geometry.frame import Place
from benchleaf.render.acts.tools_drawn import chosen_tools, drawn_tool
from benchleaf.render.drawing.manifest import Manifest
from benchleaf.render.drawing.review import review_pictures
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.engine.camera import make_view
from benchleaf.render.pictures.step_pictures import Picture, render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.render.pictures.tool_models import NoToolMaker
from benchleaf.sequences.steps.operations import Operation, SurfaceOf
from benchleaf.sequences.steps.plan import Step

pytestmark = pytest.mark.gl
VIEW = make_view("front right", 40.0, 25.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
IN_TURN = (SurfaceOf("nut_1", "hexagon"), SurfaceOf("nut_2", "hexagon"))


def tighten(verb: str = "tighten") -> Operation:
    return Operation(verb, "torque wrench", IN_TURN, order="in turn")  # type: ignore[arg-type]


def take(step: Step, *tools: object, film: int = 0) -> Picture:
    with Studio(act_assembly(), replace(SMALL, film_frames=film), None, make_wrench) as studio:
        return render_step(studio, step, VIEW, "x", False, tools)  # type: ignore[arg-type]


def test_the_first_in_order_is_drawn_and_all_are_numbered() -> None:
    both = wrench(label="1"), wrench(label="2", nut=2)
    manifest = take(step_with(tighten()), *both).manifest
    (tool,) = manifest.tools
    assert (tool.tool, tool.part, tool.surface, tool.swing_deg) == ("torque wrench", "nut_1", "hexagon", 60.0)
    assert tool.visible_px > 500
    assert tool.contact_px > 50
    assert 0 < tool.contact[0] < 1
    assert [(o.label, o.part) for o in manifest.order] == [("1", "nut_1"), ("2", "nut_2")]
    assert manifest.order[0].at[0] < manifest.order[1].at[0]
    assert set(manifest.parts) == {"plate", "nut_1", "nut_2"}, "tools are no parts"
    assert review_pictures([manifest]) == []
    assert Manifest.from_json(manifest.as_json()) == Manifest.from_json(
        Manifest.from_json(manifest.as_json()).as_json()
    )


def test_tightening_and_loosening_are_different_pictures_and_both_move() -> None:
    tight = take(step_with(tighten()), wrench(), film=6)
    loose = take(step_with(tighten("loosen")), wrench(swing_deg=-60.0), film=6)
    plain = take(step_with(on("look", "plate", "seat")))
    still = f"x.{STILL_ENDING}"
    assert tight.files()[still] != loose.files()[still] != plain.files()[still]
    for picture in (tight, loose):
        assert picture.manifest.film is not None
        assert len({b for b in picture.manifest.film.boxes if b}) > 2, "the handle goes from place to place"


def test_a_tool_that_nobody_can_make_is_said_so() -> None:
    with Studio(act_assembly(), SMALL) as studio, pytest.raises(NoToolMaker, match="torque wrench"):
        render_step(studio, step_with(tighten()), VIEW, "x", False, (wrench(),))


def test_while_parts_move_only_what_moves_them_is_there() -> None:
    measure = on("measure", "nut_1", "hexagon", tool="torque wrench")
    there = wrench(operation=0), wrench(operation=1, nut=2)
    chosen = chosen_tools(there, [measure, tighten()], ["nut_1"], (0.0, 0.0, 1.0))
    assert [t.operation for t in chosen] == [1]
    hidden = replace(tighten(), zone_only=True)
    assert chosen_tools(there, [hidden, hidden], [], (0.0, 0.0, 1.0)) == []


def test_what_taps_a_part_on_its_way_stands_off_it() -> None:
    tap = Operation("tap", "soft-faced mallet", IN_TURN)
    tool = wrench()
    drawn = drawn_tool(tool, [tap], lambda _: Place.at(0, 0, 100), 7.0)
    assert drawn.place.shift == pytest.approx((-30.0, 20.0, 18.0 + 100.0 + 7.0))
    assert drawn.placed_after(1.0).point((10.0, 0.0, 0.0)) == pytest.approx((-25.0, 20.0 + 8.660254, 125.0))
