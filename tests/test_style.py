"""Format, lint and types of the whole tree, and the one way of its imports."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ROOMS = ("geometry", "sequences", "render", "site")


def run(*command: str, **env: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, env={**os.environ, **env}
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_lint() -> None:
    run("ruff", "check", ".")


def test_format() -> None:
    run("ruff", "format", "--check", ".")


def test_types(tmp_path: Path) -> None:
    """The rooms are mapped to one package by the build; a folder of links shows them so to the type checker."""
    package = tmp_path / "benchleaf"
    package.mkdir()
    for room in ROOMS:
        (package / room).symlink_to(ROOT / room)
    run(
        "mypy",
        "--config-file",
        str(ROOT / "pyproject.toml"),
        "-p",
        "benchleaf",
        MYPYPATH=str(tmp_path),
    )


@pytest.mark.parametrize("room", ROOMS)
def test_imports_run_one_way(room: str) -> None:
    above = ROOMS[ROOMS.index(room) + 1 :]
    for file in (ROOT / room).rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        for other in above:
            assert not re.search(
                rf"(from \.\.{other}\b|import benchleaf\.{other}|from benchleaf\.{other})", text
            ), file


def test_top_level_is_the_planned_one() -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in tracked.splitlines()}
    planned = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "tests", *ROOMS}
    assert {t for t in top if not t.startswith(".")} == planned
