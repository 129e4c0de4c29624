"""Faults seeded into the sequences and solids of a real head: each is judged right, and harmless changes pass."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache

import cadquery as cq
import pytest
from benchleaf.geometry.assembly import Assembly, Elastic, TurningGroup
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head
from benchleaf.geometry.meshes.overlaps import Bodies, clashes
from benchleaf.geometry.parts.seals import FACE_RELIEF_MM
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.misfits.findings import Effect, Misfit
from benchleaf.sequences.misfits.misfits import find_misfits, near_equal_pins
from benchleaf.sequences.order.order import check_order
from benchleaf.sequences.order.order_graph import OrderGraph, Why
from benchleaf.sequences.proof.practice import make_practice, may_come
from benchleaf.sequences.proof.proving import turns_of
from benchleaf.sequences.proof.shaft_timing import TimingEvidence, timing_of
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.sequence_file import Sequence, load_sequence
from benchleaf.sequences.steps.sequence_form import Named, StepText, TravelText
from head_proofs import ProvenHead, head_of
from proof_samples import mistake, plan_of, prove_plan, slide, tried_window, turned
from sample_solids import kernel, solid_of

pytestmark = pytest.mark.slow  # a whole head is made and proven

CENTRE_MM = 60.0
NEAR_MM = 0.06
"""The search for the seat ends within 0.05 mm, and a mesh lies within 0.01 mm of its solid."""
COARSE_MM = 0.22
"""Away from home, and on no flat face, it ends within 0.2 mm."""


@pytest.fixture(scope="module")
def base() -> ProvenHead:
    return ProvenHead(head_of(Options(), CENTRE_MM))


@pytest.fixture(scope="module")
def as_shipped(base: ProvenHead) -> Callable[[str], tuple[Plan, OrderGraph]]:
    """Return what gives a shipped sequence's plan and its order graph, worked out once."""

    @cache
    def graph(kind: str) -> tuple[Plan, OrderGraph]:
        plan = base.plan(text(kind))
        return plan, base.graph(plan)

    return graph


@cache
def text(kind: str) -> Sequence:
    return load_sequence(kind)


def with_steps(kind: str, steps: list[StepText]) -> Sequence:
    """Return a shipped sequence with other steps; their places in the file stay."""
    return dataclasses.replace(text(kind), text=text(kind).text.model_copy(update={"steps": steps}))


def moved(kind: str, step: str, where: str, anchor: str) -> Sequence:
    """Return a shipped sequence with one step put right before or after another."""
    steps = [s for s in text(kind).steps if s.id != step]
    (one,) = [s for s in text(kind).steps if s.id == step]
    at = next(n for n, s in enumerate(steps) if s.id == anchor)
    steps.insert(at + (where == "after"), one)
    # A picture of parts that are not there yet, or an act on them, is a mistake of the file: another matter than the
    # order.
    there = [Named(name="gear_case", when=None)]
    kept = [s for s in steps if s.fit or s.remove or s.turn_shafts_deg]
    words: dict[str, object] = {"acts": [], "look": [], "measure": []}
    return with_steps(
        kind, [s.model_copy(update={**words, "focus": [] if s.fit or s.remove else there}) for s in kept]
    )


def changed(kind: str, step: str, **more: object) -> Sequence:
    """Return a shipped sequence with one step changed."""
    return with_steps(kind, [s.model_copy(update=more) if s.id == step else s for s in text(kind).steps])


def faults_of(base: ProvenHead, plan: Plan, steps: set[str]) -> set[tuple[str, str, str]]:
    """Return step, part and blocker of every place in some steps that cannot be done; each is a move's of its step."""
    graph = base.graph(plan, steps)
    found = check_order(graph, plan)
    for f in found:
        assert plan.steps[f.step - 1].id == f.step_id
        assert f.move is None or f.part in graph.moves[f.move].parts
    return {(f.step_id, f.part, f.by) for f in found if f.kind in ("blocked", "loose", "no thread")}


ORDER = [
    ("assembly", "shaft_orings", "after", "rotating_rings", "shaft_oring_drive", "rotating_ring_drive"),
    ("assembly", "rotating_rings", "after", "body_on", "rotating_ring_drive", "stationary_ring_drive"),
    ("assembly", "wave_springs", "after", "stationary_rings", "wave_spring_drive", "stationary_ring_drive"),
    ("assembly", "body_on", "after", "rotor_drive", "body", "rotor_drive"),
    ("assembly", "disc_spring", "after", "retainer", "disc_spring_drive", "spring_retaining_oring_drive"),
    ("assembly", "key_drive", "after", "rotor_drive", "key_drive", "rotor_drive"),
    ("assembly", "nut_drive", "before", "rotor_drive", "rotor_drive", "rotor_nut_drive"),
    ("assembly", "nut_driven", "after", "cover_on", "rotor_nut_driven", "cover"),
    ("assembly", "cover_oring", "after", "cover_on", "cover_oring", "cover"),
    ("disassembly", "cover_off", "before", "cover_nuts_off", "cover", "cover_nut_1"),
    ("disassembly", "rotor_drive_off", "before", "nut_drive_off", "rotor_drive", "rotor_nut_drive"),
    ("disassembly", "key_drive_off", "before", "rotor_drive_off", "key_drive", "rotor_drive"),
    (
        "disassembly",
        "springs_out",
        "before",
        "stationary_rings_out",
        "wave_spring_drive",
        "stationary_ring_drive",
    ),
]


@pytest.mark.parametrize(("kind", "step", "where", "anchor", "part", "by"), ORDER)
def test_step_out_of_order_names_step_part_and_blocker(
    base: ProvenHead, kind: str, step: str, where: str, anchor: str, part: str, by: str
) -> None:
    plan = base.plan(moved(kind, step, where, anchor))
    found = faults_of(base, plan, {step, anchor})
    at = next(s.id for s in plan.steps if part in s.moving and s.id in (step, anchor))
    assert (at, part, by) in found, found


@pytest.mark.parametrize(
    ("kind", "step", "where", "anchor"),
    [
        ("assembly", "second_nut", "before", "nut_oring"),
        ("assembly", "key_driven", "before", "rotor_drive"),
        ("assembly", "cover_oring", "before", "nut_drive"),
        ("assembly", "rotating_rings", "after", "stationary_rings"),
        ("disassembly", "cover_oring_off", "after", "rotor_drive_off"),
        ("disassembly", "nut_drive_off", "before", "nut_driven_off"),
    ],
)
def test_steps_that_may_be_swapped_are_not_flagged(
    base: ProvenHead, kind: str, step: str, where: str, anchor: str
) -> None:
    assert base.violations(base.plan(moved(kind, step, where, anchor))) == []


def test_shipped_sequences_are_not_flagged(base: ProvenHead) -> None:
    assert base.overlaps() == []
    for kind in ("assembly", "disassembly"):
        assert base.violations(base.plan(text(kind))) == []


@pytest.mark.parametrize(
    ("step", "travel", "part", "by"),
    [
        ("key_drive", "-z", "key_drive", "shaft_drive"),
        ("key_drive", [{"slide": "-z"}, {"slide": "-y", "mm": 1}], "key_drive", "shaft_drive"),
        ("rotor_drive", "-y", "rotor_drive", "body"),
        ("rotating_rings", "+z", "rotating_ring_drive", "shaft_drive"),
    ],
)
def test_wrong_or_short_travel_names_what_is_in_the_way(
    base: ProvenHead, step: str, travel: object, part: str, by: str
) -> None:
    (old,) = [s for s in text("assembly").steps if s.id == step]
    way = TravelText.model_validate(travel)
    fit = [e.model_copy(update={"travel": way}) for e in old.fit]
    found = faults_of(base, base.plan(changed("assembly", step, fit=fit)), {step})
    assert (step, part, by) in found, found


def test_key_does_not_go_into_a_keyway_turned_away(base: ProvenHead) -> None:
    plan = base.plan(changed("assembly", "inspect_shafts", turn_shafts_deg=90.0))
    found = faults_of(base, plan, {"key_drive", "rotor_drive"})
    assert ("key_drive", "key_drive", "shaft_drive") in found
    assert ("rotor_drive", "rotor_drive", "body") not in found


@pytest.mark.parametrize(
    ("sequence", "said"),
    [
        (lambda: _without("assembly", "retainer"), "spring_retaining_oring_drive, which is never fitted"),
        (lambda: _without("assembly", "key_driven"), "key_driven, which is never fitted"),
        (lambda: _without("disassembly", "cover_oring_off"), "cover_oring, which is never removed"),
        (lambda: _twice("assembly", "key_drive"), "key_drive, which is on the head already"),
        (lambda: moved("assembly", "stationary_rings", "after", "body_on"), "body_unit, which is not built yet"),
        (lambda: moved("assembly", "retainer", "after", "nut_drive"), "nut_unit_drive, which is not built yet"),
        (
            lambda: moved("disassembly", "stationary_rings_out", "before", "body_off"),
            "body_unit, which is still on the",
        ),
    ],
)  # fmt: skip
def test_part_left_out_doubled_or_unbuilt_is_a_mistake_of_the_file(
    base: ProvenHead, sequence: object, said: str
) -> None:
    with pytest.raises(FaultsFound) as found:
        base.plan(sequence())  # type: ignore[operator]
    fault = next(f for f in found.value.faults if said in f.found)
    assert fault.line is not None
    assert fault.allowed
    assert fault.fix


def _without(kind: str, step: str) -> Sequence:
    return with_steps(kind, [s for s in text(kind).steps if s.id != step])


def _twice(kind: str, step: str) -> Sequence:
    return with_steps(kind, [s for one in text(kind).steps for s in ([one] * (1 + (one.id == step)))])


# ---- seeded into the solids


def some(head: Head, *keys: str, **solids: cq.Shape) -> Assembly:
    """Return some parts of a head, with other solids for those named."""
    parts = {k: head.parts[k] for k in keys}
    parts |= {k: dataclasses.replace(parts[k], solid=s) for k, s in solids.items()}
    return Assembly("some", parts)


def met(assembly: Assembly) -> set[tuple[str, str]]:
    return {(c.part, c.other) for c in clashes(Bodies(assembly))}


def test_own_sizes_that_do_not_fit_overlap_in_place(base: ProvenHead) -> None:
    head, s = base.head, base.head.size
    screw = kernel(head.part("body_screw_1").solid)
    low = screw.BoundingBox().zmin
    longer = screw.fuse(cq.Solid.makeCylinder(2, 6, cq.Vector(0, 0, low - 4)))
    assert met(some(head, "gear_case", "body", "body_screw_1")) == set()
    assert met(some(head, "gear_case", "body", "body_screw_1", body_screw_1=longer)) == {
        ("gear_case", "body_screw_1")
    }
    rotor = head.part("rotor_drive")
    r, end = s.journal_radius_mm, head.stack.web_rear_z - rotor.place.shift[2]
    tight = kernel(rotor.solid).fuse(
        turned([(r - 0.05, end - 4), (r + 0.5, end - 4), (r + 0.5, end - 2), (r - 0.05, end - 2)])
    )
    assert met(some(head, "shaft_drive", "rotor_drive", rotor_drive=tight)) == {
        ("shaft_drive", "rotor_drive")
    }
    key = head.part("key_drive")
    shape = kernel(key.solid)
    wide = solid_of(cq.Workplane(obj=shape).union(cq.Workplane(obj=shape).translate((0.3, 0, 0))))
    found = met(some(head, "shaft_drive", "key_drive", "rotor_drive", key_drive=wide))
    assert found == {("shaft_drive", "key_drive"), ("key_drive", "rotor_drive")}
    dowel = cq.Solid.makeCylinder(s.large_dowel_mm / 2 + 0.3, 60, cq.Vector(0, 0, -5))
    found = met(some(head, "gear_case", "body", "body_dowel_large", body_dowel_large=dowel))
    assert ("body", "body_dowel_large") in found


def test_rotors_too_large_collide_with_each_other_and_the_body(base: ProvenHead) -> None:
    rotor = kernel(base.head.part("rotor_drive").solid)
    grown = rotor.scale(1.01)
    found = met(some(base.head, "body", "rotor_drive", "rotor_driven", rotor_drive=grown, rotor_driven=grown))
    assert {("body", "rotor_drive"), ("body", "rotor_driven")} <= found


@pytest.mark.parametrize(("short_mm", "reaches"), [(0.0, True), (-1.0, False)])
def test_stud_that_ends_in_the_cover_gives_its_nut_no_thread(
    base: ProvenHead, short_mm: float, reaches: bool
) -> None:
    """A stud of the user's own that ends 1 mm below the cover's front, where the nut sits."""
    head, stack = base.head, base.head.stack
    keys = ("cover", "stud_1", "cover_nut_1")
    stud = cq.Solid.makeCylinder(head.size.stud_thread.radius_mm - 0.1, 30, cq.Vector(0, 0, -30))
    end = stack.face_z + head.size.cover_thickness_mm + short_mm
    given = some(head, *keys) if reaches else some(head, *keys, stud_1=stud.translate(cq.Vector(0, 0, end)))
    proven = prove_plan(given, plan_of([("nuts", ((("cover_nut_1",), slide()),))], keys[:2]))
    found = [(f.kind, f.part, f.by) for f in check_order(proven.graph, proven.plan)]
    assert found == ([] if reaches else [("no thread", "cover_nut_1", "stud_1")])


def test_ring_squeezed_more_than_declared_overlaps(base: ProvenHead) -> None:
    keys = ("shaft_drive", "shaft_oring_drive", "rotating_ring_drive")
    good = some(base.head, *keys)
    assert met(good) == set()
    ring = good.parts["shaft_oring_drive"]
    assert ring.elastic is not None
    stiff = dataclasses.replace(ring, elastic=Elastic(0.0, ring.solid, ring.elastic.passing))
    assert met(Assembly("some", {**good.parts, ring.key: stiff}))


def test_rotor_that_rubs_when_turned_is_named(base: ProvenHead) -> None:
    """A lug on the hub stands clear where the head is timed, and runs into a pin in the body."""
    hub = cq.Workplane().circle(23).extrude(3)
    lug = solid_of(cq.Workplane().box(4, 4, 8).translate((24.5, 0, 0)).union(hub))
    pin = solid_of(cq.Workplane().circle(2).extrude(8).translate((0, 25, -3)))
    x = base.head.stack.axis_x["drive"]
    rotor = dataclasses.replace(base.head.part("rotor_drive"), solid=lug, place=Place.at(x, 0, 0))
    body = dataclasses.replace(base.head.part("body"), solid=pin, place=Place.at(x, 0, 0))
    plan = plan_of([("on", ((("rotor_drive",), slide()),))], ("body",))
    turning = [dataclasses.replace(plan.steps[0], shaft_turn_deg=360.0)]
    plan = dataclasses.replace(plan, steps=tuple(turning))
    proven = prove_plan(Assembly("some", {"body": body, "rotor_drive": rotor}), plan)
    assert clashes(proven.ways.bodies) == []
    (found,) = turns_of(proven.ways, plan, [TurningGroup("drive", ("rotor_drive",), (x, 0, 0))])
    assert not found.clear
    assert found.touches == (("rotor_drive", "body"),)


# ---- wrong ways

TRIED = (
    "rotating_rings",
    "stationary_rings",
    "wave_springs",
    "disc_spring",
    "key_drive",
    "rotor_drive",
    "cover_on",
)


@pytest.fixture(scope="module")
def mistakes(base: ProvenHead) -> dict[tuple[str, str], Misfit]:
    """Return the mistakes of some steps by first part and name."""
    graph = base.graph(base.plan(text("assembly")), TRIED)
    found = find_misfits(base.ways, graph, [m for m in graph.moves if m.step_id in TRIED])
    return {(f.parts[0], mistake(f)): f for f in found}


def far_mm(base: ProvenHead, which: str) -> float:
    """Return how far short of home a mistake is stopped, from the dimensions of the size."""
    s, k = base.head.size, base.head.stack
    tip = 0.38 * s.large_dowel_mm  # a dowel's ends are chamfered by 0.12 of its diameter
    mouth = s.small_dowel_mm / 2 + s.fit_gap_mm + 0.6  # the holes by 0.6 mm
    return {
        "dowel in the other's hole": s.dowel_reach_mm - (mouth - tip),
        "plate on the dowels, pad down": s.dowel_reach_mm - 0.03 * s.c,
        "hub's front on the boss": k.boss_front_z - k.rotor_rear_z,
        "seat on the flats": s.collar_length_mm - k.rotating_ring_rear_z,
        # Turned over it takes the collar in as far as its face lies back behind the lapped band.
        "seat's face on the collar": s.collar_length_mm - k.rotating_ring_rear_z - FACE_RELIEF_MM,
    }[which]


@pytest.mark.parametrize(
    ("part", "words", "by", "which", "within"),
    [
        ("cover", "half turn", "body_dowel_large", "dowel in the other's hole", COARSE_MM),
        ("cover", "end for end x", "body_dowel_small", "plate on the dowels, pad down", NEAR_MM),
        ("rotor_drive", "end for end x", "body", "hub's front on the boss", NEAR_MM),
        ("rotating_ring_drive", "part turn 90", "shaft_drive", "seat on the flats", NEAR_MM),
        ("rotating_ring_drive", "end for end x", "shaft_drive", "seat's face on the collar", NEAR_MM),
    ],
)
def test_mistake_is_stopped_by_what_the_dimensions_say(
    base: ProvenHead,
    mistakes: dict[tuple[str, str], Misfit],
    part: str,
    words: str,
    by: str,
    which: str,
    within: float,
) -> None:
    fit = mistakes[part, words]
    assert (fit.verdict, fit.later, fit.weak) == ("stopped", False, False), fit
    assert by in fit.stopped_by
    assert fit.short_mm == pytest.approx(far_mm(base, which), abs=within)


@pytest.mark.parametrize(
    ("part", "words", "verdict", "by"),
    [
        ("rotating_ring_drive", "half turn", "no difference", ""),
        ("stationary_ring_drive", "part turn 90", "stopped", "seal_pin_drive_1"),
        ("stationary_ring_drive", "end for end x", "stopped", "seal_pin_drive_1"),
        ("stationary_ring_drive", "half turn", "no difference", ""),
        ("wave_spring_drive", "end for end x", "no difference", ""),
        ("rotor_drive", "half turn", "stopped", "key_drive"),
    ],
)
def test_mistake_at_the_head_is_judged_right(
    mistakes: dict[tuple[str, str], Misfit], part: str, words: str, verdict: str, by: str
) -> None:
    fit = mistakes[part, words]
    assert fit.verdict == verdict, fit
    assert by in fit.stopped_by or not by, fit
    assert not fit.weak


def test_spring_that_nothing_holds_at_an_angle_is_wrong_at_none(
    mistakes: dict[tuple[str, str], Misfit],
) -> None:
    names = {name for k, name in mistakes if k.startswith("wave_spring")}
    assert names == {"end for end x", "left out", "fitted twice"}


def test_key_left_out_goes_in_and_lets_the_rotor_turn(mistakes: dict[tuple[str, str], Misfit]) -> None:
    fit = mistakes["key_drive", "left out"]
    assert fit.verdict == "goes in"
    assert fit.wrong[-1] == Effect("nothing keyed", ("shaft_drive", "rotor_drive"))


def test_disc_spring_turned_over_bears_on_its_other_edge(
    base: ProvenHead, mistakes: dict[tuple[str, str], Misfit]
) -> None:
    fit = mistakes["disc_spring_drive", "end for end x"]
    s = base.head.size
    assert fit.verdict == "goes in"
    bears = fit.wrong[0]
    assert (bears.kind, bears.parts) == ("bears elsewhere", ("rotor_nut_drive",))
    assert bears.mm is not None
    assert bears.right_mm is not None
    wrong, right = bears.mm, bears.right_mm
    # It is pressed into the floor by 0.05 mm to see where it bears: a ring beside the edge, the cone's slope wide.
    slope = s.disc_spring_cone_mm / (s.disc_spring_outer_mm - s.disc_spring_inner_mm) * 2
    wide = 0.05 / (slope * (1 - s.disc_spring_deflection))
    assert s.disc_spring_inner_mm / 2 <= wrong <= s.disc_spring_inner_mm / 2 + wide + NEAR_MM
    assert s.disc_spring_outer_mm / 2 - wide - NEAR_MM <= right <= s.disc_spring_outer_mm / 2
    assert Effect("bears no more", ("rotor_drive",)) in fit.wrong


@pytest.mark.parametrize(("large", "small", "verdict"), [(7.2, 7.0, "stopped"), (7.2, 7.2, "no difference")])
def test_equal_dowels_stop_nothing_and_nearly_equal_ones_are_reported(
    large: float, small: float, verdict: str
) -> None:
    """Between equal dowels the cover, the same either way round, goes on either way; its drawing says it should not."""
    head = head_of(Options(), CENTRE_MM, {"large_dowel_mm": large, "small_dowel_mm": small})
    keys = ("body", "body_dowel_large", "body_dowel_small", "cover")
    proven = prove_plan(some(head, *keys), plan_of([("cover_on", ((("cover",), slide()),))], keys[:-1]))
    (pins,) = near_equal_pins(proven.ways, proven.graph)
    assert not pins.enough
    assert pins.stop_mm == pytest.approx(large - small - 2 * head.size.fit_gap_mm, abs=0.04)
    fit = next(f for f in find_misfits(proven.ways, proven.graph) if f.kind == "half turn")
    assert (fit.verdict, fit.weak) == (verdict, verdict == "stopped"), fit


def test_rotor_out_of_phase_goes_in_and_collides_when_turned(base: ProvenHead) -> None:
    graph = base.graph(base.plan(text("assembly")), {"rotor_driven"})
    move = next(m for m in graph.moves if m.step_id == "rotor_driven")
    (phase,) = timing_of(base.ways, [move], base.head.turning)
    assert isinstance(phase, TimingEvidence)
    assert phase.proven
    assert phase.limit_deg is not None
    assert phase.limit_deg < 360 / 40  # one tooth over on gears of forty teeth shows
    by = {o.offset_deg: o for o in phase.out_of_phase}
    assert by[90.0].goes_in
    assert by[90.0].collides_at_deg is not None
    assert by[180.0].collides_at_deg is None


# ---- practice


@pytest.mark.parametrize("kind", ["assembly", "disassembly"])
def test_practice_tells_what_the_order_graph_tells(
    as_shipped: Callable[[str], tuple[Plan, OrderGraph]], kind: str
) -> None:
    """From many states, right and wrong, the page's rules and the graph agree on what may come, and what is named."""
    _, graph = as_shipped(kind)
    practice = make_practice(graph)
    numbers = [m.number for m in graph.moves]
    states = [frozenset(numbers[:n]) for n in range(len(numbers))]
    states += [frozenset(numbers[n % 3 :: 3 + n % 2][: 4 + n]) for n in range(24)]
    spoken = 0
    for state in states:
        for n in (n for n in numbers if n not in state):
            reasons, against = graph.reasons(state, n), may_come(practice, state, n)
            assert bool(reasons) == bool(against), (sorted(state), n, reasons, against)
            for reason in (r for r in reasons if r.kind == "blocked"):
                movers = {m.number for m in graph.moves if set(m.parts) & set(reason.by) and m.number != n}
                assert movers & {h.move for h in against if h.rule == "blocked by"}
                spoken += 1
    assert spoken > 100


@pytest.mark.parametrize("kind", ["assembly", "disassembly"])
def test_window_of_each_step_is_what_trying_every_place_gives(
    as_shipped: Callable[[str], tuple[Plan, OrderGraph]], kind: str
) -> None:
    plan, graph = as_shipped(kind)
    for step in dict.fromkeys(m.step for m in graph.moves):
        assert graph.window(step) == tried_window(graph, step), step
        assert Why("free") not in graph.why_now(step)
    if kind == "assembly":
        by_id = {s.id: s.number for s in plan.steps}
        first = graph.moves[0].step
        assert graph.window(by_id["second_nut"]) == (first, by_id["nut_driven"] - 1)
