"""Who does the work: here, beside, or on a cluster; and what is said where there is none."""

from __future__ import annotations

import gc
import multiprocessing
import os
import re
import sys
import time
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

import pytest
from benchleaf.sequences.work import crews
from benchleaf.sequences.work.crews import NoCluster, crew
from benchleaf.sequences.work.keys import task_key
from benchleaf.sequences.work.store import Store
from benchleaf.sequences.work.tasks import Account, KeptPiece, PieceTask, TaskNode, run_nodes
from benchleaf.sequences.work.worker_pool import WorkerLost


def add(a: int, b: int) -> int:
    return a + b


def fail() -> None:
    raise ZeroDivisionError("seeded")


def test_one_works_here() -> None:
    with crew(1) as people:
        assert (people.slots, people.here) == (1, True)
        assert people.executor.submit(os.getpid).result() == os.getpid()
        with pytest.raises(ZeroDivisionError, match="seeded"):
            people.executor.submit(fail).result()


def test_several_work_beside_and_none_is_left() -> None:
    with crew(2) as people:
        assert not multiprocessing.active_children(), "none is started before there is work"
        assert people.executor.submit(add, 2, 3).result() == 5
        assert people.executor.submit(os.getpid).result() != os.getpid()
    assert not multiprocessing.active_children()


def test_where_nothing_is_done_none_is_started() -> None:
    with crew(2):
        pass
    assert not multiprocessing.active_children()


def test_work_under_way_is_left_where_something_fails() -> None:
    began: list[float] = []

    def stopped() -> None:
        with crew(2) as people:
            people.executor.submit(add, 1, 1).result()
            people.executor.submit(time.sleep, 60)
            people.executor.submit(time.sleep, 60)
            began.append(time.monotonic())
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert time.monotonic() - began[0] < 2.0
    assert not multiprocessing.active_children()


def test_without_its_packages_there_is_no_cluster(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(NoCluster, match=r"pip install 'benchleaf\[cluster\]'"),
        crew(cluster="tcp://127.0.0.1:1"),
    ):
        pass


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense://x", "tcp://"])
def test_a_cluster_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch, address: str) -> None:
    monkeypatch.setattr("benchleaf.sequences.work.crews.WAIT_S", 1)
    from distributed import Client

    with pytest.raises(NoCluster, match="No cluster answers at"), crew(cluster=address):
        pass
    left = [o for o in gc.get_objects() if type(o) is Client]
    assert not left, "a half-made client that is collected later can stop the next one"


@pytest.fixture(scope="module", name="address")
def _address() -> Iterator[str]:
    """A cluster of two workers, each a process, on this machine."""
    from distributed import Client, LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:  # type: ignore[no-untyped-call]
        yield cluster.scheduler_address
        # A cluster cannot close over a worker that is just being started again after a test ended it.
        with Client(cluster) as client:  # type: ignore[no-untyped-call]
            client.wait_for_workers(2, timeout=120)


def keep(store: Store, wanted: tuple[str, ...], once: str) -> None:
    """Keep the pieces; the first worker to come here dies of it."""
    if once and not Path(once).exists():
        Path(once).touch()
        os._exit(1)
    for digest in wanted:
        store.put(digest, {"by": str(os.getpid()).encode()})


class _Quiet:
    def expects(self, seconds: float) -> None:
        """Hear nothing."""

    def has_done(self, seconds: float, what: str) -> None:
        """Hear nothing."""


def _nodes(count: int, once: str = "") -> list[TaskNode]:
    pieces = [KeptPiece(task_key("thing", number=n, once=once), "x", f"{n}") for n in range(count)]
    tasks = [PieceTask((piece,), keep, (once,)) for piece in pieces]
    return [TaskNode((f"{n}",), lambda t=t: [t]) for n, t in enumerate(tasks)]  # type: ignore[misc]


def test_a_cluster_does_what_processes_here_do(address: str, tmp_path: Path) -> None:
    store, account = Store(tmp_path), Account()
    with crew(cluster=address) as people:
        assert (people.slots, people.here) == (2, False)
        run_nodes(_nodes(12), store, people.executor, people.slots, _Quiet(), account)
    assert len(account.made) == 12
    by = {content["by"] for p in account.made if (content := store.get(p.key.digest))}
    assert str(os.getpid()).encode() not in by


@pytest.mark.parametrize(
    ("package", "here", "told"),
    [
        ("benchleaf", "9.9", f"has Benchleaf {version('benchleaf')}; this is Benchleaf 9.9"),
        ("no-such-package", "1.0", "has no Benchleaf; this is Benchleaf 1.0"),
    ],
)
def test_workers_of_another_version_are_named(
    address: str, monkeypatch: pytest.MonkeyPatch, package: str, here: str, told: str
) -> None:
    """They could not read their tasks, and die of them for ever."""
    monkeypatch.setattr(crews, "PACKAGE", package)
    monkeypatch.setattr(crews, "version", lambda _: here)
    with pytest.raises(NoCluster, match="The worker tcp://.* " + re.escape(told)), crew(cluster=address):
        pass


def test_what_a_lost_worker_had_in_hand_is_done_by_another(address: str, tmp_path: Path) -> None:
    store, account = Store(tmp_path / "store"), Account()
    with crew(cluster=address) as people:
        nodes = _nodes(6, str(tmp_path / "once"))
        run_nodes(nodes, store, people.executor, people.slots, _Quiet(), account)
    assert (tmp_path / "once").exists()
    assert len(account.made) == 6


def test_a_fault_of_the_work_comes_back_as_it_is(address: str) -> None:
    with crew(cluster=address) as people, pytest.raises(ZeroDivisionError, match="seeded"):
        people.executor.submit(fail).result()


def test_a_task_that_ends_every_worker_is_told(address: str) -> None:
    def lost() -> None:
        with crew(cluster=address) as people:
            people.executor.submit(os._exit, 1).result()

    with pytest.raises(WorkerLost, match="ended its worker on the cluster several times"):
        lost()
