"""Questions with several answers of which one is right, drawn from misfits, cards, the order, acts and values.

Which answer is right is read from evidence and plan; each wrong one is wrong by the same evidence, and near enough to
be believed: what else was tried of the part, what comes soon after, which tools other steps take.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from ...geometry.assembly import Part
from ..misfits.findings import Misfit
from ..misfits.orientation_cards import OrientationCard
from ..order.order_graph import PlannedMove
from ..proof.evidence import Evidence
from ..steps.claims import MistakeKind
from ..steps.operations import Tool
from ..steps.plan import Plan
from ..values.sourced_values import ResolvedValue
from .order_practice import OrderPractice

QuestionKind = Literal["picture", "mistake", "name", "next", "outcome", "tool", "value"]
"""Which picture is right; what is wrong here; what is this part; what comes next; what would happen if; with which
tool; which value."""
Result = Literal["stopped", "stops what follows", "goes in", "no difference"]
"""What can come of a mistake, as a question offers it."""
WhereBlank = Literal["stop and get it", "as a pump like it", "by feel", "as last time"]
"""What somebody may do about a value that is not on file."""
TURNED: tuple[MistakeKind, ...] = ("end for end", "half turn", "part turn")
"""Mistakes that a picture does not always tell from each other."""
ALL_RIGHT = "nothing"
WRONG_ANSWERS = 3
"""So many wrong answers at most."""
LEAST_WRONG = 2
LOOK_AHEAD = 10
"""So many choices after the next one are taken for what might be thought to come next."""
BY_HAND: tuple[Tool, ...] = ("hand", "cloth", "swab", "brush", "lamp")
"""Tools that so many steps take that nobody learns from being asked."""


@dataclass(frozen=True)
class Answer:
    """One answer. ``what`` is what its question asks for: a side of a pair, a kind of mistake, a part's key, the number
    of a choice, a result, a tool, a value's name, or a way out; ``part`` is the part of a mistake."""

    what: str
    right: bool = False
    part: str = ""


@dataclass(frozen=True)
class Question:
    """One question; the right answer is the first, and pages shuffle."""

    id: str
    kind: QuestionKind
    sequence: str
    step: int
    answers: tuple[Answer, ...]
    about: str = ""
    """The card, part, tool's step or value that it is about."""
    misfit: Misfit | None = None
    """What was tried, where it asks what would happen."""
    done: int | None = None
    """How many choices of the written order are done, where it asks what comes next."""


@dataclass(frozen=True)
class AskedCard:
    """A card with its pictures; ``ways`` are all kinds of mistake that it stands for."""

    id: str
    card: OrientationCard
    ways: tuple[MistakeKind, ...]


def result_of(fit: Misfit) -> Result:
    """Return what came of a mistake."""
    if fit.verdict == "stopped":
        return "stops what follows" if fit.later else "stopped"
    return fit.verdict


def make_questions(
    plan: Plan,
    evidence: Evidence,
    practice: OrderPractice,
    parts: Mapping[str, Part],
    cards: Sequence[AskedCard] = (),
    values: Mapping[str, ResolvedValue] | None = None,
) -> tuple[Question, ...]:
    """Return all questions of one sequence, in its order.

    Args:
        plan: the sequence.
        evidence: of it.
        practice: of its order.
        parts: of the assembly.
        cards: those that have pictures.
        values: of the plan's steps, on file or not.
    """
    found = [
        *_of_cards(plan, parts, cards),
        *_of_misfits(plan, evidence, parts),
        *_of_names(plan, evidence.moves, parts),
        *_of_order(plan, practice),
        *_of_tools(plan),
        *_of_values(plan, values or {}),
    ]
    return tuple(sorted(found, key=lambda q: (q.step, get_args(QuestionKind).index(q.kind), q.id)))


def _question(
    plan: Plan,
    kind: QuestionKind,
    step: int,
    name: str,
    right: Answer,
    wrong: Iterable[Answer],
    **more: object,
) -> Iterator[Question]:
    """Yield the question where there are wrong answers enough."""
    answers = (right, *list(wrong)[:WRONG_ANSWERS])
    if len(answers) > LEAST_WRONG:
        yield Question(f"{plan.sequence}-{kind}-{name}", kind, plan.sequence, step, answers, **more)  # type: ignore[arg-type]


# ---- cards: which picture is right, what is wrong here


def _of_cards(plan: Plan, parts: Mapping[str, Part], cards: Sequence[AskedCard]) -> Iterator[Question]:
    for asked in cards:
        card = asked.card
        sides = (Answer("right", True), Answer("wrong"))
        yield Question(
            f"{plan.sequence}-picture-{asked.id}", "picture", plan.sequence, card.step, sides, asked.id
        )
        if card.wrong_material:
            continue
        right = Answer(card.kind, True, card.parts[0])
        yield from _question(
            plan, "mistake", card.step, asked.id, right, _other_mistakes(plan, asked, parts), about=asked.id
        )


def _other_mistakes(plan: Plan, asked: AskedCard, parts: Mapping[str, Part]) -> Iterator[Answer]:
    """Yield what the wrong picture of a card does not show: other mistakes with its part, and with parts beside it."""
    card, lead = asked.card, asked.card.parts[0]
    shown = {*asked.ways, *(TURNED if set(asked.ways) & set(TURNED) else ())}
    if {"swapped", "other side"} & shown:
        shown.add("left out")  # the right one is not there either
    others: list[MistakeKind] = ["end for end", "left out", "fitted twice"]
    yield from (Answer(kind, part=lead) for kind in others if kind not in shown)
    yield Answer(ALL_RIGHT)
    step = next(s for s in plan.steps if s.number == card.step)
    there = {*step.present, *step.moving} if not card.opened else set(card.around)
    beside = (k for k in card.around if k in there and k not in (*card.parts, *card.wrong, *card.missing))
    yield from (Answer("left out", part=k) for k in beside if parts[k].kind != parts[lead].kind)


# ---- misfits: what would happen if


def _of_misfits(plan: Plan, evidence: Evidence, parts: Mapping[str, Part]) -> Iterator[Question]:
    groups: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in evidence.wrong_fits:
        # A round part turned about itself is no question, nor is a ring of rubber turned over.
        round_about = fit.kind in ("half turn", "part turn") or parts[fit.lead].elastic is not None
        if not (fit.same_shape and round_about):
            groups.setdefault((fit.step, fit.parts, fit.kind, fit.turn_deg, fit.other), []).append(fit)
    told: set[tuple[object, ...]] = set()
    for fits in groups.values():
        fit, results = fits[0], {result_of(f) for f in fits}
        kinds = (fit.kind, sorted(parts[k].kind for k in fit.parts), fit.other and parts[fit.other].kind)
        alike = (str(kinds), *results)
        if len(results) > 1 or alike in told:
            continue
        told.add(alike)
        (result,) = results
        name = "-".join((plan.steps[fit.step - 1].id, fit.lead, fit.kind, f"{fit.turn_deg:g}", fit.other))
        wrong = (Answer(r) for r in get_args(Result) if r != result)
        about = fit.lead
        yield from _question(
            plan,
            "outcome",
            fit.step,
            name.replace(" ", "_"),
            Answer(result, True),
            wrong,
            about=about,
            misfit=fit,
        )


# ---- parts by their names


def _of_names(plan: Plan, moves: Sequence[PlannedMove], parts: Mapping[str, Part]) -> Iterator[Question]:
    steps: dict[int, list[PlannedMove]] = {}
    for move in moves:
        steps.setdefault(move.step, []).append(move)
    asked: set[tuple[str, str]] = set()
    for step, group in steps.items():
        named = {_name(parts[k]) for m in group for k in m.parts}
        if len(named) > 1 or named <= asked:
            continue
        asked |= named
        key = group[0].parts[0]
        wrong = (Answer(k) for k in _taken_for(key, parts))
        yield from _question(plan, "name", step, key, Answer(key, True), wrong, about=key)


def _name(part: Part) -> tuple[str, str]:
    return (part.kind, part.name)


def _taken_for(key: str, parts: Mapping[str, Part]) -> list[str]:
    """Return one part of each other name, those most like ``key`` first: as elastic, threaded and large."""
    own, others = parts[key], dict[tuple[str, str], str]()
    for part in parts.values():
        if _name(part) != _name(own):
            others.setdefault(_name(part), part.key)

    def unlike(k: str) -> tuple[bool, bool, float, str]:
        other = parts[k]
        soft = (own.elastic is None) != (other.elastic is None)
        return (soft, own.thread != other.thread, _apart(own, other), k)

    return sorted(others.values(), key=unlike)


def _apart(one: Part, other: Part) -> float:
    """Return by how much two parts differ in volume, as a ratio's logarithm; 0 where no solid is known."""
    try:
        volumes = (one.volume_mm3, other.volume_mm3)
    except AttributeError:
        return 0.0
    return abs(math.log(volumes[0] / volumes[1])) if min(volumes) > 0 else 0.0


# ---- the order


def _of_order(plan: Plan, practice: OrderPractice) -> Iterator[Question]:
    for choice in practice.choices:
        done = range(choice.number)
        later = practice.choices[choice.number + 1 : choice.number + 1 + LOOK_AHEAD]
        wrong = (Answer(str(c.number)) for c in later if practice.against(done, c.number))
        right, name = Answer(str(choice.number), True), f"{choice.step_id}-{choice.number}"
        yield from _question(plan, "next", choice.step, name, right, wrong, done=choice.number)


# ---- tools


def _of_tools(plan: Plan) -> Iterator[Question]:
    used = {s.number: {o.tool for o in s.operations} for s in plan.steps}
    every = sorted({t for tools in used.values() for t in tools} - set(BY_HAND))
    for n, step in enumerate(plan.steps):
        own = sorted(used[step.number] - set(BY_HAND))
        if len(own) != 1:
            continue
        near = sorted(every, key=lambda t: _nearest(t, n, plan, used))
        wrong = (Answer(t) for t in near if t not in own and not _named(t, step.tools))
        yield from _question(plan, "tool", step.number, step.id, Answer(own[0], True), wrong, about=step.id)


def _nearest(tool: Tool, at: int, plan: Plan, used: Mapping[int, Collection[Tool]]) -> tuple[int, str]:
    """Return how many steps off a tool is used."""
    return min(abs(n - at) for n, s in enumerate(plan.steps) if tool in used[s.number]), tool


def _named(tool: Tool, listed: Iterable[str]) -> bool:
    """Return whether a step's list of tools may mean a tool: it has a word of its name."""
    words = {w for text in listed for w in text.casefold().replace("-", " ").split()}
    return any(len(w) > 3 and w in words for w in tool.casefold().replace("-", " ").split())


# ---- values


def _of_values(plan: Plan, values: Mapping[str, ResolvedValue]) -> Iterator[Question]:
    asked: set[str] = set()
    known = [v for v in values.values() if v.known and not v.doubts]
    for step in plan.steps:
        for name in (n for n in step.values if n in values and n not in asked):
            asked.add(name)
            value = values[name]
            if value.known and not value.doubts:
                wrong = (Answer(v.name) for v in known if _another(value, v))
                yield from _question(plan, "value", step.number, name, Answer(name, True), wrong, about=name)
            elif not value.known:
                first, *others = get_args(WhereBlank)
                right = Answer(first, True)
                yield from _question(
                    plan, "value", step.number, name, right, (Answer(o) for o in others), about=name
                )


def _another(value: ResolvedValue, other: ResolvedValue) -> bool:
    """Return whether ``other`` is of the same kind, and no value of it would be right for ``value``."""
    if other.name == value.name or (other.quantity, other.unit) != (value.quantity, value.unit):
        return False
    assert value.given is not None
    assert other.given is not None
    if isinstance(value.given.value, str) or isinstance(other.given.value, str):
        return str(value.given.value).casefold() != str(other.given.value).casefold()
    low, high = (max(_low(v) for v in (value, other)), min(_high(v) for v in (value, other)))
    return low > high


def _low(value: ResolvedValue) -> float:
    return -math.inf if value.low is None else value.low


def _high(value: ResolvedValue) -> float:
    return math.inf if value.high is None else value.high
