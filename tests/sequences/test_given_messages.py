"""Safety messages of a plan: each in full before its first act, at most two a step, none lost or out of place."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.steps.cautions import SEVERITY, load_cautions
from benchleaf.sequences.steps.conditions import belongs
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions
from benchleaf.sequences.steps.given_messages import MOST_IN_FULL, give_messages
from benchleaf.sequences.steps.plan import Caution, Plan, Reminder, Section, Step
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, Sequence, load_sequence
from called_cautions import is_called
from head_proofs import shape_combinations

CATALOGUE = load_cautions()
SEQUENCES = [load_sequence(kind, CATALOGUE) for kind in SHIPPED]
RAISED = elastomer_cautions(
    "EPDM", product=("fats-and-vegetable-oils",), lubricant="mineral-grease", process_c=180.0
)
BEFORE = {"steps": 86, "in full at steps": 217, "most at a step": 5}
"""What the base head's booklet held when every step gave every message in full."""


def _plan(sequence: Sequence, options: Options) -> Plan:
    """Return the plan of a head whose body and cover are too heavy to lift and whose rings suit nothing it meets."""
    parts = part_kinds(options)
    masses = {k: 50.0 for k, kind in parts.items() if kind in ("body", "cover")}
    return resolve(sequence, options, parts, mass_kg=masses, raised=RAISED)


def _called(sequence: Sequence, plan: Plan, step: Step, options: Options) -> set[str]:
    """Return the messages that the file names at a step or a condition calls for, by other means than the program's."""
    (text,) = [t for t in sequence.steps if t.id == step.id]
    parts = part_kinds(options)
    named = {n.name for n in text.cautions if belongs(n.when, options)}
    rules = [(e.id, b) for e in CATALOGUE.entries.values() for b in e.brought_by]
    return named | {i for i, b in rules if is_called(b, plan, step, options, parts)}


def check_messages(sequence: Sequence, plan: Plan, options: Options) -> None:
    """Check that every message called for is in full before its first act in each section, and nothing else is said."""
    raised = {r.caution.id for r in RAISED}
    for section in plan.sections:
        steps = [s for s in plan.steps if s.section == section.id]
        given: dict[str, int | None] = dict.fromkeys((c.id for c in section.cautions), None)
        held: set[str] = set()
        for step in steps:
            called = _called(sequence, plan, step, options)
            full = [c.id for c in step.cautions]
            short = {r.caution.id: r.step for r in step.reminders}
            assert len(full) <= MOST_IN_FULL, (step.id, full)
            assert len(full) + len(short) == len({*full, *short}), step.id
            assert called <= {*full, *short}, (step.id, called)
            assert {*full, *short} - called <= raised, step.id
            assert not given.keys() & set(full), step.id
            assert short == {i: given.get(i, -1) for i in short}, step.id
            given |= dict.fromkeys(full, step.number)
            held |= {*full, *short}
        assert {c.id for c in section.cautions} <= held, (section.id, options)


CHECKED = [*SEQUENCES, *(load_sequence(kind, CATALOGUE) for kind in CHECKLISTS)]


@pytest.mark.parametrize("sequence", CHECKED, ids=(*SHIPPED, *CHECKLISTS))
def test_every_hazard_is_given_in_full_before_its_first_act_on_every_head(sequence: Sequence) -> None:
    every = shape_combinations()
    assert len(every) == 288
    for n, shapes in enumerate(every):
        fluoro = replace(shapes, elastomer=("FKM", "FFKM")[n % 2])
        for options in (fluoro, replace(shapes, cover_oring="ptfe-encapsulated", elastomer="EPDM")):
            check_messages(sequence, _plan(sequence, options), options)


def test_the_booklet_gives_far_fewer_messages_in_full() -> None:
    plans = [resolve(s, Options(), part_kinds(Options())) for s in SEQUENCES]
    steps = [s for p in plans for s in p.steps]
    full = sum(len(s.cautions) for s in steps)
    opening = sum(len(x.cautions) for p in plans for x in p.sections)
    assert len(steps) > BEFORE["steps"]
    assert full * 2 <= BEFORE["in full at steps"]
    assert full + opening < 170
    assert max(len(s.cautions) for s in steps) == MOST_IN_FULL < BEFORE["most at a step"]


def test_the_check_finds_a_message_that_is_lost() -> None:
    sequence, options = SEQUENCES[0], Options()
    plan = _plan(sequence, options)
    at = next(n for n, s in enumerate(plan.steps) if s.reminders)
    without = replace(plan.steps[at], reminders=plan.steps[at].reminders[1:])
    with pytest.raises(AssertionError):
        check_messages(
            sequence, replace(plan, steps=(*plan.steps[:at], without, *plan.steps[at + 1 :])), options
        )
    bare = tuple(replace(s, cautions=()) for s in plan.sections)
    with pytest.raises(AssertionError):
        check_messages(sequence, replace(plan, sections=bare), options)


# ------------------------------------------------------------------ which is given where
def _message(name: str, word: str = "WARNING") -> Caution:
    return Caution(name, word, "H.", "C.", "A.")  # type: ignore[arg-type]


A, B, C, D = (_message(n) for n in "abcd")


def _step(number: int, *cautions: Caution, section: str = "s") -> Step:
    return Step(number, f"step_{number}", section, "Turn", (), cautions=cautions)


def test_a_message_that_was_given_becomes_a_reminder_that_says_where() -> None:
    steps, sections = give_messages(
        [_step(1, A, B), _step(2, B, C), _step(3, A, C, D)], [Section("s", "S", (D,))]
    )
    assert [s.cautions for s in steps] == [(A, B), (C,), ()]
    assert [s.reminders for s in steps] == [
        (),
        (Reminder(B, 1),),
        (Reminder(A, 1), Reminder(C, 2), Reminder(D, None)),
    ]
    assert sections[0].cautions == (D,)
    assert [s.messages for s in steps] == [(A, B), (C, B), (A, C, D)]


def test_what_is_too_much_for_a_step_goes_to_where_its_section_begins() -> None:
    """First what most steps hold, then the mildest."""
    mild = _message("mild", "NOTICE")
    steps, (section,) = give_messages([_step(1, A, B, C, mild), _step(2, B)], [Section("s", "S")])
    assert section.cautions == (B, mild)
    assert [s.cautions for s in steps] == [(A, C), ()]


def test_another_section_gives_its_messages_again() -> None:
    steps, _ = give_messages([_step(1, A), _step(2, A, section="t")], [Section("s", "S"), Section("t", "T")])
    assert [s.cautions for s in steps] == [(A,), (A,)]


def test_the_gravest_comes_first_wherever_it_was_named() -> None:
    words = Counter(
        c.signal_word
        for p in (_plan(s, Options()) for s in SEQUENCES)
        for x in p.sections
        for c in x.cautions
    )
    assert len(words) >= 3
    for plan in (_plan(s, Options()) for s in SEQUENCES):
        for messages in [*(x.cautions for x in plan.sections), *(s.cautions for s in plan.steps)]:
            ranks = [SEVERITY.index(c.signal_word) for c in messages]
            assert ranks == sorted(ranks)
