"""The store: results kept from build to build under the keys of their inputs, each checked when it is read.

An entry is a small index of names and the hashes of their contents; contents lie once each under their own hash, so two
pumps of one design share their pictures. Files are written beside their place and moved in whole: any number of
processes, on any number of machines that see the folder, may use one store without a lock. What is damaged or gone
counts as missing and is made again; nothing is removed for it, since another process may just have put it
right. A store that cannot be written costs the next build its time, and nothing else.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from os.path import isfile
from pathlib import Path

from .atomic_write import write_whole

_DIGEST = re.compile(r"[0-9a-f]{64}")
FORM = 1
"""Of the folder's layout; another form lies in a folder of its own."""


@dataclass(frozen=True)
class StoreSize:
    """What a store holds."""

    entries: int
    bytes: int


@dataclass
class Store:
    """Named contents under keys (lower-case hex), in a folder made when it is first needed."""

    folder: Path
    spare: Path | None = None
    """Folder that takes what ``folder`` cannot, for as long as whoever gave it keeps it."""
    doubted: bool = False
    """Whether something in it was found damaged: from then on nothing counts as there that has not been read."""
    unwritable: str = field(default="", compare=False)
    """Why the last write failed, empty while all went well; to be said once."""

    @property
    def _home(self) -> Path:
        return self.folder / f"form-{FORM}"

    @property
    def _other(self) -> Store | None:
        return Store(self.spare) if self.spare is not None else None

    def _index(self, key: str) -> Path:
        return self._home / "index" / key[:2] / key

    def _blob(self, digest: str) -> Path:
        return Path(self._blob_name(digest))

    def _blob_name(self, digest: str) -> str:
        # A large library asks for tens of thousands; a Path of each would take longer than the question.
        return f"{self.folder}/form-{FORM}/contents/{digest[:2]}/{digest}"

    def names(self, key: str) -> dict[str, str] | None:
        """Return the names of an entry with the SHA-256 of each content, None where there is no sound index."""
        path = self._index(key)
        try:
            seal, _, text = path.read_bytes().partition(b"\n")
            if seal != _sha(key.encode() + text).encode():
                return None
            found = _digests(text)
        except (OSError, ValueError):
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return found

    def has(self, key: str) -> bool:
        """Return whether there is an entry, as far as can be told without reading its contents; doubted, by reading."""
        if self.doubted:
            return self.get(key) is not None
        names = self.names(key)
        if names is not None and all(isfile(self._blob_name(d)) for d in names.values()):  # noqa: PTH113
            return True
        return self._other is not None and self._other.has(key)

    def get(self, key: str) -> dict[str, bytes] | None:
        """Return the contents of an entry by name, None where any of them is missing or damaged."""
        found = self.get_hashed(key)
        return None if found is None else {name: content for name, (content, _) in found.items()}

    def get_hashed(self, key: str) -> dict[str, tuple[bytes, str]] | None:
        """Return :meth:`get`, each content with its SHA-256, which it was just held to."""
        found = self._get_hashed(key)
        return found if found is not None or self._other is None else self._other.get_hashed(key)

    def _get_hashed(self, key: str) -> dict[str, tuple[bytes, str]] | None:
        names = self.names(key)
        if names is None:
            return None
        contents: dict[str, tuple[bytes, str]] = {}
        for name, digest in names.items():
            content = self._read(digest)
            if content is None:
                return None
            contents[name] = content, digest
        return contents

    def _read(self, digest: str) -> bytes | None:
        try:
            with open(self._blob_name(digest), "rb") as file:  # noqa: PTH123
                content = file.read()
        except OSError:
            return None
        return content if _sha(content) == digest else None

    def put(self, key: str, contents: Mapping[str, bytes]) -> None:
        """Keep ``contents`` under ``key``.

        Raises:
            OSError: if there is a spare folder, and that cannot be written either.
        """
        try:
            self._put(key, contents)
        except OSError as e:
            self.unwritable = self.unwritable or str(e)
            if self._other is not None:
                self._other._put(key, contents)

    def _put(self, key: str, contents: Mapping[str, bytes]) -> None:
        names = {name: self._keep(contents[name]) for name in sorted(contents)}
        text = json.dumps(names, separators=(",", ":")).encode()
        write_whole(self._index(key), _sha(key.encode() + text).encode() + b"\n" + text)

    def _keep(self, content: bytes) -> str:
        digest = _sha(content)
        if self._read(digest) is None:
            write_whole(self._blob(digest), content)
        return digest

    def size(self) -> StoreSize:
        """Return the number of entries, and the bytes of all files."""
        files = list(self._files())
        return StoreSize(
            sum(p.parent.parent.name == "index" for p, _ in files), sum(s.st_size for _, s in files)
        )

    def _files(self) -> Iterator[tuple[Path, os.stat_result]]:
        for path in self._home.glob("*/*/*"):
            with contextlib.suppress(OSError):
                yield path, path.stat()

    def clear(self) -> None:
        """Remove all that is kept, of this and other forms; other files in the folder stay."""
        for form in self.folder.glob("form-*"):
            shutil.rmtree(form, ignore_errors=True)

    def prune(self, most_bytes: int) -> None:
        """Remove the entries not used for longest until the rest is within ``most_bytes``, and contents of no entry."""
        files = dict(self._files())
        over = sum(s.st_size for s in files.values()) - most_bytes
        if over <= 0:
            return
        entries = sorted((s.st_mtime, p) for p, s in files.items() if p.parent.parent.name == "index")
        users: dict[str, int] = {}
        held: dict[Path, list[str]] = {}
        for _, path in entries:
            try:
                held[path] = list(set(_digests(path.read_bytes().partition(b"\n")[2]).values()))
            except (OSError, ValueError):
                held[path] = []
            for digest in held[path]:
                users[digest] = users.get(digest, 0) + 1
        sizes = {p.name: s.st_size for p, s in files.items() if p.parent.parent.name == "contents"}
        for digest in sizes.keys() - users.keys():
            over -= sizes[digest]
            _remove(self._blob(digest))
        for _, path in entries:
            if over <= 0:
                return
            over -= files[path].st_size
            _remove(path)
            for digest in held[path]:
                users[digest] -= 1
                if not users[digest]:
                    over -= sizes.get(digest, 0)
                    _remove(self._blob(digest))


def _digests(text: bytes) -> dict[str, str]:
    """Return the digests of an index by name.

    Raises:
        ValueError: if it holds anything else: an index that a stranger has laid there must not lead out of the store.
    """
    found = json.loads(text)
    if not isinstance(found, dict) or not all(
        isinstance(d, str) and _DIGEST.fullmatch(d) for d in found.values()
    ):
        raise ValueError("no digests")
    return found


def _sha(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()
