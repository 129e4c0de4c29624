"""Rows of CSV text, each cell with the line and column where it begins."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from .faults import Fault, Faults

MOST_ROWS = 5_000


@dataclass(frozen=True)
class Row:
    """A row of a table: cells, each (line, column, value), from 1."""

    line: int
    cells: tuple[tuple[int, int, Any], ...]


def csv_rows(text: str, file: str, faults: Faults) -> list[Row]:
    """Return the rows of CSV text; the separator is the one of the first line: comma, semicolon or tab."""
    first = text.split("\n", 1)[0]
    mark = max((",", ";", "\t"), key=first.count)
    lines = list(io.StringIO(text, newline=""))
    reader = csv.reader(lines, delimiter=mark, strict=True)
    rows: list[Row] = []
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return rows
        except csv.Error as e:
            fix = "check the quotes of this row"
            faults.add(
                Fault(file, line, 1, "", f"a row that is no CSV ({e})", "cells in quotes where needed", fix)
            )
            return []
        places = _cell_places(lines[line - 1 : reader.line_num], line, mark)
        rows.append(Row(line, tuple((*at, cell) for at, cell in zip(places, cells, strict=bool(cells)))))
        if len(rows) > MOST_ROWS + 1:
            faults.add(Fault(file, line, 1, "", f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS} rows"))
            return []


def _cell_places(lines: Sequence[str], first: int, mark: str) -> list[tuple[int, int]]:
    """Return line and column at which each cell of a row begins; ``lines`` are the row as written, quotes and all."""
    places, quoted = [(first, 1)], False
    begins, in_quotes = True, False  # whether a cell begins here, and whether this one began with a quote
    for number, text in enumerate(lines, first):
        for column, sign in enumerate(text, 1):
            if quoted:
                quoted = sign != '"'
            elif sign == mark:
                places.append((number, column + 1))
                begins, in_quotes = True, False
                continue
            elif sign == '"':
                # It opens the cell, or doubles the one just met; elsewhere it is a sign like others.
                in_quotes = in_quotes or begins
                quoted = in_quotes
            begins = False
    return places
