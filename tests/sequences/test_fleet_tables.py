"""Fleet rows from CSV and XLSX: the same rows, and mistakes with row and column or cell."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.engineering.measuring import DecisionRule
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.csv_rows import csv_rows
from benchleaf.sequences.files.faults import Faults, FaultsFound
from benchleaf.sequences.files.sheet_rows import TableFile
from benchleaf.sequences.fleet.fleet_file import SourcedText, SourceText
from benchleaf.sequences.fleet.fleet_tables import COLUMNS, VALUE_PARTS, read_table
from benchleaf.sequences.fleet.heads import Fleet
from benchleaf.sequences.values.sourced_values import ChosenRule, Source
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

FLEET = """\
plant: Test plant
sizes:
  62:
    shaft_centre_distance_mm: 62
    rotor_diameter_mm: 88.04
    rotor_width_mm: 43.4
    shaft_diameter_mm: 23.56
    port_bore_mm: 37.2
heads_table: {name}
"""
ROWS = [
    ["tag", "Size", "service", "cleaning in place", "seal", "process_temperature_c", "product"],
    ["P-1", "62", "cream, fresh", "yes", "", "8", ""],
    ["", "", "", "", "", "", ""],
    ["P-2", "62", "", "", "double", "", "fats-and-vegetable-oils + essential-oils"],
]


def write_csv(path: Path, rows: Sequence[Sequence[object]], mark: str = ",") -> None:
    quoted = [mark.join(f'"{c}"' if mark in str(c) or "," in str(c) else str(c) for c in row) for row in rows]
    path.write_text("\n".join(quoted) + "\n", "utf-8")


def write_xlsx(path: Path, rows: list[list[object]]) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Heads"
    for row in rows:
        sheet.append([None if c == "" else c for c in row])
    book.save(path)


def load(tmp_path: Path, name: str) -> Fleet:
    (tmp_path / "fleet.yaml").write_text(FLEET.format(name=name), "utf-8")
    return load_fleet(tmp_path / "fleet.yaml", ())


def faults_of(tmp_path: Path, name: str) -> list[str]:
    with pytest.raises(FaultsFound) as caught:
        load(tmp_path, name)
    return [str(f) for f in caught.value.faults]


def check_heads(fleet: Fleet) -> None:
    one, two = fleet.heads
    assert (one.tag, one.service, one.options.cleaning_in_place, one.process_temperature_c) == (
        "P-1",
        "cream, fresh",
        True,
        8,
    )
    assert (two.tag, two.options.seal, two.size.name) == ("P-2", "double", "62")
    assert two.product == ("fats-and-vegetable-oils", "essential-oils")


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_csv_table_with_any_usual_separator(tmp_path: Path, mark: str) -> None:
    write_csv(tmp_path / "heads.csv", ROWS, mark)
    check_heads(load(tmp_path, "heads.csv"))


def test_a_csv_table_as_spreadsheets_save_it(tmp_path: Path) -> None:
    write_csv(tmp_path / "heads.csv", ROWS, ";")
    raw = (tmp_path / "heads.csv").read_text("utf-8").replace("\n", "\r\n").encode("utf-8-sig")
    (tmp_path / "heads.csv").write_bytes(raw)
    check_heads(load(tmp_path, "heads.csv"))


def test_a_workbook_with_numbers_as_numbers(tmp_path: Path) -> None:
    rows: list[list[object]] = [list(r) for r in ROWS]
    rows[1][1], rows[1][3], rows[1][5], rows[3][1] = 62, True, 8.0, 62.0
    write_xlsx(tmp_path / "heads.xlsx", rows)
    check_heads(load(tmp_path, "heads.xlsx"))


VALUE_ROWS: list[list[object]] = [
    ["tag", "size", "Rotor nut torque.value", "rotor_nut_torque.tolerance", "rotor_nut_torque.unit",
     "rotor_nut_torque.threads", "rotor_nut_torque.document", "rotor_nut_torque.revision", "rotor_nut_torque.table",
     "rotor_nut_torque.date", "front_face_clearance.greatest", "front_face_clearance.least",
     "front_face_clearance.unit", "front_face_clearance.document", "front_face_clearance.date"],
    ["P-1", "62", "30.0", "2", "N·m", "anti-seize", "Manual 1", "C", "7", "2031-01-02", "0.10", "0.05", "mm",
     "Sheet 9", "2031-03-04"],
    ["P-2", "62", *[""] * 13],
]  # fmt: skip
"""Two pumps, one with values of its own."""


def check_values(fleet: Fleet) -> None:
    one, two = fleet.heads
    torque, gap = one.values["rotor_nut_torque"], one.values["front_face_clearance"]
    assert (torque.low, torque.high) == (28, 32)
    assert torque.given is not None
    assert (torque.given.source, torque.given.date) == (Source("Manual 1", "C", "7"), "2031-01-02")
    assert torque.given.threads == "anti-seize"
    assert torque.given.level == "head"
    assert gap.given is not None
    assert (gap.low, gap.high) == (0.05, 0.1)
    assert (gap.given.source, gap.given.date) == (Source("Sheet 9"), "2031-03-04")
    assert not two.values["rotor_nut_torque"].known
    assert not two.values["front_face_clearance"].known


def test_values_with_their_sources_in_a_csv_table(tmp_path: Path) -> None:
    write_csv(tmp_path / "heads.csv", VALUE_ROWS)
    fleet = load(tmp_path, "heads.csv")
    check_values(fleet)
    given = fleet.heads[0].values["rotor_nut_torque"].given
    assert given is not None
    assert str(given.value) == "30.0", "the digits as they were written"


def test_values_with_their_sources_in_a_workbook(tmp_path: Path) -> None:
    rows = [list(r) for r in VALUE_ROWS]
    rows[1] = ["P-1", 62, 30.0, 2, "N·m", "anti-seize", "Manual 1", "C", 7, datetime(2031, 1, 2), 0.1, 0.05, "mm",
               "Sheet 9", datetime(2031, 3, 4)]  # fmt: skip
    write_xlsx(tmp_path / "heads.xlsx", rows)
    check_values(load(tmp_path, "heads.xlsx"))


def test_values_of_a_table_are_judged_like_those_of_the_fleet_file(tmp_path: Path) -> None:
    value = "cover_nut_torque"
    rows = [
        [
            "tag",
            "size",
            *(f"{value}.{p}" for p in ("value", "unit", "document", "date")),
            "flush_pressure.value",
        ],
        ["P-1", "62", "15", "bar", "M", "2031-01-01", ""],
        ["P-2", "62", "15", "N·m", "", "soon", ""],
        ["P-3", "62", "0,5", "N·m", "M", "2031-01-01", "1"],
    ]
    write_csv(tmp_path / "heads.csv", rows, ";")
    found = faults_of(tmp_path, "heads.csv")
    assert [f.split(";")[0] for f in found] == [
        "heads.csv, line 2, column 11 (heads > #1 > values > cover_nut_torque > unit): found 'bar'",
        "heads.csv, line 3, column 8 (heads > #2 > values > cover_nut_torque): found no source",
        "heads.csv, line 3, column 16 (heads > #2 > values > cover_nut_torque > date): found 'soon'",
        "heads.csv, line 4, column 8 (heads > #3 > values > cover_nut_torque > value): found '0,5'",
        "heads.csv, line 4, column 31 (heads > #3 > values > flush_pressure): found no source",
        "heads.csv, line 4, column 31 (heads > #3 > values > flush_pressure): found no date",
        "heads.csv, line 4, column 31 (heads > #3 > values > flush_pressure): "
        "found flush_pressure on a head without it",
    ]


def test_how_a_reading_is_judged_has_columns_of_its_own(tmp_path: Path) -> None:
    gap = "front_face_clearance"
    parts = (
        "least",
        "greatest",
        "unit",
        "document",
        "date",
        "critical",
        "rule",
        "guard",
        "rule_document",
        "rule_date",
    )
    rows: list[list[object]] = [
        ["tag", "size", *(f"{gap}.{p}" for p in parts)],
        [
            "P-1",
            "62",
            "0.05",
            "0.10",
            "mm",
            "M",
            "2031-01-01",
            "x",
            "guarded",
            "0.5",
            "Quality plan",
            "2031-02-02",
        ],
        [
            "P-2",
            "62",
            "0.05",
            "0.10",
            "mm",
            "M",
            "2031-01-01",
            "no",
            "simple",
            "",
            "Quality plan",
            "2031-02-02",
        ],
        ["P-3", "62", "0.05", "0.10", "mm", "M", "2031-01-01", "", "", "", "", ""],
    ]
    write_csv(tmp_path / "heads.csv", rows)
    judged = [h.values[gap].given for h in load(tmp_path, "heads.csv").heads]
    plan = Source("Quality plan")
    assert [(g.critical, g.rule) for g in judged if g is not None] == [
        (True, ChosenRule(DecisionRule("guarded", 0.5), plan, "2031-02-02")),
        (False, ChosenRule(DecisionRule("simple"), plan, "2031-02-02")),
        (False, None),
    ]
    rows[1][9] = "5"
    write_csv(tmp_path / "heads.csv", rows)
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert "(heads > #1 > values > front_face_clearance > decision_rule > guard): found 5" in fault


def test_one_end_of_a_range_is_not_enough(tmp_path: Path) -> None:
    rows: list[list[object]] = [[c for n, c in enumerate(r) if n != 11] for r in VALUE_ROWS]
    write_csv(tmp_path / "heads.csv", rows)
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert "front_face_clearance > range): found 1 figures" in fault


@pytest.mark.parametrize(
    ("column", "fix"),
    [
        (
            "rotor_nut_torque",
            "write rotor_nut_torque.value, with .unit, .document and .date in columns beside it",
        ),
        ("rotor_nut_torqe.unit", "write rotor_nut_torque.unit"),
        ("rotor_nut_torque.tolerence", "write rotor_nut_torque.tolerance"),
        ("rotor_nut_torque.zzz", "correct what follows the point"),
        ("values", "give each value columns of its own, such as rotor_nut_torque.value"),
        ("own_parts", "write own parts in the fleet file, in the pump's entry under heads"),
        ("colour", "take the column away, or write it in the fleet file"),
    ],
)
def test_an_unknown_column_says_where_its_cells_belong(tmp_path: Path, column: str, fix: str) -> None:
    write_csv(tmp_path / "heads.csv", [["tag", "size", column], ["P-1", "62", ""]])
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert fault.startswith(f"heads.csv, line 1, column 10: found the column '{column}'; allowed: ")
    assert "for a value its name with .value, .unit" in fault
    assert fault.endswith(f"likely fix: {fix}")


def test_every_part_of_a_value_has_its_column() -> None:
    parts = {path[0] for path in VALUE_PARTS.values()}
    assert parts == set(SourcedText.model_fields)
    assert {path[1] for path in VALUE_PARTS.values() if path[0] == "source"} == set(SourceText.model_fields)


def test_table_and_fleet_file_share_the_tags(tmp_path: Path) -> None:
    write_csv(tmp_path / "heads.csv", ROWS)
    (tmp_path / "fleet.yaml").write_text(FLEET.format(name="heads.csv") + "heads: [{tag: p-2, size: 62}]\n")
    with pytest.raises(FaultsFound) as caught:
        load_fleet(tmp_path / "fleet.yaml", ())
    (fault,) = caught.value.faults
    assert (fault.file, fault.line, fault.column) == ("heads.csv", 4, 1)
    assert fault.found == "P-2, which names the same folder as p-2"
    assert "first in fleet.yaml, line 10" in fault.allowed


def test_mistakes_in_a_csv_table_have_row_and_column(tmp_path: Path) -> None:
    text = "tag,size,seal,colour,seal\nP-1,63,single,,\nP-2,62,duble,red,\n,62,,,\nP-4,62,=1+1,,,left\n"
    (tmp_path / "heads.csv").write_text(text)
    found = faults_of(tmp_path, "heads.csv")
    assert [f.split(";")[0] for f in found] == [
        "heads.csv, line 1, column 15: found the column 'colour'",
        "heads.csv, line 1, column 22: found the column seal a second time",
        "heads.csv, line 2, column 5 (heads > #1 > size): found the size '63'",
        "heads.csv, line 3, column 8 (heads > #2 > seal): found 'duble'",
        "heads.csv, line 4, column 1 (heads > #3): found no tag",
        "heads.csv, line 5, column 8 (seal): found a formula",
        "heads.csv, line 5, column 15: found 'left'",
    ]


def test_mistakes_behind_quoted_cells_have_the_place_as_written(tmp_path: Path) -> None:
    text = (
        '''tag,service,size,"seal"\n"P-1","cream, ""fresh""",63,single\nP-2,"line one\nline two",62,duble\n'''
    )
    (tmp_path / "heads.csv").write_text(text)
    found = faults_of(tmp_path, "heads.csv")
    assert [f.split(";")[0] for f in found] == [
        "heads.csv, line 2, column 26 (heads > #1 > size): found the size '63'",
        "heads.csv, line 4, column 14 (heads > #2 > seal): found 'duble'",
    ]


_CELLS = st.lists(st.lists(st.text('ab", ;\n', max_size=6), min_size=1, max_size=4), min_size=1, max_size=4)


@given(_CELLS, st.sampled_from(",;"), st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]))
def test_the_place_of_a_cell_is_where_it_is_written(cells: list[list[str]], mark: str, quoting: Any) -> None:
    out = io.StringIO()
    csv.writer(out, delimiter=mark, quoting=quoting, lineterminator="\n").writerows([["x", "y"], *cells])
    text = f"h{mark}{mark}{mark}\n" + out.getvalue()  # the first line tells the mark
    faults = Faults()
    rows = csv_rows(text, "heads.csv", faults)[2:]
    assert not len(faults)
    assert [[v for *_, v in row.cells] for row in rows] == cells
    lines = io.StringIO(text, newline="").readlines()
    for row in rows:
        for line, column, value in row.cells:
            there = "".join([lines[line - 1][column - 1 :], *lines[line:]])
            plain = value.split("\n")[0]
            assert there.startswith((plain, '"' + value.replace('"', '""')))
            assert column == 1 or lines[line - 1][column - 2] == mark


def test_mistakes_in_a_workbook_name_the_cell(tmp_path: Path) -> None:
    rows: list[list[object]] = [["tag", "sise", "seal"], ["P-1", 62, "duble"], ["P-2", "", "=A1"]]
    write_xlsx(tmp_path / "heads.xlsx", rows)
    found = faults_of(tmp_path, "heads.xlsx")
    assert [f.split(";")[0] for f in found] == [
        "heads.xlsx, sheet Heads, cell B1: found the column 'sise'",
        "heads.xlsx, sheet Heads, cell C2 (heads > #1 > seal): found 'duble'",
        "heads.xlsx, sheet Heads, cell A3 (heads > #2): found no size",
        "heads.xlsx, sheet Heads, cell C3 (seal): found a formula",
    ]
    assert found[0].endswith("likely fix: write size")


def test_a_file_that_is_no_workbook(tmp_path: Path) -> None:
    (tmp_path / "heads.xlsx").write_bytes(b"tag,size\nP-1,62\n")
    assert faults_of(tmp_path, "heads.xlsx") == [
        "heads.xlsx: found a file that cannot be read as a workbook (BadZipFile); "
        "allowed: an Excel workbook (.xlsx); likely fix: save it again as .xlsx, or as CSV"
    ]


def test_a_workbook_that_swells_when_unpacked_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "heads.xlsx", "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    (fault,) = faults_of(tmp_path, "heads.xlsx")
    assert "found a workbook of 60 MB unpacked; allowed: at most 50 MB" in fault


def test_broken_quotes_and_encodings(tmp_path: Path) -> None:
    (tmp_path / "heads.csv").write_text('tag,size\nP-1,62\n"P-2" x,62\n')
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert fault.startswith("heads.csv, line 3, column 1: found a row that is no CSV")
    (tmp_path / "heads.csv").write_bytes(b"tag,service,size\nP-1,caf\xe9,62\n")
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert fault.startswith("heads.csv, line 2, column 8: found byte 0xE9, which is not UTF-8")


@pytest.mark.parametrize("text", ["", "\n\n", " , ,\n"])
def test_an_empty_table(tmp_path: Path, text: str) -> None:
    (tmp_path / "heads.csv").write_text(text)
    assert faults_of(tmp_path, "heads.csv")[0].startswith("heads.csv, line 1, column 1: found an empty table")


def test_too_many_rows(tmp_path: Path) -> None:
    (tmp_path / "heads.csv").write_text("tag,size\n" + "P-1,62\n" * 5001)
    (fault,) = faults_of(tmp_path, "heads.csv")
    assert fault.startswith("heads.csv, line 5002, column 1: found more than 5000 rows")


def test_columns_are_those_of_a_head() -> None:
    assert COLUMNS[:3] == ("tag", "service", "size")
    assert "values" not in COLUMNS
    assert "cover_oring" in COLUMNS


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.text(max_size=80).map(str.encode),
        st.text('a",;\n\r\0', max_size=40).map(str.encode),
    ),
    st.sampled_from([".csv", ".xlsx"]),
)
def test_any_bytes_are_read_or_answered(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes, ending: str
) -> None:
    path = tmp_path_factory.mktemp("t") / f"heads{ending}"
    path.write_bytes(raw)
    faults = Faults()
    table = read_table(path, faults)
    assert isinstance(table, TableFile) or len(faults)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 3000), st.binary(min_size=1, max_size=4))
def test_a_damaged_workbook_is_read_or_answered(
    tmp_path_factory: pytest.TempPathFactory, at: int, put: bytes
) -> None:
    book = Workbook()
    assert book.active is not None
    book.active.append(["tag", "size"])
    out = io.BytesIO()
    book.save(out)
    raw = bytearray(out.getvalue())
    raw[at : at + len(put)] = put
    path = tmp_path_factory.mktemp("t") / "heads.xlsx"
    path.write_bytes(raw)
    faults = Faults()
    table = read_table(path, faults)
    assert isinstance(table, TableFile) or len(faults)
