"""One frame of a step: surfaces and lines, contact shading, ghosts at the seats, travel lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from .camera import Camera
from .compose import contact_shade, finish
from .looks import STRONG, colour_bytes
from .manifest import Arrow, TurnSeen
from .scene import GRID_SIZE, Ids, Shown, Stage
from .settings import PictureSettings
from .travel_lines import draw_shaft_turns, draw_travels
from .views import StepScene


@dataclass(frozen=True)
class Frame:
    """A finished frame, what is seen in it, and the arrows drawn."""

    image: Image.Image
    ids: Ids
    camera: Camera
    arrows: tuple[Arrow, ...]
    turns: tuple[TurnSeen, ...] = ()


def take_frame(
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    camera: Camera,
    settings: PictureSettings,
    size: tuple[int, int] | None = None,
) -> Frame:
    """Return the frame of ``scene``; ``size`` (width, height) for an inset, else the stage's own size."""
    width = size[0] if size else stage.width
    grid = min(settings.measure_width, width, int(GRID_SIZE[1] * camera.aspect), GRID_SIZE[0])
    ids = stage.ids({k: s.place for k, s in shown.items()}, camera, grid)
    radius = 0.03 * min(stage.models.extent_mm, camera.height_mm)
    shade = contact_shade(ids, camera, radius) if settings.contact_shading else None
    seen = ids.seen  # what is out of sight is not drawn
    pixels = stage.draw({k: s for k, s in shown.items() if k in seen}, camera, size, stage.width)
    image = finish(pixels, settings.supersample, shade)
    ghosts = draw_ghosts(stage, scene, camera, image.size, stage.width)
    if ghosts is not None:
        ghosts.lay(image, ids.mask(scene.keys))
    arrows = draw_travels(image, stage.models, scene.travels, ids, camera, stage.width)
    turns = () if size else draw_shaft_turns(image, scene.turns, ids, camera)
    return Frame(image, ids, camera, arrows, turns)


@dataclass(frozen=True)
class Ghosts:
    """The outermost outline of moving parts at their seats: where in the picture, and how strong, 0 to 255."""

    box: tuple[int, int, int, int]
    opacity: NDArray[np.float32]

    def lay(self, image: Image.Image, own: NDArray[np.bool_]) -> None:
        """Draw them through what hides them, but not over the parts themselves, which are seen at ``own`` (h, w)."""
        opacity = self.opacity.copy()
        covered = Image.fromarray(own).convert("L").resize(image.size).crop(self.box)
        opacity[np.asarray(covered) > 0] = 0
        image.paste(colour_bytes(STRONG), self.box[:2], Image.fromarray(opacity.astype(np.uint8)))


def draw_ghosts(
    stage: Stage, scene: StepScene, camera: Camera, size: tuple[int, int], page_width: int
) -> Ghosts | None:
    """Return the ghosts of ``scene`` in a picture of ``size`` on a page ``page_width`` wide; None without travel."""
    seats = {
        k: Shown(seat, "ghost")
        for travel in scene.travels
        if travel.length_mm > 0
        for k, seat in travel.seats.items()
    }
    box = _pixel_box(stage, seats, camera, size, page_width) if seats else None
    if box is None:
        return None
    left, top, right, foot = box
    wide, high = size
    there = camera.part(left / wide, top / high, right / wide, foot / high)
    drawn = stage.draw(seats, there, (right - left, foot - top), page_width)
    lines = Image.fromarray(drawn).convert("L").reduce(stage.supersample)
    return Ghosts(box, np.round((255 - np.asarray(lines, dtype=np.float32)) * 0.9))


def _pixel_box(
    stage: Stage, shown: Mapping[str, Shown], camera: Camera, size: tuple[int, int], page_width: int
) -> tuple[int, int, int, int] | None:
    """Return the box round ``shown`` in pixels of a picture of ``size``, clipped; None where it is out of frame."""
    points = [s.place.points(stage.models.parts[k].mesh.extreme_points) for k, s in shown.items()]
    xy = camera.project(np.concatenate(points))[:, :2] * size
    air = 0.006 * page_width
    left, top = np.maximum(np.floor(xy.min(axis=0) - air), 0).astype(int).tolist()
    right, foot = np.minimum(np.ceil(xy.max(axis=0) + air), size).astype(int).tolist()
    return (left, top, right, foot) if right - left > 4 and foot - top > 4 else None
