"""Time one head built and meshed from cold against the time that the CAD kernel itself takes for its parts.

Run by hand: ``python tests/benchmarks/head.py [ROUNDS]``. Kernel time is what the same run spends inside the kernel
turning, extruding, sweeping, booleans, chamfers, checks of validity and triangulation; the rest is ours: dimensions,
places, joined vertices, normals and edges. Every round is a process of its own, so that nothing is warm but the disk.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

KERNEL_SHAPES = ("revolve", "extrudeLinear", "makeCylinder", "makeBox", "makeTorus", "sweep")
KERNEL_STEPS = ("cut", "fuse", "intersect", "clean", "isValid")
KERNEL_ROUNDS = ("fillet", "chamfer")


def one_round() -> None:
    """Build and mesh the base head once and print total and kernel seconds."""
    import cadquery as cq
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    spent, depth = 0.0, 0

    def timed(call: Callable[..., Any]) -> Callable[..., Any]:
        def run(*args: Any, **kwargs: Any) -> Any:
            nonlocal spent, depth
            depth += 1
            start = time.perf_counter()
            try:
                return call(*args, **kwargs)
            finally:
                depth -= 1
                if depth == 0:  # a kernel call within one is counted once
                    spent += time.perf_counter() - start

        return run

    for name in KERNEL_SHAPES:
        method = cq.Solid.__dict__[name]
        function = getattr(method, "__func__", method)
        setattr(cq.Solid, name, classmethod(timed(function)) if isinstance(method, classmethod) else method)
    for name in KERNEL_STEPS:
        setattr(cq.Shape, name, timed(getattr(cq.Shape, name)))
    for name in KERNEL_ROUNDS:
        setattr(cq.Solid, name, timed(getattr(cq.Solid, name)))
    import OCP.BRepMesh as kernel

    kernel.BRepMesh_IncrementalMesh = timed(BRepMesh_IncrementalMesh)

    from benchleaf.geometry.dimensions.size import example_measures, make_size
    from benchleaf.geometry.head.head import make_head
    from benchleaf.geometry.meshes.tessellation import mesh_of

    start = time.perf_counter()
    head = make_head("B-1", make_size("80", example_measures(80.0)))
    built = time.perf_counter()
    triangles = sum(len(mesh_of(part, 0.05).triangles) for part in head)
    end = time.perf_counter()
    print(f"{end - start:.3f} {spent:.3f} {built - start:.3f} {triangles}")


def main() -> None:
    """Print the median ratio over some rounds."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    rows = []
    for _ in range(rounds):
        done = subprocess.run([sys.executable, __file__, "--one"], check=True, capture_output=True, text=True)
        rows.append([float(v) for v in done.stdout.split()])
    for total, kernel, built, triangles in rows:
        print(
            f"total {total:.2f} s (solids {built:.2f} s), kernel {kernel:.2f} s, "
            f"ratio {total / kernel:.2f}, {triangles:.0f} triangles"
        )
    print(f"median ratio {statistics.median(t / k for t, k, _, _ in rows):.2f}")


if __name__ == "__main__":
    if "--one" in sys.argv:
        one_round()
    else:
        main()
