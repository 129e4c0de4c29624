"""Resolving sequences: every combination of options, only what belongs, in an order that can be done."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS, part_kinds
from benchleaf.geometry.frame import Vec3
from benchleaf.sequences.files.faults import Faults, FaultsFound
from benchleaf.sequences.steps.cautions import DATA
from benchleaf.sequences.steps.conditions import all_options
from benchleaf.sequences.steps.plan import Caution, Leg, Plan, Step, turn_about
from benchleaf.sequences.steps.resolve import Raised, check_plans, resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, Sequence, load_sequence
from benchleaf.sequences.values.value_names import VALUE_NAMES

STEPS_READ = (
    "rotor",
    "seal",
    "cover",
    "cover_nuts",
    "cover_oring",
    "body",
    "cleaning_in_place",
    "gear_case",
    "rotor_metal",
)
"""Options that the shipped sequences have conditions on; a test holds that there are no others."""


@pytest.fixture(scope="module")
def sequences() -> dict[str, Sequence]:
    return {name: load_sequence(name) for name in MOVES}


def plan_of(sequence: Sequence, options: Options, **more: object) -> Plan:
    return resolve(sequence, options, part_kinds(options), **more)  # type: ignore[arg-type]


def texts_of(step: Step) -> list[str]:
    words = [step.title, *step.acts, *step.look, step.why, *step.tools, *step.supplies]
    return [*words, *(m.text for m in step.measure), *(m.method for m in step.measure)]


def placeholders(step: Step) -> list[tuple[str, str]]:
    """Return the placeholders in the texts of a step: what is asked for, and of what."""
    return [(w, n) for t in texts_of(step) for w, n in re.findall(r"\{(\w+):(\w+)\}", t)]


def check_plan(plan: Plan, options: Options) -> None:
    """Check what must hold for a resolved plan."""
    kinds = part_kinds(options)
    assert [s.number for s in plan.steps] == list(range(1, len(plan.steps) + 1))
    assert [s.id for s in plan.sections] == list(dict.fromkeys(s.section for s in plan.steps))
    for step in plan.steps:
        assert step.messages, step.id
        assert step.title, step.id
        assert step.acts or step.look, step.id
        assert step.why, step.id
        used = {*step.present, *step.moving, *step.focus}
        assert used <= set(kinds), step.id
        assert step.moving or step.focus, step.id
        assert set(step.focus) <= {*step.present, *step.moving}, step.id
        for word, name in placeholders(step):
            known = {"count": kinds, "tighten": kinds, "loosen": kinds}.get(word)
            assert known is None or name in known.values(), (step.id, name)
            assert word != "value" or VALUE_NAMES[name].belongs(options), (step.id, name)
        for name in (*step.values, *(m.value for m in step.measure if m.value)):
            assert VALUE_NAMES[name].belongs(options), (step.id, name)
        words = [c.signal_word for c in step.cautions]
        assert words == sorted(words, key=["DANGER", "WARNING", "CAUTION", "NOTICE"].index)
    readings = [m.id for s in plan.steps for m in s.measure]
    assert len(readings) == len(set(readings))
    MOVES[plan.sequence](plan, kinds)


def _check_assembly(plan: Plan, kinds: dict[str, str]) -> None:
    """Each part comes to the head once, alone or in a unit that is complete; before it, it is not there."""
    on_head = Counter(plan.given)
    bench: dict[str, Counter[str]] = {}
    for step in plan.steps:
        if step.bench is not None and step.bench not in bench:
            bench[step.bench] = Counter(step.present)
        here = on_head if step.bench is None else bench[step.bench]
        assert Counter(step.present) == here, step.id
        for move in step.moves:
            assert move.into, step.id
            if move.group:
                assert set(move.parts) == set(plan.units[move.group]), step.id
            here.update(move.parts)
    assert on_head == Counter(kinds.keys())


def _check_disassembly(plan: Plan, kinds: dict[str, str]) -> None:
    """Each part leaves the head once; what is taken off a bench lay on it; the given parts stay."""
    on_head = set(kinds)
    bench: dict[str, set[str]] = {}
    for step in plan.steps:
        here = on_head if step.bench is None else bench[step.bench]
        assert set(step.present) == here, step.id
        for move in step.moves:
            assert not move.into, step.id
            assert set(move.parts) <= here, step.id
            here.difference_update(move.parts)
            if move.group:
                bench[move.group] = set(move.parts)
    assert on_head == set(plan.given)


def _check_inspection(plan: Plan, kinds: dict[str, str]) -> None:
    """Nothing moves, and every part of the head is looked at."""
    assert not any(s.moves or s.bench for s in plan.steps)
    seen = {k for s in plan.steps if s.id != "verdict" for k in s.focus}
    assert seen == set(kinds)


def _check_list(plan: Plan, kinds: dict[str, str]) -> None:
    """Nothing moves, and every step looks at something."""
    assert not any(s.moves or s.bench for s in plan.steps)
    assert all(s.focus for s in plan.steps)


MOVES = {
    "assembly": _check_assembly,
    "disassembly": _check_disassembly,
    "inspection": _check_inspection,
    **dict.fromkeys(CHECKLISTS, _check_list),
}


@pytest.mark.parametrize("name", [*SHIPPED, *CHECKLISTS])
def test_every_combination_of_options_resolves(sequences: dict[str, Sequence], name: str) -> None:
    for options in all_options(*STEPS_READ):
        check_plan(plan_of(sequences[name], options), options)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_other_options_change_no_step(sequences: dict[str, Sequence], name: str) -> None:
    others = [n for n in ("ports", "elastomer", "body_metal")]
    base = plan_of(sequences[name], Options())
    for options in all_options(*others):
        plan = plan_of(sequences[name], options)
        assert [s.id for s in plan.steps] == [s.id for s in base.steps]
        assert [texts_of(s) for s in plan.steps] == [texts_of(s) for s in base.steps]


@pytest.mark.parametrize("studs", [4, 6])
@pytest.mark.parametrize("pins", [1, 2, 3, 4])
def test_counts_of_a_size_reach_the_moves(sequences: dict[str, Sequence], studs: int, pins: int) -> None:
    options = Options(seal="double", cover="relief")
    plan = resolve(sequences["assembly"], options, part_kinds(options, studs=studs, seal_pins=pins))
    by_id = {s.id: s for s in plan.steps}
    assert ("count", "cover_nut") in placeholders(by_id["cover_nuts"])
    assert len(by_id["cover_nuts"].moves) == studs
    assert ("count", "seal_pin") in placeholders(by_id["inspect_body"])
    assert sum(k.startswith("seal_pin_") for k in by_id["inspect_body"].focus) == 2 * pins


def test_the_base_head_takes_the_steps_that_the_trade_expects(sequences: dict[str, Sequence]) -> None:
    order = [s.id for s in plan_of(sequences["assembly"], Options()).steps]
    assert 28 <= len(order) <= 44
    expected = [
        "inspect_shafts",
        "shaft_orings",
        "rotating_rings",
        "stationary_rings",
        "faces",
        "body_on",
        "body_screws",
        "nut_oring",
        "disc_spring",
        "retainer",
        "hub_oring_drive",
        "hub_oring_driven",
        "lubricate",
        "key_drive",
        "rotor_drive",
        "nut_drive",
        "torque_drive",
        "turn_to_position",
        "key_driven",
        "rotor_driven",
        "nut_driven",
        "torque_driven",
        "front_clearance",
        "cover_oring",
        "cover_on",
        "cover_nuts",
        "cover_torque",
        "turn_closed",
    ]
    assert [i for i in order if i in expected] == expected


def steps_with(plan: Plan, caution: str) -> set[str]:
    return {s.id for s in plan.steps if any(c.id == caution for c in s.messages)}


@pytest.mark.parametrize(
    ("option", "value", "caution"),
    [
        ("cover", "jacketed", "hot_jacket"),
        ("cover", "relief", "relief_spring_load"),
        ("seal", "double", "flush_lines"),
        ("seal", "double", "trapped_flush"),
        ("cover_oring", "ptfe-encapsulated", "oring_ptfe"),
        ("cleaning_in_place", True, "cip_flow"),
    ],
)
def test_an_option_taken_away_and_put_back_changes_the_cautions(
    sequences: dict[str, Sequence], option: str, value: object, caution: str
) -> None:
    def found(options: Options) -> list[tuple[str, set[str], bool]]:
        plans = [plan_of(s, options) for s in sequences.values()]
        return [(p.sequence, steps_with(p, caution), caution in {c.id for c in p.cautions}) for p in plans]

    having = Options(**{option: value})  # type: ignore[arg-type]
    before = found(having)
    assert any(steps or front for _, steps, front in before)
    assert not any(steps or front for _, steps, front in found(Options()))
    assert found(having) == before


def test_mass_brings_the_lifting_caution_and_takes_it_away(sequences: dict[str, Sequence]) -> None:
    kinds = part_kinds(Options())
    light = {k: 0.5 for k in kinds}
    heavy = light | {"body": 20.0, "rotor_drive": 15.5}
    assembly, apart = sequences["assembly"], sequences["disassembly"]
    assert steps_with(plan_of(assembly, Options(), mass_kg=light), "heavy_part") == set()
    assert steps_with(plan_of(assembly, Options(), mass_kg=heavy), "heavy_part") == {"body_on", "rotor_drive"}
    assert steps_with(plan_of(apart, Options(), mass_kg=heavy), "heavy_part") == {
        "body_off",
        "rotor_drive_off",
    }
    assert steps_with(plan_of(assembly, Options(), mass_kg=heavy, lifting_limit_kg=16), "heavy_part") == {
        "body_on"
    }
    assert steps_with(plan_of(assembly, Options(), mass_kg=heavy, lifting_limit_kg=40), "heavy_part") == set()
    # the unit counts as a whole: thirteen parts of 0.5 kg and the body
    assert steps_with(plan_of(assembly, Options(), mass_kg=light, lifting_limit_kg=6.4), "heavy_part") == {
        "body_on"
    }
    assert (
        steps_with(plan_of(assembly, Options(), mass_kg=light, lifting_limit_kg=6.5), "heavy_part") == set()
    )
    assert steps_with(plan_of(assembly, Options()), "heavy_part") == set()


@pytest.mark.parametrize("cover", ["plain", "relief"])
def test_the_weight_of_a_cover_is_told_before_its_nuts_are_off(
    sequences: dict[str, Sequence], cover: str
) -> None:
    options = Options(cover=cover)  # type: ignore[arg-type]
    kinds = part_kinds(options)
    masses = {k: 0.5 for k in kinds} | {"cover": 14.0}
    heavy = steps_with(plan_of(sequences["disassembly"], options, mass_kg=masses), "heavy_part")
    # with what lies in a relief cover it is over the limit
    assert heavy == ({"cover_nuts_off", "cover_off"} if cover == "relief" else set())
    masses["cover"] = 16.0
    heavy = steps_with(plan_of(sequences["disassembly"], options, mass_kg=masses), "heavy_part")
    assert heavy == {"cover_nuts_off", "cover_off"}


def test_compressed_air_among_the_supplies_brings_its_caution(
    sequences: dict[str, Sequence], tmp_path: Path
) -> None:
    text = (DATA / "assembly.yaml").read_text("utf-8")
    named = "cautions: [cleaning_chemicals, compressed_air, product_contamination]"
    assert named in text
    plain = text.replace(named, "cautions: [product_contamination]")
    (tmp_path / "with.yaml").write_text(plain, "utf-8")
    (tmp_path / "without.yaml").write_text(plain.replace(", compressed air]", "]"), "utf-8")
    assert "clean_gear_case" in steps_with(
        plan_of(load_sequence(tmp_path / "with.yaml"), Options()), "compressed_air"
    )
    without = plan_of(load_sequence(tmp_path / "without.yaml"), Options())
    assert "clean_gear_case" not in steps_with(without, "compressed_air")


def test_a_raised_message_goes_to_front_and_to_steps_with_its_parts(sequences: dict[str, Sequence]) -> None:
    caution = Caution("own", "NOTICE", "H.", "C.", "A.", "contamination")
    raised = (Raised(caution, frozenset({"cover_oring"})),)
    plan = plan_of(sequences["assembly"], Options(), raised=raised)
    assert caution in plan.cautions
    assert steps_with(plan, "own") == {"cover_oring"}
    assert steps_with(plan_of(sequences["assembly"], Options()), "own") == set()


def test_threads_turn_by_their_hand_and_advance_by_their_pitch(sequences: dict[str, Sequence]) -> None:
    more = {"pitch_mm": {"rotor_nut": 2.0, "cover_nut": 1.5}}
    for name, way, sign in (("assembly", "tighten", -1), ("disassembly", "loosen", 1)):
        plan = plan_of(sequences[name], Options(), **more)
        nuts = {s.id: s for s in plan.steps}["cover_nuts" if name == "assembly" else "cover_nuts_off"]
        turning = [leg for leg in nuts.moves[0].legs if leg.turn_deg]
        assert [(leg.turn_deg, leg.distance_mm) for leg in turning] == [(sign * 1800.0, 7.5)]
        assert any((way, "cover_nut") in placeholders(s) for s in plan.steps)
    left = plan_of(sequences["assembly"], Options(), left_hand={"rotor_nut"}, **more)
    by_id = {s.id: s for s in left.steps}
    turned = {
        i: [leg.turn_deg for leg in by_id[i].moves[0].legs if leg.turn_deg]
        for i in ("nut_drive", "cover_nuts")
    }
    assert turned == {"nut_drive": [1800.0], "cover_nuts": [-1800.0]}


def test_a_left_hand_unit_turns_the_other_way(sequences: dict[str, Sequence]) -> None:
    right = {s.id: s for s in plan_of(sequences["assembly"], Options()).steps}["nut_drive"]
    left = {s.id: s for s in plan_of(sequences["assembly"], Options(), left_hand={"rotor_nut"}).steps}[
        "nut_drive"
    ]
    assert [leg.turn_deg for leg in right.moves[0].legs] == [-1800.0]
    assert [leg.turn_deg for leg in left.moves[0].legs] == [1800.0]


def test_no_text_holds_a_figure_of_a_pump(sequences: dict[str, Sequence]) -> None:
    figure = re.compile(r"\d\s*(mm|N·m|bar|°C|psi|µm|kg|percent|%)\b")
    for name, sequence in sequences.items():
        for step in sequence.steps:
            for said in (*step.acts, *step.look, *step.why):
                assert not figure.search(said.text), (name, step.id, said.text)


def test_every_kind_of_part_has_its_step(sequences: dict[str, Sequence]) -> None:
    options = Options(seal="double", cover="relief")
    plan = plan_of(sequences["assembly"], options)
    kinds = part_kinds(options)
    handled = {kinds[k] for s in plan.steps for k in (*s.moving, *s.present)}
    assert handled == set(KINDS)


FORGOTTEN = "steps:"
EDITS = [
    (
        "    fit: {part: nut_unit_drive, travel: [-z, {slide: -z, turns: 5}]}\n",
        "    fit: {part: nut_unit_drive, travel: [{about: z, deg: 30}, -z]}\n",
        "a travel that begins with a turn",
        "add the slide by which the parts come or leave",
        "    fit: {part: nut_unit_drive, travel: [{about: z, deg: 30}, -z]}",
    ),
    (
        "    fit: shaft_oring\n",
        "    focus: shaft\n",
        "shaft_oring_drive, which is never fitted",
        "fit shaft_oring in a step, or list it under given",
        FORGOTTEN,
    ),
    (
        "    fit: shaft_oring\n",
        "    fit: [shaft_oring, shaft_oring_drive]\n",
        "shaft_oring_drive, which is on the head already",
        "fit it once",
        "    fit: [shaft_oring, shaft_oring_drive]",
    ),
    (
        "    fit: {part: nut_unit_drive, travel: [-z, {slide: -z, turns: 5}]}\n",
        "    fit: rotor_nut_drive\n",
        "rotor_nut_drive, which is on the unit nut_unit_drive already",
        "fit the unit nut_unit_drive as one",
        "    fit: rotor_nut_drive",
    ),
    (
        "    fit: shaft_oring\n",
        "    fit: [shaft_oring, body_unit]\n",
        "body_unit, which is not built yet",
        "move this step behind the bench steps of the unit",
        "    fit: [shaft_oring, body_unit]",
    ),
    (
        "    bench: nut_unit_drive\n    fit: disc_spring_drive",
        "    bench: cover_unit\n    fit: disc_spring_drive",
        "the bench unit cover_unit",
        "add the same when",
        "    bench: cover_unit",
    ),
    (
        "    fit: {part: seal_unit, travel: +z}\n",
        "    focus: body\n",
        "stationary_ring_drive, left on the bench unit seal_unit",
        "fit seal_unit in a step",
        FORGOTTEN,
    ),
    (
        "    focus: rotating_ring\n",
        "    focus: rotor\n",
        "rotor_drive in focus, which is not there in this step",
        "move the step, or name the bench unit that holds it",
        "    focus: rotor",
    ),
    (
        "    when: {seal: double}\n    bench: atmosphere_ring_unit\n",
        "    bench: atmosphere_ring_unit\n",
        "the bench unit atmosphere_ring_unit",
        "add the same when",
        "    bench: atmosphere_ring_unit",
    ),
    (
        "    when: {seal: double}\n    bench: body_unit\n    fit: atmosphere_wave_spring\n",
        "    bench: body_unit\n    fit: atmosphere_wave_spring\n",
        "the step atmosphere_wave_springs without parts (base options)",
        "give the step the same 'when' as its parts",
        "  - id: atmosphere_wave_springs",
    ),
]


def test_a_turn_about_a_line_is_told_as_it_is_done(tmp_path: Path) -> None:
    text = (DATA / "assembly.yaml").read_text("utf-8")
    turned = "travel: [-z, {about: y, deg: -30, through_mm: [1, 2, 3]}, {slide: -z, mm: 4}]}"
    changed = text.replace("travel: [-z, {slide: -z, turns: 5}]}\n", f"{turned}\n", 1)
    (tmp_path / "a.yaml").write_text(changed, "utf-8")
    plan = plan_of(load_sequence(tmp_path / "a.yaml"), Options())
    (legs,) = [m.legs for s in plan.steps for m in s.moves if any(leg.axis for leg in m.legs)]
    y: Vec3 = (0.0, 1.0, 0.0)
    assert legs == (Leg((0.0, 0.0, -1.0)), turn_about(y, -30.0, (1.0, 2.0, 3.0)), Leg((0.0, 0.0, -1.0), 4.0))


@pytest.mark.parametrize(("old", "new", "found", "fix", "line"), EDITS)
def test_an_order_that_cannot_be_done_is_named(
    tmp_path: Path, old: str, new: str, found: str, fix: str, line: str
) -> None:
    text = (DATA / "assembly.yaml").read_text("utf-8")
    assert text.count(old) == 1
    changed = text.replace(old, new)
    (tmp_path / "a.yaml").write_text(changed, "utf-8")
    with pytest.raises(FaultsFound) as caught:
        plan_of(load_sequence(tmp_path / "a.yaml"), Options())
    (f,) = [f for f in caught.value.faults if f.found == found]
    assert f.fix == fix
    assert f.file == "a.yaml"
    assert f.line is not None
    assert changed.splitlines()[f.line - 1] == line


def test_a_disassembly_that_forgets_or_repeats_is_named(tmp_path: Path) -> None:
    text = (DATA / "disassembly.yaml").read_text("utf-8")
    text = text.replace("    remove: shaft_oring\n", "    remove: key_drive\n")
    text = text.replace("    bench: seal_unit\n    remove: stationary_ring_oring\n", "    focus: gear_case\n")
    (tmp_path / "d.yaml").write_text(text, "utf-8")
    with pytest.raises(FaultsFound) as caught:
        plan_of(load_sequence(tmp_path / "d.yaml"), Options())
    found = {f.found for f in caught.value.faults}
    assert found == {
        "key_drive, which is off already",
        "shaft_oring_drive, which is never removed",
        "shaft_oring_driven, which is never removed",
        "stationary_ring_oring_drive, which is never removed",
        "stationary_ring_oring_driven, which is never removed",
    }


def test_many_heads_report_each_mistake_once(tmp_path: Path) -> None:
    text = (DATA / "assembly.yaml").read_text("utf-8").replace("    fit: cover_oring\n", "    focus: body\n")
    (tmp_path / "a.yaml").write_text(text, "utf-8")
    sequence = load_sequence(tmp_path / "a.yaml")
    faults = Faults()
    heads = [(o, part_kinds(o)) for o in all_options("seal", "cover", "elastomer")]
    check_plans(sequence, heads, faults)
    assert [f.found for f in faults] == ["cover_oring, which is never fitted"]


def test_examples_of_damage_are_those_whose_condition_holds_each_once(tmp_path: Path) -> None:
    text = (DATA / "inspection.yaml").read_text("utf-8")
    assert text.count("    examples: [scratch, step]\n") == 1
    listed = "[step, {damage: pit, when: {seal: double}}, scratch, step]"
    text = text.replace("examples: [scratch, step]", f"examples: {listed}")
    (tmp_path / "i.yaml").write_text(text, "utf-8")
    sequence = load_sequence(tmp_path / "i.yaml")
    found = [
        next(s.examples for s in plan_of(sequence, o).steps if s.id == "body_faces")
        for o in (Options(), Options(seal="double"))
    ]
    assert found == [("step", "scratch"), ("step", "pit", "scratch")]
