"""The published JSON Schemas of the files that people edit, made from the same models that check them.

Run ``python -m benchleaf.sequences.fleet.schemas`` after a change of the models; a test fails while a file is out
of date.

API::

    SCHEMAS: dict[file name, model]
    schema_text(name) -> str
    write_schemas(folder)
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ..files.file_models import FileModel
from ..steps.cautions import CautionsFile
from ..steps.sequence_form import SequenceFile
from .fleet_file import FleetFile
from .user_assembly import UserAssemblyFile

FOLDER = Path(__file__).parents[1] / "data"
SCHEMAS: dict[str, type[FileModel]] = {
    "schema_fleet.json": FleetFile,
    "schema_sequence.json": SequenceFile,
    "schema_cautions.json": CautionsFile,
    "schema_assembly.json": UserAssemblyFile,
}


def make_schema(model: type[FileModel]) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a file model."""
    schema = model.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **_tidy(schema)}


def _tidy(node: Any) -> Any:
    """Leave out titles and null defaults: they only repeat a key's name."""
    if isinstance(node, list):
        return [_tidy(n) for n in node]
    if not isinstance(node, dict):
        return node
    out = {}
    for key, value in node.items():
        if key == "properties":
            out[key] = {n: _tidy(v) for n, v in value.items()}
        elif key != "title" and not (key == "default" and value is None):
            out[key] = _tidy(value)
    return out


def schema_text(name: str) -> str:
    """Return the text of a schema file.

    Raises:
        KeyError: if there is no schema of that name.
    """
    return json.dumps(make_schema(SCHEMAS[name]), indent=2, ensure_ascii=False) + "\n"


def write_schemas(folder: Path = FOLDER) -> None:
    """Write every schema file into ``folder``."""
    for name in SCHEMAS:
        (folder / name).write_text(schema_text(name), "utf-8", newline="\n")


if __name__ == "__main__":
    write_schemas()
