"""What a page needs so that a learner can try the order and be told what blocks what: plain data, ready for JSON.

A page keeps the set of moves done. A move may come next if

- every move of its ``needs`` is done (the unit that it fits is built, or off the head),
- no part in its way is there: of ``blocked_by``, none is done (fitting) or all are done (taking off),
- something that is there holds it: one of its ``held_by`` moves is done, or ``held`` says that what is there from the
  start does,
- it ``shuts_out`` no move that is still to come.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from ..order.order_graph import OrderGraph, PlannedMove

Rule = Literal["needs", "blocked by", "shuts out", "loose"]


@dataclass(frozen=True)
class Hindrance:
    """A rule that a move would break, and the other move that it is about; none of a loose part."""

    rule: Rule
    move: int | None = None


@dataclass(frozen=True)
class PracticeMove:
    """One thing that a learner can do; other moves by their number."""

    move: int
    step: int
    step_id: str
    parts: tuple[str, ...]
    bench: str
    """Bench unit that it belongs to, empty on the head."""
    into: bool
    needs: tuple[int, ...]
    blocked_by: tuple[int, ...]
    shuts_out: tuple[int, ...]
    held: bool
    held_by: tuple[int, ...]


@dataclass(frozen=True)
class Practice:
    """All moves of a plan in their written order, and the parts that are there from the start."""

    moves: tuple[PracticeMove, ...]
    given: tuple[str, ...]


def make_practice(graph: OrderGraph) -> Practice:
    """Return the practice state of a plan."""
    return Practice(tuple(_move(graph, m) for m in graph.moves), tuple(graph.given))


def _move(graph: OrderGraph, move: PlannedMove) -> PracticeMove:
    before, after = sorted(graph.before[move.number].items()), sorted(graph.after[move.number].items())
    closing = tuple(n for n, edge in before if edge.why == "blocks")
    blocked = tuple(n for n, edge in after if edge.why == "blocks") if move.move.into else closing
    there = graph.in_place((), move.bench) - set(move.parts)
    near = {n for k in move.parts for n in graph.touching[k]} - set(move.parts)
    held = not move.move.into or bool(near & there) or (move.bench is not None and not there)
    held_by = tuple(
        m.number
        for m in graph.moves
        if m.number != move.number and m.bench == move.bench and m.move.into and near & set(m.parts)
    )
    return PracticeMove(
        move.number,
        move.step,
        move.step_id,
        move.parts,
        move.bench or "",
        move.move.into,
        needs=tuple(n for n, edge in before if edge.why == "built"),
        blocked_by=blocked,
        shuts_out=closing if move.move.into else (),
        held=held,
        held_by=held_by if move.move.into else (),
    )


def may_come(practice: Practice, done: Collection[int], number: int) -> list[Hindrance]:
    """Return what speaks against move ``number`` now, by the rules that a page follows; empty where it may come."""
    move = practice.moves[number]
    found = [Hindrance("needs", n) for n in move.needs if n not in done]
    if move.into:
        found += [Hindrance("blocked by", n) for n in move.blocked_by if n in done]
        found += [Hindrance("shuts out", n) for n in move.shuts_out if n not in done]
        if not move.held and not set(move.held_by) & set(done):
            found.append(Hindrance("loose"))
    else:
        found += [Hindrance("blocked by", n) for n in move.blocked_by if n not in done]
    return found
