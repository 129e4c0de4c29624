"""Heads for other programs: a STEP and an animated glTF file each, in a folder that appears when all are written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ..sequences.fleet import load_fleet, plan_head
from .build import chosen_heads
from .folders import check_target, swapped_in
from .head_booklet import make_fleet_head

if TYPE_CHECKING:
    from ..geometry.head import Head
    from ..render.studio import Studio
    from ..sequences.plan import Plan


def export_heads(fleet_file: Path, target: Path, only: Sequence[str], say: Callable[[str], None]) -> int:
    """Write every head of the fleet, or those of ``only``, and return how many.

    Raises:
        FaultsFound: with every mistake of the fleet.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: for a tag that the fleet does not have.
        ExportError: if the CAD kernel cannot write a file.
    """
    from ..geometry.exports import write_glb, write_step
    from ..geometry.masses import masses_kg
    from ..render.studio import Studio

    check_target(target)
    fleet = load_fleet(fleet_file)
    rows = chosen_heads(fleet, tuple(only))
    with swapped_in(target) as folder:
        for row in rows:
            say(row.tag)
            head = make_fleet_head(row)
            write_step(head, folder / f"{row.slug}.step")
            scene = folder / f"{row.slug}.glb"
            write_glb(head, scene)
            plan = plan_head(row, fleet.sequences["assembly"], masses_kg(head))
            with Studio(head) as studio:
                scene.write_bytes(_moving(scene.read_bytes(), head, plan, studio))
    return len(rows)


def _moving(glb: bytes, head: Head, plan: Plan, studio: Studio) -> bytes:
    from ..render.motion import animate

    return animate(glb, plan, studio.places(), lambda step: studio.scene(step).travels, head.places_at)
