"""Sequence files: seeded mistakes, each answered with its place and fix."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import get_args

import pytest
from benchleaf.sequences.files.faults import Fault, Faults, FaultsFound
from benchleaf.sequences.steps import conditions
from benchleaf.sequences.steps.plan import Damage
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, Sequence, load_sequence

GOOD = """\
sequence: assembly
title: Short
given: [gear_case, shaft, stud]
units:
  nut_unit_drive:
    title: Nut
    base: rotor_nut_drive
sections:
  - id: one
    title: One
    cautions: sharp_edges
steps:
  - id: first
    section: one
    title: Fit the rings of {count:shaft_oring}
    fit: shaft_oring
    acts:
      - Slide {tighten:rotor_nut}.
    measure:
      - {id: gap, text: Gap, unit: mm, value: front_face_clearance}
    values: assembly_lubricant
    cautions: [oring_damage]
  - id: second
    section: one
    title: Look
    focus: [shaft, rotor_nut]
    cautions: sharp_edges
"""


def faults_of(tmp_path: Path, text: str) -> list[Fault]:
    (tmp_path / "s.yaml").write_text(text, "utf-8")
    with pytest.raises(FaultsFound) as caught:
        load_sequence(tmp_path / "s.yaml")
    return list(caught.value.faults)


def load_text(tmp_path: Path, text: str) -> Sequence:
    (tmp_path / "s.yaml").write_text(text, "utf-8")
    return load_sequence(tmp_path / "s.yaml")


def test_the_short_sequence_is_sound(tmp_path: Path) -> None:
    sequence = load_text(tmp_path, GOOD)
    assert sequence.kind == "assembly"
    assert [s.id for s in sequence.steps] == ["first", "second"]
    assert sequence.file == "s.yaml"


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "found", "fix"),
    [
        ("sequence: assembly", "sequence: assemble", 1, 11, "'assemble'", "write assembly"),
        ("title: Short", "titel: Short", 2, 1, "the key titel", "write title"),
        (
            "given: [gear_case, shaft, stud]",
            "given: [gear_case, shafts, stud]",
            3,
            20,
            "the part 'shafts'",
            "write shaft",
        ),
        (
            "    base: rotor_nut_drive",
            "    base: rotor_nut_drv",
            7,
            11,
            "the part 'rotor_nut_drv'",
            "write rotor_nut_drive",
        ),
        ("    base: rotor_nut_drive\n", "", 6, 5, "no base", "add the line base: ..."),
        (
            "cautions: sharp_edges\nsteps",
            "cautions: sharp_edge\nsteps",
            11,
            15,
            "the caution 'sharp_edge'",
            "write sharp_edges",
        ),
        (
            "section: one\n    title: Fit",
            "section: won\n    title: Fit",
            14,
            14,
            "the section 'won'",
            "write one",
        ),
        (
            "    fit: shaft_oring",
            "    fit: shaft_orings",
            16,
            10,
            "the part 'shaft_orings'",
            "write shaft_oring",
        ),
        ("    fit: shaft_oring", "    fits: shaft_oring", 16, 5, "the key fits", "write fit"),
        ("    fit: shaft_oring", "    remove: shaft_oring", 16, 5, "remove", "write fit"),
        ("    fit: shaft_oring", "    fit: {part: shaft_oring, travel: z}", 16, 38, "'z'", "write +z"),
        ("    fit: shaft_oring", "    fit: {part: shaft_oring, travel: []}", 16, 38, "an empty list", None),
        ("    fit: shaft_oring", "    fit: {part: shaft_oring, travel: {slide: -z, mm: 0}}", 16, 54, "0", ""),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: {slide: -z, mm: 1e9}}",
            16,
            54,
            "1e9",
            "",
        ),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: [-z, {slide: -z, about: z, deg: 9}]}",
            16,
            43,
            "a stretch that slides and turns",
            "write two stretches",
        ),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: [-z, {about: z}]}",
            16,
            43,
            "a turn without deg",
            "write how far it turns",
        ),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: {slide: -z, deg: 9}}",
            16,
            38,
            "deg beside slide",
            "write about beside deg",
        ),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: [-z, {about: z, deg: 9, mm: 4}]}",
            16,
            43,
            "mm beside about",
            "write the slide before it",
        ),
        (
            "    fit: shaft_oring",
            "    fit: {part: shaft_oring, travel: [-z, {about: z, deg: 400}]}",
            16,
            59,
            "400",
            "",
        ),
        (
            "    fit: shaft_oring",
            "    bench: nut_unit\n    fit: shaft_oring",
            16,
            12,
            "the bench unit 'nut_unit'",
            "write nut_unit_drive",
        ),
        (
            "{count:shaft_oring}",
            "{count:shaft_orng}",
            15,
            12,
            "{count:shaft_orng}",
            "write {count:shaft_oring}",
        ),
        (
            "{tighten:rotor_nut}",
            "{tigten:rotor_nut}",
            18,
            9,
            "{tigten:rotor_nut}",
            "write {tighten:rotor_nut}",
        ),
        ("{tighten:rotor_nut}", "{{ 7 * 7 }}", 18, 9, "{ 7 * 7 }", "write the text without { }"),
        ("{tighten:rotor_nut}", "rotor_nut}", 18, 9, "a single { or }", "take it away"),
        ("unit: mm", "unit: millimetre", 20, 36, "'millimetre'", ""),
        (
            "value: front_face_clearance",
            "value: front_clearance",
            20,
            47,
            "the value 'front_clearance'",
            "write front_face_clearance",
        ),
        (
            "    values: assembly_lubricant",
            "    values: lubricant",
            21,
            13,
            "the value 'lubricant'",
            "write assembly_lubricant",
        ),
        (
            "    cautions: [oring_damage]",
            "    cautions: []",
            22,
            15,
            "no caution",
            "name the caution that this step needs",
        ),
        ("    cautions: [oring_damage]\n", "", 13, 5, "no cautions", "add the line cautions: ..."),
        (
            "    cautions: [oring_damage]",
            "    cautions: [oring_damaged]",
            22,
            16,
            "the caution 'oring_damaged'",
            "write oring_damage",
        ),
        (
            "    cautions: [oring_damage]",
            "    cautions: [{name: oring_damage, when: {seel: double}}]",
            22,
            44,
            "the key seel",
            "write seal",
        ),
        (
            "    cautions: [oring_damage]",
            "    cautions: [{name: oring_damage, when: {seal: duble}}]",
            22,
            50,
            "'duble'",
            "write double",
        ),
        (
            "    cautions: [oring_damage]",
            "    cautions: [{name: oring_damage, when: {cleaning_in_place: yes}}]",
            22,
            63,
            "'yes'",
            "write true",
        ),
        ("  - id: second", "  - id: first", 23, 9, "the step 'first' a second time", "rename it"),
        ("  - id: second", "  - id: Second Step", 23, 9, "'Second Step'", "write second_step"),
        ("    focus: [shaft, rotor_nut]\n", "", 23, 5, "a step without parts", None),
        ("    focus: [shaft, rotor_nut]", "    focus: [shaft]\n    around: stud", 27, 5, "around", None),
        ("title: Look", "title: true", 25, 12, "true", "put it in quotes"),
        ("title: Look", "title:", 25, 5, "nothing", None),
        (
            "title: Look",
            "title: Look\n    turn_shafts_deg: 90°",
            26,
            22,
            "'90°'",
            "write 90 without unit or quotes",
        ),
        ("title: Look", "title: Look\n    turn_shafts_deg: '0,5'", 26, 22, "'0,5'", "write 0.5"),
        ("title: Look", "title: Look\n    examples: scrach", 26, 15, "'scrach'", "write scratch"),
        (
            "title: Look",
            "title: Look\n    examples: [pit, hair crak]",
            26,
            21,
            "'hair crak'",
            "write hair crack",
        ),
        ("title: Look", "title: Look\n    examples: {damag: pit}", 26, 16, "the key damag", "write damage"),
        (
            "title: Look",
            "title: Look\n    examples: [{damage: pit, when: {seal: duble}}]",
            26,
            43,
            "'duble'",
            "write double",
        ),
    ],
)
def test_a_seeded_mistake_is_named_with_its_place(
    tmp_path: Path, old: str, new: str, line: int, column: int, found: str, fix: str | None
) -> None:
    assert GOOD.count(old) >= 1
    faults = faults_of(tmp_path, GOOD.replace(old, new, 1))
    assert len(faults) == 1, [str(f) for f in faults]
    f = faults[0]
    assert (f.file, f.line, f.column, f.found) == ("s.yaml", line, column, found), str(f)
    assert f.allowed
    if fix is not None:
        assert f.fix == fix, str(f)


def test_many_mistakes_come_in_one_run_even_within_one_step(tmp_path: Path) -> None:
    text = GOOD.replace("section: one\n    title: Fit", "section: two\n    tilte: Fit")
    text = text.replace("fit: shaft_oring\n", "fit: shaft_ring\n").replace("[oring_damage]", "[oring_demage]")
    text = text.replace("title: Look", "title: 1\n    turn_shafts_deg: far")
    text = text.replace("id: gap,", "id: gap, colour: red,").replace("title: One", "title: [One]")
    faults = faults_of(tmp_path, text)
    assert [(f.line, f.found) for f in faults] == [
        (10, "a list of 1"),
        (14, "the section 'two'"),
        (15, "the key tilte"),
        (16, "the part 'shaft_ring'"),
        (20, "the key colour"),
        (22, "the caution 'oring_demage'"),
        (26, "'far'"),
    ]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "an empty file"),
        ("just words", "'just words'"),
        ("- a\n- b\n", "a list of 2"),
        ("sequence: assembly\ntitle: A\nsections: []\nsteps: []\n", "no steps"),
    ],
)
def test_files_that_are_no_sequence(tmp_path: Path, text: str, found: str) -> None:
    assert [f.found for f in faults_of(tmp_path, text)] == [found]


def test_a_missing_file_is_a_fault_not_an_error(tmp_path: Path) -> None:
    with pytest.raises(FaultsFound, match=r"none\.yaml: found no such file"):
        load_sequence(tmp_path / "none.yaml")


def test_a_collector_takes_the_faults_instead(tmp_path: Path) -> None:
    (tmp_path / "s.yaml").write_text(GOOD.replace("fit: shaft_oring", "fit: nothing"), "utf-8")
    faults = Faults()
    load_sequence(tmp_path / "s.yaml", faults=faults)
    assert [f.found for f in faults] == ["the part 'nothing'"]


RULED = GOOD.replace(
    "    title: Look\n", "    title: Look\n    after: {step: first, because: Rings first.}\n"
)


def test_a_rule_of_the_order_is_read(tmp_path: Path) -> None:
    (rule,) = load_text(tmp_path, RULED).steps[1].after
    assert (rule.step, rule.because, rule.when) == (["first"], "Rings first.", None)


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "found", "fix"),
    [
        ("{step: first,", "{step: frist,", 26, 19, "the step 'frist'", "write first"),
        ("{step: first,", "{step: [first, frist],", 26, 27, "the step 'frist'", "write first"),
        (
            "{step: first,",
            "{step: second,",
            26,
            19,
            "second after itself",
            "name another step, or take it away",
        ),
        (
            "{step: first,",
            "{step: [first, first],",
            26,
            27,
            "second after first a second time",
            "take one away",
        ),
        (", because: Rings first.", "", 26, 12, "no because", "add the line because: ..."),
        ("because: Rings first.", "becuse: Rings first.", 26, 26, "the key becuse", "write because"),
        (
            "    title: Fit the rings of {count:shaft_oring}\n",
            "    title: Fit the rings of {count:shaft_oring}\n    after: {step: second, because: Look first.}\n",
            16,
            19,
            "first after second, which is written later (line 24)",
            "move the step second before first, or take the rule away",
        ),
    ],
)
def test_a_mistake_in_a_rule_is_named_with_its_place(
    tmp_path: Path, old: str, new: str, line: int, column: int, found: str, fix: str
) -> None:
    assert RULED.count(old) == 1
    told = [(f.line, f.column, f.found, f.fix) for f in faults_of(tmp_path, RULED.replace(old, new))]
    assert (line, column, found, fix) in told, told


def test_a_rule_where_nothing_moves_is_refused(tmp_path: Path) -> None:
    """Of an inspection nobody practises the order."""
    first, rest = RULED.split("  - id: second\n")
    steps = first[first.index("  - id: first") :].replace("fit: shaft_oring", "focus: shaft")
    text = first.replace("sequence: assembly", "sequence: inspection").replace(
        first[first.index("  - id: first") :], steps
    )
    told = [f.found for f in faults_of(tmp_path, text + "  - id: second\n" + rest)]
    assert told == ["after"]


def test_moving_parts_in_an_inspection_are_refused(tmp_path: Path) -> None:
    text = GOOD.replace("sequence: assembly", "sequence: inspection")
    assert [(f.line, f.found) for f in faults_of(tmp_path, text)] == [(16, "parts that move")]


def test_examples_of_damage_in_a_checklist_are_refused(tmp_path: Path) -> None:
    text = GOOD.replace("sequence: assembly", "sequence: cleaning").replace(
        "fit: shaft_oring", "focus: shaft"
    )
    assert load_text(tmp_path, text).kind == "cleaning"
    faults = faults_of(tmp_path, text.replace("title: Look", "title: Look\n    examples: pit"))
    assert [(f.line, f.column, f.found) for f in faults] == [(26, 5, "examples")]


SAID: dict[Damage, str] = {
    "scratch": r"scratch|fingernail|a line across|cuts the face|\bscore",
    "step": r"\bstep(ped)?\b",
    "pit": r"\bpits?\b",
    "contact band": r"mark all round|\brings on\b|front face come from|\btrack\b|polished ring",
    "hair crack": r"hair cracks?|no crack|for cracks|or cracked",
    "heat cracks": r"heat cracks",
    "galling": r"\bgalled",
    "burr": r"\bburr|raised marks",
    "worn edge": r"hammered edge|rolled edge|rounded",
    "worn groove": r"without a groove|without the groove",
    "pulled thread": r"pulled (turns|or galled turns)|turn of thread is pulled",
    "rust": r"\brust",
    "chip": r"\bchips?\b",
    "blister": r"blister",
    "flattened ring": r"\bflat means",
    "swollen ring": r"swollen",
    "cracked ring": r"cracked means",
    "cut ring": r"nicked",
}
"""What a step says in its acts, in what is looked at or in its reason, where it shows an example of a damage."""


@pytest.mark.parametrize("damage", get_args(Damage))
def test_a_step_shows_examples_of_damage_that_its_own_texts_speak_of(damage: Damage) -> None:
    shown = [
        (step, example)
        for step in (s for name in SHIPPED for s in load_sequence(name).steps)
        for example in step.examples
        if example.damage == damage
    ]
    assert shown, "some step has it"
    for step, example in shown:
        here = (None, example.when and example.when.model_dump())
        texts = [
            x.text for x in (*step.acts, *step.look, *step.why) if (x.when and x.when.model_dump()) in here
        ]
        assert any(re.search(SAID[damage], text, re.I) for text in texts), step.id


def test_a_unit_named_like_a_kind_of_part_is_refused(tmp_path: Path) -> None:
    text = GOOD.replace("  nut_unit_drive:", "  rotor_nut:")
    assert [(f.line, f.found, f.fix) for f in faults_of(tmp_path, text)] == [
        (5, "the unit rotor_nut", "write rotor_nut_unit")
    ]


@pytest.mark.parametrize("name", [*SHIPPED, *CHECKLISTS])
def test_shipped_sequences_are_sound(name: str) -> None:
    assert load_sequence(name).kind == name


def test_conditions() -> None:
    import doctest

    assert doctest.testmod(conditions).failed == 0
    from benchleaf.geometry.dimensions.options import Options

    when = conditions.When.model_validate(
        {"seal": "double", "cover": ["plain", "relief"], "not": {"cover": "relief"}}
    )
    assert when.holds(Options(seal="double"))
    assert not when.holds(Options())
    assert not when.holds(Options(seal="double", cover="relief"))
    assert not when.holds(Options(seal="double", cover="jacketed"))
    assert copy.deepcopy(when) == when
