"""Work as an explicit graph: nodes that need each other, each with tasks whose results are kept under their keys.

A node is asked for its tasks once all that it needs is there, since its keys may rest on what came of that. Of a task
only those pieces are made that the store does not hold; where it holds all, nothing runs. Whoever does the work is any
:class:`concurrent.futures.Executor`: processes here, or a cluster's workers that see the same store. The engine behind
it schedules, retries and balances; here is only told what is ready, and what comes first.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from itertools import count
from typing import Protocol

from .keys import TaskKey
from .resources import peak_memory_mb
from .store import Store

Rank = tuple[int, ...]
AGAIN = 3
"""How often what is gone from the store by the time it is needed is made anew: another build may clear it."""


@dataclass(frozen=True)
class KeptPiece:
    """One result: its key, whose it is, and what."""

    key: TaskKey
    of: str
    what: str


@dataclass(frozen=True)
class PieceTask:
    """Work that makes one piece or several: ``work(store, digests, *given)`` puts each wanted one under its digest.

    ``work`` is a function at the top of its module and ``given`` is small, since both travel.
    """

    pieces: tuple[KeptPiece, ...]
    work: Callable[..., None]
    given: tuple[object, ...] = ()
    weight: float = 1.0
    """Expected seconds a piece: for what comes first and how much is left, never for the result."""


@dataclass
class TaskNode:
    """A place in the graph.

    ``tasks`` is called when all of ``needs`` is done, ``after`` when all of its tasks are.
    """

    name: tuple[str, ...]
    tasks: Callable[[], Iterable[PieceTask]]
    needs: tuple[tuple[str, ...], ...] = ()
    rank: Rank = ()
    """What is ready and has the lowest rank is done first, by each worker among what has the first number of its last
    task: that is of what it has at hand. What none has at hand comes next, then what another has."""
    weight: float = 0.0
    """Expected seconds, where its tasks are not known yet."""
    after: Callable[[], None] = lambda: None


class PieceGone(Exception):
    """A piece that was in the store and is no more, or is damaged."""


class WorkFailed(PieceGone):
    """A piece that its task has not put into the store, though it ended well."""


@dataclass(frozen=True)
class Spent:
    """What a task took where it ran: wall and processor seconds, greatest memory in MB, why the store took nothing."""

    seconds: float
    cpu_s: float
    peak_mb: float
    unwritable: str = ""


@dataclass
class Account:
    """What a run made and found, piece by piece, and what its tasks took, by kind of piece."""

    made: list[KeptPiece] = field(default_factory=list)
    found: list[KeptPiece] = field(default_factory=list)
    spent: dict[str, list[Spent]] = field(default_factory=dict)
    unwritable: str = ""


class Listener(Protocol):
    """What hears of a run."""

    def expects(self, seconds: float) -> None:
        """So much work is expected in all."""

    def has_done(self, seconds: float, what: str) -> None:
        """So much of it is done, or was found; ``what`` tells of what."""


def run_task(store: Store, task: PieceTask, wanted: tuple[str, ...]) -> Spent:
    """Do the work of a task, for the pieces with these digests; a worker runs this.

    Raises:
        WorkFailed: if a piece is not in the store after it.
    """
    wall, cpu = time.perf_counter(), time.process_time()
    task.work(store, wanted, *task.given)
    missing = [digest for digest in wanted if not store.has(digest)]
    if missing:
        raise WorkFailed(f"{task.pieces[0].of}: {task.pieces[0].what} was not kept: {store.unwritable}")
    return Spent(time.perf_counter() - wall, time.process_time() - cpu, peak_memory_mb(), store.unwritable)


@dataclass
class _Run:
    store: Store
    executor: Executor
    slots: int
    listener: Listener
    account: Account
    nodes: dict[tuple[str, ...], TaskNode]
    ready: list[tuple[Rank, int, PieceTask, tuple[str, ...]]] = field(default_factory=list)
    flying: dict[Future[Spent], tuple[PieceTask, tuple[str, ...], Rank]] = field(default_factory=dict)
    idle: list[Rank | None] = field(default_factory=list)
    """Of each worker that has nothing to do the first number of its last task's rank; None before its first."""
    to_open: list[tuple[Rank, tuple[str, ...]]] = field(default_factory=list)
    """Rank and name of nodes whose needs are there."""
    waiting: dict[tuple[str, ...], set[str]] = field(default_factory=dict)
    """TaskNode to the digests that it still waits for."""
    pending: set[str] = field(default_factory=set)
    """Digests that a task is to make."""
    numbers: count[int] = field(default_factory=count)

    def open(self, node: TaskNode) -> bool:
        """Take up a node whose needs are there; return whether nothing is to be made for it."""
        open_digests: set[str] = set()
        expected = 0.0
        for task in node.tasks():
            wanted = []
            for piece in task.pieces:
                digest = piece.key.digest
                if digest in self.pending:
                    open_digests.add(digest)
                elif self.store.has(digest):
                    self.account.found.append(piece)
                else:
                    expected += task.weight
                    wanted.append(digest)
            if wanted:
                self.pending.update(wanted)
                open_digests.update(wanted)
                entry = (node.rank, next(self.numbers), task, tuple(wanted))
                self.ready.append(entry)
        if node.weight or expected:
            self.listener.expects(expected - node.weight)
        if open_digests:
            self.waiting[node.name] = open_digests
        return not open_digests

    def next_node(self) -> tuple[str, ...] | None:
        """Give work to whoever is free; return the name of the node to be opened next, None where nothing is to do
        but wait."""
        while self.idle:
            last = self.idle[-1]
            task = min(self.ready, key=lambda r: (self._liking(r[0], last), r[1]), default=None)
            node = min(self.to_open, key=lambda n: (self._liking(n[0], last), n[1]), default=None)
            if node and (task is None or self._liking(node[0], last) < self._liking(task[0], last)):
                self.to_open.remove(node)
                return node[1]
            if task is None:
                return None
            self.ready.remove(task)
            self.idle.pop()
            rank, _, work, wanted = task
            future = self.executor.submit(run_task, self.store, work, wanted)
            self.flying[future] = (work, wanted, rank[:1])
        if self.to_open and len(self.ready) < self.slots:
            # What is far off is not looked at yet: it may never fit in memory.
            node = min(self.to_open, key=lambda n: (n[0][:1] not in self._held, n))
            self.to_open.remove(node)
            return node[1]
        return None

    @property
    def _held(self) -> set[Rank]:
        return {begin for _, _, begin in self.flying.values()}

    def _liking(self, rank: Rank, last: Rank | None) -> tuple[int, Rank]:
        """Return what tells how soon a worker does what has this rank, whose last task's began with ``last``."""
        begin = rank[:1]
        return (0 if begin == last else 2 if begin in self._held else 1), rank

    def take_in(self) -> list[tuple[str, ...]]:
        """Wait for work to be done; return the nodes that wait for nothing more."""
        over, _ = wait(self.flying, return_when=FIRST_COMPLETED)
        for future in over:
            task, wanted, begin = self.flying.pop(future)
            self.idle.append(begin)
            spent = future.result()
            kind = task.pieces[0].key.kind
            self.account.spent.setdefault(kind, []).append(spent)
            self.account.unwritable = self.account.unwritable or spent.unwritable
            self.pending.difference_update(wanted)
            made = [p for p in task.pieces if p.key.digest in wanted]
            self.account.made += made
            for piece in made:
                self.listener.has_done(task.weight, f"{piece.of}: {piece.what}")
            for digests in self.waiting.values():
                digests.difference_update(wanted)
        free = [name for name, digests in self.waiting.items() if not digests]
        for name in free:
            del self.waiting[name]
        return free


def run_nodes(
    nodes: Sequence[TaskNode],
    store: Store,
    executor: Executor,
    slots: int,
    listener: Listener,
    account: Account,
) -> None:
    """Do all that ``nodes`` ask for and the store does not hold.

    Args:
        nodes: the graph; a node that another needs may be left out where its results are there.
        store: where results lie; the workers see the same.
        executor: does the work.
        slots: tasks given out at the same time. One a worker: so a worker that has just made something is the one that
            is free, and goes on with what it has at hand.
        listener: hears of what is done.
        account: takes what was made and found.

    Raises:
        graphlib.CycleError: if nodes need each other in a circle.
        Exception: what a task raises; what is still under way then is left to its executor.
    """
    run = _Run(store, executor, slots, listener, account, {n.name: n for n in nodes})
    listener.expects(sum(n.weight for n in nodes))
    sorter = TopologicalSorter({n.name: [x for x in n.needs if x in run.nodes] for n in nodes})
    sorter.prepare()
    run.idle += [None] * slots
    while sorter.is_active():
        run.to_open += [(run.nodes[name].rank, name) for name in sorter.get_ready()]
        name = run.next_node()
        if name is not None:
            if run.open(run.nodes[name]):
                run.nodes[name].after()
                sorter.done(name)
            continue
        for name in run.take_in():
            run.nodes[name].after()
            sorter.done(name)


def by_kind(pieces: Iterable[KeptPiece]) -> Mapping[str, int]:
    """Return how many pieces of each kind there are."""
    found: dict[str, int] = {}
    for piece in pieces:
        found[piece.key.kind] = found.get(piece.key.kind, 0) + 1
    return found
