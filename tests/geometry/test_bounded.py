"""What reads strangers' files is a child: it may break down, never end, or take all memory; the next file is read."""

from __future__ import annotations

import ctypes
import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.exchange.bounded import ReaderFailed, Refused, Task, read_bounded

# Readers are functions that the child can import by themselves; the "file" is whatever those take.


def task(reader: Callable[..., Any], *given: Any) -> Task:
    """Return a task for a function of a library."""
    return Task(reader, given[0], given[1:])


def kind(result: bytes | Refused) -> str:
    return result.decode() if isinstance(result, bytes) else result.found


def test_results_come_in_order_and_what_ends_the_child_is_told(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"first")
    (tmp_path / "b").write_bytes(b"last")
    tasks = [
        task(Path.read_bytes, tmp_path / "a"),
        task(ctypes.string_at, 0),  # reads where nothing is: the system ends the process
        task(os._exit, 0),
        task(time.sleep, 1000.0),
        task(bytes, 10**12),
        task(Path.read_bytes, tmp_path / "b"),
    ]
    begun = time.monotonic()
    results = [kind(r) for r in read_bounded(tasks, seconds=4.0)]
    assert results[0] == "first"
    assert results[1].startswith("a damaged file: its reader broke down")
    assert results[3] == "a file that takes longer than 4 s to read"
    assert results[4] == "a file that needs more than 4 GB of memory"
    assert results[5] == "last"
    assert time.monotonic() - begun < 60.0


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_a_child_ended_from_outside_is_told_as_a_breakdown() -> None:
    (result,) = read_bounded([task(signal.raise_signal, signal.SIGKILL)])
    assert isinstance(result, Refused)
    assert result.fix == "export it again where it was drawn"


def test_a_reader_with_a_fault_of_its_own_is_no_fault_of_the_file() -> None:
    with pytest.raises(ReaderFailed, match="ZeroDivisionError"):
        read_bounded([task(divmod, 1, 0)])


def test_a_child_that_cannot_begin_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchleaf.geometry.exchange.bounded.__name__", "no_such_module")
    with pytest.raises(ReaderFailed, match="no_such_module"):
        read_bounded([task(bytes, 1)])


def test_a_refusal_comes_back_whole(tmp_path: Path) -> None:
    from benchleaf.geometry.exchange.step_files import read_step_here

    (tmp_path / "a.step").write_text("Grüße")
    (refused,) = read_bounded([Task(read_step_here, tmp_path / "a.step")])
    assert isinstance(refused, Refused)
    assert (refused.found, refused.allowed) == ("no STEP header", "a STEP file (ISO 10303-21)")


def test_nothing_to_read_begins_no_child_and_the_wait_is_used() -> None:
    done: list[int] = []
    assert read_bounded([], meanwhile=lambda: done.append(1)) == []
    assert read_bounded([task(bytes, 1)], meanwhile=lambda: done.append(2)) == [b"\0"]
    assert done == [1, 2]
