"""The yardstick: what a trainer with a CAD library and a plotter would write to get a picture of every step.

Run by hand: ``python tests/benchmarks/plain_script.py FOLDER``. The head's solids, tessellated once by the CAD
library; one PyVista plotter that holds them all; for each step of the three sequences the parts in place and those of
the step drawn out along the shafts in one colour, with the solids' own edges as lines, from one side, 1600 x 1200,
supersampled, saved as PNG. No proof, no hidden seats, no close-ups, no callouts, no films, no pages.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pyvista as pv
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.head.head import make_head
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import plan_head

DEMO = Path(__file__).parents[2] / "site" / "demo" / "fleet.yaml"
TAG = "P-101"
AWAY_MM = 60.0


def surface(part: Part, tolerance_mm: float) -> tuple[Any, Any]:
    """Return a part's triangles and edges in place, as PyVista takes them."""
    shape = part.placed()
    assert isinstance(shape, cq.Shape)
    points, triangles = shape.tessellate(tolerance_mm, 0.25)
    xyz = np.array([p.toTuple() for p in points])
    faces = np.hstack([np.full((len(triangles), 1), 3), np.array(triangles)])
    lines = []
    for edge in shape.Edges():
        count = 2 if edge.geomType() == "LINE" else 24
        lines.append(
            pv.lines_from_points(np.array([p.toTuple() for p in edge.positions(np.linspace(0, 1, count))]))
        )
    return pv.PolyData(xyz, faces), pv.merge(lines) if lines else pv.PolyData()


def main(folder: Path) -> None:
    """Take all pictures into ``folder`` and print how many and how long."""
    folder.mkdir(parents=True, exist_ok=True)
    begun, processor = time.perf_counter(), time.process_time()
    fleet = load_fleet(DEMO)
    row = fleet.head(TAG)
    head = make_head(row.tag, row.size, row.options)
    plotter = pv.Plotter(off_screen=True, window_size=[1600, 1200])
    plotter.enable_anti_aliasing("ssaa")
    plotter.renderer.enable_parallel_projection()
    actors = {}
    for part in head:
        mesh, lines = surface(part, 0.05)
        face = plotter.add_mesh(mesh, color="lightgray")
        actors[part.key] = (face, plotter.add_mesh(lines, color="black", line_width=2))
    count = 0
    for sequence in fleet.sequences.values():
        plan = plan_head(row, sequence)
        for step in plan.steps:
            shown = {*step.present, *step.moving}
            for key, both in actors.items():
                for actor in both:
                    actor.SetVisibility(key in shown)
                    actor.SetPosition(0, 0, AWAY_MM if key in step.moving else 0)
                both[0].prop.color = "steelblue" if key in step.moving else "lightgray"
            plotter.camera_position = [(1, 0.8, 1.6), (0, 0, 0), (0, 1, 0)]
            plotter.renderer.reset_camera()
            plotter.screenshot(folder / f"{plan.sequence}-{step.number:02d}.png")
            count += 1
    plotter.close()
    wall, busy = time.perf_counter() - begun, time.process_time() - processor
    print(f"{count} pictures, {wall:.1f} s, {busy:.1f} s of processor")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
