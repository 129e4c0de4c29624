"""The order that the solids force: which move must come before which, and why.

For every pair of moves: with the parts of one in place, can the other still come in along its travel (or out)? Where
not, the other must come first. The answers come from exact sweeps (:mod:`.paths`). A move is what travels as one: a
loose part, or a bench unit once it is built. Moves on a bench see only their unit.

A *state* is the set of numbers of the moves that are done; move numbers index :attr:`OrderGraph.moves`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np

from ..geometry.assembly import Assembly
from ..geometry.frame import Place
from ..geometry.overlaps import boxes_meet, gap
from .part_words import words_of_parts
from .paths import STILL, PathEvidence, Stretch, Ways, box_round, check_path, stretches_of
from .plan import Move, Plan, Step
from .travels import find_travel

State = frozenset[int]
TOUCH_MM = 0.25
"""Parts nearer than this hold each other: it spans every sliding fit."""


@dataclass(frozen=True)
class PlannedMove:
    """One move of a plan with its travel and its surroundings."""

    number: int
    step: int
    step_id: str
    title: str
    move: Move
    bench: str | None
    present: tuple[str, ...]
    """Parts that are there when its turn comes, those of earlier moves of the same step too."""
    path: PathEvidence
    poses: Mapping[str, Place] = field(default_factory=dict)

    @property
    def parts(self) -> tuple[str, ...]:
        """Keys of the parts that travel."""
        return self.move.parts


@dataclass(frozen=True)
class Edge:
    """``first`` has to come before ``then``."""

    first: int
    then: int
    why: Literal["blocks", "built"]
    """blocks: the parts of ``then`` in place (assembly) close the way of ``first``; built: ``first`` belongs to the unit
    that ``then`` fits or takes off."""
    part: str = ""
    by: str = ""


@dataclass(frozen=True)
class Reason:
    """Why a move may not come now."""

    kind: Literal["done", "blocked", "unbuilt", "loose", "closes in"]
    part: str
    by: tuple[str, ...] = ()
    """Parts in the way, missing from the unit, or shut out for good."""
    text: str = ""


@dataclass(frozen=True)
class OrderFault:
    """A place where the written order cannot be done."""

    kind: Literal["blocked", "no way", "loose", "absent", "twice", "forgotten", "interlocked"]
    step: int
    step_id: str
    part: str
    by: str
    text: str


Poses = Callable[[Step], Mapping[str, Place]]


def plan_moves(ways: Ways, plan: Plan, poses: Poses | None = None) -> list[PlannedMove]:
    """Return every move of a plan in its written order, each with its path checked.

    A move without legs gets a travel found; ``poses`` says how parts stand in a step away from their places.
    """
    planned: list[PlannedMove] = []
    for step in plan.steps:
        present = list(step.present)
        standing = poses(step) if poses else {}
        for move in step.moves:
            around = _surroundings(plan, step, ways.bodies.assembly)
            path = _path(ways, move, present, around, standing)
            planned.append(
                PlannedMove(
                    len(planned),
                    step.number,
                    step.id,
                    step.title,
                    move,
                    step.bench,
                    tuple(present),
                    path,
                    standing,
                )
            )
            if move.into:
                present += [k for k in move.parts if k not in present]
            else:
                present = [k for k in present if k not in move.parts]
    return planned


def _surroundings(plan: Plan, step: Step, assembly: Assembly) -> list[str]:
    return list(plan.units.get(step.bench, step.present)) if step.bench else list(assembly.parts)


def _path(
    ways: Ways, move: Move, present: Sequence[str], around: Sequence[str], poses: Mapping[str, Place]
) -> PathEvidence:
    keys = list(dict.fromkeys([*around, *move.parts, *present]))
    if move.legs:
        moving = box_round(ways, move.parts, poses)
        lead = lead_of(ways, move.parts)
        own = poses.get(lead, STILL) @ ways.bodies.assembly.part(lead).place
        stretches = stretches_of(move.legs, move.into, own, moving, box_round(ways, keys, poses))
        return check_path(ways, move, present, stretches, poses)
    fixed = [k for k in present if k not in move.parts]
    travel = find_travel(ways, move.parts, fixed, poses, keys)
    if travel.stretches is not None:
        found = check_path(ways, move, present, travel.stretches, poses)
        return replace(found, found=True, tried=travel.tried)
    # Nothing found: show what stops the way that gets furthest.
    direction, _, _ = max(travel.stopped_by, key=lambda s: s[1])
    box, outside = box_round(ways, move.parts, poses), box_round(ways, keys, poses)
    far = float(np.linalg.norm(np.maximum(outside[1], box[1]) - np.minimum(outside[0], box[0])))
    slide = (direction[0] * far, direction[1] * far, direction[2] * far)
    shown = check_path(ways, move, present, (Stretch(STILL, slide),), poses)
    return replace(shown, found=False, tried=travel.tried)


def lead_of(ways: Ways, parts: Iterable[str]) -> str:
    """Return the largest of ``parts``: its axis is the one they turn about."""
    return max(parts, key=lambda k: (ways.bodies.own(k).manifold.volume(), k))


@dataclass(frozen=True)
class OrderGraph:
    """What must come before what in one plan."""

    assembly: Assembly
    moves: tuple[PlannedMove, ...]
    edges: tuple[Edge, ...]
    touching: Mapping[str, frozenset[str]]
    """Part to the parts that it touches in place."""
    given: tuple[str, ...]
    units: Mapping[str, tuple[str, ...]]

    @cached_property
    def before(self) -> dict[int, dict[int, Edge]]:
        """Move to the moves that must come before it."""
        table: dict[int, dict[int, Edge]] = {m.number: {} for m in self.moves}
        for edge in self.edges:
            table[edge.then].setdefault(edge.first, edge)
        return table

    @cached_property
    def after(self) -> dict[int, dict[int, Edge]]:
        """Move to the moves that must come after it."""
        table: dict[int, dict[int, Edge]] = {m.number: {} for m in self.moves}
        for edge in self.edges:
            table[edge.first].setdefault(edge.then, edge)
        return table

    @cached_property
    def layers(self) -> tuple[tuple[int, ...], ...]:
        """Moves by how many others must come before them one after another; moves in a ring come last."""
        depth: dict[int, int] = {}
        left = {m.number for m in self.moves}
        while left:
            ready = sorted(n for n in left if not any(b in left for b in self.before[n]))
            if not ready:
                ready = sorted(left)
            level = {n: 1 + max((depth[b] for b in self.before[n] if b in depth), default=-1) for n in ready}
            depth.update(level)
            left -= set(ready)
        return tuple(
            tuple(n for n in sorted(depth) if depth[n] == d)
            for d in range(max(depth.values(), default=-1) + 1)
        )

    @cached_property
    def arrows(self) -> tuple[tuple[int, int], ...]:
        """The edges without those that follow from others: what a picture draws."""
        reach: dict[int, set[int]] = {}

        def beyond(n: int, path: frozenset[int]) -> set[int]:
            if n not in reach:
                found: set[int] = set()
                for m in self.after[n]:
                    if m not in path:
                        found |= {m} | beyond(m, path | {m})
                if len(path) == 1 or found:
                    reach[n] = found
                return found
            return reach[n]

        arrows = []
        for n in (m.number for m in self.moves):
            direct = set(self.after[n])
            far: set[int] = set()
            for m in direct:
                far |= beyond(m, frozenset({n, m}))
            arrows += [(n, m) for m in sorted(direct - far)]
        return tuple(arrows)

    def unit_of(self, move: PlannedMove) -> str:
        """Return the bench unit that a move fits or takes off as one, empty for loose parts."""
        return move.move.group if move.move.group in self.units else ""

    def in_place(self, state: Collection[int], bench: str | None) -> set[str]:
        """Return the parts that a move on ``bench`` (None: on the head) finds in place in ``state``."""
        on_bench = {m.number for m in self.moves if m.bench is not None}
        if bench is not None:
            here = [m for m in self.moves if m.bench == bench]
            moved = {k for m in here for k in m.parts}
            there = {k for k in self.units.get(bench, ()) if k not in moved}
        else:
            here = [m for m in self.moves if m.number not in on_bench]
            moved = {k for m in here for k in m.parts if m.move.into}
            there = {k for k in self.given if k not in moved}
            there |= {k for m in here if not m.move.into for k in m.parts}
        for m in here:
            if m.number in state:
                there = there | set(m.parts) if m.move.into else there - set(m.parts)
        return there

    def reasons(self, state: Collection[int], number: int) -> list[Reason]:
        """Return why move ``number`` may not come next in ``state``; empty where it may."""
        move, parts = self.moves[number], self.assembly.parts
        said = words_of_parts(parts, move.parts)
        if number in state:
            where = "in place" if move.move.into else "off"
            return [Reason("done", move.parts[0], (), f"{_start(said)} {_is(move.parts)} {where} already.")]
        found: list[Reason] = []
        blocked = [e for e in self.before[number].values() if e.why == "built" and e.first not in state]
        if blocked:
            missing = tuple(dict.fromkeys(k for e in blocked for k in self.moves[e.first].parts))
            text = f"The unit is not complete: {words_of_parts(parts, missing)} still to come."
            if not move.move.into or self.moves[blocked[0].first].bench is None:
                text = f"The unit is still on the head: {words_of_parts(parts, missing)} first."
            found.append(Reason("unbuilt", move.parts[0], missing, text))
        doing = "come in" if move.move.into else "come out"
        way = [e for e in self.edges if e.why == "blocks" and self._in_the_way(e, number, state)]
        if way:
            by = tuple(dict.fromkeys(e.by for e in way))
            text = f"{_start(said)} cannot {doing}: {words_of_parts(parts, by)} {_is(by)} in the way."
            found.append(Reason("blocked", way[0].part, by, text))
        if move.move.into:
            if not self._held(number, state):
                text = f"{_start(said)} would have nothing to sit on or in yet."
                found.append(Reason("loose", move.parts[0], (), text))
            shut = self.shut_out(state, number)
            if shut:
                out = tuple(dict.fromkeys(k for n in shut for k in self.moves[n].parts))
                text = f"Once {said} {_is(move.parts)} in place, {words_of_parts(parts, out)} could not come in any more."
                found.append(Reason("closes in", move.parts[0], out, text))
        return found

    def _in_the_way(self, edge: Edge, number: int, state: Collection[int]) -> bool:
        """Return whether ``edge`` says that a part in place now closes the way of move ``number``."""
        if self.moves[number].move.into:
            return edge.first == number and edge.then in state
        return edge.then == number and edge.first not in state

    def _held(self, number: int, state: Collection[int]) -> bool:
        move = self.moves[number]
        there = self.in_place(state, move.bench) - set(move.parts)
        return (bool(move.bench) and not there) or any(self.touching[k] & there for k in move.parts)

    def shut_out(self, state: Collection[int], number: int) -> list[int]:
        """Return the moves still to come that could no longer be done once move ``number`` is."""
        if not self.moves[number].move.into:
            return []
        before = self.before[number].values()
        return sorted({e.first for e in before if e.why == "blocks" and e.first not in state})

    def next_moves(self, state: Collection[int]) -> list[int]:
        """Return the moves that may come next and leave a way for all the others."""
        return [m.number for m in self.moves if not self.reasons(state, m.number)]

    def next_parts(self, state: Collection[int]) -> list[str]:
        """Return the parts of :meth:`next_moves`."""
        return list(dict.fromkeys(k for n in self.next_moves(state) for k in self.moves[n].parts))

    def why_not(self, state: Collection[int], part: str) -> list[Reason]:
        """Return why ``part`` may not come next in ``state``; empty where it may.

        Raises:
            KeyError: if no move of the plan carries the part.
        """
        numbers = [m.number for m in self.moves if part in m.parts]
        if not numbers:
            raise KeyError(part)
        open_ones = [n for n in numbers if n not in state] or numbers[-1:]
        return self.reasons(state, open_ones[0])

    def window(self, number: int) -> tuple[int, int]:
        """Return the first and last place in the written order (move numbers) that the solids leave to a move."""
        low = max((b for b in self.before[number]), default=-1) + 1
        high = min((a for a in self.after[number]), default=len(self.moves)) - 1
        return low, high

    def swap_faults(self, order: Sequence[int]) -> list[OrderFault]:
        """Return what speaks against doing all moves in ``order``."""
        faults: list[OrderFault] = []
        done: set[int] = set()
        for n in order:
            for reason in self.reasons(done, n):
                m = self.moves[n]
                kind: Literal["blocked", "loose"] = "loose" if reason.kind == "loose" else "blocked"
                by = reason.by[0] if reason.by else ""
                faults.append(OrderFault(kind, m.step, m.step_id, reason.part, by, reason.text))
            done.add(n)
        return faults

    def swappable(self, step: int, other: int) -> tuple[bool, str]:
        """Return whether two steps (by number) could trade places, and what speaks against it.

        Steps that move nothing hold no answer in the solids: they may look at what must be there.
        """
        order = [m.number for m in self.moves]
        early, late = sorted((step, other))
        a = [m.number for m in self.moves if m.step == early]
        b = [m.number for m in self.moves if m.step == late]
        if not a or not b:
            return False, "A step that moves no part: the solids cannot say whether it may move."
        between = [n for n in order if early < self.moves[n].step < late]
        first = [n for n in order if self.moves[n].step < early]
        rest = [n for n in order if self.moves[n].step > late]
        as_written = {(f.step_id, f.part, f.by, f.kind) for f in self.swap_faults(order)}
        new = [
            f
            for f in self.swap_faults([*first, *b, *between, *a, *rest])
            if (f.step_id, f.part, f.by, f.kind) not in as_written
        ]
        return (True, "") if not new else (False, new[0].text)

    def why_now(self, step: int) -> str:
        """Return a sentence on why a step stands where it does, from the solids alone; empty if it moves nothing."""
        mine = [m for m in self.moves if m.step == step]
        if not mine:
            return ""
        parts = self.assembly.parts
        own = {m.number for m in mine}
        later = [e for m in mine for e in self.after[m.number].values() if e.then not in own]
        earlier = [e for m in mine for e in self.before[m.number].values() if e.first not in own]
        said = words_of_parts(parts, [k for m in mine for k in m.parts])
        into = mine[0].move.into
        sentences = []
        waiting = [k for e in earlier if e.why == "blocks" for k in self.moves[e.first].parts]
        closing = [k for e in later if e.why == "blocks" for k in self.moves[e.then].parts]
        built = [k for e in earlier if e.why == "built" for k in self.moves[e.first].parts]
        if into:
            if closing:
                near = sorted({e.then for e in later if e.why == "blocks"})[0]
                name = words_of_parts(parts, self.moves[near].parts)
                sentences.append(
                    f"Now, because {name} (step {self.moves[near].step}) would close the way for {said}."
                )
            if waiting:
                sentences.append(
                    f"Not earlier, because {said} would close the way for {words_of_parts(parts, waiting)}."
                )
            if built and not waiting:
                sentences.append(f"Not before {words_of_parts(parts, built)} {_is(built)} in the unit.")
        elif waiting:
            sentences.append(
                f"Not earlier, because {words_of_parts(parts, waiting)} would still be in the way."
            )
        if not sentences:
            return f"No solid forces this place on {said}: the sequence chooses it."
        return " ".join(sentences)


def _start(words: str) -> str:
    return words[:1].upper() + words[1:]


def _is(parts: Collection[str]) -> str:
    return "is" if len(parts) == 1 else "are"


def make_order(ways: Ways, plan: Plan, moves: Sequence[PlannedMove]) -> OrderGraph:
    """Return the order graph of a plan.

    Args:
        ways: of the plan's assembly.
        plan: assembly or disassembly.
        moves: as :func:`plan_moves` returns them.
    """
    edges: list[Edge] = []
    for a, b in itertools.permutations(moves, 2):
        if a.bench == b.bench and a.move.into == b.move.into and not set(a.parts) & set(b.parts):
            found = _blocked_by(ways, a, b)
            if found:
                first, then = (a.number, b.number) if a.move.into else (b.number, a.number)
                edges.append(Edge(first, then, "blocks", *found))
        elif a.bench is not None and b.bench != a.bench and set(a.parts) <= set(b.parts):
            # A unit is built before it is fitted, and comes off before it is taken apart.
            first, then = (a.number, b.number) if a.move.into else (b.number, a.number)
            edges.append(Edge(first, then, "built"))
    return OrderGraph(
        ways.bodies.assembly, tuple(moves), tuple(edges), touching(ways), plan.given, dict(plan.units)
    )


def _blocked_by(ways: Ways, a: PlannedMove, b: PlannedMove) -> tuple[str, str] | None:
    """Return the first pair of a part of ``a`` and a part of ``b`` in place that closes its way."""
    for key in a.parts:
        pose = a.poses.get(key, STILL)
        for other in b.parts:
            other_pose = a.poses.get(other, STILL)
            for stretch in a.path.stretches:
                if ways.hit(key, other, stretch, pose, other_pose):
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
    parts = graph.assembly.parts
    for m in graph.moves:
        said = words_of_parts(parts, m.parts)
        for block in m.path.blocks:
            by = words_of_parts(parts, [block.by])
            mover = words_of_parts(parts, [block.part])
            where = _fitted_in(graph, m, block.by)
            if m.move.into:
                text = f"{_start(mover)} cannot reach its place: {by}{where} stops it {block.remaining_mm:.1f} mm before."
            else:
                text = f"{_start(mover)} cannot come out: {by}{where} stops it after {block.remaining_mm:.1f} mm."
            kind: Literal["blocked", "no way"] = "no way" if m.path.tried and not m.path.found else "blocked"
            faults.append(OrderFault(kind, m.step, m.step_id, block.part, block.by, text))
        if m.move.into and not _touches(graph, m):
            text = f"{_start(said)} would have nothing to sit on or in: nothing that is there touches it."
            faults.append(OrderFault("loose", m.step, m.step_id, m.parts[0], "", text))
    faults += _ring_faults(graph)
    faults += _count_faults(graph, plan)
    return faults


def _fitted_in(graph: OrderGraph, move: PlannedMove, by: str) -> str:
    before = [m for m in graph.moves if by in m.parts and m.number < move.number and m.bench == move.bench]
    if not move.move.into or not before:
        return ""
    return f", fitted in step {before[-1].step},"


def _touches(graph: OrderGraph, move: PlannedMove) -> bool:
    there = set(move.present) - set(move.parts)
    return (bool(move.bench) and not there) or any(graph.touching[k] & there for k in move.parts)


def _ring_faults(graph: OrderGraph) -> list[OrderFault]:
    """Two moves that each close the other's way can come in neither order."""
    faults = []
    for edge in graph.edges:
        back = graph.before[edge.first].get(edge.then)
        if edge.why == "blocks" and back and back.why == "blocks" and edge.first < edge.then:
            m = graph.moves[edge.first]
            a, b = (
                words_of_parts(graph.assembly.parts, graph.moves[n].parts) for n in (edge.first, edge.then)
            )
            text = f"{_start(a)} and {b} each close the other's way: with these travels no order works."
            faults.append(OrderFault("interlocked", m.step, m.step_id, edge.part, edge.by, text))
    return faults


def _count_faults(graph: OrderGraph, plan: Plan) -> list[OrderFault]:
    """Parts that are fitted twice, never, or moved where they are not."""
    faults: list[OrderFault] = []
    parts = graph.assembly.parts
    if plan.sequence == "inspection":
        return faults
    for m in graph.moves:
        for k in m.parts:
            there = k in m.present
            if m.move.into and there:
                text = f"{_start(words_of_parts(parts, [k]))} is in place already."
                faults.append(OrderFault("twice", m.step, m.step_id, k, "", text))
            elif not m.move.into and not there:
                text = f"{_start(words_of_parts(parts, [k]))} is not there to be taken off."
                faults.append(OrderFault("absent", m.step, m.step_id, k, "", text))
    if plan.sequence == "assembly" and plan.steps:
        last = plan.steps[-1]
        fitted = {k for m in graph.moves if m.move.into and m.bench is None for k in m.parts} | set(
            plan.given
        )
        for k in parts:
            if k not in fitted:
                text = f"{_start(words_of_parts(parts, [k]))} is never fitted."
                faults.append(OrderFault("forgotten", last.number, last.id, k, "", text))
    return faults
