"""Fleet rows from a CSV or XLSX table: columns named like the keys of a head, one pump a row.

API::

    read_table(path, faults, shown_as) -> TableFile | None       # .data is {"heads": [mapping, ...]}
    COLUMNS: tuple[str, ...]

    VALUE_PARTS: dict[str, Path]                                 # column ending to its key in a value

Only plain cells are read: no formula is worked out. Empty cells mean the key is left out; several classes of a product
or cleaning medium are joined by +. A sourced value of one pump has columns of its own, its name and what of it, such as
``rotor_nut_torque.value``, ``.unit``, ``.document`` and ``.date``. Own parts, spares and clearances as found stand in
the fleet file alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path as FilePath
from typing import Any

from ..files.csv_rows import Row
from ..files.faults import Fault, Faults, any_of, likely, shown
from ..files.sheet_rows import Strange, TableFile, cell_name, named_columns, table_rows
from ..files.yaml_files import Path, WrittenFloat, WrittenInt
from ..values.value_names import VALUE_NAMES
from .fleet_file import HeadText

_FIRST = ("tag", "service", "size")
_NOT_HERE = (*_FIRST, "own_parts", "spare_parts", "as_found", "values")
COLUMNS: tuple[str, ...] = (*_FIRST, *(n for n in HeadText.model_fields if n not in _NOT_HERE))
"""Columns that a table may have, beside those of values; own parts, spares and clearances as found are written in the
fleet file."""
_SOURCE = ("document", "revision", "table", "page")
VALUE_PARTS: dict[str, Path] = {
    **{k: (k,) for k in ("value", "unit", "tolerance", "threads", "medium", "condition", "critical", "date")},
    "least": ("range", 0),
    "greatest": ("range", 1),
    **{k: ("source", k) for k in _SOURCE},
    **{k: ("decision_rule", k) for k in ("rule", "guard")},
    "rule_date": ("decision_rule", "date"),
    **{f"rule_{k}": ("decision_rule", "source", k) for k in _SOURCE},
}
"""What a column of a value holds, after the point, and where that stands in the value."""
_VALUE_COLUMN = f"for a value its name with {any_of(['.' + part for part in VALUE_PARTS])}"
_FIGURES = ("value", "tolerance", "least", "greatest", "guard")
_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")

_TRUE = {"true", "yes", "y", "1", "x"}
_FALSE = {"false", "no", "n", "0"}


def read_table(path: FilePath, faults: Faults, shown_as: str = "") -> TableFile | None:
    """Return the rows of a table, or None with the reasons in ``faults``."""
    file = shown_as or path.name
    read = table_rows(path, file, faults)
    return None if read is None else _mappings(*read, file, faults)


def _mappings(rows: Iterable[Row], sheet: str, file: str, faults: Faults) -> TableFile | None:
    """Return the rows below the heading as mappings."""
    table = TableFile(file, {"heads": []})
    named = named_columns(rows, sheet, file, COLUMNS, faults, _strange)
    if named is None:
        return None
    names, filled = named
    for row in filled:
        _add_row(table, row, names, sheet, faults)
    return table


def _is_value(key: str) -> bool:
    name, _, part = key.partition(".")
    return name in VALUE_NAMES and part in VALUE_PARTS


def _strange(key: str) -> Strange | None:
    if key in COLUMNS or _is_value(key):
        return None
    return Strange(*_meant(key), f"{any_of(COLUMNS, key)}; {_VALUE_COLUMN}")


def _meant(key: str) -> tuple[str, str]:
    """Return the column that an unknown one is likely meant as, or nothing, and the fix in words."""
    name, _, part = key.partition(".")
    value = likely(name, VALUE_NAMES)
    in_file = next((n for n in ("own_part", "spare_part", "as_found") if key.startswith(n)), None)
    if in_file:
        said = {"own_part": "own parts", "spare_part": "spare parts", "as_found": "clearances as found"}[
            in_file
        ]
        return "", f"write {said} in the fleet file, in the pump's entry under heads"
    if key == "values":
        return "", "give each value columns of its own, such as rotor_nut_torque.value"
    if value and part:
        ending = likely(part, VALUE_PARTS)
        return (
            (f"{value}.{ending}", f"write {value}.{ending}")
            if ending
            else ("", "correct what follows the point")
        )
    near = likely(key, COLUMNS)
    if near:
        return near, f"write {near}"
    if value:
        return f"{value}.value", f"write {value}.value, with .unit, .document and .date in columns beside it"
    return "", "take the column away, or write it in the fleet file"


def _add_row(table: TableFile, row: Row, names: dict[int, str], sheet: str, faults: Faults) -> None:
    number = len(table.data["heads"])
    entry: dict[str, Any] = {}
    here: Path = ("heads", number)
    table.values[here] = (row.line, 1)
    if sheet:
        table.cells[here] = cell_name(sheet, row.line, 1)
    for index, (line, column, value) in enumerate(row.cells):
        key = names.get(column if sheet else index)
        read = _read_cell(key or "", value)
        if read is None:
            continue
        at = cell_name(sheet, line, column)
        if key == "":
            continue
        if key is None:
            fix = "give the column a name, or empty the cell"
            faults.add(Fault(table.file, line, column, "", shown(read), "cells below a column name", fix, at))
            continue
        if isinstance(read, str) and read.startswith("="):
            fix = "paste it as a value"
            faults.add(Fault(table.file, line, column, key, "a formula", "a plain cell", fix, at))
            continue
        places = [(*here, key)]
        if key in COLUMNS:
            entry[key] = read
        else:
            places = [(*here, *path) for path in _put_value(entry, key, read)]
        for place in places:
            table.values.setdefault(place, (line, column))
            if sheet:
                table.cells.setdefault(place, at)
    table.data["heads"].append(entry)


def _put_value(entry: dict[str, Any], column: str, read: Any) -> list[Path]:
    """Put a cell into its value of a row, and return the paths that have their place by it, within the row."""
    name, _, part = column.partition(".")
    value = entry.setdefault("values", {}).setdefault(name, {})
    *above, last = VALUE_PARTS[part]
    if above == ["range"]:
        value.setdefault("range", []).insert(1 if part == "greatest" else 0, read)
    else:
        for step in above:
            value = value.setdefault(step, {})
        value[last] = read
    path = ("values", name, *VALUE_PARTS[part])
    return [path[:n] for n in range(1, len(path) + 1)]


def _is_figure(key: str) -> bool:
    name, _, part = key.partition(".")
    return part in _FIGURES and (part != "value" or VALUE_NAMES[name].quantity != "text")


def _is_choice(key: str) -> bool:
    return key == "cleaning_in_place" or key.endswith(".critical")


def _read_cell(key: str, value: Any) -> Any:
    """Return a cell as the fleet file would hold it; None for an empty one."""
    if value is None:
        return None
    if isinstance(value, str):
        text = value.strip()
        if key in ("product", "cleaning"):
            return [w for part in text.split("+") if (w := part.strip())] or None
        if _is_choice(key) and text.casefold() in _TRUE | _FALSE:
            return text.casefold() in _TRUE
        if (key == "process_temperature_c" or _is_figure(key)) and _NUMBER.fullmatch(text):
            number = float(text)
            return WrittenFloat(number, text) if math.isfinite(number) else text
        return text or None
    if isinstance(value, bool):
        return value
    if isinstance(value, datetime | date):
        return value.strftime("%Y-%m-%d")
    if _is_choice(key) and value in (0, 1):
        return bool(value)
    if isinstance(value, (int, float)):
        # A spreadsheet keeps 62 as 62.0; people mean the name 62.
        whole = float(value).is_integer()
        return (
            WrittenInt(int(value), str(int(value)))
            if whole
            else WrittenFloat(float(value), repr(float(value)))
        )
    return str(value)
