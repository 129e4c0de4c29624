"""One frame of a step: surfaces and lines, contact shading, ghosts at the seats, travel lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops

from ...sequences.steps.operations import Operation
from ..acts.tool_arrows import draw_tool_arrows
from ..acts.zone_patterns import Painting, PlacedZone, paint_zones
from ..composition.travel_lines import draw_travels
from ..composition.turn_arcs import draw_shaft_turns
from ..composition.views import StepScene
from ..drawing.compose import as_image, contact_shade, light_left, reduced
from ..drawing.manifest import Arrow, TurnSeen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera
from ..engine.grid import GRID_SIZE, Ids, PackedIds, packed
from ..engine.material_styles import PAPER, STRONG, colour_bytes
from ..engine.stage import REFERENCE_WIDTH, Shown, Stage

CONTACT_SHARE = 0.03
"""How far contact shading reaches, as a share of the assembly or of the frame, whichever is less."""

SEAT_SLACK = 0.003
"""A seat no farther behind a surface than this share of the frame's height lies in that surface."""


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
    operations: tuple[Operation, ...] = (),
) -> Frame:
    """Return the frame of ``scene``; ``size`` (width, height) for an inset, else the stage's own size.

    ``operations`` are those of the step, whose tools' arrows tell of them.

    What is seen without arrows is remembered: other steps show the same.
    """
    size, close = size or (stage.width, stage.height), size is not None
    seats = tuple((k, p) for t in scene.travels if t.length_mm > 0 for k, p in t.seats.items())
    key = (
        "frame",
        tuple((k, stage.model(k), s) for k, s in shown.items()),
        (scene.keys, seats) if seats else (),
        tuple(z.key for z in scene.zones),
        camera,
        size,
        settings,
    )
    bare = stage.memory.of(key, lambda: _bare(stage, scene, shown, camera, settings, size), _size_of)
    image, ids = Image.new("RGB", size, colour_bytes(PAPER)), bare.ids.opened()
    if bare.pane is not None:
        image.paste(bare.pane, bare.at)
    # The arc of a handle would be cut off by the border of a close-up.
    tools = [t for t in scene.tools if not (close and t.swings)]
    draw_tool_arrows(image, stage.models, tools, operations, camera, stage.width)
    arrows = draw_travels(image, stage.models, scene.travels, ids, camera, stage.width, close)
    turns = () if close else draw_shaft_turns(image, scene.turns, ids, camera)
    return Frame(image, ids, camera, arrows, turns)


@dataclass(frozen=True)
class _Bare:
    """A frame without arrows: the pane of it in which anything is, where that lies, and what is seen in the frame."""

    pane: Image.Image | None
    at: tuple[int, int]
    ids: PackedIds


def _size_of(bare: _Bare) -> int:
    pane = bare.pane
    return bare.ids.bytes + (pane.width * pane.height * 3 if pane else 0)


def _bare(
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    camera: Camera,
    settings: PictureSettings,
    size: tuple[int, int],
) -> _Bare:
    grid = min(settings.measure_width, size[0], int(GRID_SIZE[1] * camera.aspect), GRID_SIZE[0])
    ids = stage.ids({k: s.place for k, s in shown.items()}, camera, grid)
    seen = ids.seen  # what is out of sight is not drawn
    image = _take(
        stage,
        {k: s for k, s in shown.items() if k in seen},
        camera,
        size,
        ids,
        settings,
        placed_zones(stage, scene),
    )
    ghosts = draw_ghosts(stage, scene, camera, size, stage.width)
    if ghosts is not None:
        seats = seat_depths(stage, scene, camera, grid)
        own = ids.mask(scene.keys)
        ghosts.draw(image, own if seats is None else own | seats.behind(ids))
    box = ImageChops.invert(image).getbbox()  # paper is white
    return _Bare(image.crop(box) if box else None, box[:2] if box else (0, 0), packed(ids))


def _take(
    stage: Stage,
    shown: Mapping[str, Shown],
    camera: Camera,
    size: tuple[int, int],
    ids: Ids,
    settings: PictureSettings,
    zones: Sequence[PlacedZone] = (),
) -> Image.Image:
    """Return the picture of ``shown`` with ``zones`` painted; drawn where parts are, and shading reckoned meanwhile."""
    image = Image.new("RGB", size, colour_bytes(PAPER))
    box = pixel_box(stage, shown, camera, size, stage.width)
    if box is None:
        return image
    pixels = stage.start(shown, camera, size, box, stage.width)
    light = None
    if settings.contact_shading:
        shade = contact_shade(ids, camera, CONTACT_SHARE * min(stage.models.extent_mm, camera.height_mm))
        high, wide = shade.shape
        across, down = wide / size[0], high / size[1]
        pane = (box[0] * across, box[1] * down, box[2] * across, box[3] * down)
        light = light_left(shade, (box[2] - box[0], box[3] - box[1]), pane)
    drawn = pixels()
    if zones:
        over = settings.supersample
        drawn, _ = paint_zones(
            Painting(
                drawn,
                lambda part: stage.near_mm(camera, drawn.shape[0], part),
                camera,
                ids,
                (box[0] * over, box[1] * over),
                (size[0] * over, size[1] * over),
            ),
            zones,
            over * stage.width / REFERENCE_WIDTH,
        )
    image.paste(reduced(drawn, settings.supersample, light), box[:2])
    return image


def placed_zones(stage: Stage, scene: StepScene) -> list[PlacedZone]:
    """Return the zones of ``scene`` where they are drawn."""
    moving = {k for t in scene.travels for k in t.drawn}
    return [
        PlacedZone(z, stage.model(z.part), scene.places[z.part], z.part in moving)
        for z in scene.zones
        if z.part in scene.places
    ]


@dataclass(frozen=True)
class Ghosts:
    """The outermost outline of moving parts at their seats: where in the picture, and how strong, 0 to 255."""

    box: tuple[int, int, int, int]
    opacity: NDArray[np.float32]

    def draw(self, image: Image.Image, own: NDArray[np.bool_]) -> None:
        """Draw them, but not over the parts themselves or behind others: where ``own`` (h, w) says so."""
        opacity = self.opacity.copy()
        left, top, right, foot = self.box
        high, wide = own.shape
        across, down = wide / image.width, high / image.height
        covered = (
            Image.fromarray(own)
            .convert("L")
            .resize((right - left, foot - top), box=(left * across, top * down, right * across, foot * down))
        )
        opacity[np.asarray(covered) > 0] = 0
        image.paste(colour_bytes(STRONG), self.box[:2], Image.fromarray(opacity.astype(np.uint8)))


@dataclass(frozen=True)
class SeatDepths:
    """How near the seats of a scene are, (h, w) mm, -inf beyond them and a border of two cells; and what counts as one.

    Their outlines run on the border of what they fill, so cells as near as two to it count as they do.
    """

    near_mm: NDArray[np.float32]
    slack_mm: np.float32

    def behind(self, ids: Ids) -> NDArray[np.bool_]:
        """Return where they lie behind what is seen in ``ids``, (h, w) bool: no line is drawn there."""
        hidden = ids.near_mm > self.near_mm + self.slack_mm
        return np.asarray(np.isfinite(self.near_mm) & (ids.part >= 0) & hidden)


def seat_depths(stage: Stage, scene: StepScene, camera: Camera, width: int) -> SeatDepths | None:
    """Return how near the seats of ``scene`` are, on a grid ``width`` wide; None without travel."""
    seats = {k: p for t in scene.travels if t.length_mm > 0 for k, p in t.seats.items()}
    if not seats:
        return None
    there = stage.ids(seats, camera, width)
    near = np.where(there.part >= 0, there.near_mm, np.float32(-np.inf))
    for axis in (0, 1, 0, 1):
        beside = np.maximum(np.roll(near, 1, axis), np.roll(near, -1, axis))
        near = np.where(np.isfinite(near), near, beside)
    return SeatDepths(near, np.float32(SEAT_SLACK * camera.height_mm))


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
    box = pixel_box(stage, seats, camera, size, page_width) if seats else None
    if box is None:
        return None
    drawn = stage.start(seats, camera, size, box, page_width)()
    lines = as_image(drawn).convert("L").reduce(stage.supersample)
    return Ghosts(box, np.round((255 - np.asarray(lines, dtype=np.float32)) * 0.9))


def pixel_box(
    stage: Stage, shown: Mapping[str, Shown], camera: Camera, size: tuple[int, int], page_width: int
) -> tuple[int, int, int, int] | None:
    """Return the box round ``shown`` in pixels of a picture of ``size``, clipped; None where it is out of frame."""
    points = [s.place.points(stage.model(k).mesh.extreme_points) for k, s in shown.items()]
    xy = camera.project(np.concatenate(points))[:, :2] * size
    air = 0.006 * page_width
    left, top = np.maximum(np.floor(xy.min(axis=0) - air), 0).astype(int).tolist()
    right, foot = np.minimum(np.ceil(xy.max(axis=0) + air), size).astype(int).tolist()
    return (left, top, right, foot) if right - left > 4 and foot - top > 4 else None
