"""What the command line and the tables for spreadsheets say of missing values and doubts: always in English.

missing_csv(missing), doubts_csv(doubts) -> text
faults_text(faults) -> text
missing_lines(missing), doubt_lines(doubts) -> list of lines
"""

from __future__ import annotations

import csv
import io
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
    words = _english()
    rows = [("plant tag", "about", "value in the fleet file", "what speaks against it")]
    rows += [(d.tag, _kind(d.kind, words), d.value, doubt_sentence(d, words)) for d in doubts]
    return _csv(rows)


def faults_text(faults: FaultsFound) -> str:
    """Return mistakes in the user's files, and what holds of the heads that are sound."""
    lines = [str(faults)]
    if isinstance(faults, FleetFaultsFound):
        words = _english()
        if faults.doubts:
            lines.append("Beside that, figures speak against these values:")
            lines += [f"  {d.tag}: {doubt_sentence(d, words)}" for d in dict.fromkeys(faults.doubts)]
        if faults.missing:
            lines.append("Not on file, or refused above, so that they would print as blanks:")
            lines.append(f"  {'; '.join(_lacking(faults, words))}.")
    return "\n".join(lines)


def _lacking(faults: FleetFaultsFound, words: Words) -> list[str]:
    """Return what heads lack, each with their tags."""
    tags: dict[str, list[str]] = {}
    for m in faults.missing:
        tags.setdefault(m.name, []).append(m.tag)
    most = faults.heads
    return [
        f"{value_title(name, words)} ({f'all {most} pumps' if len(of) == most > 1 else ', '.join(of)})"
        for name, of in tags.items()
    ]


def missing_lines(missing: Iterable[Missing]) -> list[str]:
    """Return a line for each value that heads lack, with their tags and where to look."""
    words = _english()
    tags: dict[str, list[str]] = {}
    for m in missing:
        tags.setdefault(m.name, []).append(m.tag)
    return [
        f"{value_title(name, words)} ({', '.join(of)}): look in {where_to_look(name, words)}."
        for name, of in tags.items()
    ]


def doubt_lines(doubts: Iterable[Doubt]) -> list[str]:
    """Return a line for each doubt, with the tags of the heads that share it."""
    words = _english()
    same: dict[tuple[Kind, Ground, str], list[Doubt]] = {}
    for d in doubts:
        same.setdefault((d.kind, d.ground, d.value), []).append(d)
    return [
        f"{_kind(of[0].kind, words)} ({', '.join(d.tag for d in of)}): {doubt_sentence(of[0], words)}"
        for of in same.values()
    ]


def _kind(kind: Kind, words: Words) -> str:
    return words(f"doubt.kind.{kind}")


def _english() -> Words:
    return load_words("en")


def _csv(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    for row in rows:
        table.writerow([f"'{c}" if c[:1] in tuple("=+-@\t\r") else c for c in row])
    return out.getvalue()
