"""The proof in a build: evidence of a head's sequences, kept from build to build; what is wrong, in plain words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..steps.plan import Plan
from ..work.atomic_write import write_whole
from ..work.json_data import from_json, json_bytes
from .evidence import Evidence, write_evidence
from .evidence_keys import evidence_keys
from .prove import prove_plans

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...geometry.profiles.solid_turn import SolidTurn

FOLDER = "evidence"
"""Folder of a booklet that holds the machine-readable files."""


@dataclass(frozen=True)
class HeadProof:
    """What geometry showed about one head: evidence of each sequence that moves parts, and the rotors' whole turn."""

    tag: str
    by_sequence: Mapping[str, Evidence]
    turn: SolidTurn | None
    """None where the rotors cast no single shadow along the shafts."""

    @property
    def violations(self) -> tuple[str, ...]:
        """Everything that is wrong, one sentence each, with its sequence."""
        said = [f"{name}: {text}" for name, e in self.by_sequence.items() for text in e.violations]
        if self.turn is not None and not self.turn.pair.clear:
            at = self.turn.pair.smallest_at_deg
            said.append(f"The rotors are not proven clear of each other: least gap at {at:.1f} degrees.")
        return tuple(dict.fromkeys(said))


def prove_head(
    tag: str, head: Head, plans: Sequence[Plan], kept: Path | None = None, workers: int | None = None
) -> HeadProof:
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
    return HeadProof(tag, found, turns[0])


def _turn(head: Head, key: str, kept: Path | None) -> SolidTurn | None:
    """Return what the rotors do through a whole turn, kept beside the evidence under its hash."""
    from ...geometry.profiles.solid_turn import ShadowError, SolidTurn, turn_solids

    file = kept / f"{key}-turn.json" if kept and key else None
    if file and file.is_file():
        with suppress(OSError, ValueError):
            return from_json(SolidTurn, file.read_bytes())
    try:
        turn = turn_solids(head, head.size.c, head.size.running_gap_mm)
    except ShadowError:
        return None
    if file:
        with suppress(OSError):
            write_whole(file, json_bytes(turn))
    return turn


def write_head_proof(proof: HeadProof, folder: Path) -> list[Path]:
    """Write the evidence of each sequence as ``<sequence>.json`` into ``folder``; return the files.

    Raises:
        OSError: if the folder cannot be written.
    """
    files = []
    for name, evidence in proof.by_sequence.items():
        files.append(folder / f"{name}.json")
        write_evidence(evidence, files[-1])
    return files
