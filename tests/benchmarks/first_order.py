"""Time and pairs of solids tested to find a first order, for assemblies of growing size.

    .venv/bin/python tests/benchmarks/first_order.py 50 100 200 500

Each is a frame with rows of screws, plates between walls and pins: a fifth of its parts closes the way of others.
"""

from __future__ import annotations

import resource
import sys
import time

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.sequences.own.first_order import find_first_order, replay
from benchleaf.sequences.own.free_ways import FreeWays

CELL_MM = 40.0


def grown(count: int) -> Assembly:
    """Return an assembly of ``count`` parts: cells of a block, a plate in it, a cover and two screws, in a frame."""
    cells = max(1, (count - 1) // 5)
    side = max(1, round(cells**0.5))
    frame = cq.Workplane().box(side * CELL_MM + 20, (cells // side + 1) * CELL_MM + 20, 10)
    block = cq.Workplane().box(34, 34, 20, centered=(True, True, False))
    block = block.cut(cq.Workplane(origin=(0, 0, 6)).rect(20.2, 20.2).extrude(14))
    block = block.cut(
        cq.Workplane(origin=(0, 0, 8)).pushPoints([(-13, 13), (13, -13)]).circle(2.6).extrude(12)
    )
    plate = cq.Workplane().box(20, 20, 13, centered=(True, True, False))
    cover = cq.Workplane().box(34, 34, 5, centered=(True, True, False))
    cover = cover.cut(cq.Workplane().pushPoints([(-13, 13), (13, -13)]).circle(2.7).extrude(5))
    screw = (
        cq.Workplane(origin=(0, 0, -12)).circle(2.5).extrude(12).union(cq.Workplane().circle(4.2).extrude(4))
    )
    drawn = {"block": block, "plate": plate, "cover": cover, "screw": screw, "frame": frame}
    kinds = {k: s for k, d in drawn.items() if isinstance(s := d.val(), cq.Shape)}
    parts = {"frame": Part("frame", "frame", "Frame", "", kinds["frame"], Place.at(0, 0, -5))}
    x0, y0 = -(side - 1) / 2 * CELL_MM, -(cells // side) / 2 * CELL_MM
    for n in range(cells):
        x, y = x0 + n % side * CELL_MM, y0 + n // side * CELL_MM
        spots = [("block", 0.0, 0.0, 0.0), ("plate", 0.0, 0.0, 6.0), ("cover", 0.0, 0.0, 20.0)]
        spots += [("screw", -13.0, 13.0, 25.0), ("screw", 13.0, -13.0, 25.0)]
        for m, (kind, dx, dy, z) in enumerate(spots):
            key = f"{kind}_{n}_{m}"
            parts[key] = Part(key, kind, kind, "", kinds[kind], Place.at(x + dx, y + dy, z))
    return Assembly("grown", parts)


def main(counts: list[int]) -> None:
    """Print a line for each size."""
    print("parts  seconds  pairs tested  pairs a part  layers  stuck  peak MB")
    for count in counts:
        of = grown(count)
        begun, ways = time.perf_counter(), FreeWays(of)
        found = find_first_order(of, ways)
        took = time.perf_counter() - begun
        assert replay(of, found, ways) == []
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        size = len(of.parts)
        layers = max((r.layer for r in found.removals), default=0)
        told = f"{size:5d} {took:8.1f} {found.pairs:13d} {found.pairs / size:13.1f}"
        print(f"{told} {layers:7d} {len(found.stuck):6d} {peak:8.0f}", flush=True)


if __name__ == "__main__":
    main([int(a) for a in sys.argv[1:]] or [50, 100, 200, 500])
