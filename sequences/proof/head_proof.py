"""The proof of a head in a build, with its rotors' whole turn, kept from build to build.

The one module of this package that knows heads.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...geometry.profiles.solid_turn import SolidTurn
from ..steps.plan import Plan
from ..work.code_hash import code_hash
from ..work.json_data import from_json, json_bytes
from ..work.keys import TaskKey, task_key
from ..work.store import Store
from .assembly_proof import AssemblyProof
from .evidence_keys import LIBRARIES, evidence_keys
from .prove import kept_evidence, prove_plans

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from ...geometry.head.head import Head

TURNING = "geometry.head.rotor_turn"
"""Whose code the rotors' whole turn rests on."""


FILE = "turn.json"


@dataclass(frozen=True)
class KeptTurn:
    """The rotors' whole turn as it is kept: None where they cast no single shadow and it cannot be judged."""

    turn: SolidTurn | None


@dataclass(frozen=True)
class ProofKeys:
    """Where the parts of a head's proof are kept: the evidence of each sequence that moves parts, and the turn."""

    by_sequence: tuple[tuple[str, TaskKey], ...]
    turn: TaskKey | None
    """None where no pair of wheels turns in each other."""

    @property
    def all(self) -> tuple[TaskKey, ...]:
        """All keys."""
        return (*(key for _, key in self.by_sequence), *((self.turn,) if self.turn else ()))


def moving_plans(plans: Sequence[Plan]) -> list[Plan]:
    """Return the plans that move parts: only these are proven."""
    return [plan for plan in plans if any(s.moves for s in plan.steps)]


def proof_keys(assembly: Assembly, plans: Sequence[Plan], turns: bool = True) -> ProofKeys:
    """Return where the proof of an assembly is kept; no solid of it is asked if what it was made from is known.

    ``turns`` says whether it is a head, whose rotors turn in each other.
    """
    moving = moving_plans(plans)
    keys = evidence_keys(assembly, moving)
    code = code_hash(TURNING, libraries=LIBRARIES)
    turn = task_key("turn", solids=assembly.made_from, code=code) if turns else None
    return ProofKeys(tuple((p.sequence, k) for p, k in zip(moving, keys, strict=True)), turn)


def kept_proof(tag: str, keys: ProofKeys, store: Store) -> AssemblyProof | None:
    """Return the proof of a head from the store; None where a part of it is missing."""
    found = {name: kept_evidence(store, key.digest, tag) for name, key in keys.by_sequence}
    whole = {name: evidence for name, evidence in found.items() if evidence is not None}
    if len(whole) < len(found):
        return None
    if keys.turn is None:
        return AssemblyProof(tag, whole, None)
    turn = _kept_turn(store, keys.turn)
    if turn is None:
        return None
    return AssemblyProof(tag, whole, turn.turn, turns=True)


def prove_head(
    tag: str, head: Head, plans: Sequence[Plan], store: Store | None = None, workers: int | None = None
) -> AssemblyProof:
    """Return the evidence of every plan that moves parts; from ``store`` where nothing has changed.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
        WorkerLost: if a worker is ended from outside.
    """
    from ...geometry.meshes.tessellation import forget_meshes

    moving = moving_plans(plans)
    key = proof_keys(head, plans).turn
    assert key is not None
    turns: list[KeptTurn] = []
    proven = prove_plans(
        head, moving, store=store, workers=workers, meanwhile=lambda: turns.append(_turn(head, key, store))
    )
    found = {plan.sequence: evidence for plan, evidence in zip(moving, proven, strict=True)}
    forget_meshes()
    return AssemblyProof(tag, found, turns[0].turn, turns=True)


def _turn(head: Head, key: TaskKey, store: Store | None) -> KeptTurn:
    """Return what the rotors do through a whole turn, kept where it is known what the head was made from."""
    from ...geometry.head.rotor_turn import turn_rotors
    from ...geometry.profiles.solid_turn import ShadowError

    keep = store if head.made_from else None
    if (kept := _kept_turn(keep, key)) is not None:
        return kept
    try:
        found = KeptTurn(turn_rotors(head))
    except ShadowError:
        found = KeptTurn(None)
    if keep:
        keep.put(key.digest, {FILE: json_bytes(found)})
    return found


def _kept_turn(store: Store | None, key: TaskKey) -> KeptTurn | None:
    entry = store.get(key.digest) if store else None
    if entry is None:
        return None
    try:
        return from_json(KeptTurn, entry[FILE])
    except (KeyError, ValueError):
        return None
