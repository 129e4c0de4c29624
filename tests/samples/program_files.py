"""The program's own files, as the checks of its structure see them: all modules, and what each imports."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "site" / "demo" / "fleet.yaml"
ROOMS = ("geometry", "sequences", "render", "site")
"""Lowest first: a room may import those before it."""


def modules(root: Path = ROOT) -> list[Path]:
    """Return all module files of the four rooms below ``root``, package docstrings left out, sorted."""
    found = (f for room in ROOMS for f in (root / room).rglob("*.py"))
    return sorted(f for f in found if f.name != "__init__.py")


def module_of(file: Path, root: Path = ROOT) -> str:
    """Return the dotted name under which a module of the program is imported."""
    return ".".join(("benchleaf", *file.relative_to(root).with_suffix("").parts))


def imports_in(file: Path, root: Path = ROOT) -> Iterator[str]:
    """Yield the dotted name of everything of ``benchleaf`` that ``file`` imports, wherever it stands in it.

    ``from .. import x`` yields the package and ``x`` in it, since ``x`` may be a module.
    """
    package = module_of(file, root).split(".")[:-1]
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.split(".")[0] == "benchleaf")
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            name = ".".join([*base, *([node.module] if node.module else [])])
            if name.split(".")[0] == "benchleaf":
                yield name
                yield from (f"{name}.{a.name}" for a in node.names)


def import_graph(root: Path = ROOT) -> dict[str, set[str]]:
    """Return each module's dotted name with those of the modules that it imports."""
    names = {module_of(f, root): f for f in modules(root)}
    return {name: {i for i in imports_in(f, root) if i in names} for name, f in names.items()}
