"""Clearances as earlier overhauls found them: read with their digits, by their days; mistakes with their places."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.upkeep.as_found import READINGS, AsFound
from benchleaf.sequences.values.value_names import VALUE_NAMES

FLEET = """\
plant: Test plant
sizes:
  62: {shaft_centre_distance_mm: 62, rotor_diameter_mm: 88.04, rotor_width_mm: 43.4, shaft_diameter_mm: 23.56,
       port_bore_mm: 37.2}
heads:
  - tag: P-1
    size: 62
    as_found:
      - {date: 2031-05-02, record: WO-9, front_face_clearance: 0.10}
      - {date: 2029-05-02, record: 7, mesh_clearance: 0.07, rear_clearance: 0.090}
"""


def load(tmp_path: Path, text: str) -> tuple[AsFound, ...]:
    (tmp_path / "fleet.yaml").write_text(text, "utf-8")
    return load_fleet(tmp_path / "fleet.yaml", ()).heads[0].as_found


def test_readings_keep_their_digits_and_stand_by_their_days(tmp_path: Path) -> None:
    first, second = load(tmp_path, FLEET)
    assert (first.date, first.record) == ("2029-05-02", "7")
    assert {name: str(x) for name, x in first.mm.items()} == {
        "rear_clearance": "0.090",
        "mesh_clearance": "0.07",
    }
    assert second.mm == {"front_face_clearance": Decimal("0.10")}
    assert all(VALUE_NAMES[name].quantity == "length" for name in READINGS)


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        (", front_face_clearance: 0.10", "", "an overhaul without a reading"),
        ("0.10", "10", "10"),
        ("0.10", "-0.1", "-0.1"),
        ("0.10", "0.1 mm", "'0.1 mm'"),
        ("front_face_clearance: 0.10", "shaft_runout_limit: 0.1", "the key shaft_runout_limit"),
        ("record: WO-9, ", "", "no record"),
        ("2031-05-02", "02.05.2031", "'02.05.2031'"),
    ],
)
def test_a_seeded_mistake_is_told_where_it_stands(tmp_path: Path, old: str, new: str, found: str) -> None:
    with pytest.raises(FaultsFound) as caught:
        load(tmp_path, FLEET.replace(old, new, 1))
    fault = caught.value.faults[0]
    assert (fault.line, fault.found) == (9, found)
