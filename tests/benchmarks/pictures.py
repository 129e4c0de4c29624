"""Take all step pictures of one head, and compare with the bare cost of drawing as many frames with VTK.

Run by hand: ``python tests/benchmarks/pictures.py``. Every frame that the pictures need is noted: the picture itself,
ghosts and close-ups, and the small ones in which views are weighed and parts are measured. Bare means: the same meshes
in the same places, the same cameras and sizes, with nothing but VTK in one process, pixels read back; surfaces are
shaded and model edges are plain lines in pictures, surfaces are flat in the frames for measuring; all settings are the
library's own, so what looks away from the eye is drawn too. No outlines of parts, no shading of contacts, no arrows, no
files.

The software renderer has threads of its own, so each is run twice: as it comes, on all processors, and held to one
processor, drawing thread and all. Two workers are compared with the bare frames on one processor; how much longer those
take when two such runs go at the same time tells what the second processor is worth. Each run is a process of its own;
on a busy machine only ratios of processor time mean anything.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from typing import Any, cast

import numpy as np
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.actors import surface_data
from benchleaf.render.engine.camera import Camera
from benchleaf.render.engine.depth_layers import Pane, Pixels
from benchleaf.render.engine.gl_probe import ensure_graphics
from benchleaf.render.engine.grid import GRID_SIZE, Ids
from benchleaf.render.engine.line_work import edge_segments
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.render.engine.stage import Shown, Stage
from benchleaf.render.pictures.step_pictures import Studio, choose_views, render_plan, render_step
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence
from benchleaf.sequences.work.worker_pool import ONE_THREAD
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow

REPEATS = 3


@dataclass(frozen=True)
class Drawn:
    """One frame as it was asked for; ``flat`` where it served to measure."""

    flat: bool
    places: Mapping[str, Place]
    camera: Camera
    size: tuple[int, int]


class NotedStage(Stage):
    """A stage that notes every frame drawn on it."""

    def __init__(
        self, drawn: list[Drawn], models: PartModels, width: int, height: int, supersample: int
    ) -> None:
        super().__init__(models, width, height, supersample)
        self.drawn = drawn

    def start(
        self,
        shown: Mapping[str, Shown],
        camera: Camera,
        size: tuple[int, int],
        box: Pane,
        page_width: int | None = None,
    ) -> Callable[[], Pixels]:
        """Begin to draw: a picture counts as whole, though only the pane with parts in it is, a ghost as its pane."""
        over = self.supersample
        ghost = all(s.role == "ghost" for s in shown.values())
        left, top, right, foot = box if ghost else (0, 0, *size)
        part = camera.part(left / size[0], top / size[1], right / size[0], foot / size[1])
        places = {k: s.place for k, s in shown.items()}
        self.drawn.append(Drawn(False, places, part, ((right - left) * over, (foot - top) * over)))
        return super().start(shown, camera, size, box, page_width)

    def ids(self, shown: Mapping[str, Place], camera: Camera, width: int) -> Ids:
        """Draw which part is where."""
        self._note_small(shown, camera, width)
        return super().ids(shown, camera, width)

    def mask(self, shown: Mapping[str, Place], camera: Camera, width: int) -> NDArray[np.bool_]:
        """Draw where anything is."""
        self._note_small(shown, camera, width)
        return super().mask(shown, camera, width)

    def _note_small(self, shown: Mapping[str, Place], camera: Camera, width: int) -> None:
        size = (width, max(1, round(width / camera.aspect)))
        self.drawn.append(Drawn(True, dict(shown), camera, size))


class Notes(Studio):
    """A studio that notes every frame drawn on its stage."""

    def __init__(self, models: PartModels, settings: PictureSettings) -> None:
        super().__init__(models, settings)
        self.drawn: list[Drawn] = []

    def make_stage(self) -> Stage:
        """Return a new stage that notes."""
        s = self.settings
        return NotedStage(self.drawn, self.models, s.width, s.height, s.supersample)


class Bare:
    """A window with every part's actors and nothing more."""

    def __init__(self, models: PartModels, size: tuple[int, int], flat: bool) -> None:
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
                    matrix.DeepCopy(frame.places[key].matrix().ravel().tolist())
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
        read: NDArray[np.uint8] = vtk_to_numpy(pixels)  # type: ignore[no-untyped-call]
        assert read.size == width * height * 3


def bare_frames(models: PartModels, drawn: Sequence[Drawn], settings: PictureSettings) -> None:
    """Draw the same frames with nothing but VTK; what was cut open for a moment is left out."""
    large = (settings.width * settings.supersample, settings.height * settings.supersample)
    windows = {False: Bare(models, large, False), True: Bare(models, GRID_SIZE, True)}
    for frame in drawn:
        windows[frame.flat].draw(frame)
    for bare in windows.values():
        bare.window.Finalize()


def timed(run: Callable[[], Any]) -> tuple[float, float]:
    """Return wall and processor seconds, children that ended included."""
    before, start = os.times(), time.perf_counter()
    run()
    wall, after = time.perf_counter() - start, os.times()
    return wall, sum(after[:4]) - sum(before[:4])


def the_plan(settings: PictureSettings) -> tuple[Head, Plan, PartModels]:
    """Return the head of the benchmark, its assembly, and its models."""
    head = make_head("P-100", make_size("bench", example_measures(100)), Options())
    plan = resolve(load_sequence("assembly"), head.options, {p.key: p.kind for p in head}, assembly=head.name)
    return head, plan, make_part_models(head, settings.detail)


def note_frames(file: Path) -> None:
    """Note all frames of the pictures in ``file``."""
    still = replace(PictureSettings(), film_frames=0)
    _, plan, models = the_plan(still)
    with Notes(models, still) as notes:
        views = choose_views(notes, plan)
        for step, view in zip(plan.steps, views, strict=True):
            render_step(notes, step, view, step.id)
        file.write_bytes(pickle.dumps((models, notes.drawn)))


def run_part(part: str, file: str, one_processor: int | None) -> None:
    """Run one part of the benchmark and print what it took."""
    if one_processor is not None:
        os.sched_setaffinity(0, {sorted(os.sched_getaffinity(0))[one_processor]})
    ensure_graphics()
    settings = PictureSettings()
    if part == "note":
        note_frames(Path(file))
        return
    if part == "bare":
        models, drawn = pickle.loads(Path(file).read_bytes())
        print(*timed(lambda: bare_frames(models, drawn, settings)))
        return
    settings = settings if part == "films" else replace(settings, film_frames=0)
    _, plan, models = the_plan(settings)
    workers = int(part) if part.isdigit() else 1
    with tempfile.TemporaryDirectory() as folder:
        print(*timed(lambda: render_plan(models, plan, Path(folder), settings, None, workers)))


def started(part: str, file: Path, one_processor: int | None = None) -> subprocess.Popen[str]:
    """Start a part in a process of its own.

    It is not the process of a script: workers would read that again, CAD kernel and all, which those of a build do not.
    """
    code = f"import pictures; pictures.run_part({part!r}, {str(file)!r}, {one_processor!r})"
    own = {} if one_processor is None else ONE_THREAD
    return subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=Path(__file__).parent,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=os.environ | own,
    )


def took(what: str, run: subprocess.Popen[str]) -> tuple[float, float]:
    """Wait for a part, print what it took, and return that: wall and processor seconds."""
    out, _ = run.communicate()
    if run.returncode:
        raise SystemExit(f"{what}: failed")
    wall, cpu = (float(n) for n in out.split()) if out else (0.0, 0.0)
    if out:
        print(f"{what:<52} {wall:6.1f} s wall {cpu:6.1f} s processor", flush=True)
    return wall, cpu


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "frames")
        took("frames", started("note", file))
        _, drawn = pickle.loads(Path(file).read_bytes())
        print(f"{len(drawn)} frames, {sum(d.flat for d in drawn)} of them small")
        ratios = []
        for _ in range(REPEATS):
            bare, bare_cpu = took("bare frames, all processors", started("bare", file))
            one, one_cpu = took("pictures, one worker, all processors", started("1", file))
            ratios.append((one / bare, one_cpu / bare_cpu))
        wall, cpu = (median(r) for r in zip(*ratios, strict=True))
        print(f"    ratio {wall:.2f} wall, {cpu:.2f} processor, the median of {REPEATS}")
        held, _ = took("bare frames, one processor", started("bare", file, 0))
        single, _ = took("pictures, one worker, one processor", started("1", file, 0))
        print(f"    ratio {single / held:.2f}")
        two, _ = took("pictures, two workers", started("2", file))
        print(f"    ratio {two / held:.2f}: {two / single:.2f} of one worker's on one processor")
        twice = [started("bare", file, n) for n in (0, 1)]
        worth = max(
            took(f"bare frames, one processor, run {n} of two at once", r)[0] for n, r in enumerate(twice, 1)
        )
        print(
            f"    twice the work in {worth / held:.2f} of the time: no ratio below {worth / held / 2:.2f} of one's"
        )
        films, _ = took("pictures and short films, one worker", started("films", file))
        print(f"    films take {films / one - 1:.2f} of the pictures' time")


if __name__ == "__main__":
    main()
