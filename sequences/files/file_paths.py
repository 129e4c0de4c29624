"""The guard of every file that a data file names: in the data file's own folder, or a fault like any other."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from .faults import Faults, any_of, likely, shown
from .yaml_files import Path as NodePath
from .yaml_files import YamlFile

DEVICE_NAMES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in (*range(10), "¹", "²", "³"))}
)
"""Names that mean a device on Windows, whatever ending follows; no file can have one there."""
MOST_BYTES = 255
"""Length of one name in a path that every file system in use takes, in bytes of UTF-8."""
COPY = "copy the file into the folder"


@dataclass(frozen=True)
class NamedFrom:
    """Where a file is named: the data file, whose folder it must lie in, and the place in ``doc`` that names it."""

    data_file: Path
    doc: YamlFile
    at: NodePath
    folder_words: str
    """What people call the folder."""


def is_device_name(name: str) -> bool:
    """Return whether a name means a device on Windows.

    >>> is_device_name("NUL.csv"), is_device_name("null.csv")
    (True, False)
    """
    return name.split(".")[0].rstrip(" ").casefold() in DEVICE_NAMES


def file_in_folder(name: str, endings: Sequence[str], named: NamedFrom, faults: Faults) -> Path | None:
    """Return the file that ``name`` means, all links followed; None with one fault where there is none to be read.

    Args:
        name: relative, with ``/`` between folders, as it was written.
        endings: allowed ones, with their dot, in small letters.
        named: where it was found.
        faults: takes the fault, whose place is that of the name.
    """
    folder = named.data_file.parent.resolve()
    allowed = f"a {any_of(endings)} file in {named.folder_words}"
    said = shown("".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in name))

    def refuse(what: str = "", fix: str = COPY, allowed: str = allowed) -> None:
        faults.add(named.doc.fault(named.at, said + what, allowed, fix))

    trouble = _trouble(name)
    if trouble is not None:
        refuse(trouble, allowed=f"{allowed}, written with /")
        return None
    path = folder / name
    try:
        real = path.resolve()
        there, is_file = real.exists(), real.is_file()
    except (
        OSError,
        ValueError,
        RuntimeError,
    ):  # a link that leads to itself, a name that this system cannot have
        refuse(", a name that cannot be followed on this system")
        return None
    if not real.is_relative_to(folder):
        refuse(", a link that leaves the folder")
    elif path.suffix.casefold() not in endings:
        refuse(fix="check the ending of its name")
    elif is_file:
        return real
    elif there:
        refuse(", which is no file", "name a file")
    else:
        near = likely(name, _others(path.parent, folder, endings, named.data_file.name))
        refuse(", which is not there", f"write {near}" if near else "")
    return None


def folder_in_folder(name: str, named: NamedFrom, faults: Faults) -> Path | None:
    """Return the folder that ``name`` means, beside the data file; None with one fault where there is none.

    Args:
        name: relative, with ``/`` between folders, as it was written.
        named: where it was found.
        faults: takes the fault, whose place is that of the name.
    """
    folder = named.data_file.parent.resolve()
    trouble = _trouble(name)
    path = folder / name if trouble is None else folder
    if trouble is None and path.is_dir() and path.resolve().is_relative_to(folder):
        return path.resolve()
    what = ", which is not there" if trouble is None and not path.exists() else trouble or ""
    near = likely(name, [p.name for p in folder.iterdir() if p.is_dir()])
    fix = f"write {near}" if near and near != name else "make the folder, or take the line away"
    faults.add(named.doc.fault(named.at, shown(name) + what, f"a folder in {named.folder_words}", fix))
    return None


def _trouble(name: str) -> str | None:
    """Return what is wrong with a name wherever it is tried, empty where it needs no words, None where nothing is."""
    parts = PurePosixPath(name).parts
    if any(unicodedata.category(c) in ("Cc", "Cs") for c in name):
        return ", which holds a character that no name may hold"
    if "\\" in name or ":" in name or name.startswith("/") or ".." in parts or not parts:
        return ""
    if any(len(p.encode()) > MOST_BYTES for p in parts) or len(name) > 4 * MOST_BYTES:
        return ", which is too long for a name"
    device = next((p for p in parts if is_device_name(p)), None)
    return None if device is None else f", where {device} names a device on Windows"


def _others(beside: Path, folder: Path, endings: Sequence[str], data_file: str) -> Iterator[str]:
    """Yield the names of the files that might be meant."""
    for path in beside.glob("*"):
        if path.suffix.casefold() in endings and path.name != data_file:
            yield path.relative_to(folder).as_posix()
