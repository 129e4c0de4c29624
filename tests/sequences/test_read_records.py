"""Records read back: whole, by JSON and by CSV alike; damaged ones told with their place, never a traceback."""

from __future__ import annotations

import copy
import json
import random
import re
from pathlib import Path
from typing import Any

import pytest
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.records.read_records import RecordsRead, read_folder, read_record
from benchleaf.sequences.records.record_form import VERDICTS, RecordFile, taken_in
from file_mutations import mutated
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_samples import as_csv, as_json, reading, record

SOUND = record(
    "2031-01-01",
    [
        reading("drive", "0.12", calibration="FG-1", certificate="C; 2"),
        reading("driven", "0,13", "as left", clicked=True, wrench_least="5"),
        reading("free", "fail", unit="pass", limits_unit="pass", verdict="fail"),
        {
            k: v
            for k, v in reading("blank", "", calibration="FG-2").items()
            if k not in ("entered", "verdict")
        },
    ],
    ticks=[{"sequence": "assembly", "id": "lid", "step": 3, "at": "2031-01-01T08:00:01Z"}],
)


def attempt(path: Path) -> tuple[RecordFile | None, list[str]]:
    faults = Faults()
    return read_record(path, faults), [str(f) for f in faults]


def write(folder: Path, name: str, text: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_json_and_csv_hold_the_same_record(tmp_path: Path) -> None:
    (whole, none), (table, no) = (
        attempt(write(tmp_path, f"r.{kind}", text))
        for kind, text in (("json", as_json(SOUND)), ("csv", as_csv(SOUND)))
    )
    assert (none, no) == ([], [])
    assert whole is not None
    assert whole == table
    assert [r.entered for r in whole.readings] == ["0.12", "0,13", "fail", None]
    assert whole.model_dump(exclude_none=True, exclude_defaults=True)["job"] == SOUND["job"]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_table_that_a_spreadsheet_saved_again_reads_the_same(tmp_path: Path, mark: str) -> None:
    rows = as_csv(SOUND).replace("C; 2", "C 2").replace('"0,13"', "0.13").replace("0.1,0.3,", "0.1|0.3,")
    again = "\ufeff" + rows.replace(",", mark).replace("|", mark)
    table, faults = attempt(write(tmp_path, "r.csv", again))
    assert faults == []
    assert table is not None
    assert [float(r.low or 0) for r in table.readings] == [0.1] * 4


def test_cells_that_were_kept_from_being_reckoned_are_read_as_they_were_typed(tmp_path: Path) -> None:
    odd = copy.deepcopy(SOUND)
    odd["job"]["done_by"] = "=1+2"
    text = as_csv(odd).replace("=1+2", "'=1+2")
    table, faults = attempt(write(tmp_path, "r.csv", text))
    assert faults == []
    assert table is not None
    assert table.job.done_by == "=1+2"


DAMAGED: list[tuple[str, str, str]] = [
    ('"step": 7', '"step": "seven"', r"r\.json, line 21, column 15 \(readings > #1 > step\): found 'seven'"),
    ('"state": "as found"', '"state": "as fund"', r"\(readings > #1 > state\): found 'as fund'; .*write as found"),
    ('"entered": "0.12"', '"entered": 0.12', r"\(readings > #1 > entered\): found 0.12; allowed: text in quotes"),
    ('"benchleaf_record": 1', '"benchleaf_record": 2', r"line 2, column 23 \(benchleaf_record\): found 2; allowed: 1"),
    ('"job": {', '"jb": {', r"\(jb\): found the key jb; allowed: .*; likely fix: write job"),
    ('T08:00:00.000Z', 'T28:00:00.000Z', r"\(begun\): found '2031-01-01T28.*allowed: a time"),
    ('"date": "2031-01-01"', '"date": "01.02.2031"', r"\(job > date\): found '01.02.2031'; allowed: a date as year"),
    ('"id": "driven"', '"id": "free"', r"line \d+"),
    ('"low": 0.1', '"low": "0.1"', r"\(readings > #1 > low\): found '0.1'; allowed: a number"),
    ('    "date"', '   , "date"', r"r\.json, line \d+, column \d+: found"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), DAMAGED)
def test_a_damaged_record_is_told_with_its_place_and_the_likely_fix(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    text = as_json(SOUND)
    if "driven" in old:
        old, new = '"sequence": "assembly",\n      "step": 7', '"sequence": "disassembly",\n      "step": 7'
        text = text.replace('"id": "driven"', '"id": "drive"')
        said = r"\(readings > #2\): found disassembly/drive a second time; allowed: each mark once"
    assert old in text
    read, faults = attempt(write(tmp_path, "r.json", text.replace(old, new, 1)))
    assert read is None
    assert any(re.search(said, f) for f in faults), faults


TABLES: list[tuple[str, str, str]] = [
    ("mark,section", "marc,section", r"r\.csv, line 1, column \d+: found the column 'marc'; .*likely fix: write mark"),
    (",reading,", ",readin,", r"r\.csv, line 3, column \d+ \(mark\): found 'readin'; .*likely fix: write reading"),
    ("\r\n1,20310101-P1", "\r\n1,20310102-P1", r"line 3, column 3 \(id\): found '20310101-P1' here"),
    (",7,", ",x,", r"line 3, column \d+ \(readings > #1 > step\): found 'x'"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), TABLES)
def test_a_damaged_table_is_told_with_its_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = as_csv(SOUND)
    assert old in text
    read, faults = attempt(write(tmp_path, "r.csv", text.replace(old, new, 1)))
    assert read is None
    assert any(re.search(said, f) for f in faults), faults


def test_a_folder_gives_each_job_once_in_its_latest_state(tmp_path: Path) -> None:
    later = copy.deepcopy(SOUND)
    later["changed"] = "2031-01-02T08:00:00.000Z"
    later["readings"] = later["readings"][:1]
    (tmp_path / "inner").mkdir()
    write(tmp_path, "first.json", as_json(SOUND))
    write(tmp_path, "first.csv", as_csv(SOUND))
    write(tmp_path / "inner", "later.json", as_json(later))
    write(tmp_path, "other.json", as_json(record("2030-05-05", [], "P-2")))
    write(tmp_path, "broken.json", "{")
    write(tmp_path, "notes.txt", "no record")
    read = read_folder(tmp_path)
    assert [(n.file, len(n.record.readings)) for n in read.records] == [
        ("other.json", 0),
        ("inner/later.json", 1),
    ]
    assert read.superseded == (("first.csv", "inner/later.json"), ("first.json", "inner/later.json"))
    assert [f.file for f in read.faults] == ["broken.json"]
    assert read.files == 5


def test_an_empty_folder_holds_nothing(tmp_path: Path) -> None:
    assert read_folder(tmp_path) == RecordsRead((), (), (), 0)
    with pytest.raises(OSError, match="missing"):
        read_folder(tmp_path / "missing")


def test_photos_are_left_unread_however_large(tmp_path: Path) -> None:
    large = copy.deepcopy(SOUND)
    large["photos"] = [
        {"id": f"p{n}", "at": "2031-01-01T08:00:00Z", "data": "data:image/jpeg;base64," + "A" * 2_000_000}
        for n in range(6)
    ]
    read, faults = attempt(write(tmp_path, "r.json", as_json(large)))
    assert faults == []
    assert read is not None
    assert {p.data for p in read.photos} == {"data:image/jpeg;base64,"}


def test_characters_escaped_as_two_halves_are_read_and_half_ones_told(tmp_path: Path) -> None:
    text = as_json(SOUND).replace('"Gap drive"', '"Gap \\ud83d\\udd27 \\\\ud83d"')
    read, faults = attempt(write(tmp_path, "r.json", text))
    assert faults == []
    assert read is not None
    assert read.readings[0].text == "Gap \U0001f527 \\ud83d"
    read, faults = attempt(write(tmp_path, "r.json", text.replace("\\udd27", "")))
    assert read is None
    assert faults == [
        "r.json, line 22, column 20: found half a character, \\ud83d; allowed: whole characters; "
        "likely fix: export the record again"
    ]


def test_every_state_and_verdict_of_the_sheet_is_known() -> None:
    assert {taken_in(s) for s in ("disassembly", "inspection")} == {"as found"}
    assert (taken_in("assembly"), taken_in("fit_the_latch")) == ("as left", "in service")
    assert {"within", "outside", "open", "near", "fail"} < set(VERDICTS)


@pytest.mark.parametrize("kind", ["json", "csv"])
def test_files_broken_at_random_give_faults_or_a_record(tmp_path: Path, kind: str) -> None:
    good = (as_json(SOUND) if kind == "json" else as_csv(SOUND)).encode()
    chance, told = random.Random(3), 0
    for n in range(400):
        read, faults = attempt(write(tmp_path, f"r.{kind}", mutated(good, chance)))
        assert (read is None) == bool(faults), n
        told += bool(faults)
        assert all("found" in f and "allowed" in f and f.startswith(f"r.{kind}") for f in faults)
    assert told > 200


values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(where=st.integers(0, 10_000), value=values)
def test_any_value_in_any_place_gives_faults_or_a_record(tmp_path: Path, where: int, value: Any) -> None:
    strange = copy.deepcopy(SOUND)
    nodes: list[Any] = [strange]
    for node in nodes:
        inner = node.values() if isinstance(node, dict) else node
        nodes += [v for v in inner if isinstance(v, (dict, list)) and v]
    places = [(n, k) for n in nodes for k in (n if isinstance(n, dict) else range(len(n)))]
    node, key = places[where % len(places)]
    node[key] = value
    read, faults = attempt(write(tmp_path, "r.json", json.dumps(strange)))
    assert (read is None) == bool(faults)
