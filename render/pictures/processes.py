"""Processes that work side by side: each with one thread, or they would get in each other's way."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

ONE_THREAD = {"LP_NUM_THREADS": "0", "OPENBLAS_NUM_THREADS": "1"}
"""What is set for a process to have one thread: the software renderer (0: it draws in the caller's own thread, a
fourteenth sooner than in one beside it) and the matrix library read it when they start."""


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
