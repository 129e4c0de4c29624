"""Dataclasses as JSON: read back equal, the same bytes in every process, and nothing taken that does not fit."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import pytest
from benchleaf.sequences.work.json_data import SortedNames, from_json, json_bytes
from hypothesis import given
from hypothesis import strategies as st
from pydantic_core import PydanticSerializationError


@dataclass(frozen=True)
class Inner:
    word: Literal["left", "right"]
    at_mm: tuple[float, float, float]
    by: str | None = None


@dataclass(frozen=True)
class Outer:
    name: str
    count: int
    sound: bool
    inner: tuple[Inner, ...] = ()
    near: Mapping[str, SortedNames] = field(default_factory=dict)


FLOATS = st.floats(allow_nan=False, allow_infinity=False)
INNER = st.builds(
    Inner, st.sampled_from(["left", "right"]), st.tuples(FLOATS, FLOATS, FLOATS), st.none() | st.text()
)
OUTER = st.builds(
    Outer,
    st.text(),
    st.integers(),
    st.booleans(),
    st.lists(INNER).map(tuple),
    st.dictionaries(st.text(), st.frozensets(st.text())),
)
SAMPLE = Outer("a", 1, True, (Inner("left", (0.0, 1.0, 2.5e-9)),), {"a": frozenset("hgfedcb")})


@given(OUTER)
def test_what_is_written_is_read_back_equal(value: Outer) -> None:
    assert from_json(Outer, json_bytes(value)) == value


def test_sets_are_written_sorted_whatever_their_order() -> None:
    assert b'"near":{"a":["b","c","d","e","f","g","h"]}' in json_bytes(SAMPLE)


@dataclass(frozen=True)
class WithSet:
    names: frozenset[str]


def test_a_set_without_an_order_is_refused() -> None:
    with pytest.raises(TypeError, match="WithSet holds a set whose order differs"):
        json_bytes(WithSet(frozenset("ab")))


WRONG: list[tuple[str, Any]] = [
    ("name", 3),
    ("count", "1"),
    ("count", 1.5),
    ("sound", 1),
    ("inner", [{"word": "up", "at_mm": [0, 0, 0]}]),
    ("inner", [{"word": "left", "at_mm": [0, 0]}]),
    ("inner", [{"word": "left", "at_mm": [0, 0, "0"]}]),
    ("inner", {}),
    ("near", {"a": [1]}),
    ("unknown", 1),
]


@pytest.mark.parametrize(("name", "value"), WRONG)
def test_what_does_not_fit_is_refused(name: str, value: Any) -> None:
    data = json.loads(json_bytes(SAMPLE))
    assert from_json(Outer, json.dumps(data).encode()) == SAMPLE
    with pytest.raises(ValueError, match=name):
        from_json(Outer, json.dumps(data | {name: value}).encode())


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"null", b"\xff", b'{"name": "a"}'])
def test_what_is_no_such_file_is_refused(content: bytes) -> None:
    with pytest.raises(ValueError, match=r"."):
        from_json(Outer, content)


def test_a_field_of_another_type_is_not_written() -> None:
    with pytest.raises(PydanticSerializationError, match="Expected `bool`"):
        json_bytes(Outer("a", 1, "yes"))  # type: ignore[arg-type]


@pytest.mark.parametrize("number", [float("inf"), float("-inf"), float("nan")])
def test_a_number_that_json_has_no_word_for_is_refused(number: float) -> None:
    """It would be written as null, and no longer be read back."""
    lost = Outer("Infinity NaN null", 1, True, (Inner("left", (0.0, number, 0.0), "NaN"),))
    with pytest.raises(ValueError, match="a number in this Outer is infinite"):
        json_bytes(lost)
    json_bytes(Outer("Infinity NaN null", 1, True, (Inner("left", (0.0, 1e308, 0.0), "NaN"),)))


def test_the_same_bytes_come_from_processes_that_order_sets_differently() -> None:
    code = (
        "from dataclasses import dataclass\n"
        "from benchleaf.sequences.work.json_data import SortedNames, json_bytes\n"
        "@dataclass\nclass Near:\n    names: SortedNames\n"
        "print(json_bytes(Near(frozenset('abcdefgh'))).decode(), list(frozenset('abcdefgh')))"
    )
    written = []
    for seed in ("1", "2", "3"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        written.append(done.stdout.partition(" "))
    assert {data for data, _, _ in written} == {'{"names":["a","b","c","d","e","f","g","h"]}'}
    assert len({order for _, _, order in written}) > 1, "the sets themselves are ordered differently"
