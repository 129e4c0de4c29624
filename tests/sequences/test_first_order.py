"""First orders found by the solids, on assemblies whose order is known, each replayed by a check of its own."""

from __future__ import annotations

import itertools
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.solid import box_mm, moved
from benchleaf.sequences.own.first_order import FirstOrder, Removal, find_first_order, front_of, replay
from benchleaf.sequences.own.free_ways import FreeWays
from sample_solids import solid_of
from turn_samples import bayonet, met_on_the_way


def assembly(**solids: cq.Workplane | tuple[cq.Workplane, tuple[float, float, float]]) -> Assembly:
    """Return an assembly of these solids, each a kind of its own, in place."""
    parts = {}
    for key, given in solids.items():
        solid, at = given if isinstance(given, tuple) else (given, (0.0, 0.0, 0.0))
        parts[key] = Part(key, key, key, "", solid_of(solid), Place.at(*at))
    return Assembly("x", parts)


def box(x: float, y: float, z: float) -> cq.Workplane:
    return cq.Workplane().box(x, y, z, centered=(True, True, False))


def flat(removals: tuple[Removal, ...]) -> list[Removal]:
    return [r for removal in removals for r in (removal, *flat(removal.inside))]


def replayed(found: FirstOrder, of: Assembly, steps: int = 40) -> list[str]:
    """Return every part that meets another when it is carried out in small steps, by the CAD kernel's booleans."""
    there, wrong = set(of.parts), []
    for removal in found.removals:
        movers = set(removal.parts)
        d = np.array(removal.direction)
        for key, share in itertools.product(movers, np.linspace(0.02, 1.0, steps)):
            rest = there - (movers if removal.unit else {key})
            part = of.part(key)
            at = moved(part.placed(), Place.at(*(d * 120.0 * share).tolist()))
            assert isinstance(at, cq.Shape)
            low, high = box_mm(at)
            for other in rest:
                there_low, there_high = box_mm(of.part(other).placed())
                if (low < there_high - 1e-3).all() and (there_low < high - 1e-3).all():
                    shared = at.intersect(of.part(other).placed())  # type: ignore[arg-type]
                    if shared.Volume() > 0.5:
                        wrong.append(key)
        there -= movers
    return wrong


@pytest.mark.parametrize("count", [3, 8])
def test_a_stack_between_walls_comes_off_from_the_top(count: int) -> None:
    wall = box(40, 40, 10 * count + 5).cut(box(30.2, 30.2, 10 * count).translate((0, 0, 5)))
    plates = {f"plate_{n}": (box(30, 30, 9.9), (0.0, 0.0, 5.0 + 10 * n)) for n in range(count)}
    of = assembly(wall=wall, **plates)
    found = find_first_order(of)
    assert [r.parts for r in found.removals] == [(f"plate_{n}",) for n in reversed(range(count))]
    assert {r.direction for r in found.removals} == {(0.0, 0.0, 1.0)}
    assert (found.base, found.stuck, replayed(found, of)) == (("wall",), (), [])
    assert front_of(found) == (0.0, 0.0, 1.0)


@pytest.mark.parametrize("up", [True, False])
def test_washers_go_on_before_what_holds_them_and_after_what_they_sit_on(up: bool) -> None:
    """Under the head of a bolt before the bolt; under its nut once the bolt is through, so that it does not fall."""
    wide, hole, turned = 60.0, 4.3, Place() if up else Place.turn(180.0, (1.0, 0.0, 0.0))
    solids: dict[str, tuple[cq.Workplane, float]] = {
        "base": (box(wide, wide, 20).cut(cq.Workplane().circle(hole).extrude(20)), 0.0),
        "plate": (box(wide, wide, 8).cut(cq.Workplane().circle(hole).extrude(8)), 20.0),
        "washer_head": (cq.Workplane().circle(8).circle(hole).extrude(1.6), 28.0),
        "bolt": (
            cq.Workplane()
            .polygon(6, 15)
            .extrude(5)
            .union(cq.Workplane(origin=(0, 0, -45)).circle(4).extrude(45)),
            29.6,
        ),
        "washer_nut": (cq.Workplane().circle(8).circle(hole).extrude(1.6), -1.6),
        "nut": (cq.Workplane().polygon(6, 15).circle(4.05).extrude(6), -7.6),
    }
    parts = {
        key: Part(key, key.partition("_")[0], key, "", solid_of(solid), turned @ Place.at(0, 0, z),
                  thread=key in ("bolt", "nut"))
        for key, (solid, z) in solids.items()
    }  # fmt: skip
    of = Assembly("joint", parts)
    found = find_first_order(of)
    order = [k for r in found.removals for k in r.parts]
    assert order.index("nut") < order.index("washer_nut") < order.index("bolt")
    assert order.index("bolt") < order.index("washer_head") < order.index("plate")
    away = {k: r.direction for r in found.removals for k in r.parts}
    sign = 1.0 if up else -1.0
    assert away["plate"] == away["washer_head"] == (0.0, 0.0, sign), (
        "straight off, not aside under the washers"
    )
    assert away["washer_nut"] == away["nut"] == (0.0, 0.0, -sign)
    assert replayed(found, of, 12) == []


def test_nested_boxes_with_lids_open_from_the_outside_in() -> None:
    solids = {}
    for n, size in enumerate((60.0, 40.0, 20.0)):
        lift = 3.0 * n
        shell = box(size, size, size / 2).cut(box(size - 6, size - 6, size).translate((0, 0, 3)))
        solids[f"box_{n}"] = (shell, (0.0, 0.0, lift))
        solids[f"lid_{n}"] = (box(size, size, 3), (0.0, 0.0, lift + size / 2))
    of = assembly(**solids)
    found = find_first_order(of)
    order = [k for r in found.removals for k in r.parts]
    for outer, inner in itertools.pairwise(range(3)):
        assert order.index(f"lid_{outer}") < order.index(f"lid_{inner}")
        assert order.index(f"lid_{outer}") < order.index(f"box_{inner}")
    assert found.stuck == ()
    assert replayed(found, of) == []


def test_a_drawer_comes_out_the_one_way_there_is_after_its_pin() -> None:
    case = box(60, 60, 30).cut(box(40.2, 60, 20.2).translate((0, 5, 5)))
    case = case.cut(cq.Workplane(origin=(0, 20, 0)).circle(3.1).extrude(30))
    drawer = box(40, 54.8, 20).cut(cq.Workplane(origin=(0, 17.4, 0)).circle(3.1).extrude(20))
    pin = cq.Workplane().circle(3).extrude(34)
    of = assembly(case=case, drawer=(drawer, (0.0, 2.6, 5.1)), pin=(pin, (0.0, 20.0, 0.0)))
    found = find_first_order(of)
    assert [r.parts for r in found.removals] == [("pin",), ("drawer",)]
    assert found.removals[1].direction == (0.0, 1.0, 0.0)
    assert replayed(found, of) == []


def test_what_is_locked_in_leaves_with_its_holder_and_is_taken_apart_outside() -> None:
    """A ring on a spool between its flanges: the spool comes out with it, and the ring has no way off at all."""
    spool = box(20, 20, 30).cut(cq.Workplane(origin=(0, 0, 10)).rect(20, 20).rect(12, 12).extrude(10))
    ring = cq.Workplane().rect(19, 19).rect(12.4, 12.4).extrude(9.6)
    case = box(50, 50, 40).cut(box(20.4, 20.4, 40).translate((0, 0, 6)))
    of = assembly(case=case, spool=(spool, (0.0, 0.0, 6.0)), ring=(ring, (0.0, 0.0, 16.2)))
    found = find_first_order(of)
    (unit,) = found.removals
    assert (set(unit.parts), unit.unit, unit.direction) == ({"spool", "ring"}, "unit_1", (0.0, 0.0, 1.0))
    assert (unit.inside, set(unit.base)) == ((), {"spool", "ring"})
    assert replayed(found, of) == []


def test_none_is_claimed_where_none_exists() -> None:
    """Two chain links, and a ball in a closed shell."""
    link = cq.Workplane(cq.Solid.makeTorus(20, 4))
    other = cq.Workplane(cq.Solid.makeTorus(20, 4)).rotate((0, 0, 0), (1, 0, 0), 90).translate((20, 0, 0))
    shell = cq.Workplane().sphere(10).cut(cq.Workplane().sphere(7)).translate((0, 0, 60))
    of = assembly(link=link, other=other, shell=shell, ball=(cq.Workplane().sphere(5), (0.0, 0.0, 60.0)))
    found = find_first_order(of)
    assert set(found.stuck) | set(found.base) >= {"link", "other"}
    moves = [set(r.parts) for r in flat(found.removals)]
    assert {"ball"} not in moves
    assert {"link"} not in moves
    assert {"other"} not in moves


def test_what_would_hang_loose_goes_last() -> None:
    """A nut on a bolt through two plates: the bolt does not leave before the nut that it alone holds up."""
    hole = cq.Workplane().circle(4.1).extrude(10)
    plate = box(60, 40, 10).cut(hole)
    bolt = cq.Workplane().circle(4).extrude(32).union(cq.Workplane(origin=(0, 0, 32)).circle(7).extrude(5))
    nut = cq.Workplane().polygon(6, 15).extrude(6).cut(cq.Workplane().circle(4.1).extrude(6))
    spacer = box(60, 40, 6).cut(cq.Workplane().circle(12).extrude(6))
    of = assembly(
        plate=(plate, (0.0, 0.0, 10.0)),
        cover=(box(50, 30, 8).cut(hole), (0.0, 0.0, 20.0)),
        bolt=(bolt, (0.0, 0.0, -4.0)),
        nut=(nut, (0.0, 0.0, 0.0)),
        spacer=(spacer, (0.0, 0.0, 4.0)),
    )
    found = find_first_order(of)
    order = [k for r in found.removals for k in r.parts]
    assert order.index("nut") < order.index("bolt") < order.index("cover")
    assert replayed(found, of) == []


def test_threads_drawn_into_the_full_metal_do_not_hold_a_screw_in() -> None:
    """A screw of 8 mm in a hole of 7.2 mm overlaps it all round; it still comes out, along its axis alone."""
    block = box(40, 40, 30).cut(cq.Workplane(origin=(0, 0, 10)).circle(3.6).extrude(20))
    screw = cq.Workplane().circle(4).extrude(20).union(cq.Workplane(origin=(0, 0, 20)).circle(6.5).extrude(6))
    of = assembly(block=block, screw=(screw, (0.0, 0.0, 10.0)))
    ways = FreeWays(of)
    found = find_first_order(of, ways)
    assert [(r.parts, r.direction) for r in found.removals] == [(("screw",), (0.0, 0.0, 1.0))]
    assert ways.closes("block", "screw", (0.0, 0.0, -1.0))
    assert ways.closes("block", "screw", (1.0, 0.0, 0.0))


def test_the_search_ends_when_its_time_is_up() -> None:
    of = assembly(a=box(10, 10, 10), b=(box(10, 10, 10), (0.0, 0.0, 10.0)))
    found = find_first_order(of, seconds=0.0)
    assert found.out_of_time
    assert (found.removals, len(found.stuck), found.base) == ((), 1, ("a", "b"))


def test_a_cap_is_turned_off_before_what_it_shuts_in() -> None:
    """Two drawers deep: a bayonet over a core, which lies on a disc; each leaves straight once the cap is off."""
    shut = bayonet(40.0, count=3, hollow=True)
    core = Part(
        "core", "core", "core", "", solid_of(cq.Workplane().circle(12.8).extrude(5.9)), Place.at(0, 0, 1)
    )
    disc = Part("disc", "disc", "disc", "", solid_of(cq.Workplane().circle(12.8).extrude(0.98)), Place())
    of = Assembly("x", {**shut.parts, "disc": disc, "core": core})
    ways = FreeWays(of)
    found = find_first_order(of, ways)
    assert [r.parts for r in found.removals] == [("lid",), ("core",), ("disc",)]
    assert (found.base, found.stuck) == (("case",), ())
    lid = found.removals[0]
    assert (lid.direction, [s.turn_deg for s in lid.way]) == (None, [-40.0, 0.0])
    assert met_on_the_way(of, "lid", lid.way) < 0.5
    assert replay(of, found, ways) == []
    short = replace(lid.way[0], turn_deg=-20.0)
    for way in ((short, replace(lid.way[1], start=short.end)), (short, lid.way[1]), lid.way[1:]):
        wrong = replace(lid, way=way)
        assert replay(of, replace(found, removals=(wrong, *found.removals[1:])), ways) == ["lid"]


def test_what_is_shut_in_for_good_is_told_as_not_found() -> None:
    shut = bayonet(40.0, open_slots=False)
    found = find_first_order(shut)
    assert (found.removals, found.stuck, found.base) == ((), ("lid",), ("case", "lid"))
