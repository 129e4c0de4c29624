"""A cold head against the yardstick: all of one booklet beside the plain script of a trainer, in one run.

Run by hand on quiet cores: ``python tests/benchmarks/cold.py [ROUNDS]``. Both are processes of their own, in turn; told
are the medians and their ratio in processor time. It returns 1 where the ratio is above :data:`ALLOWED`.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ALLOWED = 3.0
HERE = Path(__file__).parent
TAG = "P-101"


def cost(command: list[str]) -> tuple[float, float]:
    """Return wall and processor time of a process and all its children, s."""
    start = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"ended with {child.returncode}: {' '.join(command)}")
    return time.perf_counter() - start, used.ru_utime + used.ru_stime


def main() -> int:
    """Measure and compare."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    plain, ours = [], []
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as folder:
            plain.append(cost([sys.executable, str(HERE / "plain_script.py"), f"{folder}/plain"]))
            command = [sys.executable, "-m", "benchleaf.site", "build", "demo", "--only", TAG, "--afresh"]
            ours.append(cost([*command, "--to", f"{folder}/library"]))
    print(f"{'':<28} {'wall s':>7} {'cpu s':>7}")
    for name, found in (("plain script, pictures only", plain), ("booklet, cold, proof included", ours)):
        wall, cpu = (statistics.median(f[n] for f in found) for n in (0, 1))
        print(f"{name:<28} {wall:7.1f} {cpu:7.1f}")
    ratio = statistics.median(o[1] / p[1] for o, p in zip(ours, plain, strict=True))
    print(f"processor time, ours against the plain script's: {ratio:.2f}, allowed {ALLOWED:g}")
    return 1 if ratio > ALLOWED else 0


if __name__ == "__main__":
    sys.exit(main())
