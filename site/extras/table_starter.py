"""A fleet begun as a spreadsheet: one pump a row, lists of choices, and a sheet that explains the columns."""

from __future__ import annotations

import io
import typing
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ...geometry.dimensions.options import Options
from ...sequences.fleet.fleet_file import HeadText
from ...sequences.fleet.fleet_tables import COLUMNS
from ...sequences.steps.conditions import OPTION_NAMES, option_values
from ..words.catalogue import load_words
from .schema_files import descriptions

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

TABLE = "pumps.xlsx"
ROWS = 200
"""So many rows below the heading have their lists."""
VALUES = (
    "rotor_nut_torque.value",
    "rotor_nut_torque.unit",
    "rotor_nut_torque.document",
    "rotor_nut_torque.date",
)
"""Columns of one value, left empty: a pattern for others."""
FIRST = {"tag": "P-101", "service": "Syrup to the filler", "size": "Invented 80", "elastomer": "FKM"}
"""The invented pump that stands in the first row."""
_HEADS = ("Column", "What it is", "What it may hold", "Left out")


def pump_table() -> bytes:
    """Return the workbook: sheet Pumps with one invented pump, sheet Explanations with a line for each column."""
    from openpyxl import Workbook

    book = Workbook()
    pumps = book.worksheets[0]
    pumps.title = "Pumps"
    columns = (*COLUMNS, *VALUES)
    pumps.append(columns)
    pumps.append([FIRST.get(name) for name in columns])
    _add_lists(pumps, columns)
    told: Worksheet = book.create_sheet("Explanations")
    told.append(_HEADS)
    for line in explanations():
        told.append(line)
    for sheet in (pumps, told):
        _dress(sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def explanations() -> Iterator[tuple[str, str, str, str]]:
    """Yield for each column its name, what it is, what it may hold, and what stands for it where it is empty."""
    said = descriptions(load_words())
    for name in COLUMNS:
        field = HeadText.model_fields[name]
        if name in OPTION_NAMES:
            text = said[name].partition(";")[0]
            yield name, text, " or ".join(_choices(name)), _choices(name, getattr(Options(), name))[0]
        else:
            needed = "has to be filled in" if field.is_required() else "nothing"
            yield name, str(field.description), _allowed(name), needed
    yield (
        VALUES[0].rpartition(".")[0] + ".value",
        f"{said['rotor_nut_torque']}; other values in columns of the same form: name.value, name.unit and so on",
        "a figure from a document of your own, never a guess",
        "a blank that says where to look",
    )
    yield VALUES[1], "its unit", "N·m or lbf·ft", "it has to stand beside a value"
    yield VALUES[2], "the document that says it", "name or number", "it has to stand beside a value"
    yield (
        VALUES[3],
        "day of the document or of the entry",
        "year-month-day, as 2031-02-28",
        "it has to stand beside a value",
    )


def _choices(name: str, *only: Any) -> list[str]:
    return [str(c).lower() if isinstance(c, bool) else str(c) for c in only or option_values(name)]


def _allowed(name: str) -> str:
    if name in ("product", "cleaning"):
        return "classes of medium, joined by +"
    kinds = typing.get_args(HeadText.model_fields[name].annotation) or (
        HeadText.model_fields[name].annotation,
    )
    return "a number" if float in kinds else "text"


def _add_lists(sheet: Worksheet, columns: tuple[str, ...]) -> None:
    """Give each column of an option the list of its choices."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for name in OPTION_NAMES:
        listed = DataValidation(type="list", formula1='"' + ",".join(_choices(name)) + '"', allow_blank=True)
        listed.errorTitle, listed.error = name, f"Choose one of: {', '.join(_choices(name))}"
        letter = get_column_letter(columns.index(name) + 1)
        listed.add(f"{letter}2:{letter}{ROWS + 1}")
        sheet.add_data_validation(listed)


def _dress(sheet: Worksheet) -> None:
    """Set the heading apart, keep it in sight, and make columns as wide as what they hold."""
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"
    for n, column in enumerate(sheet.columns, 1):
        width = max(len(str(c.value or "")) for c in column) + 2
        sheet.column_dimensions[get_column_letter(n)].width = min(width, 60)
        for cell in column:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
