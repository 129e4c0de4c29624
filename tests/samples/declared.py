"""What ``pyproject.toml`` declares, what the code imports, and what is installed."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib import metadata
from pathlib import Path

from program_files import ROOMS, ROOT

NAME = re.compile(r"[A-Za-z0-9._-]+")


def canonical(name: str) -> str:
    """Return the name of a distribution as all spellings of it compare."""
    return re.sub(r"[-_.]+", "-", name).lower()


@cache
def requirements(extra: str = "") -> tuple[str, ...]:
    """Return the requirements of the program, or of one of its extras, as they are written."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    return tuple(project["optional-dependencies"][extra] if extra else project["dependencies"])


def declared(extra: str = "") -> frozenset[str]:
    """Return the names of the distributions that are required."""
    found = (NAME.match(r) for r in requirements(extra))
    return frozenset(canonical(m[0]) for m in found if m)


def pinned() -> dict[str, str]:
    """Return the exact versions of the test extra."""
    pairs = (r.partition("==") for r in requirements("test"))
    return {canonical(name): version for name, mark, version in pairs if mark}


def installed(names: Iterable[str]) -> dict[str, str]:
    """Return the versions of distributions that are installed."""
    return {name: metadata.version(name) for name in names}


def files(top: Path, folders: Iterable[str]) -> list[Path]:
    """Return all Python files below ``folders`` of ``top``, sorted."""
    return sorted(f for folder in folders for f in (top / folder).rglob("*.py"))


def imported(file: Path) -> Iterator[str]:
    """Yield the top-level name of everything that a file imports of others, wherever it stands in it."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (a.name.split(".")[0] for a in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
            yield node.module.split(".")[0]


def distributions(module: str) -> frozenset[str]:
    """Return the distributions that bring a top-level module, in canonical spelling; its own name where none is known.

    A module that is one compiled file is not in the index of packages: it is called as its distribution is.
    """
    found = _packages().get(module, [module])
    return frozenset(canonical(name) for name in found)


@cache
def _packages() -> dict[str, list[str]]:
    return dict(metadata.packages_distributions())


def foreign(top: Path, folders: Iterable[str], own: Iterable[str] = ("benchleaf",)) -> dict[str, Path]:
    """Return the top-level modules of others that files import, each with the first file that does."""
    known = {*sys.stdlib_module_names, *own}
    found: dict[str, Path] = {}
    for file in files(top, folders):
        for name in imported(file):
            if name not in known:
                found.setdefault(name, file)
    return found


def undeclared(
    names: frozenset[str],
    top: Path = ROOT,
    folders: Iterable[str] = ROOMS,
    own: Iterable[str] = ("benchleaf",),
) -> list[str]:
    """Return each module that is imported though none of ``names`` brings it, with the file that does."""
    found = foreign(top, folders, own).items()
    return [f"{f.relative_to(top)}: {name}" for name, f in found if not distributions(name) & names]
