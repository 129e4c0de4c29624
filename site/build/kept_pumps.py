"""What was in each booklet of the build before, kept in a file of the library's own."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from ...sequences.work.json_data import from_json, json_bytes
from ..folders.marks import KEPT_PUMPS
from ..pages.library.pump_changes import KeptPumps


def read_kept_pumps(library: Path) -> KeptPumps:
    """Return what the last build of this library kept; nothing where there is none or it cannot be read."""
    with suppress(OSError, ValueError):
        return from_json(KeptPumps, (library / KEPT_PUMPS).read_bytes())
    return KeptPumps()


def write_kept_pumps(kept: KeptPumps, library: Path) -> None:
    """Write it into a library.

    Raises:
        OSError: if it cannot be written.
    """
    (library / KEPT_PUMPS).write_bytes(json_bytes(kept))
