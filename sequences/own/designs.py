"""What a booklet can be of: a head of a fleet, or an assembly of a user's own; here alone the two are told apart.

design_of(row) -> TaskKey            # of the solids
solids_of(row) -> Assembly
keys_of_proof(work) -> ProofKeys;  prove_row(row, assembly, plans, store)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..fleet.heads import FleetHead
from ..proof.assembly_proof import AssemblyProof
from ..proof.head_proof import ProofKeys, moving_plans, proof_keys, prove_head
from ..proof.head_work import HeadWork, design_key, solid_head
from ..proof.prove import prove_plans
from ..steps.plan import Plan
from ..work.keys import TaskKey
from ..work.store import Store
from .own_work import OwnRow, OwnWork, solid_assembly

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly

Row = FleetHead | OwnRow
Work = HeadWork | OwnWork


def design_of(row: Row) -> TaskKey:
    """Return the key of the solids of a row.

    Raises:
        OSError: if an owner's file cannot be read.
    """
    return row.design if isinstance(row, OwnRow) else design_key(row)


def solids_of(row: Row) -> Assembly:
    """Return the solids of a row.

    Raises:
        SolidError: where the CAD kernel fails.
        OwnPartError: if a part of the owner's cannot stand in.
        FaultsFound: if a file of an assembly was changed and cannot be read any more.
    """
    return solid_assembly(row) if isinstance(row, OwnRow) else solid_head(row)


def made_solids(work: Work) -> Assembly:
    """Return the solids of a work, made once.

    Raises:
        SolidError, OwnPartError, FaultsFound: as :func:`solids_of`.
    """
    return work.head if isinstance(work, HeadWork) else work.solids


def keys_of_proof(work: Work, plans: Sequence[Plan]) -> ProofKeys:
    """Return where the proof of a work is kept; only a head has rotors whose whole turn is judged."""
    return proof_keys(work.assembly, plans, turns=isinstance(work, HeadWork))


def prove_row(
    row: Row, assembly: Assembly, plans: Sequence[Plan], store: Store | None = None
) -> AssemblyProof:
    """Return the evidence of every plan that moves parts; from ``store`` where nothing has changed.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
    """
    from ...geometry.head.head import Head
    from ...geometry.meshes.tessellation import forget_meshes

    if isinstance(assembly, Head):
        return prove_head(row.tag, assembly, plans, store, workers=1)
    moving = moving_plans(plans)
    proven = prove_plans(assembly, moving, store=store, workers=1)
    forget_meshes()
    return AssemblyProof(row.tag, {p.sequence: e for p, e in zip(moving, proven, strict=True)}, None)
