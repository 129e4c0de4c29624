"""The measuring grid: a small off-screen window in which each part has a colour of its own.

From that the manifest learns what is visible, and the pictures where light is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Place
from ...geometry.meshes.tessellation import Mesh, coarse_surface
from .actors import surface_actor, surface_data, vtk_matrix
from .camera import Camera
from .depth_layers import Pane
from .part_models import PartModel
from .window import Window

T = TypeVar("T", np.uint8, np.float32)
GRID_SIZE = (960, 960)
"""Size of the measuring window in pixels."""
BOX_AIR, BOX_AIR_SHARE = 2.0, 0.004
"""So many pixels beside the box of parts are read too, and so much of its size: it is that of their extreme points,
beyond which they, and their coarse surfaces, may reach a little.
"""
WHOLE_CELLS = 60_000
"""A grid of no more cells is read whole: to find the box of its parts takes longer."""
COARSE_SHARE = 1.0 / 800.0
"""How far off a coarse surface is at most, as a share of the assembly's extent."""
COARSE_PIXELS = 0.34
"""Coarse surfaces do where they are off by no more than this share of a pixel."""


@dataclass(frozen=True)
class Ids:
    """What is where: ``part`` (h, w) int16 index into ``keys`` or -1, ``near_mm`` (h, w) float32 towards the eye."""

    keys: tuple[str, ...]
    part: NDArray[np.int16]
    near_mm: NDArray[np.float32]

    @property
    def bytes(self) -> int:
        """How much memory it takes."""
        return self.part.nbytes + self.near_mm.nbytes

    @property
    def seen(self) -> set[str]:
        """Parts of which anything is seen."""
        count = np.bincount(self.part.ravel() + np.int16(1), minlength=len(self.keys) + 1)
        return {k for k, n in zip(self.keys, count[1:].tolist(), strict=True) if n}

    def window(self, rows: slice, columns: slice) -> Ids:
        """Return what is where in some rows and columns of the grid."""
        return Ids(self.keys, self.part[rows, columns], self.near_mm[rows, columns])

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


@dataclass(frozen=True)
class PackedIds:
    """An :class:`Ids` in less memory: the ``window`` (rows, columns) of it in which anything is."""

    inner: Ids
    window: tuple[slice, slice]
    shape: tuple[int, ...]
    beyond_mm: np.float32

    @property
    def bytes(self) -> int:
        """How much memory it takes."""
        return self.inner.bytes

    def opened(self) -> Ids:
        """Return it as it was."""
        part = np.full(self.shape, -1, dtype=np.int16)
        near = np.full(self.shape, self.beyond_mm, dtype=np.float32)
        part[self.window], near[self.window] = self.inner.part, self.inner.near_mm
        return Ids(self.inner.keys, part, near)


def packed(ids: Ids) -> PackedIds:
    """Return ``ids``, in which it is equally far wherever no part is, in less memory."""
    there = ids.part >= 0
    rows, columns = (np.flatnonzero(there.any(axis=a)) for a in (1, 0))
    window = slice(0, 1), slice(0, 1)
    if len(rows):
        window = slice(int(rows[0]), int(rows[-1]) + 1), slice(int(columns[0]), int(columns[-1]) + 1)
    inner = ids.window(*window)
    inner = Ids(ids.keys, inner.part.copy(), inner.near_mm.copy())
    return PackedIds(inner, window, ids.part.shape, ids.near_mm.min())


class Grid:
    """Draws what is where; ``model`` returns the model that is shown under a key, for parts of ``extent_mm`` together.

    In coarse pixels parts are drawn with coarse surfaces, in a third of the time.
    """

    def __init__(self, model: Callable[[str], PartModel], extent_mm: float) -> None:
        self._model, self._coarse_mm = model, COARSE_SHARE * extent_mm
        self.window = Window(*GRID_SIZE, (0.0, 0.0, 0.0))
        self._actors: dict[tuple[str, bool], Any] = {}
        self._coarse: dict[int, Any] = {}
        self._placed: dict[tuple[str, bool], Place] = {}  # what is visible, and where

    def close(self) -> None:
        """Free the window and all that it holds; may be called again."""
        self._actors.clear()
        self._coarse.clear()
        self.window.close()

    def forget(self, key: str) -> None:
        """Take ``key`` off: it will show another model, or nothing."""
        for coarse in (False, True):
            actor = self._actors.pop((key, coarse), None)
            self._placed.pop((key, coarse), None)
            if actor is not None:
                self.window.renderer.RemoveActor(actor)

    def ids(self, shown: Mapping[str, Place], camera: Camera, width: int, reach: float) -> Ids:
        """Return what is visible where, on a grid ``width`` wide; ``reach`` as of :meth:`.window.Window.aim`.

        Raises:
            ValueError: if the grid is larger than :data:`GRID_SIZE`.
        """
        keys = tuple(shown)
        size = self._arrange(shown, camera, width)
        depth = np.float32(self.window.aim(camera, reach))
        self.window.render()
        box = self._box(shown, camera, size)
        pixels = self._read(self.window.read, box, size)
        part = np.full(size[::-1], -1, dtype=np.int16)
        own = part[box[1] : box[3], box[0] : box[2]]
        own += pixels[:, :, 0]
        if len(keys) > 255:
            own += pixels[:, :, 1].astype(np.int16) << 8
        near = np.full(size[::-1], depth * np.float32(-0.5), dtype=np.float32)
        near[box[1] : box[3], box[0] : box[2]] = depth * (
            np.float32(0.5) - self._read(self.window.read_depth, box, size)
        )
        return Ids(keys, part, near)

    def mask(self, shown: Mapping[str, Place], camera: Camera, width: int, reach: float) -> NDArray[np.bool_]:
        """Return where anything of ``shown`` is seen, as :meth:`ids` would, (h, w) bool."""
        size = self._arrange(shown, camera, width)
        self.window.aim(camera, reach)
        self.window.render()
        box = self._box(shown, camera, size)
        pixels = self._read(self.window.read, box, size)
        there = np.zeros(size[::-1], dtype=np.bool_)
        np.greater(pixels[:, :, 0] | pixels[:, :, 1], 0, out=there[box[1] : box[3], box[0] : box[2]])
        return there

    def _box(self, shown: Mapping[str, Place], camera: Camera, size: tuple[int, int]) -> Pane:
        """Return a box of the grid outside which nothing of ``shown`` is; a pixel at least."""
        if size[0] * size[1] <= WHOLE_CELLS:
            return 0, 0, *size
        points = [p.points(self._model(k).mesh.extreme_points) for k, p in shown.items()]
        if not points:
            return 0, 0, 1, 1
        xy = camera.project(np.concatenate(points))[:, :2] * size
        air = BOX_AIR + BOX_AIR_SHARE * np.ptp(xy, axis=0).max()
        low = np.clip(np.floor(xy.min(axis=0) - air), 0, np.subtract(size, 1)).astype(int)
        high = np.clip(np.ceil(xy.max(axis=0) + air), low + 1, size).astype(int)
        return int(low[0]), int(low[1]), int(high[0]), int(high[1])

    @staticmethod
    def _read(
        read: Callable[[int, int, int, int], NDArray[T]], box: Pane, size: tuple[int, int]
    ) -> NDArray[T]:
        """Return what ``read`` of the window returns in ``box``."""
        left, top, right, foot = box
        return read(right - left, foot - top, left, size[1] - foot)

    def _arrange(self, shown: Mapping[str, Place], camera: Camera, width: int) -> tuple[int, int]:
        """Set the stage for ``shown``; return width and height of the grid."""
        height = max(1, round(width / camera.aspect))
        if width > GRID_SIZE[0] or height > GRID_SIZE[1]:
            raise ValueError(f"a measuring grid of {width} x {height} does not fit {GRID_SIZE}")
        coarse = self._coarse_mm <= COARSE_PIXELS * camera.width_mm / width
        wanted = {(key, coarse) for key in shown}
        for unwanted in self._placed.keys() - wanted:
            self._actors[unwanted].SetVisibility(False)
            del self._placed[unwanted]
        for number, (key, place) in enumerate(shown.items(), 1):
            actor = self._actor(key, coarse)
            if self._placed.get((key, coarse)) != place:
                actor.SetVisibility(True)
                actor.SetUserMatrix(vtk_matrix(place.matrix()))
                self._placed[key, coarse] = place
            actor.GetProperty().SetColor((number & 255) / 255.0, (number >> 8) / 255.0, 0.0)
        self.window.cover(width, height)
        return width, height

    def _actor(self, key: str, coarse: bool) -> Any:
        if (key, coarse) not in self._actors:
            model = self._model(key)
            actor = surface_actor(self._surface(model.mesh, coarse and model.hatch is None))
            self.window.renderer.AddActor(actor)
            self._actors[key, coarse] = actor
        return self._actors[key, coarse]

    def _surface(self, mesh: Mesh, coarse: bool) -> Any:
        if not coarse:
            return surface_data(mesh.joined_points, mesh.joined_triangles)
        if id(mesh) not in self._coarse:
            self._coarse[id(mesh)] = surface_data(*coarse_surface(mesh, self._coarse_mm))
        return self._coarse[id(mesh)]
