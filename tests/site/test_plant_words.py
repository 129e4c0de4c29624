"""A plant's own translations: every seeded mistake is told with file, row and fix, and what is stale is told."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.files.faults import Faults, FaultsFound
from benchleaf.site.build.languages.plant_words import check_words, own_words, untranslated, words_of_fleet
from benchleaf.site.build.languages.texts_in_use import safety_hash, told_of_fleet
from benchleaf.site.command import main
from benchleaf.site.extras.starter import write_starter
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.languages.fallback import stand_in
from benchleaf.site.words.languages.table_files import (
    COLUMNS,
    ReadLine,
    ReadTable,
    TableLine,
    read_table,
    table_bytes,
)
from benchleaf.site.words.languages.translated import words_in
from openpyxl import Workbook, load_workbook

COUNTED = "steps.count.other"
ENGLISH = load_words().texts


@pytest.fixture(name="fleet")
def _fleet(tmp_path: Path) -> Path:
    """A fleet of one invented pump."""
    return write_starter(tmp_path / "fleet")


def asking(fleet: Path, booklet: str) -> None:
    """Let the fleet file say ``booklet`` besides."""
    text = fleet.read_text("utf-8")
    fleet.write_text(re.sub(r"(?m)^booklet:\n", f"booklet:\n{booklet}", text, count=1), "utf-8")


def workbook(
    file: Path, *rows: tuple[str, ...], language: str = "fr", heads: tuple[str, ...] = COLUMNS
) -> None:
    book = Workbook()
    book.active.title = language
    for row in (heads, *rows):
        book.active.append(row)
    book.save(file)


def row(key: str, said: str, english: str | None = None, was: str = "") -> tuple[str, ...]:
    return key, f"pages > {key}", ENGLISH.get(key, "") if english is None else english, said, "", was


def mistakes(fleet: Path) -> list[str]:
    """Return what loading the fleet with its languages finds."""
    try:
        load_fleet(fleet, also=check_words)
    except FaultsFound as e:
        return [str(f) for f in e.faults]
    return []


LINE = "words-fr.xlsx, sheet fr, cell D2"
SEEDED: dict[str, tuple[tuple[str, ...], str]] = {
    "lost field": (
        row(COUNTED, "étapes"),
        rf"{LINE} \({COUNTED}\): found a translation without {{count}}; allowed: every field of the English; "
        "likely fix: put {count} where it belongs in the sentence",
    ),
    "unknown field": (
        row(COUNTED, "{cuont} étapes"),
        rf"{LINE} \({COUNTED}\): found {{cuont}}; allowed: the fields of the English text: {{count}}; "
        "likely fix: write {count}",
    ),
    "field where there is none": (
        row("page.skip", "Aller {n}"),
        rf"{LINE} .*found {{n}}; .*: nothing; .*take it away",
    ),
    "single brace": (row("page.skip", "Aller {au"), rf"{LINE} .*found a single {{ or }}"),
    "markup": (row("page.skip", "<b>Aller</b>"), rf"{LINE} .*found '<b>'; allowed: plain text"),
    "entity": (row("page.skip", "Aller&nbsp;au"), rf"{LINE} .*found '&nbsp;'; allowed: plain text"),
    "no English": (row("page.skip", "Aller", ""), rf"{LINE} .*found a line without its English text"),
}


@pytest.mark.parametrize("name", SEEDED)
def test_each_mistake_of_a_line_is_told_with_its_cell(fleet: Path, name: str) -> None:
    line, told = SEEDED[name]
    asking(fleet, "  languages: [en, fr]\n  translations: words-fr.xlsx\n")
    workbook(fleet.parent / "words-fr.xlsx", line)
    found = [m for m in mistakes(fleet) if "cell D2" in m]
    assert any(re.search(told, m) for m in found), found


def test_all_mistakes_are_told_in_one_run(fleet: Path) -> None:
    asking(fleet, "  languages: [en, fr]\n  translations: words-fr.xlsx\n")
    workbook(
        fleet.parent / "words-fr.xlsx", row(COUNTED, "étapes"), row("page.skip", "<i>"), row("page.skip", "A")
    )
    found = mistakes(fleet)
    assert [re.search(r"cell D\d", m)[0] for m in found] == ["cell D2", "cell D3", "cell D4"]  # type: ignore[index]
    assert "a second time" in found[2]
    assert "the first is in row 3" in found[2]


@pytest.mark.parametrize(
    ("booklet", "told"),
    [
        (
            "  languages: [en, dee]\n",
            r"fleet\.yaml, line \d+, column \d+ \(booklet > languages > #2\): found the language",
        ),
        (
            "  languages: [en, fr]\n",
            r"the language 'fr'; allowed: de, en or es.*benchleaf words FLEET --language fr",
        ),
        ("  languages: [en, de, de]\n", r"\(booklet > languages > #3\): found 'de' a second time"),
        ("  languages: en\n  translations: words-it.xlsx\n", r"found 'words-it.xlsx', which is not there"),
        (
            "  languages: en\n  translations: fr.xlsx\n",
            r"found fr\.xlsx, a table of 'fr'.*add fr to languages",
        ),
        (
            "  languages: [en, fr]\n  translations: [fr.xlsx, fr2.xlsx]\n",
            r"a second table of 'fr'; allowed: one table",
        ),
        ("  languages: en\n  translations: en.xlsx\n", r"found en\.xlsx, a table of 'en'"),
        (
            "  languages: en\n  translations: bad.xlsx\n",
            r"bad\.xlsx: found a file that cannot be read as a workbook",
        ),
        ("  languages: en\n  translations: bad.po\n", r"bad\.po, line 1.* allowed: a PO file"),
        ("  languages: en\n  translations: sheet.xlsx\n", r"sheet\.xlsx .*found the language 'Sheet1'"),
        (
            "  languages: en\n  translations: heads.xlsx\n",
            r"heads\.xlsx, sheet fr, cell C1: found the column 'englisch'",
        ),
        (
            "  languages: [en, de]\n  released: {language: de, role: Safety engineer, date: 2031-01-01, texts: abc}\n",
            r"booklet > released.* > texts\): found 'abc'; allowed: [0-9a-f]{12}, the safety texts of 'de'",
        ),
        (
            "  languages: [en, de]\n  released: {language: es, role: Safety engineer, date: 2031-01-01, texts: abc}\n",
            r"> language\): found 'es'; allowed: de; likely fix: add es to languages",
        ),
    ],
)
def test_each_mistake_of_languages_is_told_with_its_place(fleet: Path, booklet: str, told: str) -> None:
    folder = fleet.parent
    for name in ("fr.xlsx", "fr2.xlsx"):
        workbook(folder / name)
    workbook(folder / "en.xlsx", language="en")
    workbook(folder / "sheet.xlsx", language="Sheet1")
    workbook(folder / "heads.xlsx", heads=("entry", "where", "englisch", "translation"))
    (folder / "bad.xlsx").write_bytes(b"no workbook")
    (folder / "bad.po").write_text("no po file\n", "utf-8")
    asking(fleet, booklet)
    found = mistakes(fleet)
    assert any(re.search(told, m) for m in found), found


def test_what_a_table_says_stands_on_the_pages_and_what_is_stale_does_not(fleet: Path) -> None:
    asking(fleet, "  languages: [en, fr]\n  translations: words-fr.xlsx\n")
    workbook(
        fleet.parent / "words-fr.xlsx",
        row("page.skip", "Aller au contenu"),
        row("page.menu", "Menu", "An older menu"),
        row("page.booklet", "Livret", was="Booklet of old"),
        row("page.print", ""),
    )
    loaded = load_fleet(fleet, also=check_words)
    found = words_of_fleet(loaded)
    french = found.words[1]
    assert french("page.skip") == "Aller au contenu"
    for key in ("page.menu", "page.booklet", "page.print"):
        assert french(key) == stand_in(ENGLISH[key])
    assert len(found.remarks) == 2
    assert "cell D3: stale, it translates 'An older menu'; it is now" in found.remarks[0]
    assert "cell D4: stale, it translates 'Booklet of old'" in found.remarks[1]
    lacking = {t.key for t in untranslated(french, told_of_fleet(loaded))}
    assert {"page.menu", "page.booklet", "page.print"} <= lacking
    assert "page.skip" not in lacking
    assert untranslated(found.words[0], told_of_fleet(loaded)) == ()


def test_a_release_names_the_texts_that_it_is_about(fleet: Path) -> None:
    plain = load_fleet(fleet)
    texts = safety_hash(words_in("de"), told_of_fleet(plain))
    role = "Safety engineer"
    asking(
        fleet,
        "  languages: [en, de, es]\n"
        f"  released: {{language: de, role: {role}, date: 2031-02-01, texts: {texts}}}\n",
    )
    english, german, spanish = words_of_fleet(load_fleet(fleet, also=check_words)).words
    assert [w.unreleased for w in (english, german, spanish)] == [False, False, True]
    assert "1. Feb. 2031" in german.released
    assert safety_hash(words_in("es"), told_of_fleet(plain)) != texts


@pytest.fixture(scope="module", name="known")
def _known(tmp_path_factory: pytest.TempPathFactory) -> JudgedFleet:
    return load_fleet(write_starter(tmp_path_factory.mktemp("known") / "fleet"))


def test_all_texts_are_told_once(known: JudgedFleet) -> None:
    told = told_of_fleet(known)
    found = told.texts
    assert len({(t.key, t.english) for t in found}) == len(found)
    assert {t.key for t in found if t.key} == set(ENGLISH)
    assert {text for _, text in told.plant} <= {t.english for t in found}
    assert {t.where.split(" > ")[0] for t in found} >= {
        "pages",
        "cautions",
        "assembly",
        "cleaning",
        "booklet",
        "fleet",
    }


def test_a_language_with_more_plurals_gets_a_line_for_each(known: JudgedFleet) -> None:
    told = told_of_fleet(known)
    polish = {t.key: t.english for t in told.texts_for("pl")}
    assert polish["steps.count.few"] == polish["steps.count.many"] == ENGLISH["steps.count.other"]
    assert told.texts_for("fr") == told.texts
    lines = [
        ReadLine(
            TableLine("steps.count.few", "", ENGLISH["steps.count.other"], "{count} kroki", "translated"), 2
        )
    ]
    own = own_words(ReadTable("w.po", "pl", tuple(lines)), told.texts_for("pl"), Faults(), [])
    assert words_in("pl", own)("steps.count", count=3) == "3 kroki"


LINES = (
    TableLine(COUNTED, "pages", "{count} steps", "{count} étapes", "translated"),
    TableLine("", "assembly > title", "=Assembly", "", "missing"),
    TableLine("", "cautions > x", 'Line "one"\nand two', "Ligne «un»\net deux", "stale", "Line one"),
)


@pytest.mark.parametrize("name", ["words-fr.xlsx", "words-fr.po"])
def test_a_table_is_read_as_it_was_written(tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    file.write_bytes(table_bytes(file, "fr", LINES))
    faults = Faults()
    table = read_table(file, faults)
    assert list(faults) == []
    assert table is not None
    assert table.language == "fr"
    assert [r.line for r in table.lines] == list(LINES)


# ------------------------------------------------------------------ the verb
def run(*args: object) -> int:
    return main([str(a) for a in args])


def change_xlsx(file: Path, key: str, change: Callable[[Any, int], None]) -> None:
    book = load_workbook(file)
    sheet = book.active
    line = next(n for n in range(2, sheet.max_row + 1) if sheet.cell(n, 1).value == key)
    change(sheet, line)
    book.save(file)


def test_a_plant_translates_by_one_table(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Written, filled in, named, read back; kept up where the English has changed since."""
    file = fleet.parent / "words-fr.xlsx"
    assert run("words", fleet.parent, "--language", "fr", "--to", file) == 0
    out = capsys.readouterr().out
    assert "0 translated" in out
    assert re.search(r"texts: [0-9a-f]{12}$", out.strip())
    change_xlsx(file, "page.skip", lambda s, n: s.cell(n, 4, "Aller au contenu"))

    def older(sheet: Any, n: int) -> None:
        sheet.cell(n, 3, "An older menu")
        sheet.cell(n, 4, "Menu")

    change_xlsx(file, "page.menu", older)
    asking(fleet, "  languages: [en, fr]\n  translations: words-fr.xlsx\n")
    assert run("check", fleet.parent) == 0
    out = capsys.readouterr().out
    assert "not translated into 'fr'; they will stand in English" in out
    assert "Nobody has released the safety texts in 'fr'" in out
    assert "stale, it translates 'An older menu'" in out
    assert run("words", fleet.parent, "--language", "fr", "--to", file) == 0
    assert "1 translated" in capsys.readouterr().out
    table = read_table(file, Faults())
    assert table is not None
    lines = {r.line.key: r.line for r in table.lines}
    assert (lines["page.skip"].said, lines["page.skip"].state) == ("Aller au contenu", "translated")
    assert (lines["page.menu"].english, lines["page.menu"].was) == (ENGLISH["page.menu"], "An older menu")
    assert lines["page.menu"].state == "stale"


def test_the_shipped_languages_come_filled_in(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = fleet.parent / "words-de.po"
    assert run("words", fleet.parent, "--language", "de", "--to", file) == 0
    table = read_table(file, Faults())
    assert table is not None
    lacking = [r.line.english for r in table.lines if r.line.state != "translated"]
    assert set(lacking) == {text for _, text in told_of_fleet(load_fleet(fleet)).plant}


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("--language", "en", "--to", "w.xlsx"), "--language: found en"),
        (("--language", "german", "--to", "w.xlsx"), "--language: found german"),
        (
            ("--language", "fr", "--to", "w.csv"),
            r"--to: found w\.csv; allowed: a name that ends with \.xlsx or \.po",
        ),
    ],
)
def test_what_the_verb_refuses(
    fleet: Path, args: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("words", fleet.parent, *args) == 2
    assert re.search(told, capsys.readouterr().err)
    assert not (Path.cwd() / args[-1]).exists()


def test_a_file_that_is_no_table_is_left_alone(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = fleet.parent / "words.xlsx"
    file.write_bytes(b"mine")
    assert run("words", fleet.parent, "--language", "fr", "--to", file) == 2
    assert file.read_bytes() == b"mine"
    assert "cannot be read as a workbook" in capsys.readouterr().err
