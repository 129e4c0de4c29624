"""Write a whole folder or nothing: everything goes into a sibling folder that is swapped in at the end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from ...sequences.files.faults import printable
from ..folders.left_overs import (
    InUse,
    clear_left_overs,
    held,
    make_fresh,
    old_name,
    put_back,
    remove,
    set_aside,
)
from ..folders.marks import Verb, has_mark, make_mark, read_mark, strangers, write_mark
from .user_faults import UserFault

MOST_NAMED = 5


class FolderFault(UserFault):
    """A target folder that cannot or must not be written; the message says what to do."""


def check_target(target: Path, verb: Verb) -> None:
    """Clear away what killed processes left beside a target, and refuse one that must not be replaced.

    Raises:
        FolderFault: if ``target`` is no folder, holds something that this verb did not write, lies in no folder, or
            another process is at work on it.
        OSError: if the folder around it cannot be written.
    """
    _check_place(target)
    with _held(target) as place:
        clear_left_overs(place)
        _check_contents(target, verb)


def _check_place(target: Path) -> None:
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise FolderFault(
            f"{target} is not a folder. Give --to the name of a folder, new or written by benchleaf."
        )
    if not target.absolute().parent.is_dir():
        raise FolderFault(
            f"{target.absolute().parent} does not exist. Make it first, or give --to another folder."
        )
    if target.is_dir():
        _check_marked(target)


def _check_marked(target: Path) -> None:
    if not has_mark(target) and any(target.iterdir()):
        raise FolderFault(
            f"{target} exists and was not written by benchleaf, so it is left alone. "
            "Give --to another folder, or empty this one yourself."
        )


def _check_contents(target: Path, verb: Verb) -> None:
    """Refuse a folder with anything in it that would be lost: another verb's work, or a person's."""
    if not target.exists():
        return
    _check_marked(target)
    mark = read_mark(target)
    if mark and mark.verb != verb:
        raise FolderFault(
            f"{target} was written by benchleaf {mark.verb}, so benchleaf {verb} leaves it alone. "
            "Give --to another folder, or remove this one yourself."
        )
    if lost := strangers(target, verb):
        raise FolderFault(
            f"{target} holds what benchleaf did not write, or not like that: {named(lost)}. "
            "It would be lost, so nothing is replaced. Move it elsewhere, or give --to another folder."
        )


def named(paths: list[str], most: int = MOST_NAMED) -> str:
    """Return the first paths in words, and how many more there are.

    >>> named(["a", "b"]), named(list("abcdefg"))
    ('a, b', 'a, b, c, d, e and 2 more')
    """
    more = f" and {len(paths) - most} more" if len(paths) > most else ""
    return ", ".join(printable(p) for p in paths[:most]) + more


def heal(target: Path) -> None:
    """Put the old folder back where a process was killed in its swap, if that can be done."""
    with suppress(InUse, OSError, RuntimeError):  # the last: a link that leads to itself
        place = target.resolve()
        if set_aside(place):
            with held(place):
                put_back(place)


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
def swapped_in(target: Path, verb: Verb, known: Mapping[str, str] | None = None) -> Iterator[Path]:
    """Yield an empty folder beside ``target``; when the block ends well it takes the place of ``target``.

    When the block raises, ``target`` stays as it was and the new folder is removed. Nothing is lost that ``verb`` did
    not write, even if it came while the block ran. No other process can begin meanwhile.

    Args:
        target: the folder.
        verb: who writes it; its mark says so.
        known: SHA-256 by path (with ``/``) of files whose bytes the block had in hand, filled in by it or not; all
            other files are read for the mark.

    Raises:
        FolderFault: as :func:`check_target`.
        OSError: if the folder cannot be written.
    """
    _check_place(target)
    with _held(target) as place:
        clear_left_overs(place)
        _check_contents(target, verb)
        fresh = make_fresh(place, verb)
        try:
            yield fresh
            write_mark(fresh, make_mark(fresh, verb, known))
            _check_contents(target, verb)
            _swap(fresh, place, verb)
        finally:
            remove(fresh)


@contextmanager
def _held(target: Path) -> Iterator[Path]:
    """Yield the real path of ``target`` while no other process can write it."""
    place = target.resolve()
    try:
        with held(place):
            yield place
    except InUse as e:
        raise FolderFault(
            f"Another benchleaf is at work on {target}. Wait until it has ended, or give --to another folder."
        ) from e


def _swap(fresh: Path, target: Path, verb: Verb) -> None:
    """Let ``fresh`` take the place of ``target``; what was there gets the name of ``fresh``, to be removed."""
    if not target.exists():
        fresh.rename(target)
        return
    old = old_name(fresh)
    try:
        target.rename(old)
        fresh.rename(target)
    except BaseException:
        if old.exists() and not target.exists():
            old.rename(target)
        raise
    if strangers(old, verb):  # came in between the last look and now
        target.rename(fresh)
        old.rename(target)
        _check_contents(target, verb)
    old.rename(fresh)
