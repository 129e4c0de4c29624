"""The published schemas: current, and of one mind with the loader."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from benchleaf.geometry.dimensions.size import measured_fields, override_fields
from benchleaf.sequences.files.faults import Faults
from benchleaf.sequences.files.yaml_files import parse_yaml, read_yaml
from benchleaf.sequences.fleet.schemas import FOLDER, SCHEMAS, schema_text, write_schemas
from benchleaf.sequences.values.value_names import VALUE_NAMES

DATA = FOLDER
DEMO = FOLDER.parents[1] / "site" / "demo"
TOLD = {name: f"about {name}" for name in VALUE_NAMES}
SHIPPED = [
    ("schema_sequence.json", DATA / "assembly.yaml"),
    ("schema_sequence.json", DATA / "disassembly.yaml"),
    ("schema_sequence.json", DATA / "inspection.yaml"),
    ("schema_sequence.json", DATA / "cleaning.yaml"),
    ("schema_sequence.json", DATA / "start_up.yaml"),
    ("schema_cautions.json", DATA / "cautions.yaml"),
    ("schema_cautions.json", DEMO / "cautions.yaml"),
    ("schema_fleet.json", DEMO / "fleet.yaml"),
]


def validator(name: str) -> Any:
    schema = json.loads((FOLDER / name).read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_a_schema_is_written_with_what_each_value_is(tmp_path: Path) -> None:
    write_schemas(TOLD, tmp_path)
    assert {p.name for p in tmp_path.iterdir()} == set(SCHEMAS)
    assert all((tmp_path / name).read_text("utf-8") == schema_text(name, TOLD) for name in SCHEMAS)
    written = json.loads((tmp_path / "schema_fleet.json").read_text("utf-8"))
    listed = written["$defs"]["ValuesByName"]["properties"]
    assert {n: f["description"] for n, f in listed.items()} == TOLD
    with pytest.raises(KeyError, match="anti_seize"):
        schema_text("schema_fleet.json", {n: t for n, t in TOLD.items() if n != "anti_seize"})


@pytest.mark.parametrize(("name", "path"), SHIPPED)
def test_shipped_files_pass_their_schema(name: str, path: Path) -> None:
    doc = read_yaml(path, Faults())
    assert doc is not None
    assert [e.message for e in validator(name).iter_errors(doc.data)] == []


HEAD = "plant: A\nsizes: {}\nheads:\n  - {tag: P-1, size: 62"
BROKEN = [
    ("schema_fleet.json", "plan: A\nsizes: {}\n"),
    ("schema_fleet.json", HEAD + ", seal: duble}\n"),
    ("schema_fleet.json", HEAD + ", seals: single}\n"),
    ("schema_fleet.json", HEAD + ", cleaning_in_place: yes}\n"),
    ("schema_fleet.json", HEAD + ", values: {anti_seize: {value: paste, date: 2031-01-01}}}\n"),
    (
        "schema_fleet.json",
        HEAD + ", values: {anti_seize: {value: paste, source: {document: L}, date: today}}}\n",
    ),
    (
        "schema_fleet.json",
        HEAD + ", values: {anti_sieze: {value: paste, source: {document: L}, date: 2031-01-01}}}\n",
    ),
    ("schema_fleet.json", "plant: A\nsizes: {a: {port_bore_mm: 3}}\n"),
    (
        "schema_sequence.json",
        "sequence: assembly\ntitle: T\nsections: []\nsteps: [{id: a, section: b, title: c}]\n",
    ),
    ("schema_sequence.json", "sequence: assemble\ntitle: T\nsections: []\nsteps: []\n"),
    (
        "schema_sequence.json",
        "sequence: assembly\ntitle: T\nsections: []\n"
        "steps: [{id: a, section: b, title: c, cautions: d, fit: {part: e, travel: sideways}}]\n",
    ),
    (
        "schema_cautions.json",
        "cautions: [{id: a, signal_word: LOUD, hazard_kind: spring, hazard: x, consequence: y}]\n",
    ),
]


@pytest.mark.parametrize(("name", "text"), BROKEN)
def test_the_schema_refuses_what_the_loader_refuses(name: str, text: str) -> None:
    faults = Faults()
    doc = parse_yaml(text, "t.yaml", faults)
    assert doc is not None, [str(f) for f in faults]
    from benchleaf.sequences.files.file_models import validate_file

    validate_file(SCHEMAS[name], doc, faults)
    assert len(faults), "the loader takes it"
    assert list(validator(name).iter_errors(doc.data)), "the schema takes it"


def test_every_key_says_what_it_means() -> None:
    for name in SCHEMAS:
        schema = json.loads((FOLDER / name).read_text("utf-8"))
        for model in (schema, *schema["$defs"].values()):
            for key, entry in model.get("properties", {}).items():
                assert entry.get("description") or key in ("tools", "supplies", "legs", "find"), (name, key)


def test_dimensions_and_values_are_listed_for_editors() -> None:
    defs = json.loads((FOLDER / "schema_fleet.json").read_text("utf-8"))["$defs"]
    assert set(measured_fields()) <= set(defs["SizeText"]["properties"])
    assert set(defs["Overrides"]["properties"]) == set(override_fields())
    assert set(defs["ValuesByName"]["properties"]) == set(VALUE_NAMES)
