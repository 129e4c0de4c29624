"""Wrong ways and wrong sizes on the invented coupling: each judged right, with its figure where one is known."""

from __future__ import annotations

import dataclasses
import math

import cadquery as cq
import pytest
from benchleaf.geometry.assembly import Assembly, Elastic, Feature, TurningGroup
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import Bodies, clashes
from benchleaf.sequences.misfits.findings import Effect, Misfit
from benchleaf.sequences.misfits.misfits import WEAK_MM, find_misfits, near_equal_pins
from benchleaf.sequences.misfits.orientation_cards import make_cards
from benchleaf.sequences.order.order import check_order, make_order, plan_moves
from benchleaf.sequences.order.paths import Ways
from benchleaf.sequences.proof.proving import poses_of
from proof_samples import (
    FIT_MM,
    ROWS,
    Proven,
    assembly_of,
    coupling,
    mistake,
    part,
    plan_of,
    prove_plan,
    proven_coupling,
    slide,
    turned,
)
from sample_solids import kernel, solid_of

NEAR_MM = 0.06
"""The search for the seat ends within 0.05 mm, and a mesh lies within 0.01 mm of its solid."""


def with_part(assembly: Assembly, key: str, **more: object) -> Assembly:
    """Return an assembly with one part changed."""
    changed = dataclasses.replace(assembly.parts[key], **more)  # type: ignore[arg-type]
    return dataclasses.replace(assembly, parts={**assembly.parts, key: changed})


def some(assembly: Assembly, *keys: str) -> Assembly:
    """Return some parts of an assembly, those that a fault is about."""
    return dataclasses.replace(assembly, parts={k: assembly.parts[k] for k in keys})


def tried(proven: Proven, step: str) -> dict[tuple[str, str], Misfit]:
    """Return the mistakes with the parts of a step by first part and name; each is found once."""
    found = find_misfits(proven.ways, proven.graph, [m for m in proven.graph.moves if m.step_id == step])
    told = {(f.parts[0], mistake(f)): f for f in found}
    assert len(told) == len(found)
    for fit in found:
        assert bool(fit.wrong) == (fit.verdict == "goes in") == (fit.outcome == "goes in")
        assert bool(fit.stopped_by) == (fit.verdict == "stopped") or fit.outcome == "nothing to sit on"
    return told


def one_step(assembly: Assembly, key: str) -> Proven:
    """Return the proof of a plan that fits one part to all others."""
    rest = tuple(k for k in assembly.parts if k != key)
    return prove_plan(assembly, plan_of([(key, (((key,), slide()),))], rest))


def sleeve_mm(outer: float, inner: float, length: float) -> float:
    """Return the depth of a sleeve of metal too much as the proof tells it: twice its volume by its surface."""
    ends = math.pi * (outer**2 - inner**2)
    return 2 * ends * length / (2 * math.pi * (outer + inner) * length + 2 * ends)


# ---- on turned shafts

ON_SHAFT = ("shaft", "key", "wheel", "washer", "nut")


def turned_proof(shaft_deg: float) -> Proven:
    """Return the proof of the coupling with its shaft turned by hand before anything is fitted."""
    group = TurningGroup("shaft", ON_SHAFT, (0.0, 0.0, 0.0), carrier="shaft")
    assembly = dataclasses.replace(coupling(), turning=(group,))
    a = math.radians(shaft_deg)
    inwards = slide((math.sin(a), -math.cos(a), 0.0))
    rows = [(step, (((("key",), inwards)),) if step == "key" else moves) for step, moves in ROWS]
    plan = plan_of(rows)
    steps = tuple(dataclasses.replace(s, shaft_angle_deg=shaft_deg) for s in plan.steps)
    plan = dataclasses.replace(plan, steps=steps)
    ways = Ways(Bodies(assembly))
    moves = plan_moves(ways, plan, poses_of(assembly.turning))
    return Proven(assembly, ways, plan, moves, make_order(ways, plan, moves))


def test_a_turned_shaft_changes_no_verdict_on_what_sits_on_it() -> None:
    """The same mistakes come to the same, each where the shaft has carried it, and their cards show it there."""
    turn = Place.turn(40.0)
    at_mark, proven, cards = turned_proof(0.0), turned_proof(40.0), []
    for step in ("key", "wheel", "washer", "nut"):
        before, after = tried(at_mark, step), tried(proven, step)
        assert before.keys() == after.keys()
        for told, fit in before.items():
            other = after[told]
            assert (other.verdict, other.stopped_by, other.weak) == (fit.verdict, fit.stopped_by, fit.weak), (
                told
            )
            assert other.short_mm == pytest.approx(fit.short_mm, abs=NEAR_MM), told
            assert other.shift_mm == pytest.approx(fit.shift_mm, abs=NEAR_MM), told
            assert other.places.keys() == fit.places.keys()
            for key, place in fit.places.items():
                assert other.places[key].matrix() == pytest.approx((turn @ place).matrix(), abs=NEAR_MM), told
        cards += make_cards(proven.assembly, proven.graph, after.values())
    assert {c.parts[0] for c in cards} == {"key", "washer", "nut"}
    for card in cards:
        for key, place in card.right.items():
            assert place == turn @ proven.assembly.part(key).place, (card.id, key)


# ---- wrong ways


def test_cover_half_round_is_stopped_by_the_large_dowel_at_its_tip() -> None:
    fit = tried(proven_coupling(), "cover")["cover", "half turn"]
    assert (fit.verdict, fit.stopped_by, fit.weak) == ("stopped", ("dowel_large",), False)
    assert fit.short_mm == pytest.approx(10.0, abs=NEAR_MM)  # the dowel stands out by that
    assert fit.too_big_mm == pytest.approx(sleeve_mm(4.0, 3.0 + FIT_MM, 10.0), abs=0.02)


def test_cover_upside_down_is_stopped_by_the_shaft_end() -> None:
    fit = tried(proven_coupling(), "cover")["cover", "end for end x"]
    assert (fit.verdict, fit.stopped_by[0]) == ("stopped", "shaft")
    assert fit.short_mm == pytest.approx(44.0, abs=NEAR_MM)  # its roof, 4 mm thick, now lies below


@pytest.mark.parametrize("words", ["half turn", "end for end x", "part turn 90"])
def test_wheel_the_wrong_way_is_stopped_on_top_of_the_key(words: str) -> None:
    fit = tried(proven_coupling(), "wheel")["wheel", words]
    assert (fit.verdict, fit.stopped_by) == ("stopped", ("key",))
    assert fit.short_mm == pytest.approx(20.0 - 2.0, abs=NEAR_MM)  # top of the key, rear of the wheel


def test_wheel_turned_over_about_its_keyway_is_the_same() -> None:
    fit = tried(proven_coupling(), "wheel")["wheel", "end for end y"]
    assert (fit.verdict, fit.same_shape) == ("no difference", True)


@pytest.mark.parametrize("rise", [0.3, 0.6, 0.8])
def test_cone_washer_turned_over_goes_in_deeper_by_what_its_cone_gives(rise: float) -> None:
    """Turned over it lies on the edge of the wheel's bore, or with its inner edge on the shaft's shoulder."""
    whole = coupling()
    cone = turned([(6.2, rise), (11.5, 0), (11.5, 1.2), (6.2, rise + 1.2)])
    proven = one_step(some(with_part(whole, "washer", solid=cone), "shaft", "wheel", "washer"), "washer")
    fit = tried(proven, "washer")["washer", "end for end x"]
    on_bore = rise * (10.0 + FIT_MM - 6.2) / (11.5 - 6.2)
    assert fit.verdict == "goes in"
    assert fit.shift_mm == pytest.approx(-min(0.5, on_bore), abs=NEAR_MM)
    assert Effect("sits deep", mm=round(-fit.shift_mm, 2)) in fit.wrong
    assert make_cards(proven.assembly, proven.graph, [fit])


def test_flat_washer_turned_over_makes_no_difference() -> None:
    flat = turned([(6.2, 0), (11.5, 0), (11.5, 1.2), (6.2, 1.2)])
    proven = one_step(some(with_part(coupling(), "washer", solid=flat), "shaft", "wheel", "washer"), "washer")
    told = tried(proven, "washer")
    assert told["washer", "end for end x"].verdict == "no difference"


def test_part_left_out_goes_in_and_what_lacks_it_is_told() -> None:
    proven = proven_coupling()
    nut = next(m.number for m in proven.moves if m.parts == ("nut",))
    wanted = {
        "key": ("key", Effect("hollow empty", ("wheel",), "keyway")),
        "washer": ("washer", Effect("goes deeper", ("nut",), move=nut, mm=2.0)),
        "ring": ("ring", Effect("nothing squeezed", ("housing", "cover"))),
        "screws": ("screw_1", Effect("nothing held", ("housing", "cover"))),
    }
    for step, (key, wrong) in wanted.items():
        fit = tried(proven, step)[key, "left out"]
        assert (fit.verdict, fit.wrong) == ("goes in", (wrong,)), step


def test_key_left_out_of_two_keyways_lets_them_turn_on_each_other() -> None:
    whole = coupling()
    slot = Feature("keyway", "keyway", (0, 10, 12), (0, 1, 0), 6.06, "key")
    proven = one_step(some(with_part(whole, "shaft", features=(slot,)), "shaft", "wheel", "key"), "key")
    assert not any(m.path.clear for m in proven.moves)  # with the wheel on, it does not go in any more
    rows = [(k, moves) for k, moves in ROWS if k in ("key", "wheel")]
    proven = prove_plan(proven.assembly, plan_of(rows, ("shaft",)))
    fit = tried(proven, "key")["key", "left out"]
    assert fit.wrong[-1] == Effect("nothing keyed", ("shaft", "wheel"))


def test_second_one_is_tried_of_what_lies_flat_only() -> None:
    proven = proven_coupling()
    twice = {step: [k for k, words in tried(proven, step) if words == "fitted twice"] for step, _ in ROWS}
    assert {k for keys in twice.values() for k in keys} == {"washer", "ring"}
    fit = tried(proven, "washer")["washer", "fitted twice"]
    assert (fit.verdict, fit.later, fit.stopped_by) == ("stopped", True, ("nut",))


# ---- dowels


def dowelled(large: float, small: float, drain: bool = False) -> Proven:
    """Return the cover on its housing with two dowels; a drain is a hole through its roof, off the middle."""
    whole = some(coupling(large, small), "housing", "dowel_large", "dowel_small", "cover")
    if drain:
        cover = cq.Workplane(obj=kernel(whole.parts["cover"].solid))
        hole = cq.Workplane(origin=(0, 20, 0)).circle(4).extrude(60)
        whole = with_part(whole, "cover", solid=solid_of(cover.cut(hole)))
    return one_step(whole, "cover")


@pytest.mark.parametrize("small", [6.0, 7.4, 7.5, 7.9])
def test_nearly_equal_dowels_stop_by_their_difference_and_are_reported(small: float) -> None:
    proven = dowelled(8.0, small)
    fit = tried(proven, "cover")["cover", "half turn"]
    too_big = sleeve_mm(4.0, small / 2 + FIT_MM, 10.0)
    assert (fit.verdict, fit.stopped_by) == ("stopped", ("dowel_large",))
    assert fit.short_mm == pytest.approx(10.0, abs=NEAR_MM)
    assert fit.too_big_mm == pytest.approx(too_big, abs=0.02)
    assert fit.weak == (too_big < WEAK_MM) == (small > 7.4)
    (pins,) = near_equal_pins(proven.ways, proven.graph)
    assert pins.stop_mm == pytest.approx(8.0 - small - 2 * FIT_MM, abs=0.04)
    assert pins.enough == (small <= 7.4)


@pytest.mark.parametrize("small", [8.0, 7.95])
def test_equal_dowels_stop_nothing(small: float) -> None:
    """A cover that is the same either way round may go on so; one with a drain goes on too, and needs a look."""
    proven = dowelled(8.0, small, drain=True)
    fit = tried(proven, "cover")["cover", "half turn"]
    assert fit.verdict == "goes in"
    (pins,) = near_equal_pins(proven.ways, proven.graph)
    assert not pins.enough
    assert pins.stop_mm == pytest.approx(8.0 - small - 2 * FIT_MM, abs=0.04)
    if small == 8.0:
        hole = math.pi * 4**2 * (50 - 46)  # through the roof
        (found,) = fit.wrong
        assert found.kind == "other shape"
        assert found.mm3 == pytest.approx(hole, rel=0.02)
    else:
        assert Effect("feature unmet", feature="large dowel hole", mates="dowel") in fit.wrong
    (card,) = make_cards(proven.assembly, proven.graph, [fit])
    assert card.wrong_because
    same = tried(dowelled(8.0, 8.0), "cover")["cover", "half turn"]
    assert (same.verdict, same.same_shape) == ("no difference", True)


# ---- seals on the wrong side


def test_flanged_seal_turned_over_is_stopped_by_its_flange() -> None:
    """A seal case 10 mm long with a flange that lies in a counterbore 2 mm deep."""
    housing = turned(
        [(20 + FIT_MM, 0), (30, 0), (30, 10), (22 + FIT_MM, 10), (22 + FIT_MM, 8), (20 + FIT_MM, 8)]
    )
    seal = turned([(12, 0), (20, 0), (20, 8), (22, 8), (22, 10), (12, 10)])
    fit = tried(one_step(assembly_of(part("housing", housing), part("seal", seal)), "seal"), "seal")[
        "seal", "end for end x"
    ]
    assert (fit.verdict, fit.stopped_by) == ("stopped", ("housing",))
    assert fit.short_mm == pytest.approx(8.0, abs=NEAR_MM)


@pytest.mark.parametrize("stepped", [True, False])
def test_lip_seal_turned_over_goes_in_and_is_told(stepped: bool) -> None:
    """On a stepped shaft its lip then presses nothing; on a plain one it presses, but faces the other side."""
    housing = turned([(20 + FIT_MM, 0), (30, 0), (30, 10), (20 + FIT_MM, 10)])
    above = 8.0 if stepped else 10.0
    step = [(10, 4), (above, 4)] if stepped else []
    shaft = turned([(0, -5), (10, -5), *step, (above, 30), (0, 30)])

    def profile(lip: float) -> cq.Shape:
        return turned([(12, 0), (lip, 0), (lip, 2), (12, 5), (12, 8), (20, 8), (20, 0)])

    lip = part("seal", profile(9.5), elastic=Elastic(0.5, profile(10.0 + FIT_MM)))
    proven = one_step(assembly_of(part("housing", housing), part("shaft", shaft), lip), "seal")
    fit = tried(proven, "seal")["seal", "end for end x"]
    assert fit.verdict == "goes in"
    assert ("pressed less" if stepped else "other shape") in {e.kind for e in fit.wrong}
    # Nothing on it holds it at an angle, so no turn about its axis is a mistake.
    assert not any(f.about == "z" for f in tried(proven, "seal").values())


# ---- wrong sizes


def bored(radius: float) -> cq.Shape:
    """Return the wheel with a bore of its own, keyway and all."""
    wheel = turned([(radius, 2), (28, 2), (28, 24.5), (radius, 24.5)])
    slot = cq.Workplane().box(6.1, 6, 40).translate((0, 10.0, 12))
    return solid_of(cq.Workplane(wheel).cut(slot)).moved(cq.Location(cq.Vector(0, 0, -2)))


def screw(shank: float) -> cq.Shape:
    """Return the screw with a shank of its own."""
    return solid_of(cq.Workplane().circle(2.5).extrude(-shank).union(cq.Workplane().circle(4.5).extrude(5)))


def groove(depth: float) -> cq.Shape:
    """Return the cover with the ring's groove only so deep."""
    cover = kernel(coupling().parts["cover"].solid)
    fill = turned([(33.9, depth), (38.1, depth), (38.1, 3.0), (33.9, 3.0)])
    return solid_of(cq.Workplane(obj=cover).union(cq.Workplane(obj=fill)))


FAULTS = {
    # a bore under size lands on the end of the shaft's journal, 24 - 2 mm too high
    "bore": (("wheel", {"solid": bored(9.9)}), ("wheel", "shaft"), sleeve_mm(10.0, 9.9, 22.0), 22.0),
    # a screw 6 mm too long for a hole 5 mm deeper than its tip stands on the bottom
    "screw": (("screw_1", {"solid": screw(71)}), ("screw_1", "housing"), None, 1.0),
    # a key 1 mm too high in a slot 0.47 mm higher than it: the wheel stops on top of it
    "key": (
        ("key", {"solid": solid_of(cq.Workplane().box(6, 5.5, 16).translate((0, 0.5, 0)))}),
        ("wheel", "key"), None, 18.0,
    ),
    # a groove 1.45 mm deep: of the ring's core, 0.05 to 2.15 mm above the joint, 0.7 mm are too much
    "groove": (("cover", {"solid": groove(1.45)}), ("cover", "ring"), None, 0.70),
}  # fmt: skip


def test_right_sizes_overlap_nowhere() -> None:
    proven = proven_coupling()
    assert clashes(proven.ways.bodies) == []
    assert check_order(proven.graph, proven.plan) == []


@pytest.mark.parametrize("name", FAULTS)
def test_wrong_size_overlaps_in_place_and_stops_on_its_way_by_its_figure(name: str) -> None:
    (key, change), pair, depth, remaining = FAULTS[name]
    proven = prove_plan(with_part(coupling(), key, **change), plan_of())
    found = {frozenset((c.part, c.other)): c.overlap for c in clashes(proven.ways.bodies)}
    assert set(found) == {frozenset(pair)}
    if depth is not None:
        assert found[frozenset(pair)].depth_mm == pytest.approx(depth, abs=0.025)
    blocks = [b for m in proven.moves for b in m.path.blocks]
    assert {(b.part, b.by) for b in blocks} == {pair}
    assert blocks[0].remaining_mm == pytest.approx(remaining, abs=NEAR_MM)
    (fault,) = {f for f in check_order(proven.graph, proven.plan) if f.remaining_mm}
    assert (fault.kind, fault.part, fault.by) == ("blocked", *pair)
    assert fault.remaining_mm == pytest.approx(remaining, abs=NEAR_MM)


def test_ring_declared_too_stiff_for_its_groove_is_a_clash() -> None:
    """The ring pressed 0.8 mm in all fits where 0.4 mm a side are declared; declared rigid it does not."""
    whole = some(coupling(), "housing", "ring", "cover")
    assert clashes(one_step(whole, "cover").ways.bodies) == []
    rigid = Elastic(0.0, whole.parts["ring"].solid)
    found = clashes(one_step(with_part(whole, "ring", elastic=rigid), "cover").ways.bodies)
    assert {frozenset((c.part, c.other)) for c in found} == {
        frozenset(("ring", "cover")),
        frozenset(("ring", "housing")),
    }


# ---- threads


def bolted(shank: float, nut_at: tuple[float, float] = (0, 0)) -> Proven:
    """Return two plates 10 mm thick, a bolt from below with a shank of its own, and a nut on top."""
    plate = (
        cq.Workplane()
        .box(90, 90, 10, centered=(True, True, False))
        .cut(cq.Workplane().circle(4.5).extrude(10))
    )
    bolt = solid_of(cq.Workplane().circle(4).extrude(shank).union(cq.Workplane().circle(7).extrude(-5)))
    nut = solid_of(cq.Workplane().polygon(6, 15).circle(4.1).extrude(7))
    parts = assembly_of(
        part("low", solid_of(plate)),
        part("high", solid_of(plate), Place.at(0, 0, 10)),
        part("bolt", bolt, thread=True),
        part("nut", nut, Place.at(*nut_at, 20), thread=True),
    )
    rows = [("bolt", ((("bolt",), slide((0.0, 0.0, 1.0))),)), ("nut", ((("nut",), slide()),))]
    return prove_plan(parts, plan_of(rows, ("low", "high")))


@pytest.mark.parametrize(("shank", "reaches"), [(28.0, True), (21.0, True), (19.0, False), (15.0, False)])
def test_nut_on_a_bolt_that_is_too_short_finds_no_thread(shank: float, reaches: bool) -> None:
    proven = bolted(shank)
    faults = [(f.kind, f.step_id, f.part, f.by) for f in check_order(proven.graph, proven.plan)]
    assert faults == ([] if reaches else [("no thread", "nut", "nut", "bolt")])


def test_bolt_left_out_is_noticed_at_its_nut() -> None:
    proven = bolted(28.0)
    fit = tried(proven, "bolt")["bolt", "left out"]
    assert (fit.verdict, fit.later, fit.stopped_by) == ("stopped", True, ("nut",))
    assert fit.outcome == "missed by its thread"
    assert fit.noticed_by is not None
    assert proven.moves[fit.noticed_by].step == 2


def test_threads_beside_each_other_or_end_to_end_are_no_pair() -> None:
    """A nut beside the bolt has nothing to do with it, and two bolts on one axis need not meet."""
    beside = bolted(15.0, nut_at=(12, 0))
    assert check_order(beside.graph, beside.plan) == []
    proven = bolted(28.0)
    bolt = proven.assembly.parts["bolt"]
    other = dataclasses.replace(bolt, key="other", place=Place.at(0, 0, 60) @ Place.turn(180, (1, 0, 0)))
    parts = dataclasses.replace(proven.assembly, parts={**proven.assembly.parts, "other": other})
    rows = [("other", ((("other",), slide()),))]
    ends = prove_plan(parts, plan_of(rows, ("low", "high", "bolt", "nut")))
    assert not [f for f in check_order(ends.graph, ends.plan) if f.by in ("bolt", "nut")]
