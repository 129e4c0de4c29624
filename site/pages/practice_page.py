"""Practice: the learner picks what comes next; the page knows from the solids what blocks what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ...geometry.assembly import Assembly
from ...sequences.proof.assembly_proof import AssemblyProof
from ...sequences.proof.evidence import Evidence
from ...sequences.proof.practice import Hindrance, PracticeMove, Rule
from ...sequences.steps.plan import Plan
from ..words.catalogue import Words
from ..words.order_words import hindrance_sentence, why_words
from ..words.part_names import PartNames

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


def make_practices(
    assembly: Assembly, plans: Sequence[Plan], proof: AssemblyProof, words: Words
) -> tuple[PracticeView, ...]:
    """Return the practice of every sequence that moves parts."""
    return tuple(
        _practice(PartNames(words, assembly.parts, p), p, proof.by_sequence[p.sequence])
        for p in plans
        if p.sequence in proof.by_sequence
    )


def _practice(names: PartNames, plan: Plan, evidence: Evidence) -> PracticeView:
    moves = evidence.practice.moves
    titles = {s.number: s.title for s in plan.steps}

    def named(number: int) -> str:
        return names.moves_title([evidence.moves[number]])

    def told(move: PracticeMove, rule: Rule, others: Sequence[int]) -> list[tuple[int, str]]:
        return [(n, hindrance_sentence(names, evidence.moves, move, Hindrance(rule, n))) for n in others]

    data = {
        "sequence": plan.sequence,
        "moves": [
            {
                "words": named(m.move),
                "bench": names.unit(m.bench) if m.bench else "",
                "step": m.step,
                "title": titles[m.step],
                "why": why_words(names, evidence, m.step),
                "into": m.into,
                "needs": told(m, "needs", m.needs),
                "blocked": told(m, "blocked by", m.blocked_by),
                "shuts": told(m, "shuts out", m.shuts_out),
                "held": m.held,
                "heldBy": list(m.held_by),
                "loose": hindrance_sentence(names, evidence.moves, m, Hindrance("loose")),
            }
            for m in moves
        ],
    }
    rows = tuple(
        PracticeRow(
            named(m.move),
            names.unit(m.bench) if m.bench else "",
            tuple(named(n) for n in _first(m)),
            tuple(named(n) for n in m.blocked_by) if m.into else (),
        )
        for m in moves
    )
    return PracticeView(plan.sequence, plan.title, any(m.into for m in moves), data, rows)


def _first(move: PracticeMove) -> tuple[int, ...]:
    """Return what has to be done before a move: what it needs, what it would shut out, or what is still in its way."""
    return (*move.needs, *move.shuts_out, *(() if move.into else move.blocked_by))
