"""Travels that a step leaves out are found: straight, with bends, or not at all with what blocks."""

from __future__ import annotations

import cadquery as cq
import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.sequences.order.order import check_order, make_order, plan_moves
from benchleaf.sequences.order.paths import Ways, check_path
from benchleaf.sequences.order.travel_search import directions_of, find_travel
from benchleaf.sequences.steps.plan import Leg, Move
from proof_samples import DOWN, ROWS, assembly_of, part, plan_of, proven_coupling
from sample_solids import solid_of


def ways_of(assembly: Assembly) -> Ways:
    return Ways(Bodies(assembly))


def test_all_travels_of_the_coupling_are_found() -> None:
    ways = proven_coupling().ways
    rows = [(step, tuple((parts, ()) for parts, _ in moves)) for step, moves in ROWS]
    for move in plan_moves(ways, plan_of(rows)):
        assert move.path.clear, move.parts
        assert move.path.found
        if move.parts != ("key",):
            assert move.path.tried == 1  # the front, first of all
            assert move.path.stretches[0].slide[:2] == (0.0, 0.0)
        else:
            assert move.path.stretches[0].slide[1] > 0


def test_directions_are_those_of_the_faces_largest_first() -> None:
    wedge = cq.Workplane().box(10, 20, 2).union(cq.Workplane("YZ").circle(1).extrude(30))
    (first, _), *rest = directions_of(part("wedge", solid_of(wedge), Place.turn(90, (0, 1, 0))))
    assert first == (1.0, 0.0, 0.0)  # the plate's faces, once along Z, now along X
    assert (0.0, 0.0, 1.0) in [d for d, _ in rest]  # the pin's axis, once along X


def slanted() -> Assembly:
    """Return a pin in a blind hole at 30 degrees to everything."""
    tilt = Place.turn(30, (1, 1, 0))
    block = solid_of(cq.Workplane().box(40, 40, 40))
    hole = solid_of(cq.Workplane().circle(3.05).extrude(60)).moved(tilt.location())
    return assembly_of(
        part("block", solid_of(cq.Workplane(block).cut(cq.Workplane(hole)))),
        part("pin", solid_of(cq.Workplane().circle(3).extrude(50)), tilt @ Place.at(0, 0, 0.02)),
    )


def test_slanted_pin_comes_out_along_its_own_axis() -> None:
    assembly = slanted()
    found = find_travel(ways_of(assembly), ["pin"], ["block"])
    assert found.stretches is not None
    (stretch,) = found.stretches
    along = [c / stretch.length_mm for c in stretch.slide]
    assert along == pytest.approx(assembly.part("pin").place.direction((0, 0, 1)), abs=1e-6)


def keyhole() -> Assembly:
    """Return a bolt whose head lies behind a plate: in through the round hole, then along the slot."""
    plate = cq.Workplane().box(60, 40, 4)
    plate = plate.cut(cq.Workplane().center(-15, 0).circle(7).extrude(10, both=True))
    plate = plate.cut(cq.Workplane().box(30, 6.4, 20))
    bolt = (
        cq.Workplane()
        .circle(3)
        .extrude(12, both=True)
        .union(cq.Workplane().circle(6).extrude(-3).translate((0, 0, -3)))
    )
    return assembly_of(part("plate", solid_of(plate)), part("bolt", solid_of(bolt), Place.at(12, 0, 0)))


def test_bolt_goes_along_the_slot_before_it_comes_out_of_the_keyhole() -> None:
    ways = ways_of(keyhole())
    found = find_travel(ways, ["bolt"], ["plate"])
    assert found.stretches is not None
    assert len(found.stretches) <= 2
    path = check_path(ways, Move(("bolt",)), ["plate"], found.stretches)
    assert path.clear


def hooked() -> Assembly:
    """Return a hook that has to rise before it can leave sideways out of a channel closed above."""
    channel = (
        cq.Workplane()
        .box(30, 20, 30)
        .cut(cq.Workplane().box(20, 40, 20))
        .cut(cq.Workplane().box(20, 30, 12).translate((10, 0, 4)))
    )
    hook = cq.Workplane().box(10, 10, 8)
    return assembly_of(
        part("channel", solid_of(channel)),
        part("back", solid_of(cq.Workplane().box(30, 4, 30).translate((0, 12.1, 0)))),
        part("front", solid_of(cq.Workplane().box(30, 4, 30).translate((0, -12.1, 0)))),
        part("hook", solid_of(hook), Place.at(0, 0, -5.9)),
    )


def test_two_legs_are_found_and_kept_short() -> None:
    ways = ways_of(hooked())
    fixed = ["channel", "back", "front"]
    found = find_travel(ways, ["hook"], fixed)
    assert found.stretches is not None
    first, second = found.stretches
    assert first.slide[2] > 0
    # The opening begins at z = -2, the hook's bottom lies at -9.9: it has to rise by 7.9, and a little play.
    assert first.length_mm == pytest.approx(7.9, abs=1.2)
    assert second.slide[0] > 0
    assert check_path(ways, Move(("hook",)), fixed, found.stretches).clear


def test_open_leg_before_a_bend_goes_as_far_as_it_takes() -> None:
    ways = ways_of(hooked())
    legs = (Leg((-1.0, 0.0, 0.0)), Leg(DOWN))
    plan = plan_of([("hook", ((("hook",), legs),))], ("channel", "back", "front"))
    (move,) = plan_moves(ways, plan)
    assert move.path.clear
    assert move.path.stretches[0].length_mm == pytest.approx(7.9, abs=1.2)


def test_nothing_found_says_what_blocks_every_straight_way() -> None:
    box = cq.Workplane().box(40, 40, 40).cut(cq.Workplane().box(20, 20, 20))
    assembly = assembly_of(part("box", solid_of(box)), part("core", solid_of(cq.Workplane().box(12, 12, 12))))
    ways = ways_of(assembly)
    found = find_travel(ways, ["core"], ["box"])
    assert found.stretches is None
    assert {d for d, _, _ in found.stopped_by} >= {(0, 0, 1), (0, 0, -1), (1, 0, 0), (0, -1, 0)}
    assert all(by == ("box",) for _, _, by in found.stopped_by)
    assert all(free == pytest.approx(4.0, abs=0.06) for _, free, _ in found.stopped_by)
    plan = plan_of([("core", ((("core",), ()),))], ("box",))
    graph = make_order(ways, plan, plan_moves(ways, plan))
    (fault,) = [f for f in check_order(graph, plan) if f.kind == "no way"]
    assert (fault.part, fault.by) == ("core", "box")
