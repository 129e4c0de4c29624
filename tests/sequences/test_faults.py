"""Faults: their words, their order, and the nearest word."""

from __future__ import annotations

import doctest
import pickle
from pathlib import Path

import pytest
from benchleaf.geometry.cad_shapes import SolidError
from benchleaf.geometry.dimensions.profile_limits import ProfileError, ProfileFault
from benchleaf.geometry.dimensions.size import SizeError, SizeFault
from benchleaf.geometry.exchange.own_parts import OwnPartError
from benchleaf.sequences.files import faults as module
from benchleaf.sequences.files.faults import Fault, Faults, FaultsFound, any_of, likely, shown


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(module).failed == 0


def test_all_faults_come_sorted_by_place_and_once() -> None:
    faults = Faults()
    late = Fault("b.yaml", 3, 1, "", "x", "y")
    early = Fault("a.yaml", 20, 4, "", "x", "y", "z")
    first = Fault("a.yaml", 3, 9, "", "x", "y")
    faults.extend([late, early, first, late])
    with pytest.raises(FaultsFound) as caught:
        faults.check()
    assert caught.value.faults == (first, early, late)
    assert str(caught.value).splitlines() == [
        "3 mistakes in the data:",
        "  a.yaml, line 3, column 9: found x; allowed: y",
        "  a.yaml, line 20, column 4: found x; allowed: y; likely fix: z",
        "  b.yaml, line 3, column 1: found x; allowed: y",
    ]


def test_no_fault_raises_nothing() -> None:
    Faults().check()


def test_a_cell_stands_for_line_and_column() -> None:
    fault = Fault("heads.xlsx", 4, 3, "heads > #2 > seal", "'x'", "y", cell="sheet Heads, cell C4")
    assert str(fault) == "heads.xlsx, sheet Heads, cell C4 (heads > #2 > seal): found 'x'; allowed: y"


@pytest.mark.parametrize(
    ("word", "choice"),
    [("rotor-nut", "rotor_nut"), ("Rotor Nut", "rotor_nut"), ("roter_nut", "rotor_nut"), ("zzz", None)],
)
def test_likely_word(word: str, choice: str | None) -> None:
    assert likely(word, ["rotor_nut", "cover_nut", "body"]) == choice


def test_long_lists_show_the_nearest_words_first() -> None:
    words = [f"part_{n}" for n in range(40)]
    text = any_of(words, "part_33")
    assert text.startswith("part_33, ")
    assert text.endswith("... (40 in all)")


def test_found_values_are_cut_to_a_readable_length() -> None:
    assert len(shown("x" * 500)) < 70
    assert shown("two\nlines") == "'two lines'"


@pytest.mark.parametrize(
    "error",
    [
        FaultsFound([Fault("a.yaml", 3, 9, "", "x", "y")]),
        OwnPartError(Path("r.step"), "2 solids", "one closed solid", "export it alone"),
        ProfileError([ProfileFault("tip", "1", "2", "more", 2.0)]),
        SizeError("62", [SizeFault("wall_mm", "1", "2", "more")]),
        SolidError("body", "bore", "no solid left"),
    ],
    ids=lambda e: type(e).__name__,
)
def test_errors_come_back_whole_from_a_worker(error: Exception) -> None:
    """One that cannot ends the pool of workers, and its words are lost."""
    back = pickle.loads(pickle.dumps(error))
    assert (type(back), str(back), vars(back)) == (type(error), str(error), vars(error))
