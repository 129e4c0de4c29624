"""The tables for spreadsheets, of missing values and of doubts: always in English, as the fleet file is.

missing_csv(missing), doubts_csv(doubts) -> text
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from ...sequences.calculations.doubts import Doubt
from ...sequences.values.sourced_values import Missing
from .catalogue import load_words
from .doubt_words import doubt_sentence
from .value_words import use_in_words, value_title, where_to_look


def missing_csv(missing: Iterable[Missing]) -> str:
    """Return the missing values as CSV to hand to the planner; a cell that looks like a formula is disarmed.

    >>> print(missing_csv([]).strip())
    plant tag,value,name in the fleet file,unit,where to look,asked for in
    """
    words = load_words()
    rows = [("plant tag", "value", "name in the fleet file", "unit", "where to look", "asked for in")]
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
    words = load_words()
    rows = [("plant tag", "about", "value in the fleet file", "what speaks against it")]
    rows += [(d.tag, words(f"doubt.kind.{d.kind}"), d.value, doubt_sentence(d, words)) for d in doubts]
    return _csv(rows)


def _csv(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    for row in rows:
        table.writerow([f"'{c}" if c[:1] in tuple("=+-@\t\r") else c for c in row])
    return out.getvalue()
