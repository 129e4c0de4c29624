"""A cache of finished pictures: a folder of files named by the hash of all that a picture depends on.

Nothing is ever changed in place: a file is written beside its place, flushed and moved in whole, so that any number
of processes may use one folder without a lock. A file that cannot be read counts as missing.
"""

from __future__ import annotations

import contextlib
import hashlib
import zipfile
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

from ...sequences.work.atomic_write import write_whole
from ...sequences.work.code_hash import code_hash

DRAWING = tuple(f"render.pictures.{name}" for name in ("step_pictures", "overview", "pairs"))
"""Whose code pictures rest on."""
LIBRARIES = ("cadquery-ocp", "vtk", "numpy", "pillow")
_EPOCH = (1980, 1, 1, 0, 0, 0)


def digest(*parts: object) -> str:
    """Return the hex digest of the code and of ``parts``, whose ``repr`` must say all that matters of them."""
    h = hashlib.sha256(code_hash(*DRAWING, libraries=LIBRARIES).encode())
    for part in parts:
        h.update(repr(part).encode())
        h.update(b"\0")
    return h.hexdigest()


class PictureCache:
    """Entries of named bytes under a digest, in a folder made when it is first needed."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)

    def get(self, key: str) -> dict[str, bytes] | None:
        """Return the entry under ``key``, None if there is none or it cannot be read."""
        try:
            with zipfile.ZipFile(self._path(key)) as box:
                return {name: box.read(name) for name in box.namelist()}
        except (OSError, zipfile.BadZipFile, KeyError, EOFError):
            return None

    def put(self, key: str, entry: Mapping[str, bytes]) -> None:
        """Store ``entry`` under ``key``; a folder that cannot be written to only costs the next run its time."""
        out = BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as box:
            for name in sorted(entry):
                box.writestr(zipfile.ZipInfo(name, _EPOCH), entry[name])
        with contextlib.suppress(OSError):
            write_whole(self._path(key), out.getvalue())

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / f"{key}.zip"
