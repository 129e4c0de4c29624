"""What was found of a plan's tools, kept by the key of all that it rests on: pictures take it without the proof."""

from __future__ import annotations

from ...geometry.assembly import Assembly
from ...geometry.meshes.closed_bodies import Bodies
from ..steps.plan import Plan
from ..work.code_hash import code_hash
from ..work.json_data import from_json, json_bytes
from ..work.keys import TaskKey, task_key
from ..work.store import Store
from .reach import find_reach
from .tool_places import PlanReach

FILE = "reach.json"
"""Name of the one content of an entry."""
CODE = "sequences.reach.reach"
"""Whose code it rests on."""
LIBRARIES = ("manifold3d", "cadquery", "cadquery-ocp", "numpy", "shapely")


def reach_key(assembly: Assembly, plan: Plan) -> TaskKey:
    """Return the key of :func:`find_reach`: what the solids were made from, surfaces, operations, code and libraries.

    Only the parts of a plan that say what stands where, and what is done with which tool, count; no words.
    """
    parts = [(p.key, p.place, p.surfaces) for p in assembly]
    steps = [
        (s.number, s.id, s.present, s.moves, s.bench, s.shaft_angle_deg, s.operations) for s in plan.steps
    ]
    return task_key(
        "reach",
        solids=assembly.made_from,
        parts=(parts, assembly.up, assembly.front, assembly.turning),
        steps=steps,
        code=code_hash(CODE, libraries=LIBRARIES),
    )


def kept_reach(
    assembly: Assembly, plan: Plan, store: Store | None = None, bodies: Bodies | None = None
) -> PlanReach:
    """Return what is found of a plan's tools, from ``store`` where nothing has changed.

    Kept only where it is known what the solids were made from.

    Raises:
        MeshError, OverlapError: as :func:`find_reach`.
    """
    keep = store if assembly.made_from else None
    key = reach_key(assembly, plan).digest if keep else ""
    if keep and (found := stored_reach(keep, key)) is not None:
        return found
    found = find_reach(assembly, plan, bodies)
    if keep:
        keep.put(key, {FILE: json_bytes(found)})
    return found


def stored_reach(store: Store, key: str) -> PlanReach | None:
    """Return what is kept under ``key``; None where there is none, or it is damaged."""
    entry = store.get(key)
    if entry is None:
        return None
    try:
        return from_json(PlanReach, entry[FILE])
    except (KeyError, ValueError):
        return None
