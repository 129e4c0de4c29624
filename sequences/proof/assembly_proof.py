"""All that the solids say about an assembly, over its sequences, as pages and files take it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from .evidence import Evidence, Violation, write_evidence

if TYPE_CHECKING:
    from ...geometry.profiles.solid_turn import SolidTurn

FOLDER = "evidence"
"""Folder of a booklet that holds the machine-readable files."""
Soundness = Literal["sound", "turn not judged", "unsound"]


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
class ProofViolation:
    """What keeps an assembly from being sound, and the sequence in which it was found; empty: the assembly itself."""

    sequence: str
    finding: Violation | PairNotClear | TurnIntoStill


@dataclass(frozen=True)
class AssemblyProof:
    """What geometry showed about one assembly: evidence of each sequence that moves parts, and a pair's whole turn."""

    tag: str
    """Name of the assembly, the plant tag of a head."""
    by_sequence: Mapping[str, Evidence]
    turn: SolidTurn | None
    """Of the pair that turns in each other; None where there is none, or it casts no single shadow along the shafts."""
    turns: bool = False
    """Whether it has a pair of wheels that turn with each other: then their turn has to be judged."""

    @property
    def violations(self) -> tuple[ProofViolation, ...]:
        """Everything that is wrong, in the order of the sequences."""
        found = [ProofViolation(name, v) for name, e in self.by_sequence.items() for v in e.violations]
        if self.turn is not None:
            if not self.turn.pair.clear:
                found.append(ProofViolation("", PairNotClear(self.turn.pair.smallest_at_deg)))
            into = (s for s in self.turn.still if s.gap_mm <= 0)
            found += [ProofViolation("", TurnIntoStill(s.moving, s.still)) for s in into]
        return tuple(dict.fromkeys(found))

    @property
    def soundness(self) -> Soundness:
        """What it all comes to: nothing is sound while its turn is not judged."""
        if self.violations:
            return "unsound"
        return "turn not judged" if self.turns and self.turn is None else "sound"


def write_proof(proof: AssemblyProof, folder: Path) -> list[Path]:
    """Write the evidence of each sequence as ``<sequence>.json`` into ``folder``; return the files.

    Raises:
        OSError: if the folder cannot be written.
    """
    files = []
    for name, evidence in proof.by_sequence.items():
        files.append(folder / f"{name}.json")
        write_evidence(evidence, files[-1])
    return files
