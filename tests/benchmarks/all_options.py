"""Prove the shipped sequences on every combination of options that changes solids or moves: nothing may be flagged.

Run by hand: ``python tests/benchmarks/all_options.py FILE``. Each combination proven is a line of FILE (JSON), written
as soon as it is known, so that a run cut short goes on where it ended. Those that together hold every pair of values
come first, then every three and every four. Overlaps in place, paths, order, turning and reach of tools are proven, of
assembly and disassembly; gaps and wrong-way fits are left out. Ends with status 1 where anything of what was asked for
is flagged.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import SizeError
from combinations import Check, Found, run
from head_proofs import ProvenHead, faults_with, head_of, shipped


def prove(options: Options, centre_mm: float) -> Found:
    """Return what is flagged on one combination."""
    try:
        found = faults_with(options, shipped(), centre_mm)
        proven = ProvenHead(head_of(options, centre_mm))
    except SizeError as error:
        return {"size": [str(error)]}
    found["reach"] = [line for s in shipped() for line in proven.out_of_reach(proven.plan(s))]
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    """Prove what FILE does not hold yet, and tell what is flagged."""
    return run(Check(__doc__ or "", prove), arguments)


if __name__ == "__main__":
    sys.exit(main())
