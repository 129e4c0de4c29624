"""Twelve invented heads, entered as one measures them on a pump, with stock parts of standards: none is refused."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.dimensions.threads import thread_table
from benchleaf.geometry.engineering.springs.disc_springs import spring_table
from benchleaf.sequences.calculations.load_fleet import load_fleet
from program_files import ROOT
from ruamel.yaml import YAML

FILE = ROOT / "tests" / "samples" / "stock_part_heads.yaml"
FLEET: dict[str, Any] = YAML(typ="safe").load(FILE.read_text("utf-8"))
HEADS = {head["tag"]: head for head in FLEET["heads"]}
KEY_WIDTHS_MM = (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 32, 36, 40, 45, 50)
"""DIN 6885-1."""
PINS_MM = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 32, 40, 50)
"""ISO 8734 and ISO 2338."""


def overrides_of(tag: str) -> dict[str, float]:
    found: dict[str, float] = FLEET["sizes"][HEADS[tag]["size"]]["overrides"]
    return found


def test_they_are_twelve_from_the_smallest_to_the_largest() -> None:
    centres = [size["shaft_centre_distance_mm"] for size in FLEET["sizes"].values()]
    assert len(HEADS) == len(centres) == 12
    assert (min(centres), max(centres)) == (45, 300)
    assert centres == sorted(centres)
    assert {head.get("rotor", "two-wing") for head in HEADS.values()} == {
        "two-wing",
        "two-lobe",
        "three-lobe",
    }


@pytest.mark.parametrize("tag", HEADS)
def test_their_parts_are_stock_parts(tag: str) -> None:
    given = overrides_of(tag)
    spring = tuple(given[f"disc_spring_{n}_mm"] for n in ("outer", "inner", "thickness", "cone"))
    rows = {
        (r.spring.outer_mm, r.spring.inner_mm, r.spring.thickness_mm, r.spring.cone_mm)
        for r in spring_table()
    }
    assert spring in rows, "DIN EN 16983"
    assert given["key_width_mm"] in KEY_WIDTHS_MM
    threads = {t.nominal_mm for t in thread_table()}
    assert {given["rotor_thread_mm"], given["stud_thread_mm"]} <= threads
    assert {given["large_dowel_mm"], given["small_dowel_mm"]} <= set(PINS_MM)
    assert given["large_dowel_mm"] > given["small_dowel_mm"]
    assert given["disc_spring_inner_mm"] >= given["rotor_thread_mm"]


def alone(tag: str, folder: Path) -> Path:
    """Write the fleet of one head."""
    head, out = HEADS[tag], io.StringIO()
    size = head["size"]
    YAML().dump({**FLEET, "sizes": {size: FLEET["sizes"][size]}, "heads": [head]}, out)
    (folder / "fleet.yaml").write_text(out.getvalue(), "utf-8")
    return folder / "fleet.yaml"


@pytest.mark.parametrize("tag", HEADS)
def test_none_is_refused(tag: str, tmp_path: Path) -> None:
    (head,) = load_fleet(alone(tag, tmp_path)).heads
    for name, value in overrides_of(tag).items():
        assert getattr(head.size, name) == value
