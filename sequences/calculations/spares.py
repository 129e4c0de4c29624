"""The spares of one pump: sizes from its dimensions, numbers from the fleet file, and what this job takes of them.

API::

    sizes_of(head) -> dict[part key, PartSize]    # not of the owner's own parts
    kit(head) -> tuple[SpareLine, ...]
"""

from __future__ import annotations

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.head.part_sizes import part_sizes
from ...geometry.part_size import PartSize
from ..fleet.heads import FleetHead
from ..upkeep.spare_parts import Need, SpareLine, SparePart, summed
from .head_calculations import ring_material


def sizes_of(head: FleetHead) -> dict[str, PartSize]:
    """Return part key to size; a part of the owner's own has none that we know of."""
    found = part_sizes(StackUp(head.size, head.options), head.parts)
    return {key: size for key, size in found.items() if key not in head.own_parts}


def kit(head: FleetHead) -> tuple[SpareLine, ...]:
    """Return the spares kit of a pump, totals by part number and size.

    O-rings are always in it, since the sequences fit new ones in every overhaul; else what the fleet file marks as a
    spare.
    """
    sizes, lines = sizes_of(head), list[SpareLine]()
    for key, kind in head.parts.items():
        said = head.spare_parts.get(key, SparePart())
        need = _need(kind, said)
        if need is None:
            continue
        material = ring_material(head, kind) if _is_ring(kind) else ""
        lines.append(
            SpareLine(
                (kind,), sizes.get(key), said.number, said.compound, material, need, 1, (head.tag,), (1,)
            )
        )
    return summed([lines])


def _need(kind: str, said: SparePart) -> Need | None:
    if _is_ring(kind) or said.spare == "replace always":
        return "always"
    return "ready" if said.spare else None


def _is_ring(kind: str) -> bool:
    return kind.endswith("_oring")
