"""The evidence of a fleet for other programs: a folder a head, a JSON file a sequence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from ...geometry.head.masses import masses_kg
from ...sequences.calculations.load_fleet import load_fleet
from ...sequences.proof.head_proof import FOLDER, prove_head, write_head_proof
from ..build.folders import check_target, swapped_in
from ..build.head_booklet import make_fleet_head, make_plans
from ..build.library import chosen_heads
from ..words.catalogue import load_words


def write_fleet_evidence(
    fleet_file: Path, target: Path, only: Sequence[str], cache: Path | None, say: Callable[[str], None]
) -> dict[str, tuple[str, ...]]:
    """Write the evidence of every head of the fleet, or of those of ``only``; return tag to what is wrong.

    Raises:
        FaultsFound: with every mistake of the fleet.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: for a tag that the fleet does not have.
        MeshError, OverlapError: if a solid is not fit for the proof.
    """
    check_target(target)
    fleet = load_fleet(fleet_file)
    rows, words = chosen_heads(fleet, tuple(only)), load_words()
    found: dict[str, tuple[str, ...]] = {}
    with swapped_in(target) as folder:
        for row in rows:
            head = make_fleet_head(row)
            plans = make_plans(row, tuple(fleet.sequences.values()), words, masses_kg(head))
            proof = prove_head(row.tag, head, plans, cache / FOLDER if cache else None)
            write_head_proof(proof, folder / row.slug)
            found[row.tag] = proof.violations
            told = {name: len(e.moves) for name, e in proof.by_sequence.items()}
            moves = ", ".join(f"{name} {n} moves" for name, n in told.items())
            say(f"{row.tag}: {moves}; {len(proof.violations) or 'no'} faults")
    return found
