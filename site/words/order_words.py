"""Sentences about the order: why a step stands where it does, where it or its tools fail, what a learner is told."""

from __future__ import annotations

from collections.abc import Sequence

from ...sequences.order.order_graph import OrderFault, PlannedMove, Why
from ...sequences.proof.evidence import Evidence, StepReason
from ...sequences.reach.tool_places import ReachFound
from ...sequences.training.order_practice import HurdleKind
from .part_names import PartNames, start


def why_words(names: PartNames, evidence: Evidence, step: int) -> str:
    """Return why a step stands where it does; empty where it moves nothing."""
    return " ".join(
        why_sentence(names, evidence.moves, reason, why)
        for reason in evidence.reasons
        if reason.step == step
        for why in reason.why
    )


def why_sentence(names: PartNames, moves: Sequence[PlannedMove], reason: StepReason, why: Why) -> str:
    """Return one thing that keeps a step where it stands, as a sentence."""
    own = [m for m in moves if m.step == reason.step]
    key = f"why.{why.kind.replace(' ', '_')}"
    if why.kind not in ("holds", "held", "free"):
        key += "_in" if own[0].move.into else "_out"
    these, others = names.moves(own), names.moves([moves[n] for n in why.moves])
    return start(names.words(key, these=these, others=others, step=why.step))


def fault_sentence(names: PartNames, moves: Sequence[PlannedMove], fault: OrderFault) -> str:
    """Return a place where the written order cannot be done, as a sentence."""
    w, part, by = names.words, names.several([fault.part]), names.several([fault.by] if fault.by else [])
    if fault.kind in ("blocked", "no way"):
        key = "order_fault.blocked_out"
        if fault.into:
            key = "order_fault.blocked_in" if fault.fitted_in is None else "order_fault.blocked_in_fitted"
        text = w(key, part=part, by=by, mm=f"{fault.remaining_mm or 0.0:.1f}", step=fault.fitted_in)
    elif fault.kind == "loose" and fault.move is not None:
        text = w("order_fault.loose", parts=names.moves([moves[fault.move]]))
    elif fault.kind == "no thread":
        text = w("order_fault.no_thread", part=part, mates=names.several(fault.mates), count=len(fault.mates))
    elif fault.kind == "interlocked" and fault.move is not None and fault.against is not None:
        one, other = (names.several(moves[n].parts) for n in (fault.move, fault.against))
        text = w("order_fault.interlocked", one=one, other=other)
    else:
        text = w(f"order_fault.{fault.kind}", part=part)
    return start(text)


def reach_sentence(names: PartNames, found: ReachFound) -> str:
    """Return what keeps a tool from its work, as a sentence."""
    key = found.fault.replace(" ", "_")
    if found.fault == "does not reach" and found.part:
        key = "too_narrow" if found.part != found.at.part else key
    at = names.the(found.at.part)
    fields = {
        "tool": names.words(f"reach_tool.{found.tool.replace(' ', '_').replace('-', '_')}"),
        "at": names.words("reach_fault.at", surface=found.at.surface, part=at) if found.at.surface else at,
        "part": names.the(found.part) if found.part else "",
        "mm": f"{found.millimetres:.2f}",
        "deg": f"{found.millimetres:.0f}",
    }
    return start(names.words(f"reach_fault.{key}", **fields))


def hurdle_sentence(
    names: PartNames,
    kind: HurdleKind,
    into: bool,
    own: Sequence[PlannedMove],
    others: Sequence[PlannedMove],
    title: str,
) -> str:
    """Return what by the solids speaks against a choice of a learner, as a sentence.

    Args:
        names: of the parts.
        kind: any but a rule, which brings its own sentence.
        into: whether what it is about is fitted, else it is taken off.
        own: moves of the choice that it is about.
        others: moves of the other choice.
        title: what the other choice is called.
    """
    key = f"practice_rule.{kind.replace(' ', '_')}"
    if kind not in ("shuts out", "loose"):
        key += "_in" if into else "_out"
    this, other = (names.moves(moves) for moves in (own, others))
    return start(names.words(key, this=this, other=other, title=title))
