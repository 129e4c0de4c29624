"""The spares kit of some pumps of a fleet, as one table for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ...sequences.calculations.spares import kit
from ...sequences.upkeep.spare_parts import summed
from ...sequences.work.atomic_write import write_whole
from ..build.fleet_run import open_fleet
from ..build.user_faults import UserFault
from ..words.report_words import spares_csv

CODING = "utf-8-sig"
"""With the mark by which spreadsheets know it."""


def write_spares(fleet_file: Path, target: Path, only: Sequence[str] = ()) -> tuple[int, int]:
    """Write the kit of these pumps, of all where none is named, and return its lines and how many pumps it is for.

    Raises:
        FaultsFound, UserFault: as :func:`..build.fleet_run.open_fleet`; or a target that is not such a table.
        OSError: if it cannot be written.
    """
    _check_target(target)
    rows = open_fleet(fleet_file, only=only).rows
    lines = summed(kit(row) for row in rows)
    write_whole(target, spares_csv(lines).encode(CODING))
    return len(lines), len(rows)


def _check_target(target: Path) -> None:
    """Refuse to replace what is no table of this kind.

    Raises:
        UserFault: naming it.
    """
    if target.is_dir():
        raise UserFault(f"{target} is a folder. Name a file for the table: --to {target / 'spares.csv'}")
    if target.exists():
        head = spares_csv(()).strip().encode()
        with target.open("rb") as file:
            found = file.read(len(head) + 3).removeprefix(b"\xef\xbb\xbf")
        if not found.startswith(head):
            raise UserFault(f"{target} is there and is no table of spares. Name another file with --to.")
