"""Questions: of each one answer is right, and every other is wrong by the evidence."""

from __future__ import annotations

import dataclasses
from collections import Counter
from decimal import Decimal
from functools import cache
from typing import get_args

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.misfits.findings import LATER
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.prove import prove
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.training.order_practice import make_order_practice
from benchleaf.sequences.training.questions import (
    ALL_RIGHT,
    LEAST_WRONG,
    WRONG_ANSWERS,
    AskedCard,
    Question,
    QuestionKind,
    Result,
    make_questions,
)
from benchleaf.sequences.values.head_values import blank_values
from benchleaf.sequences.values.sourced_values import ResolvedValue, Source, SourcedValue, limits_in
from practice_samples import BASE, practised
from proof_samples import coupling, plan_of

CASES = [("assembly", BASE), ("disassembly", BASE)]
IDS = [kind for kind, _ in CASES]
SHEET = Source("Invented Works, data sheet IW-80", "3", "4")


@cache
def proven() -> tuple[Plan, Evidence]:
    plan = plan_of()
    return plan, prove(coupling(), plan, workers=1)


@cache
def of_coupling() -> tuple[Question, ...]:
    plan, evidence = proven()
    parts = coupling().parts
    practice = make_order_practice(plan, evidence, {k: p.kind for k, p in parts.items()})
    cards = [AskedCard(c.id, c, (c.kind,)) for c in (*evidence.cards, *evidence.asked)]
    return make_questions(plan, evidence, practice, parts, cards)


@cache
def of_head(kind: str, options: Options) -> tuple[Question, ...]:
    p = practised(kind, options)
    return make_questions(p.plan, p.evidence, p.practice, p.graph.assembly.parts, (), values())


def given(name: str, value: SourcedValue) -> ResolvedValue:
    blank = blank_values()[name]
    limits = {}
    if not isinstance(value.value, str):
        low, high = value.span or (value.value, value.value)
        assert low is not None
        assert high is not None
        limits = {"low": float(low), "high": float(high)}
    return dataclasses.replace(blank, given=value, **limits)  # type: ignore[arg-type]


@cache
def values() -> dict[str, ResolvedValue]:
    """Three torques, of which two are one figure; three agents, of which two are one; the others blanks."""
    on_file = {
        "rotor_nut_torque": SourcedValue(Decimal(85), "N·m", SHEET, "2030-01-01"),
        "body_screw_torque": SourcedValue(Decimal(25), "N·m", SHEET, "2030-01-01"),
        "cover_nut_torque": SourcedValue(Decimal(25), "N·m", SHEET, "2030-01-01"),
        "relief_screw_torque": SourcedValue(Decimal(12), "N·m", SHEET, "2030-01-01"),
        "cleaning_agent": SourcedValue("mild soap", "", SHEET, "2030-01-01"),
        "assembly_lubricant": SourcedValue("silicone grease", "", SHEET, "2030-01-01"),
        "anti_seize": SourcedValue("Silicone grease", "", SHEET, "2030-01-01"),
        "seal_face_lubricant": SourcedValue("clean water", "", SHEET, "2030-01-01"),
    }
    return {**blank_values(), **{name: given(name, v) for name, v in on_file.items()}}


def every() -> list[Question]:
    return [*of_coupling(), *(q for case in CASES for q in of_head(*case))]


def of(kind: QuestionKind, questions: tuple[Question, ...]) -> list[Question]:
    return [q for q in questions if q.kind == kind]


def test_each_has_one_right_answer_and_few_others() -> None:
    for q in every():
        assert [a.right for a in q.answers] == [True] + [False] * (len(q.answers) - 1), q.id
        least = 1 if q.kind == "picture" else LEAST_WRONG
        assert least <= len(q.answers) - 1 <= WRONG_ANSWERS
        assert len({(a.what, a.part) for a in q.answers}) == len(q.answers)
    for questions in (of_coupling(), *(of_head(*c) for c in CASES)):
        assert len({q.id for q in questions}) == len(questions)
    assert {q.kind for q in every()} == set(get_args(QuestionKind))


@pytest.mark.parametrize(("kind", "options"), CASES, ids=IDS)
def test_what_may_not_come_next_is_stopped_by_the_graph_or_a_rule(kind: str, options: Options) -> None:
    p, asked = practised(kind, options), of("next", of_head(kind, options))
    assert len(asked) > len(p.practice.choices) / 2
    for q in asked:
        assert q.done is not None
        told = {int(a.what): p.verdict(range(q.done), int(a.what)) for a in q.answers}
        assert [n for n, wrong in told.items() if not wrong] == [int(q.answers[0].what)], q.id
        assert min(told) >= q.done


@pytest.mark.parametrize(("kind", "options"), CASES, ids=IDS)
def test_a_part_that_is_taken_for_another_has_another_name_and_does_not_move(
    kind: str, options: Options
) -> None:
    p, asked = practised(kind, options), of("name", of_head(kind, options))
    parts = p.graph.assembly.parts
    assert len(asked) >= 10
    for q in asked:
        moving = {parts[k].name for k in p.plan.steps[q.step - 1].moving}
        assert moving == {parts[q.answers[0].what].name}
        assert not {parts[a.what].name for a in q.answers[1:]} & moving
    rings = next(q for q in asked if parts[q.about].elastic is not None)
    assert all(parts[a.what].elastic is not None for a in rings.answers), "rubber is taken for rubber"


@pytest.mark.parametrize(("kind", "options"), CASES, ids=IDS)
def test_a_wrong_tool_is_nowhere_in_its_step(kind: str, options: Options) -> None:
    p, asked = practised(kind, options), of("tool", of_head(kind, options))
    assert len(asked) >= 5
    for q in asked:
        step = p.plan.steps[q.step - 1]
        assert q.answers[0].what in {o.tool for o in step.operations}
        told = " ".join((*step.acts, *step.look, *step.tools, *(m.method for m in step.measure))).casefold()
        for a in q.answers[1:]:
            assert a.what not in {o.tool for o in step.operations}
            assert a.what.casefold() not in told, (q.id, a.what)


def test_a_wrong_value_is_on_file_for_something_else_and_right_for_nothing_here() -> None:
    asked = {q.about: q for q in of("value", of_head("assembly", BASE))}
    torque = asked["rotor_nut_torque"]
    assert {a.what for a in torque.answers[1:]} == {
        "body_screw_torque",
        "cover_nut_torque",
        "relief_screw_torque",
    }
    same = {a.what for a in asked["cover_nut_torque"].answers}
    assert "body_screw_torque" not in same, "25 N·m is right for both"
    assert {a.what for a in asked["assembly_lubricant"].answers[1:]} == {
        "cleaning_agent",
        "seal_face_lubricant",
    }
    for q in asked.values():
        own = values()[q.about]
        if not own.known:
            assert q.answers[0].what == "stop and get it"
            continue
        for a in q.answers[1:]:
            other = values()[a.what]
            if own.quantity == "text":
                assert str(own.given.value).casefold() != str(other.given.value).casefold()  # type: ignore[union-attr]
            else:
                (low, high), (least, most) = limits_in(own, own.unit), limits_in(other, own.unit)
                assert None not in (low, high, least, most)
                assert most < low or high < least  # type: ignore[operator]


CAME_OF: dict[str, Result] = {"goes in": "goes in", "no difference": "no difference"}


def test_what_would_happen_is_what_the_proof_found_on_every_way_of_the_mistake() -> None:
    _, evidence = proven()
    asked = of("outcome", of_coupling())
    results = Counter(q.answers[0].what for q in asked)
    assert set(results) == set(get_args(Result)), "each result is the right one somewhere"
    for q in asked:
        assert q.misfit is not None
        alike = [
            f
            for f in evidence.wrong_fits
            if (f.step, f.parts, f.kind, f.turn_deg, f.other)
            == (q.misfit.step, q.misfit.parts, q.misfit.kind, q.misfit.turn_deg, q.misfit.other)
        ]
        found = {
            CAME_OF.get(f.verdict, "stops what follows" if f.outcome in LATER else "stopped") for f in alike
        }
        assert found == {q.answers[0].what}
        assert not found & {a.what for a in q.answers[1:]}


def test_what_the_wrong_picture_shows_is_the_right_answer_alone() -> None:
    _, evidence = proven()
    cards = {c.id: c for c in (*evidence.cards, *evidence.asked)}
    asked = of("mistake", of_coupling())
    assert len(asked) >= len(cards) / 2
    for q in asked:
        card, own = cards[q.about], q.answers[0]
        assert (own.what, own.part) == (card.kind, card.parts[0])
        shown = set(card.wrong) | set(card.around)
        for a in q.answers[1:]:
            if a.what == ALL_RIGHT:
                assert card.wrong != card.right or card.missing or card.second, "something is wrong"
            elif a.what == "left out":
                assert a.part in shown, "it is there to be seen"
                assert a.part not in card.missing
            elif a.what == "fitted twice":
                assert a.part not in card.second
            else:
                assert a.what == "end for end"
                turned = card.kind in ("end for end", "half turn", "part turn")
                assert not turned
                right, wrong = card.right.get(a.part), card.wrong.get(a.part)
                assert (
                    wrong is None
                    or right is None
                    or wrong.direction((0.0, 0.0, 1.0)) == pytest.approx(right.direction((0.0, 0.0, 1.0)))
                )


def test_each_card_asks_which_picture_is_right() -> None:
    _, evidence = proven()
    asked = of("picture", of_coupling())
    assert {q.about for q in asked} == {c.id for c in (*evidence.cards, *evidence.asked)}
    assert all([a.what for a in q.answers] == ["right", "wrong"] for q in asked)
