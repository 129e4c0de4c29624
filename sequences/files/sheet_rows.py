"""Rows of tables that people keep: CSV files and the first sheet of workbooks, with the place of each cell.

API::

    table_rows(path, file, faults) -> (rows, name of the sheet) | None   # None: the faults say why
    TableFile                                                           # its rows as mappings; faults name the cell
    named_columns(rows, sheet, file, columns, faults, strange)          # its heading, and the rows below
    cell_name(sheet, line, column) -> str
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path as FilePath

from .csv_rows import MOST_ROWS, Row, csv_rows
from .faults import Fault, Faults, any_of, shown
from .yaml_files import Path, YamlFile, decode, read_bytes, words_of

MOST_UNZIPPED = 50_000_000
MOST_TABLE_BYTES = 5_000_000


@dataclass
class TableFile(YamlFile):
    """A table's rows as mappings; a spreadsheet's places are cells."""

    cells: dict[Path, str] = field(default_factory=dict)

    def fault(self, path: Path, found: str, allowed: str, fix: str = "", key: bool = False) -> Fault:
        """Return a fault at ``path``, in a spreadsheet with the name of its cell."""
        line, column = self.mark(path, key)
        cell = next((self.cells[path[:n]] for n in range(len(path), -1, -1) if path[:n] in self.cells), "")
        return Fault(self.file, line, column, words_of(path), found, allowed, fix, cell)


def table_rows(path: FilePath, file: str, faults: Faults) -> tuple[list[Row], str] | None:
    """Return the rows of a table and, of a workbook, the name of its first sheet; None with the reasons in ``faults``.

    ``file`` is what faults call it.
    """
    raw = read_bytes(path, file, faults, MOST_TABLE_BYTES)
    if raw is None:
        return None
    before = len(faults)
    sheet = ""
    if path.suffix.casefold() == ".xlsx":
        rows, sheet = _sheet_rows(raw, file, faults)
    else:
        text = decode(raw, file, faults)
        rows = [] if text is None else csv_rows(text, file, faults)
    return None if len(faults) > before else (rows, sheet)


def _sheet_rows(raw: bytes, file: str, faults: Faults) -> tuple[list[Row], str]:
    """Return the rows of a workbook's first sheet and its name."""
    bad = ("an Excel workbook (.xlsx)", "save it again as .xlsx, or as CSV")
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            unzipped = sum(i.file_size for i in archive.infolist())
        if unzipped > MOST_UNZIPPED:
            found = f"a workbook of {unzipped // 1_000_000} MB unpacked"
            faults.add(Fault(file, None, None, "", found, f"at most {MOST_UNZIPPED // 1_000_000} MB", bad[1]))
            return [], ""
        return _workbook_rows(raw, file, faults)
    except Exception as e:
        # A broken workbook fails anywhere in the reader, with any kind of error.
        faults.add(
            Fault(
                file, None, None, "", f"a file that cannot be read as a workbook ({type(e).__name__})", *bad
            )
        )
        return [], ""


def _workbook_rows(raw: bytes, file: str, faults: Faults) -> tuple[list[Row], str]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(raw), read_only=True, data_only=False)
    try:
        if not book.worksheets:
            faults.add(
                Fault(file, None, None, "", "a workbook without a sheet", "a sheet with one entry a row")
            )
            return [], ""
        sheet = book.worksheets[0]
        rows = []
        for n, cells in enumerate(sheet.iter_rows(values_only=True, max_row=MOST_ROWS + 2), 1):
            if n > MOST_ROWS + 1:
                faults.add(Fault(file, n, 1, "", f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS} rows"))
                return [], ""
            rows.append(Row(n, tuple((n, c, v) for c, v in enumerate(cells, 1) if v is not None)))
        return rows, str(sheet.title)
    finally:
        book.close()


def cell_name(sheet: str, line: int, column: int) -> str:
    """Return where a cell stands, for people; empty for a CSV file, which has no sheet."""
    if not sheet:
        return ""
    from openpyxl.utils import get_column_letter

    return f"sheet {sheet}, cell {get_column_letter(column)}{line}"


@dataclass(frozen=True)
class Strange:
    """What to say of a column that a table may not have: what it is likely meant as, or nothing, and the fix."""

    meant: str
    fix: str
    allowed: str


def named_columns(
    rows: Iterable[Row],
    sheet: str,
    file: str,
    columns: Sequence[str],
    faults: Faults,
    strange: Callable[[str], Strange | None],
) -> tuple[dict[int, str], Iterator[Row]] | None:
    """Return the columns of a table by their place, and the filled rows below its heading.

    ``strange`` tells what is wrong with a column's key; None: nothing. It is read on as what it is meant as, so that
    the rows raise no mistakes of their own. An empty table is a fault, and None.
    """
    filled = iter([r for r in rows if any(str(v).strip() for *_, v in r.cells)])
    heading = next(filled, None)
    if heading is None:
        fix = "begin with a row of column names"
        faults.add(Fault(file, 1, 1, "", "an empty table", any_of(columns), fix))
        return None
    names: dict[int, str] = {}
    for index, (line, column, name) in enumerate(heading.cells):
        key = re.sub(r"[\s-]+", "_", str(name).strip().casefold())
        at = cell_name(sheet, line, column)
        if not key:
            continue
        if wrong := strange(key):
            found = f"the column {shown(str(name))}"
            faults.add(Fault(file, line, column, "", found, wrong.allowed, wrong.fix, at))
            key = wrong.meant
        elif key in names.values():
            found = f"the column {key} a second time"
            faults.add(Fault(file, line, column, "", found, "each column once", "take one away", at))
        names[column if sheet else index] = key
    return names, filled
