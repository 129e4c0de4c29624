"""What was found of a plan's tools, as it is kept from build to build."""

from __future__ import annotations

from ..steps.plan import Plan
from ..work.code_hash import code_hash
from ..work.json_data import from_json, json_bytes
from ..work.keys import TaskKey, task_key
from ..work.store import Store
from .tool_places import PlanReach

REACHING = ("sequences.reach.reach",)
"""Whose code it rests on."""
LIBRARIES = ("cadquery-ocp", "manifold3d", "numpy")
FILE = "reach.json"


def uses_tools(plan: Plan) -> bool:
    """Return whether any act of a plan is done with a tool."""
    return any(o.tool != "hand" for s in plan.steps for o in s.operations)


def reach_key(solids: str, plan: Plan) -> TaskKey:
    """Return the key of the reach of a plan's tools: what its solids were made from, and its steps without words."""
    steps = [
        (s.number, s.id, s.present, s.moves, s.bench, s.shaft_angle_deg, s.shaft_turn_deg, s.operations)
        for s in plan.steps
    ]
    code = code_hash(*REACHING, libraries=LIBRARIES)
    return task_key(
        "reach", solids=solids, sequence=(plan.sequence, steps, plan.given, plan.units), code=code
    )


def keep_reach(store: Store, key: str, reach: PlanReach) -> None:
    """Keep what was found under the digest of its key."""
    store.put(key, {FILE: json_bytes(reach)})


def kept_reach(store: Store, key: str) -> PlanReach | None:
    """Return what is kept under the digest of a key, None where nothing sound is."""
    entry = store.get(key)
    try:
        return None if entry is None else from_json(PlanReach, entry[FILE])
    except (KeyError, ValueError):
        return None
