"""All that the solids say about an assembly, over its sequences, as pages and files take it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from .evidence import Evidence, write_evidence

if TYPE_CHECKING:
    from ...geometry.profiles.solid_turn import SolidTurn

FOLDER = "evidence"
"""Folder of a booklet that holds the machine-readable files."""


@dataclass(frozen=True)
class AssemblyProof:
    """What geometry showed about one assembly: evidence of each sequence that moves parts, and a pair's whole turn."""

    tag: str
    """Name of the assembly, the plant tag of a head."""
    by_sequence: Mapping[str, Evidence]
    turn: SolidTurn | None
    """Of the pair that turns in each other; None where there is none, or it casts no single shadow along the shafts."""

    @property
    def violations(self) -> tuple[str, ...]:
        """Everything that is wrong, one sentence each, with its sequence."""
        said = [f"{name}: {text}" for name, e in self.by_sequence.items() for text in e.violations]
        if self.turn is not None and not self.turn.pair.clear:
            at = self.turn.pair.smallest_at_deg
            said.append(f"The rotors are not proven clear of each other: least gap at {at:.1f} degrees.")
        return tuple(dict.fromkeys(said))


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
