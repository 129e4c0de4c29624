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

if TYPE_CHECKING:
    import cadquery as cq


def evidence_keys(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    tolerance_mm: float = TOLERANCE_MM,
) -> list[str]:
    """Return :func:`evidence_key` of each plan over one assembly, as :func:`prove_plans` takes it."""
    return [evidence_key(assembly, plan, tolerance_mm) for plan in plans]


def evidence_key(assembly: Assembly, plan: Plan, tolerance_mm: float) -> str:
    """Return the hash of everything the evidence rests on: solids, places, plan, code and libraries; no words.

    Solids count by the inputs that they were made from, where these are known; else as the kernel writes them.
    """
    h = hashlib.sha256(code_hash(PROVING, libraries=LIBRARIES).encode())
    known: dict[int, bytes] = {}

    def solid(shape: Solid | None) -> bytes:
        if shape is None:
            return b"-"
        if id(shape) not in known:
            known[id(shape)] = shape.digest if isinstance(shape, MeshSolid) else _shape_hash(shape)
        return known[id(shape)]

    h.update(assembly.made_from.encode())
    for part in assembly:
        h.update(repr((part.key, part.kind, part.side, part.thread, part.place, part.features)).encode())
        if assembly.made_from:
            continue
        h.update(solid(part.solid))
        if part.elastic:
            h.update(
                repr(part.elastic.squeeze_mm).encode()
                + solid(part.elastic.core)
                + solid(part.elastic.passing)
            )
    steps = [
        (s.number, s.id, s.present, s.moves, s.bench, s.shaft_angle_deg, s.shaft_turn_deg) for s in plan.steps
    ]
    rest = (assembly.front, plan.sequence, steps, plan.given, plan.units)
    h.update(repr((rest, assembly.turning, tolerance_mm)).encode())
    return h.hexdigest()[:32]


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
