"""Every kind of missing, impossible, contradictory or unsourced value: all told in one run, none printed as a fact."""

from __future__ import annotations

import csv
import html
import io
import re
from pathlib import Path

import pytest
from benchleaf.geometry.engineering.elastomers import Incompatibility
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.sequences.calculations.doubts import Doubt
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.values.sourced_values import Missing, ValueUse
from benchleaf.site.command import main
from benchleaf.site.extras.checking import check_fleet
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.words.doubt_words import doubt_sentence
from benchleaf.site.words.report_words import (
    MOST_ALIKE,
    MOST_LINES,
    MOST_RUNS,
    CheckedDesign,
    design_lines,
    doubt_lines,
    doubts_csv,
    missing_csv,
    missing_lines,
    tag_runs,
)
from benchleaf.site.words.value_words import value_in_words
from doubted_fleets import DOUBTED, FAULTY, FOUND, fleet, head, value
from fleet_generator import write_many_heads
from fleet_pages import WORDS, write_fleet_pages
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import escape

TOLD = {
    ("LOW", "torque"): "Rotor nut torque: 2 N·m (1.48 lbf·ft) gives",
    ("HIGH", "torque"): "the thread begins to yield",
    ("GAP", "clearance"): "Outside the limit of 0.300 to 0.400 mm (Manual, table 7; 2031-01-01)",
    ("GAP", "reading"): "is too coarse for these limits",
    ("SPRING", "spring"): "is more than the free height of this size's disc spring",
    ("MEDIA", "elastomer"): "EPDM and mineral-oil grease must not meet",
}


def plain(text: str) -> str:
    """Return the words of a page or of a message on one line; marks within a line leave no gap."""
    text = re.sub(r"</?(?:span|strong|a|b|wbr)\b[^>]*>", "", text)
    return " ".join(
        html.unescape(re.sub(r"<[^>]+>", " ", text)).replace("\u00a0", " ").replace("\u202f", " ").split()
    )


@pytest.fixture
def doubted(tmp_path: Path) -> Path:
    file = tmp_path / "fleet.yaml"
    file.write_text(fleet(*DOUBTED), "utf-8")
    return file


# ------------------------------------------------------------------ one run tells all
def test_every_mistake_and_every_doubt_is_told_in_one_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "fleet.yaml").write_text(FAULTY, "utf-8")
    lines = FAULTY.splitlines()
    assert main(["check", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    told = plain(err)
    assert told.startswith(f"{len(FOUND)} mistakes in the data:"), told
    for tag, found in zip(re.findall(r"tag: (\w+)", FAULTY), FOUND, strict=False):
        at = next(n for n, line in enumerate(lines, start=1) if line.endswith(f"tag: {tag}"))
        ends = next((n for n, line in enumerate(lines[at:], start=at + 1) if "- tag:" in line), len(lines))
        mine = re.findall(r"fleet\.yaml, line (\d+),[^:]*: found (.*?); allowed", told)
        assert any(at <= int(n) < ends and found in words for n, words in mine), (tag, mine)
    assert "Beside that, figures speak against these values:" in told
    for (tag, _), words in TOLD.items():
        said = [plain(line) for line in err.splitlines() if re.match(rf"  \w+ \([^)]*\b{tag}\b", line)]
        assert any(words in line for line in said), words
    blanks = told.partition("Not on file, or refused above, so that they would print as blanks: ")[2]
    tags = re.findall(r"tag: (\w+)", FAULTY)
    assert f"Seal face, least height left (all {len(tags)} pumps)" in blanks, "nobody gave it"
    after = err.partition("would print as blanks:\n")[2].splitlines()
    assert f"  Seal face, least height left (all {len(tags)} pumps)" in after, "a line each"
    lacking = re.search(r"Rotor nut torque \((.*?)\)", blanks)
    assert lacking
    named, _, more = lacking[1].partition(" and ")
    assert more == f"{len(tags) - 2 - MOST_RUNS} more", "a refused value is as good as none"
    assert set(named.split(", ")) <= set(tags) - {"LOW", "HIGH"}
    assert main(["build", str(tmp_path), "--to", str(tmp_path / "out")]) == 2
    assert not (tmp_path / "out").exists(), "nothing is written from files with mistakes"


def test_doubts_stop_nothing_and_are_all_told(doubted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(doubted)]) == 0
    told = plain(capsys.readouterr().out)
    for words in TOLD.values():
        assert words in told
    summary = check_fleet(doubted)
    assert f"{len(summary.doubts)} doubts to look into" in told
    assert {(d.tag, d.kind) for d in summary.doubts} >= set(TOLD)
    blanks = {(m.tag, m.name) for m in summary.missing}
    assert ("TOUCH", "rotor_nut_torque") in blanks
    assert ("LOW", "rotor_nut_torque") not in blanks


# ------------------------------------------------------------------ nothing of it is printed as a fact
@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Booklet]]:
    folder = tmp_path_factory.mktemp("library")
    (folder / "fleet.yaml").write_text(fleet(*DOUBTED), "utf-8")
    return folder, write_fleet_pages(load_fleet(folder / "fleet.yaml"), folder)


PAGES = ("assembly.html", "disassembly.html", "inspection.html", "record.html", "values.html", "paper.html")


def test_a_torque_in_doubt_is_marked_wherever_it_is_stated(written: tuple[Path, dict[str, Booklet]]) -> None:
    folder, booklets = written
    for tag in ("LOW", "HIGH"):
        given = next(v.value for v in booklets[tag].values if v.value.name == "rotor_nut_torque")
        assert given.doubts
        said = value_in_words(given, WORDS)
        places = 0
        for name in PAGES:
            page = (folder / tag.lower() / name).read_text("utf-8")
            text = plain(page)
            words = plain(str(escape(said.text)))
            for at in (m.end() for m in re.finditer(re.escape(words), text)):
                assert re.match(r"( threads \w+)?[ (]*in doubt", text[at:].lstrip(",")), text[
                    at - 80 : at + 60
                ]
                places += 1
        assert places >= 6, "in two steps, on the values page, on the record sheet and on paper"
        stated = plain(WORDS("placeholder.in_doubt", value=said.text))
        assert stated in plain((folder / tag.lower() / "assembly.html").read_text("utf-8"))
        assert plain(said.doubt) in plain((folder / tag.lower() / "values.html").read_text("utf-8"))


def test_what_is_missing_is_a_blank_wherever_it_is_asked_for(
    written: tuple[Path, dict[str, Booklet]],
) -> None:
    folder, booklets = written
    for tag, booklet in booklets.items():
        page = (folder / tag.lower() / "values.html").read_text("utf-8")
        for line in booklet.missing:
            row = re.search(rf'<tr id="value-{line.value.name}" class="unknown">(.*?)</tr>', page, re.S)
            assert row, line.value.name
            assert "not on file" in row[1]
            assert not re.search(r"\d", plain(row[1].split('<td data-label="Used in"')[0])), line.value.name
    text = plain((folder / "touch" / "assembly.html").read_text("utf-8"))
    assert "Tighten with one steady pull to ________ N·m (not on file)" in text
    record = (folder / "touch" / "record.html").read_text("utf-8")
    assert "data-low" not in record
    assert "data-high" not in record


def test_every_instrument_on_the_record_leads_to_where_its_error_comes_from(
    written: tuple[Path, dict[str, Booklet]],
) -> None:
    folder, booklets = written
    for tag, booklet in booklets.items():
        record = (folder / tag.lower() / "record.html").read_text("utf-8")
        values = (folder / tag.lower() / "values.html").read_text("utf-8")
        led = set(re.findall(r'href="values\.html#(sheet-reading-[\w-]+)"', record))
        assert led == {f"sheet-reading-{r.instruments[0].key}" for r in booklet.readings if r.instruments}
        assert led
        assert all(f'id="{anchor}"' in values for anchor in led)
        bare = [r for r in booklet.readings if not r.instruments and not r.judged_by_eye]
        assert record.count(WORDS("record.no_error")) == len(bare)


def test_no_figure_stands_on_what_is_missing(written: tuple[Path, dict[str, Booklet]]) -> None:
    _, booklets = written
    figures = {f.id: f for g in booklets["TOUCH"].groups for f in g.figures}
    assert not [i for i in figures if i.startswith(("nut.preload", "nut.kept", "share."))]
    assert all(f.limit is None for i, f in figures.items() if i.startswith("gap."))


def test_values_page_and_library_tell_every_doubt(written: tuple[Path, dict[str, Booklet]]) -> None:
    folder, booklets = written
    fleet_wide = plain((folder / "missing.html").read_text("utf-8"))
    table = list(csv.reader(io.StringIO((folder / "doubts.csv").read_text("utf-8-sig"))))[1:]
    assert len(table) == sum(len(b.doubts) for b in booklets.values())
    for tag, booklet in booklets.items():
        page = (folder / tag.lower() / "values.html").read_text("utf-8")
        for d in booklet.doubts:
            said = doubt_sentence(d, WORDS)
            words = plain(said)
            assert words in plain(page)
            assert words in plain((folder / tag.lower() / "paper.html").read_text("utf-8"))
            assert words in fleet_wide
            assert [tag, WORDS(f"doubt.kind.{d.kind}"), d.value, said] in table
            assert not d.sheet or f'id="sheet-{d.sheet}"' in page
        assert (WORDS("figures.doubts") in page) == bool(booklet.doubts)


def test_no_doubt_proposes_a_value(written: tuple[Path, dict[str, Booklet]]) -> None:
    _, booklets = written
    for d in (d for b in booklets.values() for d in b.doubts if d.kind == "torque"):
        said = doubt_sentence(d, WORDS)
        assert "no other figure is proposed here" in said
        stated = re.findall(r"(\d+(?:\.\d+)?)[\s\u00a0]N·m", said)
        assert set(stated) <= {"2", "900", "1900"}


@given(st.text("=+-@\uff1d;\t\r\n ,x05.\"'", max_size=12))
def test_no_spreadsheet_finds_a_formula_in_a_table(text: str) -> None:
    """Whether it takes commas, semicolons or tabs to part cells; and what is a number stays one."""
    table = missing_csv([Missing(text, "rotor_nut_torque", text, ())])
    row = list(csv.reader(io.StringIO(table, newline="")))[1]
    assert row[0] == row[3]
    for part in re.split(r"[;\t\r\n]", row[0]):
        if not re.fullmatch(r"[-+]?\d+([.,]\d+)?", part.strip()):
            assert part.strip()[:1] not in tuple("=+-@\uff1d"), part
    assert row[0][:1] not in tuple("\t\r\n")
    assert "".join(c for c in row[0] if c != "'") == "".join(c for c in text if c != "'")


@pytest.mark.parametrize("number", ["-0.5", "+3", "-1,25", "12", "0.07", "-40"])
def test_numbers_in_a_table_stay_numbers(number: str) -> None:
    assert (
        list(csv.reader(io.StringIO(missing_csv([Missing(number, "rotor_nut_torque", "", ())]))))[1][0]
        == number
    )


def test_csv_reads_back_and_disarms_formulas() -> None:
    clash = Incompatibility(
        "EPDM", "product", "must not meet", Topic("source.standard", standard="-"), "ozone"
    )
    rows = list(csv.reader(io.StringIO(doubts_csv([Doubt("=1+1", "elastomer", clash, "@x")]))))
    assert rows[1][:3] == ["'=1+1", "elastomer", "'@x"]
    uses = (ValueUse("assembly", 'The "list", part 2', 3), ValueUse("inspection", "Inspection", 4))
    rows = list(csv.reader(io.StringIO(missing_csv([Missing("=cmd()", "anti_seize", "", uses)]))))
    assert rows[1] == [
        "'=cmd()",
        "Anti-seize for threads",
        "anti_seize",
        "",
        "the site's approved lubricant list and the safety data sheet; ask the lubrication planner",
        'The "list", part 2, step 3; Inspection, step 4',
    ]


# ------------------------------------------------------------------ a hundred heads stay readable
def test_a_hundred_heads_are_told_in_a_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_many_heads(tmp_path, 100, 10)
    assert main(["check", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    summary = check_fleet(tmp_path / "fleet.yaml")
    lines = said.splitlines()
    assert lines[0] == "Larkrise Works (invented): 100 heads of 10 designs, no mistakes found."
    assert len(lines) < 50
    assert max(map(len, lines)) < 500
    assert len(re.findall(r"^  G-\d{3}, G-\d{3}.* \(G\d+[,)]", said, re.M)) == 10
    assert f"{len(summary.missing)} values not on file" in said
    assert said.count("(all 100 pumps)") >= 8
    assert f"{len(summary.doubts)} doubts to look into" in said
    for d in summary.doubts:
        assert re.search(rf"^  {d.kind}(:| \()", said, re.M)


def test_designs_beyond_the_first_are_counted() -> None:
    of = [
        CheckedDesign(f"S{n}, seal double", (("Assembly", 3),), (f"A{n}x", f"B{n}x"))
        for n in range(MOST_LINES + 7)
    ]
    lines = design_lines(of)
    assert lines[0] == "A0x, B0x (S0, seal double): Assembly 3 steps"
    assert len(lines) == MOST_LINES + 1
    assert lines[-1] == "... and 7 more designs, 14 pumps in all"
    assert len(design_lines(of[:MOST_LINES])) == MOST_LINES


def test_doubts_of_one_kind_are_told_a_few_times_and_then_counted(tmp_path: Path) -> None:
    rows = [
        head(f"P-{n}", value("disc_spring_free_height", f"value: {9 + n}, unit: mm")) for n in range(1, 8)
    ]
    (tmp_path / "fleet.yaml").write_text(fleet(*rows), "utf-8")
    tags = [f"P-{n}" for n in range(1, 8)]
    found = [d for d in check_fleet(tmp_path / "fleet.yaml").doubts if d.kind == "spring"]
    lines = doubt_lines(found, tags)
    assert [line.partition(" (")[0] for line in lines[:-1]] == ["spring"] * MOST_ALIKE
    assert lines[-1] == "spring: 4 more of the kind (P-4 to P-7)"
    assert len(doubt_lines(found[: MOST_ALIKE + 1], tags)) == MOST_ALIKE + 1, "none is counted alone"
    assert all("more of the kind" not in line for line in doubt_lines(found[: MOST_ALIKE + 1], tags))


def test_a_value_that_all_lack_names_no_head() -> None:
    tags = ["A-1", "B-1"]
    all_of = [Missing(tag, "anti_seize", "") for tag in tags]
    assert missing_lines(all_of, tags)[0].startswith(
        "Anti-seize for threads (all 2 pumps). Where to find it: "
    )
    assert missing_lines(all_of[:1], tags)[0].startswith("Anti-seize for threads (A-1). ")
    assert missing_lines(all_of[:1], tags[:1])[0].startswith("Anti-seize for threads (A-1). ")


def test_many_scattered_heads_are_counted() -> None:
    lack = [Missing(f"P-{n}", "anti_seize", "") for n in range(100, 100 + 4 * MOST_RUNS, 2)]
    line = missing_lines(lack, ["X"] * 999)[0]
    assert f", P-{100 + 2 * MOST_RUNS - 2} and {MOST_RUNS} more). " in line
    one_more = missing_lines(lack[: MOST_RUNS + 1], ["X"] * 999)[0]
    assert f", {lack[MOST_RUNS].tag}). " in one_more, "one more takes no more room than its count"


@given(st.lists(st.from_regex(r"[A-Z]-?[0-9]{0,3}", fullmatch=True), max_size=30))
def test_runs_lose_no_tag_and_invent_none(tags: list[str]) -> None:
    runs = tag_runs(tags)
    assert [tag for run in runs for tag in run] == tags
    for run in runs:
        assert len(run) != 2
        numbers = [int(re.sub(r"\D", "", tag)) for tag in run] if len(run) > 1 else []
        assert numbers == list(range(numbers[0], numbers[0] + len(numbers))) if numbers else True
        assert len({re.sub(r"\d+$", "", tag) for tag in run}) == 1


def test_values_that_the_same_heads_lack_and_that_stand_in_one_place_share_a_line() -> None:
    lack = [
        Missing(tag, name, "mm")
        for name in ("front_face_clearance", "rear_clearance", "shaft_runout_limit", "mesh_clearance")
        for tag in ("A-1", "A-2")
        if (tag, name) != ("A-2", "mesh_clearance")
    ]
    lines = missing_lines(lack, ["A-1", "A-2", "A-3"])
    assert [line.partition(". Where to find it: ")[0] for line in lines] == [
        "Front clearance; Back clearance, rotor to body (A-1, A-2)",
        "Shaft run-out, greatest total indicator reading (A-1, A-2)",
        "Mesh clearance (A-1)",
    ]
