"""Which markers a test module has by what it imports: ``gl`` where it may draw, ``browser`` where it opens pages."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Set
from functools import cache
from pathlib import Path

from program_files import import_graph

SAMPLES = Path(__file__).parent
WINDOWS = frozenset({"benchleaf.render.engine.window", "benchleaf.render.engine.gl_probe"})
"""The modules that open windows of the graphics library: what imports one, or imports what does, may draw."""
BROWSING = "browsing"
"""The helper module that drives a browser."""


def imported(file: Path) -> Iterator[str]:
    """Yield the dotted name of everything that ``file`` imports, of ``from a import b`` both ``a`` and ``a.b``."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{a.name}" for a in node.names)


def reaching(graph: Mapping[str, Set[str]], targets: Set[str]) -> set[str]:
    """Return ``targets`` and all modules of ``graph`` that import one of them, or import what does."""
    found = set(targets)
    while more := {name for name, wanted in graph.items() if name not in found and wanted & found}:
        found |= more
    return found


@cache
def drawing_modules() -> frozenset[str]:
    """Return the modules of the picture room that open windows, themselves or through what they import."""
    return frozenset(n for n in reaching(import_graph(), WINDOWS) if n.startswith("benchleaf.render."))


def marks_of(file: Path, samples: Path = SAMPLES) -> set[str]:
    """Return the markers of a test module: of what it imports itself, and of the helper modules that it imports."""
    marks, todo, seen = set[str](), [file], set[Path]()
    while todo:
        one = todo.pop()
        seen.add(one)
        names = set(imported(one))
        if names & drawing_modules():
            marks.add("gl")
        if BROWSING in names:
            marks.add("browser")
        helpers = {samples / f"{n}.py" for n in names if "." not in n}
        todo += [h for h in helpers - seen if h.is_file()]
    return marks
