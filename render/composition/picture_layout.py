"""Layout of a step picture: the camera, and room for close-ups where a part is small or its seat hidden."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ...geometry.frame import Floats, Place
from ..drawing.insets import Box, Disc, close_up_of, find_disc, subject_of
from ..drawing.manifest import State
from ..drawing.measure import parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera, View, fit_camera
from ..engine.grid import Ids
from ..engine.part_models import PartModel
from ..engine.stage import Stage
from .hidden_seats import HiddenSeat, hidden_seat
from .views import StepScene, outline_seen, scene_points

PLAN_WIDTH = 128
"""Width of the grid on which room is sought."""
EDGE = 0.045
"""Margin of the scene in its frame."""
LEAST_PUSH = 0.03
"""It is not pushed by less than this share of the frame for the sake of a close-up."""
SHRINK = (0.9, 0.8, 0.72)
"""How small the scene may be drawn to make room for a close-up."""


@dataclass(frozen=True)
class CloseUp:
    """A close-up: its disc, the parts it is of, and the seat where it shows them in place and cut open."""

    disc: Disc
    subject: tuple[str, ...]
    seat: HiddenSeat | None = None


@dataclass(frozen=True)
class Layout:
    """Camera of the picture, and its close-ups."""

    camera: Camera
    close_ups: tuple[CloseUp, ...] = ()


def lay_out(stage: Stage, scene: StepScene, view: View, settings: PictureSettings) -> Layout:
    """Return the layout of ``scene``: as large as can be, or a little smaller where a close-up needs the room."""
    aspect = settings.width / settings.height
    camera = fit_camera(view, scene_points(stage.models, scene), aspect, EDGE)
    ids = stage.ids(scene.places, camera, PLAN_WIDTH)
    parts = stage.models.parts
    visible = {k: outline_seen(parts, ids, scene.places, g, camera) for g in scene.wanted for k in g}
    states: dict[str, State] = dict.fromkeys(scene.places, "context")
    subject = subject_of(scene.wanted, parts_seen(ids, states, visible, {}), bool(scene.travels))
    seat = hidden_seat(stage, scene, camera, PLAN_WIDTH, subject) if settings.cut_aways else None
    if seat is not None and not scene.travels:
        subject = None  # what is looked at in its seat is shown once, cut open
    wishes: list[tuple[tuple[str, ...] | None, HiddenSeat | None, int]] = [(subject, seat, len(SHRINK))]
    if subject is not None and seat is not None:
        # Two close-ups are not worth drawing the whole much smaller.
        wishes = [(subject, seat, 1), (subject, None, len(SHRINK)), (None, seat, len(SHRINK))]
    wanted = ids.mask(scene.keys)
    taken, context = wanted | _swept(scene, stage, camera, ids), (ids.part >= 0) & ~wanted
    slack = _slack(taken | context)
    for one, two, steps in wishes if subject is not None or seat is not None else []:
        for pushes in _pushes(steps, slack):
            found = []
            for push in pushes:
                moved = push.camera(camera)
                close_ups = _find_room(stage, scene, one, two, moved, push.mask(taken), push.mask(context))
                if close_ups:
                    layout = Layout(moved, close_ups)
                    found.append(_centred(layout, push.mask(taken | context)) if push.right else layout)
            if found:  # the first with the largest discs
                return max(found, key=lambda layout: sum(c.disc.radius for c in layout.close_ups))
    return Layout(camera)


def _centred(layout: Layout, content: NDArray[np.bool_]) -> Layout:
    """Return ``layout`` moved so that scene and close-ups together lie in the middle between left and right."""
    columns = np.flatnonzero(content.any(axis=0)) / content.shape[1]
    discs = [c.disc for c in layout.close_ups]
    left = min(float(columns[0]), *(d.centre[0] - d.radius for d in discs))
    right = max(float(columns[-1]), *(d.centre[0] + d.radius for d in discs))
    by = 0.5 - (left + right) / 2
    camera = layout.camera
    c = np.array(camera.centre) - by * camera.width_mm * camera.view.axes[0]
    moved = replace(camera, centre=(float(c[0]), float(c[1]), float(c[2])))
    return Layout(moved, tuple(replace(c, disc=c.disc.moved(by)) for c in layout.close_ups))


def _slack(content: NDArray[np.bool_]) -> tuple[float, float]:
    """Return how much narrower and lower than a frame filled by it ``content`` (h, w) is, as shares at one side."""
    spans = [np.flatnonzero(content.any(axis=axis)) for axis in (0, 1)]
    free = [min(int(s[0]), n - 1 - int(s[-1])) / n for s, n in zip(spans, content.shape[::-1], strict=True)]
    return max(0.0, free[0] - EDGE), max(0.0, free[1] - EDGE)


@dataclass(frozen=True)
class _Push:
    """The scene drawn ``shrink`` times as large and pushed to a side or corner: -1, 0 or 1 to the right and down.

    ``slack`` is the room that the scene leaves free anyhow beside it and above it, as shares of the frame.
    """

    shrink: float = 1.0
    right: int = 0
    down: int = 0
    slack: tuple[float, float] = (0.0, 0.0)

    @property
    def free(self) -> tuple[float, float]:
        """How far it may be pushed, across and down, as shares of the frame before it shrinks."""
        more = (1.0 / self.shrink - 1.0) / 2.0
        return more + self.slack[0], more + self.slack[1]

    def camera(self, camera: Camera) -> Camera:
        """Return the camera that shows the scene so."""
        across, up = camera.view.axes[:2]
        c = np.array(camera.centre) - across * self.right * self.free[0] * camera.width_mm
        c = c + up * self.down * self.free[1] * camera.height_mm
        centre = (float(c[0]), float(c[1]), float(c[2]))
        return replace(camera, centre=centre, height_mm=camera.height_mm / self.shrink)

    def mask(self, mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Return ``mask`` (h, w) of the scene as it was, as that of the pushed scene."""
        found = mask
        for axis, push in ((0, self.down * self.free[1]), (1, self.right * self.free[0])):
            count = mask.shape[axis]
            at = (np.arange(count) + 0.5) / count
            source = np.floor((0.5 + (at - 0.5) / self.shrink - push) * count).astype(int)
            inside = (source >= 0) & (source < count)
            found = np.take(found, np.clip(source, 0, count - 1), axis=axis)
            found = found & (inside[:, None] if axis == 0 else inside[None, :])
        return found


def _pushes(steps: int, slack: tuple[float, float]) -> Iterator[list[_Push]]:
    """Yield what is tried together: the scene as large as it is, then ``steps`` times smaller and smaller.

    At full size it may be pushed to the side into room that it leaves free anyhow, smaller to sides and corners too.
    """
    beside = [_Push(1.0, right, 0, slack) for right in (-1, 1)] if slack[0] > LEAST_PUSH else []
    yield [_Push(), *beside]
    for shrink in SHRINK[:steps]:
        for right, down in ((-1, 0), (1, 0), (-1, 1), (1, 1), (-1, -1), (1, -1)):
            yield [_Push(shrink, right, down, slack)]


def _find_room(
    stage: Stage,
    scene: StepScene,
    subject: tuple[str, ...] | None,
    seat: HiddenSeat | None,
    camera: Camera,
    taken: NDArray[np.bool_],
    context: NDArray[np.bool_],
) -> tuple[CloseUp, ...]:
    """Return the close-ups wished for, placed in this camera; none if there is not room for all of them."""
    found: list[CloseUp] = []
    if subject is not None:
        box = frame_box(stage.models.parts, scene.places, subject, camera)
        seats = {k: s for t in scene.travels for k, s in t.seats.items() if k in subject and t.length_mm > 0}
        also = frame_box(stage.models.parts, seats, list(seats), camera) if seats else None
        disc = find_disc(taken, context, *close_up_of(box, also, camera.aspect))
        if disc is None:
            return ()
        found.append(CloseUp(disc, subject))
        taken = taken | _disc_mask(disc, taken)
    if seat is not None:
        x, y, _ = camera.project(seat.centre)[0].tolist()
        radius = seat.radius_mm / camera.width_mm
        disc = find_disc(taken, context, (x, y), radius, least_magnification=1.3)
        if disc is None:
            return ()
        found.append(CloseUp(disc, seat.subject, seat))
    return tuple(found)


def _disc_mask(disc: Disc, like: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the disc with a little air, as a mask on the grid of ``like``."""
    height, width = like.shape
    ys, xs = np.mgrid[0:height, 0:width] + 0.5
    away = np.hypot(xs - disc.centre[0] * width, ys - disc.centre[1] * height)
    return np.asarray(away < (disc.radius + 0.01) * width)


def frame_box(
    parts: Mapping[str, PartModel], places: Mapping[str, Place], keys: Sequence[str], camera: Camera
) -> Box:
    """Return the box (left, top, right, bottom as fractions) of ``keys`` in the picture, hidden or not."""
    points: Floats = np.concatenate(
        [camera.project(places[k].points(parts[k].mesh.extreme_points)) for k in keys]
    )
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _swept(scene: StepScene, stage: Stage, camera: Camera, ids: Ids) -> NDArray[np.bool_]:
    """Return where moving parts travel, (h, w) bool: the hull of part and seat, roughly."""
    height, width = ids.part.shape
    page = Image.new("L", (width, height), 0)
    pen = ImageDraw.Draw(page)
    for travel in scene.travels:
        for key, place in travel.drawn.items():
            a = frame_box(stage.models.parts, {key: place}, [key], camera)
            b = frame_box(stage.models.parts, travel.seats, [key], camera)
            for n in range(9):
                t = n / 8
                l_, o, r, u = (p + (q - p) * t for p, q in zip(a, b, strict=True))
                pen.rectangle((l_ * width - 1, o * height - 1, r * width + 1, u * height + 1), fill=255)
    # Only the way of parts small in the picture is kept free: a large part's own area is kept by itself.
    way = np.asarray(page) > 0
    return way if way.mean() < 0.35 else np.zeros_like(way)
