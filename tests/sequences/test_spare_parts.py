"""Spares in a fleet file: who says what of which part, seeded mistakes with their places, and kits that are summed."""

from __future__ import annotations

import doctest
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.geometry.part_size import PartSize
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import Fault, FaultsFound
from benchleaf.sequences.fleet.fleet_tables import COLUMNS
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.upkeep import spare_parts
from benchleaf.sequences.upkeep.spare_parts import SpareLine, SparePart, summed

FLEET = """\
plant: Test plant
sizes:
  62:
    shaft_centre_distance_mm: 62
    rotor_diameter_mm: 88.04
    rotor_width_mm: 43.4
    shaft_diameter_mm: 23.56
    port_bore_mm: 37.2
    spare_parts:
      hub_oring: {number: 12, spare: replace always, compound: FKM 75}
      key: {number: K-8, spare: "yes"}
heads:
  - tag: P-1
    size: 62
    serial_number: 0417
    seal_code: S1
    spare_parts:
      key_drive: {number: K-9}
      hub_oring: {compound: FKM 80}
  - {tag: P-2, size: 62}
"""


def heads_of(tmp_path: Path, text: str) -> tuple[FleetHead, ...]:
    (tmp_path / "fleet.yaml").write_text(text, "utf-8")
    return load_fleet(tmp_path / "fleet.yaml", ()).heads


def faults_of(tmp_path: Path, text: str) -> list[Fault]:
    with pytest.raises(FaultsFound) as caught:
        heads_of(tmp_path, text)
    return list(caught.value.faults)


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(spare_parts).failed == 0


def test_a_pump_says_it_before_its_size_and_a_part_before_its_kind(tmp_path: Path) -> None:
    one, two = heads_of(tmp_path, FLEET)
    assert one.spare_parts == {
        "hub_oring_drive": SparePart("12", "replace always", "FKM 80"),
        "hub_oring_driven": SparePart("12", "replace always", "FKM 80"),
        "key_drive": SparePart("K-9", "yes"),
        "key_driven": SparePart("K-8", "yes"),
    }
    assert two.spare_parts["hub_oring_drive"] == SparePart("12", "replace always", "FKM 75")
    assert one.name_plate == {"serial_number": "0417", "seal_code": "S1"}
    assert two.name_plate == {}


def test_an_unknown_part_is_told_with_its_place_and_what_is_allowed(tmp_path: Path) -> None:
    text = FLEET.replace("      key: {", "      keys: {").replace(
        "      key_drive: {", "      relief_oring: {"
    )
    size, head = faults_of(tmp_path, text)
    assert (size.line, size.column, size.found, size.fix) == (11, 7, "the part 'keys'", "write key")
    assert "key" in size.allowed
    assert size.path == "sizes > 62 > spare_parts > keys"
    assert (head.line, head.found) == (18, "the part 'relief_oring'"), "this pump has no relief"
    assert "relief" not in head.allowed


@pytest.mark.parametrize(
    ("entry", "line", "found", "allowed"),
    [
        ("key: {}", 11, "nothing of key", "number, spare or compound"),
        ("key: {spare: sometimes}", 11, "'sometimes'", "yes, replace always or on condition"),
        ("key: {spare: true}", 11, "true", "yes, replace always or on condition"),
        ("key: {compound: FKM}", 11, "a compound of key", "a compound of O-rings"),
        ("key: {part_number: K-8}", 11, "the key part_number", "number, spare or compound"),
        ("key: K-8", 11, "'K-8'", "a mapping of keys to values"),
    ],
)
def test_a_seeded_mistake_is_told_where_it_stands(
    tmp_path: Path, entry: str, line: int, found: str, allowed: str
) -> None:
    text = FLEET.replace('key: {number: K-8, spare: "yes"}', entry)
    fault = faults_of(tmp_path, text)[0]
    assert (fault.line, fault.found, fault.allowed) == (line, found, allowed)


def test_a_part_that_the_options_do_not_have_is_told_and_no_other_is_proposed(tmp_path: Path) -> None:
    (of_pump,) = faults_of(tmp_path, FLEET.replace("      key_drive:", "      relief_spring:"))
    assert of_pump.found == "the part 'relief_spring'"
    assert of_pump.fix == "take it away: no part of this kind belongs to these options"
    (of_size,) = faults_of(tmp_path, FLEET.replace("      key: {", "      relief_spring: {"))
    assert (of_size.line, of_size.found) == (11, "the part 'relief_spring'")
    assert of_size.allowed == "parts of the pumps of size 62"
    (one,) = heads_of(
        tmp_path,
        FLEET.replace("      key: {", "      relief_spring: {")
        .split("  - {tag: P-2")[0]
        .replace("    size: 62\n    serial", "    size: 62\n    cover: relief\n    serial"),
    )
    assert one.spare_parts["relief_spring"].number == "K-8"


def test_a_compound_of_another_elastomer_is_a_fault_of_the_pump(tmp_path: Path) -> None:
    text = FLEET.replace("{tag: P-2, size: 62}", "{tag: P-2, size: 62, elastomer: EPDM}")
    (fault,) = faults_of(tmp_path, text)
    assert fault.found == "EPDM, and hub_oring of FKM 75"
    assert fault.allowed == "O-rings of EPDM"
    own = ", spare_parts: {hub_oring: {number: 13, compound: EPDM 70}}}"
    head = heads_of(tmp_path, text.replace("EPDM}", "EPDM" + own))[1]
    assert head.spare_parts["hub_oring_drive"] == SparePart("13", "replace always", "EPDM 70")


def test_name_plates_may_stand_in_a_table_and_spares_may_not(tmp_path: Path) -> None:
    assert {"serial_number", "seal_code", "elastomer_code", "clearance_code"} <= set(COLUMNS)
    text = FLEET.replace("heads:\n", "heads_table: more.csv\nheads:\n")
    (tmp_path / "more.csv").write_text("tag;size;serial number\nP-7;62;0099\n", "utf-8")
    assert heads_of(tmp_path, text)[2].name_plate == {"serial_number": "0099"}
    (tmp_path / "more.csv").write_text("tag;size;spare parts\nP-7;62;x\n", "utf-8")
    (fault,) = faults_of(tmp_path, text)
    assert fault.fix == "write spare parts in the fleet file, in the pump's entry under heads"


# ------------------------------------------------------------------ sums
RING = PartSize("ring", (1.78, 20.35), "019")
PIN = PartSize("pin", (6.0, 30.0))


def line(kind: str, size: PartSize | None, number: str = "", tag: str = "P-1", **more: object) -> SpareLine:
    return replace(SpareLine((kind,), size, number, "", "", "ready", 1, (tag,), (1,)), **more)  # type: ignore[arg-type]


def test_a_kit_is_summed_by_number_and_size() -> None:
    two = line("key", PIN, "A", "P-2", quantity=2, of_each=(2,))
    (total,) = summed([[line("key", PIN, "A"), line("stud", PIN, "A")], [two]])
    assert (total.kinds, total.quantity, total.tags, total.of_each) == (
        ("key", "stud"),
        4,
        ("P-1", "P-2"),
        (2, 2),
    )


@pytest.mark.parametrize(
    "other",
    [
        line("key", PIN, "B"),
        line("key", RING, "A"),
        line("key", None, "A"),
        line("key", PIN, "A", material="FKM"),
        line("key", PIN, "A", compound="FKM 80"),
        line("key", PIN, "A", need="always"),
    ],
)
def test_what_differs_in_number_size_or_compound_is_never_summed(other: SpareLine) -> None:
    assert len(summed([[line("key", PIN, "A"), other]])) == 2


def test_without_a_number_orings_of_one_size_are_summed_and_other_parts_only_within_their_kind() -> None:
    rings = [line(kind, RING, material="FKM") for kind in ("hub_oring", "nut_oring")]
    assert [x.quantity for x in summed([rings])] == [2]
    pins = [line(kind, PIN) for kind in ("seal_pin", "atmosphere_pin", "seal_pin")]
    assert [(x.kinds, x.quantity) for x in summed([pins])] == [(("seal_pin",), 2), (("atmosphere_pin",), 1)]


def test_what_every_overhaul_needs_comes_first() -> None:
    lines = [line("key", PIN), line("hub_oring", RING, need="always"), line("stud", PIN)]
    assert [x.kinds[0] for x in summed([lines])] == ["hub_oring", "key", "stud"]
    assert set(KINDS) >= {"key", "hub_oring", "stud"}
