"""The rotors of a head through a whole turn, with what turns beside them in the body."""

from __future__ import annotations

from ..meshes.overlaps import Bodies
from ..profiles.solid_turn import SolidTurn, turn_solids
from .head import Head

ROTORS = ("rotor_drive", "rotor_driven")
IN_BODY = ("rotor", "rotor_nut")
"""Kinds that turn in the body."""


def turn_rotors(head: Head, *, tolerance_mm: float = 0.005, bodies: Bodies | None = None) -> SolidTurn:
    """Return what the rotors of ``head`` do through a whole turn, followed to a quarter of the size's running gap.

    ``bodies`` spare meshing again what is meshed already; their tolerance then counts.

    Raises:
        ShadowError: if a rotor casts no single closed shadow.
        OverlapError: if a mesh is not fit for booleans.
    """
    moving = [p.key for kind in IN_BODY for p in head.of_kind(kind)]
    gap = head.size.running_gap_mm
    return turn_solids(head, ROTORS, gap, moving=moving, tolerance_mm=tolerance_mm, bodies=bodies)
