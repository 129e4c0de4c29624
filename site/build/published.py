"""The published JSON Schemas under the names by which files lie beside them: in a new fleet, and in each library."""

from __future__ import annotations

from ...sequences.fleet.schemas import FOLDER
from ...sequences.fleet.schemas import SCHEMAS as FORMS

SCHEMAS = "schemas"
"""Folder with the schemas, of a new fleet and of each library."""


def published_schemas() -> dict[str, bytes]:
    """Return each schema's name for editors, such as ``fleet.schema.json``, with its bytes."""
    names = {name: f"{name.removeprefix('schema_').removesuffix('.json')}.schema.json" for name in FORMS}
    return {there: (FOLDER / name).read_bytes() for name, there in names.items()}
