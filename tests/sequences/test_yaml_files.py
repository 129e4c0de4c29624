"""Reading YAML: places, refusals, and no exception of its own whatever the text."""

from __future__ import annotations

import copy
import doctest
import json
import pickle
from pathlib import Path

import pytest
from benchleaf.sequences.files import yaml_files
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.files.yaml_files import YamlFile, built_by, parse_yaml, read_yaml, walk
from benchleaf.sequences.files.yaml_readers import READ_UNLIKE, events_of, quick_events
from hypothesis import given, settings
from hypothesis import strategies as st


def parse(text: str) -> YamlFile:
    faults = Faults()
    doc = parse_yaml(text, "t.yaml", faults)
    assert doc is not None, [str(f) for f in faults]
    return doc


def only_fault(text: str) -> str:
    faults = Faults()
    assert parse_yaml(text, "t.yaml", faults) is None
    assert len(faults) == 1, [str(f) for f in faults]
    return str(next(iter(faults)))


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(yaml_files).failed == 0


def test_places_count_from_one_and_fall_back_to_the_node_above() -> None:
    doc = parse("plant: A\nheads:\n  - tag: P-1\n    size: 62\n  - tag: P-2\n")
    assert doc.mark(("heads", 0, "size")) == (4, 11)
    assert doc.mark(("heads", 0, "size"), key=True) == (4, 5)
    assert doc.mark(("heads", 1, "nothing", "here")) == (5, 5)
    fault = doc.fault(("heads", 1, "tag"), "'P-2'", "another", "rename it")
    assert str(fault).startswith("t.yaml, line 5, column 10 (heads > #2 > tag): found 'P-2'")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("no", "no"),
        ("on", "on"),
        ("yes", "yes"),
        ("2031-02-03", "2031-02-03"),
        ("12:30:00", "12:30:00"),
        ("NO", "NO"),
    ],
)
def test_words_that_older_yaml_bends_stay_text(written: str, read: str) -> None:
    assert parse(f"a: {written}").data == {"a": read}


def test_core_schema_scalars() -> None:
    doc = parse("a: true\nb: null\nc: 0x1F\nd: 1.50\ne: '7'\nf: ~\ng:\nh: 1e3\ni: -.5")
    assert doc.data == {
        "a": True,
        "b": None,
        "c": 31,
        "d": 1.5,
        "e": "7",
        "f": None,
        "g": None,
        "h": 1000.0,
        "i": -0.5,
    }
    assert doc.data["d"].written == "1.50"
    assert isinstance(doc.data["e"], str)


def test_numbers_keep_their_writing_when_copied() -> None:
    for number in parse("a: 0x1F\nb: 1.50").data.values():
        for again in (copy.deepcopy(number), pickle.loads(pickle.dumps(number))):
            assert (again, again.written) == (number, number.written)


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("a: 1\nb: x: y\n", "t.yaml, line 2, column 5: found a colon where no key can stand"),
        ("a:\n\tb: 1\n", "t.yaml, line 2, column 1: found a tab; allowed: spaces"),
        ("a: 'x\nb: 1\n", "t.yaml, line 1, column 4: found a quote that is never closed"),
        ("a: [1, 2\n", "t.yaml, line 2, column 1: found a list in [ ] that is not closed"),
        (
            "a: 1\na: 2\n",
            "t.yaml, line 2, column 1 (a): found the key a a second time; allowed: each key once (first in line 1)",
        ),
        ("a: &x 1\n", "t.yaml, line 1, column 4 (a): found the anchor &x"),
        ("a: !thing 1\n", "t.yaml, line 1, column 4 (a): found the tag !thing"),
        ("---\na: 1\n---\nb: 2\n", "t.yaml, line 3, column 1: found a second document"),
        ("a: 1\x07\n", "t.yaml, line 1, column 5: found the control character U+0007"),
        ("", "t.yaml, line 1, column 1: found an empty file"),
        ("# only a remark\n", "t.yaml, line 1, column 1: found an empty file"),
        ("? [1, 2]\n: 3\n", "t.yaml, line 1, column 3: found a list or mapping as a key"),
        ('a: "\\q"\n', "t.yaml, line 1, column 6: found a backslash that means nothing"),
        ("a: @x\n", "t.yaml, line 1, column 4: found a character that cannot start a value"),
    ],
)
def test_each_refusal_names_its_place(text: str, start: str) -> None:
    assert only_fault(text).startswith(start)


@pytest.mark.parametrize("text", [".nan", ".NaN", ".inf", "-.inf", "+.INF", "1e999", "-1e999"])
def test_a_number_without_an_end_is_no_number(text: str) -> None:
    found = parse_yaml(f"a: {text}\n", "t.yaml", Faults())
    assert found is not None
    assert found.data == {"a": text}


def test_all_refusals_of_a_file_come_in_one_run() -> None:
    faults = Faults()
    assert parse_yaml("a: &x 1\nb: *x\nc: !t 1\nc: 2\n", "t.yaml", faults) is None
    assert [(f.line, f.column) for f in faults] == [(1, 4), (2, 4), (3, 4), (4, 1)]


def test_aliases_cannot_make_a_small_file_large() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 9)]
    faults = Faults()
    assert parse_yaml("\n".join(lines), "t.yaml", faults) is None
    assert any("the alias *a7" in str(f) for f in faults)


def test_depth_is_limited_without_exhausting_the_stack() -> None:
    assert "more than 24 levels" in only_fault("a: " + "[" * 5000 + "]" * 5000)


def test_size_is_limited(tmp_path: Path) -> None:
    big = tmp_path / "big.yaml"
    big.write_bytes(b"# " + b"x" * yaml_files.MOST_BYTES)
    faults = Faults()
    assert read_yaml(big, faults) is None
    assert [str(f) for f in faults] == [
        "big.yaml: found 1000002 bytes; allowed: at most 1000000 bytes; "
        "likely fix: split it, or check that it is the right file"
    ]


@pytest.mark.parametrize(
    ("raw", "start"),
    [
        (b"a: 1\nb: caf\xe9\n", "f.yaml, line 2, column 7: found byte 0xE9, which is not UTF-8"),
        ("b: caf\u00e9\nc: \u20ac".encode() + b"\xff", "f.yaml, line 2, column 5: found byte 0xFF"),
        ("a: 1".encode("utf-16"), "f.yaml, line 1, column 1: found UTF-16 text"),
    ],
)
def test_other_encodings_are_named(tmp_path: Path, raw: bytes, start: str) -> None:
    (tmp_path / "f.yaml").write_bytes(raw)
    faults = Faults()
    assert read_yaml(tmp_path / "f.yaml", faults) is None
    assert str(next(iter(faults))).startswith(start)


def test_byte_order_mark_is_dropped(tmp_path: Path) -> None:
    (tmp_path / "f.yaml").write_bytes("a: 1\n".encode("utf-8-sig"))
    faults = Faults()
    doc = read_yaml(tmp_path / "f.yaml", faults)
    assert doc is not None
    assert doc.data == {"a": 1}
    assert doc.keys[("a",)] == (1, 1)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    faults = Faults()
    assert read_yaml(tmp_path / "none.yaml", faults) is None
    assert read_yaml(tmp_path, faults, "here") is None
    assert [f.found for f in faults] == ["no such file", "a folder"]


_MARKS = [*"a\n\t{}[],:'\"|>#~@`é\ufeff\x00"]
_WORDS = [
    "b: ",
    "- ",
    "  ",
    "&x",
    "*x",
    "!t ",
    "? ",
    "---",
    "...",
    "%YAML 1.1",
    "\\U",
    "\\x",
    "1e9",
    "<<: ",
    "0x",
]
_BITS = st.sampled_from([*_MARKS, *_WORDS])


@given(st.one_of(st.text(max_size=60), st.lists(_BITS, max_size=25).map("".join)))
def test_any_text_is_read_or_answered(text: str) -> None:
    faults = Faults()
    doc = parse_yaml(text, "t.yaml", faults)
    assert (doc is None) == (len(faults) > 0)
    for f in faults:
        assert f.line is None or f.line >= 1
        assert f.found
        assert f.allowed


_PLAIN = st.one_of(
    st.booleans(),
    st.none(),
    st.integers(-(10**9), 10**9),
    st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"])),
)
_DATA = st.dictionaries(
    st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=8),
    st.recursive(
        _PLAIN,
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.dictionaries(st.text("abcdef", min_size=1, max_size=4), inner, max_size=3),
        ),
        max_leaves=8,
    ),
    min_size=1,
    max_size=4,
)


@given(_DATA, st.sampled_from([None, 2]))
def test_what_is_written_comes_back_with_a_place_for_every_node(
    data: dict[str, object], indent: int | None
) -> None:
    # JSON is YAML 1.2 with every text in quotes.
    doc = parse(json.dumps(data, ensure_ascii=False, indent=indent))
    assert doc.data == data
    assert set(doc.values) == {path for path, _ in walk(doc.data)}


_SIGNS = [
    "a",
    "b: c",
    "- ",
    "\n",
    "\n  ",
    "\n- ",
    ": ",
    ":",
    "{",
    "}",
    "[",
    "]",
    ", ",
    ",",
    "'",
    '"',
    "#",
    " #",
    "|",
    "|\n ",
]
_SIGNS += [
    ">",
    ">2",
    "|-",
    "\n\n",
    "  ",
    "&x ",
    "*x",
    "!t ",
    "~",
    "1",
    "0x1",
    "1.5",
    "\\n",
    "---",
    "...",
    "?",
    "? ",
    "%",
    "@",
    "`",
]
_SIGNS += ["é", "\U0001f600", "\r\n", "\r", "\t", "\u2028"]


@given(st.lists(st.sampled_from(_SIGNS), min_size=1, max_size=14).map("".join))
@settings(max_examples=1000)
def test_the_quick_reader_takes_a_text_as_the_one_of_yaml_1_2_does(text: str) -> None:
    if READ_UNLIKE.search(text):
        return
    quick, broken = built_by(quick_events, text, "t.yaml")
    if broken:
        return  # the other one reads it then
    exact, broken = built_by(events_of("safe"), text, "t.yaml")
    assert not broken
    assert quick.faults == exact.faults
    assert quick.faults or quick.out == exact.out


@pytest.mark.parametrize("text", ["a: 1\n", "- a\n- {b: c, d: [1, 2]}\n", "a: |\n  b\n  c\nd:\ne: 'f'\n"])
def test_the_quick_reader_reads_usual_texts(text: str) -> None:
    assert not READ_UNLIKE.search(text)
    assert not built_by(quick_events, text, "t.yaml")[1]


@pytest.mark.parametrize(
    "text",
    [
        "? a\n: b",
        "a: *x",
        "a: &x b",
        "a: !t b",
        "%YAML 1.1\n---\na: b",
        "a:\tb",
        'a: "\\uD800"',
        "a: b\rc: d",
    ],
)
def test_what_both_may_read_unlike_is_left_to_the_one_of_yaml_1_2(text: str) -> None:
    assert READ_UNLIKE.search(text)
