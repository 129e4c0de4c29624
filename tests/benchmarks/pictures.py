"""Take all step pictures of one head, and compare with the bare cost of drawing as many frames with VTK.

Run by hand: ``python tests/benchmarks/pictures.py [WORKERS]``. Bare means: the same meshes with shaded surfaces and
model edges as plain lines, the same size of window, one frame a step in its view, pixels read back; nothing measured,
no outlines, close-ups, shading of contacts or files. Wall and processor time are printed; on a busy machine only the
ratio of processor times means anything.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from benchleaf.geometry.head import make_head
from benchleaf.geometry.options import Options
from benchleaf.geometry.size import example_measures, make_size
from benchleaf.render.camera import View, fit_camera
from benchleaf.render.contours import edge_segments
from benchleaf.render.gl_probe import ensure_graphics
from benchleaf.render.models import Models, make_models
from benchleaf.render.pictures import render_plan
from benchleaf.render.scene import surface_data
from benchleaf.render.settings import PictureSettings
from benchleaf.sequences.plan import Plan
from benchleaf.sequences.resolve import resolve
from benchleaf.sequences.sequence_file import load_sequence
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow


def bare_frames(models: Models, plan: Plan, views: list[View], settings: PictureSettings) -> None:
    """Draw one frame a step with nothing but VTK."""
    import pyvista as pv

    width, height = settings.width * settings.supersample, settings.height * settings.supersample
    window: Any = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(width, height)
    renderer = vtkRenderer()
    renderer.SetBackground(1.0, 1.0, 1.0)
    window.AddRenderer(renderer)
    actors: dict[str, list[Any]] = {}
    for model in models:
        points = model.place.points(edge_segments(model.mesh).reshape(-1, 3))
        lines = np.column_stack([np.full(len(points) // 2, 2), np.arange(len(points)).reshape(-1, 2)])
        surface = surface_data(model).transform(model.place.matrix(), inplace=False)
        actors[model.key] = []
        for data in (surface, pv.PolyData(points, lines=lines.ravel()) if len(points) else pv.PolyData()):
            mapper = vtkPolyDataMapper()
            mapper.SetInputData(data)
            actor = vtkActor()
            actor.SetMapper(mapper)
            renderer.AddActor(actor)
            actors[model.key].append(actor)
    for step, view in zip(plan.steps, views, strict=True):
        shown = {*step.present, *step.moving}
        for key, pair in actors.items():
            for actor in pair:
                actor.SetVisibility(key in shown)
        points = np.concatenate(
            [models.parts[k].place.points(models.parts[k].mesh.extreme_points) for k in shown]
        )
        camera = fit_camera(view, points, width / height)
        c = renderer.GetActiveCamera()
        c.SetParallelProjection(True)
        c.SetFocalPoint(*camera.centre)
        c.SetPosition(*(np.array(camera.centre) + view.axes[2] * 2000))
        c.SetViewUp(*view.axes[1])
        c.SetParallelScale(camera.height_mm / 2)
        renderer.ResetCameraClippingRange()
        window.Render()
        pixels = vtkUnsignedCharArray()
        window.GetPixelData(0, 0, width - 1, height - 1, 0, pixels, 0)
        assert vtk_to_numpy(pixels).size == width * height * 3
    window.Finalize()


def timed(what: str, run: Any) -> tuple[float, float, Any]:
    """Run, print and return wall and processor seconds (children that ended included), and the result."""
    before, start = os.times(), time.perf_counter()
    result = run()
    wall, after = time.perf_counter() - start, os.times()
    cpu = sum(after[:4]) - sum(before[:4])
    print(f"{what:<34} {wall:7.1f} s wall {cpu:7.1f} s processor")
    return wall, cpu, result


def main() -> int:
    """Print the table."""
    workers = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    ensure_graphics()
    settings = PictureSettings()
    head = make_head("P-100", make_size("bench", example_measures(100)), Options())
    plan = resolve(load_sequence("assembly"), head.options, {p.key: p.kind for p in head}, assembly=head.name)
    _, _, models = timed("meshes", lambda: make_models(head, settings.detail))
    still = replace(settings, film_frames=0)
    with tempfile.TemporaryDirectory() as folder:
        wall, cpu, pictures = timed(
            f"{len(plan.steps)} pictures, {workers} worker(s)",
            lambda: render_plan(models, plan, Path(folder), still, None, workers, head.places_at),
        )
    with tempfile.TemporaryDirectory() as folder:
        _, with_films, moving = timed(
            "the same with short films",
            lambda: render_plan(models, plan, Path(folder), settings, None, workers, head.places_at),
        )
    films = [len(p.content["film"]) / 1000 for p in moving if "film" in p.content]
    print(
        f"{len(films)} films, {sum(films) / len(films):.0f} kB on average, {max(films):.0f} at most; "
        f"they take {(with_films - cpu) / cpu:.2f} of the pictures' processor time"
    )
    seen = [p.manifest.camera for p in pictures]
    views = [View(c.view, c.direction, c.up) for c in seen]
    bare_wall, bare_cpu, _ = timed(
        f"{len(views)} bare frames", lambda: bare_frames(models, plan, views, settings)
    )
    close_ups = sum(len(p.manifest.insets) for p in pictures)
    size = sum(len(b) for p in pictures for b in p.content.values()) / 1e6
    print(
        f"{close_ups} close-ups, {size:.1f} MB; ratio {wall / bare_wall:.2f} wall, {cpu / bare_cpu:.2f} processor"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
