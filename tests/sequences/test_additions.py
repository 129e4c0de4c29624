"""A plant's additions: each kind reaches the plan, messages only ever gain, and each mistake is told with its place."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from addition_samples import BAD, write_additions_fleet
from benchleaf.sequences.additions.addition_form import KEYS, AdditionText
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.heads import plan_head
from benchleaf.sequences.fleet.user_assembly import load_user_assembly
from benchleaf.sequences.order.order import check_order
from benchleaf.sequences.proof.head_proof import moving_plans
from benchleaf.sequences.proof.head_work import head_works
from benchleaf.sequences.steps.plan import Plan, Step
from head_proofs import ProvenHead
from small_assembly import write_small_assembly


@cache
def fleet() -> JudgedFleet:
    return load_fleet(write_additions_fleet(Path(mkdtemp())))


def plan(tag: str, amended: bool = True, kind: str = "assembly") -> Plan:
    head = fleet().head(tag)
    sequences = fleet().sequences_for(head) if amended else fleet().sequences.values()
    return plan_head(head, next(s for s in sequences if s.kind == kind))


def step(tag: str, name: str, amended: bool = True) -> Step:
    return next(s for s in plan(tag, amended).steps if s.id == name)


def digests(of: JudgedFleet, number: int) -> list[str]:
    return [s.digest for s in of.sequences_for(of.heads[number])]


def told(folder: Path, additions: str, table: str = "") -> list[str]:
    """Return the mistakes of a fleet with these additions, one line each."""
    with pytest.raises(FaultsFound) as caught:
        load_fleet(write_additions_fleet(folder, additions, table))
    return [str(f) for f in caught.value.faults]


def test_notes_and_photos_stand_beside_their_step_for_their_pumps() -> None:
    first, second = step("P-1", "clean_gear_case").plant, step("P-2", "clean_gear_case").plant
    assert first.notes == ("Cloths lie in cage 4.", "Only small cloths here.")
    assert second.notes == ("Cloths lie in cage 4.",)
    (photo,) = first.photos
    assert (photo.width, photo.height, photo.alt, photo.caption) == (
        200,
        400,
        "The bare face of the gear case",
        "P-1 after cleaning",
    )
    assert second.photos == ()


def test_acts_and_changed_texts_are_in_the_step_and_known_as_the_plants() -> None:
    before, after = step("P-1", "clean_gear_case", amended=False), step("P-1", "clean_gear_case")
    new = ["Count {count:stud} studs.", "Hang the cloths up to dry."]
    assert [a for a in after.acts if a not in before.acts] == new
    assert after.acts[-1] == "Hang the cloths up to dry."
    assert after.acts.index("Count {count:stud} studs.") == after.acts.index(before.acts[-1]) - 1
    assert after.title != before.title
    changed = next(t for t in after.plant.texts if t.text == after.title)
    assert changed.was == before.title
    assert [a for a in after.acts if after.plant.wrote(a)] == new
    drawn = [[replace(op, sentence=0) for op in s.operations] for s in (before, after)]
    assert drawn[0] == drawn[1], "what is drawn and proven stays"


def test_a_step_of_the_plants_own_stands_where_it_was_put() -> None:
    ids = [s.id for s in plan("P-2").steps]
    assert ids.index("photo_before") == ids.index("clean_gear_case") + 1
    own = step("P-2", "photo_before")
    assert own.plant.own
    assert own.plant.notes == ("Phones need a permit here.",)
    assert own.section == step("P-2", "clean_gear_case").section
    assert own.number == 3
    assert {c.id for c in own.messages} >= {"lock_out", "pressure_inside"}


def test_a_step_left_out_is_told_with_its_reason_and_its_messages_go_on() -> None:
    before, after = plan("P-1", amended=False), plan("P-1")
    gone = next(s for s in before.steps if s.id == "leak_check")
    assert "leak_check" not in {s.id for s in after.steps}
    heir = after.steps[[s.id for s in before.steps].index("leak_check") + 1]  # one step of its own before it
    assert [(x.id, x.title, x.because) for x in heir.plant.left_out] == [
        ("leak_check", gone.title, "Quality assurance does it.")
    ]
    named = {n.name for s in fleet().sequences["assembly"].steps if s.id == "leak_check" for n in s.cautions}
    assert named
    assert named <= {c.id for c in heir.messages}


def test_messages_only_ever_gain() -> None:
    rank = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    for tag in ("P-1", "P-2"):
        for kind in ("assembly", "disassembly", "inspection"):
            before, after = plan(tag, False, kind), plan(tag, True, kind)
            held = {c.id: c for s in after.steps for c in s.messages}
            for s in before.steps:
                same = next((x for x in after.steps if x.id == s.id), None)
                for c in s.messages:
                    assert same is None or c.id in {m.id for m in same.messages}
                    now = held[c.id]
                    assert rank.index(now.signal_word) <= rank.index(c.signal_word)
                    assert (now.hazard, now.avoidance) == (c.hazard, c.avoidance)
    lock_out = next(c for c in plan("P-1").cautions if c.id == "lock_out")
    assert lock_out.added == "Ring the control room as well."
    edges = fleet().sequences_for(fleet().heads[0])[0].catalogue["sharp_edges"]
    assert (edges.signal_word, edges.consequence, edges.plant) == (
        "WARNING",
        "They could cut a tendon.",
        True,
    )
    fork_lifts = next(c for c in step("P-1", "clean_gear_case").messages if c.id == "fork_lifts")
    assert fork_lifts.plant


def test_the_look_and_whom_to_ask() -> None:
    own = fleet().additions
    assert own.address == "https://training.works.example/pumps/"
    assert own.contact is not None
    assert (own.contact.ask, own.contact.phone) == ("Maintenance training, building 4", "4711")
    assert own.look.accent == "#1f5f3f"
    assert own.look.logo is not None
    assert (own.look.logo.width, own.look.logo.height) == (640, 142)


def test_a_fleet_without_the_folder_has_its_sequences_as_they_come(tmp_path: Path) -> None:
    file = write_additions_fleet(tmp_path)
    (tmp_path / "additions").rename(tmp_path / "elsewhere")
    bare = load_fleet(file)
    assert all(s is bare.sequences[s.kind] for s in bare.sequences_for(bare.heads[0]))
    file.write_text(file.read_text("utf-8") + "additions: elsewhere\n", "utf-8")
    assert len(load_fleet(file).additions.entries) == len(fleet().additions.entries)
    file.write_text(file.read_text("utf-8").replace("additions: elsewhere", "additions: elsewher"), "utf-8")
    with pytest.raises(FaultsFound, match="likely fix: write elsewhere"):
        load_fleet(file)


def test_every_photo_and_word_counts_in_what_a_booklet_rests_on(tmp_path: Path) -> None:
    before = digests(fleet(), 0)
    assert before[0] != fleet().sequences["assembly"].digest
    file = write_additions_fleet(tmp_path)
    again = load_fleet(file)
    assert digests(again, 0) == before
    photo = tmp_path / "additions" / "photos" / "face.jpg"
    photo.write_bytes(photo.read_bytes() + b"\0")
    other = load_fleet(file)
    assert digests(other, 0)[0] != before[0]
    assert digests(other, 1) == digests(again, 1)


FOUND = {
    1: ["a logo without logo_alt", "'no.png', which is not there", "looks like the colour of CAUTION"],
    3: ["the step 'clean_gear_cas', which is gone or never was.*write clean_gear_case"],
    4: ["a photo without alt", "'bad.jpg', no picture", "'P-9', which is no pump.*write P-"],
    5: ["'Run a cover nut down every stud', which the step.*Run a cover nut down each stud by hand"],
    6: ["NOTICE in place of DANGER, which is milder"],
    7: ["the caution 'lock_oot'.*write lock_out"],
    8: ["a torque in a text .'45 N·m'.", "because in a note"],
    9: ["the part 'gear_cas'.*write gear_case"],
    10: [],
    11: ["You could slip.*a DANGER says what will happen"],
    12: ["safe_to_work left out, which proves that the pump is safe"],
    13: ["shaft_orings left out, which alone gives the safety message.*messages_to"],
    14: ["'nota'.*write note"],
    15: ["the step 'shaft_oring'.*write shaft_orings"],
    16: ["cleaning, which has no step shaft_orings"],
    17: ["the step cover_on left out, which the others need: cover"],
}


def test_each_mistake_is_told_in_one_run_with_line_value_and_fix(tmp_path: Path) -> None:
    lines = told(tmp_path, BAD, "kind,step,txt\nnote,clean_gear_case,hello\nnote,inspect_shaftz,hi\n")
    left = list(lines)
    for line, patterns in FOUND.items():
        for pattern in patterns:
            found = [
                t
                for t in left
                if re.match(
                    rf"additions/plant.yaml, line {line}, column \d+ .*{pattern}", t.replace("\n", " ")
                )
            ]
            assert len(found) == 1, (line, pattern, lines)
            assert "; allowed: " in found[0]
            left.remove(found[0])
    assert [t.split(" (")[0].split(": ")[0] for t in left] == [
        "additions/table.csv, line 1, column 11",
        "additions/table.csv, line 3, column 6",
    ]
    assert "write text" in left[0]
    assert "write inspect_shafts" in left[1]


def test_words_beside_a_step_that_is_left_out_are_told(tmp_path: Path) -> None:
    lines = told(
        tmp_path,
        "additions:\n"
        "  - {kind: leave_out, step: front_clearance, sequence: assembly, because: No.}\n"
        "  - {kind: note, step: front_clearance, sequence: assembly, text: Lost.}\n",
    )
    assert len(lines) == 1
    assert "line 3" in lines[0]
    assert "the step front_clearance, which is left out" in lines[0]


def test_a_changed_text_still_states_its_value(tmp_path: Path) -> None:
    act = next(
        (s.id, a.text)
        for s in fleet().sequences["assembly"].steps
        for a in s.acts
        if "{value:" in a.text and a.when is None
    )
    lines = told(
        tmp_path, f"additions:\n  - {{kind: change, step: {act[0]}, was: '{act[1]}', text: As you like.}}\n"
    )
    assert len(lines) == 1
    assert "a text without {value:" in lines[0]


def test_a_table_holds_every_kind_that_fits_a_row(tmp_path: Path) -> None:
    table = (
        "kind,for,step,sequence,text,was,because,new.id,new.title,new.acts,new.focus,new.cautions\n"
        "note,P-1+P-2,clean_gear_case,,Cloths lie in cage 4.,,,,,,,\n"
        'step,,clean_gear_case,,,,,wipe_again,Wipe again,"Wipe.\nWait.",gear_case+stud,lock_out\n'
        "leave_out,80,front_clearance,assembly,,,Not here.,,,,,\n"
    )
    found = load_fleet(write_additions_fleet(tmp_path, "additions: []\n", table))
    heads = [plan_head(h, found.sequences_for(h)[0]) for h in found.heads]
    assert [s.plant.notes for p in heads for s in p.steps if s.id == "clean_gear_case"] == [
        ("Cloths lie in cage 4.",)
    ] * 2
    wiped = next(s for s in heads[0].steps if s.id == "wipe_again")
    assert (wiped.acts, wiped.focus[0]) == (("Wipe.", "Wait."), "gear_case")
    assert ["front_clearance" in {s.id for s in p.steps} for p in heads] == [True, False]


def test_the_keys_of_each_kind_are_keys_of_the_form() -> None:
    known = {f.alias or n for n, f in AdditionText.model_fields.items()}
    assert set(KEYS) == set(AdditionText.model_fields["kind"].annotation.__args__)  # type: ignore[union-attr]
    for keys in KEYS.values():
        assert {*keys.needs, *keys.may} <= known


def test_an_assembly_of_the_owners_own_takes_them_too(tmp_path: Path) -> None:
    file = write_small_assembly(tmp_path)
    file.write_text(file.read_text("utf-8") + "additions: own\n", "utf-8")
    own = tmp_path / "own"
    own.mkdir()
    (own / "a.yaml").write_text(
        "additions: [{kind: note, step: lid, text: The lid lies in cage 4.}]\n", "utf-8"
    )
    (only,) = load_user_assembly(file).plans
    assert only.steps[0].plant.notes == ("The lid lies in cage 4.",)
    (own / "a.yaml").write_text("additions: [{kind: note, step: lit, text: No.}]\n", "utf-8")
    with pytest.raises(FaultsFound, match=r"own/a.yaml, line 1, column 32.*write lid"):
        load_user_assembly(file)


def test_its_acts_name_surfaces_as_without_additions(tmp_path: Path) -> None:
    """The folder that usually holds them is taken; a surface that only the file names is known there, too."""
    file = write_small_assembly(tmp_path)
    face = "{name: rim, kind: face, origin_mm: [0, 0, 5], radius_mm: [0, 5]}"
    text = file.read_text("utf-8").replace("file: box.step}", f"file: box.step, surfaces: [{face}]}}", 1)
    file.write_text(text, "utf-8")
    act = "acts: [{text: Wipe the rim., does: {do: clean, tool: cloth, on: {box: rim}}}]"
    steps = (tmp_path / "fit.yaml").read_text("utf-8").replace("fit: lid,", f"fit: lid, {act},")
    (tmp_path / "fit.yaml").write_text(steps, "utf-8")
    own = tmp_path / "additions"
    own.mkdir()
    (own / "a.yaml").write_text(
        'look: {accent: "#1f5f3f"}\nadditions: [{kind: note, step: lid, text: The lid lies in cage 4.}]\n',
        "utf-8",
    )
    found = load_user_assembly(file)
    assert found.plans[0].steps[0].plant.notes == ("The lid lies in cage 4.",)
    assert [s.surface for o in found.plans[0].steps[0].operations for s in o.on] == ["rim"]
    assert found.additions.look.accent == "#1f5f3f"


@pytest.mark.parametrize(
    ("beside", "expected"),
    [("cover_oring", set()), ("cover_on", {("blocked", "ring_in", "cover_oring", "cover")})],
)
def test_the_solids_are_asked_about_an_added_step(
    tmp_path: Path, beside: str, expected: set[tuple[str, str, str, str]]
) -> None:
    """A ring that the plant lays in by a step of its own goes in before the cover, and is stopped by it after."""
    step = "{id: ring_in, title: Lay the ring in, fit: cover_oring, cautions: sharp_edges}"
    own = (
        "additions:\n"
        f"  - {{kind: step, step: {beside}, new: {step}}}\n"
        "  - {kind: leave_out, step: cover_oring, because: Ours does it., messages_to: cover_on}\n"
    )
    loaded = load_fleet(write_additions_fleet(tmp_path, own))
    (work,) = head_works(loaded, loaded.heads[:1])
    (plan,) = [p for p in moving_plans(work.plans) if p.sequence == "assembly"]
    graph = ProvenHead(work.head).graph(plan, ["ring_in"])
    (move,) = [m for m in graph.moves if m.step_id == "ring_in"]
    assert move.parts == ("cover_oring",)
    found = check_order(graph, plan)
    assert {(f.kind, f.step_id, f.part, f.by) for f in found if f.step_id == "ring_in"} == expected


@pytest.mark.parametrize(
    ("additions", "line", "found", "fix"),
    [
        (
            "additions:\n"
            "  - kind: step\n"
            "    step: clean_gear_case\n"
            "    new: {id: clean_gear_case, title: Show it, focus: gear_case, acts: [Call.], cautions: lock_out}\n",
            4,
            "the step 'clean_gear_case' a second time",
            "rename it",
        ),
        ("- {kind: note, step: clean_gear_case, text: Cloths.}\n", 1, "a list of 1", "begin with additions:"),
        (
            "additions:\n  - {kind: note, step: zzzzzzz, text: Cloths.}\n",
            2,
            "'zzzzzzz', which is gone or never was",
            "look the id up: benchleaf explain assembly",
        ),
    ],
)
def test_a_slip_of_the_first_day_is_told_once(
    tmp_path: Path, additions: str, line: int, found: str, fix: str
) -> None:
    (only,) = told(tmp_path, additions)
    assert only.startswith(f"additions/plant.yaml, line {line}, column ")
    assert found in only
    assert only.endswith(f"likely fix: {fix}")


def test_a_new_message_that_lacks_a_key_is_not_told_as_an_unknown_one(tmp_path: Path) -> None:
    (only,) = told(
        tmp_path,
        "additions:\n"
        "  - {kind: caution, step: clean_gear_case, caution: fork_lifts, signal_word: WARNING, "
        "hazard: Fork lifts pass., consequence: They could run you over., avoidance: Put the barrier up.}\n",
    )
    assert "a new message without hazard_kind" in only
