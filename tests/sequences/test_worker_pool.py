"""Worker processes: one thread each, one payload, plain words for one that is lost, none left over in any case."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

import pytest
from benchleaf.sequences.work.worker_pool import (
    ONE_THREAD,
    WorkerLost,
    one_thread_each,
    shared_payload,
    worker_count,
    worker_pool,
)

MATRIX_THREADS = (
    "import os, numpy as np\n"
    "a = np.random.default_rng(0).normal(size=(600, 600))\n"
    "a @ a\n"
    "print(len(os.listdir('/proc/self/task')))\n"
)


def test_thread_counts_are_set_only_meanwhile(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ONE_THREAD:
        monkeypatch.delenv(name, raising=False)
    with one_thread_each():
        assert {name: os.environ[name] for name in ONE_THREAD} == ONE_THREAD
    assert not set(ONE_THREAD) & set(os.environ)


def test_what_the_user_has_set_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LP_NUM_THREADS", "3")
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    with one_thread_each():
        assert os.environ["LP_NUM_THREADS"] == "3"
        assert os.environ["OPENBLAS_NUM_THREADS"] == "1"
    assert os.environ["LP_NUM_THREADS"] == "3"
    assert "OPENBLAS_NUM_THREADS" not in os.environ


def test_they_are_taken_off_when_the_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("LP_NUM_THREADS", raising=False)
    with pytest.raises(RuntimeError), one_thread_each():
        raise RuntimeError
    assert "LP_NUM_THREADS" not in os.environ


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="counts threads as Linux tells them")
def test_a_process_started_meanwhile_reckons_in_one_thread() -> None:
    with one_thread_each():
        out = subprocess.run(
            [sys.executable, "-c", MATRIX_THREADS], capture_output=True, text=True, check=True
        )
    assert int(out.stdout) == 1


def _square(n: int) -> int:
    return n * n


def _fails(text: str) -> None:
    raise ValueError(text)


def _payload_and_pid() -> tuple[dict[str, int], int]:
    return shared_payload(dict), os.getpid()


_begun: list[str] = []


def _begin(word: str) -> None:
    _begun.append(word)


def _begun_with() -> list[str]:
    return _begun


def test_it_is_an_executor_like_any_other() -> None:
    with worker_pool(2) as pool:
        assert isinstance(pool, Executor)
        assert list(pool.map(_square, range(5))) == [0, 1, 4, 9, 16]
        assert pool.submit(_square, n=3).result() == 9
        with pytest.raises(ValueError, match="seeded"):
            pool.submit(_fails, "seeded").result()
        assert pool.submit(_square, 2).result() == 4, "a task that fails leaves the worker at work"
    assert not multiprocessing.active_children()


def test_each_process_gets_the_payload_and_has_begun() -> None:
    with worker_pool(2, _begin, "a word") as pool:
        pool.share({"parts": 3})
        found = [f.result() for f in [pool.submit(_payload_and_pid) for _ in range(4)]]
        assert [payload for payload, _ in found] == [{"parts": 3}] * 4
        assert os.getpid() not in {pid for _, pid in found}
        assert pool.submit(_begun_with).result() == ["a word"]
    assert _begun == []


def test_nothing_shared_is_named() -> None:
    with worker_pool(1) as pool, pytest.raises(LookupError, match="nothing is shared"):
        pool.submit(_payload_and_pid).result()


def test_what_keeps_a_worker_from_beginning_is_raised_by_its_tasks() -> None:
    """And is not taken for a worker that the system has ended."""
    with worker_pool(1, _fails, "seeded") as pool, pytest.raises(ValueError, match="seeded"):
        pool.submit(_square, 2).result()


def _work_beside_one_that_dies() -> None:
    with worker_pool(2) as pool:
        busy = pool.submit(time.sleep, 60)
        pool.submit(os._exit, 9)
        busy.result()


def test_a_worker_ended_from_outside_is_lost_and_none_is_left() -> None:
    begin = time.monotonic()
    with pytest.raises(WorkerLost, match="ended by the system, most likely for want of memory"):
        _work_beside_one_that_dies()
    assert time.monotonic() - begin < 30, "the other one is not waited for"
    assert not multiprocessing.active_children()


def _much_work_and_a_fault() -> None:
    with worker_pool(1) as pool:
        for _ in range(20):
            pool.submit(time.sleep, 1)
        raise RuntimeError("seeded")


def test_work_that_nobody_waits_for_is_not_begun() -> None:
    begin = time.monotonic()
    with pytest.raises(RuntimeError, match="seeded"):
        _much_work_and_a_fault()
    assert time.monotonic() - begin < 15
    assert not multiprocessing.active_children()


@pytest.mark.parametrize(("wanted", "most", "count"), [(3, 2, 3), (1, 4, 1), (0, 4, 1)])
def test_as_many_as_are_wanted(wanted: int, most: int, count: int) -> None:
    assert worker_count(wanted, most) == count


def test_without_a_wish_one_for_each_core_up_to_a_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    for cores, count in ((1, 1), (3, 3), (64, 4), (None, 1)):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert worker_count(None, 4) == count


PARENT = """\
import os, sys, time
from benchleaf.sequences.work.worker_pool import worker_pool
if __name__ == "__main__":
    with worker_pool(2) as pool:
        pids = set()
        while len(pids) < 2:
            pids.add(pool.submit(os.getpid).result())
        print(*pids, flush=True)
        for _ in range(2):
            pool.submit(time.sleep, 120)
        time.sleep(120)
"""


def _parent_at_work(folder: Path) -> tuple[subprocess.Popen[str], list[int]]:
    """Start a process that has workers; return it and their process ids."""
    script = folder / "parent.py"
    script.write_text(PARENT)
    parent = subprocess.Popen(
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert parent.stdout is not None
    return parent, [int(pid) for pid in parent.stdout.readline().split()]


def _until(holds: Callable[[], Any], seconds: float = 30.0) -> bool:
    end = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > end:
            return False
        time.sleep(0.05)
    return True


def _gone(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return True
    return state == "Z"


@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks for processes as Linux tells them")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
def test_workers_end_with_a_parent_that_is_killed(tmp_path: Path, how: signal.Signals) -> None:
    parent, workers = _parent_at_work(tmp_path)
    assert len(workers) == 2
    assert not any(_gone(pid) for pid in workers)
    parent.send_signal(how)
    parent.communicate()
    assert _until(lambda: all(_gone(pid) for pid in workers))


@pytest.mark.skipif(not Path("/proc/self/stat").is_file(), reason="looks for processes as Linux tells them")
def test_stopped_from_the_keyboard_all_end_at_once_and_only_the_parent_speaks(tmp_path: Path) -> None:
    parent, workers = _parent_at_work(tmp_path)
    begin = time.monotonic()
    os.killpg(parent.pid, signal.SIGINT)
    _, said = parent.communicate(timeout=60)
    assert time.monotonic() - begin < 30
    assert said.count("Traceback (most recent call last)") == 1
    assert said.rstrip().endswith("KeyboardInterrupt")
    assert _until(lambda: all(_gone(pid) for pid in workers))
