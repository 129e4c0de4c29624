"""The command as a process with its workers, to be stopped or killed from outside; as Linux tells of processes."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

TOLD = Path("/proc/self/stat").is_file()


def start(
    *words: str, program: tuple[str, ...] = ("-m", "benchleaf.site"), **more: str
) -> subprocess.Popen[str]:
    """Start the command, or another Python program, in a session of its own, by whose number its workers are found."""
    return subprocess.Popen(
        [sys.executable, *program, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env={**os.environ, **more},
    )


def ended(process: subprocess.Popen[str]) -> tuple[int, str]:
    """Wait for the end of a process; return its status and what it said of errors."""
    _, said = process.communicate()
    return process.returncode, said


def members(session: int) -> list[int]:
    """Return the processes of a session that still run."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                state, _, _, of = (entry / "stat").read_text().rpartition(")")[2].split()[:4]
            except OSError:
                continue
            if int(of) == session and state != "Z":
                found.append(int(entry.name))
    return found


def until(holds: Callable[[], object], seconds: float) -> bool:
    """Wait until ``holds`` does; return whether it did within ``seconds``."""
    end = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


def all_gone(session: int, seconds: float) -> bool:
    """Return whether no process of a session runs any more ``seconds`` from now."""
    return until(lambda: not members(session), seconds)


def beside(folder: Path) -> list[str]:
    """Return the hidden files and folders beside a target, sorted."""
    return sorted(p.name for p in folder.iterdir() if p.name.startswith("."))
