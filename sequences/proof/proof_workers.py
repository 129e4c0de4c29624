"""Spread the proof of one assembly over processes.

A worker gets the meshes, not the solids: the CAD kernel's shapes do not travel well, and meshing takes long. What
only the kernel can tell (which solids are round, which are open) is worked out before and sent along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ...geometry.assembly import Assembly, Elastic, Part
from ...geometry.meshes.overlaps import Bodies, Body, Role
from ..misfits.findings import Misfit
from ..misfits.misfits import find_misfits
from ..order.order import Draft, edges_of, with_path
from ..order.order_graph import Edge, OrderGraph, PlannedMove
from ..order.paths import Ways
from ..work.worker_pool import shared_payload

ROLES: tuple[Role, ...] = ("free", "core", "passing")


class _Solid:
    """Stands for a solid in a worker: equal parts share one."""


@dataclass(frozen=True)
class SharedAssembly:
    """What a worker needs to know of an assembly."""

    assembly: Assembly
    own: Mapping[tuple[str, Role], Body]
    round_parts: frozenset[str]
    open_parts: Mapping[str, bool | None]
    """Of parts with a thread: whether they are open about their axis."""
    tolerance_mm: float


class SharedBodies(Bodies):
    """Bodies of an assembly that another process has meshed."""

    def __init__(self, shared: SharedAssembly) -> None:
        super().__init__(shared.assembly, shared.tolerance_mm)
        self._shared = shared

    def own(self, key: str, role: Role = "free") -> Body:
        """Return the body of part ``key`` in its own frame."""
        return self._shared.own[key, role]

    def round_about_z(self, key: str) -> bool:
        """Return whether the part is round about its own Z axis."""
        return key in self._shared.round_parts

    def open_about_z(self, key: str) -> bool | None:
        """Return whether the part is open about its own Z axis, None where it does not lie about it."""
        return self._shared.open_parts[key]


def share_assembly(bodies: Bodies) -> SharedAssembly:
    """Return what workers need to know of an assembly, whose parts are meshed here.

    Raises:
        OverlapError: if a mesh is not fit for booleans.
        MeshError: if a part cannot be meshed.
    """
    tokens: dict[int, Any] = {}
    parts: dict[str, Part] = {}
    own: dict[tuple[str, Role], Body] = {}
    bare: dict[int, Body] = {}
    for part in bodies.assembly:
        solid = tokens.setdefault(id(part.solid), _Solid())
        elastic = Elastic(part.elastic.squeeze_mm, solid) if part.elastic else None
        parts[part.key] = replace(part, solid=solid, elastic=elastic)
        for role in ROLES:
            body = bodies.own(part.key, role)
            own[part.key, role] = bare.setdefault(id(body), Body(body.points, body.triangles, body.name))
    whole = bodies.assembly
    assembly = Assembly(whole.name, parts, whole.up, whole.front, whole.turning)
    is_round = frozenset(k for k in parts if bodies.round_about_z(k))
    threads = [p for p in parts.values() if p.thread or any(f.kind == "thread" for f in p.features)]
    is_open = {p.key: bodies.open_about_z(p.key) for p in threads}
    return SharedAssembly(assembly, own, is_round, is_open, bodies.tolerance_mm)


_ways: Ways | None = None


def be_ready() -> None:
    """Do nothing: a worker that begins with it has imported what the proof needs."""


def _ways_here() -> Ways:
    global _ways  # a worker's caches live as long as the worker
    if _ways is None:
        _ways = Ways(SharedBodies(shared_payload(SharedAssembly)))
    return _ways


def path_task(
    drafts: Sequence[tuple[Draft, Sequence[PlannedMove]]],
) -> list[tuple[PlannedMove, list[Edge]]]:
    """Return moves of the same parts with their paths checked, and what each has to do with the others of its plan."""
    ways = _ways_here()
    found = []
    for draft, others in drafts:
        move = with_path(ways, draft)
        found.append((move, edges_of(ways, move, others)))
    ways.forget_sweeps()
    return found


def fits_task(plan: int, graph: OrderGraph, number: int) -> list[Misfit]:
    """Return the wrong-way fits of one move of the ``plan``-th plan."""
    ways = _ways_here()
    # The graph comes anew with each task; what was worked out with the first one stays good.
    known = ways.memo.setdefault(("graph", plan), replace(graph, assembly=ways.bodies.assembly))
    assert isinstance(known, OrderGraph)
    return find_misfits(ways, known, [known.moves[number]])
