"""Keep the folder of kept pictures from growing without end."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

KEPT = (".zip", ".json")
"""Pictures, and the proof's evidence."""
MOST_BYTES = 2_000_000_000
"""A library of seven heads keeps about 60 MB of pictures."""


def prune(folder: Path, most_bytes: int = MOST_BYTES) -> int:
    """Remove the oldest files of ``folder`` until the others take at most ``most_bytes``; return how many went.

    A file that another build removes or replaces at the same time is passed over.
    """
    found = []
    for path in (p for p in folder.rglob("*") if p.suffix in KEPT):
        with suppress(OSError):
            status = path.stat()
            found.append((status.st_mtime, status.st_size, path))
    total, gone = sum(size for _, size, _ in found), 0
    for _, size, path in sorted(found):
        if total <= most_bytes:
            break
        with suppress(OSError):
            path.unlink()
            gone += 1
        total -= size
    return gone
