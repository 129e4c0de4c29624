"""A step that finds no way names what was fitted too early, not what it was meant to lie on."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.sequences.order.order import check_order, make_order, plan_moves
from benchleaf.sequences.order.paths import Ways
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from sample_solids import solid_of


def bracket_over_bolts() -> Assembly:
    """A plate with two bolts, and a bracket that their heads hold down."""
    holes = ((-20.0, 0.0), (20.0, 0.0))
    plate = cq.Workplane().box(80, 50, 20, centered=(True, True, False))
    plate = plate.cut(cq.Workplane().pushPoints(holes).circle(4.1).extrude(20))
    bracket = cq.Workplane(origin=(0, 0, 20)).box(60, 24, 6, centered=(True, True, False))
    bracket = bracket.cut(cq.Workplane(origin=(0, 0, 20)).pushPoints(holes).circle(4.5).extrude(6))
    bolt = cq.Workplane(origin=(0, 0, 6)).circle(4).extrude(20)
    bolt = bolt.union(cq.Workplane(origin=(0, 0, 26)).circle(7).extrude(5))
    parts = {"plate": plate, "bracket": bracket}
    made = {k: Part(k, k, k, "", solid_of(s)) for k, s in parts.items()}
    head = solid_of(bolt)
    made |= {
        f"bolt_{n}": Part(f"bolt_{n}", "bolt", "Bolt", "", head, Place.at(x, y, 0))
        for n, (x, y) in enumerate(holes, 1)
    }
    return Assembly("x", made)


def plan(*rows: tuple[str, tuple[str, ...], bool]) -> Plan:
    present: tuple[str, ...] = ("plate",)
    steps = []
    for number, (name, parts, find) in enumerate(rows, 1):
        legs = () if find else (Leg((0.0, 0.0, -1.0)),)
        steps.append(Step(number, name, "all", name, present, tuple(Move((k,), legs) for k in parts)))
        present = (*present, *parts)
    return Plan("assembly", "x", "x", (Section("all", "All"),), tuple(steps), ("plate",))


def test_bolts_set_first_are_what_stops_the_bracket() -> None:
    of = bracket_over_bolts()
    ways = Ways(Bodies(of))
    wrong = plan(("bolts", ("bolt_1", "bolt_2"), False), ("bracket", ("bracket",), True))
    faults = check_order(make_order(ways, wrong, plan_moves(ways, wrong)), wrong)
    blocked = [f for f in faults if f.kind in ("blocked", "no way")]
    assert {(f.part, f.by, f.fitted_in) for f in blocked} == {
        ("bracket", "bolt_1", 1),
        ("bracket", "bolt_2", 1),
    }


def test_in_the_right_order_nothing_stops_it() -> None:
    of = bracket_over_bolts()
    ways = Ways(Bodies(of))
    right = plan(("bracket", ("bracket",), True), ("bolts", ("bolt_1", "bolt_2"), False))
    assert check_order(make_order(ways, right, plan_moves(ways, right)), right) == []


def test_where_only_what_stays_is_in_the_way_it_is_named() -> None:
    """A box closed all round: nothing but the box can be named, whatever the order."""
    shell = cq.Workplane().box(40, 40, 40).cut(cq.Workplane().box(30, 30, 30))
    of = bracket_over_bolts()
    parts = {"plate": Part("plate", "plate", "plate", "", solid_of(shell))}
    parts["bracket"] = Part("bracket", "bracket", "bracket", "", solid_of(cq.Workplane().box(10, 10, 10)))
    closed = replace(of, parts=parts)
    ways = Ways(Bodies(closed))
    shut = plan(("bracket", ("bracket",), True))
    faults = check_order(make_order(ways, shut, plan_moves(ways, shut)), shut)
    assert {(f.kind, f.part, f.by) for f in faults if f.kind != "loose"} == {("no way", "bracket", "plate")}
