"""Ways with turns, found and carried out anew by the CAD kernel in small steps; none where there is none."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.sequences.order.paths import STILL, Ways, check_path
from benchleaf.sequences.order.travel_search import find_travel
from benchleaf.sequences.order.turn_lines import turn_lines
from benchleaf.sequences.order.turn_search import MOST_STRETCHES, TurnSearch, find_way
from benchleaf.sequences.steps.plan import Move
from benchleaf.sequences.steps.travel_poses import Stretch
from hypothesis import given, settings
from hypothesis import strategies as st
from proof_samples import assembly_of, part
from sample_solids import solid_of
from turn_samples import (
    LUG_MM,
    PLAY_MM,
    bayonet,
    case,
    hook_on_a_bar,
    is_out,
    key_in_a_keyhole,
    lid,
    met_on_the_way,
)

FILM_MM3 = 0.5
"""What two parts in contact share by rounding, at most."""


def ways_of(assembly: Assembly) -> Ways:
    return Ways(Bodies(assembly, 0.02))


def search(assembly: Assembly, key: str) -> tuple[Stretch, ...] | None:
    rest = [k for k in assembly.parts if k != key]
    return TurnSearch(ways_of(assembly), [key], rest, {}).way()


def is_sound(assembly: Assembly, key: str, way: tuple[Stretch, ...]) -> bool:
    """Return whether a way leads out past everything, by the kernel and by the proof at its finest."""
    assert [s.start for s in way] == [STILL, *(s.end for s in way[:-1])]
    fixed = [k for k in assembly.parts if k != key]
    proven = check_path(Ways(Bodies(assembly)), Move((key,), into=False), fixed, way).clear
    return proven and is_out(assembly, key, way) and met_on_the_way(assembly, key, way) < FILM_MM3


def test_a_bayonet_is_turned_until_its_lugs_are_before_the_slots() -> None:
    assembly = bayonet(40.0)
    assert find_travel(ways_of(assembly), ["lid"], ["case"]).stretches is None
    found = find_way(ways_of(assembly), ["lid"], ["case"])
    assert found.stretches is not None
    turn, out = found.stretches
    assert (turn.turn_deg, turn.axis, turn.length_mm) == (-40.0, (0.0, 0.0, 1.0), 0.0)
    assert out.slide[2] > 0
    assert out.turn_deg == 0.0
    assert is_sound(assembly, "lid", found.stretches)


def test_it_is_turned_away_from_its_stop() -> None:
    """The nearer slot lies behind the stop: the lid goes the long way round."""
    way = search(bayonet(40.0, stop_deg=20.0), "lid")
    assert way is not None
    assert way[0].turn_deg == 140.0
    assert is_sound(bayonet(40.0, stop_deg=20.0), "lid", way)


def test_a_turn_past_its_stop_is_refused_by_proof_and_kernel() -> None:
    assembly = bayonet(40.0, stop_deg=20.0)
    turn = Stretch(Place(), (0.0, 0.0, 0.0), -40.0)
    wrong = (turn, Stretch(turn.end, (0.0, 0.0, 13.0)))
    path = check_path(Ways(Bodies(assembly)), Move(("lid",), into=False), ["case"], wrong)
    assert [b.by for b in path.blocks] == ["case"]
    assert met_on_the_way(assembly, "lid", wrong) > 10.0


@pytest.mark.parametrize("off_deg", [-35.0, -38.0, -42.0])
def test_a_turn_to_beside_the_slots_is_refused(off_deg: float) -> None:
    assembly = bayonet(40.0)
    turn = Stretch(Place(), (0.0, 0.0, 0.0), off_deg)
    wrong = (turn, Stretch(turn.end, (0.0, 0.0, 13.0)))
    assert not check_path(Ways(Bodies(assembly)), Move(("lid",), into=False), ["case"], wrong).clear


def test_nothing_is_found_where_the_slots_are_closed() -> None:
    assert search(bayonet(40.0, open_slots=False), "lid") is None


def test_a_closed_box_stays_closed() -> None:
    box = cq.Workplane().box(20, 20, 20).cut(cq.Workplane().box(12, 12, 12))
    core = solid_of(cq.Workplane().box(9, 5, 3))
    assert search(assembly_of(part("box", solid_of(box)), part("core", core)), "core") is None


def test_round_parts_are_not_turned_about_their_axis() -> None:
    """A disc under a rim stays: no angle of it is another."""
    disc = assembly_of(
        part("case", solid_of(case())), part("disc", solid_of(cq.Workplane().circle(25).extrude(3)))
    )
    wanted = TurnSearch(ways_of(disc), ["disc"], ["case"], {})
    assert wanted.short_way() is None
    assert wanted.probes < 100


def test_a_key_is_turned_before_it_is_drawn_out() -> None:
    assembly = key_in_a_keyhole()
    way = search(assembly, "key")
    assert way is not None
    assert abs(way[0].turn_deg) == 90.0
    assert is_sound(assembly, "key", way)


def test_a_hook_is_turned_about_its_bar_and_leaves_across() -> None:
    assembly = hook_on_a_bar()
    assert find_travel(ways_of(assembly), ["hook"], ["frame"]).stretches is None
    way = search(assembly, "hook")
    assert way is not None
    turn, out = way
    assert abs(turn.axis[1]) == 1.0
    assert abs(turn.turn_deg) >= 60
    assert out.slide[0] < 0  # the one side that is open
    assert is_sound(assembly, "hook", way)


def test_two_rims_are_passed_one_after_the_other() -> None:
    """Turn, slide, turn, slide: the slots of the upper rim are turned against those of the lower one."""
    upper = case(slots_deg=60.0).intersect(cq.Workplane().circle(40).extrude(8)).translate((0, 0, 8.3))
    pot = case(slots_deg=-40.0).union(upper)
    tall = lid().union(cq.Workplane().circle(20).extrude(22))
    assembly = assembly_of(part("case", solid_of(pot)), part("lid", solid_of(tall)))
    way = search(assembly, "lid")
    assert way is not None
    assert [bool(s.turn_deg) for s in way] == [True, False, True, False]
    assert len(way) <= MOST_STRETCHES
    assert is_sound(assembly, "lid", way)


def test_it_ends_when_its_time_is_up() -> None:
    wanted = TurnSearch(ways_of(bayonet(40.0)), ["lid"], ["case"], {}, until=0.0)
    assert (wanted.way(), wanted.probes) == (None, 0)


def test_lines_are_those_of_round_faces_first() -> None:
    """A lever on a pin: the pin's hole comes first, then the pin, each once; lines through the middle last."""
    lever = cq.Workplane().box(30, 8, 4).cut(cq.Workplane().center(-10, 0).circle(2.1).extrude(10, both=True))
    pin = cq.Workplane().center(-10, 0).circle(2).extrude(10, both=True)
    assembly = assembly_of(part("lever", solid_of(lever)), part("pin", solid_of(pin)))
    first, *rest = turn_lines(ways_of(assembly), ["lever"], ["pin"], {})
    assert (first.about[:2], first.axis, first.rides) == ((-10.0, 0.0), (0.0, 0.0, 1.0), True)
    along_z = [k for k in rest if k.axis == (0.0, 0.0, 1.0)]
    assert [k.about[:2] for k in along_z] == [(0.0, 0.0)]


@given(
    count=st.integers(1, 4),
    share=st.floats(0.2, 0.8),
    sense=st.sampled_from([-1.0, 1.0]),
    stands=st.sampled_from([Place(), Place.turn(90, (1, 0, 0)), Place.turn(33.0) @ Place.at(5, -7, 11)]),
)
@settings(max_examples=8, deadline=None, derandomize=True)
def test_bayonets_of_any_make_are_opened(count: int, share: float, sense: float, stands: Place) -> None:
    """Their slots are where they were cut: the turn found brings lugs to slots, within the play."""
    apart = 360.0 / count
    turned = sense * round(max(20.0, share * min(apart, 150.0)), 2)
    bare = bayonet(turned, count)
    assembly = assembly_of(*(part(p.key, p.solid, stands @ p.place) for p in bare))  # type: ignore[arg-type]
    way = search(assembly, "lid")
    assert way is not None
    turn, out = way
    play_deg = math.degrees(PLAY_MM / 2 / 20.0) + 0.2
    axis = np.array(stands.direction((0.0, 0.0, 1.0)))
    off = (turned + turn.turn_deg * float(axis @ turn.axis) + apart / 2) % apart - apart / 2
    assert abs(off) <= play_deg, (turned, turn.turn_deg, LUG_MM)
    assert float(axis @ out.slide) > 0
    assert is_sound(assembly, "lid", way)
