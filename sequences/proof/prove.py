"""The front door of the proof: the evidence of plans over one assembly, worked out once and kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import TOLERANCE_MM
from ..steps.plan import Plan
from .evidence import Evidence, read_evidence, write_evidence
from .evidence_keys import evidence_keys
from .proving import prove_afresh


def prove(
    assembly: Assembly,
    plan: Plan,
    *,
    folder: Path | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
) -> Evidence:
    """Return the evidence of one plan, as :func:`prove_plans` does of several.

    Raises:
        MeshError, OverlapError: as :func:`prove_plans`.
    """
    return prove_plans(assembly, [plan], folder=folder, workers=workers, tolerance_mm=tolerance_mm)[0]


def prove_plans(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    folder: Path | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    meanwhile: Callable[[], None] | None = None,
) -> list[Evidence]:
    """Return the evidence of each plan over one assembly, from ``folder`` where nothing has changed.

    Plans share what is alike: the way out of a part is its way in.

    Args:
        assembly: the parts in place, with what turns about what.
        plans: assembly, disassembly; of a plan without moves only what needs none is shown.
        folder: keeps evidence by the hash of what it rests on; None to keep none.
        workers: processes to use, two where the machine has them.
        tolerance_mm: how far a mesh may be off its solid.
        meanwhile: other work on the same assembly, done here while other processes are busy; called once.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
        WorkerLost: if a worker is ended from outside.
    """
    keys = evidence_keys(assembly, plans, tolerance_mm=tolerance_mm)
    known: dict[str, Evidence] = {}
    for file in [folder / f"{key}.json" for key in keys] if folder else []:
        if file.is_file():
            with suppress(OSError, ValueError):
                known[file.stem] = replace(read_evidence(file), assembly=assembly.name)
    todo = [(key, plan) for key, plan in zip(keys, plans, strict=True) if key not in known]
    if todo:
        for evidence in prove_afresh(assembly, todo, workers, tolerance_mm, meanwhile):
            known[evidence.key] = evidence
            if folder:
                write_evidence(evidence, folder / f"{evidence.key}.json")
    elif meanwhile:
        meanwhile()
    return [known[key] for key in keys]
