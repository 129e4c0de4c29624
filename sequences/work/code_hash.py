"""The hash of the code behind a result: the module that makes it, all that it imports of ours, and library versions.

What is kept from build to build is keyed by it, so a change anywhere else in the program makes nothing anew. Imports
are read from the files as text, those inside functions too, so that nothing is imported to find them.
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from importlib import metadata
from pathlib import Path

ROOMS = Path(__file__).parents[2]
"""The folder that holds the four rooms, in a checkout as in an installed package."""
PACKAGE = "benchleaf"
_IMPORT = re.compile(
    r"^[ \t]*(?:from[ \t]+(?P<module>[.\w]+)[ \t]+import[ \t]*(?P<names>\([^)]*\)|[^\n]*)"
    r"|import[ \t]+(?P<modules>[^\n]+))",
    re.M,
)
"""Finds more rather than less (a line of a text that reads like an import): a key may rest on too much, never on too
little. A walk over the parsed files takes ten times as long."""
_NAME = re.compile(r"\w+")


@cache
def imports_of(file: Path, rooms: Path = ROOMS) -> frozenset[Path]:
    """Return the files of this program that ``file`` imports, package docstrings left out.

    Args:
        file: a module's file below ``rooms``.
        rooms: the folder that holds the rooms.
    """
    own = file.relative_to(rooms).parts[:-1]
    found: set[Path] = set()
    for said in _IMPORT.finditer(file.read_text("utf-8")):
        if said["module"] is not None:
            dots = len(said["module"]) - len(said["module"].lstrip("."))
            module = tuple(filter(None, said["module"][dots:].split(".")))
            if dots:
                module = (*own[: len(own) - dots + 1], *module)
            elif module[:1] == (PACKAGE,):
                module = module[1:]
            else:
                continue
            targets = [(*module, name) for name in _NAME.findall(said["names"])] + [module]
        else:
            names = (tuple(n.split()[0].split(".")) for n in said["modules"].split(",") if n.strip())
            targets = [n[1:] for n in names if n[0] == PACKAGE]
        for target in targets:
            there = rooms.joinpath(*target[:-1], f"{target[-1]}.py") if target else rooms
            if there.is_file():
                found.add(there)
    return frozenset(found)


def code_files(*modules: str, rooms: Path = ROOMS) -> tuple[Path, ...]:
    """Return all files that the results of ``modules`` rest on, sorted: code, and tables beside it.

    Args:
        modules: dotted from the room on, such as ``render.pictures.pairs``.
        rooms: the folder that holds the rooms.

    Raises:
        FileNotFoundError: if there is no such module.
    """
    waiting = [rooms.joinpath(*m.split(".")).with_suffix(".py") for m in modules]
    reached: set[Path] = set()
    while waiting:
        file = waiting.pop()
        if file not in reached:
            reached.add(file)
            waiting += imports_of(file, rooms)
    tables = {t for folder in {f.parent for f in reached} for t in folder.glob("*.csv")}
    return tuple(sorted(reached | tables))


@cache
def code_hash(*modules: str, libraries: tuple[str, ...] = (), rooms: Path = ROOMS) -> str:
    """Return the hex digest of :func:`code_files` and of the versions of ``libraries`` (names of distributions)."""
    h = hashlib.sha256()
    for file in code_files(*modules, rooms=rooms):
        h.update(file.relative_to(rooms).as_posix().encode() + b"\0" + file.read_bytes() + b"\0")
    for name in libraries:
        try:
            version = metadata.version(name)
        except metadata.PackageNotFoundError:
            version = "absent"
        h.update(f"{name} {version}\n".encode())
    return h.hexdigest()
