"""The stage: off-screen windows that keep every part of an assembly ready and draw picture after picture.

Lines (model edges, silhouettes) lie a hair nearer to the eye than their surface, which in parallel projection moves
nothing in the picture. A second, small window is the measuring grid.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from types import TracebackType
from typing import Self

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Place
from .actors import PartActors, Textures
from .camera import Camera
from .depth_layers import DepthLayer, Pane, Pixels
from .gl_probe import ensure_graphics
from .grid import Grid, Ids
from .material_styles import Role
from .memory import Memory
from .part_models import PartModel, PartModels
from .window import DEPTH_SHARE, Window

REFERENCE_WIDTH = 1600


@dataclass(frozen=True)
class Shown:
    """One part in a picture: where, and in which role."""

    place: Place
    role: Role = "context"


class Stage:
    """Draws pictures of one set of models; use as a context manager, or call :meth:`close`.

    Two windows: a large one for pictures, and a small one for measuring, where each part has a colour of its own.

    Raises:
        NoGraphics: if this machine cannot draw.
    """

    def __init__(self, models: PartModels, width: int, height: int, supersample: int = 2) -> None:
        ensure_graphics()
        self.models = models
        self.width, self.height, self.supersample = width, height, supersample
        self._picture = Window(width * supersample, height * supersample, (1.0, 1.0, 1.0))
        self._textures = Textures()
        self._grid = Grid(self.model, models.extent_mm)
        self._actors: dict[str, PartActors] = {}
        self._extra: dict[str, PartModel] = {}
        self._shapes: dict[str, PartModel] = {}
        self.memory = Memory()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Free the windows and all that they hold; may be called again."""
        self.memory.clear()
        self._actors.clear()
        self._textures.clear()
        self._picture.close()
        self._grid.close()

    def model(self, key: str) -> PartModel:
        """Return the model shown under ``key``: a part, a tool, or one put on with :meth:`add_models`."""
        return self._extra.get(key) or self._shapes.get(key) or self.models.model(key)

    def has(self, key: str) -> bool:
        """Return whether anything is shown under ``key``."""
        return key in self._extra or key in self.models.parts

    def add_models(self, models: Iterable[PartModel]) -> None:
        """Put models of the moment on the stage, such as parts cut open, under keys of their own."""
        self._extra.update({m.key: m for m in models})

    def remove_models(self) -> None:
        """Take off the stage what :meth:`add_models` has put there."""
        self._let_go(self._extra)
        self._extra.clear()

    @contextmanager
    def shaped(self, models: Iterable[PartModel]) -> Iterator[None]:
        """Draw parts, under their own keys, in the shapes of ``models`` for a while: springs that nothing presses."""
        self._shapes = {m.key: m for m in models}
        changed = tuple(self._shapes)
        self._let_go(changed)
        try:
            yield
        finally:
            self._shapes = {}
            self._let_go(changed)

    def _let_go(self, keys: Iterable[str]) -> None:
        for key in keys:
            self._actors.pop(key, None)
            self._grid.forget(key)

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

    def start(
        self,
        shown: Mapping[str, Shown],
        camera: Camera,
        size: tuple[int, int],
        box: Pane,
        page_width: int | None = None,
    ) -> Callable[[], Pixels]:
        """Begin to draw the pane ``box`` of a picture of ``size`` (width, height), no larger than the stage's.

        It is drawn in parallel with what is done next; what is returned gives the pixels, to be called before any
        other picture is drawn. Lines are scaled for a page ``page_width`` wide (the picture's width if left out).
        """
        left, top, right, foot = box
        part = camera.part(left / size[0], top / size[1], right / size[0], foot / size[1])
        over = self.supersample
        self._begin(shown, part, right - left, foot - top, page_width or size[0], self._reach(camera))
        self._grid.window.make_current()  # with that the other window sets to work on all that it was told
        return lambda: self._picture.read((right - left) * over, (foot - top) * over)

    def near_mm(self, camera: Camera, height: int, box: Pane) -> NDArray[np.float32]:
        """Return how near to the eye the pixels of ``box`` of what was drawn last are, (h, w) float32 mm.

        ``box`` is left, top, right and bottom in pixels as drawn, ``height`` how many rows of them were drawn, and
        ``camera`` that of the whole picture, from whose centre it is counted.
        """
        left, top, right, foot = box
        depth = self._picture.read_depth(right - left, foot - top, left, height - foot)
        return self.nearness(depth, camera)

    def nearness(self, depth: NDArray[np.float32], camera: Camera) -> NDArray[np.float32]:
        """Return how near to the eye what was drawn as ``depth`` of a picture of ``camera`` is, float32 mm."""
        return np.float32(DEPTH_SHARE * self._reach(camera)) * (np.float32(0.5) - depth)

    def draw_layer(
        self, shown: Mapping[str, Shown], camera: Camera, size: tuple[int, int], box: Pane
    ) -> DepthLayer:
        """Return the pane ``box`` of a picture of ``size`` (width, height), no larger than the stage's, with its depth.

        All panes of one camera share their measure of depth. Lines are scaled for a page as wide as the picture.
        """
        pixels = self.start(shown, camera, size, box)()
        high, wide = pixels.shape[:2]
        return DepthLayer(pixels, self._picture.read_depth(wide, high))

    def depth_of(self, mm: float, camera: Camera) -> float:
        """Return by how much something is less deep in a layer of ``camera`` when it is ``mm`` nearer."""
        return mm / (DEPTH_SHARE * self._reach(camera))

    def _draw(
        self, shown: Mapping[str, Shown], camera: Camera, width: int, height: int, page_width: int
    ) -> Pixels:
        self._begin(shown, camera, width, height, page_width, self._reach(camera))
        return self._picture.read(width * self.supersample, height * self.supersample)

    def _begin(
        self,
        shown: Mapping[str, Shown],
        camera: Camera,
        width: int,
        height: int,
        page_width: int,
        reach: float,
    ) -> None:
        scale = self.supersample * page_width / REFERENCE_WIDTH
        pixel_mm = camera.height_mm / (height * self.supersample)
        for key in shown:
            if key not in self._actors:
                self._actors[key] = PartActors(self.model(key), self._textures, self.models.extent_mm / 80.0)
            part = shown[key]
            self._actors[key].show(part.place, part.role, camera, scale, pixel_mm)
        self._arrange(shown, camera)
        self._picture.cover(width * self.supersample, height * self.supersample)
        self._picture.aim(camera, reach)
        self._picture.render()

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
            ValueError: if the grid is larger than :data:`.grid.GRID_SIZE`.
        """
        return self._grid.ids(shown, camera, width, self._reach(camera))

    def mask(self, shown: Mapping[str, Place], camera: Camera, width: int) -> NDArray[np.bool_]:
        """Return where anything of ``shown`` is, (h, w) bool; as :meth:`ids`, which tells more."""
        return self._grid.mask(shown, camera, width, self._reach(camera))

    def _reach(self, camera: Camera) -> float:
        return 4.0 * max(self.models.extent_mm, camera.height_mm, camera.width_mm)
