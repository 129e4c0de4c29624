"""One process at a time at a folder, and what killed ones left beside it: cleared away, or put back.

While a folder ``library`` is written, ``.library.benchleaf-lock`` beside it is locked; the system lets go of that lock
when the process ends, however it ends. The new folder grows in ``.library-xxxxxxxx``; the old one stands in
``.library-xxxxxxxx-old`` from the first of the two renames of a swap until the second is done.
"""

from __future__ import annotations

import re
import shutil
import sys
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .marks import MARK, Mark, Verb, has_mark, write_mark

TRIES = 5
WAIT_S = 0.1
"""A worker whose parent was killed may still write a file or two: clearing away is tried again after this."""


class InUse(Exception):
    """Another process is at work on this folder."""


@contextmanager
def held(target: Path) -> Iterator[None]:
    """Keep all other processes from ``target``, an absolute path, for the block.

    Raises:
        InUse: if another process has it.
        OSError: if the folder around it cannot be written.
    """
    from filelock import FileLock, Timeout

    file = target.with_name(f".{target.name}.benchleaf-lock")
    lock = FileLock(file)
    try:
        lock.acquire(timeout=0)
    except Timeout as e:
        raise InUse(str(target)) from e
    try:
        yield
    finally:
        # Whoever opened the file meanwhile finds that it is gone once he has its lock, and does not take it for his.
        if sys.platform == "win32":
            lock.release()
            with suppress(OSError):
                file.unlink(missing_ok=True)
        else:
            file.unlink(missing_ok=True)
            lock.release()


def make_fresh(target: Path, verb: Verb) -> Path:
    """Return a new folder beside ``target``, marked as ours from the start; ``target`` is held."""
    fresh = target.with_name(f".{target.name}-{uuid.uuid4().hex[:8]}")
    fresh.mkdir()
    write_mark(fresh, Mark(verb))
    return fresh


def old_name(fresh: Path) -> Path:
    """Return where the folder that ``fresh`` takes the place of stands meanwhile."""
    return fresh.with_name(f"{fresh.name}-old")


def set_aside(target: Path) -> Path | None:
    """Return the folder that a process killed in its swap took from ``target``, None where there is none."""
    if target.exists() or target.is_symlink() or not target.parent.is_dir():
        return None
    return next((p for p in _beside(target) if p.name.endswith("-old") and has_mark(p)), None)


def put_back(target: Path) -> None:
    """Put the old folder back where a process was killed between the two renames of its swap; ``target`` is held.

    Raises:
        OSError: if the folder around it cannot be written.
    """
    if aside := set_aside(target):
        aside.rename(target)


def clear_left_overs(target: Path) -> None:
    """Remove what killed processes left beside ``target``, which is held.

    Raises:
        OSError: if the folder around it cannot be read.
    """
    put_back(target)
    for path in _beside(target):
        if has_mark(path) or not any(path.iterdir()):
            remove(path)


def _beside(target: Path) -> list[Path]:
    own = re.compile(rf"\.{re.escape(target.name)}-[0-9a-f]{{8}}(-old)?")
    found = (p for p in target.parent.iterdir() if own.fullmatch(p.name))
    return sorted(p for p in found if p.is_dir() and not p.is_symlink())


def remove(folder: Path) -> None:
    """Remove a folder of ours, its mark last: what is left where this is stopped is known for ours the next time."""
    for n in range(TRIES):
        if not folder.exists():
            return
        if n:
            time.sleep(WAIT_S)
        with suppress(OSError):
            for path in folder.iterdir():
                if path.is_dir() and not path.is_symlink():
                    shutil.rmtree(path, ignore_errors=True)
                elif path.name != MARK:
                    path.unlink(missing_ok=True)
            (folder / MARK).unlink(missing_ok=True)
            folder.rmdir()
