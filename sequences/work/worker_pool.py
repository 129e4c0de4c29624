"""Processes that work side by side for the build, the proof and the pictures.

Each is spawned (a GL context does not survive a fork), has one thread (or they would get in each other's way), and ends
with the process that started it, however that ends. Callers see a :class:`concurrent.futures.Executor`.

    with worker_pool(2) as pool:
        pool.share(payload)               # sent once, through a file
        pool.submit(task, ...).result()   # in the task: shared_payload(Kind)
"""

from __future__ import annotations

import atexit
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import Pipe, connection, get_context, parent_process
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

ONE_THREAD = {"LP_NUM_THREADS": "0", "OPENBLAS_NUM_THREADS": "1"}
"""What is set for a process to have one thread: the software renderer (0: it draws in the caller's own thread, a
fourteenth sooner than in one beside it) and the matrix library read it when they start."""


class WorkerLost(Exception):
    """A worker was ended from outside."""


def worker_count(wanted: int | None, most: int) -> int:
    """Return how many processes to use: those wanted, else one for each core up to ``most``."""
    return max(1, wanted if wanted is not None else min(os.cpu_count() or 1, most))


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Let processes that are started meanwhile draw and reckon with one thread each; what the user has set stays."""
    added = {name: value for name, value in ONE_THREAD.items() if name not in os.environ}
    os.environ.update(added)
    try:
        yield
    finally:
        for name in added:
            os.environ.pop(name, None)


class WorkerPool(Executor):
    """Worker processes as an executor, with a payload that all of them may ask for."""

    def __init__(self, pool: Executor, payload_file: Path) -> None:
        self._pool, self._payload_file = pool, payload_file

    def share(self, payload: object) -> None:
        """Lay ``payload`` ready for :func:`shared_payload`; once, before the first task that asks for it."""
        self._payload_file.write_bytes(pickle.dumps(payload, pickle.HIGHEST_PROTOCOL))

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Give a task to the next worker that is free."""
        return self._pool.submit(_run, fn, args, kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the workers, as :meth:`concurrent.futures.Executor.shutdown`."""
        self._pool.shutdown(wait, cancel_futures=cancel_futures)


@contextmanager
def worker_pool(
    workers: int, begin: Callable[..., object] | None = None, *given: object
) -> Iterator[WorkerPool]:
    """Yield a pool of ``workers`` processes, which are on their way up; when the block ends none is left.

    Args:
        workers: how many processes.
        begin: is called in each process before its first task, with ``given``; what its module imports is there for
            the tasks, and what it raises, every task raises.
        given: may hold queues, which travel to a process only when it starts.

    Raises:
        WorkerLost: if a worker is ended from outside, most likely for want of memory; all others are ended too.
    """
    with one_thread_each(), tempfile.TemporaryDirectory() as folder:
        payload_file = Path(folder) / "payload"
        listening, stop = Pipe(duplex=False)
        initial = (payload_file, listening, begin, given)
        processes = ProcessPoolExecutor(workers, get_context("spawn"), _begin, initial)
        pool = WorkerPool(processes, payload_file)
        try:
            # All are started here: one that is started by a later task is not watched until the next task or result.
            with _deaf_to_the_keyboard():
                for _ in range(workers):
                    pool.submit(_nothing)
            yield pool
        except BrokenProcessPool as error:
            raise WorkerLost("A worker was ended by the system, most likely for want of memory.") from error
        except BaseException:
            stop.close()  # nobody waits for what is under way
            raise
        finally:
            pool.shutdown(cancel_futures=True)  # where all went well, nothing is left to cancel
            stop.close()
            listening.close()


@contextmanager
def _deaf_to_the_keyboard() -> Iterator[None]:
    """Let processes that are started meanwhile hear of a stop from the keyboard only once they are up: half up, they
    would die with a traceback."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def shared_payload(kind: type[T]) -> T:
    """Return in a worker what :meth:`WorkerPool.share` laid ready, read anew each time.

    Raises:
        LookupError: where nothing is shared.
    """
    if _payload_file is None or not _payload_file.is_file():
        raise LookupError("nothing is shared with this process")
    payload = pickle.loads(_payload_file.read_bytes())
    assert isinstance(payload, kind)
    return payload


_payload_file: Path | None = None
_failed: Exception | None = None
"""What kept this worker from beginning."""


def _begin(
    payload_file: Path,
    stopped: connection.Connection,
    begin: Callable[..., object] | None,
    given: tuple[object, ...],
) -> None:
    global _payload_file, _failed
    _watch_parent(stopped)
    # Stopped from the keyboard, a worker ends at once and without a word: the parent has the say.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    _payload_file = payload_file
    try:
        if begin is not None:
            begin(*given)
    except Exception as error:  # raised by the tasks: here it would look like a lost worker
        _failed = error


def _run(task: Callable[..., T], args: tuple[Any, ...], more: dict[str, Any]) -> T:
    if _failed is not None:
        raise _failed
    return task(*args, **more)


def _nothing() -> None:
    """Do nothing: a worker that is given work starts."""


def _watch_parent(stopped: connection.Connection) -> None:
    """End this process when its parent has ended, from whatever cause, or says stop: it would work in vain."""
    parent = parent_process()
    assert parent is not None
    reader, writer = Pipe(duplex=False)

    def watch() -> None:
        ready = connection.wait([parent.sentinel, reader, stopped])
        if parent.sentinel in ready or (stopped in ready and reader not in ready):
            os._exit(1)

    def stop() -> None:
        writer.close()
        watcher.join()

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    # A thread that is still there when the interpreter ends keeps objects alive, and libraries complain of it.
    atexit.register(stop)
