"""Several heads at the same time: processes of their own, which tell the build how far they are."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import Executor, Future, as_completed
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing import get_context
from typing import Any

from ...sequences.work.worker_pool import worker_count, worker_pool
from .head_booklet import build_head
from .head_job import HeadDone, HeadJob
from .progress import Progress

MOST_WORKERS = 4
"""Each worker may take up to 1.5 GB; more at once only by the user's word."""


def build_workers(wanted: int | None, heads: int) -> int:
    """Return how many processes work at the same time; without a wish, one for each core up to four.

    Several heads are shared out among them; of a single head, its proof and pictures.
    """
    most = worker_count(wanted, MOST_WORKERS)
    return most if heads == 1 else max(1, min(heads, most))


def run_jobs(jobs: list[HeadJob], workers: int, progress: Progress) -> list[HeadDone]:
    """Make all booklets and return what is known of them, in the order of ``jobs``.

    Raises:
        WorkerLost: if a worker is ended from outside, most likely for want of memory.
    """
    if workers == 1 or len(jobs) == 1:
        jobs = [replace(job, workers=workers) for job in jobs]
        return [_here(n, job, len(jobs), progress) for n, job in enumerate(jobs)]
    with _listening(progress) as messages, worker_pool(workers, _begin, messages) as pool:
        return _share_out(jobs, pool, workers, progress)


def _here(n: int, job: HeadJob, total: int, progress: Progress) -> HeadDone:
    progress.say(f"{job.tag}, {n + 1} of {total}")
    return build_head(job, lambda text: progress.say(f"{job.tag}, {n + 1} of {total}: {text}", small=True))


def _share_out(jobs: list[HeadJob], pool: Executor, workers: int, progress: Progress) -> list[HeadDone]:
    waiting: dict[Future[HeadDone], int] = {pool.submit(_work, job): n for n, job in enumerate(jobs)}
    progress.say(f"{len(jobs)} heads, {workers} at a time")
    done: dict[int, HeadDone] = {}
    for future in as_completed(waiting):
        n = waiting[future]
        done[n] = future.result()
        progress.say(f"{jobs[n].tag} is done, {len(done)} of {len(jobs)}")
    return [done[n] for n in range(len(jobs))]


@contextmanager
def _listening(progress: Progress) -> Iterator[Any]:
    """Yield a queue; what workers put into it is shown as progress until the block ends."""
    messages = get_context("spawn").Queue()

    def listen() -> None:
        while (text := messages.get()) is not None:
            progress.say(text, small=True)

    listener = threading.Thread(target=listen, daemon=True)
    listener.start()
    try:
        yield messages
    finally:
        messages.put(None)
        listener.join()
        messages.close()
        messages.join_thread()


_messages: Any = None


def _begin(messages: Any) -> None:
    """Keep the queue in a worker that has just begun."""
    global _messages
    _messages = messages


def _work(job: HeadJob) -> HeadDone:
    return build_head(job, lambda text: _messages.put(f"{job.tag}: {text}"))
