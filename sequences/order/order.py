"""The order that the solids force: which move must come before which, and whether the written order respects it.

For every pair of moves: with the parts of one in place, can the other still come in along its travel (or out)? Where
not, the other must come first. The answers come from exact sweeps (:mod:`.paths`). A move is what travels as one: a
loose part, or a bench unit once it is built. Moves on a bench see only their unit.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ...geometry.assembly import Assembly, Part
from ...geometry.frame import Place, Vec3
from ...geometry.meshes.closed_bodies import is_open_about_z
from ...geometry.meshes.overlaps import boxes_meet, gap
from ..steps.plan import WITHOUT_MOVES, Move, Plan, Step
from ..steps.travel_poses import Stretch
from .order_graph import Edge, OrderFault, OrderGraph, PlannedMove
from .paths import STILL, PathEvidence, Ways, box_round, check_path, stretches_of
from .travel_search import open_legs
from .turn_search import find_way

TOUCH_MM = 0.25
"""Parts nearer than this hold each other: it spans every sliding fit."""
ON_AXIS_MM = 0.5
"""Threads whose axes lie nearer than this are on one axis."""
Poses = Callable[[Step], Mapping[str, Place]]


@dataclass(frozen=True)
class Draft:
    """A move with its surroundings, its path still to be checked."""

    bare: PlannedMove
    around: tuple[str, ...]
    """Parts that it has to get clear of."""
    given: frozenset[str] = frozenset()
    """Parts that are there before the first step: no order of the steps takes them out of its way."""


def draft_moves(plan: Plan, assembly: Assembly, poses: Poses | None = None) -> list[Draft]:
    """Return every move of a plan in its written order; ``poses`` says how parts stand away from their places."""
    drafts: list[Draft] = []
    for step in plan.steps:
        present = list(step.present)
        standing = poses(step) if poses else {}
        around = tuple(plan.units.get(step.bench, step.present)) if step.bench else tuple(assembly.parts)
        for move in step.moves:
            bare = PlannedMove(
                len(drafts),
                step.number,
                step.id,
                move,
                step.bench,
                tuple(present),
                PathEvidence(move.parts, (), (), None),
                standing,
            )
            drafts.append(Draft(bare, around, frozenset(plan.given)))
            if move.into:
                present += [k for k in move.parts if k not in present]
            else:
                present = [k for k in present if k not in move.parts]
    return drafts


def with_path(ways: Ways, draft: Draft, measure_gap: bool = True) -> PlannedMove:
    """Return the move with its path checked; one without legs gets a travel found."""
    bare = draft.bare
    path = _path(ways, bare.move, bare.present, draft.around, bare.poses, measure_gap, draft.given)
    return replace(bare, path=path)


def plan_moves(
    ways: Ways, plan: Plan, poses: Poses | None = None, measure_gap: bool = True
) -> list[PlannedMove]:
    """Return every move of a plan in its written order, each with its path checked (see :func:`draft_moves`)."""
    return [with_path(ways, d, measure_gap) for d in draft_moves(plan, ways.bodies.assembly, poses)]


def _path(
    ways: Ways,
    move: Move,
    present: Sequence[str],
    around: Sequence[str],
    poses: Mapping[str, Place],
    measure_gap: bool,
    given: Collection[str] = (),
) -> PathEvidence:
    keys = list(dict.fromkeys([*around, *move.parts, *present]))
    if move.legs:
        legs = move.legs
        lead = lead_of(ways, move.parts)
        own = poses.get(lead, STILL) @ ways.bodies.assembly.part(lead).place
        if any(leg.distance_mm is None for leg in (move.legs[1:] if move.into else move.legs[:-1])):
            fixed = [k for k in present if k not in move.parts]
            legs = open_legs(ways, move.parts, fixed, legs, move.into, poses, own)
        moving = box_round(ways, move.parts, poses)
        stretches = stretches_of(legs, move.into, own, moving, box_round(ways, keys, poses))
        return check_path(ways, move, present, stretches, poses, measure_gap)
    fixed = [k for k in present if k not in move.parts]
    travel = find_way(ways, move.parts, fixed, poses, keys)
    if travel.stretches is not None:
        found = check_path(ways, move, present, travel.stretches, poses, measure_gap)
        return replace(found, found=True, tried=travel.tried)
    # Nothing found: show what is truly in the way. A way that only what other steps fitted closes is open in another
    # order, and names what was fitted too early; of several, that with the fewest in it, then the furthest.
    box, outside = box_round(ways, move.parts, poses), box_round(ways, keys, poses)
    far = float(np.linalg.norm(np.maximum(outside[1], box[1]) - np.minimum(outside[0], box[0])))

    def way(d: Vec3) -> Stretch:
        return Stretch(STILL, (d[0] * far, d[1] * far, d[2] * far))

    def rank(stopped: tuple[Vec3, float, tuple[str, ...]]) -> tuple[bool, int, float]:
        d, free, _ = stopped
        closing = _closing(ways, move.parts, fixed, way(d), poses)
        stays = not closing.isdisjoint(given)
        return stays, 0 if stays else len(closing), -free

    direction, _, _ = min(travel.stopped_by, key=rank)
    shown = check_path(ways, move, present, (way(direction),), poses)
    return replace(shown, found=False, tried=travel.tried)


def _closing(
    ways: Ways, movers: Sequence[str], fixed: Iterable[str], stretch: Stretch, poses: Mapping[str, Place]
) -> set[str]:
    """Return which of ``fixed`` close the way of ``movers`` on a stretch."""
    found = set()
    for key in movers:
        pose, role = poses.get(key, STILL), ways.role_on_the_way(key, movers)
        found |= {o for o in fixed if ways.closes(o, key, stretch, pose, poses.get(o, STILL), role)}
    return found


def lead_of(ways: Ways, parts: Iterable[str]) -> str:
    """Return the largest of ``parts``: its axis is the one they turn about."""
    return max(parts, key=lambda k: (ways.bodies.own(k).manifold.volume(), k))


def make_order(ways: Ways, plan: Plan, moves: Sequence[PlannedMove]) -> OrderGraph:
    """Return the order graph of a plan.

    Args:
        ways: of the plan's assembly.
        plan: assembly or disassembly.
        moves: as :func:`plan_moves` returns them.
    """
    edges = [e for m in moves for e in edges_of(ways, m, moves)]
    return graph_of(ways.bodies.assembly, plan, moves, edges, touching(ways))


def graph_of(
    assembly: Assembly,
    plan: Plan,
    moves: Sequence[PlannedMove],
    edges: Iterable[Edge],
    near: Mapping[str, frozenset[str]],
) -> OrderGraph:
    """Return the graph of what has been worked out already; ``near`` as :func:`touching` returns it."""
    return OrderGraph(assembly, tuple(moves), tuple(edges), near, plan.given, dict(plan.units))


def edges_of(ways: Ways, move: PlannedMove, others: Iterable[PlannedMove]) -> list[Edge]:
    """Return what ``move`` has to do with each other one; only the parts of the others matter, not their paths."""
    edges: list[Edge] = []
    for other in others:
        if other.number == move.number:
            continue
        into, same = move.move.into, set(move.parts) & set(other.parts)
        first, then = (move.number, other.number) if into else (other.number, move.number)
        if move.bench == other.bench and into == other.move.into and not same:
            found = _blocked_by(ways, move, other)
            if found:
                edges.append(Edge(first, then, "blocks", *found))
        elif move.bench is not None and other.bench != move.bench and set(move.parts) <= set(other.parts):
            # A unit is built before it is fitted, and comes off before it is taken apart.
            edges.append(Edge(first, then, "built"))
    return edges


def _blocked_by(ways: Ways, a: PlannedMove, b: PlannedMove) -> tuple[str, str] | None:
    """Return the first pair of a part of ``a`` and a part of ``b`` in place that closes its way."""
    for key in a.parts:
        pose, role = a.poses.get(key, STILL), ways.role_on_the_way(key, a.parts)
        for other in b.parts:
            other_pose = a.poses.get(other, STILL)
            for stretch in a.path.stretches:
                if ways.closes(other, key, stretch, pose, other_pose, role):
                    return key, other
    return None


def touching(ways: Ways, reach_mm: float = TOUCH_MM) -> dict[str, frozenset[str]]:
    """Return for each part the parts within ``reach_mm`` of it in place, elastic ones in their free shape."""
    keys = list(ways.bodies.assembly.parts)
    found: dict[str, set[str]] = {k: set() for k in keys}
    for a, b in itertools.combinations(keys, 2):
        if not boxes_meet(ways.bodies.box(a), ways.bodies.box(b), reach_mm):
            continue
        if gap(ways.bodies.placed(a), ways.bodies.placed(b), reach_mm) < reach_mm:
            found[a].add(b)
            found[b].add(a)
    return {k: frozenset(v) for k, v in found.items()}


def check_order(graph: OrderGraph, plan: Plan) -> list[OrderFault]:
    """Return every place where the written order cannot be done, as the solids see it."""
    faults: list[OrderFault] = []
    for m in graph.moves:
        for block in m.path.blocks:
            kind: Literal["blocked", "no way"] = "no way" if m.path.tried and not m.path.found else "blocked"
            faults.append(
                OrderFault(
                    kind,
                    m.step,
                    m.step_id,
                    block.part,
                    block.by,
                    m.number,
                    m.move.into,
                    remaining_mm=block.remaining_mm,
                    fitted_in=_fitted_in(graph, m, block.by),
                )
            )
        if m.move.into and not _touches(graph, m):
            faults.append(OrderFault("loose", m.step, m.step_id, m.parts[0], move=m.number))
        faults += _thread_faults(graph, m)
    faults += _ring_faults(graph)
    faults += _count_faults(graph, plan)
    return faults


def _fitted_in(graph: OrderGraph, move: PlannedMove, by: str) -> int | None:
    """Return the step that fitted ``by`` before a move that fits something."""
    before = [m for m in graph.moves if by in m.parts and m.number < move.number and m.bench == move.bench]
    return before[-1].step if move.move.into and before else None


def _touches(graph: OrderGraph, move: PlannedMove) -> bool:
    there = set(move.present) - set(move.parts)
    return (bool(move.bench) and not there) or any(graph.touching[k] & there for k in move.parts)


def _thread_faults(graph: OrderGraph, move: PlannedMove) -> list[OrderFault]:
    """What is screwed on an axis where a thread stands, but does not reach it."""
    parts, faults = graph.assembly.parts, []
    there = set(move.present) - set(move.parts)

    def is_open(key: str) -> bool | None:
        return is_open_about_z(parts[key])

    for k in move.parts if move.move.into else ():
        mates = thread_mates(parts, k, there, is_open) if parts[k].thread else []
        if graph.touching[k].intersection(mates):
            continue
        # One that holds another thread already is not meant for this.
        mates = [
            m for m in mates if not graph.touching[m].intersection(thread_mates(parts, m, parts, is_open))
        ]
        if mates:
            found = OrderFault("no thread", move.step, move.step_id, k, mates[0], move.number)
            faults.append(replace(found, mates=tuple(mates)))
    return faults


def thread_mates(
    parts: Mapping[str, Part], key: str, among: Iterable[str], is_open: Callable[[str], bool | None]
) -> list[str]:
    """Return which of ``among`` have a thread on the axis of part ``key``: bolts on a nut's, nuts on a bolt's.

    ``is_open`` tells :func:`.bodies.is_open_about_z` of a part by its key.
    """
    place, found = parts[key].place, []
    along = np.array(place.direction((0.0, 0.0, 1.0)))
    for k in sorted(among):
        other = parts[k]
        if k == key or not (other.thread or any(f.kind == "thread" for f in other.features)):
            continue
        off = np.array(other.place.shift) - np.array(place.shift)
        on_axis = float(np.linalg.norm(off - (off @ along) * along)) < ON_AXIS_MM
        if on_axis and {is_open(key), is_open(k)} == {True, False}:
            found.append(k)
    return found


def _ring_faults(graph: OrderGraph) -> list[OrderFault]:
    """Two moves that each close the other's way can come in neither order."""
    faults = []
    for edge in graph.edges:
        back = graph.before[edge.first].get(edge.then)
        if edge.why == "blocks" and back and back.why == "blocks" and edge.first < edge.then:
            m = graph.moves[edge.first]
            pair = (edge.part, edge.by, m.number, m.move.into, edge.then)
            faults.append(OrderFault("interlocked", m.step, m.step_id, *pair))
    return faults


def _count_faults(graph: OrderGraph, plan: Plan) -> list[OrderFault]:
    """Parts that are fitted twice, never, or moved where they are not."""
    faults: list[OrderFault] = []
    if plan.sequence in WITHOUT_MOVES:
        return faults
    for m in graph.moves:
        for k in m.parts:
            there = k in m.present
            if m.move.into and there:
                faults.append(OrderFault("twice", m.step, m.step_id, k, move=m.number))
            elif not m.move.into and not there:
                faults.append(OrderFault("absent", m.step, m.step_id, k, move=m.number, into=False))
    if plan.sequence == "assembly" and plan.steps:
        last = plan.steps[-1]
        fitted = {k for m in graph.moves if m.move.into and m.bench is None for k in m.parts} | set(
            plan.given
        )
        for k in graph.assembly.parts:
            if k not in fitted:
                faults.append(OrderFault("forgotten", last.number, last.id, k))
    return faults


__all__ = [
    "TOUCH_MM",
    "Draft",
    "OrderFault",
    "OrderGraph",
    "PlannedMove",
    "check_order",
    "draft_moves",
    "edges_of",
    "graph_of",
    "lead_of",
    "make_order",
    "plan_moves",
    "thread_mates",
    "touching",
    "with_path",
]
