"""Format, lint and types of the whole tree; tests keep to what is public."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
from private_names import private_reaches
from program_files import ROOMS, ROOT

TESTS = ROOT / "tests"
HELPERS = (TESTS / "samples", TESTS / "benchmarks")


def run(*command: str, **env: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, env={**os.environ, **env}
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_lint() -> None:
    run("ruff", "check", ".")


def test_format() -> None:
    run("ruff", "format", "--check", ".")


@pytest.fixture(name="package")
def _package(tmp_path: Path) -> Path:
    """The rooms are mapped to one package by the build; a folder of links shows them so to the type checker."""
    package = tmp_path / "benchleaf"
    package.mkdir()
    for room in ROOMS:
        (package / room).symlink_to(ROOT / room)
    return tmp_path


def check_types(*what: str, path: Sequence[Path]) -> None:
    settings = str(ROOT / "pyproject.toml")
    run("mypy", "--config-file", settings, *what, MYPYPATH=os.pathsep.join(map(str, path)))


def test_types(package: Path) -> None:
    """The package with every test, helper module, benchmark and sheet; these find each other as pytest lets them."""
    files = [str(f) for f in sorted(TESTS.rglob("*.py"))]
    check_types(str(package / "benchleaf"), *files, path=[package, *HELPERS])


def test_no_test_reaches_into_private_members() -> None:
    found = {
        f"{file.relative_to(ROOT)}:{line} {name}"
        for file in TESTS.rglob("*.py")
        for line, name in private_reaches(file.read_text("utf-8"))
    }
    assert found == set()


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("stage._draw()", ["_draw"]),
        ("heads._made.__wrapped__", ["_made"]),
        ("units._TABLE = {}", ["_TABLE"]),
        ("from benchleaf.geometry.units import _spelling", ["_spelling"]),
        ("from benchleaf.geometry._units import spelling", ["_units"]),
        ("monkeypatch.setattr(starter, '_write', fail)", ["_write"]),
        ("monkeypatch.setattr('benchleaf.site.starter._write', fail)", ["_write"]),
        ("SEAMS = [(starter, '_write')]", ["_write"]),
        ("class Notes(Studio):\n    def stage(self):\n        return self._stage", ["_stage"]),
        ("class Notes:\n    def __init__(self):\n        self._kept = 1\n        print(self._kept)", []),
        ("class Notes:\n    def _keep(self): ...\n    def keep(self):\n        self._keep()", []),
        ("class Notes:\n    def _keep(self): ...\ndef test(other):\n    other._keep()", ["_keep"]),
        ("key.endswith('_drive') and text.__class__ and os._exit(1)", []),
    ],
)
def test_a_reach_into_private_members_is_found(text: str, names: list[str]) -> None:
    assert [name for _, name in private_reaches(text)] == names
