"""A fleet begun as a spreadsheet is accepted as it is, with lists of the very choices that the check allows."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.fleet_additions import FOLDER as ADDITIONS
from benchleaf.sequences.fleet.fleet_tables import COLUMNS
from benchleaf.sequences.fleet.schemas import FOLDER, SCHEMAS
from benchleaf.sequences.steps.conditions import OPTION_NAMES, option_values
from benchleaf.site.build.published import published_schemas
from benchleaf.site.command import main
from benchleaf.site.extras.starter import OWN, OWN_NAME
from benchleaf.site.extras.table_starter import TABLE, VALUES, explanations, pump_table
from openpyxl import load_workbook


def test_the_table_is_accepted_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "fleet"
    assert main(["new", str(folder), "--table"]) == 0
    assert "benchleaf preview" in capsys.readouterr().out
    assert main(["check", str(folder)]) == 0
    (head,) = load_fleet(folder / "fleet.yaml").heads
    assert (head.tag, head.size.name, head.options) == ("P-101", "Invented 80", Options())
    assert {p.name for p in folder.iterdir()} == {TABLE, "fleet.yaml", ADDITIONS, "schemas"}
    assert {p.name for p in (folder / "schemas").iterdir()} == set(published_schemas())
    book = load_workbook(folder / TABLE)
    sheet = book.worksheets[0]
    column = [c.value for c in sheet[1]].index("seal") + 1
    sheet.cell(2, column).value = "tripel"
    book.save(folder / TABLE)
    with pytest.raises(FaultsFound, match=r"sheet Pumps, cell .*single or double"):
        load_fleet(folder / "fleet.yaml")


def test_each_option_has_the_list_of_its_choices() -> None:
    sheet = load_workbook(io.BytesIO(pump_table())).worksheets[0]
    columns = [c.value for c in sheet[1]]
    assert columns == [*COLUMNS, *VALUES]
    lists = {str(v.sqref).split(":")[0]: v.formula1 for v in sheet.data_validations.dataValidation}
    for name in OPTION_NAMES:
        cell = sheet.cell(2, columns.index(name) + 1).coordinate
        choices = [str(v).lower() if isinstance(v, bool) else v for v in option_values(name)]
        assert lists.pop(cell) == '"' + ",".join(choices) + '"'
    assert lists == {}


def test_the_second_sheet_explains_every_column() -> None:
    told = load_workbook(io.BytesIO(pump_table()))["Explanations"]
    rows = [[c.value for c in row] for row in told.iter_rows(min_row=2)]
    assert [r[0] for r in rows] == [*COLUMNS, *VALUES]
    assert all(all(r) for r in rows)
    assert [list(line) for line in explanations()] == rows


def test_the_start_of_additions_is_sound_once_it_has_its_name(tmp_path: Path) -> None:
    folder = tmp_path / "fleet"
    assert main(["new", str(folder)]) == 0
    own = folder / ADDITIONS / OWN_NAME
    assert own.read_bytes() == OWN.read_bytes()
    assert load_fleet(folder / "fleet.yaml").additions.entries == ()
    own.rename(folder / ADDITIONS / "plant.yaml")
    kinds = [a.text.kind for a in load_fleet(folder / "fleet.yaml").additions.entries]
    assert kinds == ["note", "act", "step", "caution", "sharper", "change"]
    # what is commented out is sound too
    text = OWN.read_text("utf-8").replace("  # - kind: leave_out", "  - kind: leave_out")
    for key in ("step: leak_check", "because:", "messages_to:"):
        text = text.replace(f"  #   {key}", f"    {key}")
    (folder / ADDITIONS / "plant.yaml").write_text(text, "utf-8")
    assert [a.text.kind for a in load_fleet(folder / "fleet.yaml").additions.entries] == [*kinds, "leave_out"]


def test_schemas_are_published_under_the_names_that_files_call_them_by() -> None:
    found = published_schemas()
    assert len(found) == len(SCHEMAS)
    assert json.loads(found["additions.schema.json"]) == json.loads(
        (FOLDER / "schema_additions.json").read_text("utf-8")
    )
    for text, name in (
        (OWN, "../schemas/additions.schema.json"),
        (OWN.with_name("starter.yaml"), "schemas/fleet.schema.json"),
    ):
        first = text.read_text("utf-8").split("\n")[0]
        assert first == f"# yaml-language-server: $schema={name}"
        assert Path(name).name in found
