"""Review the pictures of every step on every combination of options that changes solids or moves, as measured.

Parts that move, callouts, zones, tools where they touch, tools that do not reach, pairs that a phone does not tell
apart.

Run by hand: ``python tests/sheets/review_options.py FILE``. Each combination reviewed is a line of FILE (JSON), written
as soon as it is known, so that a run cut short goes on where it ended. Those that together hold every pair of values
come first, then every three and every four. Nothing is drawn but what measuring needs. Ends with status 1 where a
picture falls short.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))

from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.reach.reach import find_reach
from combinations import Check, Found, run
from head_proofs import head_of
from pair_samples import pair_shortcomings
from picture_reviews import plans_of, shortcomings


def review(options: Options, centre_mm: float) -> Found:
    """Return what the pictures of one combination fail to show."""
    head = head_of(options, centre_mm)
    reached = {p.sequence: find_reach(head, p) for p in plans_of(head)}
    found = shortcomings(head, plans_of(head), lambda plan: reached[plan.sequence].tools)
    for sequence, reach in reached.items():
        found[sequence] += [f"{f.step_id}: {f.tool} at {f.at} {f.fault} {f.part}" for f in reach.found]
    return {**found, **pair_shortcomings(options, centre_mm)}


def main(arguments: Sequence[str] | None = None) -> int:
    """Review what FILE does not hold yet, and tell what falls short."""
    return run(Check(__doc__ or "", review, "review", "reviewed"), arguments)


if __name__ == "__main__":
    sys.exit(main())
