"""Several heads at the same time: processes of their own, which tell the build how far they are."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from ...render.pictures.processes import one_thread_each
from .head_booklet import HeadDone, HeadJob, build_head
from .progress import Progress

MOST_WORKERS = 4
"""Each worker may take up to 1.5 GB; more at once only by the user's word."""


class WorkerLost(Exception):
    """A worker was ended from outside; the message says what to do."""


def worker_count(wanted: int | None, jobs: int) -> int:
    """Return how many processes work at the same time; without a wish, one for each core up to four.

    Several heads are shared out among them; of a single head, its pictures.
    """
    most = wanted or min(os.cpu_count() or 1, MOST_WORKERS)
    return max(1, most if jobs == 1 else min(jobs, most))


def run_jobs(jobs: list[HeadJob], workers: int, progress: Progress) -> list[HeadDone]:
    """Make all booklets and return what is known of them, in the order of ``jobs``.

    Raises:
        WorkerLost: if a worker was ended from outside, most likely for want of memory.
    """
    if workers == 1 or len(jobs) == 1:
        jobs = [replace(job, drawers=workers) for job in jobs]
        return [_here(n, job, len(jobs), progress) for n, job in enumerate(jobs)]
    # Spawned, not forked: a GL context does not survive a fork.
    context = multiprocessing.get_context("spawn")
    done: dict[int, HeadDone] = {}
    with one_thread_each(), _listening(context, progress) as told:
        pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(told,))
        try:
            waiting: dict[Future[HeadDone], int] = {pool.submit(_work, job): n for n, job in enumerate(jobs)}
            progress.say(f"{len(jobs)} heads, {workers} at a time")
            for future in as_completed(waiting):
                n = waiting[future]
                done[n] = future.result()
                progress.say(f"{jobs[n].head.tag} is done, {len(done)} of {len(jobs)}")
        except BrokenProcessPool as e:
            raise WorkerLost(
                "A worker was ended by the system, most likely for want of memory. Nothing was written. "
                "Try fewer at the same time: --workers 1"
            ) from e
        finally:
            pool.shutdown(cancel_futures=True)
    return [done[n] for n in range(len(jobs))]


def _here(n: int, job: HeadJob, total: int, progress: Progress) -> HeadDone:
    progress.say(f"{job.head.tag}, {n + 1} of {total}")
    return build_head(
        job, lambda text: progress.say(f"{job.head.tag}, {n + 1} of {total}: {text}", small=True)
    )


@contextmanager
def _listening(context: Any, progress: Progress) -> Iterator[Any]:
    """Yield a queue; what workers put into it is told as progress until the block ends."""
    told = context.Queue()

    def listen() -> None:
        while (text := told.get()) is not None:
            progress.say(text, small=True)

    listener = threading.Thread(target=listen, daemon=True)
    listener.start()
    try:
        yield told
    finally:
        told.put(None)
        listener.join()
        told.close()
        told.join_thread()


_told: Any = None


def _begin(told: Any) -> None:
    """Keep the queue in a worker that has just begun."""
    global _told
    _told = told


def _work(job: HeadJob) -> HeadDone:
    return build_head(job, lambda text: _told.put(f"{job.head.tag}: {text}"))
