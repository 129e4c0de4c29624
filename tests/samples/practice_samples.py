"""Practice of a real head, and a judge of it that goes by the order graph and by what lies where, not by its data."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection
from functools import cache

from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.order.order_graph import OrderGraph
from benchleaf.sequences.proof.evidence import Evidence, StepReason
from benchleaf.sequences.proof.practice import make_practice
from benchleaf.sequences.reach.tool_places import PlanReach
from benchleaf.sequences.steps.plan import Plan, Step
from benchleaf.sequences.steps.sequence_file import load_sequence
from benchleaf.sequences.training.order_practice import OrderChoice, OrderPractice, make_order_practice
from head_proofs import ProvenHead, head_of
from named_parts import bare_evidence

BASE = Options()
RICH = Options(rotor="three-lobe", seal="double", cover="relief", ports="sideways")
"""A head with most steps."""


@dataclasses.dataclass(frozen=True)
class Practised:
    """A plan with its order graph, evidence of its order alone, and the practice made of them."""

    plan: Plan
    graph: OrderGraph
    evidence: Evidence
    practice: OrderPractice

    def verdict(self, done: Collection[int], number: int) -> set[str]:
        """Return by what a choice is wrong now: ``solids``, ``rule``, both, or neither where it may come."""
        choice, choices = self.practice.choices[number], self.practice.choices
        moved = {m for n in done for m in choices[n].moves}
        open_steps = {c.step_id for c in choices if c.number not in done}
        wrong: set[str] = set()
        after = set(moved)
        for m in choice.moves:
            if self.graph.reasons(after, m):
                wrong.add("solids")
            after.add(m)
        step = self._step(choice)
        if not choice.moves and not self._can_be_worked_on(step, moved):
            wrong.add("solids")
        for other in (c for c in choices if not c.moves and c.number not in done and c.number != number):
            if choice.moves and self._lost(self._step(other), choice):
                wrong.add("solids")
        for rule in self.plan.rules:
            if rule.step == choice.step_id and open_steps & set(rule.after):
                wrong.add("rule")
        return wrong

    def _step(self, choice: OrderChoice) -> Step:
        return next(s for s in self.plan.steps if s.number == choice.step)

    def _works_on(self, step: Step) -> set[str]:
        meant = {*step.focus, *(s.part for o in step.operations for s in (*o.on, *o.between))}
        return meant & set(step.present)

    def _can_be_worked_on(self, step: Step, moved: set[int]) -> bool:
        there = self.graph.in_place(moved, step.bench)
        whole = [m for m in self.graph.moves if step.bench and m.move.group == step.bench]
        on_bench = all((m.number in moved) != m.move.into for m in whole)
        return self._works_on(step) <= there and on_bench

    def _lost(self, step: Step, choice: OrderChoice) -> bool:
        """Return whether a choice takes away what a step that is still to come works on."""
        moves = [self.graph.moves[m] for m in choice.moves]
        gone = {k for m in moves if not m.move.into and m.bench == step.bench for k in m.parts}
        fitted = any(m.move.into and step.bench and m.move.group == step.bench for m in moves)
        return bool(gone & self._works_on(step)) or fitted


@cache
def proven_head(options: Options) -> ProvenHead:
    """Return a head whose plans share what is worked out."""
    return ProvenHead(head_of(options))


@cache
def practised(kind: str, options: Options = BASE) -> Practised:
    """Return the practice of a shipped sequence over a head, worked out once."""
    head = proven_head(options)
    plan = head.plan(load_sequence(kind))
    return practice_of(plan, head.graph(plan), head.kinds)


def practice_of(plan: Plan, graph: OrderGraph, kinds: dict[str, str]) -> Practised:
    """Return the practice of a plan whose order is worked out."""
    reasons = tuple(
        StepReason(s, "", *graph.window(s), graph.why_now(s))
        for s in dict.fromkeys(m.step for m in graph.moves)
    )
    evidence = bare_evidence(
        sequence=plan.sequence,
        moves=graph.moves,
        edges=graph.edges,
        arrows=graph.arrows,
        layers=graph.layers,
        practice=make_practice(graph),
        reasons=reasons,
        reach=PlanReach(),
    )
    return Practised(plan, graph, evidence, make_order_practice(plan, evidence, kinds))
