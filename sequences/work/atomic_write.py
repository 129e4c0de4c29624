"""Files that are there whole or not at all, however many processes write them and wherever one of them ends."""

from __future__ import annotations

import os
import uuid
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Write ``content`` beside ``path``, flush it, and move it in place; a folder that is missing is made.

    Its rights are those of any new file, so that a library on a shared drive can be read by all. What was at ``path``
    stays where this fails, and nothing is left beside it.

    Raises:
        OSError: if it cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{uuid.uuid4().hex}.part")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
