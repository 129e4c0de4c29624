"""Practice: the learner picks what comes next; the page knows from the solids what blocks what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ...sequences.proof.assembly_proof import AssemblyProof
from ...sequences.proof.evidence import Evidence
from ...sequences.proof.practice import Hindrance, PracticeMove
from ...sequences.steps.part_words import start
from ...sequences.steps.plan import Plan

PAGE = "practice.html"


@dataclass(frozen=True)
class PracticeRow:
    """One move in words, for a page without script."""

    words: str
    bench: str
    before: tuple[str, ...]
    """What has to be done first."""
    after: tuple[str, ...]
    """What it would be in the way of, or shut out by."""


@dataclass(frozen=True)
class PracticeView:
    """The practice of one sequence: the page's data, and the same in words."""

    id: str
    title: str
    into: bool
    data: dict[str, Any]
    rows: tuple[PracticeRow, ...]


def make_practices(plans: Sequence[Plan], proof: AssemblyProof) -> tuple[PracticeView, ...]:
    """Return the practice of every sequence that moves parts."""
    return tuple(
        _practice(p, proof.by_sequence[p.sequence]) for p in plans if p.sequence in proof.by_sequence
    )


def _practice(plan: Plan, evidence: Evidence) -> PracticeView:
    moves = evidence.practice.moves
    titles = {s.number: s.title for s in plan.steps}
    data = {
        "sequence": plan.sequence,
        "moves": [
            {
                "words": _named(m),
                "bench": plan.unit_titles.get(m.bench, m.bench),
                "step": m.step,
                "title": titles[m.step],
                "why": evidence.why_now(m.step),
                "into": m.into,
                "needs": _pairs(m.needs),
                "blocked": _pairs(m.blocked_by),
                "shuts": _pairs(m.shuts_out),
                "held": m.held,
                "heldBy": list(m.held_by),
                "loose": m.loose_text,
            }
            for m in moves
        ],
    }
    rows = tuple(
        PracticeRow(
            _named(m),
            plan.unit_titles.get(m.bench, m.bench),
            tuple(dict.fromkeys(_named(moves[h.move]) for h in _first(m))),
            tuple(dict.fromkeys(_named(moves[h.move]) for h in m.blocked_by)) if m.into else (),
        )
        for m in moves
    )
    return PracticeView(plan.sequence, plan.title, any(m.into for m in moves), data, rows)


def _first(move: PracticeMove) -> tuple[Hindrance, ...]:
    """Return what has to be done before a move: what it needs, what it would shut out, or what is still in its way."""
    return (*move.needs, *move.shuts_out, *(() if move.into else move.blocked_by))


def _named(move: PracticeMove) -> str:
    return start(move.words.removeprefix("the "))


def _pairs(of: Sequence[Hindrance]) -> list[tuple[int, str]]:
    return [(h.move, h.text) for h in of]
