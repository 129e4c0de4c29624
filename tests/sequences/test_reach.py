"""Tools in their places: seeded faults are found with the part that is in the way, sound heads have none."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part, TurningGroup
from benchleaf.geometry.cad_shapes import hexagon
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.frame import Place, X, Y, Z
from benchleaf.geometry.surfaces import Surface
from benchleaf.geometry.tools.tool_measures import EXTENSIONS_MM, LEAST_BLADE_MM
from benchleaf.geometry.tools.turning_tools import drive_of
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.evidence_keys import evidence_key
from benchleaf.sequences.proof.prove import prove
from benchleaf.sequences.reach.kept_reach import kept_reach, reach_key, stored_reach
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.reach.soft_blocks import LEAST_BEARING, THIN_EDGE_MM
from benchleaf.sequences.reach.standing import placed, tool_body
from benchleaf.sequences.reach.tool_places import PlanReach, ReachFound, ToolInPlace
from benchleaf.sequences.reach.wrenches import RATCHET_DEG, SWING_DEG, sense_about
from benchleaf.sequences.steps.operations import Operation, SurfaceOf
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from benchleaf.sequences.steps.sequence_file import load_sequence
from benchleaf.sequences.work.json_data import from_json, json_bytes
from benchleaf.sequences.work.store import Store
from head_proofs import MOVING, ProvenHead, head_of

NUT = SurfaceOf("nut", "hexagon")
TIGHTEN = Operation("tighten", "torque wrench", (NUT,))
AF, NUT_MM = 24.0, 12.0
TALL = max(EXTENSIONS_MM) + 200.0


def part(key: str, solid: cq.Shape, *surfaces: Surface, place: Place | None = None) -> Part:
    return Part(key, key, key, "316L", solid, place or Place(), surfaces=surfaces)


def box(dx: float, dy: float, dz: float, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> cq.Solid:
    """Return a box about (x, y) from ``z`` upwards."""
    return cq.Solid.makeBox(dx, dy, dz, cq.Vector(x - dx / 2, y - dy / 2, z))


def nut_part() -> Part:
    flats = (AF / 2 - 0.05, AF / math.sqrt(3) + 0.05)
    skin = Surface("hexagon", "hexagon", (0.0, 0.0, 10.0), size_mm=AF, radius_mm=flats, along_mm=(-10.0, 0.0))
    return part("nut", hexagon(AF, 0.0, NUT_MM), skin)


def plan_of(assembly: Assembly, *operations: Operation, moves: tuple[Move, ...] = ()) -> Plan:
    step = Step(1, "only", "all", "Only", tuple(assembly.parts), moves, operations=operations)
    given = tuple(assembly.parts)
    return Plan("assembly", "Assembly", assembly.name, (Section("all", "All"),), (step,), given)


def found_in(assembly: Assembly, *operations: Operation, moves: tuple[Move, ...] = ()) -> PlanReach:
    return find_reach(assembly, plan_of(assembly, *operations, moves=moves))


def bench(*parts: Part, turning: tuple[TurningGroup, ...] = ()) -> Assembly:
    return Assembly("bench", {p.key: p for p in parts}, turning=turning)


def body_of(tool: ToolInPlace) -> object:
    return placed(tool_body(tool.tool, tool.measures).manifold, tool.place)


# ---- wrenches


def test_a_wrench_on_a_free_nut_stands_upwards_and_pulls_clockwise() -> None:
    reach = found_in(bench(part("plate", box(200, 200, 10, z=-10)), nut_part()), TIGHTEN)
    assert reach.found == ()
    (tool,) = reach.tools[1]
    assert tool.swing_deg == -SWING_DEG
    assert dict(tool.measures)["socket"] == AF
    assert dict(tool.measures)["extension"] == 0.0
    # Half a swing on, the arm points up.
    assert np.allclose((tool.place @ Place.turn(tool.swing_deg / 2)).direction(X), (0.0, 1.0, 0.0), atol=1e-6)
    assert tool.place.direction(Z) == (0.0, 0.0, 1.0)


def test_a_nut_between_walls_leaves_no_room_to_swing() -> None:
    reach = drive_of(AF)[1]
    slit = 40.0
    walls = [
        part(f"wall_{n}", box(3 * reach, reach, TALL, y=sign * (slit + reach) / 2))
        for n, sign in ((1, 1), (2, -1))
    ]
    ends = [
        part(f"end_{n}", box(reach, slit - 1.0, TALL, x=sign * (reach + 60) / 2))
        for n, sign in ((1, 1), (2, -1))
    ]
    (found,) = found_in(bench(nut_part(), *walls, *ends), TIGHTEN).found
    assert (found.fault, found.at, found.millimetres) == ("no swing", NUT, 0.0)
    assert found.part in {p.key for p in (*walls, *ends)}
    # Along the slit the arm fits, but for too little of a turn.
    (found,) = found_in(bench(nut_part(), *walls), TIGHTEN).found
    assert found.fault == "no swing"
    assert found.millimetres < SWING_DEG
    assert found.part in ("wall_1", "wall_2")
    # A wall lower than an extension is no wall.
    low = [replace(w, solid=box(3 * reach, reach, 60.0, y=w.placed_box()[0][1] + reach / 2)) for w in walls]
    over = found_in(bench(nut_part(), *low), TIGHTEN)
    assert over.found == ()
    assert dict(over.tools[1][0].measures)["extension"] == EXTENSIONS_MM[1]


def test_a_wrench_swings_only_where_nothing_is() -> None:
    """The arm and all of its swing are clear of what leaves it a quarter of the circle."""
    reach = drive_of(AF)[1]
    post = part(
        "post", box(40, reach, 400, x=-60, y=reach / 2 - 40).fuse(box(2 * reach, 40, 400, x=-reach, y=-60))
    )
    assembly = bench(nut_part(), post)
    found = found_in(assembly, TIGHTEN)
    assert found.found == ()
    (tool,) = found.tools[1]
    still = bench(post)
    for share in (0.0, 0.5, 1.0):
        turned = replace(tool, place=tool.place @ Place.turn(share * tool.swing_deg))
        from benchleaf.geometry.meshes.closed_bodies import Bodies

        shared = body_of(turned) ^ Bodies(still).placed("post")
        assert shared.volume() == pytest.approx(0.0, abs=1e-6)


def test_a_socket_that_meets_the_body_is_found() -> None:
    sunk = part("body", box(120, 120, 30, z=-10).cut(cq.Solid.makeCylinder(AF * 0.6, 30, cq.Vector(0, 0, 0))))
    reach = found_in(bench(sunk, nut_part()), TIGHTEN)
    (found,) = reach.found
    assert (found.fault, found.part, found.at) == ("meets", "body", NUT)
    assert 0.1 < found.millimetres < AF * 0.1
    wide = part(
        "body", box(120, 120, 30, z=-10).cut(cq.Solid.makeCylinder(AF * 0.66, 30, cq.Vector(0, 0, 0)))
    )
    assert found_in(bench(wide, nut_part()), TIGHTEN).found == ()


def test_a_key_goes_into_a_sunk_screw_and_a_stud_stands_up_in_the_socket() -> None:
    head = cq.Solid.makeCylinder(9.0, 12.0).cut(hexagon(10.0, 5.0, 13.0, chamfer_front=False))
    skin = Surface(
        "socket", "socket", (0.0, 0.0, 12.0), size_mm=10.0, radius_mm=(0.0, 5.8), along_mm=(-7.0, 0.0)
    )
    deep = part("body", box(120, 120, 70, z=0).cut(cq.Solid.makeCylinder(10.0, 70.0)))
    reach = found_in(
        bench(deep, part("screw", head, skin)),
        Operation("tighten", "torque wrench", (SurfaceOf("screw", "socket"),)),
    )
    assert reach.found == ()
    measures = dict(reach.tools[1][0].measures)
    assert measures["hexagon"] == 10.0
    assert measures["clear"] == 50.0, "the shortest meets the rim of the counterbore"
    stud = part("stud", cq.Solid.makeCylinder(6.0, 60.0))
    bored = replace(nut_part(), solid=hexagon(AF, 0.0, NUT_MM).cut(cq.Solid.makeCylinder(6.1, NUT_MM)))
    (tool,) = found_in(bench(bored, stud), TIGHTEN).tools[1]
    assert dict(tool.measures)["depth"] > 60.0 - NUT_MM


def test_the_thread_of_the_plan_says_which_way_closes() -> None:
    left = Move(("nut",), (Leg((0.0, 0.0, -1.0), 10.0, 720.0),))
    (tool,) = found_in(bench(nut_part()), TIGHTEN, moves=(left,)).tools[1]
    assert tool.swing_deg == SWING_DEG
    (tool,) = found_in(bench(nut_part()), replace(TIGHTEN, verb="loosen", tool="torque wrench")).tools[1]
    assert tool.swing_deg == SWING_DEG
    assert sense_about(Z, True, -360.0, True) == -1.0
    assert sense_about((0.0, 0.0, -1.0), True, -360.0, True) == 1.0


def test_crosswise_takes_the_farthest_next_and_numbers_them() -> None:
    spots = [(0.0, 60.0), (60.0, 0.0), (0.0, -60.0), (-60.0, 0.0)]
    nuts = [replace(nut_part(), key=f"nut_{n}", place=Place.at(x, y, 0)) for n, (x, y) in enumerate(spots, 1)]
    on = tuple(SurfaceOf(p.key, "hexagon") for p in nuts)
    reach = found_in(bench(*nuts), replace(TIGHTEN, on=on, order="crosswise"))
    assert [(t.at.part, t.label) for t in reach.tools[1]] == [
        ("nut_1", "1"), ("nut_3", "2"), ("nut_2", "3"), ("nut_4", "4"),
    ]  # fmt: skip


# ---- soft blocks


def fin_head(thick: float) -> Assembly:
    """Return a hub with one fin along +Y, ``thick`` along X, between two still cheeks, and a nut on it."""
    fin = cq.Solid.makeCylinder(20.0, 60.0).fuse(box(thick, 60.0, 60.0, y=30.0))
    skin = Surface("side", "flank", (0.0, 0.0, 60.0), radius_mm=(24.0, 58.0), along_mm=(-60.0, 0.0))
    cheeks = box(10, 140, 60, x=45, y=10).fuse(box(10, 140, 60, x=-45, y=10)).fuse(box(100, 10, 60, y=85))
    inner = Surface("inside", "bore", (0.0, 0.0, 60.0), radius_mm=(39.0, 90.0), along_mm=(-60.0, 0.0))
    nut = replace(nut_part(), place=Place.at(0, 0, 60.0))
    turning = (TurningGroup("hub", ("hub", "nut"), (0.0, 0.0, 0.0)),)
    return bench(part("hub", fin.clean(), skin), part("cheeks", cheeks, inner), nut, turning=turning)


BLOCK = Operation("hold", "soft block", between=(SurfaceOf("hub", "side"), SurfaceOf("cheeks", "inside")))


@pytest.mark.parametrize(("verb", "side"), [("tighten", 1.0), ("loosen", -1.0)])
def test_a_block_holds_on_the_side_that_the_nut_would_turn_to(verb: str, side: float) -> None:
    wrench = replace(TIGHTEN, verb=verb)  # type: ignore[arg-type]
    reach = found_in(fin_head(16.0), BLOCK, wrench)
    assert reach.found == ()
    block = next(t for t in reach.tools[1] if t.tool == "soft block")
    # Clockwise, a fin that stands up leans to +X: there the block is, square on it.
    assert np.allclose(block.place.direction(X), (side, 0.0, 0.0), atol=1e-6)
    assert block.place.shift[0] == pytest.approx(side * 8.0, abs=0.02)
    measures = dict(block.measures)
    assert measures["gap"] == pytest.approx(40.0 - 8.0, abs=0.05)
    force, arm = -np.array(block.place.direction(X)), np.array(block.place.shift)
    assert float(np.cross(arm, force)[2]) * side > 0, "its force turns the hub back"
    assert block.place.direction(Z) == (0.0, 0.0, 1.0)


def test_a_block_on_a_thin_edge_does_not_hold() -> None:
    thin = 1.5
    (found,) = found_in(fin_head(thin), BLOCK, TIGHTEN).found
    assert (found.fault, found.part) == ("does not hold", "hub")
    assert found.millimetres == pytest.approx(thin - 0.5, abs=0.6)
    assert thin < THIN_EDGE_MM
    assert found.at == BLOCK.between[0]


def test_a_block_that_would_bear_on_a_knife_edge_does_not_hold() -> None:
    """A fin seen end on: its tip is too narrow for any block."""
    assembly = fin_head(3.2)
    tip = Surface("tip", "edge", (0.0, 0.0, 60.0), radius_mm=(59.0, 61.0), along_mm=(-60.0, 0.0))
    parts = {**assembly.parts, "hub": replace(assembly.part("hub"), surfaces=(tip,))}
    between = (SurfaceOf("hub", "tip"), SurfaceOf("cheeks", "inside"))
    (found,) = found_in(replace(assembly, parts=parts), replace(BLOCK, between=between), TIGHTEN).found
    assert found.fault == "does not hold"
    assert found.tool == "soft block"
    assert 0 < LEAST_BEARING < 1


# ---- feeler blades


def wheel_in(bore: float, *more: Part) -> Assembly:
    """Return a wheel of 40 mm radius in a bore, open to the front."""
    rim = Surface(
        "rim", "journal", (0.0, 0.0, 30.0), size_mm=80.0, radius_mm=(39.8, 40.2), along_mm=(-30.0, 0.0)
    )
    inside = Surface(
        "bore", "bore", (0.0, 0.0, 30.0), radius_mm=(bore - 0.2, bore + 0.2), along_mm=(-29.0, 0.0)
    )
    body = box(120, 120, 40, z=-10).cut(cq.Solid.makeCylinder(bore, 40.0, cq.Vector(0, 0, 0)))
    turning = (TurningGroup("wheel", ("wheel",), (0.0, 0.0, 0.0)),)
    wheel = part("wheel", cq.Solid.makeCylinder(40.0, 30.0), rim)
    return bench(wheel, part("body", body, inside), *more, turning=turning)


BLADE = Operation("measure", "feeler blade", between=(SurfaceOf("wheel", "rim"), SurfaceOf("body", "bore")))


def test_a_blade_enters_a_gap_from_the_front() -> None:
    reach = found_in(wheel_in(40.15), BLADE)
    assert reach.found == ()
    (tool,) = reach.tools[1]
    assert tool.place.direction(Z)[2] > 0.99
    across = math.hypot(*tool.place.shift[:2])
    assert 40.0 < across < 40.15, "it stands between the two"
    assert tool.place.shift[2] < 30.0 - 2.0


def test_a_blade_that_is_too_thick_does_not_enter() -> None:
    (found,) = found_in(wheel_in(40.0 + LEAST_BLADE_MM / 3), BLADE).found
    assert (found.fault, found.part) == ("does not reach", "body")
    assert found.millimetres == pytest.approx(LEAST_BLADE_MM * 2 / 3, abs=0.012)


def test_a_blade_behind_a_lid_meets_it() -> None:
    lid = part("lid", box(120, 120, 10, z=30.0))
    (found,) = found_in(wheel_in(40.15, lid), BLADE).found
    assert found.fault == "meets"
    assert found.part in ("lid", "body")


def test_a_closed_joint_is_tried_from_outside() -> None:
    top = Surface("top", "face", (0.0, 0.0, 10.0), along_mm=(-0.05, 0.05))
    bottom = Surface("bottom", "face", (0.0, 0.0, 10.0), (0.0, 0.0, -1.0), along_mm=(-0.05, 0.05))
    two = bench(part("lower", box(100, 100, 10), top), part("upper", box(100, 100, 20, z=10), bottom))
    tried = replace(BLADE, between=(SurfaceOf("upper", "bottom"), SurfaceOf("lower", "top")))
    reach = found_in(two, tried)
    assert reach.found == ()
    (tool,) = reach.tools[1]
    assert max(abs(c) for c in tool.place.shift[:2]) > 45.0
    assert tool.place.shift[2] == pytest.approx(10.0, abs=0.05)


# ---- what touches and lies


def test_an_indicator_meets_its_face_and_stands_on_flat_metal() -> None:
    plate = part("plate", box(400, 400, 20, z=-20))
    end = Surface("front end", "end", (0.0, 0.0, 80.0), radius_mm=(0.0, 14.0))
    side = Surface("side", "journal", (0.0, 0.0, 70.0), radius_mm=(14.8, 15.2), along_mm=(-20.0, 0.0))
    shaft = part("shaft", cq.Solid.makeCylinder(15.0, 80.0), end, side)
    both = (SurfaceOf("shaft", "front end"), SurfaceOf("shaft", "side"))
    reach = found_in(bench(plate, shaft), Operation("measure", "dial indicator", both))
    assert reach.found == ()
    tip, radial = reach.tools[1]
    assert tip.place.shift[2] == pytest.approx(80.0)
    assert math.hypot(*radial.place.shift[:2]) == pytest.approx(15.0, abs=0.02)
    for tool in (tip, radial):
        measures = dict(tool.measures)
        foot = tool.place.point((measures["foot_x"], measures["foot_y"], measures["foot_z"]))
        assert foot[2] == pytest.approx(0.0, abs=0.01)
    buried = bench(plate, shaft, part("block", box(120, 120, 60, z=80.0)))
    (found,) = found_in(buried, Operation("measure", "dial indicator", both[:1])).found
    assert (found.fault, found.part) == ("meets", "block")


def test_a_straightedge_lies_across_and_goes_round_what_stands_up() -> None:
    face = Surface("top", "face", (0.0, 0.0, 10.0), along_mm=(-0.05, 0.05))
    post = part("post", cq.Solid.makeCylinder(5.0, 40.0, cq.Vector(0, 0, 10)))
    laid = Operation("lay on", "straightedge", (SurfaceOf("plate", "top"),))
    reach = found_in(bench(part("plate", box(160, 80, 10), face), post), laid)
    assert reach.found == ()
    (tool,) = reach.tools[1]
    assert tool.place.shift[2] == pytest.approx(10.0)
    assert abs(tool.place.shift[1]) > 5.0, "beside the post"
    fence = part("fence", box(300, 200, 50, z=10).cut(box(40, 40, 50, z=10)))
    (found,) = found_in(bench(part("plate", box(160, 80, 10), face), fence), laid).found
    assert (found.fault, found.part) == ("meets", "fence")


def test_a_caliper_is_as_wide_as_what_it_measures() -> None:
    side = Surface(
        "side", "journal", (0.0, 0.0, 30.0), size_mm=40.0, radius_mm=(19.8, 20.2), along_mm=(-30.0, 0.0)
    )
    reach = found_in(
        bench(part("pin", cq.Solid.makeCylinder(20.0, 30.0), side)),
        Operation("measure", "caliper", (SurfaceOf("pin", "side"),)),
    )
    assert reach.found == ()
    assert dict(reach.tools[1][0].measures)["opening"] == pytest.approx(40.0, abs=0.2)


def test_a_name_that_no_surface_has_is_said() -> None:
    (found,) = found_in(bench(nut_part()), replace(TIGHTEN, on=(SurfaceOf("nut", "flats"),))).found
    assert (found.fault, found.at.surface) == ("no surface", "flats")


def test_hands_and_painted_zones_have_no_tool() -> None:
    hand = Operation("press", "hand", (NUT,))
    assert found_in(bench(nut_part()), hand, replace(TIGHTEN, zone_only=True)) == PlanReach()


@pytest.mark.parametrize(("up", "side"), [("front", 1.0), ("rear", -1.0)])
def test_a_pick_comes_out_of_a_groove_by_the_mouth_that_looks_up(
    up: Literal["front", "rear"], side: float
) -> None:
    pot = cq.Solid.makeCylinder(20, 12, cq.Vector(0, 0, -6)).cut(
        cq.Solid.makeCylinder(12, 12, cq.Vector(0, 0, -6))
    )
    pot = pot.cut(cq.Solid.makeCylinder(15, 4, cq.Vector(0, 0, -2)))
    groove = Surface(
        "groove", "groove", (0.0, 0.0, 2.0 * side), (0.0, 0.0, side), 4.0, (12.0, 15.1), (-4.0, 0.0)
    )
    assembly = bench(part("pot", pot, groove))
    plan = plan_of(assembly, Operation("pick out", "o-ring pick", (SurfaceOf("pot", "groove"),)))
    plan = replace(plan, steps=(replace(plan.steps[0], bench="unit", up=up),))
    (tool,) = find_reach(assembly, plan).tools[1]
    assert tool.place.direction(Z)[2] * side > 0.7


# ---- kept


def test_what_was_found_is_kept_by_what_it_rests_on(tmp_path) -> None:  # type: ignore[no-untyped-def]
    assembly = replace(bench(nut_part()), made_from="a nut")
    plan = plan_of(assembly, TIGHTEN, replace(TIGHTEN, on=(SurfaceOf("nut", "nothing"),)))
    store = Store(tmp_path)
    found = kept_reach(assembly, plan, store)
    assert found.tools
    assert found.found
    key = reach_key(assembly.made_from, plan)
    assert stored_reach(store, key.digest) == found
    assert from_json(PlanReach, json_bytes(found)) == found
    assert kept_reach(assembly, plan, store) == found == find_reach(assembly, plan)
    other = plan_of(assembly, replace(TIGHTEN, verb="loosen"))
    assert reach_key(assembly.made_from, other).changed_from(key) == ("sequence",)
    assert reach_key("another nut", plan).changed_from(key) == ("solids",)
    worded = replace(plan, steps=tuple(replace(s, title="Other", acts=("Other.",)) for s in plan.steps))
    assert reach_key(assembly.made_from, worded) == key


def test_a_tool_that_does_not_reach_makes_a_plan_unsound() -> None:
    narrow = part(
        "body", box(120, 120, 30, z=-10).cut(cq.Solid.makeCylinder(AF * 0.6, 30, cq.Vector(0, 0, 0)))
    )
    assembly = bench(narrow, nut_part())
    plan = plan_of(assembly, TIGHTEN)
    evidence = prove(assembly, plan)
    assert evidence.violations == evidence.reach.found
    assert [f.part for f in evidence.reach.found] == ["body"]
    assert not evidence.sound
    assert from_json(Evidence, json_bytes(evidence)) == evidence
    silent = plan_of(assembly, replace(TIGHTEN, tool="hand"))
    assert prove(assembly, silent).sound
    assert evidence_key(assembly, silent, 0.01).changed_from(evidence_key(assembly, plan, 0.01)) == ("tools",)


# ---- heads


@pytest.mark.slow
@pytest.mark.parametrize(("rotor", "centre_mm"), [("two-wing", 118.0), ("three-lobe", 80.0)])
def test_every_tool_of_a_sound_head_reaches(rotor: str, centre_mm: float) -> None:
    """Other sizes and every pair of options by hand: ``tests/benchmarks/all_options.py``."""
    head = head_of(Options(rotor=rotor), centre_mm)  # type: ignore[arg-type]
    proven = ProvenHead(head)
    for name in MOVING:
        reach = find_reach(head, proven.plan(load_sequence(name)), proven.ways.bodies)
        assert [said(f) for f in reach.found] == []
        drawn = {t.tool for tools in reach.tools.values() for t in tools}
        assert {
            "torque wrench" if name == "assembly" else "socket wrench",
            "soft block",
            "feeler blade",
        } <= drawn


def said(found: ReachFound) -> str:
    return f"{found.step_id}: {found.tool} at {found.at} {found.fault} {found.part} {found.millimetres}"


def test_steps_of_a_ratchet_make_a_swing() -> None:
    assert SWING_DEG == 2 * RATCHET_DEG
    assert 360 % RATCHET_DEG == 0
    assert Y == (0.0, 1.0, 0.0)
