"""Practice of a whole sequence: what may be chosen next, by what the solids force and by the sequence's own rules.

A learner chooses not only parts: a step that moves none (a torque, a reading, a look) is a choice too. Equal parts of
one step are one choice. A page keeps the set of choices done; :meth:`OrderPractice.against` says what speaks against
one now, and the page's script reckons the same from the same data.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from ..order.order_graph import PlannedMove
from ..proof.evidence import Evidence
from ..proof.practice import PracticeMove
from ..steps.plan import Plan, Step

HurdleKind = Literal["needs", "blocked by", "shuts out", "loose", "not there", "too late", "rule"]
Task = Literal["", "torque", "measure", "turn", "clean", "check", "work"]
"""What a step without moving parts is about; empty where parts move."""


@dataclass(frozen=True)
class Hurdle:
    """One thing that may speak against a choice.

    - *needs*, *blocked by*, *shuts out*, *loose*: what the solids force, as :class:`..proof.practice.Hindrance`;
    - *not there*: what is worked on is not in place (on the bench: not off the head) before the other choice;
    - *too late*: the other choice works on what this one takes out of reach;
    - *rule*: the sequence sets the other choice first.
    """

    kind: HurdleKind
    choice: int | None = None
    """The other choice; none of a loose part."""
    while_done: bool = False
    """Whether it speaks against this one while the other is done; else as long as it is not."""
    own: int | None = None
    """Number of the own move that it is about."""
    move: int | None = None
    """Number of the other choice's move that it is about."""
    because: str = ""
    """The reason of a rule."""

    @property
    def by_solids(self) -> bool:
        """Whether the solids stop it; else the sequence's rule does."""
        return self.kind != "rule"


@dataclass(frozen=True)
class OrderChoice:
    """One thing that a learner can choose; other choices and moves by their numbers."""

    number: int
    step: int
    step_id: str
    moves: tuple[int, ...]
    """What travels in it; none where the step moves nothing."""
    parts: tuple[str, ...]
    """What travels, or what is worked on."""
    bench: str
    """Bench unit that it belongs to, empty on the head."""
    into: bool
    task: Task
    hurdles: tuple[Hurdle, ...]
    held_by: tuple[tuple[int, ...], ...] = ()
    """For each of its parts that nothing holds from the start: choices of which one has to be done."""


@dataclass(frozen=True)
class OrderPractice:
    """All choices of one sequence in their written order."""

    sequence: str
    choices: tuple[OrderChoice, ...]

    def against(self, done: Collection[int], number: int) -> list[Hurdle]:
        """Return what speaks against choice ``number`` when ``done`` are done; empty where it may come now."""
        choice = self.choices[number]
        found = [h for h in choice.hurdles if (h.choice in done) == h.while_done]
        if any(not set(held) & set(done) for held in choice.held_by):
            found.append(Hurdle("loose"))
        return found


def make_order_practice(plan: Plan, evidence: Evidence, kinds: Mapping[str, str]) -> OrderPractice:
    """Return the practice of a plan; ``kinds`` is part key to kind of part.

    Raises:
        KeyError: if a part of the plan has no kind.
    """
    return _Maker(plan, evidence, kinds).practice()


class _Maker:
    def __init__(self, plan: Plan, evidence: Evidence, kinds: Mapping[str, str]) -> None:
        self.plan = plan
        self.moves: dict[int, PracticeMove] = {m.move: m for m in evidence.practice.moves}
        self.planned: dict[int, PlannedMove] = {m.number: m for m in evidence.moves}
        self.units = plan.units
        self.drafts = [d for s in plan.steps for d in self._drafts(s, kinds)]
        self.of_move = {m: n for n, (_, moves) in enumerate(self.drafts) for m in moves}
        self.of_step: dict[str, list[int]] = {}
        for n, (step, _) in enumerate(self.drafts):
            self.of_step.setdefault(step.id, []).append(n)
        self.hurdles: list[dict[Hurdle, None]] = [{} for _ in self.drafts]

    def _drafts(self, step: Step, kinds: Mapping[str, str]) -> list[tuple[Step, list[int]]]:
        """Return a step's choices: its moves, equal parts that are free of each other together."""
        groups: list[list[int]] = []
        for move in (m for m in self.moves.values() if m.step == step.number):
            last = groups[-1] if groups else []
            alike = last and sorted(kinds[k] for k in move.parts) == sorted(
                kinds[k] for k in self.moves[last[0]].parts
            )
            if alike and not any(self._bound(move, self.moves[n]) for n in last):
                last.append(move.move)
            else:
                groups.append([move.move])
        return [(step, group) for group in groups or [[]]]

    @staticmethod
    def _bound(one: PracticeMove, other: PracticeMove) -> bool:
        """Return whether the order of two moves matters."""
        return any(b.move in (*a.needs, *a.blocked_by, *a.shuts_out) for a, b in ((one, other), (other, one)))

    def practice(self) -> OrderPractice:
        ruled = self._rules()
        for number, (step, moves) in enumerate(self.drafts):
            for n in moves:
                self._of_solids(number, self.moves[n])
            if not moves:
                self._of_work(number, step, ruled)
        for number, other, because in ruled.values():
            self.hurdles[number][Hurdle("rule", other, because=because)] = None
        return OrderPractice(self.plan.sequence, tuple(self._choice(n) for n in range(len(self.drafts))))

    def _rules(self) -> dict[tuple[int, int], tuple[int, int, str]]:
        """Return each pair of choices that a rule sets in order, the later one first, with the reason."""
        found: dict[tuple[int, int], tuple[int, int, str]] = {}
        for rule in self.plan.rules:
            for number in self.of_step.get(rule.step, ()):
                for other in (n for step in rule.after for n in self.of_step.get(step, ())):
                    found.setdefault((number, other), (number, other, rule.because))
        return found

    def _of_solids(self, number: int, move: PracticeMove) -> None:
        told: list[tuple[HurdleKind, Iterable[int], bool]] = [("needs", move.needs, False)]
        told += [("blocked by", move.blocked_by, move.into)]
        told += [("shuts out", move.shuts_out, False)]
        for kind, others, while_done in told:
            for n in others:
                hurdle = Hurdle(kind, self.of_move[n], while_done, move.move, n)
                self.hurdles[number][hurdle] = None

    def _of_work(self, number: int, step: Step, ruled: Collection[tuple[int, int]]) -> None:
        """Note what has to be in place for a step that moves nothing, and what takes it out of reach."""

        def waits(move: PlannedMove) -> None:
            if (number, self.of_move[move.number]) not in ruled:
                hurdle = Hurdle("not there", self.of_move[move.number], move=move.number)
                self.hurdles[number][hurdle] = None

        def bars(move: PlannedMove) -> None:
            other = self.of_move[move.number]
            if (other, number) not in ruled:
                self.hurdles[other][Hurdle("too late", number, own=move.number)] = None

        worked = set(worked_on(step))
        for move in self.planned.values():
            mine = move.bench == step.bench and worked & set(move.parts)
            if mine and move.move.into:
                waits(move)
            elif mine or (step.bench and move.move.group == step.bench and move.move.into):
                bars(move)
            elif step.bench and move.move.group == step.bench:
                waits(move)

    def _choice(self, number: int) -> OrderChoice:
        step, moves = self.drafts[number]
        held = (self._held(number, self.moves[n]) for n in moves)
        return OrderChoice(
            number,
            step.number,
            step.id,
            tuple(moves),
            tuple(k for n in moves for k in self.moves[n].parts) or worked_on(step),
            step.bench or "",
            self.moves[moves[0]].into if moves else True,
            "" if moves else task_of(step),
            tuple(self.hurdles[number]),
            tuple(dict.fromkeys(h for h in held if h)),
        )

    def _held(self, number: int, move: PracticeMove) -> tuple[int, ...]:
        """Return the choices of which one holds a part; none where what is there does, or an equal one before it."""
        if not move.into or move.held:
            return ()
        earlier = [n for n in move.held_by if self.of_move[n] == number and n < move.move]
        return () if earlier else tuple(sorted({self.of_move[n] for n in move.held_by} - {number}))


def worked_on(step: Step) -> tuple[str, ...]:
    """Return the parts that a step is about and that are there when its turn comes in the written order."""
    meant = [*step.focus, *(s.part for o in step.operations for s in (*o.on, *o.between))]
    return tuple(k for k in dict.fromkeys(meant) if k in step.present)


def task_of(step: Step) -> Task:
    """Return what a step that moves no part is about."""
    verbs, tools = {o.verb for o in step.operations}, {o.tool for o in step.operations}
    if "torque wrench" in tools:
        return "torque"
    if step.measure and "measure" in verbs:
        return "measure"
    if step.shaft_turn_deg:
        return "turn"
    if verbs & {"clean", "lubricate", "anti-seize", "blow out", "dress"}:
        return "clean"
    return "check" if verbs & {"look", "feel", "press"} else "work"
