"""Whether a folder still holds what was written into it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ..build.user_faults import UserFault
from ..folders.marks import Differences, Mark, differences, has_mark, read_mark


@dataclass(frozen=True)
class Verified:
    """What the mark of a folder says, and what is not so."""

    mark: Mark
    found: Differences

    @property
    def bytes(self) -> int:
        """Size of all files that were written."""
        return sum(f.bytes for f in self.mark.files)


def verify_folder(folder: Path) -> Verified:
    """Compare a folder, or a copy of one, with its mark.

    Raises:
        UserFault: if it has no mark with a sound list.
        OSError: if it cannot be read.
    """
    if not folder.is_dir():
        raise UserFault(f"{folder} is not a folder. Name one that benchleaf build, export or evidence wrote.")
    if (mark := read_mark(folder)) is not None:
        return Verified(mark, differences(folder, mark))
    if has_mark(folder):
        raise UserFault(
            f"{folder} has no sound list of its files: an earlier version wrote it, or the list is damaged. "
            "Make it again."
        )
    raise UserFault(f"{folder} was not written by benchleaf, or not copied with its hidden file .benchleaf.")
