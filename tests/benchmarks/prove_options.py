"""Prove the shipped sequences on every combination of options that changes solids or moves: nothing may be flagged.

Run by hand: ``python tests/benchmarks/prove_options.py FILE [--workers N] [--pairwise]``. Each combination proven is a
line of FILE (JSON), so that a run cut short goes on where it ended. Combinations that together hold every pair of
values come first. Overlaps in place, paths, order and turning of assembly and disassembly are proven; gaps and
wrong-way fits are left out. Ends with status 1 where anything is flagged.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from head_proofs import SHAPE_OPTIONS, faults_with, pairwise, shape_combinations, shipped

from benchleaf.geometry.meshes import forget_meshes
from benchleaf.geometry.options import Options

BATCH = 6
"""Combinations proven by one process before it is let go, with all that it has kept."""


def said(options: Options) -> str:
    """Return the options that matter, in words."""
    return ", ".join(f"{n} {getattr(options, n)}" for n in SHAPE_OPTIONS)


def prove(options: Options) -> dict[str, object]:
    """Return the line of one combination."""
    start = time.process_time()
    faults = faults_with(options, shipped())
    forget_meshes()
    spent = round(time.process_time() - start, 2)
    return {"options": dataclasses.asdict(options), "faults": faults, "processor_s": spent}


def main() -> int:
    """Prove what FILE does not hold yet."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("file", type=Path)
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--pairwise", action="store_true", help="only those that hold every pair of values")
    args = words.parse_args()
    every = shape_combinations()
    first = pairwise(every)
    todo = first if args.pairwise else [*first, *(o for o in every if o not in first)]
    lines = args.file.read_text("utf-8").splitlines() if args.file.is_file() else []
    rows = [json.loads(line) for line in lines]
    known = [Options(**r["options"]) for r in rows]
    left = [o for o in todo if o not in known]
    print(f"{len(todo)} combinations, {len(first)} of them hold every pair of values; {len(left)} to prove")
    context = get_context("spawn")
    with ProcessPoolExecutor(args.workers, context, max_tasks_per_child=BATCH) as pool, args.file.open("a") as out:
        tasks = {pool.submit(prove, o): o for o in left}
        for task in as_completed(tasks):
            rows.append(task.result())
            out.write(json.dumps(rows[-1]) + "\n")
            out.flush()
            for where, texts in rows[-1]["faults"].items():
                for text in texts:
                    print(f"{said(tasks[task])}: {where}: {text}", flush=True)
    mine = [r for r in rows if Options(**r["options"]) in todo]
    flagged = sum(any(r["faults"].values()) for r in mine)
    spent = sorted(r["processor_s"] for r in mine)
    print(f"{len(mine)} of {len(todo)} proven, {flagged} flagged; processor time {sum(spent):.0f} s in all, ", end="")
    print(f"{spent[len(spent) // 2]:.1f} s the median, {spent[-1]:.1f} s at most")
    return 1 if flagged else 0


if __name__ == "__main__":
    sys.exit(main())
