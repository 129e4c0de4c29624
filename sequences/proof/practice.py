"""What a page needs so that a learner can try the order and be told what blocks what: plain data, ready for JSON.

A page keeps the set of moves done. A move may come next if

- every move of its ``needs`` is done (the unit that it fits is built, or off the head),
- no part in its way is there: of ``blocked_by``, none is done (fitting) or all are done (taking off),
- something that is there holds it: one of its ``held_by`` moves is done, or ``held`` says that what is there from the
  start does,
- it ``shuts_out`` no move that is still to come.

Each rule brings the sentence to say where it is broken.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..order.order_graph import OrderGraph, PlannedMove
from ..steps.part_words import start


@dataclass(frozen=True)
class Hindrance:
    """Another move, and what to say where it stands against this one."""

    move: int
    text: str


@dataclass(frozen=True)
class PracticeMove:
    """One thing that a learner can do."""

    move: int
    step: int
    step_id: str
    words: str
    """What it fits or takes off: ``the rotor (drive side)``."""
    parts: tuple[str, ...]
    bench: str
    """Bench unit that it belongs to, empty on the head."""
    into: bool
    needs: tuple[Hindrance, ...]
    blocked_by: tuple[Hindrance, ...]
    shuts_out: tuple[Hindrance, ...]
    held: bool
    held_by: tuple[int, ...]
    loose_text: str


@dataclass(frozen=True)
class Practice:
    """All moves of a plan in their written order, and the parts that are there from the start."""

    moves: tuple[PracticeMove, ...]
    given: tuple[str, ...]


def make_practice(graph: OrderGraph) -> Practice:
    """Return the practice state of a plan."""
    return Practice(tuple(_move(graph, m) for m in graph.moves), tuple(graph.given))


def _move(graph: OrderGraph, move: PlannedMove) -> PracticeMove:
    said = graph.said(move)
    before = graph.before[move.number]
    needs, blocked, shuts = [], [], []
    for n, edge in sorted(before.items()):
        other = graph.said(graph.moves[n])
        if edge.why == "built":
            text = (
                f"First {other}: the unit comes as one."
                if move.move.into
                else f"First {other}, off the head as one."
            )
            needs.append(Hindrance(n, text))
        elif move.move.into:
            shuts.append(Hindrance(n, f"With {said} in place, {other} could not come in any more."))
        else:
            blocked.append(Hindrance(n, f"{start(said)} cannot come out: {other} would be in the way."))
    if move.move.into:
        for n, edge in sorted(graph.after[move.number].items()):
            if edge.why == "blocks":
                other = graph.said(graph.moves[n])
                blocked.append(Hindrance(n, f"{start(said)} cannot come in: {other} would be in the way."))
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
        said,
        move.parts,
        move.bench or "",
        move.move.into,
        tuple(needs),
        tuple(blocked),
        tuple(shuts),
        held,
        held_by if move.move.into else (),
        f"{start(said)} would have nothing to sit on or in yet.",
    )


def may_come(practice: Practice, done: set[int], number: int) -> list[str]:
    """Return what speaks against move ``number`` now, by the rules that a page follows; empty where it may come."""
    move = practice.moves[number]
    said = [h.text for h in move.needs if h.move not in done]
    if move.into:
        said += [h.text for h in move.blocked_by if h.move in done]
        said += [h.text for h in move.shuts_out if h.move not in done]
        if not move.held and not done.intersection(move.held_by):
            said.append(move.loose_text)
    else:
        said += [h.text for h in move.blocked_by if h.move not in done]
    return said
