"""The front door of the proof: the evidence of plans over one assembly, worked out once and kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import TOLERANCE_MM
from ..steps.plan import Plan
from ..work.json_data import from_json, json_bytes
from ..work.store import Store
from .evidence import Evidence
from .evidence_keys import evidence_keys
from .proving import prove_afresh


def prove(
    assembly: Assembly,
    plan: Plan,
    *,
    store: Store | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
) -> Evidence:
    """Return the evidence of one plan, as :func:`prove_plans` does of several.

    Raises:
        MeshError, OverlapError: as :func:`prove_plans`.
    """
    return prove_plans(assembly, [plan], store=store, workers=workers, tolerance_mm=tolerance_mm)[0]


def prove_plans(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    store: Store | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    meanwhile: Callable[[], None] | None = None,
) -> list[Evidence]:
    """Return the evidence of each plan over one assembly, from ``store`` where nothing has changed.

    Plans share what is alike: the way out of a part is its way in.

    Args:
        assembly: the parts in place, with what turns about what.
        plans: assembly, disassembly; of a plan without moves only what needs none is shown.
        store: keeps evidence by the key of what it rests on; None to keep none.
        workers: processes to use, two where the machine has them.
        tolerance_mm: how far a mesh may be off its solid.
        meanwhile: other work on the same assembly, done here while other processes are busy; called once.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
        WorkerLost: if a worker is ended from outside.
    """
    keys = [key.digest for key in evidence_keys(assembly, plans, tolerance_mm=tolerance_mm)]
    known: dict[str, Evidence] = {}
    for key in keys if store else []:
        if (evidence := kept_evidence(store, key, assembly.name)) is not None:
            known[key] = evidence
    todo = [(key, plan) for key, plan in zip(keys, plans, strict=True) if key not in known]
    if todo:
        for evidence in prove_afresh(assembly, todo, workers, tolerance_mm, meanwhile, store):
            known[evidence.key] = evidence
            if store:
                store.put(evidence.key, {FILE: json_bytes(evidence)})
    elif meanwhile:
        meanwhile()
    return [known[key] for key in keys]


FILE = "evidence.json"
"""Name of the one content of an entry."""


def kept_evidence(store: Store | None, key: str, assembly: str) -> Evidence | None:
    """Return the evidence kept under ``key``, told of the assembly of that name; None where there is none."""
    entry = store.get(key) if store else None
    if entry is None:
        return None
    try:
        return replace(from_json(Evidence, entry[FILE]), assembly=assembly)
    except (KeyError, ValueError):
        return None
