"""Hidden seats: where a part ends up out of sight, a close-up shows it in place with its surroundings cut open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ...geometry.frame import Floats, Place
from ..acts.surface_sight import sight_of, spots_of
from ..acts.zones import Aim
from ..engine.camera import Camera, View
from ..engine.part_models import PartModel, PartModels
from ..engine.section_views import CuttingPlane, cut_model
from ..engine.stage import Stage
from .views import StepScene, outline_seen

HIDDEN = 0.5
"""A seat of which less than this share of the outline is seen is shown cut open."""
SHOWN, GAIN = 0.4, 0.12
"""A cut has to bring at least this share of the outline to light, and so much more than is seen without."""
LEAST_AREA = 0.3
"""And at least this share of its area, as seen without anything else: a sliver tells nothing."""
LARGEST = 0.3
"""Parts larger than this share of the assembly's extent are seen well enough from outside."""
LEAST_REACH = 0.03
"""Least radius of what a cut round a surface takes in, as a share of the assembly's extent."""
ROUND = 1.5
"""Radius of what is taken in, as a multiple of the part's own."""
HATCH_SHARE = 0.011
"""Distance of hatch lines as a share of the height of what is looked at."""
SUFFIX = "|cut"


@dataclass(frozen=True)
class HiddenSeat:
    """What a cut-away shows: the parts of the step in place, what is near them, and the plane that opens them."""

    subject: tuple[str, ...]
    places: Mapping[str, Place]
    plane: CuttingPlane
    centre: Floats
    radius_mm: float


def hidden_seat(
    stage: Stage, scene: StepScene, camera: Camera, grid: int, preferred: tuple[str, ...] | None = None
) -> HiddenSeat | None:
    """Return the seat to show cut open, None where all seats are seen well enough or are too large.

    Of several it is that of ``preferred`` (parts that another close-up shows on their way, so that both tell of one
    place), or else the nearest to the eye: the least is cut away before it.
    """
    models = stage.models
    seats = {k: p for t in scene.travels for k, p in t.seats.items()}
    in_place = {**scene.parts, **seats}
    ids = stage.ids(in_place, camera, grid)
    found: list[tuple[float, float, tuple[str, ...], Floats, float]] = []
    normal = _towards_eye(camera.view, models)
    for group in scene.wanted:
        points = np.concatenate([in_place[k].points(models.parts[k].mesh.extreme_points) for k in group])
        centre = (points.min(axis=0) + points.max(axis=0)) / 2
        radius = float(np.linalg.norm(points - centre, axis=1).max())
        seen = outline_seen(models.parts, ids, in_place, group, camera)
        if radius <= LARGEST * models.extent_mm and seen < HIDDEN:
            found.append((float(centre @ normal), seen, group, centre, radius))
    found.sort(key=lambda f: (f[2] == preferred, f[0]), reverse=True)
    for _, seen, group, centre, radius in found[:2]:
        plane = CuttingPlane(_vec(centre), _vec(normal), models.front)
        near = {
            k: p for k, p in in_place.items() if _is_near(models.parts[k], p, centre, 1.3 * ROUND * radius)
        }
        seat = HiddenSeat(group, near, plane, centre, ROUND * radius)
        if _shown_by_cut(stage, seat, camera, grid) > max(SHOWN, seen + GAIN):
            return seat
    return None


def _shown_by_cut(stage: Stage, seat: HiddenSeat, camera: Camera, grid: int) -> float:
    """Return how much of the outline the cut brings to light, less where it is a sliver of the part only."""
    made = {m.key: m for m in opened(stage, seat)}
    near = Camera(camera.view, _vec(seat.centre), 2.0 * seat.radius_mm, 1.0)
    subject = [k + SUFFIX for k in seat.subject if k + SUFFIX in made]
    places = {k: seat.places[k.removesuffix(SUFFIX)] for k in made}
    if not subject:
        return 0.0
    stage.add_models(made.values())
    try:
        ids = stage.ids(places, near, grid)
        alone = stage.mask({k: places[k] for k in subject}, near, grid)
    finally:
        stage.remove_models()
    area = float(ids.mask(subject).sum()) / max(1, int(alone.sum()))
    return min(outline_seen(made, ids, places, subject, near), area / LEAST_AREA * SHOWN)


def hidden_aim(stage: Stage, scene: StepScene, aim: Aim, camera: Camera, grid: int) -> HiddenSeat | None:
    """Return the cut that brings a surface out of sight to light, None where none does."""
    models = stage.models
    model, place = models.parts[aim.part], scene.places[aim.part]
    points = place.points(spots_of(model, aim.surface).points)
    if not len(points):
        return None
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    radius = float(np.linalg.norm(points - centre, axis=1).max())
    if radius > LARGEST * models.extent_mm:
        return None
    reach = max(ROUND * radius, LEAST_REACH * models.extent_mm)
    seat = cut_round(models, scene.parts, (aim.part,), centre, reach, camera.view)
    near = seat.places
    made = {m.key: m for m in opened(stage, seat)}
    key = aim.part + SUFFIX
    if key not in made:
        return None
    close = Camera(camera.view, _vec(centre), 2.0 * reach, 1.0)
    stage.add_models(made.values())
    try:
        ids = stage.ids({k: near[k.removesuffix(SUFFIX)] for k in made}, close, grid)
    finally:
        stage.remove_models()
    return seat if sight_of(made[key], aim.surface, place, ids, close).worth > SHOWN / 2 else None


def cut_round(
    models: PartModels,
    places: Mapping[str, Place],
    subject: tuple[str, ...],
    centre: Floats,
    reach: float,
    view: View,
) -> HiddenSeat:
    """Return the cut through ``centre`` (3,) mm that opens what stands within ``reach`` mm of it towards the eye."""
    near = {k: p for k, p in places.items() if _is_near(models.parts[k], p, centre, 1.3 * reach)}
    plane = CuttingPlane(_vec(centre), _vec(_towards_eye(view, models)), models.front)
    return HiddenSeat(subject, near, plane, centre, reach)


def opened(stage: Stage, seat: HiddenSeat) -> list[PartModel]:
    """Return the models of :func:`cut_open`, remembered by ``stage``."""
    centre = tuple(seat.centre.tolist())
    key = ("cut", seat.subject, tuple(seat.places.items()), seat.plane, centre, seat.radius_mm)
    return stage.memory.of(key, lambda: cut_open(stage.models, seat), _size_of)


def _size_of(made: list[PartModel]) -> int:
    return sum(m.mesh.points.nbytes + m.mesh.normals.nbytes + m.mesh.triangles.nbytes for m in made)


def cut_open(models: PartModels, seat: HiddenSeat) -> list[PartModel]:
    """Return the models of the cut-away, under their keys with :data:`SUFFIX`."""
    spacing = HATCH_SHARE * 2.2 * seat.radius_mm * 2.0
    order = list(models.parts)
    made = []
    for key, place in seat.places.items():
        cut = cut_model(models.parts[key], place, seat.plane, spacing, order.index(key), key + SUFFIX)
        if cut is not None:
            made.append(cut)
    return made


def _towards_eye(view: View, models: PartModels) -> Floats:
    """Return the direction across the front direction, along the reader's right or up, that faces the eye most."""
    front, up = np.array(models.front), np.array(models.up)
    right = np.cross(up, front)
    eye = view.axes[2]
    candidates = [right, -right, up, -up]
    return candidates[int(np.argmax([float(c @ eye) for c in candidates]))]


def _is_near(model: PartModel, place: Place, centre: Floats, reach: float) -> bool:
    low, high = model.box(place)
    return float(np.linalg.norm(centre - np.clip(centre, low, high))) < reach


def _vec(v: Floats) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])
