"""Review the pictures of every step on every combination of options that changes solids or moves, as measured.

Run by hand: ``python tests/sheets/review_options.py FILE [--workers N] [--sample N] [--pairwise]``. Each combination
reviewed is a line of FILE (JSON), written as soon as it is known, so that a run cut short goes on where it ended.
Combinations that together hold every pair of values come first. Ends with status 1 where a picture falls short.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from benchleaf.geometry.meshes import forget_meshes
from benchleaf.geometry.options import Options
from head_proofs import head_of, pairwise, shape_combinations
from picture_reviews import plans_of, shortcomings

CENTRE_MM = 64.0
"""About the smallest at which a head can be built with every combination by the usual proportions."""
BATCH = 8
"""Combinations reviewed by one process before it is let go, with all that it has kept."""


def review(options: Options) -> dict[str, Any]:
    """Return the line of one combination."""
    start = time.process_time()
    head = head_of(options, CENTRE_MM)
    plans = plans_of(head)
    found = shortcomings(head, plans)
    forget_meshes()
    return {
        "options": dataclasses.asdict(options),
        "pictures": sum(len(p.steps) for p in plans),
        "shortcomings": found,
        "processor_s": round(time.process_time() - start, 2),
    }


def read_lines(file: Path) -> list[dict[str, Any]]:
    """Return what FILE holds; a line cut short by a kill is left out, and reviewed again."""
    rows = []
    for line in file.read_text("utf-8").splitlines() if file.is_file() else []:
        try:
            rows.append(json.loads(line))
        except ValueError:
            continue
    return rows


def main(arguments: Sequence[str] | None = None) -> int:
    """Review what FILE does not hold yet, and tell what falls short."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("file", type=Path, help="where each combination reviewed becomes a line")
    words.add_argument("--workers", type=int, default=1)
    words.add_argument("--pairwise", action="store_true", help="only those that hold every pair of values")
    words.add_argument("--sample", type=int, metavar="N", help="only the first N of them")
    args = words.parse_args(arguments)
    every = shape_combinations()
    first = pairwise(every)
    todo = first if args.pairwise else [*first, *(o for o in every if o not in first)]
    todo = todo[: args.sample]
    rows = read_lines(args.file)
    known = [Options(**r["options"]) for r in rows]
    left = [o for o in todo if o not in known]
    print(f"{len(every)} combinations, {len(first)} of them hold every pair of values; {len(left)} to review")
    with (
        args.file.open("a", encoding="utf-8") as out,
        ProcessPoolExecutor(args.workers, get_context("spawn"), max_tasks_per_child=BATCH) as pool,
    ):
        for task in as_completed([pool.submit(review, o) for o in left]):
            rows.append(task.result())
            out.write(json.dumps(rows[-1]) + "\n")
            out.flush()
    mine = [r for r in rows if Options(**r["options"]) in todo]
    short = 0
    for row in mine:
        for sequence, texts in row["shortcomings"].items():
            for text in texts:
                short += 1
                chosen = ", ".join(f"{k} {v}" for k, v in row["options"].items())
                print(f"{chosen}: {sequence}, {text}")
    pictures = sum(r["pictures"] for r in mine)
    print(f"{len(mine)} of {len(todo)} reviewed, {pictures} pictures, {short} shortcomings")
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
