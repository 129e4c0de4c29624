"""Spread the proof of one assembly over processes.

A worker gets the meshes, not the solids: the CAD kernel's shapes do not travel well, and meshing takes long. What
only the kernel can tell (which solids are round, which are open) is worked out before and sent along.
"""

from __future__ import annotations

import os
import pickle
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from ...geometry.assembly import Assembly, Elastic, Part
from ...geometry.meshes.overlaps import Bodies, Body, Role
from ..misfits.findings import Misfit
from ..misfits.misfits import find_misfits
from ..order.order import Draft, edges_of, with_path
from ..order.order_graph import Edge, OrderGraph, PlannedMove
from ..order.paths import Ways

P = ParamSpec("P")
T = TypeVar("T")
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
    """Bodies from a kit."""

    def __init__(self, kit: SharedAssembly) -> None:
        super().__init__(kit.assembly, kit.tolerance_mm)
        self._kit = kit

    def own(self, key: str, role: Role = "free") -> Body:
        """Return the body of part ``key`` in its own frame."""
        return self._kit.own[key, role]

    def round_about_z(self, key: str) -> bool:
        """Return whether the part is round about its own Z axis."""
        return key in self._kit.round_parts

    def open_about_z(self, key: str) -> bool | None:
        """Return whether the part is open about its own Z axis, None where it does not lie about it."""
        return self._kit.open_parts[key]


def share_assembly(bodies: Bodies) -> SharedAssembly:
    """Return the kit of an assembly whose parts are all meshed.

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
    assembly = Assembly(bodies.assembly.name, parts, bodies.assembly.up, bodies.assembly.front)
    is_round = frozenset(k for k in parts if bodies.round_about_z(k))
    threads = [p for p in parts.values() if p.thread or any(f.kind == "thread" for f in p.features)]
    is_open = {p.key: bodies.open_about_z(p.key) for p in threads}
    return SharedAssembly(assembly, own, is_round, is_open, bodies.tolerance_mm)


_kit_file: Path | None = None
_ways: Ways | None = None


def _start(kit_file: Path) -> None:
    global _kit_file  # a worker's kit and caches live as long as the worker
    _kit_file = kit_file


def _ready() -> None:
    """Do nothing: a worker that has done it is there."""


def _ways_here() -> Ways:
    global _ways
    if _ways is None:
        assert _kit_file is not None
        _ways = Ways(SharedBodies(pickle.loads(_kit_file.read_bytes())))
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


def workers_for(asked: int | None) -> int:
    """Return how many processes to use: those asked for, else two where the machine has them."""
    return max(1, asked if asked is not None else min(2, os.cpu_count() or 1))


class ProofWorkers:
    """Worker processes, which come to life while the kit is still being made."""

    def __init__(self, pool: Executor, kit_file: Path) -> None:
        self._pool, self._kit_file = pool, kit_file

    def give(self, kit: SharedAssembly) -> None:
        """Lay the kit ready; before the first task."""
        self._kit_file.write_bytes(pickle.dumps(kit, pickle.HIGHEST_PROTOCOL))

    def submit(self, task: Callable[P, T], *args: P.args, **more: P.kwargs) -> Future[T]:
        """Give a task to the next worker that is free."""
        return self._pool.submit(task, *args, **more)


@contextmanager
def proof_workers(workers: int) -> Iterator[ProofWorkers]:
    """Give a crew of processes; none is left when the block ends."""
    with tempfile.TemporaryDirectory() as folder:
        kit_file = Path(folder) / "kit"
        with ProcessPoolExecutor(workers, get_context("spawn"), _start, (kit_file,)) as pool:
            for _ in range(workers):
                pool.submit(_ready)
            yield ProofWorkers(pool, kit_file)
