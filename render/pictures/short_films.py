"""Short films: the parts of a step go along their travel into place (or out of it), seen as in the step's picture.

A film is an animated picture of a few frames. What stands still is drawn once, with its depth, and so is what travels
without turning: in parallel projection it only shifts. The frame in which the parts are drawn out is the step's
picture, with its arrows.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Place
from ...sequences.steps.operations import Operation
from ..acts.tool_arrows import draw_tool_arrows
from ..acts.tools_drawn import ToolDrawn, moved_by, near_points, turned
from ..acts.zone_patterns import Painting, paint_zones
from ..composition.drawn_travel import SHOWN_TURN_DEG, DrawnTravel
from ..composition.picture_layout import EDGE, frame_box
from ..composition.travel_lines import Line, draw_remaining_travel, draw_travels, travel_lines
from ..composition.turn_arcs import draw_shaft_turns
from ..composition.views import StepScene, scene_points
from ..drawing.compose import contact_shade, finish
from ..drawing.film_files import encode_film
from ..drawing.insets import Box, union_box
from ..drawing.manifest import FilmSeen
from ..drawing.measure import Mask
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera, View, fit_camera
from ..engine.depth_layers import DepthLayer, Pane, Pixels
from ..engine.grid import Ids
from ..engine.material_styles import Role
from ..engine.part_models import PartModels
from ..engine.stage import REFERENCE_WIDTH, Shown, Stage
from .frames import CONTACT_SHARE, SeatDepths, draw_ghosts, placed_zones, seat_depths
from .studio import camera_seen

REST_MS, END_MS = 900, 1800
"""How long the first frame stands and the last: time to look before it moves, and at where it ends."""
TRAVEL_MS, TURN_MS = 130, 260
"""How long each frame between stands; shafts are turned slowly."""
FRAMED = 1.9
"""A film shows this many times the greater measure of what its parts sweep over, the whole picture at most."""
NEAREST = 0.4
"""Smallest part of the picture that a film shows, as a share of its width."""
SEEN = 0.0006
"""Least share of the film that something in motion has to fill: a closed head turned by hand shows nothing."""
GRID = 0.5
"""Width of the grid for shading and hiding, as a share of the film's."""
NEARLY_WHOLE = 0.85
"""A film that would show this share of the picture's width or more shows all of it."""
TOOL_NEAR = 0.5
"""A film holds, all through the swing, what of a tool is nearer to its contact than this share of the assembly."""
FILM_PITCH = 1.6
"""A film is small: patterns of its zones are so much coarser than its lines."""

Poses = Mapping[str, Place]


@dataclass(frozen=True)
class Film:
    """A short film: what the manifest tells of it, its frames, and how long each stands, ms."""

    seen: FilmSeen
    images: tuple[Image.Image, ...]
    durations_ms: tuple[int, ...]

    def content(self) -> bytes:
        """Return the content of its file."""
        return encode_film(self.images, self.durations_ms)


def film_poses(models: PartModels, travels: Sequence[DrawnTravel], frames: int) -> list[dict[str, Place]]:
    """Return the places of all travelling parts in each of ``frames`` frames, the first before they move.

    Moves follow one another; equal parts that follow one another move at the same time.
    """
    acts = [list(g) for _, g in groupby(travels, lambda t: [models.parts[k].kind for k in t.seats])]
    ends = [round((frames - 1) * n / len(acts)) for n in range(len(acts) + 1)]
    poses = []
    for frame in range(frames):
        pose = {}
        for act, begin, end in zip(acts, ends, ends[1:], strict=False):
            share = float(np.clip((frame - begin) / max(end - begin, 1), 0.0, 1.0))
            eased = share * share * (3.0 - 2.0 * share)
            places = {k: t.place_after(k, eased, SHOWN_TURN_DEG) for t in act for k in t.seats}
            pose.update({k: _on_grid(p) for k, p in places.items()})
        poses.append(pose)
    return poses


def with_tools(poses: Sequence[Poses], scene: StepScene, frames: int) -> list[dict[str, Place]]:
    """Return ``poses`` of a travel with the tools of ``scene``: each goes with its part, and is pulled or pushed in it.

    What is tightened comes first and is then pulled; what is loosened is pulled first and then leaves.
    """
    if not scene.tools:
        return [dict(p) for p in poses]
    into = scene.travels[0].move.into
    drawn = {k: p for t in scene.travels for k, p in t.drawn.items()}
    along = []
    for pose in poses:
        tools = {}
        for t in scene.tools:
            tools[t.key] = _on_grid(_carried(t, pose, drawn).placed_after(0.0 if into else 1.0))
        along.append({**pose, **tools})
    home = along[-1 if into else 0]
    if not any(t.moves for t in scene.tools):
        return along
    pulls = []
    for share in np.linspace(0.0, 1.0, max(3, frames // 2)):
        pulled = {}
        for t in scene.tools:
            pulled[t.key] = _on_grid(_carried(t, home, drawn).placed_after(float(share)))
        pulls.append({**home, **pulled})
    return [*along[:-1], *pulls] if into else [*pulls, *along[1:]]


def _carried(tool: ToolDrawn, pose: Poses, drawn: Poses) -> ToolDrawn:
    """Return a tool that goes along with its part from where that is ``drawn`` to ``pose``, without turning with it."""
    part = tool.tool.at.part
    if part not in pose or part not in drawn:
        return tool
    contact = tool.place.shift
    there = (pose[part] @ drawn[part].inverse()).point(contact)
    return moved_by(tool, Place.at(*np.subtract(there, contact)))


def tool_poses(tools: Sequence[ToolDrawn], frames: int) -> list[dict[str, Place]]:
    """Return the places of all tools that are pulled or pushed, in each of ``frames`` frames."""
    shares = [n / (frames - 1) for n in range(frames)]
    eased = [s * s * (3.0 - 2.0 * s) for s in shares]
    return [{k: _on_grid(p) for k, p in turned(tools, s).items()} for s in eased]


def _on_grid(place: Place) -> Place:
    """Return ``place`` to a nanometre: on their way back parts are then where they were on their way out."""
    matrix = place.matrix()
    matrix[:3, :3] = np.round(matrix[:3, :3], 9)
    matrix[:3, 3] = np.round(matrix[:3, 3], 6)
    return Place.from_matrix(matrix)


def turn_angles(angle_deg: float, turn_deg: float, frames: int) -> tuple[float, ...]:
    """Return the angle of the shafts in each frame in which they are turned from ``angle_deg`` by ``turn_deg``.

    Half as many again as the ``frames`` of a travel: between two of them a rotor of three lobes must turn through less
    than half the angle from lobe to lobe, or it would seem to turn backwards.
    """
    count = frames * 3 // 2
    return tuple(angle_deg + turn_deg * n / (count - 1) for n in range(count))


def film_camera(
    models: PartModels, scene: StepScene, poses: Sequence[Poses], view: View, aspect: float
) -> Camera:
    """Return the camera of the scene's picture as it is without close-ups, nearer where what moves is small in it."""
    points = [scene_points(models, scene)]
    tools = scene.tool_keys
    for pose in poses if tools else ():
        points.append(near_points(models, {k: p for k, p in pose.items() if k in tools}, TOOL_NEAR))
    whole = fit_camera(view, np.concatenate(points), aspect, EDGE)
    if any(k in tools for k in poses[0]):
        return whole
    box = _swept(models, poses, whole)
    share = FRAMED * max(box[2] - box[0], box[3] - box[1])
    if share >= NEARLY_WHOLE:
        return whole
    share = max(share, NEAREST)
    left, top = (float(np.clip((box[n] + box[n + 2] - share) / 2, 0.0, 1.0 - share)) for n in (0, 1))
    return whole.part(left, top, left + share, top + share)


def take_film(
    stage: Stage,
    scene: StepScene,
    view: View,
    poses: Sequence[Poses],
    shown: Mapping[str, Shown],
    settings: PictureSettings,
    name: str,
    operations: tuple[Operation, ...] = (),
) -> Film | None:
    """Return the film of ``scene`` through ``poses``, in a file called ``name``; None where nothing is seen to move.

    ``shown`` is what the step's picture shows, ``operations`` are the step's.
    """
    size = settings.film_size
    camera = film_camera(stage.models, scene, poses, view, size[0] / size[1])
    roles = {k: s.role for k, s in shown.items()}
    maker = _FrameMaker(stage, scene, camera, poses, roles, settings)
    into = not scene.travels or scene.travels[0].move.into
    drawn_out, home = (0, len(poses) - 1) if into else (len(poses) - 1, 0)
    sliding = [k for t in scene.travels for k in t.seats]
    ghosts = draw_ghosts(stage, scene, camera, size, size[0])
    lines: list[Line] = []
    seats: SeatDepths | None = None
    taken: dict[int, tuple[Image.Image, Mask]] = {}
    # The drawn-out frame comes first: its lines are those of all frames.
    for number in sorted(range(len(poses)), key=lambda n: n != drawn_out):
        image, ids = maker.take(poses[number])
        own = ids.mask(poses[number])
        at_home = all(poses[number][k] == poses[home][k] for k in sliding)
        if ghosts is not None and not at_home:
            seats = seats or seat_depths(stage, scene, camera, own.shape[1])
            ghosts.draw(image, own if seats is None else own | seats.behind(ids))
        if at_home and scene.tools:
            tools = _tools_at_home(scene, poses[home])
            draw_tool_arrows(image, stage.models, tools, operations, camera, size[0])
        if number == drawn_out:
            draw_travels(image, stage.models, scene.travels, ids, camera, size[0])
            lines += [x for _, x in travel_lines(stage.models, scene.travels, ids, camera, size[0], size[0])]
        elif not at_home:
            for line in lines:
                draw_remaining_travel(image, line, own)
        draw_shaft_turns(image, scene.turns, ids, camera)
        taken[number] = image, own
    images, owns = zip(*(taken[n] for n in range(len(poses))), strict=True)
    if max(own.mean() for own in owns) < SEEN:
        return None
    durations = (REST_MS, *[TRAVEL_MS if scene.travels else TURN_MS] * (len(poses) - 2), END_MS)
    boxes = tuple(_box(own) for own in owns)
    return Film(FilmSeen(name, *size, durations, camera_seen(camera), boxes), images, durations)


def _tools_at_home(scene: StepScene, home: Poses) -> list[ToolDrawn]:
    """Return the tools of ``scene`` carried to where their parts end, as in the pose ``home``."""
    if not scene.travels:
        return list(scene.tools)
    drawn = {k: p for t in scene.travels for k, p in t.drawn.items()}
    return [_carried(t, home, drawn) for t in scene.tools]


class _FrameMaker:
    """Makes the frames of one film: what stands still drawn once, what moves composited with it."""

    def __init__(
        self,
        stage: Stage,
        scene: StepScene,
        camera: Camera,
        poses: Sequence[Poses],
        roles: Mapping[str, Role],
        settings: PictureSettings,
    ) -> None:
        self._stage, self._camera, self._settings, self._roles = stage, camera, settings, roles
        self._zones = placed_zones(stage, scene)
        self._size = settings.film_size
        self._grid = max(1, min(round(self._size[0] * GRID), settings.measure_width))
        self._radius_mm = CONTACT_SHARE * min(stage.models.extent_mm, camera.height_mm)
        self._still = {k: p for k, p in scene.places.items() if k not in poses[0]}
        self._travels, self._keys = scene.travels, tuple(poses[0])
        self._pane = self._around(poses)
        self._remembered = (
            "film",
            tuple((k, stage.model(k), p) for k, p in self._still.items()),
            tuple(sorted(roles.items())),
            tuple(z.key for z in scene.zones),
            tuple((tuple(t.drawn.items()), tuple(t.seats.items())) for t in scene.travels),
            self._pane,
            camera,
            settings,
        )

    @cached_property
    def _ids(self) -> Ids:
        """What stands still and is seen where."""
        return self._stage.ids(self._still, self._camera, self._grid)

    @cached_property
    def _ground(self) -> DepthLayer:
        """What stands still."""
        seen = {k: p for k, p in self._still.items() if k in self._ids.seen}
        return self._layer(seen, (0, 0, *self._size), self._ids)

    @cached_property
    def _behind(self) -> DepthLayer:
        """The pane of it before which something moves."""
        return self._ground.pane(self._pane, self._settings.supersample)

    @cached_property
    def _shifting(self) -> tuple[_MovingLayer, ...]:
        return tuple(self._moving_layer(t) for t in self._travels if not t.turn_deg)

    @cached_property
    def _turning(self) -> tuple[str, ...]:
        """What is drawn anew in each frame."""
        slid = {k for t in self._travels if not t.turn_deg for k in t.drawn}
        return tuple(k for k in self._keys if k not in slid)

    @cached_property
    def _empty(self) -> Image.Image:
        """The picture without what moves."""
        key = (*self._remembered, "empty")
        return self._stage.memory.of(key, lambda: self._finish(self._ground.pixels, self._ids), _bytes_of)

    def take(self, pose: Poses) -> tuple[Image.Image, Ids]:
        """Return the frame with what moves in ``pose``, and what is seen where; remembered, as of steps alike."""
        key = (*self._remembered, frozenset(pose.items()))
        taken = self._stage.memory.of(key, lambda: self._take(pose), lambda t: _bytes_of(t[0]) + t[1].bytes)
        image = self._empty.copy()
        image.paste(taken[0], self._pane[:2])
        return image, taken[1]

    def _take(self, pose: Poses) -> tuple[Image.Image, Ids]:
        """Return the pane of the frame with what moves in ``pose``, and what is seen where in the whole."""
        over, camera = self._settings.supersample, self._camera
        layer, ids = self._behind, self._ids
        for moving in self._shifting:
            key = next(iter(moving.places))
            shift = camera.view.axes @ np.subtract(pose[key].shift, moving.places[key].shift)
            share = np.array((shift[0] / camera.width_mm, -shift[1] / camera.height_mm))
            right, down = np.round(share * self._size * over).astype(int).tolist()
            layer = layer.composited(
                moving.layer,
                right + (moving.pane[0] - self._pane[0]) * over,
                down + (moving.pane[1] - self._pane[1]) * over,
                self._stage.depth_of(float(shift[2]), camera),
            )
            cells = np.round(share * ids.part.shape[::-1]).astype(int).tolist()
            ids = ids.under(moving.ids.shifted(cells[0], cells[1], float(shift[2])))
        if self._turning:
            turning = {k: pose[k] for k in self._turning}
            there = self._stage.ids(turning, camera, self._grid)
            layer = layer.composited(self._layer(turning, self._pane, there))
            ids = ids.under(there)
        return self._finish(layer.pixels, ids, self._pane), ids

    def _moving_layer(self, travel: DrawnTravel) -> _MovingLayer:
        # What it hides of itself stays hidden, so that need not be drawn.
        ids = self._stage.ids(travel.drawn, self._camera, self._grid)
        places = {k: p for k, p in travel.drawn.items() if k in ids.seen}
        pane = self._around([places])
        return _MovingLayer(places, pane, self._layer(places, pane, ids), ids)

    def _layer(self, places: Poses, pane: Pane, ids: Ids) -> DepthLayer:
        """Return the drawing of what is in ``places``, its zones painted; ``ids`` is what of it is seen where."""
        shown = {k: Shown(p, self._roles[k]) for k, p in places.items()}
        layer = self._stage.draw_layer(shown, self._camera, self._size, pane)
        zones = [replace(z, place=places[z.zone.part]) for z in self._zones if z.zone.part in places]
        if not zones:
            return layer
        over = self._settings.supersample

        def near_mm(box: Pane) -> NDArray[np.float32]:
            left, top, right, foot = box
            return self._stage.nearness(layer.depth[top:foot, left:right], self._camera)

        drawn = Painting(
            layer.pixels,
            near_mm,
            self._camera,
            ids,
            (pane[0] * over, pane[1] * over),
            (self._size[0] * over, self._size[1] * over),
        )
        painted, _ = paint_zones(drawn, zones, over * self._size[0] / REFERENCE_WIDTH * FILM_PITCH)
        return DepthLayer(painted, layer.depth)

    def _finish(self, pixels: Pixels, ids: Ids, pane: Pane | None = None) -> Image.Image:
        """Return the finished picture of ``pixels``, the pane ``pane`` of the film or all of it."""
        over, camera = self._settings.supersample, self._camera
        if not self._settings.contact_shading:
            return finish(pixels, over, None)
        if pane is None:
            return finish(pixels, over, contact_shade(ids, camera, self._radius_mm))
        height, width = ids.part.shape
        share = width / self._size[0]
        air = int(self._radius_mm / camera.width_mm * width) + 2
        left, top = (max(0, int(pane[n] * share) - air) for n in (0, 1))
        right, foot = min(width, int(pane[2] * share) + air), min(height, int(pane[3] * share) + air)
        part = camera.part(left / width, top / height, right / width, foot / height)
        near = ids.window(slice(top, foot), slice(left, right))
        shade = contact_shade(near, part, self._radius_mm)
        on_grid = [
            min(p * share - (left, top)[n % 2], near.part.shape[1 - n % 2]) for n, p in enumerate(pane)
        ]
        return finish(pixels, over, shade, (on_grid[0], on_grid[1], on_grid[2], on_grid[3]))

    def _around(self, poses: Iterable[Poses]) -> Pane:
        """Return the pane in which ``poses`` change anything: what moves, its outline, its shading."""
        width, height = self._size
        left, top, right, foot = _swept(self._stage.models, poses, self._camera)
        air = self._radius_mm / self._camera.width_mm * width + 4.0
        return (
            int(np.clip(left * width - air, 0, width - 1)),
            int(np.clip(top * height - air, 0, height - 1)),
            int(np.clip(right * width + air + 1, 1, width)),
            int(np.clip(foot * height + air + 1, 1, height)),
        )


def _bytes_of(image: Image.Image) -> int:
    return image.width * image.height * 3


@dataclass(frozen=True)
class _MovingLayer:
    """Parts that travel as one without turning: drawn in ``places`` on ``layer``, the pane ``pane`` of the film."""

    places: Poses
    pane: Pane
    layer: DepthLayer
    ids: Ids


def _swept(models: PartModels, poses: Iterable[Poses], camera: Camera) -> Box:
    shown = ChainMap(models.tools, dict(models.parts))
    return union_box([frame_box(shown, pose, list(pose), camera) for pose in poses])


def _box(own: Mask) -> Box | None:
    rows, columns = np.nonzero(own)
    if not len(rows):
        return None
    height, width = own.shape
    return (
        float(columns.min() / width),
        float(rows.min() / height),
        float((columns.max() + 1) / width),
        float((rows.max() + 1) / height),
    )
