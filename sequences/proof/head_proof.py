"""The proof in a build: evidence of a head's sequences, kept from build to build, and what it comes to."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from ..steps.plan import Plan
from ..work.atomic_write import write_whole
from ..work.plain_data import from_plain, to_plain
from .evidence import Evidence, Violation, write_evidence
from .evidence_keys import evidence_keys
from .prove import prove_plans

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...geometry.profiles.solid_turn import SolidTurn

FOLDER = "evidence"
"""Folder of a booklet that holds the machine-readable files."""


@dataclass(frozen=True)
class PairNotClear:
    """A pair of wheels that is not proven clear through its turn; the angle of the driving shaft at the least gap."""

    at_deg: float


@dataclass(frozen=True)
class TurnIntoStill:
    """A wheel that turns into a part that stands still, whatever the step."""

    part: str
    other: str


@dataclass(frozen=True)
class HeadViolation:
    """What keeps a head from being sound, and the sequence in which it was found; empty: the head as a whole."""

    sequence: str
    finding: Violation | PairNotClear | TurnIntoStill


Soundness = Literal["sound", "turn not judged", "unsound"]


@dataclass(frozen=True)
class HeadProof:
    """What geometry showed about one assembly: evidence of each sequence that moves parts, its pair's whole turn."""

    tag: str
    by_sequence: Mapping[str, Evidence]
    turn: SolidTurn | None
    """None where no pair turns, or where it casts no single shadow along the shafts."""
    turns: bool = False
    """Whether it has a pair of wheels that turn with each other: then their turn has to be judged."""

    @property
    def violations(self) -> tuple[HeadViolation, ...]:
        """Everything that is wrong, in the order of the sequences."""
        found = [HeadViolation(name, v) for name, e in self.by_sequence.items() for v in e.violations]
        if self.turn is not None:
            if not self.turn.pair.clear:
                found.append(HeadViolation("", PairNotClear(self.turn.pair.smallest_at_deg)))
            into = (s for s in self.turn.still if s.gap_mm <= 0)
            found += [HeadViolation("", TurnIntoStill(s.moving, s.still)) for s in into]
        return tuple(dict.fromkeys(found))

    @property
    def soundness(self) -> Soundness:
        """What it all comes to: nothing is sound while its turn is not judged."""
        if self.violations:
            return "unsound"
        return "turn not judged" if self.turns and self.turn is None else "sound"


def prove_head(
    tag: str, head: Head, plans: Sequence[Plan], kept: Path | None = None, workers: int | None = None
) -> HeadProof:
    """Return the evidence of every plan that moves parts; from the folder ``kept`` where nothing has changed.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
    """
    from ...geometry.meshes.tessellation import forget_meshes

    moving = [plan for plan in plans if any(s.moves for s in plan.steps)]
    turns: list[SolidTurn | None] = []

    def turn() -> None:
        key = next(iter(evidence_keys(head, moving[:1])), "")
        turns.append(_turn(head, key, kept))

    proven = prove_plans(head, moving, folder=kept, workers=workers, beside=turn)
    found = {plan.sequence: evidence for plan, evidence in zip(moving, proven, strict=True)}
    forget_meshes()
    return HeadProof(tag, found, turns[0], turns=True)


def _turn(head: Head, key: str, kept: Path | None) -> SolidTurn | None:
    """Return what the rotors do through a whole turn, kept beside the evidence under its hash."""
    from ...geometry.profiles.solid_turn import ShadowError, SolidTurn, turn_solids

    file = kept / f"{key}-turn.json" if kept and key else None
    if file and file.is_file():
        with suppress(OSError, ValueError, KeyError, TypeError):
            known: SolidTurn = from_plain(SolidTurn, json.loads(file.read_text("utf-8")))
            return known
    try:
        turn = turn_solids(head, head.size.c, head.size.running_gap_mm)
    except ShadowError:
        return None
    if file:
        with suppress(OSError):
            write_whole(file, json.dumps(to_plain(turn)).encode())
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
