"""The proof of a head in a build, with its rotors' whole turn, kept from build to build.

The one module of this package that knows heads.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from ..steps.plan import Plan
from ..work.atomic_write import write_whole
from ..work.code_hash import code_hash
from ..work.json_data import from_json, json_bytes
from .assembly_proof import AssemblyProof
from .evidence_keys import LIBRARIES, evidence_keys
from .prove import prove_plans

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...geometry.profiles.solid_turn import SolidTurn

TURNING = "geometry.head.rotor_turn"
"""Whose code the rotors' whole turn rests on."""


def prove_head(
    tag: str, head: Head, plans: Sequence[Plan], kept: Path | None = None, workers: int | None = None
) -> AssemblyProof:
    """Return the evidence of every plan that moves parts; from the folder ``kept`` where nothing has changed.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
        WorkerLost: if a worker is ended from outside.
    """
    from ...geometry.meshes.tessellation import forget_meshes

    moving = [plan for plan in plans if any(s.moves for s in plan.steps)]
    turns: list[SolidTurn | None] = []

    def turn() -> None:
        key = next(iter(evidence_keys(head, moving[:1])), "")
        turns.append(_turn(head, key, kept))

    proven = prove_plans(head, moving, folder=kept, workers=workers, meanwhile=turn)
    found = {plan.sequence: evidence for plan, evidence in zip(moving, proven, strict=True)}
    forget_meshes()
    return AssemblyProof(tag, found, turns[0], turns=True)


def _turn(head: Head, key: str, kept: Path | None) -> SolidTurn | None:
    """Return what the rotors do through a whole turn, kept beside the evidence under its hash."""
    from ...geometry.head.rotor_turn import turn_rotors
    from ...geometry.profiles.solid_turn import ShadowError, SolidTurn

    code = code_hash(TURNING, libraries=LIBRARIES)[:16]
    file = kept / f"{key}-turn-{code}.json" if kept and key else None
    if file and file.is_file():
        with suppress(OSError, ValueError):
            return from_json(SolidTurn, file.read_bytes())
    try:
        turn = turn_rotors(head)
    except ShadowError:
        return None
    if file:
        with suppress(OSError):
            write_whole(file, json_bytes(turn))
    return turn
