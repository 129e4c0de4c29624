"""Write a whole folder or nothing: everything goes into a sibling folder that is swapped in at the end."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from .user_faults import UserFault

MARK = ".benchleaf"
"""File at the top of every folder written here; only a folder that holds it is ever replaced."""


class FolderFault(UserFault):
    """A target folder that cannot or must not be written; the message says what to do."""


def check_target(target: Path) -> None:
    """Refuse a target that holds something this program did not write.

    Raises:
        FolderFault: if ``target`` is a file, or a folder with contents but without our mark, or lies in no folder.
    """
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise FolderFault(
            f"{target} is not a folder. Give --to the name of a folder, new or written by benchleaf."
        )
    if target.is_dir() and not (target / MARK).is_file() and any(target.iterdir()):
        raise FolderFault(
            f"{target} exists and was not written by benchleaf, so it is left alone. "
            "Give --to another folder, or empty this one yourself."
        )
    if not target.absolute().parent.is_dir():
        raise FolderFault(
            f"{target.absolute().parent} does not exist. Make it first, or give --to another folder."
        )


def folder_identity(path: Path) -> tuple[int, int] | None:
    """Return what tells a file or folder from another that takes its place; None where there is none.

    A folder that is swapped in was made while the one before was there: the two are never alike.
    """
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


@contextmanager
def swapped_in(target: Path) -> Iterator[Path]:
    """Yield an empty folder beside ``target``; when the block ends well it takes the place of ``target``.

    When the block raises, ``target`` stays as it was and the new folder is removed.

    Raises:
        FolderFault: as :func:`check_target`.
    """
    check_target(target)
    target = target.absolute()
    fresh = target.parent / f".{target.name}-{uuid.uuid4().hex[:8]}"
    fresh.mkdir()
    try:
        yield fresh
        (fresh / MARK).touch()
        _swap(fresh, target)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _swap(fresh: Path, target: Path) -> None:
    if not target.exists():
        fresh.rename(target)
        return
    old = fresh.with_name(f"{fresh.name}-old")
    target.rename(old)
    try:
        fresh.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
