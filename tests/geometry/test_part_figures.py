"""Solids by the usual proportions: volume, area and box of every kind of part have not changed.

``python tests/geometry/test_part_figures.py`` writes the table anew, after a change that is meant.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import Head, make_head
from sample_solids import kernel

TABLE = Path(__file__).with_name("part_figures.csv")
"""Figures of the solids of four heads: mm³, mm² and, in the part's own frame, mm."""
FIGURES = ("volume_mm3", "area_mm2", "x0", "x1", "y0", "y1", "z0", "z1")
HEADS: dict[str, tuple[float, Options]] = {
    "80, base": (80.0, Options()),
    "80, double seal, relief": (
        80.0,
        Options(rotor="two-lobe", seal="double", body="free-draining", cover="relief", cover_nuts="wing"),
    ),
    "80, jacketed, sideways": (
        80.0,
        Options(rotor="three-lobe", cover="jacketed", ports="sideways", cleaning_in_place=True),
    ),
    "220, double seal, jacketed": (220.0, Options(seal="double", cover="jacketed", ports="sideways")),
}


@cache
def head_of(name: str) -> Head:
    centre, options = HEADS[name]
    return make_head("T-1", make_size("t", example_measures(centre, options.rotor)), options)


def figures(head: Head) -> Iterator[tuple[str, list[float]]]:
    """Yield each different solid of a head by its first part's key, with its figures."""
    seen: set[int] = set()
    for part in head:
        if id(part.solid) not in seen:
            seen.add(id(part.solid))
            # A copy without triangles: a box taken by triangles is another, and solids are shared by all heads.
            solid = kernel(part.solid).copy()
            b = solid.BoundingBox()
            yield (
                part.key,
                [
                    solid.Volume(),
                    solid.Area(),
                    b.xmin,
                    b.xmax,
                    b.ymin,
                    b.ymax,
                    b.zmin,
                    b.zmax,
                ],
            )


def table() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("name", HEADS)
def test_solids_have_not_changed(name: str) -> None:
    rows = [r for r in table() if r["head"] == name]
    found = dict(figures(head_of(name)))
    assert [r["part"] for r in rows] == list(found)
    for row in rows:
        # The kernel's figures agree to far more digits; its boxes are a ten-millionth wide.
        expected = [float(row[f]) for f in FIGURES]
        assert found[row["part"]] == pytest.approx(expected, rel=1e-7, abs=1e-5), row["part"]


def test_the_table_holds_every_kind_of_part() -> None:
    assert {part.kind for name in HEADS for part in head_of(name)} == set(KINDS)


if __name__ == "__main__":
    with TABLE.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["head", "part", *FIGURES])
        for head_name in HEADS:
            for key, values in figures(head_of(head_name)):
                writer.writerow([head_name, key, *(f"{v:.9g}" for v in values)])
