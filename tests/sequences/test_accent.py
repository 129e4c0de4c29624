"""The plant's accent colour: readable and unlike the safety colours; a refused one is told with the nearest."""

from __future__ import annotations

import re

import pytest
from benchleaf.sequences.additions.accent import (
    DARK,
    LEAST_CONTRAST,
    LIGHT,
    SAFETY,
    AccentError,
    check_accent,
    contrast,
    dark_accent,
    passes,
)
from benchleaf.site.pages.pages import ASSETS

STYLES = (ASSETS / "page.css").read_text("utf-8")


def test_the_colours_are_those_of_the_style_sheet() -> None:
    for word, colour in SAFETY.items():
        assert f"--{word.lower()}: {colour};" in STYLES
    light, dark = re.findall(r"--bench: (#\w+);", STYLES)
    assert (light, dark) == (LIGHT, DARK)


@pytest.mark.parametrize("colour", ["#1f5f3f", "#4b2a7a", "#000", "444444"])
def test_a_readable_colour_passes_on_light_and_dark_pages(colour: str) -> None:
    accent = check_accent(colour)
    assert contrast(accent, LIGHT) >= LEAST_CONTRAST
    assert contrast(dark_accent(accent), DARK) >= LEAST_CONTRAST


@pytest.mark.parametrize(
    ("colour", "found"),
    [
        ("#88ccff", "a contrast of 1.5"),
        ("#9b2423", "looks like the colour of DANGER"),
        ("#ff0000", "looks like the colour of DANGER"),
        ("#e0021d", "looks like the colour of DANGER"),
        ("#d8602a", "looks like the colour of WARNING"),
        ("#ffd700", "looks like the colour of CAUTION"),
        ("#005a9c", "looks like the colour of NOTICE"),
    ],
)
def test_another_is_told_with_the_nearest_that_passes(colour: str, found: str) -> None:
    with pytest.raises(AccentError) as caught:
        check_accent(colour)
    assert found in caught.value.found
    nearest = re.findall(r"#[0-9a-f]{6}", caught.value.fix)
    assert len(nearest) == 1
    assert passes(nearest[0])
    assert check_accent(nearest[0]) == nearest[0]


def test_what_is_no_colour_is_told() -> None:
    with pytest.raises(AccentError, match="'green'"):
        check_accent("green")
