"""Two heads of the demo fleet built for real with their proof, once a test run: the processes of a run share it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from benchleaf.site.booklets.library import build_library
from benchleaf.site.command import DEMO_FLEET
from filelock import FileLock
from picture_sizes import SMALL

FLEET = DEMO_FLEET / "fleet.yaml"
HEADS = ("P-101", "P-104")
"""The base head, and the one with most parts."""


def demo_library(factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the library, for reading alone; whichever process asks first builds it, others wait.

    ``BENCHLEAF_LIBRARY`` names one that is there already; with ``BENCHLEAF_CACHE`` what is kept there is used.
    """
    if given := os.environ.get("BENCHLEAF_LIBRARY"):
        return Path(given).absolute()
    run = _of_the_run(factory)
    folder = run / "demo-library"
    with FileLock(run / "demo-library.lock"):
        if not folder.exists():
            kept = demo_store(factory)
            afresh = not kept.exists()
            built = build_library(
                FLEET, folder, only=HEADS, workers=2, pictures=SMALL, prove=True, cache=kept
            )
            assert built.heads == len(HEADS)
            assert built.shortcomings == (), "every step picture shows what it has to"
            if afresh:
                stages = {"data", "solids", "views", "picture", "overview", "pages", "library"}
                assert stages <= set(built.stages.by_name)
    return folder


def demo_store(factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the store that the library was built with."""
    return Path(os.environ.get("BENCHLEAF_CACHE") or _of_the_run(factory) / "demo-store")


def _of_the_run(factory: pytest.TempPathFactory) -> Path:
    base = factory.getbasetemp()
    return base.parent if base.name.startswith("popen-") else base  # of one process among several
