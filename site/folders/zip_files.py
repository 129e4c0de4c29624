"""Zip files of written folders: equal folders give equal bytes, and a file of them can be held against its mark.

The mark comes first, so that of a file that was cut off it still tells what is missing.
"""

from __future__ import annotations

import hashlib
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from .marks import MARK, OF_SYSTEMS, Differences, Mark, files_in, mark_of

STILL = (1980, 1, 1, 0, 0, 0)
"""Date of every entry: the first that the format knows."""
PACKED = frozenset({".avif", ".webp", ".jpg", ".png", ".pdf", ".pptx", ".mp4", ".webm", ".zip"})
"""Endings of files that do not get smaller."""
MOST_MARK_BYTES = 64_000_000
"""No list of a library's files is longer: what says it is, is none."""
_CHUNK = 1 << 20
_LOCAL = struct.Struct("<4s5HIIIHH")
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError)
"""What reading an entry may raise: its bytes, its method or its place in the file are not as they were."""


@dataclass(frozen=True)
class ZipVerified:
    """What is known of a zip file: its mark, what is not as that says, and whether it is whole as a file."""

    mark: Mark
    found: Differences
    cut_off: bool = False
    """Whether its own end, the directory of its entries, is missing."""


class NoMark(ValueError):
    """A zip file without a sound mark in it."""


def write_zip(target: BinaryIO, files: Iterable[tuple[str, Path | bytes]]) -> None:
    """Write files under their paths (with ``/``) in the order given; dates and rights are the same everywhere.

    Raises:
        OSError: if a file cannot be read or the target not be written.
    """
    with zipfile.ZipFile(target, "w") as packed:
        for name, content in files:
            entry = zipfile.ZipInfo(name, STILL)
            entry.create_system, entry.external_attr = 3, 0o100644 << 16
            stored = PurePosixPath(name).suffix.lower() in PACKED
            entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
            packed.writestr(entry, content if isinstance(content, bytes) else content.read_bytes())


def zip_bytes(files: Mapping[str, bytes]) -> bytes:
    """Return a zip file of ``files`` by path, sorted.

    >>> zip_bytes({"a": b"x", "b": b""}) == zip_bytes({"b": b"", "a": b"x"})
    True
    """
    out = BytesIO()
    write_zip(out, sorted(files.items()))
    return out.getvalue()


def write_folder_zip(target: Path, folder: Path, top: str) -> None:
    """Write a marked folder as the folder ``top`` of a zip file.

    Raises:
        OSError: if a file cannot be read or the target not be written.
    """
    with target.open("xb") as file:
        write_zip(file, ((f"{top}/{name}", folder / name) for name in (MARK, *files_in(folder))))


def verify_zip(file: Path) -> ZipVerified:
    """Compare a zip file of a marked folder with the mark in it; nothing is unpacked.

    Raises:
        NoMark: if it is no zip file, or holds no sound mark.
        OSError: if it cannot be read.
    """
    with file.open("rb") as opened:
        try:
            packed = zipfile.ZipFile(opened)
        except _DAMAGED:
            return _verified(_salvaged(opened), cut_off=True)
        with packed:
            return _verified(_whole(packed), cut_off=False)


_Entries = Iterable[tuple[str, bytes | str]]
"""Path and SHA-256 of each entry, in order, or its content where it is a mark; empty: it is damaged."""


def _verified(entries: _Entries, cut_off: bool) -> ZipVerified:
    found: dict[str, str] = {}
    twice: set[str] = set()
    marks: dict[str, bytes] = {}
    for name, content in entries:
        if isinstance(content, bytes):
            marks[name] = content
            continue
        if name in found:
            twice.add(name)
        found[name] = content
    # The outermost: a library may lie in a folder of any name, or in none.
    at = min(marks, key=lambda n: (n.count("/"), n), default=None)
    mark = mark_of(marks[at]) if at is not None else None
    if at is None or mark is None:
        raise NoMark
    top = at.removesuffix(MARK)
    listed = {f"{top}{f.path}": f for f in mark.files}
    changed = [n for n, f in listed.items() if n in found and (found[n] != f.sha256 or n in twice)]
    foreign = [n for n in (*found, *(m for m in marks if m != at)) if n not in listed and not _of_system(n)]
    return ZipVerified(
        mark,
        Differences(
            tuple(sorted(listed[n].path for n in changed)),
            tuple(sorted(f.path for n, f in listed.items() if n not in found)),
            tuple(sorted(foreign)),
        ),
        cut_off,
    )


def _of_system(name: str) -> bool:
    path = PurePosixPath(name)
    return path.name in OF_SYSTEMS or path.parts[0] == "__MACOSX"


def _whole(packed: zipfile.ZipFile) -> Iterator[tuple[str, bytes | str]]:
    """Yield the entries that the directory of a zip file lists."""
    for entry in packed.infolist():
        if entry.is_dir():
            continue
        name = entry.filename
        try:
            with packed.open(entry) as content:
                if name.rpartition("/")[2] == MARK:
                    yield name, content.read(MOST_MARK_BYTES)
                    continue
                digest = hashlib.sha256()
                while chunk := content.read(_CHUNK):
                    digest.update(chunk)
        except _DAMAGED:
            yield name, ""
            continue
        yield name, digest.hexdigest()


def _salvaged(file: BinaryIO) -> Iterator[tuple[str, bytes | str]]:
    """Yield the entries of a zip file without its end, read one after the other from its begin, as far as they go."""
    file.seek(0)
    while len(head := file.read(_LOCAL.size)) == _LOCAL.size:
        sign, _, flags, method, _, _, _, packed, size, name_bytes, more_bytes = _LOCAL.unpack(head)
        if sign != b"PK\x03\x04" or flags & 0x09:  # encrypted, or its length told after it
            return
        name = file.read(name_bytes).decode("utf-8", "replace")
        file.seek(more_bytes, 1)
        content = file.read(packed)
        if len(content) < packed:
            return
        plain = _unpacked(content, method, size)
        is_mark = name.rpartition("/")[2] == MARK
        if plain is not None and is_mark:
            yield name, plain
        elif not is_mark:
            yield name, "" if plain is None else hashlib.sha256(plain).hexdigest()


def _unpacked(content: bytes, method: int, size: int) -> bytes | None:
    if method == zipfile.ZIP_STORED:
        return content
    if method != zipfile.ZIP_DEFLATED:
        return None
    try:
        return zlib.decompressobj(-15).decompress(content, size)
    except zlib.error:
        return None
