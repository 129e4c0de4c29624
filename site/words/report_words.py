"""What the command line and the tables for spreadsheets say of missing values and doubts: always in English.

missing_csv(missing), doubts_csv(doubts) -> text
faults_text(faults) -> text
missing_lines(missing), doubt_lines(doubts) -> list of lines
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from ...sequences.calculations.doubts import Doubt, FleetFaultsFound, Ground, Kind
from ...sequences.files.faults import FaultsFound
from ...sequences.values.sourced_values import Missing
from .catalogue import Words, load_words
from .doubt_words import doubt_sentence
from .value_words import use_in_words, value_title, where_to_look


def missing_csv(missing: Iterable[Missing]) -> str:
    """Return the missing values as CSV to hand to the planner; a cell that looks like a formula is disarmed.

    >>> print(missing_csv([]).strip())
    plant tag,value,name in the fleet file,unit,where to look,asked for in
    """
    words = _english()
    rows = [_heads(words, "tag", "value", "name", "unit", "where", "used")]
    for m in missing:
        uses = "; ".join(use_in_words(u, words) for u in m.used)
        title, where = value_title(m.name, words), where_to_look(m.name, words)
        rows.append((m.tag, title, m.name, m.unit, where, uses))
    return _csv(rows)


def doubts_csv(doubts: Iterable[Doubt]) -> str:
    """Return doubts as CSV, a line each; a cell that looks like a formula is disarmed.

    >>> doubts_csv([]).strip()
    'plant tag,about,value in the fleet file,what speaks against it'
    """
    words = _english()
    rows = [_heads(words, "tag", "about", "doubted", "against")]
    rows += [(d.tag, _kind(d.kind, words), d.value, doubt_sentence(d, words)) for d in doubts]
    return _csv(rows)


def faults_text(faults: FaultsFound) -> str:
    """Return mistakes in the user's files, and what holds of the heads that are sound."""
    lines = [str(faults)]
    if isinstance(faults, FleetFaultsFound):
        words = _english()
        if faults.doubts:
            lines.append(words("report.beside"))
            lines += [
                f"  {words('report.head', tag=d.tag, doubt=doubt_sentence(d, words))}"
                for d in dict.fromkeys(faults.doubts)
            ]
        if faults.missing:
            lines.append(words("report.blanks"))
            lines.append(f"  {'; '.join(_lacking(faults, words))}.")
    return "\n".join(lines)


def _lacking(faults: FleetFaultsFound, words: Words) -> list[str]:
    """Return what heads lack, each with their tags."""
    found = []
    for name, tags in _tags(faults.missing).items():
        whole = len(tags) == faults.heads > 1
        of = words("report.all_pumps", count=len(tags)) if whole else ", ".join(tags)
        found.append(words("report.lacking", value=value_title(name, words), tags=of))
    return found


def missing_lines(missing: Iterable[Missing]) -> list[str]:
    """Return a line for each value that heads lack, with their tags and where to look."""
    words = _english()
    return [
        words(
            "report.missing",
            value=value_title(name, words),
            tags=", ".join(tags),
            where=where_to_look(name, words),
        )
        for name, tags in _tags(missing).items()
    ]


def _tags(missing: Iterable[Missing]) -> dict[str, list[str]]:
    """Return value name to the tags of the heads that lack it."""
    tags: dict[str, list[str]] = {}
    for m in missing:
        tags.setdefault(m.name, []).append(m.tag)
    return tags


def doubt_lines(doubts: Iterable[Doubt]) -> list[str]:
    """Return a line for each doubt, with the tags of the heads that share it."""
    words = _english()
    same: dict[tuple[Kind, Ground, str], list[Doubt]] = {}
    for d in doubts:
        same.setdefault((d.kind, d.ground, d.value), []).append(d)
    return [
        words(
            "report.doubt",
            kind=_kind(of[0].kind, words),
            tags=", ".join(d.tag for d in of),
            doubt=doubt_sentence(of[0], words),
        )
        for of in same.values()
    ]


def _kind(kind: Kind, words: Words) -> str:
    return words(f"doubt.kind.{kind}")


def _english() -> Words:
    return load_words("en")


def _heads(words: Words, *columns: str) -> tuple[str, ...]:
    return tuple(words(f"report.column.{column}") for column in columns)


def _csv(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")  # cells with either are quoted
    for row in rows:
        table.writerow([disarmed(cell) for cell in row])
    return out.getvalue()


_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
"""What a formula may begin with, in full width, too."""
_FORMULA = re.compile(
    rf"(?:^(?=[\t\r\n])|(?:^|[;\t\r\n])\s*(?=[{_SIGNS}])(?![+-]?\d+(?:[.,]\d+)?\s*(?:[;\t\r\n]|$)))"
)


def disarmed(cell: str) -> str:
    """Return a cell of a table as text to any spreadsheet: an apostrophe stands before what it would reckon out.

    Some read a semicolon or a tab as the end of a cell, too. Numbers stay numbers.

    >>> disarmed("=1+2"), disarmed("-0.5"), disarmed("-2+3"), disarmed("a; @b"), disarmed("a-b = 2")
    ("'=1+2", '-0.5', "'-2+3", "a; '@b", 'a-b = 2')
    """
    return _FORMULA.sub(r"\g<0>'", cell)
