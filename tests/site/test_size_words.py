"""Sizes of parts in words: every form, with the figures in their order."""

from __future__ import annotations

import doctest
import typing

import pytest
from benchleaf.geometry.part_size import Form, PartSize
from benchleaf.sequences.upkeep.spare_parts import SpareLine
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.upkeep import size_words
from benchleaf.site.words.upkeep.size_words import kit_row, size_in_words

WORDS = load_words()
SAID = {
    PartSize("ring", (2.62, 25.07), "120"): "2.62 × 25.07 mm (section × inside diameter), size 120",
    PartSize("ring_made", (1.78, 20.0)): "1.78 × 20 mm (section × inside diameter), made to size",
    PartSize("parallel_key", (8.0, 7.0, 25.04)): "8 × 7 × 25 mm (b × h × l)",
    PartSize("bolt", (8.0, 45.0)): "M8 × 45 mm",
    PartSize("nut", (10.0, 17.0)): "M10, 17 mm across flats",
    PartSize("nut", (10.0, 0.0)): "M10, wing nut",
    PartSize("nut", (14.0, 22.0), pitch_mm=1.5): "M14 × 1.5, 22 mm across flats",
    PartSize("pin", (10.0, 82.25)): "⌀ 10 × 82.2 mm",
    PartSize("disc", (20.0, 10.2, 1.1)): "20 × 10.2 × 1.1 mm (De × Di × t)",
    PartSize("wave", (27.8, 25.5, 0.4, 2.8)): "⌀ 27.8 / 25.5 mm, strip 0.4 mm, 2.8 mm high in place",
    PartSize("coil", (2.9, 26.4, 31.0)): "wire 2.9 mm, mean ⌀ 26.4 mm, 31 mm long in place",
}


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(size_words).failed == 0


@pytest.mark.parametrize(("size", "said"), SAID.items(), ids=[s.form for s in SAID])
def test_a_size_is_told_as_people_write_it(size: PartSize, said: str) -> None:
    assert size_in_words(size, WORDS) == said


def test_every_form_is_tried() -> None:
    assert {s.form for s in SAID} == set(typing.get_args(Form))


def test_a_line_of_the_kit_names_all_its_parts_and_leaves_blank_what_nobody_gave() -> None:
    size = PartSize("pin", (6.0, 30.0))
    line = SpareLine(("seal_pin", "atmosphere_pin"), size, "", "", "", "ready", 4, ("P-1",), (4,))
    row = kit_row(line, WORDS)
    assert (row.part, row.size, row.number, row.material, row.quantity) == (
        "Anti-rotation pin / Atmosphere-side anti-rotation pin", "⌀ 6 × 30 mm", "", "", 4,
    )  # fmt: skip
    ring = SpareLine(("hub_oring",), None, "12", "", "FKM", "always", 2, ("P-1",), (2,))
    assert kit_row(ring, WORDS).material == "FKM (fluorocarbon rubber)"
    assert kit_row(ring, WORDS).size == ""
