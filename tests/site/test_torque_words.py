"""What a torque gives and what speaks against it, word for word; no torque but the one given is ever written."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from benchleaf.geometry.engineering import preload
from benchleaf.geometry.engineering.preload import (
    LUBRICATIONS,
    ThreadAndFace,
    check_torque,
    lubrication,
    preload_figures,
    strength,
)
from benchleaf.geometry.engineering.topics import SIZE
from benchleaf.sequences.calculations.calculation_sheets import PreloadSpan
from benchleaf.sequences.calculations.nut_calculations import UNKNOWN_STATE
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.torque_words import preload_in_words, torque_doubt_in_words
from hypothesis import given
from hypothesis import strategies as st

WORDS = load_words("en")
STATES = st.sampled_from([*LUBRICATIONS.values(), UNKNOWN_STATE])
NUT = ThreadAndFace(14, 2, 30)
END = "Check the figure, its unit and its source; no other figure is proposed here."


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def doubts(torque: float, spring: float = 5200.0) -> list[str]:
    found = check_torque(torque, NUT, lubrication("lubricated"), strength("duplex"), spring)
    return [plain(torque_doubt_in_words(d, WORDS)) for d in found]


@pytest.mark.parametrize(
    ("torque", "said"),
    [
        (2, "2 N·m (1.48 lbf·ft) gives 0.6 kN at most (lubricated); the disc spring needs 5.2 kN before the nut is "
            f"home. The nut would stop on the spring. {END}"),
        (20, "20 N·m (14.8 lbf·ft) may give only 3.4 kN (lubricated, high friction); the disc spring needs 5.2 kN "
             f"before the nut is home. {END}"),
        (160, "160 N·m (118.0 lbf·ft) may give 48.3 kN (lubricated, low friction); the thread begins to yield at "
              f"45.0 kN (EN 10088-3, 1.4462 bars, solution annealed, 0.2 % yield). {END}"),
        (400, "400 N·m (295.0 lbf·ft) gives 67.6 kN at least (lubricated); the thread begins to yield at 38.8 kN "
              f"(EN 10088-3, 1.4462 bars, solution annealed, 0.2 % yield). {END}"),
    ],
)  # fmt: skip
def test_each_doubt_word_for_word(torque: float, said: str) -> None:
    assert doubts(torque) == [said]


def test_a_state_that_is_not_on_file_is_said_to_be_so() -> None:
    (low,) = check_torque(1, NUT, UNKNOWN_STATE, strength("duplex"), 5200.0)
    assert "at most (state of the threads not given);" in torque_doubt_in_words(low, WORDS)


@given(st.integers(1, 1000), STATES)
def test_no_torque_but_the_one_given_is_ever_written(torque: int, state: preload.Lubrication) -> None:
    for doubt in check_torque(torque, NUT, state, strength("316L"), 5200.0):
        said = plain(torque_doubt_in_words(doubt, WORDS))
        assert re.findall(r"([\d.]+) N·m", said) == [str(torque)]
        assert len(re.findall(r"lbf·ft", said)) == 1  # the same torque in the other system
        assert "no other figure is proposed" in said


def test_the_span_of_a_preload_is_told() -> None:
    middle = preload_figures(60, SIZE, NUT, lubrication("lubricated"))[0]
    assert plain(preload_in_words(PreloadSpan(middle, "lubricated"), WORDS)) == (
        "The same torque, lubricated, gives anything from 10.1 kN to 18.1 kN: torque is what the wrench shows, preload "
        "is what friction leaves of it."
    )
    with pytest.raises(ValueError, match=r"nut\.preload has no span"):
        preload_in_words(PreloadSpan(replace(middle, low=None), "lubricated"), WORDS)
