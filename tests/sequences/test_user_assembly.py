"""A user's own assembly, no pump at all: STEP solids and sequence files, through the real command."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import cadquery as cq
import jsonschema
import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.geometry.assembly import TurningGroup
from benchleaf.sequences.files.faults import Faults, FaultsFound
from benchleaf.sequences.files.yaml_files import read_yaml
from benchleaf.sequences.fleet.file_kind import is_user_assembly
from benchleaf.sequences.fleet.schemas import FOLDER
from benchleaf.sequences.fleet.user_assembly import load_user_assembly
from benchleaf.sequences.misfits.findings import Effect
from benchleaf.sequences.order.order_graph import Why
from benchleaf.sequences.proof.evidence import Evidence, read_evidence
from benchleaf.sequences.proof.prove import prove
from benchleaf.sequences.steps.operations import SurfaceOf
from benchleaf.site.command import main
from browsing import DESK, Visit, browser, dead_links, viewport
from proof_samples import mistake

ASSEMBLY = """\
assembly: Hinged latch
parts:
  - {part: base, name: Base, material: steel, file: base.step}
  - {part: lever, name: Lever, material: steel, file: lever.step, shift_mm: [0, 0, 10]}
  - {part: pin, name: Hinge pin, material: steel, file: pin.step, turn: {about: x, deg: 90}, shift_mm: [0, 0, 10]}
  - {part: ring, name: Ring, material: steel, file: ring.step, turn: {about: x, deg: 90}, shift_mm: [0, -18, 10]}
sequences: [fit.yaml, take_apart.yaml]
"""
HEAD = """\
given: [base]
sections: [{id: all, title: All}]
steps:
"""
FIT = f"""\
sequence: assembly
title: Fit the latch
{HEAD}\
  - {{id: lever, section: all, title: Put the lever in, fit: lever, cautions: sharp_edges}}
  - {{id: pin, section: all, title: Push the pin through, fit: pin, travel: find, cautions: sharp_edges}}
  - {{id: ring, section: all, title: Push the ring on, fit: ring, travel: +y, cautions: sharp_edges}}
"""
APART = f"""\
sequence: disassembly
title: Take the latch apart
{HEAD}\
  - {{id: ring, section: all, title: Pull the ring off, remove: ring, travel: -y, cautions: sharp_edges}}
  - {{id: pin, section: all, title: Push the pin out, remove: pin, travel: +y, cautions: sharp_edges}}
  - {{id: lever, section: all, title: Lift the lever, remove: lever, cautions: sharp_edges}}
"""


def write(folder: Path, **texts: str) -> Path:
    """Write the latch: a fork with a lever between its cheeks, a headed pin across, a ring on its end."""
    across = (0.0, 0.0, 10.0)
    hole = cq.Workplane("XZ", origin=across).circle(3.05).extrude(40, both=True)
    base = cq.Workplane().box(30, 30, 6).translate((0, 0, -6))
    for y in (-11, 11):
        base = base.union(cq.Workplane().box(16, 6, 24).translate((0, y, 6)))
    lever = cq.Workplane().box(10, 15.8, 12).union(cq.Workplane().box(40, 8, 4).translate((20, 0, 8)))
    lever_hole = cq.Workplane("XZ").circle(3.05).extrude(40, both=True)
    solids = {
        "base": base.cut(hole),
        "lever": lever.cut(lever_hole),
        "pin": cq.Workplane()
        .circle(3)
        .extrude(24, both=True)
        .union(cq.Workplane(origin=(0, 0, -17)).circle(6).extrude(3)),
        "ring": cq.Workplane().circle(5).circle(3.05).extrude(2),
    }
    for name, solid in solids.items():
        cq.exporters.export(solid, str(folder / f"{name}.step"))
    given = {"latch": ASSEMBLY, "fit": FIT, "take_apart": APART, **texts}
    for name, text in given.items():
        (folder / f"{name}.yaml").write_text(text, "utf-8")
    return folder / "latch.yaml"


def run(file: Path, to: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the command over an assembly file."""
    return subprocess.run(
        [sys.executable, "-m", "benchleaf.site", "evidence", str(file), "--to", str(to), "--afresh", *words],
        capture_output=True,
        text=True,
        check=False,
        env=dict(os.environ),
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that the command writes for the latch, as a user runs it."""
    folder = tmp_path_factory.mktemp("latch")
    done = run(write(folder), folder / "out")
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    assert f"Hinged latch proven. Open {folder / 'out' / 'index.html'} in a browser." in done.stdout
    assert "Every sequence can be done as written." in done.stdout
    return folder / "out"


@pytest.fixture(scope="module")
def latch(folder: Path) -> dict[str, Evidence]:
    return {n: read_evidence(folder / "evidence" / f"{n}.json") for n in ("assembly", "disassembly")}


def test_own_assembly_gets_the_same_evidence(latch: dict[str, Evidence]) -> None:
    for evidence in latch.values():
        assert evidence.sound
        assert all(m.path.clear for m in evidence.moves)
        gaps = {m.parts: m.path.gap for m in evidence.moves}
        pin = gaps[("pin",)]
        assert pin is not None
        assert pin.mm == pytest.approx(0.05, abs=0.02)
        assert len(evidence.practice.moves) == 3
        assert evidence.phases == ()
    arrows = {
        name: {(e.moves[a].parts[0], e.moves[b].parts[0]) for a, b in e.arrows} for name, e in latch.items()
    }
    assert arrows == {"assembly": {("lever", "pin")}, "disassembly": {("pin", "lever")}}
    ring = latch["assembly"].reasons[2]
    assert (ring.earliest, ring.latest) == (3, 3)
    assert ring.why == (Why("held"),)


def test_own_assembly_has_its_travel_found_and_its_mistakes_tried(latch: dict[str, Evidence]) -> None:
    evidence = latch["assembly"]
    (pin,) = [m for m in evidence.moves if m.parts == ("pin",)]
    assert pin.path.found
    assert [round(s.slide[1] / s.length_mm) for s in pin.path.stretches] == [1]  # its head is on that side
    tried = {(f.parts, mistake(f)): f for f in evidence.wrong_fits}
    assert len(tried) == len(evidence.wrong_fits)
    assert tried[("pin",), "half turn"].verdict == "no difference"
    assert tried[("pin",), "end for end x"].verdict == "stopped"
    lever = tried[("lever",), "half turn"]  # about its hole, not about the middle of its length
    assert lever.verdict == "goes in"
    assert lever.wrong == (Effect("points elsewhere", mm=35.0),)
    assert any(c.kind == "half turn" and c.parts == ("lever",) for c in evidence.cards)


def test_page_shows_what_the_files_hold(folder: Path, latch: dict[str, Evidence]) -> None:
    text = (folder / "index.html").read_text("utf-8")
    assert dead_links([folder / "index.html"]) == []
    assert "Sound: nothing overlaps" in text
    for name, evidence in latch.items():
        assert f'href="evidence/{name}.json"' in text
        assert evidence.key in text
        for reason in evidence.reasons:
            assert f'id="{name}-{reason.step}"' in text
    assert "Not earlier: the ring would have nothing to sit on or in." in text
    assert "It points the other way: on one side it reaches 35.0\u00a0mm further than it should." in text
    assert "pump" not in text.split("</main>")[0].split("<main", 1)[1]


def test_page_opens_clean_and_is_accessible_at_the_desk_and_on_a_phone(folder: Path) -> None:
    with browser() as chrome:
        for view in (DESK, viewport(390, 844)):
            context = chrome.new_context(viewport=view)
            visit = Visit(context, folder / "index.html")
            assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
            found = Axe().run(visit.page)
            assert found.violations_count == 0, found.generate_report()
            context.close()


def test_own_sequence_that_cannot_be_done_names_step_part_and_blocker(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    steps = FIT.splitlines(keepends=True)
    lever = next(n for n, line in enumerate(steps) if "id: lever" in line)
    steps[lever], steps[lever + 1] = steps[lever + 1], steps[lever]
    file = write(tmp_path, fit="".join(steps))
    assert main(["evidence", str(file), "--to", str(tmp_path / "out"), "--afresh"]) == 2
    said = "assembly: Step 2 (lever): The lever cannot reach its place: the hinge pin, fitted in step 1,"
    assert said in capsys.readouterr().err
    assert said in (tmp_path / "out" / "index.html").read_text("utf-8")


WRONG = """\
assembly: Hinged latch
colour: red
parts:
  - {part: base, name: Base, file: base.step}
  - {part: base, name: Base, file: open.step}
  - {part: lever, file: lever.step, shift_mm: [0, 10]}
  - {part: pin, name: Hinge pin, file: notes.step, turn: {about: w, deg: x}, shift_mm: [0, 0, .nan]}
  - {part: ring, name: Ring, file: two.step}
  - {part: clip, name: Clip, file: rign.step}
sequences: [fit.yaml, take_apart.yaml, other.txt]
"""


def test_every_mistake_of_an_own_assembly_is_told_with_its_place(tmp_path: Path) -> None:
    apart = APART.replace("remove: ring", "remove: [ring")
    file = write(tmp_path, latch=WRONG, fit=FIT.replace("fit: pin", "fit: pinn"), take_apart=apart)
    (tmp_path / "notes.step").write_text("hello")
    box = cq.Solid.makeBox(1, 1, 1)
    two = cq.Compound.makeCompound([box, box.translate(cq.Vector(4, 0, 0))])
    cq.exporters.export(cq.Workplane(box.Faces()[0]), str(tmp_path / "open.step"))
    cq.exporters.export(cq.Workplane(two), str(tmp_path / "two.step"))
    done = run(file, tmp_path / "out")
    assert done.returncode == 2
    head, *lines = done.stderr.splitlines()
    wanted = [
        ("fit.yaml, line 7, column 63 (steps > #2 > fit > #1): found the part 'pinn'", "write pin"),
        ("latch.yaml, line 2, column 1 (colour): found the key colour", "take the line away"),
        ("latch.yaml, line 5, column 12 (parts > #2 > part): found the part 'base' again", "a name of its own"),
        ("latch.yaml, line 5, column 36 (parts > #2 > file): found 'open.step', no solid", "into one solid"),
        ("latch.yaml, line 6, column 5 (parts > #3): found no name", "add the line name"),
        ("latch.yaml, line 6, column 47 (parts > #3 > shift_mm): found a list of 2", "at least 3 entries"),
        ("latch.yaml, line 7, column 40 (parts > #4 > file): found 'notes.step', no STEP header", "export"),
        ("latch.yaml, line 7, column 66 (parts > #4 > turn > about): found 'w'; allowed: x, y or z", ""),
        ("latch.yaml, line 7, column 74 (parts > #4 > turn > deg): found 'x'; allowed: a number", "write a number"),
        ("latch.yaml, line 7, column 95 (parts > #4 > shift_mm > #3): found '.nan'; allowed: a number", ""),
        ("latch.yaml, line 8, column 36 (parts > #5 > file): found 'two.step', 2 solids", "export it alone"),
        ("latch.yaml, line 9, column 36 (parts > #6 > file): found 'rign.step'", "write ring.step"),
        ("latch.yaml, line 10, column 40 (sequences > #3): found 'other.txt'", "the ending of its name"),
        ("take_apart.yaml, line 6,", "add the comma or the ]"),
    ]  # fmt: skip
    for where, fix in wanted:
        assert any(where in line and fix in line for line in lines), (where, done.stderr)
    assert head == f"{len(wanted)} mistakes in the data:"
    assert sorted(p.suffix for p in tmp_path.iterdir() if p.suffix not in (".step", ".yaml")) == []


def test_part_forgotten_and_sequence_doubled_are_mistakes_of_the_files(tmp_path: Path) -> None:
    short = "".join(line for line in FIT.splitlines(keepends=True) if "id: ring" not in line)
    file = write(
        tmp_path, fit=short, latch=ASSEMBLY.replace("take_apart.yaml", "take_apart.yaml, again.yaml")
    )
    (tmp_path / "again.yaml").write_text(APART, "utf-8")
    with pytest.raises(FaultsFound) as found:
        load_user_assembly(file)
    said = str(found.value)
    assert "found ring, which is never fitted" in said
    assert "found 'again.yaml', which is the disassembly again" in said
    assert "the disassembly is take_apart.yaml" in said


def test_acts_of_an_own_assembly_name_whole_parts(tmp_path: Path) -> None:
    pushed = '{{text: Push it, does: {{do: press, on: {}, towards: "+y"}}}}'
    whole = FIT.replace("fit: pin,", f"fit: pin, acts: [{pushed.format('pin')}],")
    plan = load_user_assembly(write(tmp_path, fit=whole)).plans[0]
    (press,) = [o for s in plan.steps for o in s.operations]
    assert (press.on, press.towards) == ((SurfaceOf("pin"),), (0.0, 1.0, 0.0))
    named = FIT.replace("fit: pin,", f"fit: pin, acts: [{pushed.format('{pin: head}')}],")
    with pytest.raises(FaultsFound) as found:
        load_user_assembly(write(tmp_path, fit=named))
    said = str(found.value)
    assert "found the surface 'head' of pin" in said
    assert "allowed: the whole part, which has no named surfaces; likely fix: write pin alone" in said


def test_sequences_that_move_nothing_prove_nothing(tmp_path: Path) -> None:
    look = HEAD + "  - {id: look, section: all, title: Look, focus: base, cautions: sharp_edges}\n"
    look = "sequence: inspection\ntitle: Look it over\n" + look.replace("[base]", "[base, lever, pin, ring]")
    file = write(
        tmp_path, take_apart=look, latch=ASSEMBLY.replace("fit.yaml, take_apart.yaml", "take_apart.yaml")
    )
    with pytest.raises(FaultsFound, match="found no step that fits or removes a part"):
        load_user_assembly(file)


def test_own_assembly_is_checked_without_its_proof_and_is_no_fleet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write(tmp_path)
    assert is_user_assembly(file)
    assert not is_user_assembly(tmp_path / "fit.yaml")
    misspelt = write(tmp_path, latch=ASSEMBLY.replace("assembly:", "asembly:"))
    assert main(["check", str(misspelt)]) == 2
    assert "found the key asembly" in (said := capsys.readouterr().err)
    assert "write assembly" in said
    write(tmp_path)
    assert main(["check", str(file)]) == 0
    said = "Hinged latch: 4 parts, Fit the latch 3 steps, Take the latch apart 3 steps, no mistakes found."
    assert said in capsys.readouterr().out
    assert main(["spares", str(file), "--to", str(tmp_path / "out")]) == 2
    assert "not a fleet. Make its booklet: benchleaf build" in capsys.readouterr().err
    assert main(["build", str(file), "--to", str(tmp_path / "out"), "--only", "P-1"]) == 2
    assert "one booklet: leave --only out." in capsys.readouterr().err
    assert main(["evidence", str(file), "--to", str(tmp_path / "out"), "--only", "P-1"]) == 2
    assert "which has no tags: leave --only out." in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    file = write(tmp_path, latch=ASSEMBLY.replace("file: pin.step", "file: ../pin.step"))
    with pytest.raises(
        FaultsFound, match=r"found '\.\./pin\.step'; allowed: a \.step, \.stp, .* or \.glb file in the folder"
    ):
        load_user_assembly(file)


def test_example_of_the_readme_can_be_done(tmp_path: Path) -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    latch, fit = re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL)
    file = write(tmp_path, latch=latch, fit=fit)
    doc = read_yaml(file, Faults())
    assert doc is not None
    schema = json.loads((FOLDER / "schema_assembly.json").read_text("utf-8"))
    assert [e.message for e in jsonschema.Draft202012Validator(schema).iter_errors(doc.data)] == []
    user = load_user_assembly(file)
    assert [p.key for p in user.assembly] == ["base", "lever", "pin"]
    assert prove(user.assembly, user.plans[0], workers=1).sound


TURNING = "turning: {parts: pin, axis: +y, about_mm: [0, 0, 10]}\n"
SPUN = (
    FIT
    + "  - {id: spin, section: all, title: Spin the pin, focus: pin, turn_shafts_deg: 30, cautions: sharp_edges}\n"
    + "  - {id: look, section: all, title: Look at it, focus: ring, cautions: sharp_edges}\n"
)


def test_what_turns_in_an_own_assembly_stays_turned_and_has_to_be_clear(tmp_path: Path) -> None:
    """The round pin spins in its hole; the lever, turned with it, would come round into the base."""
    user = load_user_assembly(write(tmp_path, latch=ASSEMBLY + TURNING, fit=SPUN))
    assert user.assembly.turning == (
        TurningGroup("pin", ("pin",), (0.0, 0.0, 10.0), (0.0, 1.0, 0.0), 1.0, "pin"),
    )
    assert [s.shaft_angle_deg for s in user.plans[0].steps] == [0.0, 0.0, 0.0, 0.0, 30.0]
    evidence = prove(user.assembly, user.plans[0], workers=1)
    assert [(t.step_id, t.clear) for t in evidence.turns] == [("spin", True)]
    assert evidence.sound
    both = ASSEMBLY + TURNING.replace("parts: pin", "parts: [pin, lever]")
    user = load_user_assembly(write(tmp_path, latch=both, fit=SPUN))
    evidence = prove(user.assembly, user.plans[0], workers=1)
    assert [t.touches for t in evidence.turns] == [(("lever", "base"),)]
    assert not evidence.sound


def test_mistakes_of_what_turns_are_told_with_their_place(tmp_path: Path) -> None:
    wrong = (
        "turning:\n"
        "  - {parts: [pin, levr], axis: +y}\n"
        "  - {parts: pin, about_mm: [0, 0, 10]}\n"
        "  - {parts: ring, axis: up, ratio: .nan, about_mm: [0, 0]}\n"
    )
    with pytest.raises(FaultsFound) as found:
        load_user_assembly(write(tmp_path, latch=ASSEMBLY + wrong))
    said = str(found.value)
    for words in (
        "(turning > #1 > parts > #2): found the part 'levr'; allowed: base, lever, pin or ring; likely fix",
        "(turning > #2 > parts > #1): found the part 'pin' again; allowed: each part once (it turns with pin)",
        "(turning > #3 > axis): found 'up'; allowed: +x, -x, +y, -y, +z or -z",
        "(turning > #3 > ratio): found '.nan'; allowed: a number",
        "(turning > #3 > about_mm): found a list of 2",
    ):
        assert words in said, said
    assert len(found.value.faults) == 5
