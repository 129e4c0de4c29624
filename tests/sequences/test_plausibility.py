"""Every kind of missing, impossible, contradictory or unsourced value: all told in one run, none printed as a fact."""

from __future__ import annotations

import csv
import html
import io
import re
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.doubts import Doubt, doubts_csv
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.fleet.heads import IN_DOUBT
from benchleaf.site.build.library import check_fleet
from benchleaf.site.command import main
from benchleaf.site.pages.booklet import Booklet
from fleet_pages import WORDS, write_fleet_pages
from markupsafe import escape
from program_files import DEMO

SIZE = """\
    shaft_centre_distance_mm: 80
    rotor_diameter_mm: 113.6
    rotor_width_mm: 56
    shaft_diameter_mm: 30.4
    port_bore_mm: 48
"""


def value(
    name: str,
    text: str,
    source: str = "source: {document: Manual, table: 7}, date: 2031-01-01",
    deep: int = 6,
) -> str:
    return f"{' ' * deep}{name}: {{{text}, {source}}}\n" if source else f"{' ' * deep}{name}: {{{text}}}\n"


def fleet(*heads: str) -> str:
    top = "plant: Test plant\nbooklet: {revision: 1, date: 2031-02-03}\nsizes:\n  80:\n"
    return f"{top}{SIZE}heads:\n{''.join(heads)}"


def head(tag: str, *lines: str, **options: str) -> str:
    more = "".join(f"    {k}: {v}\n" for k, v in options.items())
    values = "    values:\n" + "".join(lines) if lines else ""
    return f"  - tag: {tag}\n    size: 80\n{more}{values}"


LOW = value("rotor_nut_torque", "value: 2, unit: N·m, threads: dry")
HIGH = value("rotor_nut_torque", "value: 900, unit: N·m, threads: anti-seize")
SCREW = value("body_screw_torque", "value: 1900, unit: N·m")
GAP = value("front_face_clearance", "range: [0.30, 0.40], unit: mm")
NARROW = value("radial_clearance", "range: [0.075, 0.085], unit: mm")
SPRING = value("disc_spring_free_height", "value: 9.5, unit: mm")
WAVE = value("wave_spring_free_height", "value: 2.0, unit: mm")
GREASE = value("assembly_lubricant", "value: mineral grease, medium: mineral-grease")
DOUBTED = (
    head("LOW", LOW),
    head("HIGH", HIGH, SCREW),
    head("GAP", GAP, NARROW),
    head("SPRING", SPRING, WAVE),
    head("MEDIA", GREASE, elastomer="EPDM", process_temperature_c="160"),
    head("TOUCH", elastomer="FFKM", rotor_metal="316L", process_temperature_c="390"),
)
TOLD = {
    ("LOW", "torque"): "Rotor nut torque: 2 N·m (1.48 lbf·ft) gives",
    ("HIGH", "torque"): "the thread begins to yield",
    ("GAP", "clearance"): "Outside the limit of 0.300 to 0.400 mm (Manual, table 7; 2031-01-01)",
    ("GAP", "reading"): "No reading with it can pass",
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
FAULTY = fleet(
    head("IMPOSSIBLE", value("rotor_nut_torque", "value: 90000, unit: N·m")),
    head("UNIT", value("rotor_nut_torque", "value: 50, unit: mm")),
    head("NEGATIVE", value("shaft_runout_limit", "value: -0.03, unit: mm")),
    head("BACKWARDS", value("rear_clearance", "range: [0.2, 0.1], unit: mm")),
    head("UNSOURCED", value("cover_nut_torque", "value: 30, unit: N·m", "date: 2031-01-01")),
    head("UNDATED", value("mesh_clearance", "range: [0.05, 0.09], unit: mm", "source: {document: M}")),
    head("NO_UNIT", value("pressure_limit", "value: 12")),
    head(
        "CONTRADICTION",
        value("relief_set_pressure", "value: 14, unit: bar"),
        value("pressure_limit", "value: 12, unit: bar"),
        cover="vented",
    ),
    head("TOO_HOT", value("temperature_limit", "value: 90, unit: °C"), process_temperature_c="120"),
    head("NOT_THERE", value("flush_pressure", "value: 1, unit: bar")),
    head("IN_WORDS", value("rotor_nut_torque", "value: 50 N·m, unit: N·m")),
    head("WIDE", value("rotor_nut_torque", "value: 50, unit: N·m, tolerance: 60")),
    head("BESIDE_ITSELF", value("radial_clearance", "value: 0.3, range: [0.05, 0.1], unit: mm")),
    head("MISSPELT", value("rotor_nut_torqe", "value: 50, unit: N·m")),
    head("NO_CLASS", value("assembly_lubricant", "value: grease, medium: gravy")),
    head(
        "NO_DAY", value("rotor_nut_torque", "value: 50, unit: N·m", "source: {document: M}, date: 2031-02-30")
    ),
    head("NO_NAME", value("rotor_nut_torque", "value: 50, unit: N·m", "source: {page: 3}, date: 2031-01-01")),
    head("NO_FIGURE", value("rotor_nut_torque", "unit: N·m")),
    head("NO_NUMBER", value("rotor_nut_torque", "value: .nan, unit: N·m")),
    head("ENDLESS", value("radial_clearance", "range: [0.05, 1e999], unit: mm")),
    *DOUBTED,
)
FOUND = (
    "90000 N·m",
    "mm",
    "-0.03",
    "[0.2, 0.1]",
    "source",
    "date",
    "unit",
    "relief_set_pressure 14 bar",
    "120 °C",
    "flush_pressure on a head without it",
    "'50 N·m'",
    "60",
    "0.3",
    "the key rotor_nut_torqe",
    "the medium 'gravy'",
    "'2031-02-30'",
    "no document",
    "neither value nor range",
    "'.nan'",
    "'1e999'",
)


def test_every_mistake_and_every_doubt_is_told_in_one_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "fleet.yaml").write_text(FAULTY, "utf-8")
    lines = FAULTY.splitlines()
    assert main(["check", str(tmp_path)]) == 2
    told = plain(capsys.readouterr().err)
    assert told.startswith(f"{len(FOUND)} mistakes in the data:"), told
    for tag, found in zip(re.findall(r"tag: (\w+)", FAULTY), FOUND, strict=False):
        at = next(n for n, line in enumerate(lines, start=1) if line.endswith(f"tag: {tag}"))
        ends = next((n for n, line in enumerate(lines[at:], start=at + 1) if "- tag:" in line), len(lines))
        mine = re.findall(r"fleet\.yaml, line (\d+),[^:]*: found (.*?); allowed", told)
        assert any(at <= int(n) < ends and found in words for n, words in mine), (tag, mine)
    assert "Beside that, figures speak against these values:" in told
    for (tag, _), words in TOLD.items():
        assert re.search(rf"{tag}: [^:]*.*{re.escape(words)}", told), words
    blanks = told.partition("Not on file, or refused above, so that they would print as blanks: ")[2]
    tags = re.findall(r"tag: (\w+)", FAULTY)
    assert f"Seal face, least height left (all {len(tags)} pumps); " in blanks, "nobody gave it"
    lacking = re.search(r"Rotor nut torque \((.*?)\)", blanks)
    assert lacking
    assert set(tags) - set(lacking[1].split(", ")) == {"LOW", "HIGH"}, "a refused value is as good as none"
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


def test_each_doubt_goes_when_its_value_goes(doubted: Path, tmp_path: Path) -> None:
    whole = {d for h in load_fleet(doubted, ()).heads for d in doubts(h)}
    for gone in (LOW, HIGH, SCREW, GAP, NARROW, SPRING, WAVE, GREASE):
        less = tmp_path / "less"
        less.mkdir(exist_ok=True)
        text = fleet(*DOUBTED).replace(gone, "")
        (less / "fleet.yaml").write_text(re.sub(r"    values:\n(?=  - tag|$)", "", text), "utf-8")
        after = {d for h in load_fleet(less / "fleet.yaml", ()).heads for d in doubts(h)}
        name = gone.split(":")[0].strip()
        lost = whole - after
        assert lost, gone
        assert after < whole
        assert {d.value for d in lost} <= {name, ""}


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
        assert given.doubt
        places = 0
        for name in PAGES:
            page = (folder / tag.lower() / name).read_text("utf-8")
            text = plain(page)
            words = plain(str(escape(given.text)))
            for at in (m.end() for m in re.finditer(re.escape(words), text)):
                assert re.match(r"( threads \w+)?[ (]*in doubt", text[at:].lstrip(",")), text[
                    at - 80 : at + 60
                ]
                places += 1
        assert places >= 6, "in two steps, on the values page, on the record sheet and on paper"
        assert plain(IN_DOUBT) in plain((folder / tag.lower() / "assembly.html").read_text("utf-8"))


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


def test_no_figure_stands_on_what_is_missing(written: tuple[Path, dict[str, Booklet]]) -> None:
    _, booklets = written
    figures = {f.id: f for g in booklets["TOUCH"].groups for f in g.figures}
    assert not [i for i in figures if i.startswith(("nut.preload", "nut.kept", "room."))]
    assert all(f.limit is None for i, f in figures.items() if i.startswith("gap."))


def test_values_page_and_library_tell_every_doubt(written: tuple[Path, dict[str, Booklet]]) -> None:
    folder, booklets = written
    fleet_wide = plain((folder / "missing.html").read_text("utf-8"))
    table = list(csv.reader(io.StringIO((folder / "doubts.csv").read_text("utf-8-sig"))))[1:]
    assert len(table) == sum(len(b.doubts) for b in booklets.values())
    for tag, booklet in booklets.items():
        page = (folder / tag.lower() / "values.html").read_text("utf-8")
        for d in booklet.doubts:
            words = plain(str(escape(d.sentence)))
            assert words in plain(page)
            assert words in plain((folder / tag.lower() / "paper.html").read_text("utf-8"))
            assert words in fleet_wide
            assert [tag, d.kind, d.value, d.sentence] in table
            assert not d.sheet or f'id="sheet-{d.sheet}"' in page
        assert (WORDS("figures.doubts") in page) == bool(booklet.doubts)


def test_no_doubt_proposes_a_value(written: tuple[Path, dict[str, Booklet]]) -> None:
    _, booklets = written
    for d in (d for b in booklets.values() for d in b.doubts if d.kind == "torque"):
        assert "no other figure is proposed here" in d.sentence
        stated = re.findall(r"(\d+(?:\.\d+)?)[\s\u00a0]N·m", d.sentence)
        assert set(stated) <= {"2", "900", "1900"}


def test_a_head_without_doubts_is_left_as_it_is() -> None:
    demo = load_fleet(DEMO)
    assert all(not v.doubt for h in demo.heads for v in h.values.values())


def test_csv_disarms_formulas() -> None:
    rows = list(csv.reader(io.StringIO(doubts_csv([Doubt("=1+1", "torque", "@x")]))))
    assert rows[1] == ["'=1+1", "torque", "", "'@x"]
