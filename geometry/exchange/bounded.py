"""Read strangers' files in a child process with limits of time and memory.

A damaged file can end the process that reads it, keep it busy for ever or fill its memory: of 1,500 STEP files with one
changed byte, 190 ended the CAD kernel and 6 never came back. So a child reads, and what it makes of a file comes back
as bytes. One child reads many files; where one ends it, the next child goes on behind that file.
"""

from __future__ import annotations

import faulthandler
import json
import os
import pickle
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SECONDS = 120.0
"""For one file; the largest that are let in take some ten."""
MEMORY_BYTES = 4 * 2**30
"""Address space of the child, libraries included (about 0.6 GB). Kept by Linux; other systems have no such limit."""


class Refused(ValueError):
    """A file that cannot be used: what was found, what is allowed, the likely fix."""

    def __init__(self, found: str, allowed: str, fix: str) -> None:
        self.found, self.allowed, self.fix = found, allowed, fix
        super().__init__(f"found {found}, allowed {allowed}; {fix}")

    def __reduce__(self) -> tuple[type[Refused], tuple[str, str, str]]:
        """Let it come back whole from another process."""
        return Refused, (self.found, self.allowed, self.fix)


class ReaderFailed(RuntimeError):
    """The child did not even begin, or a reader has a fault of its own: not the file's."""


@dataclass(frozen=True)
class Task:
    """One file to read: ``reader(file, *given)`` returns bytes or raises :class:`Refused`; a module's own function."""

    reader: Callable[..., bytes]
    file: Path
    given: tuple[Any, ...] = ()


def read_bounded(
    tasks: Sequence[Task], meanwhile: Callable[[], object] = lambda: None, seconds: float = SECONDS
) -> list[bytes | Refused]:
    """Return what the readers make of their files, in the order of ``tasks``; nothing a file does ends this process.

    Args:
        tasks: the files and their readers.
        meanwhile: called once while the child works, such as to import what its results need.
        seconds: limit for one file.

    Raises:
        ReaderFailed: if a child cannot begin, or a reader fails other than by refusing its file.
    """
    results: list[bytes | Refused] = []
    if not tasks:
        meanwhile()
    while len(results) < len(tasks):
        with tempfile.TemporaryDirectory(prefix="benchleaf-") as folder:
            left = tasks[len(results) :]
            results += _read_some(left, Path(folder), meanwhile if not results else lambda: None, seconds)
    return results


def _read_some(
    tasks: Sequence[Task], folder: Path, meanwhile: Callable[[], object], seconds: float
) -> list[bytes | Refused]:
    """Return the results of one child: of all tasks, or up to the one that ended it."""
    (folder / "tasks").write_bytes(pickle.dumps((list(tasks), seconds)))
    child = subprocess.Popen(
        [sys.executable, "-P", "-c", f"from {__name__} import work; work()", str(folder)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
    )
    try:
        meanwhile()
        # The child ends itself in time; this is for one that cannot even do that.
        _, said = child.communicate(timeout=2 * seconds * len(tasks) + 60.0)
    except subprocess.TimeoutExpired:
        said = b""
    finally:
        child.kill()
        child.wait()
    results: list[bytes | Refused] = []
    for n in range(len(tasks)):
        if (made := folder / f"{n}.made").is_file():
            results.append(made.read_bytes())
        elif (refused := folder / f"{n}.refused").is_file():
            results.append(Refused(**json.loads(refused.read_text("utf-8"))))
        else:
            break
    if (failed := folder / "failed").is_file():
        raise ReaderFailed(failed.read_text("utf-8"))
    if not (folder / "begun").is_file():
        raise ReaderFailed(f"the reading process did not begin: {said.decode(errors='replace')[-2000:]}")
    if len(results) < len(tasks):
        ended = child.returncode < 0 or child.returncode not in (0, _OUT_OF_TIME)
        results.append(_damaged() if ended else _endless(seconds))
    return results


_OUT_OF_TIME = 1
"""Exit status with which :mod:`faulthandler` ends a process."""


def _damaged() -> Refused:
    return Refused(
        "a damaged file: its reader broke down over it", "a whole file", "export it again where it was drawn"
    )


def _endless(seconds: float) -> Refused:
    return Refused(
        f"a file that takes longer than {seconds:g} s to read",
        "a whole file of one part",
        "export this part alone, again and more coarsely",
    )


def _too_much() -> Refused:
    return Refused(
        f"a file that needs more than {MEMORY_BYTES / 2**30:g} GB of memory",
        "a whole file of one part",
        "export this part alone, again and more coarsely",
    )


def work() -> None:
    """Do the tasks of a folder; the child's whole life."""
    folder = Path(sys.argv[1])
    tasks, seconds = pickle.loads((folder / "tasks").read_bytes())
    _limit_memory()
    (folder / "begun").touch()
    with Path(os.devnull).open("w") as nowhere:
        for n, task in enumerate(tasks):
            # A thread of its own, which also ends a library that never comes back to Python.
            faulthandler.dump_traceback_later(seconds, exit=True, file=nowhere)
            _do(task, n, folder)
            faulthandler.cancel_dump_traceback_later()


def _do(task: Task, n: int, folder: Path) -> None:
    try:
        made = task.reader(task.file, *task.given)
    except MemoryError:
        _put(_told(_too_much()), f"{n}.refused", folder)
    except Refused as refused:
        _put(_told(refused), f"{n}.refused", folder)
    except Exception:
        _put(traceback.format_exc().encode(), "failed", folder)
        raise SystemExit(2) from None
    else:
        _put(made, f"{n}.made", folder)


def _told(refused: Refused) -> bytes:
    return json.dumps({"found": refused.found, "allowed": refused.allowed, "fix": refused.fix}).encode()


def _put(data: bytes, name: str, folder: Path) -> None:
    """Write a file whole: its name is not there before all of it is."""
    (folder / "making").write_bytes(data)
    (folder / "making").rename(folder / name)


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # Windows
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    limit = MEMORY_BYTES if most == resource.RLIM_INFINITY else min(MEMORY_BYTES, most)
    resource.setrlimit(resource.RLIMIT_AS, (limit, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
