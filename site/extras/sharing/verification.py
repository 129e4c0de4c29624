"""Whether a folder, or a zip file of one, still holds what was written into it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ...build.user_faults import UserFault
from ...folders.marks import Differences, Mark, differences, has_mark, read_mark
from ...folders.zip_files import NoMark, verify_zip


@dataclass(frozen=True)
class Verified:
    """What the mark of a folder says, and what is not so."""

    mark: Mark
    found: Differences
    cut_off: bool = False
    """Whether it is a zip file whose end is missing."""

    @property
    def bytes(self) -> int:
        """Size of all files that were written."""
        return sum(f.bytes for f in self.mark.files)


def verify(path: Path) -> Verified:
    """Compare a folder, a copy of one, or a zip file of one with its mark.

    Raises:
        UserFault: if it has no mark with a sound list.
        OSError: if it cannot be read.
    """
    return _verify_file(path) if path.is_file() else verify_folder(path)


def _verify_file(file: Path) -> Verified:
    try:
        found = verify_zip(file)
    except NoMark:
        raise UserFault(
            f"{file} is not a zip file that benchleaf export --zip wrote, or its begin is damaged: it holds no sound "
            "list of its files. Copy it again from where it came."
        ) from None
    return Verified(found.mark, found.found, found.cut_off)


def verify_folder(folder: Path) -> Verified:
    """Compare a folder, or a copy of one, with its mark.

    Raises:
        UserFault: if it has no mark with a sound list.
        OSError: if it cannot be read.
    """
    if not folder.is_dir():
        raise UserFault(
            f"{folder} is not a folder. Name one that benchleaf build, export or evidence wrote, or a zip file of one."
        )
    if (mark := read_mark(folder)) is not None:
        return Verified(mark, differences(folder, mark))
    if has_mark(folder):
        raise UserFault(
            f"{folder} has no sound list of its files: an earlier version wrote it, or the list is damaged. "
            "Make it again."
        )
    raise UserFault(f"{folder} was not written by benchleaf, or not copied with its hidden file .benchleaf.")
