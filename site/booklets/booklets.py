"""All booklets of a library: those that are in the store are taken from there, the others are made first."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from ...sequences.work.crews import crew
from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ...sequences.work.tasks import AGAIN, Account, KeptPiece, PieceGone, TaskNode, run_nodes
from ..build.progress import Progress
from ..build.system_libraries import Machine
from . import head_tasks
from .booklet_files import booklet_key, fetch_booklet
from .head_job import HeadDone, HeadJob
from .head_nodes import HeadNodes


def make_booklets(
    jobs: Sequence[HeadJob],
    store: Store,
    folder: Path,
    progress: Progress,
    account: Account,
    hashes: dict[str, str],
    machine: Machine,
    workers: int | None = None,
    cluster: str = "",
    earlier: Path | None = None,
) -> list[HeadDone]:
    """Write the booklets of ``jobs`` into ``folder``; return what is known of each, in their order.

    Args:
        jobs: one a head.
        store: where all results are kept.
        folder: the library's.
        progress: hears of what is done.
        account: takes what was made and found.
        hashes: takes the SHA-256 of every file, by its path in the library.
        machine: is asked whether it can draw, where it is to.
        workers: processes on this machine (see :func:`...sequences.work.crews.crew`).
        cluster: address of a cluster that does the work instead.
        earlier: the library that this one will replace; what is the same in both is not written again.

    Raises:
        SolidError, OwnPartError: if a part cannot be made.
        MeshError, OverlapError: if a solid is not fit for pictures or proof.
        NoGraphics, MissingLibrary: if this machine cannot draw.
        WorkerLost, NoCluster: see :func:`...sequences.work.crews.crew`.
        OSError: if the folder cannot be written.
    """
    booklets = _Booklets(jobs, store, folder, progress, hashes, earlier)
    for attempt in range(AGAIN):
        try:
            booklets.take_known(account)
            if booklets.open:
                booklets.make(account, machine, workers, cluster)
            return [booklets.done[job.slug] for job in jobs]
        except PieceGone:
            if attempt == AGAIN - 1:
                raise
            store.doubted = True
        finally:
            head_tasks.put_down()
    raise AssertionError("unreachable")


class _Booklets:
    def __init__(
        self,
        jobs: Sequence[HeadJob],
        store: Store,
        folder: Path,
        progress: Progress,
        hashes: dict[str, str],
        earlier: Path | None,
    ) -> None:
        self.hashes, self.earlier = hashes, earlier
        self.jobs, self.store, self.folder, self.progress = jobs, store, folder, progress
        self.keys = {job.slug: booklet_key(job) for job in jobs}
        self.done: dict[str, HeadDone] = {}

    @property
    def open(self) -> list[tuple[int, HeadJob]]:
        return [(n, job) for n, job in enumerate(self.jobs) if job.slug not in self.done]

    def take_known(self, account: Account) -> None:
        """Write the booklets that the store holds."""
        for _, job in self.open:
            key = self.keys[job.slug]
            if self.store.has(key.digest):
                try:
                    self.write(job, key)
                except PieceGone:
                    continue
                account.found.append(KeptPiece(key, job.tag, "pages"))

    def make(self, account: Account, machine: Machine, workers: int | None, cluster: str) -> None:
        """Make and write the others."""
        with crew(workers, cluster) as people:
            heads: list[HeadNodes] = []
            designs: set[str] = set()
            for n, job in self.open:
                design = job.work.design.digest
                heads.append(
                    HeadNodes(n, job, self.keys[job.slug], self.store, machine, again=design in designs)
                )
                designs.add(design)
            nodes: list[TaskNode] = [node for head in heads for node in head.nodes(self._then(head))]
            count = len(heads)
            what = "1 head" if count == 1 else f"{count} heads"
            self.progress.say(f"{what} to make, {people.slots} at work")
            run_nodes(nodes, self.store, people.executor, people.slots, self.progress, account)

    def _then(self, head: HeadNodes) -> Callable[[], None]:
        def then() -> None:
            if head.refused is not None:
                self.done[head.job.slug] = head.refused
                return
            self.write(head.job, head.key)
            first = len(self.done) == 1 and len(self.jobs) > 1
            where = f"; it can be read already: {self.folder / head.job.slug / 'index.html'}" if first else ""
            self.progress.say(f"{head.job.tag} is done, {len(self.done)} of {len(self.jobs)}{where}")

        return then

    def write(self, job: HeadJob, key: TaskKey) -> None:
        """Write a booklet from the store.

        Raises:
            PieceGone: if it is not there, or is damaged.
        """
        done, files = fetch_booklet(self.store, key)
        _write_files(self.folder / job.slug, files, self.earlier / job.slug if self.earlier else None)
        stem = f"{job.slug}/" if job.slug else ""
        self.hashes.update({f"{stem}{name}": digest for name, (_, digest) in files.items()})
        self.done[job.slug] = done


def _write_files(folder: Path, files: Mapping[str, tuple[bytes, str]], earlier: Path | None) -> None:
    for parent in {name.rpartition("/")[0] for name in files}:
        (folder / parent).mkdir(parents=True, exist_ok=True)
    # As many as a library has: without a Path of each.
    for name, (content, _) in files.items():
        if earlier is None or not _same_file(f"{earlier}/{name}", f"{folder}/{name}", content):
            # Exclusively: what stands there may be a second name of the earlier library's own file.
            with open(f"{folder}/{name}", "xb") as file:  # noqa: PTH123
                file.write(content)


def _same_file(there: str, here: str, content: bytes) -> bool:
    """Name a file of the earlier library a second time, if it holds the very bytes; return whether it was done."""
    try:
        found = os.lstat(there)
        if not stat.S_ISREG(found.st_mode) or found.st_size != len(content):
            return False
        with open(there, "rb") as file:  # noqa: PTH123
            if file.read() != content:
                return False
        os.link(there, here, follow_symlinks=False)
    except (OSError, NotImplementedError):
        return False
    return True
