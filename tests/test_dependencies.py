"""Whatever is imported is declared, whatever is declared is used, and golden pictures rest on exact versions."""

from __future__ import annotations

from pathlib import Path

import pytest
from declared import declared, distributions, files, foreign, installed, pinned, undeclared
from program_files import ROOMS, ROOT

GOLDEN = {"cadquery-ocp", "numpy", "pillow", "pyvista", "vtk"}
"""What draws a picture, or makes what is drawn."""
BEHIND = {"networkx"}
"""What a library imports only where it is there: trimesh reads 3MF with it."""
COMMANDS = {"pytest-xdist", "rtree", "mypy", "ruff"}
"""Test tools that are run, not imported; trimesh imports rtree for its rays."""


def own_modules() -> set[str]:
    """Return the names under which tests import each other, and the program."""
    return {"benchleaf", *(f.stem for f in files(ROOT, ["tests"]))}


def test_what_the_program_imports_is_declared() -> None:
    assert (
        undeclared(declared() | declared("cluster") | declared("pdf") | declared("slides") | declared("film"))
        == []
    )


def test_what_the_tests_import_is_declared() -> None:
    assert undeclared(declared() | declared("test"), ROOT, ["tests"], own_modules()) == []


def test_what_is_declared_is_imported() -> None:
    used = {d for name in foreign(ROOT, ROOMS) for d in distributions(name)}
    assert declared() - used == BEHIND
    used |= {d for name in foreign(ROOT, ["tests"], own_modules()) for d in distributions(name)}
    assert declared("test") - used == COMMANDS


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("import jsonschema.validators\n", ["render/a/b.py: jsonschema"]),
        ("def f():\n    from nosuch.inner import thing\n", ["render/a/b.py: nosuch"]),
        ("if True:\n    import PIL, hypothesis\n", ["render/a/b.py: hypothesis"]),
        ("import os, numpy\nfrom ..c import d\nfrom benchleaf.site import x\n", []),
    ],
)
def test_an_import_that_is_not_declared_is_found(tmp_path: Path, text: str, found: list[str]) -> None:
    (tmp_path / "render" / "a").mkdir(parents=True)
    (tmp_path / "render" / "a" / "b.py").write_text(text)
    assert undeclared(declared(), tmp_path) == found


def test_golden_pictures_rest_on_exact_versions_that_are_installed() -> None:
    assert set(pinned()) >= GOLDEN
    assert installed(pinned()) == pinned(), "set up anew with README's test command"
