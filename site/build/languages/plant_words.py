"""The words of every language of a fleet: what is shipped, the plant's own tables over it, and who has released them.

Every mistake goes to ``faults`` with file and row: a language that nothing is there for, a lost or unknown field,
markup, a line without its English, a release of other texts. Lines that are stale or empty are no mistakes: they
stand in English on the pages, and are told.

API::

    words_of(told), words_of_fleet(fleet) -> FleetWords  # of what was checked; the main language first
    check_words(fleet, doc, faults) -> FleetWords        # of one that is being checked
    untranslated(words, told) ->  (TextInUse, ...)       # what stands in English there
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from ....sequences.files.faults import Faults, any_of, likely, shown, unprintable
from ....sequences.files.file_paths import NamedFrom, file_in_folder
from ....sequences.files.yaml_files import Path as NodePath
from ....sequences.files.yaml_files import YamlFile, read_yaml
from ....sequences.fleet.heads import Fleet
from ...words.catalogue import DEFAULT, Words
from ...words.languages.fallback import TextInUse
from ...words.languages.locales import is_language
from ...words.languages.table_files import ENDINGS, ReadLine, ReadTable, read_table
from ...words.languages.translated import Own, all_languages, words_in
from .texts_in_use import ToldTexts, safety_hash, told_of_fleet

FIELD = re.compile(r"\{[^{}]*\}")
MARKUP = re.compile(r"</?[A-Za-z][^<>]*>|&#?\w+;")


@dataclass(frozen=True)
class FleetWords:
    """The words of a fleet's languages, the main one first, and what is to be said of its tables."""

    words: tuple[Words, ...]
    remarks: tuple[str, ...] = ()


def words_of_fleet(fleet: Fleet) -> FleetWords:
    """Return the words of a fleet that was loaded.

    Raises:
        FaultsFound: with every mistake of languages, tables and releases.
    """
    return words_of(told_of_fleet(fleet))


def words_of(told: ToldTexts) -> FleetWords:
    """Return the words of a sound data file.

    Raises:
        FaultsFound: with every mistake of languages, tables and releases.
    """
    faults = Faults()
    doc = read_yaml(told.file, faults)
    faults.check()
    assert doc is not None
    found = check_told(told, doc, faults)
    faults.check()
    return found


def check_words(fleet: Fleet, doc: YamlFile, faults: Faults) -> FleetWords:
    """Return the words of every language that a fleet asks for, sound or not; mistakes go to ``faults``."""
    return check_told(told_of_fleet(fleet, sound=not len(faults)), doc, faults)


def check_told(fleet: ToldTexts, doc: YamlFile, faults: Faults) -> FleetWords:
    """Return the words of every language that a data file asks for; mistakes go to ``faults``.

    Args:
        fleet: what its pages are made of.
        doc: the file, for the places of mistakes.
        faults: takes every mistake of languages, tables and releases.
    """
    tables = tables_of(fleet, doc, faults)
    wanted = _languages(fleet, doc, tables, faults)
    own: dict[str, Own] = {}
    remarks: list[str] = []
    for table in tables.values():
        own[table.language] = own_words(table, fleet.texts_for(table.language), faults, remarks)
    words = tuple(words_in(code, own.get(code)) for code in wanted)
    released = _released(fleet, doc, words, faults)
    return FleetWords(tuple(w.released_by(released.get(w.language, "")) for w in words), tuple(remarks))


def _languages(fleet: ToldTexts, doc: YamlFile, tables: dict[str, ReadTable], faults: Faults) -> list[str]:
    there = [*all_languages(), *(code for code in tables if code not in all_languages())]
    wanted: list[str] = []
    for n, code in enumerate(fleet.booklet.languages):
        at = (
            ("booklet", "languages", n)
            if ("booklet", "languages", n) in doc.values
            else ("booklet", "languages")
        )
        allowed = any_of(there)
        if code in wanted:
            faults.add(doc.fault(at, f"{shown(code)} a second time", "each language once", "take it away"))
        elif code not in there:
            near = likely(code, there)
            fix = f"write {near}" if near else "write the code of a language, such as de"
            if is_language(code):
                fix = (
                    f"let `benchleaf words FLEET --language {code} --to words-{code}.xlsx` write its table, have it "
                    "translated, and name it under translations"
                )
            faults.add(doc.fault(at, f"the language {shown(code)}", f"{allowed}, or one with a table", fix))
        else:
            wanted.append(code)
    return wanted or [DEFAULT]


def tables_of(
    fleet: ToldTexts, doc: YamlFile, faults: Faults, but: Path | None = None
) -> dict[str, ReadTable]:
    """Return the tables of translations that a fleet names, by language, without the file ``but``."""
    found: dict[str, ReadTable] = {}
    for n, name in enumerate(fleet.booklet.translations):
        whole: NodePath = ("booklet", "translations")
        at = (*whole, n) if (*whole, n) in doc.values else whole
        if but is not None and (fleet.file.parent / name).resolve() == but.resolve():
            continue
        file = file_in_folder(name, ENDINGS, NamedFrom(fleet.file, doc, at, "the fleet's folder"), faults)
        table = read_table(file, faults, name) if file else None
        if table is None:
            continue
        if table.language in found:
            said = f"{name}, a second table of '{table.language}'"
            fix = "put both into one, or take one away"
            faults.add(doc.fault(at, said, "one table a language", fix))
        elif table.language == DEFAULT:
            said = f"{name}, a table of '{DEFAULT}'"
            faults.add(
                doc.fault(at, said, "a language other than English", "change English texts where they stand")
            )
        else:
            if table.language not in fleet.booklet.languages:
                said, fix = f"{name}, a table of '{table.language}'", f"add {table.language} to languages"
                allowed = f"tables of {any_of(fleet.booklet.languages)}"
                faults.add(doc.fault(at, said, allowed, fix))
            found[table.language] = table
    return found


def own_words(table: ReadTable, known: Collection[TextInUse], faults: Faults, remarks: list[str]) -> Own:
    """Return what a table says; what no longer holds is told in ``remarks``."""
    english = {t.key: t.english for t in known if t.key}
    by_where = {t.where: t.english for t in known}
    in_use = {t.english for t in known if not t.key}
    by_key: dict[str, tuple[str, str]] = {}
    said: dict[str, str] = {}
    first: dict[tuple[str, str], int] = {}
    for read in table.lines:
        line = read.line
        now = english.get(line.key) if line.key else (line.english if line.english in in_use else None)
        if not line.english.strip():
            fix = "have the table written anew, or fill in the English text"
            faults.add(
                read.fault(table.file, "a line without its English text", "the text that it translates", fix)
            )
            continue
        at = (line.key, line.english)
        if at in first:
            fix = f"take one away (the first is in row {first[at]})"
            faults.add(read.fault(table.file, f"{shown(line.english)} a second time", "each text once", fix))
            continue
        first[at] = read.row
        if line.state == "missing" or not line.said.strip():
            continue
        if not _sound(read, table.file, faults):
            continue
        if line.state == "stale" or now is None or now != line.english:
            today = now or by_where.get(line.where, "")
            is_now = f"; it is now {shown(today)}" if today and today != line.english else ""
            place = read.cell or f"line {read.row}"
            was = shown(line.was or line.english)
            remarks.append(
                f"{table.file}, {place}: stale, it translates {was}{is_now}; the pages show English"
            )
        elif line.key:
            by_key[line.key] = line.english, line.said
        else:
            said[line.english] = line.said
    return Own(by_key, said)


def _sound(read: ReadLine, file: str, faults: Faults) -> bool:
    """Return whether a translation can stand on a page; mistakes go to ``faults``."""
    line, before = read.line, len(faults)
    if sign := unprintable(line.said):
        fix = "delete that character"
        faults.add(read.fault(file, f"the character U+{ord(sign):04X}", "text that can be printed", fix))
    has, said = set(FIELD.findall(line.english)), set(FIELD.findall(line.said))
    for name in sorted(said - has):
        near = likely(name, has - said)
        fix = f"write {near}" if near else "take it away"
        faults.add(read.fault(file, name, f"the fields of the English text: {any_of(sorted(has))}", fix))
    lost = sorted(has - said)
    if lost and not said - has:
        fix = f"put {' and '.join(lost)} where it belongs in the sentence"
        faults.add(
            read.fault(file, f"a translation without {' and '.join(lost)}", "every field of the English", fix)
        )
    if not said - has and re.search(r"[{}]", FIELD.sub("", line.said)):
        faults.add(read.fault(file, "a single { or }", "fields in pairs of { and }", "take it away"))
    for tag in dict.fromkeys(MARKUP.findall(line.said)):
        if tag not in line.english:
            faults.add(read.fault(file, shown(tag), "plain text", "write it without markup"))
    return len(faults) == before


def _released(fleet: ToldTexts, doc: YamlFile, words: tuple[Words, ...], faults: Faults) -> dict[str, str]:
    """Return who has released each language; a release of other texts than today's is a mistake."""
    by_code = {w.language: w for w in words if w.language != DEFAULT}
    found: dict[str, str] = {}
    for release in fleet.booklet.released:
        if not release.sound:
            continue
        code, of = release.language, by_code.get(release.language)
        if of is None:
            fix = "take it away" if code == DEFAULT else f"add {code} to languages, or take the release away"
            allowed = any_of(by_code) if by_code else "no release, where all pages are in English"
            faults.add(doc.fault((*release.path, "language"), shown(code), allowed, fix))
            continue
        if code in found:
            faults.add(
                doc.fault(release.path, f"a second release of '{code}'", "one a language", "take one away")
            )
            continue
        now = safety_hash(of, fleet)
        if release.texts != now:
            fix = f"have today's texts released, then write {now}; or take the release away"
            allowed = f"{now}, the safety texts of '{code}' as they are now"
            faults.add(doc.fault((*release.path, "texts"), shown(release.texts), allowed, fix))
            continue
        found[code] = of("languages.released_by", role=of.say(release.role), date=release.date)
    return found


def untranslated(words: Words, told: ToldTexts) -> tuple[TextInUse, ...]:
    """Return the texts of pages that stand in English on the pages of a language."""
    if words.language == DEFAULT:
        return ()
    return tuple(t for t in told.texts if (t.key in words.fallen if t.key else t.english not in words.said))
