"""Processes side by side get one thread each, and what the user has set stays."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.render.pictures.processes import ONE_THREAD, one_thread_each

MATRIX_THREADS = (
    "import os, numpy as np\n"
    "a = np.random.default_rng(0).normal(size=(600, 600))\n"
    "a @ a\n"
    "print(len(os.listdir('/proc/self/task')))\n"
)


def test_they_are_set_only_meanwhile(monkeypatch: pytest.MonkeyPatch) -> None:
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
