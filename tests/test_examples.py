"""Every example in a docstring gives what it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted(
    f"benchleaf.{room}.{f.stem}"
    for room in ("geometry", "sequences", "render", "site")
    for f in (ROOT / room).glob("*.py")
    if "\n    >>> " in f.read_text("utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
