"""The published JSON Schemas under the names by which files lie beside them: in a new fleet, and in each library."""

from __future__ import annotations

from ...sequences.fleet.schemas import FOLDER, SCHEMAS


def published_schemas() -> dict[str, bytes]:
    """Return each schema's name for editors, such as ``fleet.schema.json``, with its bytes."""
    return {
        f"{name.removeprefix('schema_').removesuffix('.json')}.schema.json": (FOLDER / name).read_bytes()
        for name in SCHEMAS
    }
