"""The spares of one pump: sizes from its dimensions, numbers from the fleet file, and what this job takes of them.

API::

    sizes_of(head) -> dict[part key, PartSize]    # not of the owner's own parts
    kit(head) -> tuple[SpareLine, ...]
    may_be_needed(head) -> tuple[SpareLine, ...]  # wearing parts that the fleet file does not mark as spares
"""

from __future__ import annotations

from collections.abc import Callable

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.head.part_sizes import part_sizes
from ...geometry.part_size import PartSize
from ..fleet.heads import FleetHead
from ..upkeep.spare_parts import Need, SpareLine, SparePart, summed
from .head_calculations import ring_material

WEARING = (
    "rotating_ring", "stationary_ring", "atmosphere_ring", "wave_spring", "atmosphere_wave_spring", "disc_spring",
    "relief_spring", "key", "seal_pin", "atmosphere_pin", "body_dowel", "cover_nut",
)  # fmt: skip
"""Kinds of part that an inspection may find worn, whatever a fleet file says of them."""


def sizes_of(head: FleetHead) -> dict[str, PartSize]:
    """Return part key to size; a part of the owner's own has none that we know of."""
    found = part_sizes(StackUp(head.size, head.options), head.parts)
    return {key: size for key, size in found.items() if key not in head.own_parts}


def kit(head: FleetHead) -> tuple[SpareLine, ...]:
    """Return the spares kit of a pump, totals by part number and size.

    O-rings are always in it, since the sequences fit new ones in every overhaul; else what the fleet file marks as a
    spare.
    """
    return summed([_lines(head, _need)])


def may_be_needed(head: FleetHead) -> tuple[SpareLine, ...]:
    """Return the wearing parts of a pump that are not in its kit, since the fleet file marks them as no spares."""
    wearing = _lines(head, lambda kind, said: "ready" if kind in WEARING and not _need(kind, said) else None)
    return summed([wearing])


def _lines(head: FleetHead, need_of: Callable[[str, SparePart], Need | None]) -> list[SpareLine]:
    """Return a line for each part that is needed."""
    sizes, lines = sizes_of(head), list[SpareLine]()
    for key, kind in head.parts.items():
        said = head.spare_parts.get(key, SparePart())
        need = need_of(kind, said)
        if need is None:
            continue
        material = ring_material(head, kind) if _is_ring(kind) else ""
        lines.append(
            SpareLine(
                (kind,), sizes.get(key), said.number, said.compound, material, need, 1, (head.tag,), (1,)
            )
        )
    return lines


def _need(kind: str, said: SparePart) -> Need | None:
    if _is_ring(kind) or said.spare == "replace always":
        return "always"
    return "ready" if said.spare else None


def _is_ring(kind: str) -> bool:
    return kind.endswith("_oring")
