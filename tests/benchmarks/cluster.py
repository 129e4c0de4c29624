"""A library made by a cluster of two workers on this machine, one of which is killed half way, against a local one.

Run by hand: ``python tests/benchmarks/cluster.py [TAG ...]`` (default P-101 and P-102 of the demo). It returns 1 where
a byte of the two libraries differs.
"""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import distributed
from benchleaf.site.booklets.library import build_library
from benchleaf.site.command import DEMO_FLEET

FLEET = DEMO_FLEET / "fleet.yaml"


def contents(library: Path) -> dict[str, bytes]:
    """Return all files of a library."""
    return {str(p.relative_to(library)): p.read_bytes() for p in sorted(library.rglob("*")) if p.is_file()}


def main() -> int:
    """Build both, kill a worker of the cluster meanwhile, and compare."""
    tags = tuple(sys.argv[1:]) or ("P-101", "P-102")
    os.environ["SOURCE_DATE_EPOCH"] = "1900000000"
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        start = time.perf_counter()
        build_library(FLEET, home / "local", tags, 2, cache=home / "store 1", prove=True)
        local_s = time.perf_counter() - start
        library: Any = distributed
        with library.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
            victim = next(iter(cluster.workers.values())).pid
            killer = threading.Timer(local_s / 2, os.kill, (victim, signal.SIGKILL))
            killer.start()
            start = time.perf_counter()
            there, address = home / "there", cluster.scheduler_address
            build_library(FLEET, there, tags, cache=home / "store 2", prove=True, cluster=address)
            cluster_s = time.perf_counter() - start
            killer.cancel()
        one, two = contents(home / "local"), contents(home / "there")
        differing = [name for name in one.keys() | two.keys() if one.get(name) != two.get(name)]
    print(f"two processes here {local_s:.0f} s; cluster of two, one killed half way, {cluster_s:.0f} s")
    print(f"{len(one)} files, {len(differing)} differ: {', '.join(differing[:5])}")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
