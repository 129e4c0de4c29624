"""The observed task to sign step by step, and the matrix of people and pumps that a trainer keeps."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.site.pages.library.head_lines import HeadLine
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from browsing import Visit, browser, pdf_pages, viewport
from site_samples import sample_booklet, sample_plan

WORDS = load_words()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("observed") / "p-101"
    setting = Setting(WORDS, "Invented Works", False, "2031-01-01")
    write_booklet(sample_booklet(pictures=False), made, setting, "../index.html")
    return made


def test_every_step_has_a_row_and_a_grave_one_its_mark(folder: Path) -> None:
    text = (folder / "observed.html").read_text("utf-8")
    (table,) = re.findall(r'<table class="observed-rows">.*?<tbody>(.*?)</tbody>', text, re.S)
    rows, steps = re.findall(r"<tr>(.*?)</tr>", table, re.S), sample_plan().steps
    assert len(rows) == len(steps)
    graves = []
    for row, step in zip(rows, steps, strict=True):
        assert f'href="assembly.html#step-{step.number}"' in row
        assert f"{step.title}" in row
        assert row.count("☐") == 3
        graves.append(any(c.signal_word in ("DANGER", "WARNING") for c in step.messages))
        assert ('class="must"' in row) == graves[-1], step.id
    assert set(graves) == {True, False}


def test_it_prints_with_signatures_assessor_date_and_expiry_without_script(
    folder: Path, tmp_path: Path
) -> None:
    with browser() as chrome:
        context = chrome.new_context(java_script_enabled=False)
        page = Visit(context, folder / "observed.html").page
        sheets = pdf_pages(page, tmp_path / "observed.pdf", "A4")
        context.close()
    assert all(WORDS(f"observed.{k}") in sheets[0] for k in ("person", "assessor", "work_order", "date"))
    signed = ("signature_person", "signature_assessor", "assessed", "expires", "competent", "not_competent")
    assert all(WORDS(f"observed.{k}") in sheets[-1] for k in signed)
    assert WORDS("observed.intro")[:40] not in " ".join(sheets)


@pytest.mark.parametrize("width", [360, 820, 1440])
def test_page_is_clean_and_accessible(folder: Path, width: int) -> None:
    with browser() as chrome:
        context = chrome.new_context(viewport=viewport(width, 800))
        visit = Visit(context, folder / "observed.html")
        assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
        found = Axe().run(visit.page).response["violations"]
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
        small = visit.page.eval_on_selector_all(
            "main a, main button",
            "all => all.filter(e => e.offsetParent && (e.offsetHeight < 48 || e.offsetWidth < 48))"
            ".map(e => e.outerHTML)",
        )
        assert small == []
        context.close()


def test_the_library_holds_the_empty_matrix_and_the_page_leads_to_it(folder: Path) -> None:
    heads = (HeadLine.bare("p-101", "H-1"), HeadLine.bare("x", "=H-2"))
    write_library(heads, (), folder.parent, Setting(WORDS, "Invented Works", False, "2031-01-01"))
    with (folder.parent / "competence.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows == [
        ["person", *(f"H-1 {c}" for c in ("assessed on", "valid until", "assessor")),
         *(f"'=H-2 {c}" for c in ("assessed on", "valid until", "assessor"))],
    ]  # fmt: skip
    text = (folder / "observed.html").read_text("utf-8")
    (href,) = re.findall(r'<a class="to-matrix" href="(.*?)" download>', text)
    assert (folder / href).resolve() == (folder.parent / "competence.csv").resolve()
