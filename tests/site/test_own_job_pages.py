"""Jobs on an assembly of one's own: its sequences to tick, its readings, its record, by the pages of a pump."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.records.read_records import read_record
from benchleaf.sequences.steps.plan import Measurement, Plan, Section, Step
from benchleaf.site.pages.booklet import make_chapter
from benchleaf.site.pages.pages import Setting, write_assets
from benchleaf.site.pages.records.own_job_pages import write_own_job_pages
from benchleaf.site.words.catalogue import load_words
from browsing import PHONE, Visit, browser, dead_links
from playwright.sync_api import Browser

WORDS = load_words()


def plan(sequence: str, title: str) -> Plan:
    play = Measurement("play", "Play of the pin", "mm", None, "Feeler under the head.")
    steps = (
        Step(1, "pin", "all", "Push the pin through", (), measure=(play,)),
        Step(2, "free", "all", "Turn the lever", (), measure=(Measurement("free", "Turns freely", "pass"),)),
    )
    return Plan(sequence, title, "Hinged latch", (Section("all", "All"),), steps)


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture
def pages(tmp_path: Path) -> Path:
    chapters = [
        make_chapter(plan(sequence, title), {}, {}, pictured=False)
        for sequence, title in (("assembly", "Fit the latch"), ("inspection", "Look at the latch"))
    ]
    write_assets(tmp_path)
    (tmp_path / "index.html").write_text("evidence", "utf-8")
    write_own_job_pages("Hinged latch", chapters, tmp_path, Setting(WORDS, "Hinged latch", False, ""))
    return tmp_path


def test_a_job_on_an_own_assembly_is_recorded_and_read_back(
    chrome: Browser, pages: Path, tmp_path: Path
) -> None:
    assert dead_links(sorted(pages.glob("*.html"))) == []
    assert "Rev." not in (pages / "record.html").read_text("utf-8")
    context = chrome.new_context(viewport=PHONE)
    steps, sheet = (Visit(context, pages / name) for name in ("assembly.html", "record.html"))
    steps.page.check("#step-1 .tick input")
    sheet.page.reload()
    sheet.page.fill("#inspection-play .reading", "0.31")
    sheet.page.check("#assembly-free input[value=pass]")
    assert sheet.page.text_content("#inspection-play .result") == WORDS("record.no_verdict")
    with sheet.page.expect_download() as caught:
        sheet.page.click("[data-do=json]")
    caught.value.save_as(tmp_path / "job.json")
    assert (steps.troubles, sheet.troubles, steps.too_wide(), sheet.too_wide()) == ([], [], 0, 0)
    context.close()
    faults = Faults()
    record = read_record(tmp_path / "job.json", faults)
    assert [str(f) for f in faults] == []
    assert record is not None
    assert (record.booklet.tag, record.booklet.revision) == ("Hinged latch", None)
    assert [(r.sequence, r.state, r.entered) for r in record.readings] == [
        ("assembly", "as left", "pass"),
        ("inspection", "as found", "0.31"),
    ]
    assert [(t.id, t.step) for t in record.ticks] == [("pin", 1)]
    assert json.loads((tmp_path / "job.json").read_text("utf-8"))["booklet"].keys() == {
        "library",
        "plant",
        "tag",
    }
