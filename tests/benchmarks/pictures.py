"""Take all step pictures of one head, and compare with the bare cost of drawing as many frames with VTK.

Run by hand: ``python tests/benchmarks/pictures.py [WORKERS]``. Every frame that the pictures need is noted: the picture
itself, ghosts and close-ups, and the small ones in which views are weighed and parts are measured. Bare means: the same
meshes in the same places, the same cameras and sizes, with nothing but VTK in one process, pixels read back; surfaces
are shaded and model edges are plain lines in pictures, surfaces are flat in the frames for measuring; all settings
are the library's own, so what looks away from the eye is drawn too. No outlines of parts, no shading of contacts,
no arrows, no files. Wall and processor time are printed; on a busy machine only the ratio of processor times means
anything.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast

import numpy as np
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head import make_head
from benchleaf.geometry.options import Options
from benchleaf.geometry.size import example_measures, make_size
from benchleaf.render.actors import surface_data
from benchleaf.render.camera import Camera
from benchleaf.render.contours import edge_segments
from benchleaf.render.gl_probe import ensure_graphics
from benchleaf.render.grid import GRID_SIZE
from benchleaf.render.models import Models, make_models
from benchleaf.render.pictures import Studio, choose_views, render_plan, render_step
from benchleaf.render.scene import Shown, Stage
from benchleaf.render.settings import PictureSettings
from benchleaf.render.sheets import Pane
from benchleaf.sequences.resolve import resolve
from benchleaf.sequences.sequence_file import load_sequence
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow


@dataclass(frozen=True)
class Drawn:
    """One frame as it was asked for; ``flat`` where it served to measure."""

    flat: bool
    places: Mapping[str, Place]
    camera: Camera
    size: tuple[int, int]


class Notes(Studio):
    """A studio that notes every frame drawn on its stage."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.drawn: list[Drawn] = []

    @property
    def stage(self) -> Stage:
        """The stage, opened when first asked for."""
        fresh = self._stage is None
        stage = super().stage
        if fresh:
            start, draw, ids, mask = stage.start, stage._draw, stage.ids, stage.mask
            over = stage.supersample

            def noted_start(
                shown: Mapping[str, Shown], camera: Camera, size: tuple[int, int], box: Pane, *rest: Any
            ) -> Any:
                # A picture counts as whole, though only the pane with parts in it is drawn; a ghost as its pane.
                ghost = all(s.role == "ghost" for s in shown.values())
                left, top, right, foot = box if ghost else (0, 0, *size)
                part = camera.part(left / size[0], top / size[1], right / size[0], foot / size[1])
                places = {k: s.place for k, s in shown.items()}
                self.drawn.append(Drawn(False, places, part, ((right - left) * over, (foot - top) * over)))
                return start(shown, camera, size, box, *rest)

            def noted_draw(
                shown: Mapping[str, Shown], camera: Camera, width: int, height: int, *rest: Any
            ) -> Any:
                places = {k: s.place for k, s in shown.items()}
                self.drawn.append(Drawn(False, places, camera, (width * over, height * over)))
                return draw(shown, camera, width, height, *rest)

            def noted(measure: Any) -> Any:
                def measured(shown: Mapping[str, Place], camera: Camera, width: int) -> Any:
                    size = (width, max(1, round(width / camera.aspect)))
                    self.drawn.append(Drawn(True, dict(shown), camera, size))
                    return measure(shown, camera, width)

                return measured

            stage.start, stage._draw = noted_start, noted_draw  # type: ignore[method-assign, assignment]
            stage.ids, stage.mask = noted(ids), noted(mask)  # type: ignore[method-assign]
        return stage


class Bare:
    """A window with every part's actors and nothing more."""

    def __init__(self, models: Models, size: tuple[int, int], flat: bool) -> None:
        import pyvista as pv

        self.window: Any = vtkRenderWindow()
        self.window.SetOffScreenRendering(1)
        self.window.SetMultiSamples(0)
        self.window.SetSize(*size)
        self.renderer = vtkRenderer()
        self.renderer.SetBackground(1.0, 1.0, 1.0)
        self.window.AddRenderer(self.renderer)
        self.size, self.actors = size, dict[str, list[Any]]()
        for model in models:
            points = edge_segments(model.mesh).reshape(-1, 3)
            lines = np.column_stack([np.full(len(points) // 2, 2), np.arange(len(points)).reshape(-1, 2)])
            edges = pv.PolyData(points, lines=lines.ravel()) if len(points) else pv.PolyData()
            self.actors[model.key] = []
            surface = surface_data(model.mesh.points, model.mesh.triangles)
            surface.point_data.active_normals = cast(Any, model.mesh.normals.astype(np.float32))
            for data in (surface,) if flat else (surface, edges):
                mapper = vtkPolyDataMapper()
                mapper.SetInputData(data)
                actor = vtkActor()
                actor.SetMapper(mapper)
                if flat:
                    actor.GetProperty().LightingOff()
                self.renderer.AddActor(actor)
                self.actors[model.key].append(actor)

    def draw(self, frame: Drawn) -> None:
        """Draw a frame and read its pixels."""
        for key, actors in self.actors.items():
            for actor in actors:
                actor.SetVisibility(key in frame.places)
                if key in frame.places:
                    matrix = vtkMatrix4x4()
                    matrix.DeepCopy(frame.places[key].matrix().ravel())
                    actor.SetUserMatrix(matrix)
        width, height = frame.size
        self.renderer.SetViewport(0.0, 0.0, width / self.size[0], height / self.size[1])
        view, c = frame.camera.view, self.renderer.GetActiveCamera()
        c.SetParallelProjection(True)
        c.SetFocalPoint(*frame.camera.centre)
        c.SetPosition(*(np.array(frame.camera.centre) + view.axes[2] * 2000))
        c.SetViewUp(*view.axes[1])
        c.SetParallelScale(frame.camera.height_mm / 2)
        c.SetClippingRange(1.0, 4000.0)
        self.window.Render()
        pixels = vtkUnsignedCharArray()
        self.window.GetPixelData(0, 0, width - 1, height - 1, 0, pixels, 0)
        assert vtk_to_numpy(pixels).size == width * height * 3


def bare_frames(models: Models, drawn: Sequence[Drawn], settings: PictureSettings) -> None:
    """Draw the same frames with nothing but VTK; what was cut open for a moment is left out."""
    large = (settings.width * settings.supersample, settings.height * settings.supersample)
    windows = {False: Bare(models, large, False), True: Bare(models, GRID_SIZE, True)}
    for frame in drawn:
        windows[frame.flat].draw(frame)
    for bare in windows.values():
        bare.window.Finalize()


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
    with Notes(models, still, head.places_at) as notes:
        views = choose_views(notes, plan)
        for step, view in zip(plan.steps, views, strict=True):
            render_step(notes, step, view, step.id)
        drawn = list(notes.drawn)
    flat = sum(d.flat for d in drawn)
    bare_wall, bare_cpu, _ = timed(
        f"{len(drawn)} bare frames, {flat} of them small", lambda: bare_frames(models, drawn, settings)
    )
    close_ups = sum(len(p.manifest.insets) for p in pictures)
    size = sum(len(b) for p in pictures for b in p.content.values()) / 1e6
    print(
        f"{close_ups} close-ups, {size:.1f} MB; ratio {wall / bare_wall:.2f} wall, {cpu / bare_cpu:.2f} processor"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
