"""What was found of a plan's tools, kept by the key of all that it rests on: pictures take it without the proof.

API::

    uses_tools(plan) -> bool
    reach_key(solids, plan) -> TaskKey
    keep_reach(store, key, reach); stored_reach(store, key) -> PlanReach | None
    kept_reach(assembly, plan, store, bodies) -> PlanReach        # found where it is not kept
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..steps.plan import Plan
from ..work.code_hash import code_hash
from ..work.json_data import from_json, json_bytes
from ..work.keys import TaskKey, task_key
from ..work.store import Store
from .tool_places import PlanReach

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from ...geometry.meshes.closed_bodies import Bodies

FILE = "reach.json"
"""Name of the one content of an entry."""
CODE = "sequences.reach.reach"
"""Whose code it rests on."""
LIBRARIES = ("manifold3d", "cadquery", "cadquery-ocp", "numpy", "shapely")


def uses_tools(plan: Plan) -> bool:
    """Return whether any act of a plan is done with a tool."""
    return any(o.tool != "hand" for s in plan.steps for o in s.operations)


def reach_key(solids: str, plan: Plan) -> TaskKey:
    """Return the key of :func:`find_reach`: what parts and places were made from, operations, code and libraries.

    Only what of a plan says what stands where, and what is done with which tool, counts; no words.
    """
    steps = [
        (s.number, s.id, s.present, s.moves, s.bench, s.shaft_angle_deg, s.shaft_turn_deg, s.operations)
        for s in plan.steps
    ]
    code = code_hash(CODE, libraries=LIBRARIES)
    return task_key(
        "reach", solids=solids, sequence=(plan.sequence, steps, plan.given, plan.units), code=code
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
    key = reach_key(assembly.made_from, plan).digest if keep else ""
    if keep and (found := stored_reach(keep, key)) is not None:
        return found
    from .reach import find_reach  # with the CAD kernel: a build that finds it kept does without

    found = find_reach(assembly, plan, bodies)
    if keep:
        keep_reach(keep, key, found)
    return found


def keep_reach(store: Store, key: str, reach: PlanReach) -> None:
    """Keep what was found under the digest of its key."""
    store.put(key, {FILE: json_bytes(reach)})


def stored_reach(store: Store, key: str) -> PlanReach | None:
    """Return what is kept under the digest of a key; None where there is none, or it is damaged."""
    entry = store.get(key)
    try:
        return None if entry is None else from_json(PlanReach, entry[FILE])
    except (KeyError, ValueError):
        return None
