"""Whether a file means to be a fleet or a user's own assembly, by its keys; nothing else of it is judged."""

from __future__ import annotations

from pathlib import Path

from ..files.faults import Faults
from ..files.yaml_files import read_yaml


def is_user_assembly(path: Path) -> bool:
    """Return whether a file means to be a user's own assembly and no fleet: it has the key ``assembly`` or ``parts``.

    A file that cannot be read is taken for a fleet, whose reader then says why.
    """
    doc = read_yaml(path, Faults())
    return doc is not None and isinstance(doc.data, dict) and not {"assembly", "parts"}.isdisjoint(doc.data)
