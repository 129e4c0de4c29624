"""Build a head with each named dimension at each end of its range, on three sizes and two forms, and tell what fails.

Run by hand: ``python tests/sheets/range_ends.py FILE [CENTRE FORM]``. Every end must give sound solids, or a fault
at ``benchleaf check``; about two seconds each, an hour in all. Results go to FILE, a JSON line each; a run goes on
where the last one ended.
"""

from __future__ import annotations

import json
import sys
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import astuple
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))
from dimension_ends import CENTRES_MM, FORMS, ends, judged

BATCH = 40
"""Heads built by one process before it is let go, with all the solids that it keeps."""


def main(file: Path, centres: tuple[float, ...], forms: tuple[str, ...], workers: int = 2) -> int:
    """Judge what FILE does not hold yet, and return how many failed."""
    rows = [json.loads(line) for line in file.read_text("utf-8").splitlines()] if file.is_file() else []
    done = {tuple(row["end"]) for row in rows}
    todo = [e for form in forms for c in centres for e in ends(c, form) if astuple(e) not in done]
    print(f"{len(rows)} done, {len(todo)} to do", flush=True)
    with file.open("a", encoding="utf-8") as out:
        for first in range(0, len(todo), workers * BATCH):
            with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
                tasks = {pool.submit(judged, e): e for e in todo[first : first + workers * BATCH]}
                for task in as_completed(tasks):
                    rows.append({"end": astuple(tasks[task]), "found": task.result()})
                    out.write(json.dumps(rows[-1]) + "\n")
                    out.flush()
    failed = [row for row in rows if row["found"] not in ("sound", "fault")]
    for row in failed:
        print(*row["end"], "-", row["found"])
    print(f"{len(rows)} ends, {len(failed)} failed, {sum(r['found'] == 'fault' for r in rows)} refused")
    return len(failed)


if __name__ == "__main__":
    chosen = sys.argv[2:]
    raise SystemExit(
        main(
            Path(sys.argv[1]),
            (float(chosen[0]),) if chosen else CENTRES_MM,
            (chosen[1],) if len(chosen) > 1 else tuple(FORMS),
        )
        > 0
    )
