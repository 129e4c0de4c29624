"""Exported records read back: JSON as the record sheet writes it, CSV as a spreadsheet keeps it.

API::

    read_record(path, faults, shown_as="") -> RecordFile | None    # None: the faults say why
    read_folder(folder) -> RecordsRead                             # all of a folder, what is damaged left out and told
    COLUMNS                                                        # of the CSV

Photos are not looked at: their data is left out before anything else is read.
"""

from __future__ import annotations

import math
import os
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from ..files.csv_rows import Row, csv_rows
from ..files.faults import Fault, Faults, any_of, likely, shown
from ..files.file_models import validate_file
from ..files.yaml_files import Path, WrittenFloat, WrittenInt, YamlFile, decode, parse_yaml, read_bytes
from .record_form import RecordFile

MOST_BYTES = 60_000_000
"""A record with some dozens of photos."""
ENDINGS = (".json", ".csv")
_PHOTO = re.compile(
    r'(?<="data:image/jpeg;base64,)[A-Za-z0-9+/=]+|(?<="data:image/png;base64,)[A-Za-z0-9+/=]+'
)
_PAIR = re.compile(r"(?<!\\)((?:\\\\)*)\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", re.I)
_HALF = re.compile(r"(?<!\\)((?:\\\\)*)(\\ud[89a-f][0-9a-f]{2})", re.I)
_BOOKLET = {"library": "library", "plant": "plant", "tag": "tag", "size": "size", "revision": "revision"}
_PLACES: dict[str, Path] = {
    "benchleaf_record": ("benchleaf_record",),
    "id": ("id",),
    "begun": ("begun",),
    "changed": ("changed",),
    **{column: ("booklet", key) for column, key in _BOOKLET.items()},
    "booklet_date": ("booklet", "date"),
    **{k: ("job", k) for k in ("work_order", "date", "done_by", "checked_by", "remarks")},
}
"""Column to where it stands in a record, of those that hold for the whole job."""
_JOB = frozenset(c for c, place in _PLACES.items() if place[0] == "job")
_READING = (
    "sequence", "step", "text", "value", "state", "entered", "unit", "limits_unit", "low", "high", "read_with",
    "calibration", "certificate", "wrench_least", "wrench_most", "clicked", "verdict", "at",
)  # fmt: skip
_KINDS: dict[str, tuple[str, Mapping[str, str]]] = {
    "job": ("", {}),
    "reading": ("readings", {"mark_id": "id", **{c: c for c in _READING}}),
    "tick": ("ticks", {"mark_id": "id", "sequence": "sequence", "step": "step", "text": "title", "at": "at"}),
    "sign-off": (
        "sign_offs",
        {"sequence": "sequence", "section": "section", "text": "title", "entered": "by", "at": "at"},
    ),
}
"""What a row is, with the list that it goes into and what its columns hold there."""
COLUMNS = (*_PLACES, "mark", "section", "mark_id", *_READING)
_WHOLE = re.compile(r"[-+]?\d{1,9}")
_NUMBER = re.compile(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?")


@dataclass(frozen=True)
class NamedRecord:
    """A sound record, with its file."""

    file: str
    record: RecordFile


@dataclass(frozen=True)
class RecordsRead:
    """What a folder holds: sound records, the oldest first, and why the others are left out."""

    records: tuple[NamedRecord, ...]
    faults: tuple[Fault, ...]
    superseded: tuple[tuple[str, str], ...]
    """Files that hold an earlier state of a job, each with the file that is taken in its place."""
    files: int
    """How many files were looked at."""


def read_folder(folder: FilePath) -> RecordsRead:
    """Return all records of ``folder`` and the folders in it; of one job the state that was changed last.

    Raises:
        OSError: if the folder cannot be read.
    """
    with os.scandir(folder):  # says what is wrong with the folder itself
        pass
    faults, found = Faults(), []
    paths = sorted(
        p for p in folder.rglob("*") if p.suffix.casefold() in ENDINGS and not p.name.startswith(".")
    )
    for path in paths:
        name = path.relative_to(folder).as_posix()
        record = read_record(path, faults, name)
        if record is not None:
            found.append(NamedRecord(name, record))
    kept, superseded = _latest(found)
    return RecordsRead(kept, tuple(faults), superseded, len(paths))


def _latest(found: Iterable[NamedRecord]) -> tuple[tuple[NamedRecord, ...], tuple[tuple[str, str], ...]]:
    """Return each job once, and what is left out for another file of it; of equals the JSON file is taken."""
    jobs: dict[tuple[str, str], list[NamedRecord]] = defaultdict(list)
    for n in found:
        jobs[n.record.booklet.tag, n.record.id].append(n)
    kept, left_out = [], []
    for files in jobs.values():
        best = max(files, key=lambda n: (n.record.changed, n.file.casefold().endswith(".json"), n.file))
        kept.append(best)
        left_out += [(n.file, best.file) for n in files if n is not best]
    kept.sort(key=lambda n: (n.record.begun, n.record.id, n.file))
    return tuple(kept), tuple(sorted(left_out))


def read_record(path: FilePath, faults: Faults, shown_as: str = "") -> RecordFile | None:
    """Return a record, or None with every reason in ``faults``."""
    file, before = shown_as or path.name, len(faults)
    raw = read_bytes(path, file, faults, MOST_BYTES)
    text = None if raw is None else decode(raw, file, faults)
    if text is None:
        return None
    if path.suffix.casefold() == ".csv":
        doc = _table(csv_rows(text, file, faults) if text.strip() else [], file, faults)
    else:
        # JSON is YAML, and this reader knows every place.
        plain = _whole_characters(_PHOTO.sub("", text), file, faults)
        doc = None if len(faults) > before else parse_yaml(plain, file, faults)
    if doc is None or len(faults) > before:
        return None
    record = validate_file(RecordFile, doc, faults)
    if record is not None and len(faults) == before:
        _check_twice(record, doc, faults)
    return record if len(faults) == before else None


def _whole_characters(text: str, file: str, faults: Faults) -> str:
    """Return JSON with characters that are escaped as two halves put together; YAML knows no such escapes."""

    def joined(pair: re.Match[str]) -> str:
        high, low = int(pair[2], 16), int(pair[3], 16)
        return pair[1] + chr(0x10000 + ((high - 0xD800) << 10) + low - 0xDC00)

    whole = _PAIR.sub(joined, text)
    if half := _HALF.search(whole):
        at = half.start(2)
        line, column = whole.count("\n", 0, at) + 1, at - whole.rfind("\n", 0, at)
        found, fix = f"half a character, {half[2]}", "export the record again"
        faults.add(Fault(file, line, column, "", found, "whole characters", fix))
    return whole


def _empty(file: str, faults: Faults) -> None:
    faults.add(Fault(file, 1, 1, "", "an empty file", "an exported record", "export the record again"))


def _check_twice(record: RecordFile, doc: YamlFile, faults: Faults) -> None:
    lists: tuple[tuple[str, Iterable[Any], Callable[[Any], str]], ...] = (
        ("readings", record.readings, lambda m: f"{m.sequence}/{m.id}"),
        ("ticks", record.ticks, lambda m: f"{m.sequence}/{m.id}"),
        ("sign_offs", record.sign_offs, lambda m: f"{m.sequence}/{m.section}"),
        ("photos", record.photos, lambda m: str(m.id)),
    )
    for name, marks, key in lists:
        seen: set[str] = set()
        for n, mark in enumerate(marks):
            if key(mark) in seen:
                found = f"{key(mark)} a second time"
                faults.add(doc.fault((name, n), found, "each mark once", "take one away"))
            seen.add(key(mark))


# ------------------------------------------------------------------ CSV
def _table(rows: list[Row], file: str, faults: Faults) -> YamlFile | None:
    """Return the rows of a record's table as its JSON would hold them, with the place of each cell."""
    filled = [r for r in rows if any(str(v).strip() for *_, v in r.cells)]
    if not filled:
        _empty(file, faults)
        return None
    before = len(faults)
    names = _heading(filled[0], file, faults)
    if len(faults) > before:
        return None
    doc = YamlFile(file, {"booklet": {}, "job": {}})
    for row in filled[1:]:
        _add_row(doc, row, names, faults)
    return doc if len(faults) == before else None


def _heading(row: Row, file: str, faults: Faults) -> list[str]:
    names, before = [str(v).strip() for *_, v in row.cells], len(faults)
    for (line, column, _), name in zip(row.cells, names, strict=True):
        if name not in COLUMNS:
            near = likely(name, COLUMNS) if name else None
            fix = f"write {near}" if near else "take the column away"
            faults.add(Fault(file, line, column, "", f"the column {shown(name)}", any_of(COLUMNS, name), fix))
        elif names.count(name) > 1:
            faults.add(
                Fault(file, line, column, "", f"the column {name} twice", "each column once", "take one away")
            )
    for name in ("mark", "id", "at"):
        if name not in names and len(faults) == before:
            faults.add(
                Fault(file, row.line, 1, "", f"no column {name}", "all columns of the export", "export again")
            )
    return names


def _add_row(doc: YamlFile, row: Row, names: list[str], faults: Faults) -> None:
    cells: dict[str, tuple[tuple[int, int], str]] = {}
    for n, (line, column, value) in enumerate(row.cells):
        text = _armed(str(value))
        if not text.strip():
            continue
        if n >= len(names):
            fix = "give the column a name, or empty the cell"
            faults.add(Fault(doc.file, line, column, "", shown(text), "cells below a column name", fix))
            return
        cells[names[n]] = ((line, column), text)
    for name, place in _PLACES.items():
        if name in cells:
            _put_whole(doc, name, place, *cells[name], faults)
    mark, kind = cells.get("mark", ((row.line, 1), ""))
    if kind not in _KINDS:
        near = likely(kind, _KINDS) if kind else None
        found = shown(kind) if kind else "a row that says not what it is"
        fix = f"write {near}" if near else "export the record again"
        faults.add(Fault(doc.file, *mark, "mark", found, any_of(_KINDS), fix))
        return
    target, columns = _KINDS[kind]
    if not target:
        return
    entries = doc.data.setdefault(target, [])
    here: Path = (target, len(entries))
    entry: dict[str, Any] = {}
    doc.values[here] = (row.line, 1)
    for name, key in columns.items():
        if name in cells:
            at, text = cells[name]
            entry[key] = _plain(key, text)
            doc.values[(*here, key)] = at
    entries.append(entry)


def _put_whole(
    doc: YamlFile, column: str, place: Path, at: tuple[int, int], text: str, faults: Faults
) -> None:
    """Put what holds for the whole job where a record has it; every row has to say the same."""
    *above, key = place
    node = doc.data[above[0]] if above else doc.data
    value = _plain(str(key), text)
    if key not in node:
        node[key] = value
        doc.values[place] = at
    elif node[key] != value:
        found = f"{shown(text)} here, {shown(node[key])} above"
        faults.add(Fault(doc.file, *at, column, found, "one job a file", "give each job a file of its own"))


def _armed(text: str) -> str:
    """Return a cell without the apostrophe that kept a spreadsheet from reckoning it out."""
    return text[1:] if re.match(r"'\s*[=+\-@\uff1d\uff0b\uff0d\uff20'\t\r\n]", text) else text


def _plain(key: str, text: str) -> Any:
    """Return a cell as JSON would hold it."""
    if key in ("benchleaf_record", "step") and _WHOLE.fullmatch(text.strip()):
        return WrittenInt(int(text), text.strip())
    if key in ("low", "high") and _NUMBER.fullmatch(text.strip()):
        written = text.strip().replace(",", ".")
        number = float(written)
        return WrittenFloat(number, written) if math.isfinite(number) else text
    if key == "clicked" and text.strip().casefold() in ("true", "false"):
        return text.strip().casefold() == "true"
    return text
