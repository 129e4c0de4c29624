"""The evidence of a user's own assembly: one page for the trainer, and a JSON file a sequence beside it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ...geometry.meshes.overlaps import OverlapError
from ...geometry.meshes.tessellation import MeshError
from ...sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from ...sequences.proof.head_proof import FOLDER, HeadProof, write_head_proof
from ...sequences.proof.prove import prove_plans
from ..build.folders import check_target, swapped_in
from ..build.library import BuildFault
from ..pages.evidence_page import make_evidence
from ..pages.pages import page_text, write_assets
from ..pages.view_models import NBSP
from ..words.catalogue import Words, load_words


def write_assembly_evidence(
    file: Path, target: Path, cache: Path | None, say: Callable[[str], None], workers: int | None = None
) -> HeadProof:
    """Prove a user's own assembly and write page and files into ``target``; return what was shown.

    Args:
        file: names its parts and sequences.
        target: a new folder, or one that this program wrote before.
        cache: folder in which evidence is kept for the next time, None to keep none.
        say: told of each sequence that is proven, and what has to be known of parts that are meshes.
        workers: processes to use, two where the machine has them.

    Raises:
        FaultsFound: with every mistake of the file and its sequences.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: if a part has no closed surface.
    """
    check_target(target)
    user = load_user_assembly(file)
    for remark in user.remarks:
        say(remark)
    plans = [plan for plan in user.plans if any(s.moves for s in plan.steps)]
    with swapped_in(target) as folder:
        try:
            proven = prove_plans(
                user.assembly, plans, folder=cache / FOLDER if cache else None, workers=workers
            )
        except (MeshError, OverlapError) as error:
            fix = "heal the part where it was drawn and export it again"
            text = f"{file.name}: found {error}; allowed: closed, valid solids; likely fix: {fix}"
            raise BuildFault(text) from error
        found = {plan.sequence: evidence for plan, evidence in zip(plans, proven, strict=True)}
        proof = HeadProof(user.assembly.name, found, None)
        write_head_proof(proof, folder / FOLDER)
        _write_page(user, proof, folder, load_words())
        for name, evidence in found.items():
            say(f"{name}: {len(evidence.moves)} moves; {len(evidence.violations) or 'no'} faults")
    return proof


def _write_page(user: UserAssembly, proof: HeadProof, folder: Path, words: Words) -> None:
    """Write the page as ``index.html``; a step's address is its row in the order told in words."""

    def step_at(sequence: str, step: int) -> str:
        return f"#{sequence}-{step}"

    write_assets(folder)
    tolerance = max(e.tolerance_mm for e in proof.by_sequence.values())
    text = page_text(
        "own_evidence.html.j2",
        w=words,
        booklet_demo=False,
        name=user.assembly.name,
        e=make_evidence(user.assembly, user.plans, proof, (), words, step_at),
        tolerance=f"{tolerance:g}{NBSP}mm",
    )
    (folder / "index.html").write_text(text, "utf-8", newline="\n")
