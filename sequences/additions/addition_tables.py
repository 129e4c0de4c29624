"""Additions from a CSV or XLSX table: one a row, columns named like the keys; a new step has ``new.title`` and so on.

API::

    read_addition_table(path, file, faults) -> TableFile | None    # .data is {"additions": [mapping, ...]}
    COLUMNS: tuple[str, ...]
"""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Any

from ..files.csv_rows import Row
from ..files.faults import Fault, Faults, any_of, likely, shown
from ..files.sheet_rows import Strange, TableFile, cell_name, named_columns, table_rows
from ..files.yaml_files import Path
from .addition_form import AdditionText

_LISTS = ("new.acts", "new.look", "new.tools", "new.supplies", "new.fit", "new.remove", "new.focus", "new.cautions",
          "new.values")  # fmt: skip
_NEW = ("new.id", "new.title", "new.section", "new.bench", "new.travel", "new.why", *_LISTS)
COLUMNS: tuple[str, ...] = (
    *(f.alias or n for n, f in AdditionText.model_fields.items() if n != "new"),
    *_NEW,
)
"""Columns that a table of additions may have."""
_SENTENCES = ("new.acts", "new.look")
"""Columns whose cells hold one entry a line; in the other lists entries are joined by +."""


def read_addition_table(path: FilePath, file: str, faults: Faults) -> TableFile | None:
    """Return the rows of a table of additions as mappings, or None with the reasons in ``faults``."""
    read = table_rows(path, file, faults)
    if read is None:
        return None
    rows, sheet = read
    table = TableFile(file, {"additions": []})
    named = named_columns(rows, sheet, file, COLUMNS, faults, _strange)
    if named is None:
        return None
    names, filled = named
    for row in filled:
        _add_row(table, row, names, sheet, faults)
    return table


def _strange(key: str) -> Strange | None:
    if key in COLUMNS:
        return None
    near = likely(key, COLUMNS) or ""
    return Strange(near, f"write {near}" if near else "take the column away", any_of(COLUMNS, key))


def _add_row(table: TableFile, row: Row, names: dict[int, str], sheet: str, faults: Faults) -> None:
    here: Path = ("additions", len(table.data["additions"]))
    entry: dict[str, Any] = {}
    table.values[here] = (row.line, 1)
    if sheet:
        table.cells[here] = cell_name(sheet, row.line, 1)
    for index, (line, column, value) in enumerate(row.cells):
        text = str(value).strip()
        key = names.get(column if sheet else index)
        at = cell_name(sheet, line, column)
        if not text or key == "":
            continue
        if key is None:
            fix = "give the column a name, or empty the cell"
            faults.add(Fault(table.file, line, column, "", shown(text), "cells below a column name", fix, at))
            continue
        if text.startswith("="):
            fix = "paste it as a value"
            faults.add(Fault(table.file, line, column, key, "a formula", "a plain cell", fix, at))
            continue
        above, _, last = key.rpartition(".")
        (entry.setdefault(above, {}) if above else entry)[last] = _read(key, text)
        places: list[Path] = [(*here, key)] if not above else [(*here, above), (*here, above, last)]
        for place in places:
            table.values.setdefault(place, (line, column))
            if sheet:
                table.cells.setdefault(place, at)
    table.data["additions"].append(entry)


def _read(key: str, text: str) -> str | list[str]:
    """Return a cell as a file of additions would hold it."""
    if key in _SENTENCES:
        return [w for part in text.splitlines() if (w := part.strip())]
    if key == "for" or key in _LISTS:
        return [w for part in text.split("+") if (w := part.strip())]
    return text
