"""The stage: off-screen windows that keep every part of an assembly ready and draws picture after picture.

Surfaces are shaded from the kernel's exact normals; lines (model edges, silhouettes) lie a hair nearer to the eye than
their surface, which in parallel projection moves nothing in the picture. A second, small window draws each part in a
colour of its own: from that the manifest learns what is visible.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import TracebackType
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..geometry.frame import Place
from .actors import PartActors, light, surface_actor, surface_data, vtk_matrix
from .camera import Camera
from .gl_probe import ensure_graphics
from .looks import Rgb, Role
from .models import Model, Models
from .sheets import Pane, Pixels, Sheet

if TYPE_CHECKING:
    pass

REFERENCE_WIDTH = 1600
DEPTH_SHARE = 1.998
"""Range of depth that a picture covers, as a multiple of its reach."""
GRID_SIZE = (960, 960)
"""Size of the measuring window in pixels."""


@dataclass(frozen=True)
class Shown:
    """One part in a picture: where, and in which role."""

    place: Place
    role: Role = "context"


@dataclass(frozen=True)
class Ids:
    """What is where: ``part`` (h, w) int16 index into ``keys`` or -1, ``near_mm`` (h, w) float32 towards the eye."""

    keys: tuple[str, ...]
    part: NDArray[np.int16]
    near_mm: NDArray[np.float32]

    @property
    def seen(self) -> set[str]:
        """Parts of which anything is seen."""
        return {self.keys[n] for n in np.unique(self.part).tolist() if n >= 0}

    def mask(self, keys: Iterable[str]) -> NDArray[np.bool_]:
        """Return where one of ``keys`` is seen, (h, w) bool."""
        wanted = [np.int16(self.keys.index(k)) for k in keys if k in self.keys]
        if len(wanted) > 3:
            return np.isin(self.part, wanted)
        found = np.zeros(self.part.shape, dtype=bool)
        for number in wanted:
            found |= self.part == number
        return found

    def shifted(self, right: int, down: int, nearer_mm: float) -> Ids:
        """Return what is where when all is moved by so many pixels of the grid, and nearer to the eye."""
        height, width = self.part.shape
        part = np.full_like(self.part, -1)
        near = np.full_like(self.near_mm, -np.inf)
        to = (slice(max(down, 0), height + min(down, 0)), slice(max(right, 0), width + min(right, 0)))
        of = (slice(max(-down, 0), height - max(down, 0)), slice(max(-right, 0), width - max(right, 0)))
        part[to] = self.part[of]
        near[to] = self.near_mm[of] + np.float32(nearer_mm)
        return Ids(self.keys, part, near)

    def under(self, other: Ids) -> Ids:
        """Return what is where with ``other`` there too, on the same grid and in the same camera."""
        over = (other.part >= 0) & (other.near_mm >= self.near_mm)
        part = np.where(over, other.part + len(self.keys), self.part).astype(np.int16)
        return Ids((*self.keys, *other.keys), part, np.where(over, other.near_mm, self.near_mm))


class Stage:
    """Draws pictures of one set of models; use as a context manager, or call :meth:`close`.

    Two windows: a large one for pictures, and a small one for measuring, where each part has a colour of its own.

    Raises:
        NoGraphics: if this machine cannot draw.
    """

    def __init__(self, models: Models, width: int, height: int, supersample: int = 2) -> None:
        ensure_graphics()
        self.models = models
        self.width, self.height, self.supersample = width, height, supersample
        self._picture = _Window(width * supersample, height * supersample, (1.0, 1.0, 1.0))
        self._grid = _Window(*GRID_SIZE, (0.0, 0.0, 0.0))
        light(self._picture.renderer)
        self._actors: dict[str, PartActors] = {}
        self._flat: dict[str, Any] = {}
        self._surfaces: dict[str, Any] = {}
        self._extra: dict[str, Model] = {}

    def __enter__(self) -> Stage:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Free the windows and all that they hold; may be called again."""
        self._actors.clear()
        self._surfaces.clear()
        self._flat.clear()
        self._picture.close()
        self._grid.close()

    def model(self, key: str) -> Model:
        """Return the model shown under ``key``: a part, or one put on with :meth:`put_on`."""
        return self._extra.get(key) or self.models.parts[key]

    def has(self, key: str) -> bool:
        """Return whether anything is shown under ``key``."""
        return key in self._extra or key in self.models.parts

    def put_on(self, models: Iterable[Model]) -> None:
        """Put models of the moment on the stage, such as parts cut open, under keys of their own."""
        self._extra.update({m.key: m for m in models})

    def take_off(self) -> None:
        """Take off the stage what :meth:`put_on` has put there."""
        for key in self._extra:
            self._surfaces.pop(key, None)
            self._actors.pop(key, None)
            if key in self._flat:
                self._grid.renderer.RemoveActor(self._flat.pop(key))
        self._extra.clear()

    def draw(
        self,
        shown: Mapping[str, Shown],
        camera: Camera,
        size: tuple[int, int] | None = None,
        page_width: int | None = None,
    ) -> Pixels:
        """Return the picture, (height * supersample, width * supersample, 3) uint8.

        ``size`` is (width, height) of another picture than the stage's own: an inset, or one larger than the window,
        which is then drawn in tiles. Lines are scaled for a page ``page_width`` wide (the stage's width if left out).
        """
        width, height = size or (self.width, self.height)
        across, down = -(-width // self.width), -(-height // self.height)
        if (across, down) == (1, 1):
            return self._draw(shown, camera, width, height, page_width or self.width)
        whole = np.empty((height * self.supersample, width * self.supersample, 3), dtype=np.uint8)
        for x0, x1 in pairwise(round(n * width / across) for n in range(across + 1)):
            for y0, y1 in pairwise(round(n * height / down) for n in range(down + 1)):
                tile = camera.part(x0 / width, y0 / height, x1 / width, y1 / height)
                rows = slice(y0 * self.supersample, y1 * self.supersample)
                columns = slice(x0 * self.supersample, x1 * self.supersample)
                whole[rows, columns] = self._draw(shown, tile, x1 - x0, y1 - y0, page_width or width)
        return whole

    def sheet(self, shown: Mapping[str, Shown], camera: Camera, size: tuple[int, int], box: Pane) -> Sheet:
        """Return the pane ``box`` of a picture of ``size`` (width, height), no larger than the stage's, with its depth.

        All panes of one camera share their measure of depth. Lines are scaled for a page as wide as the picture.
        """
        left, top, right, foot = box
        part = camera.part(left / size[0], top / size[1], right / size[0], foot / size[1])
        pixels = self._draw(shown, part, right - left, foot - top, size[0], self._reach(camera))
        over = self.supersample
        return Sheet(pixels, self._picture.take_depth((right - left) * over, (foot - top) * over))

    def depth_of(self, mm: float, camera: Camera) -> float:
        """Return by how much something is less deep in a sheet of ``camera`` when it is ``mm`` nearer."""
        return mm / (DEPTH_SHARE * self._reach(camera))

    def _draw(
        self,
        shown: Mapping[str, Shown],
        camera: Camera,
        width: int,
        height: int,
        page_width: int,
        reach: float | None = None,
    ) -> Pixels:
        scale = self.supersample * page_width / REFERENCE_WIDTH
        pixel_mm = camera.height_mm / (height * self.supersample)
        for key in shown:
            if key not in self._actors:
                self._actors[key] = PartActors(
                    self.model(key), self._surface(key), self.models.extent_mm / 80.0
                )
            part = shown[key]
            self._actors[key].show(part.place, part.role, camera, scale, pixel_mm)
        self._arrange(shown, camera)
        self._picture.cover(width * self.supersample, height * self.supersample)
        self._picture.aim(camera, reach or self._reach(camera))
        return self._picture.take(width * self.supersample, height * self.supersample)

    def _arrange(self, shown: Mapping[str, Shown], camera: Camera) -> None:
        """Put the actors of ``shown`` on the stage, nearest surfaces first: what they hide is then never shaded."""
        eye = camera.view.axes[2]
        nearness = {
            k: float((s.place.points(self.model(k).mesh.extreme_points) @ eye).max())
            for k, s in shown.items()
        }
        order = sorted(shown, key=lambda k: -nearness[k])
        renderer = self._picture.renderer
        renderer.RemoveAllViewProps()
        for key in order:
            renderer.AddActor(self._actors[key].surface)
        for key in order:
            for lines in self._actors[key].lines:
                renderer.AddActor(lines.actor)

    def ids(self, shown: Mapping[str, Place], camera: Camera, width: int) -> Ids:
        """Return what is visible where, on a grid ``width`` wide.

        Raises:
            ValueError: if the grid is larger than :data:`GRID_SIZE`.
        """
        height = max(1, round(width / camera.aspect))
        if width > GRID_SIZE[0] or height > GRID_SIZE[1]:
            raise ValueError(f"a measuring grid of {width} x {height} does not fit {GRID_SIZE}")
        keys = tuple(shown)
        for key, actor in self._flat.items():
            actor.SetVisibility(key in shown)
        for number, key in enumerate(keys, 1):
            actor = self._flat_actor(key)
            actor.SetVisibility(True)
            actor.SetUserMatrix(vtk_matrix(shown[key].matrix()))
            actor.GetProperty().SetColor((number & 255) / 255.0, (number >> 8) / 255.0, 0.0)
        window = self._grid
        window.cover(width, height)
        reach = self._reach(camera)
        depth = window.aim(camera, reach)
        pixels = window.take(width, height).astype(np.int16)
        near = window.take_depth(width, height)
        part = pixels[:, :, 0] + (pixels[:, :, 1] << 8) - 1
        return Ids(keys, part, (depth * (0.5 - near)).astype(np.float32))

    def _flat_actor(self, key: str) -> Any:
        if key not in self._flat:
            actor = surface_actor(self._surface(key))
            actor.GetProperty().LightingOff()
            self._grid.renderer.AddActor(actor)
            self._flat[key] = actor
        return self._flat[key]

    def _surface(self, key: str) -> Any:
        if key not in self._surfaces:
            self._surfaces[key] = surface_data(self.model(key))
        return self._surfaces[key]

    def _reach(self, camera: Camera) -> float:
        return 4.0 * max(self.models.extent_mm, camera.height_mm, camera.width_mm)


class _Window:
    """An off-screen window with one renderer."""

    def __init__(self, width: int, height: int, ground: Rgb) -> None:
        import vtkmodules.vtkRenderingOpenGL2
        from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

        assert vtkmodules.vtkRenderingOpenGL2  # imported so that the window below is one of OpenGL's
        self.window: Any = vtkRenderWindow()
        self.window.SetOffScreenRendering(1)
        self.window.SetMultiSamples(0)
        self.window.SwapBuffersOff()  # nobody looks at it: what is drawn is read from where it was drawn
        self.window.SetSize(width, height)
        self.renderer: Any = vtkRenderer()
        self.renderer.SetBackground(*ground)
        self.renderer.AutomaticLightCreationOff()
        self.window.AddRenderer(self.renderer)

    def cover(self, width: int, height: int) -> None:
        """Draw on the lower left ``width`` x ``height`` pixels of the window only."""
        size = self.window.GetSize()
        self.renderer.SetViewport(0.0, 0.0, width / size[0], height / size[1])

    def aim(self, camera: Camera, reach: float) -> float:
        """Point the camera; return the range of depth that the picture covers, mm."""
        c = self.renderer.GetActiveCamera()
        eye, centre = camera.view.axes[2], np.array(camera.centre)
        c.SetParallelProjection(True)
        c.SetFocalPoint(*centre)
        c.SetPosition(*(centre + eye * reach))
        c.SetViewUp(*camera.view.axes[1])
        c.SetParallelScale(camera.height_mm / 2.0)
        c.SetClippingRange(reach * 0.001, reach * 1.999)
        return reach * DEPTH_SHARE

    def take(self, width: int, height: int) -> Pixels:
        """Draw, and return the lower left ``width`` x ``height`` pixels, top row first."""
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

        self.window.Render()
        array = vtkUnsignedCharArray()
        self.window.GetPixelData(0, 0, width - 1, height - 1, 0, array, 0)
        pixels: Pixels = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
        return np.ascontiguousarray(pixels.reshape(height, width, 3)[::-1])

    def take_depth(self, width: int, height: int) -> NDArray[np.float32]:
        """Return the depth (0 near to 1 far) of what was drawn last, top row first."""
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkFloatArray

        array = vtkFloatArray()
        self.window.GetZbufferData(0, 0, width - 1, height - 1, array)
        depth: NDArray[np.float32] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
        return np.ascontiguousarray(depth.reshape(height, width)[::-1])

    def close(self) -> None:
        """Free the window."""
        if self.window is not None:
            self.renderer.RemoveAllViewProps()
            self.window.Finalize()
            self.window = self.renderer = None
