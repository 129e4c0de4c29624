"""Who does the work: this process, processes beside it, or a cluster's workers; each an executor with its slots."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from importlib.metadata import version
from typing import Any, ParamSpec, TypeVar

from .worker_pool import WorkerLost, worker_count, worker_pool

P = ParamSpec("P")
T = TypeVar("T")
MOST_WORKERS = 4
"""Each worker may take up to 1.5 GB; more at once only by the user's word."""
WAIT_S = 10
"""How long a cluster may take to answer, in seconds."""
PACKAGE = "benchleaf"
RETRIES = 2
"""How often a cluster tries a piece of work again whose worker is lost."""


class NoCluster(Exception):
    """A cluster that cannot be reached, or used from here; the message says why."""


@dataclass(frozen=True)
class Crew:
    """An executor, how many tasks it does at the same time, and whether it works on this machine alone."""

    executor: Executor
    slots: int
    here: bool = True


class _Here(Executor):
    """Does its work at once, in this process."""

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        future: Future[T] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


class _WhenNeeded(Executor):
    """Starts its processes with its first task: where nothing is to be made, none is started."""

    def __init__(self, workers: int, stack: ExitStack) -> None:
        self._workers, self._stack = workers, stack
        self._pool: Executor | None = None

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        if self._pool is None:
            self._pool = self._stack.enter_context(worker_pool(self._workers))
        return self._pool.submit(fn, *args, **kwargs)


@contextmanager
def crew(workers: int | None = None, cluster: str = "") -> Iterator[Crew]:
    """Yield who does the work; when the block ends no process of it is left, on this machine.

    Args:
        workers: processes on this machine; left out, one for each core up to four; 1 works in this process.
        cluster: address of a scheduler whose workers do the work instead.

    Raises:
        NoCluster: if there is no cluster at that address, or one whose workers have not this version.
        WorkerLost: if a worker is ended from outside.
    """
    if cluster:
        with _cluster_crew(cluster) as found:
            yield found
        return
    count = worker_count(workers, MOST_WORKERS)
    if count == 1:
        yield Crew(_Here(), 1)
        return
    with ExitStack() as stack:
        yield Crew(_WhenNeeded(count, stack), count)


@contextmanager
def _cluster_crew(address: str) -> Iterator[Crew]:
    try:
        import distributed
    except ImportError:
        raise NoCluster(
            "Work on a cluster needs packages of its own: pip install 'benchleaf[cluster]'"
        ) from None
    library: Any = distributed  # it has no types for what is used here
    refused = ""
    try:
        client = library.Client(address, timeout=WAIT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        refused = f"No cluster answers at {address}: {error}"
    if refused:
        # The half-made client ends itself when it is collected, and stands in its own way where that happens in the
        # thread of the next one.
        gc.collect()
        raise NoCluster(refused)
    with client:
        slots = sum(client.nthreads().values())
        if not slots:
            raise NoCluster(f"The cluster at {address} has no workers.")
        _ask_versions(client, address)
        try:
            yield Crew(client.get_executor(retries=RETRIES, pure=False), slots, here=False)
        except library.KilledWorker as error:
            text = "A task ended its worker on the cluster several times, most likely for want of memory."
            raise WorkerLost(text) from error


def _ask_versions(client: Any, address: str) -> None:
    """Raise NoCluster unless all workers have this very version: one that cannot read its task dies of it, and what it
    was to do would be waited for without end."""
    here = version(PACKAGE)
    found = client.get_versions(packages=[PACKAGE])["workers"]
    for worker, told in sorted(found.items()):
        there = told["packages"].get(PACKAGE)
        if there != here:
            raise NoCluster(
                f"The worker {worker} of the cluster at {address} has "
                f"{f'Benchleaf {there}' if there else 'no Benchleaf'}; "
                f"this is Benchleaf {here}. Install the same version for all its workers, and start them again."
            )
