"""Prove everything about one head, cold and again, and print time and peak memory.

Run by hand: ``python tests/benchmarks/evidence.py [WORKERS [FORM]]``, FORM being ``base`` or ``large`` (a double seal
and a relief cover, 64 parts). Cold means that nothing is kept: solids are made before the clock starts, meshes are
not. The target on two quiet cores is 20 s and 1.5 GB a process; on a busy machine read processor time.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.masses import masses_kg
from benchleaf.sequences.proof.head_proof import prove_head
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence
from benchleaf.sequences.work.store import Store

FORMS = {"base": Options(), "large": Options(seal="double", cover="relief")}
MOST_MB = 1500.0


def plans_of(head: Head) -> list[Plan]:
    """Return the plans of a head, its masses known."""
    kinds, masses = {p.key: p.kind for p in head}, masses_kg(head)
    names = ("assembly", "disassembly", "inspection")
    return [resolve(load_sequence(n), head.options, kinds, assembly=head.name, mass_kg=masses) for n in names]


def timed(what: str, head: Head, plans: list[Plan], kept: Path, workers: int) -> None:
    """Prove and print wall and processor seconds."""
    before, start = os.times(), time.perf_counter()
    proof = prove_head(head.name, head, plans, Store(kept), workers)
    wall, after = time.perf_counter() - start, os.times()
    cpu = sum(after[:4]) - sum(before[:4])
    moves = sum(len(e.moves) for e in proof.by_sequence.values())
    tried = sum(len(e.wrong_fits) for e in proof.by_sequence.values())
    print(
        f"{what:<6} {wall:7.1f} s wall {cpu:7.1f} s processor; {moves} moves, {tried} wrong ways, "
        f"{len(proof.violations)} faults"
    )


def main() -> int:
    """Print the table and return 1 if a process grew beyond :data:`MOST_MB`."""
    workers = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    form = sys.argv[2] if len(sys.argv) > 2 else "base"
    head = make_head(form, make_size("80", example_measures(80.0)), FORMS[form])
    plans = plans_of(head)
    print(f"{form} head of {len(list(head))} parts, {workers} worker(s)")
    with tempfile.TemporaryDirectory() as folder:
        timed("cold", head, plans, Path(folder), workers)
        timed("again", head, plans, Path(folder), workers)
    here, children = (
        resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(f"greatest process {max(here, children):.0f} MB, allowed {MOST_MB:.0f} MB")
    return 1 if max(here, children) > MOST_MB else 0


if __name__ == "__main__":
    sys.exit(main())
