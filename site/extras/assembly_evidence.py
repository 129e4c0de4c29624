"""The evidence of a user's own assembly: one page for the trainer, a JSON file a sequence, and pages to
record its jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from ...geometry.dimensions.options import Options
from ...geometry.meshes.overlaps import OverlapError
from ...geometry.meshes.tessellation import MeshError
from ...sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from ...sequences.own.own_work import OwnRow, own_work
from ...sequences.proof.assembly_proof import FOLDER, AssemblyProof, write_proof
from ...sequences.proof.prove import prove_plans
from ...sequences.values.instruments import instruments
from ..booklets.kinds.own_kind import own_words, stated_values
from ..booklets.plant_files import plant_photos
from ..build.folders import check_target, swapped_in
from ..build.kept_results import open_store
from ..build.user_faults import UserFault
from ..pages.booklet import make_chapter
from ..pages.evidence_page import make_evidence
from ..pages.pages import Setting, page_text, write_assets
from ..pages.records.own_job_pages import write_own_job_pages
from ..pages.view_models import NBSP
from ..words.catalogue import Words, load_words
from ..words.findings import proof_sentences
from ..words.plan_words import plan_in_words


def write_assembly_evidence(
    file: Path, target: Path, cache: Path | None, say: Callable[[str], None], workers: int | None = None
) -> tuple[str, tuple[str, ...]]:
    """Prove a user's own assembly and write page and files into ``target``; return its name, and what is wrong.

    Args:
        file: names its parts and sequences.
        target: a new folder, or one that this program wrote before.
        cache: folder in which evidence is kept for the next time, None to keep none.
        say: hears of each sequence that is proven, and what has to be known of parts that are meshes.
        workers: processes to use, two where the machine has them.

    Raises:
        FaultsFound: with every mistake of the file and its sequences.
        FolderFault: if the folder cannot or must not be written.
        UserFault: if a part has no closed surface.
        WorkerLost: if a worker is ended from outside.
    """
    check_target(target, "evidence")
    user = load_user_assembly(file)
    row = own_work(user, file.resolve()).row
    # Its parts and values have the user's own names, whatever they share with a pump's.
    words = own_words(load_words(), row)
    user = in_words(user, row, words)
    for remark in user.remarks:
        say(remark)
    plans = [plan for plan in user.plans if any(s.moves for s in plan.steps)]
    with open_store(cache) as store, swapped_in(target, "evidence") as folder:
        try:
            proven = prove_plans(user.assembly, plans, store=store, workers=workers)
        except (MeshError, OverlapError) as error:
            fix = "heal the part where it was drawn and export it again"
            text = f"{file.name}: found {error}; allowed: closed, valid solids; likely fix: {fix}"
            raise UserFault(text) from error
        found = {plan.sequence: evidence for plan, evidence in zip(plans, proven, strict=True)}
        proof = AssemblyProof(user.assembly.name, found, None)
        write_proof(proof, folder / FOLDER)
        _write_page(user, proof, folder, words)
        _write_job_pages(user, row, folder, words)
        for name, photo in plant_photos(user.plans).items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_bytes(photo)
        for name, evidence in found.items():
            say(f"{name}: {len(evidence.moves)} moves; {len(evidence.violations) or 'no'} faults")
    return proof.tag, proof_sentences(proof, user.assembly, user.plans, words)


def in_words(user: UserAssembly, row: OwnRow, words: Words) -> UserAssembly:
    """Return the assembly with all texts of its plans, in the words of ``row``; all threads are right-handed."""
    options, values = vars(Options()), stated_values(row)
    return replace(user, plans=tuple(plan_in_words(p, row.parts, words, options, values) for p in user.plans))


def _write_page(user: UserAssembly, proof: AssemblyProof, folder: Path, words: Words) -> None:
    """Write the page as ``index.html``; a step's address is its row in the order in words."""

    def step_at(sequence: str, step: int) -> str:
        return f"#{sequence}-{step}"

    write_assets(folder)
    tolerance = max(e.tolerance_mm for e in proof.by_sequence.values())
    text = page_text(
        "own_evidence.html.j2",
        w=words,
        booklet_demo=user.text.demo,
        plant=user.text.plant or user.assembly.name,
        name=user.assembly.name,
        e=make_evidence(user.assembly, user.plans, proof, (), words, step_at),
        tolerance=f"{tolerance:g}{NBSP}mm",
    )
    (folder / "index.html").write_text(text, "utf-8", newline="\n")


def _write_job_pages(user: UserAssembly, row: OwnRow, folder: Path, words: Words) -> None:
    """Write each sequence in words, with its ticks, and the record sheet of its jobs."""
    values = stated_values(row)
    chapters = [
        make_chapter(plan, {}, values, instruments=instruments, pictured=False) for plan in user.plans
    ]
    name = user.assembly.name
    write_own_job_pages(name, chapters, folder, Setting(words, name, invented=user.text.demo, date=""))
