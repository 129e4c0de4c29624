"""What stands for the placeholders of steps, in every combination of options that changes a text."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.engineering.preload import TorqueDoubt
from benchleaf.sequences.steps.conditions import all_options, option_values
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions
from benchleaf.sequences.steps.plan import Plan, Step
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.sequences.values.head_values import blank_values, resolve_values
from benchleaf.sequences.values.sourced_values import ResolvedValue
from benchleaf.site.words.catalogue import MissingWord, Words, load_words
from benchleaf.site.words.plan_words import option_in_words, plan_in_words
from head_samples import sourced

WORDS = load_words("en")
SEQUENCES = {name: load_sequence(name) for name in (*SHIPPED, *CHECKLISTS)}


def choices(options: Options) -> dict[str, str | bool]:
    return {f.name: getattr(options, f.name) for f in fields(options)}


def filled(
    name: str,
    options: Options | None = None,
    values: dict[str, ResolvedValue] | None = None,
    left_hand: tuple[str, ...] = (),
    **counts: int,
) -> Plan:
    options = options or Options()
    parts = part_kinds(options, **counts)
    plan = resolve(SEQUENCES[name], options, parts, left_hand=left_hand)
    given = resolve_values({}, options) if values is None else values
    return plan_in_words(plan, parts, WORDS, choices(options), given, left_hand)


def step_of(plan: Plan, id: str) -> Step:
    return next(s for s in plan.steps if s.id == id)


def texts_of(plan: Plan) -> list[str]:
    return [
        text
        for s in plan.steps
        for text in (
            s.title, *s.acts, *s.look, s.why, *s.tools, *s.supplies,
            *(t for m in s.measure for t in (m.text, m.method)),
            *(t for c in s.cautions for t in (c.hazard, c.consequence, c.avoidance)),
        )
    ]  # fmt: skip


@pytest.mark.parametrize("name", SEQUENCES)
def test_no_placeholder_is_left(name: str) -> None:
    for options in all_options("seal", "cover", "cover_nuts", "cover_oring", "elastomer"):
        for text in texts_of(filled(name, options)):
            assert "{" not in text, text


@pytest.mark.parametrize("studs", [4, 6])
@pytest.mark.parametrize("pins", [1, 2, 3, 4])
def test_counts_of_a_size_reach_the_text(studs: int, pins: int) -> None:
    plan = filled("assembly", Options(seal="double", cover="relief"), studs=studs, seal_pins=pins)
    count = {1: "one", 2: "two", 3: "three", 4: "four", 6: "six", 8: "eight"}
    assert f"Start all {count[studs]} nuts by hand" in step_of(plan, "cover_nuts").acts[1]
    assert f"each of the {count[2 * pins]} anti-rotation pins" in step_of(plan, "inspect_body").acts[2]


def test_more_than_a_dozen_are_counted_in_figures() -> None:
    plan = Plan(
        "assembly", "Assembly", "A", (), (Step(1, "s", "s", "{count:pin} pins, {count:lid} lid", ()),)
    )
    parts = {**{f"pin_{n}": "pin" for n in range(13)}, "lid": "lid"}
    assert plan_in_words(plan, parts, WORDS).steps[0].title == "13 pins, one lid"


def test_threads_turn_by_their_hand() -> None:
    right = filled("assembly")
    assert "(clockwise)" in step_of(right, "nut_drive").acts[1]
    left = filled("assembly", left_hand=("rotor_nut",))
    assert "(anticlockwise)" in step_of(left, "nut_drive").acts[1]
    assert "(clockwise)" in step_of(left, "cover_nuts").acts[1]
    assert any("(anticlockwise)" in t for t in texts_of(filled("disassembly")))


def test_a_value_on_file_stands_in_the_text_and_a_missing_one_is_a_blank() -> None:
    act = step_of(filled("assembly"), "torque_drive").acts[1]
    assert act == "Tighten with one steady pull to ________\u00a0N·m (not on file)."
    values = resolve_values({"rotor_nut_torque": sourced("85", "N·m", threads="dry")}, Options())
    act = step_of(filled("assembly", values=values), "torque_drive").acts[1]
    assert act == "Tighten with one steady pull to 85\u00a0N·m (62.7\u00a0lbf·ft), threads dry."
    doubt = TorqueDoubt("too low", True, 85.0, "dry", 1.0, 2.0)
    doubted = {**values, "rotor_nut_torque": replace(values["rotor_nut_torque"], doubts=(doubt,))}
    act = step_of(filled("assembly", values=doubted), "torque_drive").acts[1]
    assert act == (
        "Tighten with one steady pull to 85\u00a0N·m (62.7\u00a0lbf·ft), threads dry (in doubt: see the figures before "
        "you use it)."
    )


def test_a_text_that_is_not_on_file_is_a_blank_without_a_unit() -> None:
    plan = Plan("assembly", "Assembly", "A", (), (Step(1, "s", "s", "Use {value:anti_seize}", ()),))
    said = plan_in_words(plan, {}, WORDS, values=blank_values()).steps[0].title
    assert said == "Use ________ (not on file)"
    with pytest.raises(KeyError, match="anti_seize"):
        plan_in_words(plan, {}, WORDS)


@pytest.mark.parametrize("elastomer", option_values("elastomer"))
def test_the_other_options_change_their_own_word_alone(elastomer: str) -> None:
    """But for the message that only a fluoroelastomer brings, and what that message moves to a section's beginning."""
    for name in SHIPPED:
        base, other = filled(name), filled(name, Options(elastomer=elastomer))  # type: ignore[arg-type]
        assert [t.replace(elastomer, "FKM") for t in texts_of(_silent(other))] == texts_of(_silent(base))
        for before, after in zip(base.steps, other.steps, strict=True):
            lost = {c.id for c in before.messages} ^ {c.id for c in after.messages}
            assert lost <= ({"burnt_elastomer"} if elastomer not in ("FKM", "FFKM") else set()), after.id


def _silent(plan: Plan) -> Plan:
    return replace(plan, steps=tuple(replace(s, cautions=(), reminders=()) for s in plan.steps))


def test_messages_of_media_get_their_words_everywhere() -> None:
    raised = elastomer_cautions("EPDM", lubricant="mineral-grease")
    options = Options(elastomer="EPDM")
    parts = part_kinds(options)
    plan = resolve(SEQUENCES["assembly"], options, parts, raised=raised)
    said = plan_in_words(plan, parts, WORDS, choices(options), resolve_values({}, options))
    front = [c for c in said.cautions if c.meeting]
    assert len(front) == 1
    assert front[0].hazard.startswith("EPDM and mineral-oil grease must not meet: ")
    for before, after in zip(plan.steps, said.steps, strict=True):
        assert [c.id for c in before.messages] == [c.id for c in after.messages]
        assert all(c == front[0] for c in after.messages if c.meeting)
        assert all(c.hazard and c.consequence and c.avoidance for c in after.messages)


def test_only_words_change() -> None:
    plan = resolve(SEQUENCES["assembly"], Options(), part_kinds(Options()))
    said = plan_in_words(
        plan, part_kinds(Options()), WORDS, choices(Options()), resolve_values({}, Options())
    )
    worded = {"title", "acts", "look", "measure", "why", "tools", "supplies", "cautions"}
    for before, after in zip(plan.steps, said.steps, strict=True):
        assert {f.name for f in fields(Step) if getattr(before, f.name) != getattr(after, f.name)} <= worded


def test_an_option_is_called_by_the_catalogue() -> None:
    assert option_in_words("rotor", "two-wing", WORDS) == "two wings"
    assert [option_in_words("cleaning_in_place", on, WORDS) for on in (True, False)] == ["yes", "no"]
    with pytest.raises(MissingWord, match=r"option\.rotor\.five-lobe"):
        option_in_words("rotor", "five-lobe", Words("xx", {}))
