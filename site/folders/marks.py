"""The mark of a folder: which verb wrote it, and every file in it with its size and SHA-256.

It is JSON Lines: a head, a line a file in the order of their paths, and the SHA-256 of all lines before as the last.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal

MARK = ".benchleaf"
"""File at the top of every folder written here; only a folder that holds it is ever replaced."""
KEPT_VALUES = ".benchleaf-values"
"""File beside it in a library: what the next build has to know of this one's values."""
KEPT_PUMPS = ".benchleaf-pumps"
"""And of its booklets: options, parts, values and steps of each."""
OF_SYSTEMS = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file managers leave in any folder that is looked into: nobody's work."""
READERS = 4
"""Files are read side by side: hashing leaves the interpreter free."""

Verb = Literal["build", "export", "evidence", "records"]

_LOOKS_LIKE: dict[Verb, re.Pattern[str]] = {
    "build": re.compile(
        r"(index|missing)\.html|(missing|doubts)\.csv|([^/]+/)?assets/[^/]+\.(css|js|txt)"
        r"|[^/]+/([^/]+\.html|pictures/[^/]+\.(json|webp|avif|jpg|png)|evidence/[^/]+\.json)"
    ),
    "export": re.compile(r"[^/]+\.(step|glb)|[^/]+/[^/]+\.svg"),
    "records": re.compile(r"index\.html|(readings|drift)\.csv|plots/[^/]+\.svg|assets/[^/]+\.(css|js|txt)"),
    "evidence": re.compile(r"index\.html|assets/[^/]+\.(css|js|txt)|[^/]+/[^/]+\.json"),
}
"""Paths that a verb writes, for folders whose mark has no list: earlier versions wrote none."""


@dataclass(frozen=True)
class ListedFile:
    """A file as it was written: its path in the folder, with ``/`` between names."""

    path: str
    bytes: int
    sha256: str


@dataclass(frozen=True)
class Mark:
    """Who wrote a folder, and what."""

    verb: Verb
    files: tuple[ListedFile, ...] = ()


@dataclass(frozen=True)
class MarkHead:
    """First line of a mark."""

    form: Literal[2]
    verb: Verb


@dataclass(frozen=True)
class Differences:
    """What is not as the mark says, by path, sorted."""

    changed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.changed or self.missing or self.foreign)


def files_in(folder: Path) -> list[str]:
    """Return the path of each file below ``folder``, sorted, without its mark and what systems leave.

    A link is a file here, wherever it leads: it is not followed.

    Raises:
        OSError: if a folder cannot be read.
    """
    return sorted(_walk(folder, ""))


def _walk(folder: Path, above: str) -> Iterator[str]:
    with os.scandir(folder) as entries:
        for entry in entries:
            path = f"{above}{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(Path(entry.path), f"{path}/")
            elif path != MARK and entry.name not in OF_SYSTEMS:
                yield path


def make_mark(folder: Path, verb: Verb, known: Mapping[str, str] | None = None) -> Mark:
    """Return the mark of all that is in ``folder`` now.

    Args:
        folder: the folder, which nobody writes to meanwhile.
        verb: the verb that wrote it.
        known: SHA-256 by path of files whose bytes the caller had in hand; these are not read again.

    Raises:
        OSError: if a file cannot be read.
    """
    paths, known = files_in(folder), known or {}
    found = dict(_hashes(folder, (p for p in paths if p not in known))) | dict(known)
    return Mark(verb, tuple(ListedFile(p, os.lstat(f"{folder}/{p}").st_size, found[p]) for p in paths))


def _hashes(folder: Path, paths: Iterable[str]) -> Iterator[tuple[str, str]]:
    with ThreadPoolExecutor(READERS) as pool:
        yield from pool.map(lambda path: (path, file_hash(folder / path)), paths)


def file_hash(path: Path) -> str:
    """Return the SHA-256 of a file; empty for what is no file: a link, a device or a pipe is not opened.

    Raises:
        OSError: if it cannot be read.
    """
    if not stat.S_ISREG(path.lstat().st_mode):
        return ""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def write_mark(folder: Path, mark: Mark) -> None:
    """Write the mark of ``folder``.

    Raises:
        OSError: if it cannot be written.
    """
    (folder / MARK).write_bytes(mark_bytes(mark))


def mark_bytes(mark: Mark) -> bytes:
    """Return the text of a mark's file: equal marks give equal bytes."""
    lines = [vars(MarkHead(2, mark.verb)), *map(vars, mark.files)]
    body = b"".join(json.dumps(line, separators=(",", ":")).encode() + b"\n" for line in lines)
    return body + b'{"sha256":"%s"}\n' % hashlib.sha256(body).hexdigest().encode()


def read_mark(folder: Path) -> Mark | None:
    """Return the mark of ``folder``; None where there is none, or one without a sound list.

    Raises:
        OSError: if it is there and cannot be read.
    """
    return mark_of((folder / MARK).read_bytes()) if has_mark(folder) else None


@lru_cache(maxsize=2)
def mark_of(content: bytes) -> Mark | None:
    """Return the mark that its file holds, None if it is damaged; a build reads its own folder's more than once."""
    from ...sequences.work.json_data import from_json

    head, _, rest = content.partition(b"\n")
    try:
        mark = Mark(
            from_json(MarkHead, head).verb,
            tuple(from_json(ListedFile, line) for line in rest.splitlines()[:-1]),
        )
    except ValueError:
        return None
    return mark if mark_bytes(mark) == content else None


def has_mark(folder: Path) -> bool:
    """Return whether a folder holds a mark, sound or not."""
    try:
        return stat.S_ISREG((folder / MARK).lstat().st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False


def differences(folder: Path, mark: Mark) -> Differences:
    """Return what is not as ``mark`` says; every file is read, but none that the mark does not list.

    Raises:
        OSError: if a file cannot be read.
    """
    listed, there = {f.path: f for f in mark.files}, files_in(folder)
    alike_size = [p for p in there if p in listed and (folder / p).lstat().st_size == listed[p].bytes]
    found = dict(_hashes(folder, alike_size))
    return Differences(
        tuple(p for p in there if p in listed and found.get(p) != listed[p].sha256),
        tuple(sorted(listed.keys() - set(there))),
        tuple(p for p in there if p not in listed),
    )


def strangers(folder: Path, verb: Verb) -> list[str]:
    """Return the files of a folder that would be lost if ``verb`` replaced it.

    These are files that its mark does not list, and tables that somebody has filled in since. Pages and pictures are
    made again, changed or not. Where the mark has no list, each path has to look like one that ``verb`` writes.
    Without a mark, every file would.

    Raises:
        OSError: if a folder cannot be read.
    """
    mark, there = read_mark(folder), files_in(folder)
    if not has_mark(folder):
        return there
    if mark is None:
        return [p for p in there if not _LOOKS_LIKE[verb].fullmatch(p)]
    listed = {f.path: f.sha256 for f in mark.files}
    filled_in = (
        p for p in there if p.endswith(".csv") and listed.get(p) not in (None, file_hash(folder / p))
    )
    return sorted({*(p for p in there if p not in listed), *filled_in})
