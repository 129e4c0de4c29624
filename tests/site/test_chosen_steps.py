"""Steps by name: sequences, sections, steps and numbers; whatever there is not is told, with what there is."""

from __future__ import annotations

import pytest
from benchleaf.site.build.chosen_steps import UnknownSteps, chosen_steps, steps_of
from site_samples import sample_plan

THERE = steps_of([sample_plan()])


@pytest.mark.parametrize(
    ("names", "numbers"),
    [
        ([], tuple(range(1, 11))),
        (["assembly"], tuple(range(1, 11))),
        (["assembly/rotors"], (7, 8)),
        (["assembly/step_5"], (5,)),
        (["assembly/9", "assembly/2"], (2, 9)),
        (["assembly/2-4", "assembly/3-5"], (2, 3, 4, 5)),
        (["assembly/body", "assembly/body"], (5, 6)),
    ],
)
def test_steps_are_found_by_section_name_and_number(names: list[str], numbers: tuple[int, ...]) -> None:
    assert chosen_steps(THERE, names) == {"assembly": numbers}


def test_everything_that_is_not_there_is_told_at_once() -> None:
    with pytest.raises(UnknownSteps) as told:
        chosen_steps(
            THERE, ["asembly", "assembly/rotrs", "assembly/11", "assembly/4-2", "assembly/", "assembly/9-99"]
        )
    text = str(told.value)
    assert "no sequence asembly; did you mean assembly?\nallowed: assembly\n" in text
    assert "no section or step rotrs in assembly; did you mean rotors?" in text
    assert "no section or step 11 in assembly" in text
    assert "no section or step 4-2 in assembly" in text
    assert "no section or step 9-99 in assembly" in text
    assert "or a number from 1 to 10, such as 2 or 2-4" in text
    assert text.count("allowed:") == 5, "a bare stroke is the whole sequence"
