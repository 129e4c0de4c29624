"""The graph of tasks: all that is wanted is made, once, in order; what is kept is not; what fails is told."""

from __future__ import annotations

import graphlib
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from benchleaf.sequences.work import tasks
from benchleaf.sequences.work.crews import crew
from benchleaf.sequences.work.keys import TaskKey, task_key
from benchleaf.sequences.work.store import Store
from benchleaf.sequences.work.tasks import (
    Account,
    KeptPiece,
    PieceTask,
    TaskNode,
    WorkFailed,
    by_kind,
    run_nodes,
)
from hypothesis import given, settings
from hypothesis import strategies as st


class Heard:
    """A listener that adds up."""

    def __init__(self) -> None:
        self.expected = self.done = 0.0

    def expects(self, seconds: float) -> None:
        self.expected += seconds

    def has_done(self, seconds: float, what: str) -> None:
        self.done += seconds


def write(store: Store, wanted: tuple[str, ...], log: str) -> None:
    """Keep a content for each wanted piece, and say so in a file."""
    with Path(log).open("a") as file:
        for digest in wanted:
            store.put(digest, {"a": digest.encode()})
            file.write(digest + "\n")


def forget(store: Store, wanted: tuple[str, ...]) -> None:
    """Keep nothing."""


def fail(store: Store, wanted: tuple[str, ...]) -> None:
    """Fail."""
    raise ZeroDivisionError("seeded")


def key(number: object) -> TaskKey:
    return task_key("thing", number=number)


@pytest.fixture(name="store")
def _store(tmp_path: Path) -> Store:
    return Store(tmp_path / "store")


def node(name: str, log: Path, *needs: str, keys: tuple[object, ...] = (), rank: int = 0) -> TaskNode:
    pieces = tuple(KeptPiece(key(k), name, str(k)) for k in keys or (name,))
    task = PieceTask(pieces, write, (str(log),))
    return TaskNode((name,), lambda: [task], tuple((n,) for n in needs), (rank,))


def run(nodes: list[TaskNode], store: Store, slots: int = 1) -> tuple[Account, Heard]:
    account, heard = Account(), Heard()
    with ThreadPoolExecutor(slots) as executor:
        run_nodes(nodes, store, executor, slots, heard, account)
    return account, heard


def test_what_is_needed_comes_first_and_what_is_kept_is_not_made(store: Store, tmp_path: Path) -> None:
    log = tmp_path / "log"
    store.put(key("b").digest, {"a": b"kept"})
    nodes = [node("c", log, "b"), node("b", log, "a"), node("a", log)]
    account, heard = run(nodes, store)
    assert log.read_text().split() == [key("a").digest, key("c").digest]
    assert [p.what for p in account.found] == ["b"]
    assert [p.what for p in account.made] == ["a", "c"]
    assert heard.expected == heard.done == 2.0  # what is kept takes no time
    again, _ = run(nodes, store)
    assert not again.made
    assert by_kind(again.found) == {"thing": 3}


def test_a_piece_that_two_nodes_ask_for_is_made_once(store: Store, tmp_path: Path) -> None:
    log = tmp_path / "log"
    nodes = [node(f"n{n}", log, keys=("same", n)) for n in range(4)]
    run(nodes, store, slots=4)
    made = log.read_text().split()
    assert len(made) == len(set(made)) == 5


def test_of_what_is_ready_the_first_in_rank_comes_first(store: Store, tmp_path: Path) -> None:
    log = tmp_path / "log"
    run([node("late", log, rank=2), node("early", log, rank=1), node("last", log, rank=3)], store)
    assert log.read_text().split() == [key(n).digest for n in ("early", "late", "last")]


def test_each_worker_goes_on_with_what_it_has_at_hand_and_helps_in_the_end(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    under_way: list[tuple[Future[Any], Callable[[], Any]]] = []
    order: list[str] = []

    class OneByOne(Executor):
        def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
            under_way.append((Future(), partial(fn, *args, **kwargs)))
            order.append(args[1].pieces[0].what)
            return under_way[-1][0]

    def wait_for_the_first(*_: object, **__: object) -> tuple[set[Future[Any]], set[Future[Any]]]:
        future, work = under_way.pop(0)
        future.set_result(work())
        return {future}, {f for f, _ in under_way}

    monkeypatch.setattr(tasks, "wait", wait_for_the_first)
    log = tmp_path / "log"
    graph = [
        node(f"{head}{n}", log, *([f"{head}0"] if n else []), rank=head)
        for head in (1, 2, 3)
        for n in range(3 if head < 3 else 4)
    ]
    run_nodes(graph, store, OneByOne(), 2, Heard(), Account())
    assert order == ["10", "20", "11", "21", "12", "22", "30", "31", "32", "33"]


def test_tasks_are_asked_for_when_their_needs_are_there_and_after_is_called_then(
    store: Store, tmp_path: Path
) -> None:
    said: list[str] = []
    first = node("a", tmp_path / "log")
    first.after = lambda: said.append("a is there" if store.has(key("a").digest) else "not yet")

    def tasks() -> Iterator[PieceTask]:
        said.append("b is asked")
        yield from ()

    run([TaskNode(("b",), tasks, (("a",),)), first], store)
    assert said == ["a is there", "b is asked"]


def test_a_need_that_is_no_node_is_taken_as_there(store: Store, tmp_path: Path) -> None:
    account, _ = run([node("a", tmp_path / "log", "elsewhere")], store)
    assert len(account.made) == 1


def test_a_circle_is_refused(store: Store, tmp_path: Path) -> None:
    log = tmp_path / "log"
    with pytest.raises(graphlib.CycleError):
        run([node("a", log, "b"), node("b", log, "a")], store)


def test_what_fails_is_raised(store: Store) -> None:
    task = PieceTask((KeptPiece(key("x"), "x", "x"),), fail)
    with pytest.raises(ZeroDivisionError, match="seeded"):
        run([TaskNode(("x",), lambda: [task])], store)


def test_work_that_keeps_nothing_is_a_fault(store: Store) -> None:
    task = PieceTask((KeptPiece(key("x"), "P-1", "picture"),), forget)
    with pytest.raises(WorkFailed, match="P-1: picture was not kept"):
        run([TaskNode(("x",), lambda: [task])], store)


def test_what_the_store_cannot_take_goes_to_the_spare_and_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Store(tmp_path / "file", tmp_path / "spare")
    account, _ = run([node("a", tmp_path / "log"), node("b", tmp_path / "log", "a")], store)
    assert account.unwritable
    assert len(account.made) == 2
    assert store.has(key("b").digest)


@pytest.mark.parametrize("workers", [1, 2])
def test_it_runs_here_and_in_processes_alike(store: Store, tmp_path: Path, workers: int) -> None:
    log, account = tmp_path / "log", Account()
    nodes = [node(f"n{n}", log, *(["n0"] if n else [])) for n in range(6)]
    with crew(workers) as people:
        assert people.slots == workers
        run_nodes(nodes, store, people.executor, people.slots, Heard(), account)
    made = log.read_text().split()
    assert made[0] == key("n0").digest
    assert set(made) == {key(f"n{n}").digest for n in range(6)}
    (spent,) = account.spent.values()
    assert len(spent) == 6
    assert all(s.peak_mb > 0 and s.seconds >= 0 for s in spent)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sets(st.integers(0, 11)), min_size=1, max_size=12), st.sets(st.integers(0, 11)))
def test_any_graph_is_made_whole_in_an_order_that_holds(
    tmp_path_factory: pytest.TempPathFactory, needs: list[set[int]], kept: set[int]
) -> None:
    folder = tmp_path_factory.mktemp("graph")
    store, log = Store(folder / "store"), folder / "log"
    for n in kept:
        store.put(key(f"{n}").digest, {"a": b"kept"})
    nodes = [node(f"{n}", log, *(f"{m}" for m in of if m < n)) for n, of in enumerate(needs)]
    run(nodes, store, slots=3)
    made = log.read_text().split() if log.exists() else []
    wanted = {key(f"{n}").digest for n in range(len(needs)) if n not in kept}
    assert len(made) == len(set(made))
    assert set(made) == wanted
    at = {digest: n for n, digest in enumerate(made)}
    for n, of in enumerate(needs):
        for m in (m for m in of if m < n):
            mine, its = key(f"{n}").digest, key(f"{m}").digest
            assert mine not in at or its not in at or at[its] < at[mine]
