"""Files that mean harm, or were mangled on their way: a fault with its place, nothing raw on the terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files import yaml_files
from benchleaf.sequences.files.faults import MOST_TOLD, Fault, Faults, FaultsFound, printable, unprintable
from benchleaf.sequences.files.yaml_files import read_yaml
from hypothesis import given
from hypothesis import strategies as st
from program_files import ROOT

GOOD = """\
plant: Seaview Works (invented)
sizes:
  "60":
    shaft_centre_distance_mm: 60
    rotor_diameter_mm: 85.2
    rotor_width_mm: 42
    shaft_diameter_mm: 22.8
    port_bore_mm: 36
heads:
  - {tag: P-1, size: "60", service: Rinse}
"""
CAUTION = """\
cautions:
  - id: own_one
    signal_word: Warning
    hazard_kind: pressure
    hazard: Pressure.
    consequence: It could spray.
    avoidance: Vent it.
    brought_by: [{at: front}]
"""
SEQUENCE = (ROOT / "sequences" / "data" / "assembly.yaml").read_text("utf-8")


def faults_of(folder: Path, text: str, **others: str) -> tuple[Fault, ...]:
    (folder / "fleet.yaml").write_text(text, "utf-8")
    for name, content in others.items():
        (folder / f"{name}.yaml").write_text(content, "utf-8")
    with pytest.raises(FaultsFound) as found:
        load_fleet(folder / "fleet.yaml")
    return found.value.faults


def test_a_signal_word_in_other_letters_is_one_fault(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path, GOOD + "cautions: own.yaml\n", own=CAUTION)
    assert (fault.file, fault.line, fault.column) == ("own.yaml", 3, 18)
    assert (fault.found, fault.fix) == ("'Warning'", "write WARNING")


def test_a_step_without_any_title_is_one_fault(tmp_path: Path) -> None:
    first = SEQUENCE.index("    title:", SEQUENCE.index("\nsteps:"))
    end = SEQUENCE.index("\n", first)
    own = SEQUENCE[:first] + "    title: []" + SEQUENCE[end:]
    (fault,) = faults_of(tmp_path, GOOD + "sequences: own.yaml\n", own=own)
    assert fault.line == SEQUENCE[:first].count("\n") + 1
    assert fault.path.endswith("title")


@pytest.mark.parametrize(
    ("text", "sign", "line", "column"),
    [
        (GOOD.replace("Seaview", '"\\ud800').replace("(invented)", '"'), "D800", 1, 8),
        (GOOD.replace("service: Rinse", 'service: "\\x1b[2J"'), "001B", 10, 37),
        (GOOD + 'cautions: "own\\0.yaml"\n', "0000", 11, 11),
        (GOOD + '"cautions\\x07": own.yaml\n', "0007", 11, 1),
    ],
)
def test_what_is_no_text_is_a_fault_with_its_place(
    tmp_path: Path, text: str, sign: str, line: int, column: int
) -> None:
    (fault,) = faults_of(tmp_path, text)
    assert (fault.line, fault.column) == (line, column)
    assert f"U+{sign}" in fault.found


VALUE = "rotor_nut_torque: {{value: {}, unit: lbf·ft, source: {{document: M}}, date: 2031-01-01}}"


@pytest.mark.parametrize("figure", ["1.7976931348623157e308", "1.0e308", "-1.7e308"])
def test_a_figure_at_the_end_of_all_numbers_is_one_fault(tmp_path: Path, figure: str) -> None:
    text = GOOD.replace("service: Rinse}", f"values: {{{VALUE.format(figure)}}}}}")
    (fault,) = faults_of(tmp_path, text)
    assert fault.path == "heads > #1 > values > rotor_nut_torque > value"
    assert fault.allowed == "0.1 to 2000 N·m"
    assert len(fault.found) < 80


def test_a_figure_without_an_end_in_a_table_is_one_fault(tmp_path: Path) -> None:
    columns = ["tag", "size", *(f"rotor_nut_torque.{part}" for part in ("value", "unit", "document", "date"))]
    row = ["Q-1", "60", "9" * 400, "N·m", "M", "2031-01-01"]
    (tmp_path / "rows.csv").write_text("\n".join(map(",".join, (columns, row))), "utf-8")
    (fault,) = faults_of(tmp_path, GOOD + "heads_table: rows.csv\n")
    assert (fault.file, fault.line, fault.column, fault.allowed) == ("rows.csv", 2, 8, "a number")
    assert len(str(fault)) < 300


@given(st.text())
def test_nothing_that_steers_a_terminal_is_printed(text: str) -> None:
    said = str(Fault(text, 1, 1, text, text, text, text))
    assert unprintable(said) == ""
    assert printable(printable(text)) == printable(text)
    said.encode("utf-8")


def test_many_mistakes_are_counted_and_the_first_are_told(tmp_path: Path) -> None:
    rows = "".join(f'  - {{tag: Q-{n}, size: "60", seal: duble}}\n' for n in range(MOST_TOLD + 9))
    (tmp_path / "fleet.yaml").write_text(GOOD + rows, "utf-8")
    with pytest.raises(FaultsFound) as found:
        load_fleet(tmp_path / "fleet.yaml")
    assert len(found.value.faults) == MOST_TOLD + 9
    said = str(found.value)
    assert said.splitlines()[0] == f"{MOST_TOLD + 9} mistakes in the data:"
    assert said.count("found 'duble'") == MOST_TOLD
    assert "  ... and 9 more (9 in fleet.yaml), told when these are mended." in said


def test_a_file_is_parsed_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "once.yaml").write_text("a: [b, c]\na: d\n", "utf-8")
    one, two = Faults(), Faults()
    assert read_yaml(tmp_path / "once.yaml", one) is None
    monkeypatch.setattr(yaml_files, "parse_yaml", lambda *_: pytest.fail("parsed again"))
    assert read_yaml(tmp_path / "once.yaml", two) is None
    assert list(one) == list(two)
    assert len(one) == 1
