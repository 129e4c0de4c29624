"""Layout of a step picture: the camera, and room for a close-up where a part is small."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ..geometry.frame import Floats, Place, Vec3
from .camera import Camera, View, fit_camera
from .frames import Frame, take_frame
from .insets import Box, Disc, close_up_of, disc_camera, find_disc, lay_disc, subject_of
from .manifest import Inset, State
from .measure import measure_visible, parts_seen
from .models import Model
from .scene import Ids, Shown, Stage
from .settings import PictureSettings
from .views import StepScene, scene_points

PLAN_WIDTH = 128
"""Width of the grid on which room is sought."""
SHRINK = (1.0, 0.9, 0.8, 0.72)
"""How small the scene may be drawn to make room for a close-up."""


@dataclass(frozen=True)
class Layout:
    """Camera of the picture, and the close-up: its disc and the parts it is of."""

    camera: Camera
    disc: Disc | None = None
    subject: tuple[str, ...] = ()


def lay_out(stage: Stage, scene: StepScene, view: View, settings: PictureSettings) -> Layout:
    """Return the layout of ``scene``: as large as can be, or a little smaller where a close-up needs the room."""
    aspect = settings.width / settings.height
    camera = fit_camera(view, scene_points(stage.models, scene), aspect, 0.045)
    ids = stage.ids(scene.places, camera, PLAN_WIDTH)
    visible = measure_visible(stage, ids, scene.places, scene.wanted, camera)
    states: dict[str, State] = dict.fromkeys(scene.places, "context")
    subject = subject_of(scene.wanted, parts_seen(ids, states, visible, {}), bool(scene.travels))
    if subject is None:
        return Layout(camera)
    for shrink in SHRINK:
        for across, down in (
            ((0, 0),) if shrink == 1.0 else ((-1, 0), (1, 0), (-1, 1), (1, 1), (-1, -1), (1, -1))
        ):
            moved = _pushed(camera, shrink, across, down)
            disc = _room(stage, scene, subject, moved)
            if disc is not None:
                return Layout(moved, disc, subject)
    return Layout(camera)


def _pushed(camera: Camera, shrink: float, across: int, down: int) -> Camera:
    """Return the camera in which everything is ``shrink`` times as large, pushed to a side or corner."""
    free = (1.0 / shrink - 1.0) / 2.0
    axes = camera.view.axes
    c = (
        np.array(camera.centre)
        - axes[0] * across * free * camera.width_mm
        + axes[1] * down * free * camera.height_mm
    )
    return replace(
        camera, centre=(float(c[0]), float(c[1]), float(c[2])), height_mm=camera.height_mm / shrink
    )


def _room(stage: Stage, scene: StepScene, subject: Sequence[str], camera: Camera) -> Disc | None:
    """Return the disc for a close-up of ``subject`` in this camera, if there is room."""
    ids = stage.ids(scene.places, camera, PLAN_WIDTH)
    box = box_of(stage.models.parts, scene.places, subject, camera)
    seats = {k: s for t in scene.travels for k, s in t.seats.items() if k in subject and t.length_mm > 0}
    also = box_of(stage.models.parts, seats, list(seats), camera) if seats else None
    centre, radius = close_up_of(box, also, camera.aspect)
    wanted = ids.mask(scene.keys)
    taken = wanted | _swept(scene, stage, camera, ids)
    return find_disc(taken, (ids.part >= 0) & ~wanted, centre, radius)


def box_of(
    parts: Mapping[str, Model], places: Mapping[str, Place], keys: Sequence[str], camera: Camera
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
            a = box_of(stage.models.parts, {key: place}, [key], camera)
            b = box_of(stage.models.parts, travel.seats, [key], camera)
            for n in range(9):
                t = n / 8
                l_, o, r, u = (p + (q - p) * t for p, q in zip(a, b, strict=True))
                pen.rectangle((l_ * width - 1, o * height - 1, r * width + 1, u * height + 1), fill=255)
    # Only the way of parts small in the picture is kept free: a large part's own area is kept by itself.
    way = np.asarray(page) > 0
    return way if way.mean() < 0.35 else np.zeros_like(way)


def lay_close_up(
    frame: Frame,
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    states: Mapping[str, State],
    moved: Mapping[str, Vec3],
    layout: Layout,
    settings: PictureSettings,
) -> Inset:
    """Take the close-up of ``layout`` and compose it into ``frame``; return the manifest's account."""
    disc = layout.disc
    assert disc is not None
    camera = disc_camera(frame.camera, disc)
    side = 2 * round(disc.radius * frame.image.width)
    close = take_frame(stage, scene, shown, camera, settings, (side, side))
    visible = measure_visible(stage, close.ids, scene.places, [layout.subject], camera)
    lay_disc(frame.image, close.image, disc)
    seen = parts_seen(close.ids, states, visible, moved)
    box = box_of(stage.models.parts, scene.places, layout.subject, camera)
    fill = (box[2] - box[0]) ** 2 + (box[3] - box[1]) ** 2
    return Inset(
        centre=disc.centre,
        radius=disc.radius,
        of_centre=disc.of_centre,
        of_radius=disc.of_radius,
        magnification=disc.magnification,
        subject=layout.subject,
        fill=float(fill),
        visible=min(visible.values()),
        parts={k: p for k, p in seen.items() if p.visible_px},
    )
