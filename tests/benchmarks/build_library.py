"""Build the demo library cold and print wall time and peak memory of each stage.

Run by hand: ``python tests/benchmarks/build_library.py [WORKERS [TAG ...]]``. Every run is a process of its own that
keeps no pictures. Seconds are summed over the workers; peak memory is that of the greatest process; a worker must
stay below 1.5 GB, a booklet below 12 MB.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

MOST_MB = 1500
MOST_BOOKLET_MB = 12.0
COUNTED = {".html", ".webp", ".avif", ".png", ".json", ".css"}
"""What a booklet weighs: pages, pictures, films, evidence; a model in 3D is not counted."""


def main() -> int:
    """Build, print the table, and return 1 if a process or a booklet grew beyond what is allowed."""
    workers, tags = (sys.argv[1] if len(sys.argv) > 1 else "2"), sys.argv[2:]
    with tempfile.TemporaryDirectory() as folder:
        timings = Path(folder) / "timings.json"
        command = [sys.executable, "-m", "benchleaf.site", "build", "demo", "--afresh", "--workers", workers]
        command += ["--to", f"{folder}/library", "--timings", str(timings)]
        start = time.perf_counter()
        subprocess.run([*command, *(["--only", *tags] if tags else [])], check=True)
        wall = time.perf_counter() - start
        stages = json.loads(timings.read_text("utf-8"))["stages"]
        files = [p for p in (Path(folder) / "library").rglob("*") if p.is_file()]
        pictures = [p for p in files if p.suffix == ".webp" and p.name != "small.webp"]
        total_mb = sum(p.stat().st_size for p in files) / 1e6
        booklets = {
            b.name: sum(p.stat().st_size for p in b.rglob("*") if p.suffix in COUNTED) / 1e6
            for b in (Path(folder) / "library").iterdir()
            if (b / "index.html").is_file()
        }
    print(f"\n{'stage':<10} {'s':>8} {'peak MB':>8}")
    for stage in stages:
        print(f"{stage['name']:<10} {stage['seconds']:8.1f} {stage['peak_mb']:8.0f}")
    print(
        f"{'wall':<10} {wall:8.1f}   with {workers} workers, {len(pictures)} pictures, {total_mb:.0f} MB written"
    )
    peak = max(stage["peak_mb"] for stage in stages)
    print(f"greatest process {peak:.0f} MB, allowed {MOST_MB} MB")
    largest = max(booklets, key=lambda b: booklets[b])
    print(f"largest booklet {largest} {booklets[largest]:.1f} MB, allowed {MOST_BOOKLET_MB:g} MB")
    return 1 if peak > MOST_MB or booklets[largest] > MOST_BOOKLET_MB else 0


if __name__ == "__main__":
    sys.exit(main())
