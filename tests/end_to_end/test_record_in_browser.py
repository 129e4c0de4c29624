"""The record sheet in Chromium, opened from disk: a whole job, kept, printed, taken out and back, beside other jobs."""

from __future__ import annotations

import copy
import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.fleet.schemas import FOLDER
from benchleaf.sequences.records.figures_read import figure_typed, in_unit_of_limits
from benchleaf.sequences.records.read_records import read_record
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.records.record_sheet import other_unit
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, pdf_pages
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Dialog, Page, ViewportSize
from site_samples import draw_sample_pictures, sample_booklet

WORDS = load_words()
SCHEMA = json.loads((FOLDER / "schema_record.json").read_text("utf-8"))
TARGET = 48
"""Least height of what is touched, CSS pixels."""


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture(scope="module")
def booklet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("record") / "p-101"
    write_booklet(sample_booklet(), folder, Setting(WORDS, "Invented Works", True, "2025-03-01"))
    draw_sample_pictures(folder)
    return folder


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    file = tmp_path / "seat.png"
    Image.effect_noise((3200, 2400), 60).save(file)
    return file


def texts(page: Page, selector: str) -> list[str]:
    return [" ".join(t.split()) for t in page.locator(selector).all_inner_texts() if t.strip()]


def exported(page: Page, button: str, to: Path) -> str:
    with page.expect_download() as caught:
        page.click(f"[data-do={button}]")
    caught.value.save_as(to)
    return to.read_text("utf-8-sig")


def record_job(context: BrowserContext, booklet: Path, photo: Path) -> None:
    """Do a job on the pages: ticks, readings in both systems, sign-off, photo."""
    steps = Visit(context, booklet / "assembly.html")
    for number in (1, 2, 4):
        steps.page.check(f"#step-{number} .tick input")
    visit = Visit(context, booklet / "record.html")
    page = visit.page
    head = {"work_order": "WO-4711", "date": "2025-03-02", "done_by": "F. Itter", "checked_by": "C. Heck"}
    for name, said in head.items():
        page.fill(f"[data-job={name}]", said)
    page.fill(
        "[data-job=remarks]", "First line, then\n" + "a second one that is far longer than its field " * 4
    )
    gap = page.locator("#assembly-front_gap")
    gap.locator("button.unit").click()
    gap.locator(".reading").fill("0.0056")
    gap.locator(".calibration").fill("FG-07")
    gap.locator(".certificate").fill("CC-2024-118")
    page.locator("#assembly-turn input[value=fail]").check()
    page.locator("tr[data-sign] .signer").first.fill("S. Igner")
    page.set_input_files(".photo-file", photo)
    page.locator(".photo-list img").wait_for()
    page.locator(".photo-list input").fill("Seat with a scratch")
    assert (steps.troubles, visit.troubles, visit.outside()) == ([], [], [])
    steps.page.close()
    page.close()


STATE = """() => {
  const all = chosen => [...document.querySelectorAll(chosen)], sheet = kind => all(`form.sheet ${kind}`);
  const box = f => ['file', 'radio', 'checkbox'].includes(f.type);
  return {
    fields: sheet('input, textarea').filter(f => !box(f)).map(f => f.value),
    chosen: sheet('select').map(f => f.options[f.selectedIndex].text),
    boxes: sheet('input').filter(box).map(f => f.checked),
    units: sheet('.unit').map(u => u.textContent),
    said: ['.result', '.stamp', '.next-act', '.converted', '.mark', '.tally'].flatMap(
      kind => sheet(kind).map(n => n.textContent)),
    photos: all('.photo-list img').map(i => i.src),
  };
}"""


@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_a_whole_job_is_kept_printed_exported_and_imported(
    chrome: Browser, booklet: Path, photo: Path, tmp_path: Path, view: ViewportSize
) -> None:
    context = chrome.new_context(viewport=view)
    record_job(context, booklet, photo)

    visit = Visit(context, booklet / "record.html")
    page = visit.page
    page.locator(".photo-list img").wait_for()
    before = page.evaluate(STATE)
    gap = page.locator("#assembly-front_gap")
    assert gap.locator(".reading").input_value() == "0.0056"
    assert texts(page, "#assembly-front_gap .unit") == ["in"]
    assert texts(page, "#assembly-front_gap .converted") == ["= 0.14224 mm on the scale of the limits"]
    assert texts(page, "#assembly-front_gap .result") == [WORDS("record.within")]
    assert texts(page, "#assembly-turn .next-act") == [WORDS("recording.act_outside")]
    (job,) = texts(page, ".job-choice")
    assert texts(page, ".job-name") == [WORDS("recording.open_job", job=job.split(" · ")[0])]
    assert Visit(context, booklet / "assembly.html").page.is_checked("#step-4 .tick input")

    sheet = " ".join(" ".join(pdf_pages(page, tmp_path / "record.pdf", "A4")).split())
    marks = [m for m in (*before["fields"], *before["chosen"][:1], *before["said"]) if m]
    assert {"Seat with a scratch", "FG-07", "CC-2024-118", "S. Igner", "0.0056"} <= set(marks)
    for mark in marks:
        words = [w for w in re.split(r"\s+", mark) if w]
        if "longer than its field" in mark:
            assert sheet.count("far longer than its field") == 4, "remarks are printed whole"
        else:
            assert all(w in sheet for w in words), mark
    assert WORDS("record.fail") in sheet

    text = exported(page, "json", tmp_path / "job.json")
    whole = json.loads(text)
    jsonschema.validate(whole, SCHEMA)
    faults = Faults()
    read, tabled = (
        read_record(file, faults)
        for file in (tmp_path / "job.json", tmp_path / "job.csv")
        if exported(page, "csv", tmp_path / "job.csv")
    )
    assert [str(f) for f in faults] == []
    assert read is not None
    assert tabled is not None
    assert read.readings == tabled.readings
    assert (read.ticks, read.sign_offs, read.job) == (tabled.ticks, tabled.sign_offs, tabled.job)
    assert [(r.id, r.entered, r.unit, r.verdict) for r in read.readings] == [
        ("front_gap", "0.0056", "in", "within"),
        ("turn", "fail", "pass", "fail"),
    ]
    assert [t.step for t in read.ticks] == [1, 2, 4]
    assert [(len(p["data"]) < 1_500_000, p["caption"]) for p in whole["photos"]] == [
        (True, "Seat with a scratch")
    ]

    empty = chrome.new_context(viewport=view)
    other = Visit(empty, booklet / "record.html")
    assert other.page.input_value("[data-job=work_order]") == ""
    other.page.set_input_files(".import-file", tmp_path / "job.json")
    other.page.locator(".photo-list img").wait_for()
    assert texts(other.page, ".import-said")[0].startswith("Imported: WO-4711")
    assert other.page.evaluate(STATE) == before
    assert json.loads(exported(other.page, "json", tmp_path / "again.json")) == whole
    assert (visit.troubles, other.troubles, visit.too_wide(), other.too_wide()) == ([], [], 0, 0)
    context.close()
    empty.close()


SMALL = """least => [...document.querySelectorAll(
  'main :is(button, input, select, textarea), .job-bar a')].flatMap(e => {
  const box = e.matches('[type=checkbox], [type=radio], [type=file]') ? e.closest('label') : e;
  const r = box.getBoundingClientRect();
  return e.offsetParent && r.height < least ? [`${e.tagName} ${e.className} ${r.width} x ${r.height}`] : [];
})"""


@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_a_filled_sheet_fits_a_gloved_finger_and_everyone(
    chrome: Browser, booklet: Path, photo: Path, view: ViewportSize
) -> None:
    context = chrome.new_context(viewport=view)
    record_job(context, booklet, photo)
    for name in ("record.html", "assembly.html"):
        visit = Visit(context, booklet / name)
        if name == "record.html":
            visit.page.locator(".photo-list img").wait_for()
            assert visit.page.evaluate(SMALL, TARGET) == []
        assert visit.too_wide() == 0
        found = Axe().run(visit.page).response["violations"]
        assert [(v["id"], [n["html"][:160] for n in v["nodes"]][:3]) for v in found] == []
    context.close()


def test_several_jobs_stand_side_by_side_and_none_is_overwritten(
    chrome: Browser, booklet: Path, tmp_path: Path
) -> None:
    context = chrome.new_context()
    page = Visit(context, booklet / "record.html").page
    for order, figure in (("A-1", "0.12"), ("A-2", "0.13"), ("A-3", "0.2")):
        page.click("[data-do=new-job]")
        assert page.input_value(".reading") == ""
        page.fill("[data-job=work_order]", order)
        page.fill(".reading", figure)
    jobs = texts(page, ".job-choice")
    assert [j.split(",")[0] for j in jobs] == ["A-3", "A-2", "A-1"]
    page.click(".job-choice >> text=A-1")
    assert page.input_value(".reading") == "0.12"
    steps = Visit(context, booklet / "assembly.html").page
    assert "A-1" in texts(steps, ".job-name")[0]
    steps.check("#step-3 .tick input")
    page.locator('.mark[data-of="assembly/step-3"], .mark:has-text("✓ 3")').first.wait_for()
    page.click(".job-choice >> text=A-2")
    assert (page.input_value(".reading"), "✓" in "".join(texts(page, ".mark"))) == ("0.13", False)

    # Two pages on one job: what one writes, the other leaves alone.
    steps.reload()
    steps.check("#step-1 .tick input")
    page.fill("[data-job=done_by]", "F. Itter")
    steps.check("#step-2 .tick input")
    kept = json.loads(exported(page, "json", tmp_path / "a2.json"))
    assert (kept["job"], [t["step"] for t in kept["ticks"]]) == (
        {"work_order": "A-2", "done_by": "F. Itter"},
        [1, 2],
    )
    said: list[str] = []

    def agree(dialog: Dialog) -> None:
        said.append(dialog.message)
        dialog.accept()

    page.on("dialog", agree)
    page.click("[data-do=delete-job]")
    assert WORDS("recording.not_exported") not in said[0]
    assert [j.split(",")[0] for j in texts(page, ".job-choice")] == ["A-3", "A-1"]
    page.click(".job-choice >> text=A-1")
    page.fill(".reading", "0.11")
    page.click("[data-do=delete-job]")
    assert WORDS("recording.not_exported") in said[1]
    assert [j.split(",")[0] for j in texts(page, ".job-choice")] == ["A-3"]
    context.close()


def test_a_section_signed_off_says_so_when_it_changes_after_that(chrome: Browser, booklet: Path) -> None:
    context = chrome.new_context()
    steps, page = (Visit(context, booklet / f).page for f in ("assembly.html", "record.html"))
    row = page.locator("tr[data-sign]").first
    row.locator(".signer").fill("S. Igner")
    assert WORDS("recording.still_open") in row.inner_text()
    numbers = row.locator(".mark").evaluate_all("all => all.map(m => m.dataset.number)")
    for number in numbers:
        steps.check(f"#step-{number} .tick input")
    page.reload()
    assert WORDS("recording.changed_since") in row.inner_text()
    row.locator(".signer").fill("S. Igner, again")
    assert WORDS("recording.changed_since") not in row.inner_text()
    assert WORDS("recording.still_open") not in row.inner_text()
    assert WORDS("recording.all_done", count=len(numbers)) in row.inner_text()
    context.close()


def test_both_systems_of_units_are_chosen_for_what_is_still_empty(chrome: Browser, booklet: Path) -> None:
    context = chrome.new_context()
    page = Visit(context, booklet / "record.html").page
    page.fill(".reading", "0.12")
    page.check("[name=units][value=us]")
    assert texts(page, "#assembly-front_gap .unit") == ["mm"], "what was entered stays in its unit"
    page.fill(".reading", "")
    page.reload()
    assert texts(page, "#assembly-front_gap .unit") == ["in"]
    page.check("[name=units][value=metric]")
    assert texts(page, "#assembly-front_gap .unit") == ["mm"]
    context.close()


def test_page_and_program_turn_figures_alike_into_the_unit_of_the_limits(
    chrome: Browser, booklet: Path
) -> None:
    context = chrome.new_context()
    page = Visit(context, booklet / "record.html").page
    random_figures = random.Random(11)
    for unit in ("mm", "N·m", "bar", "°C", "in", "psi"):
        other = other_unit(unit)
        assert other is not None
        typed = [f"{random_figures.uniform(0, 300):.{n % 6}f}" for n in range(400)] + [
            "0.005",
            "0",
            "-40",
            "1,5",
        ]
        told = page.evaluate(
            """([typed, unit, other, factor, shift]) => {
                const row = document.createElement('div'), sign = document.createElement('span');
                row.setAttribute('data-limits-unit', unit);
                sign.className = 'unit'; sign.dataset.factor = factor; sign.dataset.shift = shift;
                row.appendChild(sign);
                const judge = window.benchleafRecord.judge;
                return typed.map(t => judge.inLimitsUnit(row, judge.number(t), other));
            }""",
            [typed, unit, other.symbol, str(other.factor), str(other.shift)],
        )
        for text, got in zip(typed, told, strict=True):
            figure = figure_typed(text)
            assert figure is not None
            wanted = in_unit_of_limits(figure, other.symbol, unit)
            assert got == pytest.approx(wanted, rel=1e-11, abs=1e-11), (text, unit)
    assert page.evaluate("window.benchleafRecord.judge.number('0.1 mm')") != 0.1
    context.close()


# ------------------------------------------------------------------ import of damaged files
def sound() -> dict[str, Any]:
    stamp = "2025-03-02T10:00:00.000Z"
    return {
        "benchleaf_record": 1, "id": "20250302-100000-abc", "begun": stamp, "changed": stamp,
        "booklet": {"library": "", "plant": "Invented Works", "tag": "P-101", "revision": "1", "date": "2025-03-01"},
        "job": {"work_order": "WO-1"},
        "readings": [
            {"id": "front_gap", "sequence": "assembly", "step": 10, "text": "Gap", "value": "front_face_clearance",
             "state": "as left", "entered": "0.12", "unit": "mm", "limits_unit": "mm", "low": 0.1, "high": 0.18,
             "verdict": "within", "at": stamp},
        ],
        "ticks": [{"sequence": "assembly", "id": "step-1", "step": 1, "at": stamp}],
        "sign_offs": [{"sequence": "assembly", "section": "shafts", "by": "S", "at": stamp}],
        "photos": [{"id": "photo-1", "at": stamp, "data": "data:image/png;base64,iVBORw0KGgo="}],
    }  # fmt: skip


BROKEN: list[tuple[str, str, list[tuple[str, str]]]] = [
    ('"step": 10', '"step": "ten"', [('"ten"', "readings > #1 > step")]),
    ('"state": "as left"', '"state": "as lost"', [('"as lost"', "readings > #1 > state")]),
    ('"job"', '"jobb"', [("{", ""), ('"jobb"', "jobb")]),
    ('"unit": "mm",', '"unit": "mm"', [('"limits_unit"', "")]),
    ('"by": "S"', '"by": ""', [('""', "sign_offs > #1 > by")]),
    ('"verdict": "within"', '"verdict": "a", "verdict": "b"', [('"verdict": "b"', ""), ('"b"', "verdict")]),
    ('"tag": "P-101"', '"tag": "P-202"', [('{\n    "library"', "booklet")]),
    ('"photos": [', '"photos": {', [('{\n      "id": "photo-1"', "")]),
    ('"2025-03-01"', '"2025-13-01"', [('"2025-13-01"', "booklet > date")]),
]
"""What is changed in a sound record, and what stands at the place of each fault, with its path."""


@pytest.mark.parametrize(("old", "new", "wanted"), BROKEN)
def test_each_fault_of_an_import_is_told_with_its_place(
    chrome: Browser, booklet: Path, tmp_path: Path, old: str, new: str, wanted: list[tuple[str, str]]
) -> None:
    context = chrome.new_context()
    visit = Visit(context, booklet / "record.html")
    page = visit.page
    good = sound()
    good["booklet"]["library"] = page.get_attribute(".job-bar", "data-library")
    sound_text = json.dumps(good, indent=2)
    assert old in sound_text
    text = sound_text.replace(old, new, 1)
    (tmp_path / "bad.json").write_text(text, "utf-8")
    page.set_input_files(".import-file", tmp_path / "bad.json")
    page.locator(".import-said li").first.wait_for()
    told = texts(page, ".import-said li")
    assert len(told) == len(wanted), told
    for line, (there, path) in zip(told, wanted, strict=True):
        at = text.index(there)
        row, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
        assert line.startswith(f"Line {row}, column {column}"), line
        assert path in line
        assert "found" in line
        assert "likely fix" in line
    assert texts(page, ".job-choice") == [], "nothing of it was taken"
    assert visit.troubles == []
    context.close()


def test_a_job_that_is_here_is_never_overwritten_by_a_file(
    chrome: Browser, booklet: Path, tmp_path: Path
) -> None:
    context = chrome.new_context()
    page = Visit(context, booklet / "record.html").page
    good = sound()
    good["booklet"]["library"] = page.get_attribute(".job-bar", "data-library")
    good["readings"].append({**good["readings"][0], "id": "gone", "text": "A reading of old"})
    (tmp_path / "good.json").write_text(json.dumps(good), "utf-8")
    page.set_input_files(".import-file", tmp_path / "good.json")
    page.locator(".job-choice").wait_for()
    assert texts(page, ".other-marks li")[0].startswith("A reading of old: 0.12 mm · Within limits")
    kept = json.loads(exported(page, "json", tmp_path / "out.json"))
    assert [r["id"] for r in kept["readings"]] == ["front_gap", "gone"]
    page.fill(".reading", "0.15")
    page.set_input_files(".import-file", tmp_path / "good.json")
    page.locator(".import-said li").wait_for()
    assert "a job that is here already" in texts(page, ".import-said li")[0]
    assert page.input_value(".reading") == "0.15"
    for content, said in ((b"\xff\xfe{}", "bytes that are not UTF-8"), (b"", "the end of the file")):
        (tmp_path / "odd.json").write_bytes(content)
        page.set_input_files(".import-file", tmp_path / "odd.json")
        page.locator(f".import-said li:has-text('{said}')").wait_for()
    context.close()


def test_browser_schema_and_program_refuse_the_same_records(
    chrome: Browser, booklet: Path, tmp_path: Path
) -> None:
    """Records broken at random: what the form forbids is told by all three, and what it allows by none."""
    context = chrome.new_context()
    page = Visit(context, booklet / "record.html").page
    chance = random.Random(5)
    odd: list[Any] = [
        None,
        0,
        -1,
        1.5,
        True,
        "",
        "x",
        " ",
        "\x07",
        [],
        {},
        [1],
        {"a": 1},
        "2025-03-02",
        "é" * 4001,
    ]
    broken: list[dict[str, Any]] = [sound()]
    for _ in range(300):
        record = copy.deepcopy(sound())
        record["booklet"]["library"] = "abc"
        nodes: list[Any] = [record]
        for node in nodes:
            nodes += [
                v
                for v in (node.values() if isinstance(node, dict) else node)
                if isinstance(v, (dict, list)) and v
            ]
        node = chance.choice(nodes)
        key = chance.choice(list(node)) if isinstance(node, dict) else chance.randrange(len(node))
        act = chance.randrange(3)
        if act == 0 and isinstance(node, dict):
            del node[key]
        elif act == 1 and isinstance(node, dict):
            node[f"{key}s"] = node[key]
        else:
            node[key] = chance.choice(odd)
        broken.append(record)
    broken[0]["booklet"]["library"] = "abc"
    told = page.evaluate(
        """all => all.map(t => {
            const file = window.benchleafRecord.read.read(t);
            return file.faults.length + window.benchleafRecord.read.check(file.data, window.benchleafRecordForm).length;
        })""",
        [json.dumps(b) for b in broken],
    )
    validator = jsonschema.Draft202012Validator(SCHEMA)
    refused = 0
    for record, found in zip(broken, told, strict=True):
        (tmp_path / "r.json").write_text(json.dumps(record), "utf-8")
        faults = Faults()
        read = read_record(tmp_path / "r.json", faults)
        by_schema = [e.message for e in validator.iter_errors(record)]
        assert (found > 0) == bool(by_schema), (record, by_schema)
        assert (read is None) == bool(by_schema), (record, by_schema, [str(f) for f in faults])
        refused += found > 0
    assert 150 < refused < 300
    assert told[0] == 0
    context.close()


def test_a_browser_that_keeps_nothing_says_so_and_still_exports(
    chrome: Browser, booklet: Path, photo: Path, tmp_path: Path
) -> None:
    context = chrome.new_context()
    context.add_init_script(
        "for (const name of ['localStorage', 'indexedDB'])"
        "Object.defineProperty(window, name, {get() { throw new DOMException('no', 'SecurityError'); }});"
    )
    visit = Visit(context, booklet / "record.html")
    page = visit.page
    assert texts(page, ".job-trouble") == [WORDS("recording.nothing_kept")]
    page.fill(".reading", "0.12")
    page.set_input_files(".photo-file", photo)
    page.locator(".photo-list img").wait_for()
    assert texts(page, ".photo-trouble") == [WORDS("recording.no_photos_kept")]
    whole = json.loads(exported(page, "json", tmp_path / "job.json"))
    assert [r["entered"] for r in whole["readings"]] == ["0.12"]
    assert len(whole["photos"]) == 1
    (tmp_path / "text.png").write_text("no picture", "utf-8")
    page.set_input_files(".photo-file", tmp_path / "text.png")
    page.locator(".photo-trouble", has_text="text.png").wait_for()
    assert visit.troubles == []
    context.close()
