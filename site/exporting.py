"""Heads for other programs: one STEP and one glTF file a head, in a folder that appears when all are written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from ..sequences.fleet import load_fleet
from .build import chosen_heads
from .folders import check_target, swapped_in
from .head_booklet import make_fleet_head


def export_heads(fleet_file: Path, target: Path, only: Sequence[str], say: Callable[[str], None]) -> int:
    """Write every head of the fleet, or those of ``only``, and return how many.

    Raises:
        FaultsFound: with every mistake of the fleet.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: for a tag that the fleet does not have.
        ExportError: if the CAD kernel cannot write a file.
    """
    from ..geometry.exports import write_glb, write_step

    check_target(target)
    rows = chosen_heads(load_fleet(fleet_file), tuple(only))
    with swapped_in(target) as folder:
        for row in rows:
            say(row.tag)
            head = make_fleet_head(row)
            write_step(head, folder / f"{row.slug}.step")
            write_glb(head, folder / f"{row.slug}.glb")
    return len(rows)
