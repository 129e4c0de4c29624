"""Finished pictures: manifest and files, put into the store and taken from it. Nothing here draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePath

from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ..drawing.manifest import Manifest

FILM = "film"
"""Under which a picture's content holds its short film."""


@dataclass(frozen=True)
class Picture:
    """A finished picture: its manifest and its files' content, format (or :data:`FILM`) to bytes."""

    manifest: Manifest
    content: Mapping[str, bytes]

    def write(self, folder: Path) -> None:
        """Write :meth:`files` into ``folder``."""
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in self.files().items():
            (folder / name).write_bytes(content)

    def files(self) -> dict[str, bytes]:
        """Return the content of the picture's files, its film and its manifest (``name.json``), by name."""
        found = {name: self.content[ending] for ending, name in self.manifest.files.items()}
        if self.manifest.film is not None:
            found[self.manifest.film.file] = self.content[FILM]
        stem = PurePath(next(iter(self.manifest.files.values()))).stem
        return {**found, f"{stem}.json": self.manifest.as_json().encode()}

    def as_entry(self) -> dict[str, bytes]:
        """Return the picture as an entry of a :class:`....sequences.work.store.Store`."""
        return {**self.content, "manifest": self.manifest.as_json().encode()}

    @classmethod
    def from_entry(cls, entry: Mapping[str, bytes]) -> Picture:
        """Return the picture of :meth:`as_entry`."""
        content = dict(entry)
        manifest = Manifest.from_json(content.pop("manifest").decode())
        return cls(manifest, content)


def kept_picture(store: Store, key: TaskKey) -> Picture | None:
    """Return the picture kept under ``key``, None where there is none."""
    entry = store.get(key.digest)
    try:
        return Picture.from_entry(entry) if entry is not None else None
    except (KeyError, ValueError):
        return None
