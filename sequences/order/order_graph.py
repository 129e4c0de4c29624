"""The graph of what must come before what, and what it answers: what may come next, why not, what may be swapped.

A *state* is the set of numbers of the moves that are done; move numbers index :attr:`OrderGraph.moves`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from ...geometry.assembly import Assembly
from ...geometry.frame import Place
from ..steps.plan import Move
from .paths import PathEvidence

State = frozenset[int]


@dataclass(frozen=True)
class PlannedMove:
    """One move of a plan with its travel and its surroundings."""

    number: int
    step: int
    step_id: str
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
    """blocks: the parts of ``then`` in place (assembly) close the way of ``first``, or those of ``first`` not yet off
    (disassembly) that of ``then``; built: one builds or takes apart the unit that the other fits or takes off."""
    part: str = ""
    by: str = ""


@dataclass(frozen=True)
class Reason:
    """Why a move may not come now."""

    kind: Literal["done", "blocked", "unbuilt", "loose", "closes in"]
    part: str
    by: tuple[str, ...] = ()
    """Parts in the way, missing from the unit, or shut out for good."""


@dataclass(frozen=True)
class OrderFault:
    """A place where the written order cannot be done."""

    kind: Literal["blocked", "no way", "loose", "no thread", "absent", "twice", "forgotten", "interlocked"]
    step: int
    step_id: str
    part: str
    by: str = ""
    """What is in the way, or the first of ``mates``."""
    move: int | None = None
    """Number of the move that cannot be done; None of a part that no move fits."""
    into: bool = True
    """Whether that move fits something, else it takes something off."""
    against: int | None = None
    """Number of the move that is interlocked with it."""
    remaining_mm: float | None = None
    """How far it stays from its place (leaving: how far it comes) where ``by`` stops it."""
    fitted_in: int | None = None
    """Number of the step that fitted ``by`` before."""
    mates: tuple[str, ...] = ()
    """What stands on the axis of a part that finds no thread."""


@dataclass(frozen=True)
class Why:
    """One thing that keeps a step where it stands.

    - *now*: ``moves`` of a later step would close its way (fitting), or it would close theirs (taking off);
    - *not earlier*: it would close the way of ``moves`` (fitting), or they would still close its own (taking off);
    - *before its unit*: a later step fits, or takes apart, the unit that it is about;
    - *after its parts*: ``moves`` build the unit that it fits, or take it off the head;
    - *holds*: ``moves`` of the next step would have nothing to sit on or in without it;
    - *held*: it would itself have nothing to sit on or in before;
    - *free*: the solids leave its place open.
    """

    kind: Literal["now", "not earlier", "before its unit", "after its parts", "holds", "held", "free"]
    moves: tuple[int, ...] = ()
    step: int | None = None
    """The later step that it is about."""


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
        move = self.moves[number]
        if number in state:
            return [Reason("done", move.parts[0])]
        found: list[Reason] = []
        unbuilt = [e for e in self.before[number].values() if e.why == "built" and e.first not in state]
        if unbuilt:
            missing = tuple(dict.fromkeys(k for e in unbuilt for k in self.moves[e.first].parts))
            found.append(Reason("unbuilt", move.parts[0], missing))
        way = [e for e in self.edges if e.why == "blocks" and self._in_the_way(e, number, state)]
        if way:
            found.append(Reason("blocked", way[0].part, tuple(dict.fromkeys(e.by for e in way))))
        if move.move.into:
            if not self._held(number, state):
                found.append(Reason("loose", move.parts[0]))
            shut = self.shut_out(state, number)
            if shut:
                out = tuple(dict.fromkeys(k for n in shut for k in self.moves[n].parts))
                found.append(Reason("closes in", move.parts[0], out))
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

    def window(self, step: int) -> tuple[int, int]:
        """Return the first and last place (step numbers) that the solids leave to a step, the others as written.

        Between them lie the places that can be reached from where it stands. A step whose place is wrong lies outside;
        where first is greater than last, no place is right while the others stay where they are.

        Raises:
            KeyError: if no move belongs to the step.
        """
        by_step: dict[int, list[int]] = {}
        for m in self.moves:
            by_step.setdefault(m.step, []).append(m.number)
        mine = by_step[step]
        needed = max((self.moves[b].step for n in mine for b in self.before[n] if b not in mine), default=-1)
        needing = min(
            (self.moves[a].step for n in mine for a in self.after[n] if a not in mine), default=None
        )
        low = needed if needed > step else min(s for s in by_step if s > needed)
        if needing is None:
            high = max(by_step)
        else:
            high = needing if needing < step else max(s for s in by_step if s < needing)
        if not low <= step <= high:
            return low, high
        return self._held_from(low, mine, by_step), self._held_until(high, mine, by_step)

    def _held_from(self, low: int, mine: Sequence[int], by_step: Mapping[int, Sequence[int]]) -> int:
        """Return the first step from ``low`` on from which the parts of ``mine`` have something to sit on or in."""
        first = self.moves[mine[0]].step
        for s in sorted((s for s in by_step if low <= s < first), reverse=True):
            if not self._all_held({n for t in by_step if t < s for n in by_step[t]}, mine):
                break
            first = s
        return first

    def _held_until(self, high: int, mine: Sequence[int], by_step: Mapping[int, Sequence[int]]) -> int:
        """Return the last step up to ``high`` up to which the steps passed over need nothing of ``mine`` to sit on."""
        last = own = self.moves[mine[0]].step
        for s in sorted(s for s in by_step if own < s <= high):
            state = {n for t in by_step if t < s and t != own for n in by_step[t]}
            if not self._all_held(state, by_step[s]):
                break
            last = s
        return last

    def _all_held(self, state: set[int], numbers: Sequence[int]) -> bool:
        """Return whether moves, one after another, leave no part without something to sit on or in."""
        for n in numbers:
            if self.moves[n].move.into and not self._held(n, state):
                return False
            state = state | {n}
        return True

    def why_now(self, step: int) -> tuple[Why, ...]:
        """Return why a step stands where it does, from the solids alone; empty if it moves nothing."""
        own = {m.number for m in self.moves if m.step == step}
        if not own:
            return ()
        earlier = [self.before[b][a] for a, b in self.arrows if b in own and a not in own]
        later = [self.before[b][a] for a, b in self.arrows if a in own and b not in own]
        shut = sorted({e.then for e in later if e.why == "blocks"})
        waiting = tuple(sorted({e.first for e in earlier if e.why == "blocks"}))
        builds = sorted({e.then for e in later if e.why == "built"})
        built = tuple(sorted({e.first for e in earlier if e.why == "built"}))
        found = []
        if shut:
            then = self.moves[shut[0]].step
            found.append(Why("now", tuple(n for n in shut if self.moves[n].step == then), then))
        if waiting:
            found.append(Why("not earlier", waiting))
        if builds:
            found.append(Why("before its unit", (builds[0],), self.moves[builds[0]].step))
        if built:
            found.append(Why("after its parts", built))
        return tuple(found or self._why_held(step) or [Why("free")])

    def _why_held(self, step: int) -> list[Why]:
        """Return how a step that closes no way is bound by what sits on or in what."""
        first, last = self.window(step)
        steps = sorted({m.step for m in self.moves})
        found = []
        if last == step != steps[-1]:
            then = steps[steps.index(step) + 1]
            found.append(Why("holds", tuple(m.number for m in self.moves if m.step == then), then))
        if first == step != steps[0]:
            found.append(Why("held"))
        return found
