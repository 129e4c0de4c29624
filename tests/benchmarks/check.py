"""Time ``benchleaf check`` for a fleet of seven heads and for a hundred heads of ten designs.

Run by hand: ``PYTHONPATH=tests/samples python tests/benchmarks/check.py [ROUNDS]``. Every round is a process of its
own, as a person starts it; compiled modules are there, as after an installation. Told are the medians of wall time,
processor time and peak memory, how many times the smaller fleet the larger one takes, and how many times an import of
the loader alone.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from fleet_generator import write_many_heads

MOST_WALL_S = {"demo, 7 heads": 1.0, "100 heads of 10 designs": 3.0}
"""What each may take on two quiet cores."""
RUN = "from benchleaf.site.command import main; raise SystemExit(main(['check', {!r}]))"
LOAD = "import benchleaf.sequences.calculations.load_fleet"


@dataclass(frozen=True)
class Cost:
    """What one process takes: wall and processor time in s, peak memory in MB."""

    wall_s: float
    processor_s: float
    peak_mb: float


def cost(code: str, compiled: Path) -> Cost:
    """Return what a fresh process takes that runs ``code``; compiled modules are kept in ``compiled``."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.DEVNULL,
        env={**env, "PYTHONPYCACHEPREFIX": str(compiled)},
    )
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"ended with {child.returncode}: {code}")
    wall = time.perf_counter() - start
    return Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def median(code: str, rounds: int, compiled: Path) -> Cost:
    """Return the medians over ``rounds`` processes, after one that nobody counts."""
    cost(code, compiled)
    costs = [cost(code, compiled) for _ in range(rounds)]
    return Cost(
        *(
            statistics.median(c)
            for c in zip(*((c.wall_s, c.processor_s, c.peak_mb) for c in costs), strict=True)
        )
    )


def main(rounds: int) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        many = write_many_heads(Path(folder) / "many")
        compiled = Path(folder) / "compiled"
        loading = median(LOAD, rounds, compiled)
        codes = {"demo, 7 heads": RUN.format("demo"), "100 heads of 10 designs": RUN.format(str(many))}
        found = {name: median(code, rounds, compiled) for name, code in codes.items()}
    print(f"{'':28}{'wall s':>8}{'proc. s':>9}{'peak MB':>9}{'x import':>10}{'x 7 heads':>11}")
    first = next(iter(found.values()))
    for name, c in {"import of the loader": loading, **found}.items():
        print(
            f"{name:28}{c.wall_s:8.2f}{c.processor_s:9.2f}{c.peak_mb:9.0f}"
            f"{c.processor_s / loading.processor_s:10.1f}{c.processor_s / first.processor_s:11.1f}"
        )
    for name, most in MOST_WALL_S.items():
        said = "within" if found[name].wall_s < most else "OVER"
        print(f"{name}: {said} {most:g} s of wall time")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
