"""Prove the shipped sequences on every combination of options that changes solids or moves: nothing may be flagged.

Run by hand: ``python tests/benchmarks/all_options.py FILE``. Each combination proven is a line of FILE (JSON), written
as soon as it is known, so that a run cut short goes on where it ended. Combinations that together hold every pair of
values come first. Overlaps in place, paths, order and turning of assembly and disassembly are proven; gaps and
wrong-way fits are left out. Ends with status 1 where anything of what was asked for is flagged.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import os
import sys
import time
from collections.abc import Iterator, Sequence
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from benchleaf.geometry.meshes import forget_meshes
from benchleaf.geometry.options import Options
from benchleaf.geometry.size import SizeError
from head_proofs import SHAPE_OPTIONS, faults_with, pairwise, shape_combinations, shipped

BATCH = 6
"""Combinations proven by one process before it is let go, with all that it has kept."""
SMALL_MM = 64.0
"""About the smallest at which a head can be built with every combination by the usual proportions."""


def said(options: Options) -> str:
    """Return the options that matter, in words."""
    return ", ".join(f"{n} {getattr(options, n)}" for n in SHAPE_OPTIONS)


def prove(options: Options, centre_mm: float) -> dict[str, Any]:
    """Return the line of one combination."""
    start = time.process_time()
    try:
        faults = faults_with(options, shipped(), centre_mm)
    except SizeError as error:
        faults = {"size": [str(error)]}
    forget_meshes()
    spent = round(time.process_time() - start, 2)
    return {
        "centre_mm": centre_mm,
        "options": dataclasses.asdict(options),
        "faults": faults,
        "processor_s": spent,
    }


def proven(todo: Sequence[Options], centre_mm: float, workers: int) -> Iterator[dict[str, Any]]:
    """Yield the line of each combination, in no order where several processes work."""
    if workers == 1 and len(todo) <= BATCH:
        yield from (prove(o, centre_mm) for o in todo)
        return
    # Not an executor: with one that renews its processes, Python 3.11 can wait for ever.
    with get_context("spawn").Pool(workers, maxtasksperchild=BATCH) as pool:
        yield from pool.imap_unordered(partial(prove, centre_mm=centre_mm), todo)


def read_lines(file: Path, centre_mm: float) -> list[dict[str, Any]]:
    """Return what FILE holds of this size; a line cut short by a kill is left out, and proven again."""
    rows = []
    for line in file.read_text("utf-8").splitlines() if file.is_file() else []:
        try:
            row = json.loads(line)
        except ValueError:
            continue
        if row["centre_mm"] == centre_mm:
            rows.append(row)
    return rows


def main(arguments: Sequence[str] | None = None) -> int:
    """Prove what FILE does not hold yet, and tell what is flagged."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("file", type=Path, help="where each combination proven becomes a line")
    words.add_argument("--workers", type=int, default=1)
    words.add_argument("--centre", type=float, default=SMALL_MM, help="shaft centre distance, mm")
    words.add_argument("--pairwise", action="store_true", help="only those that hold every pair of values")
    words.add_argument("--sample", type=int, metavar="N", help="only the first N of them")
    args = words.parse_args(arguments)
    every = shape_combinations()
    first = pairwise(every)
    todo = first if args.pairwise else [*first, *(o for o in every if o not in first)]
    todo = todo[: args.sample]
    rows = read_lines(args.file, args.centre)
    known = [Options(**r["options"]) for r in rows]
    left = [o for o in todo if o not in known]
    print(f"{len(every)} combinations, {len(first)} of them hold every pair of values; {len(left)} to prove")
    with args.file.open("a", encoding="utf-8") as out:
        if out.tell() and not args.file.read_bytes().endswith(b"\n"):
            out.write("\n")
        for row in proven(left, args.centre, args.workers):
            rows.append(row)
            out.write(json.dumps(row) + "\n")
            out.flush()
            os.fsync(out.fileno())
    mine = [r for r in rows if Options(**r["options"]) in todo]
    flagged = [r for r in mine if any(r["faults"].values())]
    for row in flagged:
        for where, texts in row["faults"].items():
            for text in texts:
                print(f"{said(Options(**row['options']))}: {where}: {text}")
    spent = sorted(r["processor_s"] for r in mine)
    print(
        f"{len(mine)} of {len(todo)} proven, {len(flagged)} flagged; processor time {sum(spent):.0f} s in all, ",
        end="",
    )
    print(f"{spent[len(spent) // 2]:.1f} s the median, {spent[-1]:.1f} s at most")
    return 1 if flagged else 0


if __name__ == "__main__":
    sys.exit(main())
