"""The published JSON Schemas of the files that people edit, made from the same models that check them; and of records,
as the record sheet exports them.

What a value is called and where to look for it stands in the catalogues of words, so those who write the files give it:
see :mod:`benchleaf.site.extras.schema_files`, which writes them all.

API::

    SCHEMAS: dict[file name, model]
    schema_text(name, values) -> str
    write_schemas(values, folder)
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..additions.addition_form import AdditionsFile
from ..files.file_models import FileModel
from ..records.record_form import RecordFile
from ..steps.cautions import CautionsFile
from ..steps.conditions import OPTION_NAMES
from ..steps.sequence_form import SequenceFile
from .fleet_file import FleetFile, HeadText, ValuesByName
from .user_assembly import UserAssemblyFile

FOLDER = Path(__file__).parents[1] / "data"
SCHEMAS: dict[str, type[FileModel]] = {
    "schema_fleet.json": FleetFile,
    "schema_sequence.json": SequenceFile,
    "schema_cautions.json": CautionsFile,
    "schema_additions.json": AdditionsFile,
    "schema_assembly.json": UserAssemblyFile,
    "schema_record.json": RecordFile,
}


def make_schema(model: type[FileModel], values: Mapping[str, str]) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a file model.

    Args:
        model: the form of the file.
        values: value name to its description for people; of an option of a head too, where there is one.

    Raises:
        KeyError: if a value has no description.
    """
    schema = model.model_json_schema(by_alias=True)
    listed = schema.get("$defs", {}).get(ValuesByName.__name__, {"properties": {}})
    for name, field in listed["properties"].items():
        field["description"] = values[name]
    head = schema.get("$defs", {}).get(HeadText.__name__, {"properties": {}})["properties"]
    for name in (n for n in OPTION_NAMES if n in head and n in values):
        head[name]["description"] = values[name]
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


def schema_text(name: str, values: Mapping[str, str]) -> str:
    """Return the text of a schema file; ``values`` as :func:`make_schema` takes them.

    Raises:
        KeyError: if there is no schema of that name, or a value has no description.
    """
    return json.dumps(make_schema(SCHEMAS[name], values), indent=2, ensure_ascii=False) + "\n"


def write_schemas(values: Mapping[str, str], folder: Path = FOLDER) -> None:
    """Write every schema file into ``folder``; ``values`` as :func:`make_schema` takes them."""
    for name in SCHEMAS:
        (folder / name).write_text(schema_text(name, values), "utf-8", newline="\n")
