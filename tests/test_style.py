"""Format, lint and types of the whole tree."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from program_files import ROOMS, ROOT


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
