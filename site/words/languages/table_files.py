"""Tables of translations, as translators get and return them: XLSX for people, PO for their tools.

Columns of a workbook: entry (of the catalogue), where, english, translation, state, english before. Its sheet has the
name of the language. In a PO file the key is the context, a stale entry is fuzzy and has the English of before beside
it.

API::

    table_bytes(path, language, lines) -> bytes
    read_table(path, faults, shown_as) -> ReadTable | None
"""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from babel.messages.catalog import Catalog
from babel.messages.pofile import PoFileError, read_po, write_po

from ....sequences.files.faults import Fault, Faults, any_of, likely, shown, unprintable
from ....sequences.files.yaml_files import read_bytes
from .locales import is_language

State = Literal["translated", "missing", "stale"]
COLUMNS = ("entry", "where", "english", "translation", "state", "english before")
ENDINGS = (".xlsx", ".po")
MOST_BYTES, MOST_UNZIPPED, MOST_LINES = 20_000_000, 100_000_000, 50_000
_WAS = "English before: "
"""What begins the note of a stale entry: Babel writes the message of before beside it, and does not read it."""
WIDTHS = (24, 36, 70, 70, 12, 50)


@dataclass(frozen=True)
class TableLine:
    """One text with its translation; ``was`` is the English that was translated where that is not today's."""

    key: str
    where: str
    english: str
    said: str
    state: State
    was: str = ""


@dataclass(frozen=True)
class ReadLine:
    """A line as it was read, with its place."""

    line: TableLine
    row: int
    cell: str = ""

    def fault(self, file: str, found: str, allowed: str, fix: str = "") -> Fault:
        """Return a mistake in its translation."""
        where = self.line.key or self.line.where
        return Fault(file, self.row, 1, where, found, allowed, fix, self.cell)


@dataclass(frozen=True)
class ReadTable:
    """A table that was read."""

    file: str
    language: str
    lines: tuple[ReadLine, ...]


def table_bytes(path: Path, language: str, lines: Iterable[TableLine]) -> bytes:
    """Return a table as the content of a file, XLSX or PO by the ending of its name."""
    return _po(language, lines) if path.suffix.casefold() == ".po" else _xlsx(language, lines)


def _po(language: str, lines: Iterable[TableLine]) -> bytes:
    catalog = Catalog(fuzzy=False)
    for line in lines:
        catalog.add(
            line.english,
            line.said,
            context=line.key or None,
            auto_comments=[line.where, *([_WAS + line.was.replace("\n", "\\n")] if line.was else [])],
            flags=["fuzzy"] if line.state == "stale" else [],
            previous_id=[line.was] if line.was else [],
        )
    out = io.BytesIO()
    write_po(out, catalog, width=0, omit_header=True, include_previous=True)
    head = f'msgid ""\nmsgstr ""\n"Language: {language}\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n\n'
    return head.encode() + out.getvalue()


def _xlsx(language: str, lines: Iterable[TableLine]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.active
    sheet.title = language
    sheet.append(COLUMNS)
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for n, line in enumerate(lines, 2):
        values = (line.key, line.where, line.english, line.said, line.state, line.was)
        for column, value in enumerate(values, 1):
            cell = sheet.cell(n, column, value or None)
            cell.data_type = "s" if value else "n"  # a text that begins with = is no formula
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    for n, width in enumerate(WIDTHS, 1):
        sheet.column_dimensions[get_column_letter(n)].width = width
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = sheet.dimensions
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read_table(path: Path, faults: Faults, shown_as: str = "") -> ReadTable | None:
    """Return a table of translations; None, with the reasons in ``faults``, where it cannot be read."""
    file = shown_as or path.name
    raw = read_bytes(path, file, faults, MOST_BYTES)
    if raw is None:
        return None
    return _read_po(raw, file, faults) if path.suffix.casefold() == ".po" else _read_xlsx(raw, file, faults)


def _read_po(raw: bytes, file: str, faults: Faults) -> ReadTable | None:
    fix = "save it again as a PO file in UTF-8"
    try:
        catalog = read_po(io.BytesIO(raw), abort_invalid=True)
    except PoFileError as e:
        line = e.lineno + 1 if e.lineno is not None else None
        faults.add(Fault(file, line, 1, "", f"{shown(str(e.line or ''))}: {e}", "a PO file", fix))
        return None
    except Exception as e:
        # A broken file fails anywhere in the reader, with any kind of error.
        faults.add(
            Fault(file, None, None, "", f"a file that cannot be read ({type(e).__name__})", "a PO file", fix)
        )
        return None
    language = catalog.locale_identifier or ""
    lines = []
    for message in catalog:
        if not message.id:
            continue
        one = isinstance(message.id, str) and isinstance(message.string, str)
        row = message.lineno or 1
        if not one:
            found, allowed = "an entry with plural forms", "each form as an entry of its own"
            faults.add(Fault(file, row, 1, str(message.context or ""), found, allowed, "take it away"))
            continue
        noted = next((c for c in message.auto_comments if c.startswith(_WAS)), "")
        was = noted.removeprefix(_WAS).replace("\\n", "\n")
        state: State = "stale" if message.fuzzy else "translated" if message.string else "missing"
        where = message.auto_comments[0] if message.auto_comments else ""
        told = TableLine(str(message.context or ""), where, str(message.id), str(message.string), state, was)
        lines.append(ReadLine(told, row))
    return _known_language(language.replace("_", "-"), "header Language", file, lines, faults)


def _read_xlsx(raw: bytes, file: str, faults: Faults) -> ReadTable | None:
    from openpyxl import load_workbook

    bad = ("an Excel workbook (.xlsx)", "save it again as .xlsx")
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            if sum(i.file_size for i in archive.infolist()) > MOST_UNZIPPED:
                faults.add(
                    Fault(file, None, None, "", "a workbook too large to unpack", "at most 100 MB", bad[1])
                )
                return None
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about what else a workbook holds
            book = load_workbook(io.BytesIO(raw), data_only=True)
        sheet = book.worksheets[0]
        rows = [[_text(c) for c in row] for row in sheet.iter_rows(max_row=MOST_LINES, values_only=True)]
        title = sheet.title
    except Exception as e:
        # A broken workbook fails anywhere in the reader, with any kind of error.
        found = f"a file that cannot be read as a workbook ({type(e).__name__})"
        faults.add(Fault(file, None, None, "", found, *bad))
        return None
    if not rows:
        faults.add(Fault(file, None, None, "", "an empty sheet", f"the columns {any_of(COLUMNS)}", bad[1]))
        return None
    places = _columns([h.strip().casefold() for h in rows[0]], file, title, faults)
    if places is None:
        return None
    lines = []
    for n, row in enumerate(rows[1:], 2):
        key, where, english, said, _, was = (
            row[at] if at is not None and at < len(row) else "" for at in (places.get(c) for c in COLUMNS)
        )
        if not any((key, english, said)):
            continue
        state: State = "stale" if said and was.strip() else "translated" if said.strip() else "missing"
        cell = f"sheet {title}, cell {_letter(places['translation'])}{n}"
        lines.append(ReadLine(TableLine(key.strip(), where, english, said, state, was.strip()), n, cell))
    return _known_language(title, f"sheet {title}", file, lines, faults)


def _columns(heads: list[str], file: str, title: str, faults: Faults) -> dict[str, int] | None:
    before = len(faults)
    places = {name: n for n, name in reversed(list(enumerate(heads))) if name in COLUMNS}
    for n, name in enumerate(heads):
        if name and name not in COLUMNS:
            near = likely(name, COLUMNS)
            cell = f"sheet {title}, cell {_letter(n)}1"
            fix = f"write {near}" if near else "take the column away"
            faults.add(Fault(file, None, None, "", f"the column {shown(name)}", any_of(COLUMNS), fix, cell))
    for name in ("english", "translation"):
        if name not in places:
            cell = f"sheet {title}, row 1"
            fix = "have the table written anew by `benchleaf words`"
            faults.add(Fault(file, None, None, "", f"no column '{name}'", any_of(COLUMNS), fix, cell))
    return places if len(faults) == before else None


def _known_language(
    language: str, at: str, file: str, lines: list[ReadLine], faults: Faults
) -> ReadTable | None:
    if is_language(language):
        return ReadTable(file, language, tuple(lines))
    allowed = "the code of a language, such as de or pt-BR"
    faults.add(
        Fault(file, None, None, at, f"the language {shown(language)}", allowed, "write the code there")
    )
    return None


def _text(value: object) -> str:
    text = "" if value is None else str(value)
    return "" if unprintable(text) and not text.strip() else text


def _letter(n: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(n + 1))
