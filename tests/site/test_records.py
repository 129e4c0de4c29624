"""``benchleaf records``: a folder of exports to page, plots and tables, whole or not at all."""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.site.command import main
from benchleaf.site.extras.records import write_records
from benchleaf.site.extras.sharing.verification import verify_folder
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser, dead_links
from file_mutations import mutated
from playwright.sync_api import Browser, ViewportSize
from record_samples import as_csv, as_json, reading, record

WORDS = load_words()
FIRST = date(2030, 1, 1)


def day(n: int) -> str:
    return date.fromordinal(FIRST.toordinal() + n).isoformat()


def exports(folder: Path) -> Path:
    """Write records: one pump drifts to 0.30 mm by day 800, one is steady, the third is an assembly of one's own."""
    folder.mkdir(exist_ok=True)
    for n, figure in ((0, "0.14"), (100, "0.16"), (250, "0.19"), (300, "0.20")):
        (folder / f"one-{n}.json").write_text(
            as_json(record(day(n), [reading("a", figure)], "P-101")), "utf-8"
        )
    for n, figure in ((0, "0.20"), (100, "0.21"), (200, "0.19"), (300, "0.20")):
        (folder / f"two-{n}.csv").write_text(as_csv(record(day(n), [reading("a", figure)], "P-102")), "utf-8")
    unjudged = reading("pin_play", "0.3", value=None, low=None, high=None)
    play = [{k: v for k, v in unjudged.items() if v is not None}]
    (folder / "latch.json").write_text(as_json(record(day(50), play, "Hinged latch")), "utf-8")
    return folder


def table(file: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.read_text("utf-8-sig"))))


def test_records_become_page_plots_and_tables(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "trend"
    assert main(["records", str(exports(tmp_path / "in")), "--to", str(target)]) == 0
    said = capsys.readouterr().out
    assert "9 records of 3 tags, 3 readings over time" in said
    reached = day(800)
    assert (
        f"P-101, {WORDS('value.radial_clearance.title')}: about {reached} ({reached} and {reached})" in said
    )
    rows = table(target / "drift.csv")
    assert {(r["tag"], r["limit at"]): r["outlook"] for r in rows} == {
        ("P-101", "low"): "away", ("P-101", "high"): "towards",
        ("P-102", "low"): "steady", ("P-102", "high"): "steady",
    }  # fmt: skip
    (high,) = (r for r in rows if r["outlook"] == "towards")
    assert high["reaches it"] == reached
    assert float(high["change a year"]) == pytest.approx(0.0002 * 365.25, rel=1e-3)
    seen = table(target / "readings.csv")
    assert len(seen) == 9
    assert sorted(p.name for p in (target / "plots").iterdir()) == [
        "hinged-latch-disassembly-pin-play.svg", "p-101-radial-clearance.svg", "p-102-radial-clearance.svg",
    ]  # fmt: skip
    assert not verify_folder(target).found
    assert dead_links([target / "index.html"]) == []


def test_the_same_records_give_the_same_bytes(tmp_path: Path) -> None:
    source = exports(tmp_path / "in")
    for name in ("a", "b"):
        write_records(source, tmp_path / name)
    files = [p.relative_to(tmp_path / "a") for p in (tmp_path / "a").rglob("*") if p.is_file()]
    assert len(files) > 10
    assert [f for f in files if (tmp_path / "a" / f).read_bytes() != (tmp_path / "b" / f).read_bytes()] == []


def test_a_damaged_record_is_told_and_left_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, target = exports(tmp_path / "in"), tmp_path / "trend"
    good = (source / "one-100.json").read_text("utf-8")
    (source / "one-100.json").write_text(good.replace('"as found"', '"as fond"'), "utf-8")
    (source / "steered.csv").write_text("\x1b[2J", "utf-8")
    assert main(["records", str(source), "--to", str(target)]) == 2
    told = capsys.readouterr()
    assert "8 records of 3 tags" in told.out
    assert "one-100.json, line " in told.err
    assert "found 'as fond'; allowed: as found, as left or in service; likely fix: write as found" in told.err
    assert "\x1b" not in told.out + told.err
    page = (target / "index.html").read_text("utf-8")
    assert WORDS("trend.left_out_intro", count=2) in page
    assert "found &#39;as fond&#39;" in page
    assert not [r for r in table(target / "readings.csv") if r["file"] == "one-100.json"]


@pytest.mark.parametrize(
    "what", ["no folder", "empty", "damaged", "other tag", "own place", "strange target"]
)
def test_what_cannot_be_done_leaves_all_as_it_was(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    source, target, more = exports(tmp_path / "in"), tmp_path / "trend", list[str]()
    assert main(["records", str(source), "--to", str(target)]) == 0
    before = {p: p.read_bytes() for p in target.rglob("*") if p.is_file()}
    said = ""
    if what == "no folder":
        source, said = tmp_path / "none", "is no folder"
    elif what == "empty":
        (tmp_path / "empty").mkdir()
        source, said = tmp_path / "empty", "holds no record"
    elif what == "damaged":
        (tmp_path / "bad").mkdir()
        (tmp_path / "bad" / "x.json").write_text("{", "utf-8")
        source, said = tmp_path / "bad", "x.json, line 1"
    elif what == "other tag":
        more, said = ["--only", "P-11"], "No record of P-11. Did you mean P-101?"
    elif what == "own place":
        (target / "in").mkdir()
        (target / "in" / "x.json").write_text("{", "utf-8")
        source, said = target / "in", "in/x.json"
    else:
        (target / "notes.txt").write_text("mine", "utf-8")
        said = "notes.txt"
    capsys.readouterr()
    assert main(["records", str(source), "--to", str(target), *more]) == 2
    assert said in capsys.readouterr().err
    assert {p: p.read_bytes() for p in before} == before


def test_only_some_pumps(tmp_path: Path) -> None:
    written = write_records(exports(tmp_path / "in"), tmp_path / "trend", only=["P-102"])
    assert (written.tags, written.records, written.series) == (("P-102",), 4, 1)


def test_a_folder_of_another_verb_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = exports(tmp_path / "in")
    assert main(["records", str(source), "--to", str(source)]) == 2
    assert "was not written by benchleaf" in capsys.readouterr().err
    assert len(list(source.iterdir())) == 9


def test_records_broken_at_random_never_end_in_a_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chance = random.Random(9)
    for n in range(12):
        source = exports(tmp_path / f"in-{n}")
        for file in source.iterdir():
            if chance.random() < 0.5:
                file.write_bytes(mutated(file.read_bytes(), chance))
        status = main(["records", str(source), "--to", str(tmp_path / "trend")])
        told = capsys.readouterr()
        assert status in (0, 2), told.err
        assert "Traceback" not in told.err
        assert (status == 2) == bool(told.err)


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture(scope="module")
def trend(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("records")
    source = exports(folder / "in")
    (source / "bad.json").write_text(json.dumps({"benchleaf_record": 1}), "utf-8")
    odd = reading("a", "about 0.2")
    (source / "odd.json").write_text(as_json(record(day(9), [odd], "P-103 <b>")), "utf-8")
    write_records(source, folder / "trend")
    return folder / "trend" / "index.html"


@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_the_page_opens_clean_and_is_accessible(chrome: Browser, trend: Path, view: ViewportSize) -> None:
    context = chrome.new_context(viewport=view)
    visit = Visit(context, trend)
    assert visit.broken_pictures() == []
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    assert visit.page.locator(".series").count() == 3
    assert visit.page.locator(".left-out li").count() > 4
    alt = visit.page.locator("#p-101-radial-clearance img").get_attribute("alt") or ""
    assert alt.startswith("Plot of 4 readings of Radial clearance")
    assert day(800) in alt
    found = Axe().run(visit.page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    context.close()
