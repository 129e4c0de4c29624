"""Keys to painted zones and numbers of what goes in order, as a page has them."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args
from xml.etree import ElementTree

import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, OrderSeen, ZoneSeen
from benchleaf.render.drawing.zone_colours import TINTS, ground_of
from benchleaf.render.engine.material_styles import colour_bytes
from benchleaf.sequences.steps.operations import Tool
from benchleaf.site.pages.zone_keys import SHAPES, order_marks, swatch, zone_key
from benchleaf.site.words.catalogue import load_words

CAMERA = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
MANIFEST = Manifest("step", "s", 1, {"webp": "x"}, 400, 300, CAMERA, False, {})


def test_the_key_has_a_line_for_each_treatment_once() -> None:
    clean, look = ZoneSeen("plate", "a", "clean", 9, 1.0, None), ZoneSeen("plate", "b", "look", 9, 1.0, None)
    zones = clean, look, replace(clean, surface="c")
    key = zone_key(replace(MANIFEST, zones=zones), load_words())
    assert [z.text for z in key] == ["Clean", "Look or feel"]
    assert zone_key(MANIFEST, load_words()) == ()


@pytest.mark.parametrize("treatment", list(TINTS))
def test_a_sign_has_the_pictures_colours_and_a_pattern_of_its_own(treatment: str) -> None:
    sign = ElementTree.fromstring(str(swatch(treatment)))  # type: ignore[arg-type]
    assert sign[0].attrib["fill"] == "#{:02x}{:02x}{:02x}".format(*colour_bytes(ground_of(treatment)))  # type: ignore[arg-type]
    assert sum(SHAPES[treatment] == s for s in SHAPES.values()) == 1  # type: ignore[index]


def test_numbers_stand_where_their_parts_are() -> None:
    marks = order_marks([OrderSeen("1", "nut_1", (0.25, 0.5)), OrderSeen("<2>", "nut_2", (0.75, 0.125))])
    assert 'style="left:25.00%;top:50.00%">1</b>' in marks
    assert 'style="left:75.00%;top:12.50%">&lt;2&gt;</b>' in marks


@pytest.mark.parametrize("tool", [t for t in get_args(Tool) if t != "hand"])
def test_every_tool_that_is_drawn_has_a_name_in_words(tool: str) -> None:
    assert load_words()(f"tool_name.{tool}").isprintable()
