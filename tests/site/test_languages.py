"""Languages: shipped translations are complete and of today's English; what is missing is marked."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel import Locale
from benchleaf.sequences.files.spoken import spoken_texts
from benchleaf.sequences.steps.cautions import load_cautions
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.site.pages.markup.data_scripts import data_script
from benchleaf.site.words.catalogue import Words, load_words
from benchleaf.site.words.languages import po_files
from benchleaf.site.words.languages.fallback import BEGIN, END, plain, stand_in, starting
from benchleaf.site.words.languages.locales import (
    day_in,
    direction_of,
    english_name,
    figures_in,
    is_language,
    language_name,
    locale_of,
    plural_of,
)
from benchleaf.site.words.languages.po_files import catalogue_of, read_shipped, shipped_languages
from benchleaf.site.words.languages.translated import Own, all_languages, words_in

ENGLISH = load_words().texts
FIELDS = re.compile(r"\{[^{}]*\}")
MARKUP = re.compile(r"</?[A-Za-z][^<>]*>|&\w+;")


def english_said() -> set[str]:
    """Return every text of shipped sequences and messages."""
    texts = {t for kind in (*SHIPPED, *CHECKLISTS) for _, t in spoken_texts(load_sequence(kind).text)}
    entries = [*load_cautions().entries.values(), *load_cautions(workshop=True).entries.values()]
    return texts | {t for e in entries for _, t in spoken_texts(e)}


def test_german_and_spanish_come_along() -> None:
    assert shipped_languages() == ("de", "es")
    assert all_languages() == ("de", "en", "es")


@pytest.mark.parametrize("language", shipped_languages())
def test_every_page_text_is_translated_from_the_english_of_today(language: str) -> None:
    by_key = read_shipped(language).by_key
    stale = {k for k, (was, _) in by_key.items() if ENGLISH.get(k) != was}
    assert stale == set(), "the English has changed, or is gone: translate anew"
    assert ENGLISH.keys() - by_key.keys() == set(), "not translated"
    assert words_in(language).fallen == frozenset()


@pytest.mark.parametrize("language", shipped_languages())
def test_every_text_of_sequences_and_messages_is_translated(language: str) -> None:
    said, wanted = read_shipped(language).said, english_said()
    assert len(wanted) > 1200
    assert wanted - said.keys() == set(), "not translated"
    assert said.keys() - wanted == set(), "translations of texts that are there no more"


@pytest.mark.parametrize("language", shipped_languages())
def test_translations_keep_fields_and_bring_no_markup(language: str) -> None:
    shipped = read_shipped(language)
    pairs = [*shipped.by_key.values(), *shipped.said.items()]
    wrong = [
        (english, said)
        for english, said in pairs
        if set(FIELDS.findall(english)) != set(FIELDS.findall(said))
        or set(MARKUP.findall(said)) - set(MARKUP.findall(english))
        or BEGIN in said
        or not said.strip()
    ]
    assert wrong == []
    same = [e for e, s in pairs if e == s and len(re.findall(r"[^\W\d]{3,}", FIELDS.sub("", e))) > 2]
    assert same == [], "left as they were"


@pytest.mark.parametrize("language", shipped_languages())
def test_no_text_is_given_twice_and_files_name_their_language(language: str) -> None:
    keys: list[str] = []
    for file in sorted((po_files.HOME / language).glob("*/*.po")):
        catalogue = catalogue_of(file)
        assert catalogue.locale_identifier == language, file
        assert len(file.read_bytes()) < 130_000, f"{file}: split it"
        keys += [str(m.context) for m in catalogue if m.id and m.context]
    assert len(keys) == len(set(keys))


def test_signal_words_are_those_of_their_language() -> None:
    assert [words_in("de")(f"signal.{w}") for w in ("DANGER", "WARNING", "CAUTION", "NOTICE")] == [
        "GEFAHR",
        "WARNUNG",
        "VORSICHT",
        "ACHTUNG",
    ]
    assert [words_in("es")(f"signal.{w}") for w in ("DANGER", "WARNING", "CAUTION", "NOTICE")] == [
        "PELIGRO",
        "ADVERTENCIA",
        "PRECAUCIÓN",
        "AVISO",
    ]


# ------------------------------------------------------------------ what is missing
def write_po(home: Path, language: str, name: str, entries: str) -> None:
    file = home / language / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(f'msgid ""\nmsgstr ""\n"Language: {language}\\n"\n\n{entries}', "utf-8")


def test_stale_and_unsure_entries_say_nothing(tmp_path: Path) -> None:
    entries = (
        'msgctxt "page.skip"\nmsgid "An older text"\nmsgstr "Alt"\n\n'
        '#, fuzzy\nmsgctxt "page.menu"\nmsgid "Parts of this booklet"\nmsgstr "Unsicher"\n'
    )
    write_po(tmp_path, "nl", "catalogue/pages.po", entries)
    shipped = read_shipped("nl", tmp_path)
    assert shipped.by_key == {"page.skip": ("An older text", "Alt")}
    words = words_in("nl", Own(shipped.by_key))
    assert words("page.skip") == stand_in(ENGLISH["page.skip"])
    assert "page.skip" in words.fallen


def test_one_text_in_two_files_is_told(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_po(tmp_path, "nl", f"catalogue/{name}.po", 'msgctxt "page.skip"\nmsgid "Skip"\nmsgstr "S"\n')
    with pytest.raises(ValueError, match=r"b\.po: 'page\.skip' stands in another file too"):
        read_shipped("nl", tmp_path)


def test_a_plants_words_stand_over_shipped_ones_and_english_under_both() -> None:
    key = "page.skip"
    words = words_in("de", Own({key: (ENGLISH[key], "Weiter")}, {"cream": "Sahne"}))
    assert words(key) == "Weiter"
    assert words("page.menu") == words_in("de")("page.menu")
    assert (words.say("cream"), words.say("curd")) == ("Sahne", stand_in("curd"))
    assert words.say(words.say("curd")) == stand_in("curd"), "said once"
    other = words_in("fr")
    assert other(key) == stand_in(ENGLISH[key])
    assert other.fallen == set(ENGLISH)


def test_english_is_never_marked_and_needs_no_release() -> None:
    words = words_in("en")
    assert words.say("cream") == "cream"
    assert not words.unreleased
    assert words_in("de").unreleased
    assert not words_in("de").released_by("Sicherheitsfachkraft, 1. Jan. 2031").unreleased


def test_marks_go_where_no_element_can_stand() -> None:
    text = f"Der {stand_in('ring')}"
    assert plain(text) == "Der ring"
    assert starting(stand_in("ring")) == stand_in("Ring")
    assert "ue000" not in data_script("told", {"a": text})
    assert text.count(BEGIN) == text.count(END) == 1


# ------------------------------------------------------------------ figures, days, numbers
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.05 mm", "0,05 mm"),
        ("12.5 to 13.0 N·m (9.2 to 9.6 lbf·ft)", "12,5 to 13,0 N·m (9,2 to 9,6 lbf·ft)"),
        ("σ = 3·1.762²/(1 − 0.3²)", "σ = 3·1,762²/(1 − 0,3²)"),
        ("−2.3 %", "−2,3 %"),
        ("M8×1.25", "M8×1,25"),
        ("1.2.3", "1.2.3"),
        ("2031-03-14", "2031-03-14"),
        ("rev.2", "rev.2"),
        ("A4-70", "A4-70"),
    ],
)
def test_figures_have_the_decimal_sign_of_their_language(text: str, said: str) -> None:
    assert figures_in(text, Locale("de")) == said
    assert figures_in(text, Locale("en")) == text


def test_fields_that_are_figures_are_written_by_locale_and_names_are_not() -> None:
    words = Words("de", {"k": "{mm} · {revision} · {date}", "format.day": "d. MMM y"})
    assert words("k", mm="0.50 mm", revision="1.2", date="2031-03-14") == "0,50 mm · 1.2 · 14. März 2031"
    english = Words("en", {"k": "{mm} · {date}", "format.day": "y-MM-dd"})
    assert english("k", mm="0.50", date="2031-03-14") == "0.50 · 2031-03-14"


def test_days_by_pattern() -> None:
    assert day_in("2031-03-14", "d MMM y", Locale("es")) == "14 mar 2031"
    assert day_in("no day", "d MMM y", Locale("es")) == "no day"


def test_forms_of_the_plural_are_the_languages_own() -> None:
    texts = {
        "k.one": "{count} krok",
        "k.few": "{count} kroki",
        "k.many": "{count} kroków",
        "k.other": "{count} kroku",
    }
    words = Words("pl", texts)
    assert [words("k", count=n) for n in (1, 3, 5)] == ["1 krok", "3 kroki", "5 kroków"]
    assert plural_of(1, locale_of("de")) == "one"
    assert words_in("de")("steps.count", count=1) != words_in("de")("steps.count", count=2)


def test_names_and_directions() -> None:
    assert (language_name("pt-BR"), language_name("qq")) == ("Português (Brasil)", "qq")
    assert english_name("de") == "German"
    assert (direction_of("he"), direction_of("de"), direction_of("xx")) == ("rtl", "ltr", "ltr")
    assert [is_language(c) for c in ("de", "pt-BR", "zh-Hans", "xx", "../en", "", "d")] == [True] * 3 + [
        False
    ] * 4
