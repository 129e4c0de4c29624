"""Keys: equal inputs give one key in every process, different inputs another, and what changed is told."""

from __future__ import annotations

import dataclasses
import enum
import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.work.keys import canonical, digest_of, task_key
from hypothesis import given
from hypothesis import strategies as st

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


class Colour(enum.Enum):
    RED = 1


@dataclasses.dataclass(frozen=True)
class Box:
    width: float
    note: str = dataclasses.field(default="", compare=False)


@given(VALUES)
def test_order_of_a_mapping_does_not_matter(value: object) -> None:
    pairs = {"a": value, "b": 1, "c": [value]}
    assert canonical(pairs) == canonical(dict(reversed(pairs.items())))


@given(VALUES, VALUES)
def test_unequal_values_are_spelled_differently(one: object, two: object) -> None:
    """Python's own spelling is the witness; it differs for 1, 1.0 and True too."""
    if repr(one) != repr(two) and one != two:
        assert canonical(one) != canonical(two)


def test_spellings() -> None:
    assert canonical(-0.0) == canonical(0.0)
    assert canonical(1) == canonical(1.0) != canonical(True)
    assert canonical(Box(2.0, "words")) == canonical(Box(2.0)) == "Box(width=2.0)"
    assert canonical(Colour.RED) == "Colour.RED"
    assert canonical(frozenset({"b", "a"})) == "{'a', 'b'}"
    assert canonical(["a"]) == canonical(("a",))


@pytest.mark.parametrize("value", [Path("a"), object(), print, {"x": Path("a")}])
def test_what_has_no_one_spelling_is_refused(value: object) -> None:
    with pytest.raises(TypeError, match="has no canonical spelling"):
        canonical(value)


def test_a_float_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="nan has no place in a key"):
        canonical(float("nan"))


def test_what_changed_is_told_by_name() -> None:
    one = task_key("picture", design=Options(), step=(1, "seal"), code="x")
    two = task_key("picture", design=Options(cover="relief"), step=(1, "seal"), size=2)
    assert one.digest != two.digest
    assert two.changed_from(one) == ("code", "design", "size")
    assert one.changed_from(one) == ()
    assert task_key("page", picture=one).inputs == (("picture", one.digest),)
    assert task_key("film", design=Options(), step=(1, "seal"), code="x").digest != one.digest


def test_one_key_in_processes_of_different_hash_seeds() -> None:
    code = (
        "from benchleaf.geometry.dimensions.options import Options; from benchleaf.sequences.work.keys import task_key;"
        "print(task_key('k', a=Options(), b=frozenset('qwertz'), c={'x': 1.5, 'y': None}).digest)"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "7777")
    }
    assert found == {task_key("k", a=Options(), b=frozenset("qwertz"), c={"x": 1.5, "y": None}).digest + "\n"}
    assert digest_of("x") != digest_of("y")
