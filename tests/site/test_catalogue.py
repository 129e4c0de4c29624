"""The catalogue of words: complete, used, and the same in every language."""

from __future__ import annotations

import ast
import re

import pytest
from benchleaf.geometry.dimensions import options as options_module
from benchleaf.site.words.catalogue import DEFAULT, MissingWord, Words, flat_texts, languages, load_words
from program_files import ROOT, modules

WORDS = load_words()
TEMPLATES = [p.read_text("utf-8") for p in (ROOT / "site").rglob("*.j2")]
MODULES = [p.read_text("utf-8") for p in modules() if p.is_relative_to(ROOT / "site")]
_CALL = re.compile(r"""\bw\(\s*(["'])([\w.]+)\1""")


BY_TOPIC = {
    "caveat",
    "contribution",
    "derivation",
    "figure",
    "input",
    "limit",
    "note",
    "sheet",
    "source",
    "span",
}
"""Tables whose keys come with the figures; ``test_figure_words.py`` holds them to what heads are found to have."""


def _asked() -> set[str]:
    """Return every key that a template or a module asks for by its full name."""
    keys = {m[2] for t in TEMPLATES for m in _CALL.finditer(t)}
    called = {m[1] for t in MODULES for m in re.finditer(r'\bwords\(\s*"([\w.]+)"', t)}
    return keys | called | {m[1] for t in MODULES for m in re.finditer(r'\bsaid = "([\w.]+)"', t)}


def _forms(key: str) -> set[str]:
    return {key} & set(WORDS.texts) or {f"{key}.one", f"{key}.other"}


def test_every_text_that_pages_ask_for_is_there() -> None:
    asked = {k for k in _asked() if not k.endswith(".")}
    assert len(asked) > 80
    missing = {k for k in asked if not _forms(k) <= set(WORDS.texts)}
    assert missing == set()


def test_every_text_is_used() -> None:
    """A key counts as used where it stands in quotes, or the words before its last dots do (keys built of parts)."""
    quoted = {
        m[2] for s in (*TEMPLATES, *MODULES) for m in re.finditer(r"""(["'])([\w.-]+\.?)(?:\1|\{)""", s)
    }
    stems = {q for q in quoted if q.endswith(".")} | {"part."}
    stems |= {m[1] for s in MODULES for m in re.finditer(r"""["'](\w+\.[\w.-]+)\{""", s)}
    idle = set()
    for key in WORDS.texts:
        plain = key.removesuffix(".one").removesuffix(".other")
        if key.split(".")[0] in BY_TOPIC:
            continue
        if not {plain, key} & quoted and not any(key.startswith(stem) for stem in stems):
            idle.add(key)
    assert idle == set()


WORDLESS = [ROOT / "sequences" / room for room in ("order", "misfits", "proof", "training")] + [
    ROOT / "site" / room for room in ("pages", "pages/practice", "words")
]
"""Rooms whose findings and pages are told in the catalogue's words alone."""


_PHRASE = re.compile(r"[A-Za-z]{2,}[,:]? (\{\}|[A-Za-z])|(\{\}|[a-z]) [a-z]+[ .]")


def sentences_in(source: str) -> list[str]:
    """Return the texts that a module's code puts together as sentences; what it raises and docstrings are left out."""
    tree = ast.parse(source)
    left_out = {id(n) for r in ast.walk(tree) if isinstance(r, ast.Raise) for n in ast.walk(r)}
    left_out |= {id(e.value) for e in ast.walk(tree) if isinstance(e, ast.Expr)}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            text = "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
            left_out |= {id(v) for v in node.values}
            whole = True
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
            whole = text[:1].isupper() or text.endswith((".", "!", "?"))
        else:
            continue
        markup = re.search(r'[<;]|="', text)
        if whole and not markup and id(node) not in left_out and _PHRASE.search(text):
            found.append(text)
    return found


def test_no_sentence_is_made_outside_the_catalogue() -> None:
    told = {}
    on_the_command_line = {"its callouts find no room at {} of {} page widths"}
    for file in (f for room in WORDLESS for f in sorted(room.glob("*.py"))):
        if texts := set(sentences_in(file.read_text("utf-8"))) - on_the_command_line:
            told[str(file.relative_to(ROOT))] = texts
    assert told == {}


@pytest.mark.parametrize(
    "code",
    [
        'text = f"{part} cannot come out: {by} is in the way."',
        'text = "The cover is missing."',
        'said = f"set over by {deg:g} degrees"',
        'found.append(f"step {number}")',
    ],
)
def test_a_sentence_in_the_code_is_found(code: str) -> None:
    assert sentences_in(code)
    assert (
        sentences_in('def f():\n    """Return the cover."""\n    raise ValueError(f"no part {x} here")\n')
        == []
    )
    assert (
        sentences_in('kind = "missed by what sits on it"; key = f"effect.{kind}"; at = ("scope", "row")')
        == []
    )


def test_every_option_and_its_choices_have_words() -> None:
    from dataclasses import fields
    from typing import get_args, get_type_hints

    hints = get_type_hints(options_module.Options)
    for field in fields(options_module.Options):
        assert WORDS(f"options.{field.name}")
        for choice in get_args(hints[field.name]):
            assert WORDS(f"option.{field.name}.{choice}")


@pytest.mark.parametrize("language", languages())
def test_languages_hold_the_same_keys_and_fields(language: str) -> None:
    other = load_words(language)
    assert set(other.texts) == set(WORDS.texts)
    assert all(other.fields(k) == WORDS.fields(k) for k in WORDS.texts if not k.endswith(".one"))


def test_no_text_is_empty_or_holds_markup() -> None:
    assert all(t.strip() and "<" not in t for t in WORDS.texts.values())


def test_missing_key_and_field_are_named() -> None:
    words = Words("xx", {"a.b": "{n} parts"})
    with pytest.raises(MissingWord, match=r"the words for 'a\.c' are missing in 'xx'"):
        words("a.c")
    with pytest.raises(MissingWord, match=r"'a\.b' in 'xx' needs the field 'n'"):
        words("a.b")


def test_fields_are_filled_once_only() -> None:
    assert Words("xx", {"k": "{a}"})("k", a="{b}", b="no") == "{b}"


def test_a_ready_catalogue_is_taken_as_it_is_and_may_lack_some_texts() -> None:
    ready = Words("xx", {"part.rotor": "R", "parts.rotor.one": "r", "page.date": "D"})
    assert load_words(ready) is ready
    assert ready.without("part.", "parts.").texts == {"page.date": "D"}
    assert ready.without("part.").language == "xx"


def test_unknown_language_lists_those_there_are() -> None:
    with pytest.raises(LookupError, match=f"there are no words in 'zz'; there are: {DEFAULT}"):
        load_words("zz")


def test_a_list_is_read_line_by_line() -> None:
    words = Words("xx", dict(flat_texts({"do": {"steps": ["first", "second"], "all": ["alone"]}})))
    assert words.texts == {"do.steps.1": "first", "do.steps.2": "second", "do.all.1": "alone"}
    assert (words.lines("do.steps"), words.lines("do.all")) == (("first", "second"), ("alone",))
    with pytest.raises(MissingWord, match=r"the words for 'do\.none\.1' are missing"):
        words.lines("do.none")


def test_a_material_of_the_users_own_keeps_its_name() -> None:
    assert WORDS.material("duplex") == "Duplex stainless steel (1.4462)"
    assert WORDS.material("boxwood") == "boxwood"


def test_fields_of_a_missing_key_are_named() -> None:
    with pytest.raises(MissingWord, match=r"the words for 'a\.c' are missing in 'xx'"):
        Words("xx", {}).fields("a.c")
