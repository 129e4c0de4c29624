"""The data of the files that come along, for examples of how a key is written."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from ...sequences.files.faults import Faults
from ...sequences.files.yaml_files import read_yaml
from ...sequences.steps.cautions import DATA
from ...sequences.steps.sequence_file import CHECKLISTS, SHIPPED

_HERE = Path(__file__).parent
_DEMO = _HERE.parent / "demo"


@cache
def example_files() -> tuple[tuple[str, Any], ...]:
    """Return each shipped file's kind with its data."""
    files = [
        ("fleet file", _DEMO / "fleet.yaml"),
        ("fleet file", _HERE / "starter.yaml"),
        ("cautions file", _DEMO / "cautions.yaml"),
        ("cautions file", DATA / "cautions.yaml"),
        ("file of additions", _HERE / "starter_additions.yaml"),
        *(("sequence file", DATA / f"{name}.yaml") for name in (*SHIPPED, *CHECKLISTS)),
    ]
    found = []
    for kind, file in files:
        doc = read_yaml(file, Faults())
        if doc is not None:
            found.append((kind, doc.data))
    return tuple(found)
