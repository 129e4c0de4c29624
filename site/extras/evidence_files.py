"""The evidence of a fleet for other programs: a folder a head, a JSON file a sequence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from ...sequences.proof.assembly_proof import AssemblyProof, write_proof
from ..booklets.head_pages import fault_sentences
from ..build.fleet_run import open_fleet
from ..build.folders import swapped_in
from ..build.kept_results import open_store


def write_fleet_evidence(
    fleet_file: Path, target: Path, only: Sequence[str], cache: Path | None, say: Callable[[str], None]
) -> dict[str, tuple[str, ...]]:
    """Write the evidence of every head of the fleet, or of those of ``only``; return tag to what is wrong.

    Raises:
        FaultsFound, UserFault: as :func:`..build.fleet_run.open_fleet`.
        MeshError, OverlapError: if a solid is not fit for the proof.
        WorkerLost: if a worker is ended from outside.
    """
    run = open_fleet(fleet_file, target, only, "evidence")
    found: dict[str, tuple[str, ...]] = {}
    with open_store(cache) as store, swapped_in(target, "evidence") as folder:
        for work in run.works():
            proof = work.prove(store)
            write_proof(proof, folder / work.row.slug)
            found[work.row.tag] = fault_sentences(work, proof)
            say(f"{work.row.tag}: {proof_summary(proof)}")
    return found


def proof_summary(proof: AssemblyProof) -> str:
    """Return how many moves were proven in each sequence, and how many faults were found."""
    moves = ", ".join(f"{name} {len(e.moves)} moves" for name, e in proof.by_sequence.items())
    return f"{moves}; {len(proof.violations) or 'no'} faults"
