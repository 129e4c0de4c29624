"""The table that a plant translates its pages by: written, and written anew over what a translator has done so far."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from ....sequences.calculations.load_fleet import load_fleet
from ....sequences.files.faults import Faults, any_of
from ....sequences.files.yaml_files import read_yaml
from ....sequences.fleet.file_kind import is_user_assembly
from ....sequences.fleet.user_assembly import load_user_assembly
from ....sequences.work.atomic_write import write_whole
from ...words.catalogue import DEFAULT
from ...words.languages.fallback import TextInUse
from ...words.languages.locales import is_language
from ...words.languages.po_files import Shipped, read_shipped
from ...words.languages.table_files import ENDINGS, ReadTable, TableLine, read_table, table_bytes
from ...words.languages.translated import words_in
from ..user_faults import UserFault
from .plant_words import own_words, tables_of
from .texts_in_use import ToldTexts, safety_hash, told_of_fleet, told_of_own


@dataclass(frozen=True)
class WordsWritten:
    """What a table holds that was written."""

    file: Path
    translated: int
    missing: int
    stale: int
    left_out: int
    """Lines of the table before, of texts that the fleet does not use any more."""
    safety: str
    """What a release of its safety texts has to name."""


def write_words(fleet_file: Path, language: str, target: Path) -> WordsWritten:
    """Write the table of one language: every text of a fleet's pages with its translation, as far as there is one.

    Translations come from ``target`` itself, if it is such a table, from the one that the fleet names, and from those
    that come along.

    Raises:
        FaultsFound: with every mistake of the fleet and of these tables.
        UserFault: for a language that is none, or a target that is no such table.
        OSError: if it cannot be written.
    """
    _check(language, target)
    told = _told(fleet_file)
    faults = Faults()
    tables: list[ReadTable | None] = []
    if target.exists():
        old = read_table(target, faults)
        if old is not None and old.language != language:
            raise UserFault(f"{target} is a table of '{old.language}'. Name another file with --to.")
        tables.append(old)
    doc = read_yaml(told.file, faults)
    faults.check()
    assert doc is not None
    tables.append(tables_of(told, doc, faults, but=target).get(language))
    faults.check()
    known = told.texts_for(language)
    read = [t for t in tables if t is not None]
    lines = tuple(_lines(known, read, read_shipped(language)))
    own = own_words(ReadTable("", language, tuple(x for t in read for x in t.lines)), known, Faults(), [])
    write_whole(target, table_bytes(target, language, lines))
    states = [line.state for line in lines]
    return WordsWritten(
        target,
        states.count("translated"),
        states.count("missing"),
        states.count("stale"),
        _left_out(read, lines),
        safety_hash(words_in(language, own), told),
    )


def _told(file: Path) -> ToldTexts:
    """Return what the pages of a fleet, or the booklet of an assembly of the user's own, are made of."""
    if is_user_assembly(file):
        return told_of_own(load_user_assembly(file), file)
    return told_of_fleet(load_fleet(file))


def _check(language: str, target: Path) -> None:
    if language == DEFAULT or not is_language(language):
        raise UserFault(
            f"--language: found {language}; allowed: the code of a language other than English, such as de or pt-BR"
        )
    if target.suffix.casefold() not in ENDINGS:
        raise UserFault(f"--to: found {target.name}; allowed: a name that ends with {any_of(ENDINGS)}")
    if target.is_dir():
        raise UserFault(
            f"{target} is a folder. Name a file for the table: --to {target / f'words-{language}.xlsx'}"
        )


def _lines(known: Iterable[TextInUse], tables: Iterable[ReadTable], shipped: Shipped) -> Iterable[TableLine]:
    """Yield a line a text: its translation of today, else the one of its English before, else none."""
    before = [
        (read.line, read.line.was or read.line.english) for t in tables for read in t.lines if read.line.said
    ]
    by_name: dict[tuple[str, str], list[tuple[TableLine, str]]] = {}
    for line, english in before:
        by_name.setdefault((line.key, "" if line.key else english), []).append((line, english))
        if not line.key:
            by_name.setdefault(("", line.where), []).append((line, english))
    for text in known:
        name = (text.key, "" if text.key else text.english)
        found = by_name.get(name, []) or (by_name.get(("", text.where), []) if not text.key else [])
        now = next(
            (x.said for x, english in found if english == text.english and x.state == "translated"), ""
        )
        now = now or _shipped(text, shipped)
        was = next(
            ((x.said, english) for x, english in found if x.state == "stale" or english != text.english), None
        )
        if was is None and text.key in shipped.by_key and not now:
            was = (shipped.by_key[text.key][1], shipped.by_key[text.key][0])
        if now:
            yield TableLine(text.key, text.where, text.english, now, "translated")
        elif was is not None:
            yield TableLine(text.key, text.where, text.english, was[0], "stale", was[1])
        else:
            yield TableLine(text.key, text.where, text.english, "", "missing")


def _shipped(text: TextInUse, shipped: Shipped) -> str:
    if not text.key:
        return shipped.said.get(text.english, "")
    was, said = shipped.by_key.get(text.key, ("", ""))
    return said if was == text.english else ""


def _left_out(tables: Iterable[ReadTable], lines: Iterable[TableLine]) -> int:
    kept: Mapping[str, None] = dict.fromkeys(line.said for line in lines)
    return len({r.line.said for t in tables for r in t.lines if r.line.said and r.line.said not in kept})
