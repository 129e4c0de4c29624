"""Check every combination of options that changes solids or moves, one line of a file each, from where a run ended."""

from __future__ import annotations

import argparse
import dataclasses
import json
import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.meshes.tessellation import forget_meshes
from benchleaf.sequences.work.worker_pool import worker_pool
from head_proofs import SHAPE_OPTIONS, covering, shape_combinations

BATCH = 6
"""Combinations checked by one process before it is let go, with all that it has kept."""
SMALL_MM = 64.0
"""About the smallest at which a head can be built with every combination by the usual proportions."""
Found = dict[str, list[str]]


@dataclass(frozen=True)
class Check:
    """What is asked of each combination: ``judge`` returns what is wrong, by where, for options and centre distance."""

    about: str
    judge: Callable[[Options, float], Found]
    to_do: str = "prove"
    done: str = "proven"


def said(options: Options) -> str:
    """Return the options that matter, in words."""
    return ", ".join(f"{n} {getattr(options, n)}" for n in SHAPE_OPTIONS)


def _line(judge: Callable[[Options, float], Found], options: Options, centre_mm: float) -> dict[str, Any]:
    start = time.process_time()
    faults = judge(options, centre_mm)
    forget_meshes()
    spent = round(time.process_time() - start, 2)
    return {
        "centre_mm": centre_mm,
        "options": dataclasses.asdict(options),
        "faults": faults,
        "processor_s": spent,
    }


def _checked(
    check: Check, todo: Sequence[Options], centre_mm: float, workers: int
) -> Iterator[dict[str, Any]]:
    """Yield the line of each combination, in no order where several processes work."""
    if workers == 1 and len(todo) <= BATCH:
        yield from (_line(check.judge, o, centre_mm) for o in todo)
        return
    # A pool for each batch: one that changes its processes by itself stands still at times (Python 3.11).
    for first in range(0, len(todo), workers * BATCH):
        batch = todo[first : first + workers * BATCH]
        with worker_pool(workers) as pool:
            for task in as_completed([pool.submit(_line, check.judge, o, centre_mm) for o in batch]):
                yield task.result()


def _read(file: Path, centre_mm: float) -> list[dict[str, Any]]:
    """Return what FILE holds of this size; a line cut short by a kill is left out, and checked again."""
    rows = []
    for line in file.read_text("utf-8").splitlines() if file.is_file() else []:
        try:
            row = json.loads(line)
        except ValueError:
            continue
        if row["centre_mm"] == centre_mm:
            rows.append(row)
    return rows


def run(check: Check, arguments: Sequence[str] | None = None) -> int:
    """Check what FILE does not hold yet, tell what is wrong, and return 1 where anything is."""
    words = argparse.ArgumentParser(description=check.about)
    words.add_argument("file", type=Path, help=f"where each combination {check.done} becomes a line")
    words.add_argument("--workers", type=int, default=1)
    words.add_argument("--centre", type=float, default=SMALL_MM, help="shaft centre distance, mm")
    words.add_argument(
        "--strength",
        type=int,
        choices=(2, 3, 4),
        help="only those that hold all values of any so many options together",
    )
    words.add_argument("--sample", type=int, metavar="N", help="only the first N of them")
    args = words.parse_args(arguments)
    every = shape_combinations()
    first: list[Options] = []
    for strength in range(2, (args.strength or 4) + 1):
        first = covering(every, strength, first)
    todo = first if args.strength else [*first, *(o for o in every if o not in first)]
    todo = todo[: args.sample]
    rows = _read(args.file, args.centre)
    known = [Options(**r["options"]) for r in rows]
    left = [o for o in todo if o not in known]
    print(f"{len(every)} combinations, of which {len(todo)} are asked for; {len(left)} to {check.to_do}")
    with args.file.open("a", encoding="utf-8") as out:
        if out.tell() and not args.file.read_bytes().endswith(b"\n"):
            out.write("\n")
        for row in _checked(check, left, args.centre, args.workers):
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
        f"{len(mine)} of {len(todo)} {check.done}, {len(flagged)} flagged; processor time {sum(spent):.0f} s in all, "
        f"{spent[len(spent) // 2]:.1f} s the median, {spent[-1]:.1f} s at most"
    )
    return 1 if flagged else 0
