"""Sentences about tools that do not reach."""

from __future__ import annotations

from ...sequences.reach.tool_places import ReachFound
from .part_names import PartNames, start


def reach_sentence(names: PartNames, found: ReachFound) -> str:
    """Return what keeps a tool from its work, as a sentence."""
    key = found.fault.replace(" ", "_")
    if found.fault == "does not reach" and found.part:
        key = "too_narrow" if found.part != found.at.part else key
    at = names.the(found.at.part)
    fields = {
        "tool": names.words(f"reach_tool.{found.tool.replace(' ', '_').replace('-', '_')}"),
        "at": names.words("reach_fault.at", surface=found.at.surface, part=at) if found.at.surface else at,
        "part": names.the(found.part) if found.part else "",
        "mm": f"{found.millimetres:.2f}",
        "deg": f"{found.millimetres:.0f}",
    }
    return start(names.words(f"reach_fault.{key}", **fields))
