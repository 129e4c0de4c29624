"""What the command line and the tables for spreadsheets say of missing values and doubts: always in English.

missing_csv(missing), doubts_csv(doubts), competence_csv(tags), spares_csv(lines) -> text
faults_text(faults) -> text
design_lines(designs), missing_lines(missing, tags), doubt_lines(doubts, tags) -> list of lines
own_missing_lines(missing) -> list of lines

A hundred heads stay readable: what heads share is said once with their tags, and long lists end in a count.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...sequences.calculations.doubts import Doubt, FleetFaultsFound, Kind
from ...sequences.files.faults import FaultsFound
from ...sequences.upkeep.spare_parts import SpareLine
from ...sequences.values.sourced_values import Missing, ValueUse
from .catalogue import Words, load_words
from .doubt_words import doubt_sentence
from .languages.fallback import TextInUse
from .upkeep.size_words import kit_row
from .value_words import use_in_words, value_title, where_to_look

MOST_LINES = 40
"""So many designs are written out; more of them are counted."""
MOST_ALIKE = 3
"""So many doubts about the same are written out; more of them are counted."""
MOST_RUNS = 12
"""So many tags, or runs of tags, are written out in one place; more of them are counted."""


@dataclass(frozen=True)
class CheckedDesign:
    """Heads of one size with the same options, and the steps of each sequence: its title and how many."""

    name: str
    """Of the size, with the options that are not those of the base head."""
    steps: tuple[tuple[str, int], ...]
    tags: tuple[str, ...]


@dataclass(frozen=True)
class MissingOwn:
    """A value of an own assembly that is a blank: what it is called, where to look, the steps that ask for it."""

    title: str
    where: str
    used: tuple[ValueUse, ...]


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
    return csv_text(rows)


def untranslated_csv(lacking: Mapping[str, Iterable[TextInUse]]) -> str:
    """Return the texts that stand in English on the pages of other languages, a line each.

    >>> untranslated_csv({}).strip()
    'language,entry,where,english'
    """
    rows: list[tuple[str, ...]] = [("language", "entry", "where", "english")]
    rows += [(code, t.key, t.where, t.english) for code, found in lacking.items() for t in found]
    return csv_text(rows)


def doubts_csv(doubts: Iterable[Doubt]) -> str:
    """Return doubts as CSV, a line each; a cell that looks like a formula is disarmed.

    >>> doubts_csv([]).strip()
    'plant tag,about,value in the fleet file,what speaks against it'
    """
    words = _english()
    rows = [_heads(words, "tag", "about", "doubted", "against")]
    rows += [(d.tag, _kind(d.kind, words), d.value, doubt_sentence(d, words)) for d in doubts]
    return csv_text(rows)


def competence_csv(tags: Iterable[str]) -> str:
    """Return the empty matrix of people and pumps as CSV: a line a person, and for each pump when and by whom assessed.

    >>> print(competence_csv(["P-1"]).strip())
    person,P-1 assessed on,P-1 valid until,P-1 assessor
    """
    words, columns = _english(), ("assessed", "expires", "assessor")
    heads = [words(f"report.column.{c}", tag=tag) for tag in tags for c in columns]
    return csv_text([(words("report.column.person"), *heads)])


def spares_csv(lines: Iterable[SpareLine]) -> str:
    """Return a spares kit as CSV, a line each with its total and the pumps it is for; a formula is disarmed.

    >>> spares_csv([]).strip()
    'part,size,part number,material or compound,needed,quantity,pumps'
    """
    words = _english()
    rows: list[tuple[str, ...]] = [
        tuple(
            words(f"spares.csv.{c}")
            for c in ("part", "size", "number", "material", "need", "quantity", "pumps")
        )
    ]
    for line in lines:
        row = kit_row(line, words)
        of_each = "; ".join(
            words("spares.csv.of_pump", tag=tag, count=count)
            for tag, count in zip(line.tags, line.of_each, strict=True)
        )
        need = words(f"spares.csv.{line.need}")
        rows.append((row.part, row.size, row.number, row.material, need, str(row.quantity), of_each))
    return csv_text(rows)


def faults_text(faults: FaultsFound) -> str:
    """Return mistakes in the user's files, and what holds of the heads that are sound."""
    lines = [str(faults)]
    if isinstance(faults, FleetFaultsFound):
        words = _english()
        if faults.doubts:
            lines.append(words("report.beside"))
            tags = dict.fromkeys(d.tag for d in faults.doubts)
            lines += [
                f"  {line}"
                for line in doubt_lines(faults.doubts, () if len(tags) < faults.heads else [*tags])
            ]
        if faults.missing:
            lines.append(words("report.blanks"))
            lines += [f"  {line}" for line in _lacking(faults, words)]
    return "\n".join(lines)


def _lacking(faults: FleetFaultsFound, words: Words) -> list[str]:
    """Return what heads lack, each with their tags."""
    return [
        words(
            "report.lacking",
            value=value_title(name, words),
            tags=_named(tags, words, whole=len(tags) == faults.heads > 1),
        )
        for name, tags in _tags(faults.missing).items()
    ]


def design_lines(designs: Sequence[CheckedDesign]) -> list[str]:
    """Return a line for each design of a fleet: its heads, what it is, and the steps of its sequences."""
    words = _english()
    shown = [
        words(
            "report.design",
            tags=_named(d.tags, words),
            design=d.name,
            steps=", ".join(words("report.steps", count=count, title=title) for title, count in d.steps),
        )
        for d in designs[:MOST_LINES]
    ]
    if more := designs[MOST_LINES:]:
        heads = sum(len(d.tags) for d in more)
        shown.append(words("report.more_designs", count=len(more), heads=heads))
    return shown


def missing_lines(missing: Iterable[Missing], tags: Sequence[str]) -> list[str]:
    """Return a line for each value that heads lack, with their tags and where to look; ``tags`` are all there are.

    Values that the same heads lack and that stand in the same place share a line.
    """
    words = _english()
    shared: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for name, of in _tags(missing).items():
        shared.setdefault((tuple(of), where_to_look(name, words)), []).append(value_title(name, words))
    return [
        words(
            "report.missing",
            value="; ".join(titles),
            tags=_named(of, words, whole=len(of) == len(tags) > 1),
            where=where,
        )
        for (of, where), titles in shared.items()
    ]


def own_missing_lines(missing: Iterable[MissingOwn]) -> list[str]:
    """Return a line for each value of an own assembly that its steps ask for and its file does not hold."""
    words = _english()
    return [
        words(
            "report.missing",
            value=m.title,
            tags="; ".join(use_in_words(u, words) for u in m.used),
            where=m.where.rstrip("."),
        )
        for m in missing
    ]


def _tags(missing: Iterable[Missing]) -> dict[str, list[str]]:
    """Return value name to the tags of the heads that lack it."""
    tags: dict[str, list[str]] = {}
    for m in missing:
        tags.setdefault(m.name, []).append(m.tag)
    return tags


def doubt_lines(doubts: Iterable[Doubt], tags: Sequence[str]) -> list[str]:
    """Return a line for each doubt, with the tags of the heads that share it; what is doubted alike stands together.

    Of many doubts of one value the first are written out, and the others are counted with their heads. ``tags`` are
    all of the fleet's.
    """
    words = _english()
    alike: dict[tuple[Kind, str, str], dict[str, list[str]]] = {}
    for d in doubts:
        subject = (d.kind, type(d.ground).__name__, d.value)
        alike.setdefault(subject, {}).setdefault(doubt_sentence(d, words), []).append(d.tag)
    lines = []
    for (kind, *_), said in alike.items():
        sentences = list(said.items())
        # One more would take the same line as the count of one.
        told = sentences if len(sentences) == MOST_ALIKE + 1 else sentences[:MOST_ALIKE]
        for sentence, of in told:
            named = _named(of, words, whole=len(of) == len(tags) > 1)
            lines.append(words("report.doubt", kind=_kind(kind, words), tags=named, doubt=sentence))
        if more := sentences[len(told) :]:
            of = list(dict.fromkeys(tag for _, others in more for tag in others))
            lines.append(
                words("report.more_doubts", kind=_kind(kind, words), count=len(more), tags=_named(of, words))
            )
    return lines


def _named(tags: Sequence[str], words: Words, whole: bool = False) -> str:
    """Return tags for people: runs of numbers by their ends, and of many only the first.

    Args:
        tags: of some heads.
        words: of the report.
        whole: whether these are all heads of the fleet.
    """
    if whole:
        return words("report.all_pumps", count=len(tags))
    runs = tag_runs(tags)
    # One more would take no more room than the count of one.
    most = MOST_RUNS + 1 if len(runs) == MOST_RUNS + 1 else MOST_RUNS
    said = [
        run[0] if len(run) == 1 else words("report.run", first=run[0], last=run[-1]) for run in runs[:most]
    ]
    text = ", ".join(said)
    more = sum(len(run) for run in runs[most:])
    return words("report.more_pumps", tags=text, count=more) if more else text


def tag_runs(tags: Iterable[str]) -> list[list[str]]:
    """Return tags in their order; three or more whose numbers follow on each other, alike in all else, stand together.

    >>> tag_runs(["P-9", "P-101", "P-102", "P-103", "P-105", "P-106"])
    [['P-9'], ['P-101', 'P-102', 'P-103'], ['P-105'], ['P-106']]
    """
    runs: list[list[str]] = []
    for tag in tags:
        if runs and _follows(runs[-1][-1], tag):
            runs[-1].append(tag)
        else:
            runs.append([tag])
    return [part for run in runs for part in ([run] if len(run) > 2 else [[tag] for tag in run])]


def _follows(tag: str, other: str) -> bool:
    """Return whether the number at the end of ``other`` is the next one, written as long."""
    first, second = (re.fullmatch(r"(.*?)([0-9]{1,9})", t, re.DOTALL) for t in (tag, other))
    if first is None or second is None:
        return False
    same = first[1] == second[1] and len(first[2]) == len(second[2])
    return same and int(second[2]) == int(first[2]) + 1


def _kind(kind: Kind, words: Words) -> str:
    return words(f"doubt.kind.{kind}")


def _english() -> Words:
    return load_words("en")


def _heads(words: Words, *columns: str) -> tuple[str, ...]:
    return tuple(words(f"report.column.{column}") for column in columns)


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Return rows as CSV; a cell that looks like a formula is disarmed."""
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
