"""Every example in a docstring gives what it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest
from program_files import ROOMS, ROOT, module_of, modules

EXAMPLE = ">>> "


def with_examples(root: Path) -> list[str]:
    """Return the dotted names of all modules below ``root`` whose docstrings hold examples."""
    return [module_of(f, root) for f in modules(root) if EXAMPLE in f.read_text("utf-8")]


@pytest.mark.parametrize("name", with_examples(ROOT))
def test_examples(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0


def test_nested_modules_are_found(tmp_path: Path) -> None:
    deep = tmp_path / ROOMS[0] / "inner" / "deeper"
    deep.mkdir(parents=True)
    (deep / "late.py").write_text('"""A module.\n\n>>> 1 + 1\n3\n"""\n')
    (deep / "without.py").write_text('"""A module."""\n')
    assert with_examples(tmp_path) == ["benchleaf.geometry.inner.deeper.late"]
