"""Where pictures and evidence are kept from build to build, and how much of them."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

KEPT = (".zip", ".json")
"""Pictures, and the proof's evidence."""
MOST_BYTES = 2_000_000_000
"""A library of seven heads keeps about 60 MB of pictures."""


def cache_folder() -> Path:
    """Return the folder in which results are kept: ``BENCHLEAF_CACHE``, else the system's own place for such files."""
    from platformdirs import user_cache_path

    given = os.environ.get("BENCHLEAF_CACHE")
    return Path(given) if given else user_cache_path("benchleaf", appauthor=False) / "pictures"


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
