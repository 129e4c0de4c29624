"""The key under which evidence is kept: a hash of everything it rests on."""

from __future__ import annotations

import hashlib
import io
import weakref
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import TOLERANCE_MM
from ...geometry.solid import MeshSolid, Solid
from ..steps.plan import Plan
from ..work.code_hash import code_hash
from ..work.keys import TaskKey, task_key

if TYPE_CHECKING:
    import cadquery as cq


def evidence_keys(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    tolerance_mm: float = TOLERANCE_MM,
) -> list[TaskKey]:
    """Return :func:`evidence_key` of each plan over one assembly, as :func:`prove_plans` takes it."""
    return [evidence_key(assembly, plan, tolerance_mm) for plan in plans]


def evidence_key(assembly: Assembly, plan: Plan, tolerance_mm: float) -> TaskKey:
    """Return the key of everything the evidence rests on: solids, places, plan, code and libraries; no words.

    Solids count by the inputs that they were made from, where these are known; else as the kernel writes them.
    """
    solids = assembly.made_from or _solids(assembly)
    parts = [(p.key, p.kind, p.side, p.thread, p.place, p.features) for p in assembly]
    steps = [
        (s.number, s.id, s.present, s.moves, s.bench, s.shaft_angle_deg, s.shaft_turn_deg) for s in plan.steps
    ]
    tools = ([p.surfaces for p in assembly], assembly.up, [s.operations for s in plan.steps])
    return task_key(
        "evidence",
        solids=solids,
        parts=(parts, assembly.front, assembly.turning),
        sequence=(plan.sequence, steps, plan.given, plan.units),
        tools=tools,
        tolerance=tolerance_mm,
        code=code_hash(PROVING, libraries=LIBRARIES),
    )


def _solids(assembly: Assembly) -> list[object]:
    known: dict[int, bytes] = {}

    def solid(shape: Solid | None) -> bytes:
        if shape is None:
            return b"-"
        if id(shape) not in known:
            known[id(shape)] = shape.digest if isinstance(shape, MeshSolid) else _shape_hash(shape)
        return known[id(shape)]

    found: list[object] = []
    for part in assembly:
        e = part.elastic
        found.append((solid(part.solid), e and (e.squeeze_mm, solid(e.core), solid(e.passing))))
    return found


PROVING = "sequences.proof.proving"
"""Whose code evidence rests on."""
LIBRARIES = ("manifold3d", "cadquery-ocp", "numpy", "scipy", "shapely")

_hashes: weakref.WeakKeyDictionary[Any, bytes] = weakref.WeakKeyDictionary()


def _shape_hash(shape: cq.Shape) -> bytes:
    """Return the hash of a solid as the CAD kernel writes it, without triangles.

    Taken once: meshing adds curves to a shape, and the hash with it would be another.
    """
    from OCP.BinTools import BinTools, BinTools_FormatVersion

    if shape not in _hashes:
        out = io.BytesIO()
        version = BinTools_FormatVersion.BinTools_FormatVersion_CURRENT
        BinTools.Write_s(shape.wrapped, out, False, False, version)
        _hashes[shape] = hashlib.sha256(out.getvalue()).digest()
    return _hashes[shape]
