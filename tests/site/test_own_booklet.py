"""The whole booklet of an assembly of one's own: every page, its own words, values, surfaces and messages."""

from __future__ import annotations

import json
import re
from pathlib import Path

import cadquery as cq
import pytest
from benchleaf.geometry.exchange.assemblies.read_assembly import read_assembly
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.user_assembly import load_user_assembly
from benchleaf.sequences.steps.cautions import load_cautions
from benchleaf.site.booklets.kinds.own_booklet import build_own_booklet
from benchleaf.site.build.user_faults import WorkRefused
from benchleaf.site.command import main
from benchleaf.site.extras.assembly_evidence import write_assembly_evidence
from benchleaf.site.extras.exporting import export_heads
from benchleaf.site.words.catalogue import load_words
from browsing import dead_links
from PIL import Image
from small_assembly import write_small_assembly

TINY = PictureSettings(width=320, height=240, overview_width=480, overview_height=320, measure_width=240)
ASSEMBLY = """\
assembly: Clamp "Nord" & Süd
service: Holds a bar
demo: true
parts:
  - {part: base, name: Base, file: base.step, colour: "#557799"}
  - {part: jaw, name: Jaw, material: stainless, file: jaw.step, shift_mm: [0, 0, 20]}
  - part: screw
    name: Clamp screw
    material: A4-70
    file: screw.step
    shift_mm: [0, 0, 30]
    thread: true
    surfaces:
      - {name: hexagon, kind: hexagon, origin_mm: [0, 0, 5.9], size_mm: 13, radius_mm: [6.4, 7.6], along_mm: [-5.8, 0]}
  - {part: cap, name: Cap, material: aluminium, file: cap.step, shift_mm: [0, 0, 36]}
cautions: own.yaml
values:
  clamp_torque:
    title: Clamp torque
    quantity: torque
    where: the shop's own sheet
    on_file: {value: 9, unit: N·m, threads: dry, source: {document: Sheet 7}, date: 2026-01-05}
  bar_size: {title: Size of the bar, quantity: length, where: the order}
spare_parts: {screw: {number: C-3, spare: on condition}, cap: {number: C-4, spare: replace always}}
symptoms:
  - symptom: The bar slips
    causes:
      - {cause: The screw is loose., steps: assembly/tight}
      - {cause: The jaw is worn. Ask the tool room., refer: true}
terms:
  - {term: Jaw, text: The part that presses the bar., part: jaw, steps: assembly/jaw}
sequences: [fit.yaml]
"""
FIT = """\
sequence: assembly
title: Put the clamp together
given: [base]
cautions: [lock_out, dust]
sections: [{id: all, title: All}]
steps:
  - {id: jaw, section: all, title: Set the jaw down, fit: jaw, cautions: pinch_fitting}
  - id: screw
    section: all
    title: Run the screw in
    fit: screw
    cautions: thread_protection
  - id: tight
    section: all
    title: Tighten the screw
    focus: screw
    acts:
      - text: Tighten it to {value:clamp_torque}, {tighten:screw}.
        does: {do: tighten, tool: torque wrench, on: {screw: hexagon}}
    measure: [{id: bar, text: The bar, unit: mm, value: bar_size}]
    values: [clamp_torque, bar_size]
    cautions: wrong_torque
"""
OWN = """\
cautions:
  - id: dust
    signal_word: CAUTION
    hazard_kind: chemical
    hazard: Dust of the bar.
    consequence: It could irritate eyes and lungs.
    avoidance: Wear a mask.
"""


ADDITIONS = """\
look: {logo: logo.png, logo_alt: Nord}
contact: {ask: Tool room, phone: "4711"}
additions:
  - {kind: note, step: cap, text: Caps lie in drawer 2.}
  - kind: step
    step: tight
    new: {id: cap, title: Set the cap on, fit: cap, acts: [Press it on.], cautions: paint}
  - {kind: caution, step: cap, caution: paint, signal_word: NOTICE, hazard_kind: damage to parts,
     hazard: The cap is painted., consequence: A scratch spoils it., avoidance: Hold it with a cloth.}
"""
"""What the plant adds: the step in which a part of the file is fitted, too."""


def write_clamp(folder: Path) -> Path:
    base = (
        cq.Workplane()
        .box(50, 30, 20, centered=(True, True, False))
        .cut(cq.Workplane().circle(4.1).extrude(20))
    )
    jaw = (
        cq.Workplane()
        .box(50, 30, 10, centered=(True, True, False))
        .cut(cq.Workplane().circle(4.4).extrude(10))
    )
    screw = cq.Workplane().polygon(6, 13 / 0.8660254).extrude(6)
    screw = screw.union(cq.Workplane(origin=(0, 0, -25)).circle(4).extrude(25))
    cap = cq.Workplane().circle(4).extrude(4)
    for name, solid in (("base", base), ("jaw", jaw), ("screw", screw), ("cap", cap)):
        cq.exporters.export(solid, str(folder / f"{name}.step"))
    for name, text in (("clamp.yaml", ASSEMBLY), ("fit.yaml", FIT), ("own.yaml", OWN)):
        (folder / name).write_text(text, "utf-8")
    (folder / "additions").mkdir()
    (folder / "additions" / "plant.yaml").write_text(ADDITIONS, "utf-8")
    Image.new("RGB", (60, 20), "navy").save(folder / "additions" / "logo.png")
    return folder / "clamp.yaml"


@pytest.fixture(scope="module")
def booklet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("clamp")
    built = build_own_booklet(write_clamp(folder), folder / "out", workers=1, pictures=TINY, prove=True)
    assert (built.heads, built.missing, built.library) == (1, 1, False)
    return folder / "out"


def test_every_page_of_a_head_is_there_and_leads_somewhere(booklet: Path) -> None:
    pages = {p.name for p in booklet.glob("*.html")}
    assert pages >= {
        "index.html", "assembly.html", "practice.html", "class-assembly.html", "questions.html", "test.html",
        "observed.html", "values.html", "record.html", "paper.html", "evidence.html",
    }  # fmt: skip
    assert dead_links(sorted(booklet.glob("*.html"))) == []
    assert {f.name for f in (booklet / "pictures").glob("assembly-0*.avif")} >= {
        f"assembly-0{n}.avif" for n in (1, 2, 3)
    }
    assert (booklet / "pictures" / "assembly-01-film.avif").is_file()
    assert (booklet / "evidence" / "assembly.json").is_file()
    assert any((booklet / "viewer").iterdir())


def test_no_pump_is_spoken_of(booklet: Path) -> None:
    for page in booklet.glob("*.html"):
        text = re.sub(r"<(script|style).*?</\1>", "", page.read_text("utf-8"), flags=re.DOTALL)
        words = re.sub(r"<[^>]*>|\S*pump\S*\.html", " ", text)
        assert re.findall(r"[^.]*\b(?:pumps?|rotors?|fluid head)\b[^.]*", words, re.IGNORECASE) == [], (
            page.name
        )


def test_own_values_messages_and_names_are_told(booklet: Path) -> None:
    text = (booklet / "assembly.html").read_text("utf-8")
    assert "Clamp torque" in text
    assert "Tighten it to 9\u00a0N·m" in text
    assert "the order" in text, "where to look for the blank"
    front = (booklet / "index.html").read_text("utf-8")
    assert "Clamp &#34;Nord&#34; &amp; Süd" in front
    assert "Dust of the bar." in front
    assert "The machine can start or move while your hands are in it." in front
    assert "Sheet 7" in (booklet / "values.html").read_text("utf-8")


def test_what_the_plant_adds_is_proven_drawn_and_told(booklet: Path) -> None:
    proven = json.loads((booklet / "evidence" / "assembly.json").read_text("utf-8"))
    assert [m["step_id"] for m in proven["moves"]] == ["jaw", "screw", "cap"]
    assert (booklet / "pictures" / "assembly-04-film.avif").is_file()
    text = (booklet / "assembly.html").read_text("utf-8")
    for said in ("Caps lie in drawer 2.", "Set the cap on", "The cap is painted."):
        assert said in text
    cards = (booklet / "cards.html").read_text("utf-8")
    assert "Caps lie in drawer 2." in cards, "beside the card of its part"
    front = (booklet / "index.html").read_text("utf-8")
    assert "assets/plant-logo.png" in front
    assert "Tool room" in front
    assert "4711" in front


def test_its_evidence_alone_states_its_own_values(tmp_path: Path) -> None:
    said: list[str] = []
    name, wrong = write_assembly_evidence(write_clamp(tmp_path), tmp_path / "proof", None, said.append, 1)
    assert (name, wrong) == ('Clamp "Nord" & Süd', ())
    steps = (tmp_path / "proof" / "assembly.html").read_text("utf-8")
    assert "Tighten it to 9\u00a0N·m" in steps
    assert "Caps lie in drawer 2." in steps
    assert "Where to find it: the order" in (tmp_path / "proof" / "record.html").read_text("utf-8")
    assert "does not exist" in (tmp_path / "proof" / "index.html").read_text("utf-8"), "it is invented"


def test_an_added_step_that_cannot_be_done_is_refused(tmp_path: Path) -> None:
    """The cap is set on before the screw, whose way it closes."""
    file = write_clamp(tmp_path)
    own = tmp_path / "additions" / "plant.yaml"
    own.write_text(ADDITIONS.replace("step: tight\n", "step: jaw\n"), "utf-8")
    with pytest.raises(
        WorkRefused, match="clamp screw cannot reach its place: the cap, fitted in step 2, stops it"
    ):
        build_own_booklet(file, tmp_path / "out", workers=1, pictures=TINY, prove=True)
    assert not (tmp_path / "out").exists()


def test_what_its_file_says_beside_the_sequences_has_pages(booklet: Path) -> None:
    """Spares, symptoms, terms: what it says, and no page of what it does not say."""
    pages = {p.name for p in booklet.glob("*.html")}
    assert {"pump.html", "trouble.html", "glossary.html"} <= pages
    assert "year.html" not in pages
    kit = (booklet / "pump.html").read_text("utf-8")
    assert "C-3" in kit
    assert "C-4" in kit
    assert kit.index("New in every overhaul") < kit.index("C-4") < kit.index("Kept ready") < kit.index("C-3")
    assert "Size</th>" not in kit, "nothing is known of sizes"
    trouble = (booklet / "trouble.html").read_text("utf-8")
    assert trouble.index("The bar slips") < trouble.index("The screw is loose.") < trouble.index("Refer")
    assert 'href="assembly.html#step-3"' in trouble
    words = (booklet / "glossary.html").read_text("utf-8")
    assert "The part that presses the bar." in words
    assert 'id="term-jaw"' in words
    assert ' cut"><picture>' in words, "its picture is cut out of that of its step"
    paper = (booklet / "paper.html").read_text("utf-8")
    assert all(f'href="#paper-{name}"' in paper for name in ("pump", "trouble", "glossary"))
    assert "paper-year" not in paper


def test_the_tool_stands_in_the_picture(booklet: Path) -> None:
    manifest = (booklet / "evidence" / "assembly.json").read_text("utf-8")
    assert "torque wrench" in manifest


def test_a_sequence_that_cannot_be_done_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    file = write_small_assembly(tmp_path)
    text = (tmp_path / "lid.yaml").read_text("utf-8").replace("[0, 0, 10]", "[0, 0, 4]")
    (tmp_path / "lid.yaml").write_text(text, "utf-8")
    with pytest.raises(WorkRefused, match="overlap in place"):
        build_own_booklet(file, tmp_path / "out", workers=1, pictures=TINY, prove=True)
    assert not (tmp_path / "out").exists()


def test_mistakes_of_values_and_surfaces_have_their_places(tmp_path: Path) -> None:
    file = write_clamp(tmp_path)
    text = ASSEMBLY.replace("clamp_torque:\n", "rotor_nut_torque:\n", 1).replace("[6.4, 7.6]", "[7.6, 6.4]")
    file.write_text(text, "utf-8")
    text = text.replace("assembly/tight}", "assembly/tigth}").replace("part: jaw, steps", "part: jaws, steps")
    file.write_text(text.replace("cap: {number", "capp: {number"), "utf-8")
    with pytest.raises(FaultsFound) as caught:
        load_user_assembly(file)
    said = str(caught.value)
    assert "the part 'capp'; allowed: " in said
    assert "likely fix: write jaw" in said
    assert "the value rotor_nut_torque, which is one of a pump's" in said
    assert "the least first, then the greatest; likely fix: write [6.4, 7.6]" in said
    assert "the value 'clamp_torque'" in said


def test_check_tells_the_values_that_its_steps_ask_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write_clamp(tmp_path)
    asked_by_none = "values:\n  drift: {title: Drift, quantity: length, where: nowhere}\n"
    file.write_text(file.read_text("utf-8").replace("values:\n", asked_by_none), "utf-8")
    assert main(["check", str(file)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].endswith("4 parts, Put the clamp together 4 steps, no mistakes found.")
    assert said[1:] == [
        "1 value not on file; they will print as blanks:",
        "  Size of the bar (Put the clamp together, step 3). Where to find it: the order.",
    ]


def test_workshop_messages_keep_the_signal_words_rules() -> None:
    pumps, shop = load_cautions(), load_cautions(workshop=True)
    own = [e for e in shop.entries.values() if e.id not in pumps or e.hazard != pumps.entries[e.id].hazard]
    assert len(own) > 25
    assert all(
        not re.search(r"\b(pump|rotor|head|product)s?\b", f"{e.hazard} {e.consequence} {e.avoidance}")
        for e in own
    )
    assert all(e.id in shop for e in pumps.entries.values()), "what sequences call on already is still there"


def test_words_over_others_need_the_same_fields() -> None:
    words = load_words()
    for key in (k for k in words.texts if k.startswith("own.")):
        assert key.removeprefix("own.") in words.texts, key
        assert words.fields(key) <= words.fields(key.removeprefix("own.")), key


def test_its_models_are_written_for_other_programs(tmp_path: Path) -> None:
    """The STEP file, read back as a stranger's, holds its parts."""
    assert export_heads(write_clamp(tmp_path), tmp_path / "models", (), lambda _: None) == 1
    stem = "clamp-nord-s-d"
    found = read_assembly([tmp_path / "models" / f"{stem}.step"])
    assert sorted(p.name for p in found.parts) == ["base", "cap", "jaw", "screw"]
    assert b"animations" in (tmp_path / "models" / f"{stem}.glb").read_bytes()
