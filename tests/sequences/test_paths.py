"""Clear paths: what blocks, where, how tight; no way to start inside a wall; turns, bends and elastic parts."""

from __future__ import annotations

import dataclasses

import cadquery as cq
import pytest
from benchleaf.geometry.assembly import Assembly, Elastic
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import TOLERANCE_MM, Bodies, kernel_gap_mm
from benchleaf.sequences.order.order import plan_moves
from benchleaf.sequences.order.order_graph import PlannedMove
from benchleaf.sequences.order.paths import (
    GAP_REACH_MM,
    PathEvidence,
    Ways,
    check_path,
    clear_distance,
    stretches_of,
)
from benchleaf.sequences.steps.plan import Leg, Move
from benchleaf.sequences.steps.travel_poses import Stretch
from proof_samples import DOWN, assembly_of, part, plan_of, proven_coupling, slide
from sample_solids import kernel, solid_of

UP = (0.0, 0.0, 1.0)


def path_of(
    assembly: Assembly, keys: tuple[str, ...], legs: tuple[Leg, ...], given: tuple[str, ...]
) -> PathEvidence:
    """Return what the one move of a plan meets, the rest being there."""
    (move,) = plan_moves(Ways(Bodies(assembly)), plan_of([("step", ((keys, legs),))], given, assembly.name))
    return move.path


def moves_of_coupling() -> dict[str, PlannedMove]:
    return {m.parts[0]: m for m in proven_coupling().moves}


def test_every_path_of_the_coupling_is_clear() -> None:
    assert all(m.path.clear for m in proven_coupling().moves)


@pytest.mark.parametrize(
    ("key", "other", "mm"),
    [
        ("dowel_large", "housing", 0.03),
        ("dowel_small", "housing", 0.03),
        ("key", "shaft", 0.03),
        ("wheel", "shaft", 0.03),
        ("washer", "shaft", 0.2),
        ("nut", "shaft", 0.03),
        ("cover", "dowel_large", 0.03),
        ("screw_1", "housing", 0.1),
    ],
)
def test_tightest_spot_is_the_fit(key: str, other: str, mm: float) -> None:
    gap = moves_of_coupling()[key].path.gap
    assert gap is not None
    # Two meshes, each within its tolerance; a turned hull takes one more.
    assert mm - 2 * TOLERANCE_MM <= gap.mm <= mm + 1e-6
    assert {gap.part, gap.other} >= {key}
    assert gap.other in (other, "dowel_small", "dowel_large")


def test_tightest_spot_agrees_with_the_kernel_where_it_is() -> None:
    """At the position named the kernel's exact distance of the two solids is the gap, within the meshes' tolerance."""
    proven = proven_coupling()
    for key in ("dowel_large", "wheel", "washer", "screw_1"):
        path = moves_of_coupling()[key].path
        assert path.gap is not None
        moved, other = proven.assembly.part(key), proven.assembly.part(path.gap.other)
        at = kernel(moved.solid).moved(moved.place.moved(0, 0, path.gap.from_place_mm * 0.9).location())
        exact = kernel_gap_mm(at, kernel(other.placed()))
        assert path.gap.mm == pytest.approx(exact, abs=2 * TOLERANCE_MM)


def test_tightest_spot_is_named_from_where_the_parts_engage() -> None:
    """The large dowel enters its hole 10 mm before home."""
    gap = moves_of_coupling()["dowel_large"].path.gap
    assert gap is not None
    assert gap.from_place_mm == pytest.approx(10.0, abs=0.6)


def test_wide_gaps_are_not_told() -> None:
    post, ring = (
        solid_of(cq.Workplane().circle(5).extrude(30)),
        solid_of(cq.Workplane().circle(20).circle(5.1 + 2).extrude(5)),
    )
    path = path_of(assembly_of(part("post", post), part("ring", ring)), ("ring",), slide(), ("post",))
    assert path.clear
    assert path.gap is None
    assert GAP_REACH_MM == 2.0


def shelf(gap_mm: float, thickness: float = 0.04) -> Assembly:
    """Return a block to come down beside a wall that carries a thin fin ``gap_mm`` above the block's place."""
    wall = cq.Workplane().box(4, 30, 80).translate((-12, 0, 30))
    fin = cq.Workplane().box(14, 6, thickness).translate((-5, 0, 5 + gap_mm))
    return assembly_of(
        part("wall", solid_of(wall.union(fin))), part("block", solid_of(cq.Workplane().box(10, 10, 10)))
    )


@pytest.mark.parametrize("gap_mm", [0.3, 1.0, 7.77, 23.456, 60.0])
def test_thin_fin_on_the_way_is_met_wherever_it_is(gap_mm: float) -> None:
    path = path_of(shelf(gap_mm), ("block",), slide(), ("wall",))
    (block,) = path.blocks
    assert (block.part, block.by) == ("block", "wall")
    # It stops on top of the fin: its bottom at z = -5 has to come down from there.
    assert block.remaining_mm == pytest.approx(gap_mm + 10 + 0.02, abs=0.06)


def test_leaving_part_tells_how_far_it_comes() -> None:
    ways = Ways(Bodies(shelf(7.0)))
    move = Move(("block",), slide(UP), into=False)
    stretch = Stretch(Place(), (0.0, 0.0, 100.0))
    (block,) = check_path(ways, move, ["wall"], [stretch]).blocks
    assert block.remaining_mm == pytest.approx(7.0 - 0.02, abs=0.06)


def test_part_cannot_start_inside_a_closed_box() -> None:
    """The sequence tells only the last 3 mm, all of them clear; but nothing could have brought the part there."""
    box = cq.Workplane().box(40, 40, 40).cut(cq.Workplane().box(30, 30, 30))
    ball = cq.Workplane().sphere(4)
    assembly = assembly_of(part("box", solid_of(box)), part("ball", solid_of(ball), Place.at(0, 0, -8)))
    path = path_of(assembly, ("ball",), slide(DOWN, 3.0), ("box",))
    assert not path.clear
    assert path.blocks[0].remaining_mm == pytest.approx(28 - 4, abs=30)  # the lid, however far outside


def test_part_that_lies_in_another_is_blocked() -> None:
    assembly = assembly_of(
        part("a", solid_of(cq.Workplane().box(10, 10, 10))),
        part("b", solid_of(cq.Workplane().box(10, 10, 10)), Place.at(0, 0, 9)),
    )
    (block,) = path_of(assembly, ("b",), slide(), ("a",)).blocks
    assert block.remaining_mm == pytest.approx(1.0, abs=0.06)
    assert block.overlap.depth_mm > 0.5


def bayonet(turn_deg: float) -> tuple[Assembly, tuple[Leg, ...]]:
    """Return a lid with two lugs that drop through slots in a ring and turn under it by ``turn_deg``."""
    ring = cq.Workplane().circle(30).circle(20.2).extrude(3).translate((0, 0, 4.1))
    slots = cq.Workplane().box(60, 8.4, 10).translate((0, 0, 5))
    body = cq.Workplane().circle(34).extrude(-4).union(cq.Workplane().circle(34).circle(30.2).extrude(7.1))
    case = body.union(
        ring.cut(slots).union(cq.Workplane().circle(34).circle(29).extrude(3).translate((0, 0, 4.1)))
    )
    lid = (
        cq.Workplane()
        .circle(20)
        .extrude(12)
        .union(cq.Workplane().box(52, 8, 4, centered=(True, True, False)))
    )
    place = Place.turn(turn_deg)
    return assembly_of(part("case", solid_of(case)), part("lid", solid_of(lid), place)), (
        Leg(DOWN),
        Leg(DOWN, 0.0, turn_deg),
    )


@pytest.mark.parametrize("turn_deg", [40.0, -60.0])
def test_bayonet_goes_in_through_its_slots_and_turns(turn_deg: float) -> None:
    assembly, legs = bayonet(turn_deg)
    path = path_of(assembly, ("lid",), legs, ("case",))
    assert path.clear
    assert [round(s.turn_deg) for s in path.stretches] == [-turn_deg, 0]


def test_bayonet_does_not_go_straight_in() -> None:
    assembly, _ = bayonet(40.0)
    path = path_of(assembly, ("lid",), slide(), ("case",))
    # Its lugs lie on the ring, the ring's top at 7.1.
    assert path.blocks[0].remaining_mm == pytest.approx(7.1, abs=0.06)


def test_bayonet_turned_the_wrong_way_meets_its_stop() -> None:
    assembly, legs = bayonet(40.0)
    stop = cq.Workplane().box(4, 4, 4).translate((24, 0, 2)).rotate((0, 0, 0), (0, 0, 1), 20)
    parts = [*assembly, part("stop", solid_of(stop))]
    path = path_of(assembly_of(*parts), ("lid",), legs, ("case", "stop"))
    assert [b.by for b in path.blocks] == ["stop"]


def test_a_slide_with_whole_turns_needs_room_for_the_corners() -> None:
    """A hexagon slides into a hexagon hole; screwed in it would need room for its corners."""
    hexagon = solid_of(cq.Workplane().polygon(6, 22).extrude(5))
    hole = cq.Workplane().box(40, 40, 20, centered=(True, True, False))
    snug = solid_of(hole.cut(cq.Workplane().polygon(6, 22.2).extrude(30)))
    assembly = assembly_of(part("hole", snug), part("hexagon", hexagon))
    assert path_of(assembly, ("hexagon",), slide(), ("hole",)).clear
    turning = path_of(assembly, ("hexagon",), (Leg(DOWN), Leg(DOWN, 10.0, -720.0)), ("hole",))
    assert not turning.clear


def test_elastic_part_passes_in_its_passing_shape_only() -> None:
    """A ring over a land: free it would not pass, stretched it does; the land's groove holds its core."""
    shaft = (
        cq.Workplane()
        .circle(10)
        .extrude(30)
        .cut(cq.Workplane().circle(12).circle(8).extrude(4).translate((0, 0, 8)))
    )
    free, core, wide = (cq.Solid.makeTorus(r, 1.5) for r in (9.5, 9.8, 11.6))
    there = Place.at(0, 0, 10)
    for passing, clear in ((None, False), (wide, True)):
        ring = part("ring", free, there, elastic=Elastic(0.3, core, passing))
        assert (
            path_of(assembly_of(part("shaft", solid_of(shaft)), ring), ("ring",), slide(), ("shaft",)).clear
            is clear
        )


def test_elastic_part_seated_on_a_rigid_one_travels_pressed_in() -> None:
    """A piston with its ring: the ring goes on stretched, and into the bore as it lies in its groove."""
    piston = (
        cq.Workplane()
        .circle(10)
        .extrude(20)
        .cut(cq.Workplane().circle(12).circle(8).extrude(4).translate((0, 0, 8)))
    )
    bore = cq.Workplane().circle(20).circle(10.1).extrude(40)
    free, core, wide = (
        cq.Solid.makeTorus(9.2, 1.1),
        cq.Solid.makeTorus(9.0, 0.9),
        cq.Solid.makeTorus(11.2, 1.0),
    )
    ring = part("ring", free, Place.at(0, 0, 10), elastic=Elastic(0.2, core, wide))
    assembly = assembly_of(
        part("bore", solid_of(bore), Place.at(0, 0, -5)), part("piston", solid_of(piston)), ring
    )
    assert path_of(assembly, ("ring",), slide(), ("piston",)).clear
    assert path_of(assembly, ("piston", "ring"), slide(), ("bore",)).clear
    assert not path_of(assembly, ("ring",), slide(), ("piston", "bore")).clear


def test_part_on_a_turned_shaft_is_tried_where_it_stands() -> None:
    """The flag on the shaft is out of the way only when the shaft is turned."""
    flag = cq.Workplane().box(30, 4, 2).translate((15, 0, 10)).union(cq.Workplane().circle(4).extrude(12))
    block = cq.Workplane().box(8, 8, 8).translate((20, 0, 4))
    assembly = assembly_of(part("flag", solid_of(flag)), part("block", solid_of(block)))
    ways = Ways(Bodies(assembly))
    plan = plan_of([("step", ((("block",), slide()),))], ("flag",))
    for angle, clear in ((0.0, False), (90.0, True)):
        (move,) = plan_moves(ways, plan, lambda _, a=angle: {"flag": Place.turn(a)})  # type: ignore[misc]
        assert move.path.clear is clear


def test_later_moves_of_a_step_meet_the_earlier_ones() -> None:
    a, b = solid_of(cq.Workplane().box(10, 10, 4)), solid_of(cq.Workplane().box(10, 10, 4))
    assembly = assembly_of(
        part("base", solid_of(cq.Workplane().box(20, 20, 4)), Place.at(0, 0, -4)),
        part("low", a),
        part("high", b, Place.at(0, 0, 4)),
    )
    ways = Ways(Bodies(assembly))
    for order, clear in ((("low", "high"), [True, True]), (("high", "low"), [True, False])):
        plan = plan_of([("both", tuple(((k,), slide()) for k in order))], ("base",))
        assert [m.path.clear for m in plan_moves(ways, plan)] == clear


def test_legs_are_told_outwards() -> None:
    box = proven_coupling().ways.bodies.box("key")
    everything = proven_coupling().ways.bodies.box_of_all(proven_coupling().assembly.parts)
    place = proven_coupling().assembly.part("key").place
    legs = (Leg(DOWN), Leg((0.0, -1.0, 0.0), 7.0))
    inner, outer = stretches_of(legs, True, place, box, everything)
    assert inner.slide == (0.0, 7.0, 0.0)
    assert outer.start.shift == (0.0, 7.0, 0.0)
    assert outer.slide[:2] == (0.0, 0.0)
    assert outer.slide[2] == pytest.approx(clear_distance(box, everything, UP))
    back = stretches_of(
        tuple(dataclasses.replace(g, direction=tuple(-c for c in g.direction)) for g in reversed(legs)),  # type: ignore[arg-type]
        False,
        place,
        box,
        everything,
    )
    assert [s.slide for s in back] == [inner.slide, outer.slide]
