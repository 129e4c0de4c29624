"""A small invented coupling with known answers: what blocks what, how tight, which mistakes go in.

Along Z from below: housing, shaft, two dowels, key, wheel, cone washer, nut, ring, cover, two screws.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from functools import cache

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Elastic, Feature, Part
from benchleaf.geometry.frame import Place, Vec3
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.sequences.misfits.findings import Misfit
from benchleaf.sequences.order.order import make_order, plan_moves
from benchleaf.sequences.order.order_graph import OrderGraph, PlannedMove, Reason
from benchleaf.sequences.order.paths import Ways
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from sample_solids import solid_of

DOWN: Vec3 = (0.0, 0.0, -1.0)
UP: Vec3 = (0.0, 0.0, 1.0)
DOWELS = {"large": (-40.0, 20.0), "small": (40.0, -20.0)}
SCREWS = ((40.0, 20.0), (-40.0, -20.0))
FIT_MM = 0.03
"""Radial clearance of the sliding fits."""
GIVEN = ("housing", "shaft")


def turned(profile: Iterable[tuple[float, float]]) -> cq.Shape:
    """Return the solid of revolution about Z of a closed (radius, height) profile."""
    work = cq.Workplane("XZ").polyline(list(profile)).close()
    return solid_of(work.revolve(360, (0, 0, 0), (0, 1, 0)))


def _holes(depth: float, at: float, dowels: dict[str, float]) -> cq.Workplane:
    tool = cq.Workplane().workplane(offset=at)
    cuts = None
    for name, diameter in dowels.items():
        hole = tool.center(*DOWELS[name]).circle(diameter / 2 + FIT_MM).extrude(depth)
        cuts = hole if cuts is None else cuts.union(hole)
        tool = cq.Workplane().workplane(offset=at)
    assert cuts is not None
    return cuts


def _box(height: float, at: float) -> cq.Workplane:
    return cq.Workplane().workplane(offset=at).box(100, 84, height, centered=(True, True, False))


def coupling(large: float = 8.0, small: float = 6.0) -> Assembly:
    """Return the assembly; ``large`` and ``small`` are the dowels' diameters, mm."""
    diameters = {"large": large, "small": small}
    screw_holes = cq.Workplane().workplane(offset=-20).pushPoints(SCREWS).circle(2.6).extrude(20)
    housing = _box(40, -40).cut(cq.Workplane().workplane(offset=-41).circle(15 + FIT_MM).extrude(42))
    housing = housing.cut(_holes(11, -10, diameters)).cut(screw_holes)
    shaft = turned([(0, -40), (15, -40), (15, 2), (10, 2), (10, 24), (6, 24), (6, 44), (0, 44)])
    keyway = cq.Workplane().box(6.06, 4, 16.06).translate((0, 10.0, 12))
    shaft = solid_of(cq.Workplane(shaft).cut(keyway))
    key = solid_of(cq.Workplane().box(6, 4.5, 16))
    wheel = turned([(10 + FIT_MM, 2), (28, 2), (28, 24.5), (10 + FIT_MM, 24.5)])
    slot = cq.Workplane().box(6.1, 6, 40).translate((0, 10.0, 12))
    wheel = solid_of(cq.Workplane(wheel).cut(slot)).moved(cq.Location(cq.Vector(0, 0, -2)))
    washer = turned([(6.2, 0.8), (11.5, 0), (11.5, 1.2), (6.2, 2.0)])
    nut = solid_of(cq.Workplane().polygon(6, 22).circle(6 + FIT_MM).extrude(12))
    ring = cq.Solid.makeTorus(36, 1.5)
    core = cq.Solid.makeTorus(36, 1.05)
    cover = _box(50, 0).cut(cq.Workplane().circle(30).extrude(46)).cut(_holes(12, -1, diameters))
    cover = cover.cut(turned_tool([(34, -1), (38, -1), (38, 2.2), (34, 2.2)]))
    cover = cover.cut(cq.Workplane().pushPoints(SCREWS).circle(2.9).extrude(60))
    screw = solid_of(cq.Workplane().circle(2.5).extrude(-65).union(cq.Workplane().circle(4.5).extrude(5)))
    parts: dict[str, Part] = {}

    def add(key: str, kind: str, name: str, solid: cq.Shape, place: Place, **more: object) -> None:
        parts[key] = Part(key, kind, name, "steel", solid, place, **more)  # type: ignore[arg-type]

    add("housing", "housing", "Housing", solid_of(housing), Place())
    add("shaft", "shaft", "Shaft", shaft, Place())
    for which, (x, y) in DOWELS.items():
        dowel = solid_of(cq.Workplane().workplane(offset=-10).circle(diameters[which] / 2).extrude(20))
        pin = Feature(f"{which} dowel", "pin", (0, 0, 0), size_mm=diameters[which], mates="cover")
        add(f"dowel_{which}", "dowel", "Dowel", dowel, Place.at(x, y, 0), features=(pin,))
    add("key", "key", "Key", key, Place.at(0, 10.28, 12))
    keyed = Feature("keyway", "keyway", (0, 10, 10), (0, 1, 0), 6.1, "key")
    add("wheel", "wheel", "Wheel", wheel, Place.at(0, 0, 2), features=(keyed,))
    add("washer", "washer", "Cone washer", washer, Place.at(0, 0, 24.5))
    add("nut", "nut", "Nut", nut, Place.at(0, 0, 26.5), thread=True)
    add("ring", "ring", "Ring", ring, Place.at(0, 0, 1.1), elastic=Elastic(0.4, core))
    holes = tuple(
        Feature(f"{n} dowel hole", "hole", (x, y, 0), DOWN, diameters[n] + 2 * FIT_MM, "dowel")
        for n, (x, y) in DOWELS.items()
    )
    add("cover", "cover", "Cover", solid_of(cover), Place(), features=holes)
    for n, (x, y) in enumerate(SCREWS, 1):
        add(f"screw_{n}", "screw", "Screw", screw, Place.at(x, y, 50), thread=True)
    return Assembly("coupling", parts)


def turned_tool(profile: Iterable[tuple[float, float]]) -> cq.Workplane:
    """Return :func:`turned` to cut with."""
    return cq.Workplane(turned(profile))


def slide(direction: Vec3 = DOWN, mm: float | None = None, turn_deg: float = 0.0) -> tuple[Leg, ...]:
    """Return a travel of one leg."""
    return (Leg(direction, mm, turn_deg),)


ROWS: tuple[tuple[str, tuple[tuple[tuple[str, ...], tuple[Leg, ...]], ...]], ...] = (
    ("dowels", ((("dowel_large",), slide()), (("dowel_small",), slide()))),
    ("key", ((("key",), slide((0.0, -1.0, 0.0))),)),
    ("wheel", ((("wheel",), slide()),)),
    ("washer", ((("washer",), slide()),)),
    ("nut", ((("nut",), (Leg(DOWN), Leg(DOWN, 10.0, -1800.0))),)),
    ("ring", ((("ring",), slide()),)),
    ("cover", ((("cover",), slide()),)),
    ("screws", ((("screw_1",), slide()), (("screw_2",), slide()))),
)
"""Step id to its moves: parts and legs, in the right order."""


def plan_of(
    rows: Iterable[tuple[str, tuple[tuple[tuple[str, ...], tuple[Leg, ...]], ...]]] = ROWS,
    given: tuple[str, ...] = GIVEN,
    name: str = "coupling",
) -> Plan:
    """Return the assembly plan of ``rows``."""
    steps: list[Step] = []
    present = given
    for number, (step_id, moves) in enumerate(rows, 1):
        made = tuple(Move(parts, legs) for parts, legs in moves)
        steps.append(Step(number, step_id, "all", step_id, present, made))
        present = (*present, *steps[-1].moving)
    return Plan("assembly", "Assembly", name, (Section("all", "All"),), tuple(steps), given)


def backwards(plan: Plan) -> Plan:
    """Return the disassembly that undoes ``plan``."""
    steps: list[Step] = []
    present = [*plan.given, *(k for s in plan.steps for k in s.moving)]
    for number, step in enumerate(reversed(plan.steps), 1):
        moves = tuple(
            Move(
                m.parts,
                tuple(
                    dataclasses.replace(g, direction=_back(g.direction), turn_deg=-g.turn_deg)
                    for g in reversed(m.legs)
                ),
                into=False,
            )
            for m in reversed(step.moves)
        )
        steps.append(Step(number, step.id, "all", step.id, tuple(present), moves))
        present = [k for k in present if k not in step.moving]
    return dataclasses.replace(plan, sequence="disassembly", steps=tuple(steps))


def _back(d: Vec3) -> Vec3:
    return (-d[0] + 0.0, -d[1] + 0.0, -d[2] + 0.0)


def reordered(plan_rows: Iterable[str]) -> Plan:
    """Return the plan with its steps in another order, by id."""
    rows = dict(ROWS)
    return plan_of([(step_id, rows[step_id]) for step_id in plan_rows])


@dataclasses.dataclass(frozen=True)
class Proven:
    """An assembly with all that was worked out about its plan."""

    assembly: Assembly
    ways: Ways
    plan: Plan
    moves: list[PlannedMove]
    graph: OrderGraph


def prove_plan(assembly: Assembly, plan: Plan, ways: Ways | None = None) -> Proven:
    """Return everything about ``plan``; ``ways`` of the same assembly are used again."""
    ways = ways or Ways(Bodies(assembly))
    moves = plan_moves(ways, plan)
    return Proven(assembly, ways, plan, moves, make_order(ways, plan, moves))


@cache
def proven_coupling() -> Proven:
    """Return the coupling with its right plan; worked out once a run."""
    return prove_plan(coupling(), plan_of())


def mistake(fit: Misfit) -> str:
    """Return the name of a mistake by which tests ask for it: its kind, with axis, angle or the other part."""
    if fit.kind == "end for end":
        return f"{fit.kind} {fit.about}"
    if fit.kind == "part turn":
        return f"{fit.kind} {fit.turn_deg:g}"
    return f"{fit.kind} {fit.other}" if fit.other else fit.kind


def part(key: str, solid: cq.Shape, place: Place = Place(), **more: object) -> Part:  # noqa: B008 - frozen
    """Return a part with nothing more to it."""
    return Part(key, key, key, "steel", solid, place, **more)  # type: ignore[arg-type]


def assembly_of(*parts: Part) -> Assembly:
    """Return an assembly of some parts."""
    return Assembly("sample", {p.key: p for p in parts})


def tried_window(graph: OrderGraph, step: int) -> tuple[int, int]:
    """Return the places round a step's own that bring no new fault, by trying each with all moves in that order."""
    steps = list(dict.fromkeys(m.step for m in graph.moves))

    def faults(order: list[int]) -> set[tuple[int, Reason]]:
        moves = [m.number for s in order for m in graph.moves if m.step == s]
        return {(n, reason) for at, n in enumerate(moves) for reason in graph.reasons(moves[:at], n)}

    def good(place: int) -> bool:
        others = [s for s in steps if s != step]
        at = steps.index(place)
        return not faults([*others[:at], step, *others[at:]]) - as_written

    as_written, first, last = faults(steps), steps.index(step), steps.index(step)
    while first > 0 and good(steps[first - 1]):
        first -= 1
    while last < len(steps) - 1 and good(steps[last + 1]):
        last += 1
    return steps[first], steps[last]
