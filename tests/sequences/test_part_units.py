"""Own parts of a head: mesh files with a unit where they state none, each mistake told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.heads import FleetHead

FLEET = """\
plant: Plant
sizes: {"80": {c_mm: 80}}
heads:
  - tag: P-1
    size: "80"
    own_parts:
      rotor: ENTRY
"""


def load(folder: Path, entry: str) -> FleetHead:
    from benchleaf.geometry.dimensions.size import example_measures

    measures = ", ".join(f"{name}: {value}" for name, value in example_measures(80.0).items())
    text = FLEET.replace("{c_mm: 80}", f"{{{measures}}}").replace("ENTRY", entry)
    for name in ("r.stl", "r.STL", "r.glb", "r.step"):
        (folder / name).write_bytes(b"not read before the build")
    (folder / "fleet.yaml").write_text(text, "utf-8")
    return load_fleet(folder / "fleet.yaml").heads[0]


def faults(folder: Path, entry: str) -> list[str]:
    with pytest.raises(FaultsFound) as found:
        load(folder, entry)
    return [str(f) for f in found.value.faults]


@pytest.mark.parametrize(
    ("entry", "unit"),
    [
        ("{file: r.stl, unit: in}", "in"),
        ("{file: r.STL, unit: mm}", "mm"),
        ("{file: r.glb}", None),
        ("{file: r.step}", None),
    ],
)
def test_a_mesh_with_its_unit_is_taken(tmp_path: Path, entry: str, unit: str | None) -> None:
    head = load(tmp_path, entry)
    assert set(head.own_parts) == {"rotor_drive", "rotor_driven"}
    assert {p.unit for p in head.own_parts.values()} == {unit}


@pytest.mark.parametrize(
    ("entry", "place", "found", "fix"),
    [
        ("{file: r.stl}", "column 21 (heads > #1 > own_parts > rotor > file)", "'r.stl' without a unit", "unit: mm"),
        ("{file: r.glb, unit: m}", "column 28 (heads > #1 > own_parts > rotor > unit)", "a unit for 'r.glb'", "take"),
        ("{file: r.step, unit: mm}", "column 29 (heads", "a unit for 'r.step', which states its own", "take it away"),
        ("{file: r.stl, unit: mn}", "column 34 (heads", "'mn'", "write m"),
        ("{file: r.off, unit: mm}", "column 21 (heads", "'r.off'", "check the ending of its name"),
    ],
)  # fmt: skip
def test_each_mistake_is_told_once_and_with_its_place(
    tmp_path: Path, entry: str, place: str, found: str, fix: str
) -> None:
    said = faults(tmp_path, entry)
    assert len(said) == 1, said
    (line,) = said
    assert place in line
    assert f"found {found}" in line
    assert fix in line
