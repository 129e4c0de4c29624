"""The exploded layout: how far each layer of parts is drawn out along the shafts so that none covers another.

Layers are set in order along the axis, each slid out in the picture until it is clear of those before it, by their true
outlines and not by boxes; then the run is folded into rows so that it fills the frame. Twins stay in one row, and pins
and screws on axes of their own in that of the part they stand in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ..engine.camera import Camera, View, fit_camera, make_view
from ..engine.part_models import PartModel, PartModels
from ..engine.stage import Stage
from .explode_axes import axis_lines, hosts_of, kept_with_previous
from .explode_rows import Rows, fold_into_rows
from .layer_outlines import slide_apart
from .layers import Layer, make_layers

AIR_SHARE, ROW_AIR = 0.028, 1.6
"""Air between layers in the picture, as a share of the assembly's extent, and that between rows as a multiple of it."""
SMALL = 0.07
"""A kind none of whose parts is wider or higher than this share of the overview's width is drawn larger beside it."""
LEAST_UNIT = 3
"""So many kinds at least make a unit of their own."""
CLEAR_OF_LARGEST = 1.2
"""Axes of a unit lie no farther from that of its largest part than this multiple of half its diagonal across them."""
HOME_MARGIN, MARGIN = 0.02, 0.03
"""Margin round the assembled parts where outlines are taken, and round the exploded ones."""


@dataclass(frozen=True)
class Exploded:
    """The layout: a place for every part, the camera that holds it, and the lines that tie parts on one axis."""

    places: Mapping[str, Place]
    camera: Camera
    layers: tuple[Layer, ...]
    rows: tuple[tuple[int, int], ...]
    """First and one past the last layer of each row."""
    shifts: tuple[Vec3, ...]
    axes: tuple[Floats, ...]
    """Axis lines, (2, 3) float64 mm each."""


def overview_view(models: PartModels) -> View:
    """Return the view of overviews: the front direction runs to the right and a little down."""
    return make_view("front left, from above", -58.0, 20.0, models.front, models.up)


def explode(
    stage: Stage,
    aspect: float,
    together: Sequence[str] = (),
    view: View | None = None,
) -> Exploded:
    """Return the exploded layout of the stage's models for a frame of ``aspect``, flatter where the layout is flat.

    ``together`` are parts that are not taken apart; ``view`` is that of overviews if left out.
    """
    models = stage.models
    view = view or overview_view(models)
    layers = make_layers(stage, view, together)
    home = {m.key: m.place for m in models}
    camera = fit_camera(view, _all_points(models, home), 1.0, HOME_MARGIN)
    air_mm = AIR_SHARE * models.extent_mm
    slides = slide_apart(stage, layers, home, camera, air_mm)
    hosts = hosts_of(models, layers)
    rows = fold_into_rows(slides, aspect, ROW_AIR * air_mm, kept_with_previous(models, layers, hosts))
    shifts = _shifts(models, view, slides.slid_mm, rows)
    shift_of = {key: shift for layer, shift in zip(layers, shifts, strict=True) for key in layer.keys}
    places = {k: home[k].moved(*shift_of[k]) for k in models.parts}
    return Exploded(
        places,
        _fit_frame(view, _all_points(models, places), aspect, MARGIN),
        layers,
        rows.ranges,
        shifts,
        axis_lines(models, layers, rows.ranges, places, hosts),
    )


def _all_points(models: PartModels, places: Mapping[str, Place]) -> Floats:
    return np.concatenate([places[m.key].points(m.mesh.joined_points) for m in models])


def _shifts(models: PartModels, view: View, slid_mm: Sequence[float], rows: Rows) -> tuple[Vec3, ...]:
    """Return how far each layer is drawn out in the end, mm."""
    front = np.array(models.front)
    shifts: list[Vec3] = []
    for (begin, end), (right, down) in zip(rows.ranges, rows.shifts_mm, strict=True):
        row = right * view.axes[0] - down * view.axes[1]
        for n in range(begin, end):
            s = front * (slid_mm[n] - slid_mm[begin]) + row
            shifts.append((float(s[0]), float(s[1]), float(s[2])))
    return tuple(shifts)


def _fit_frame(view: View, points: Floats, aspect: float, margin: float) -> Camera:
    """Return the camera that holds ``points``, its frame no higher than they need and not higher than ``aspect``."""
    camera = fit_camera(view, points, aspect, margin)
    span = np.ptp(points @ view.axes.T, axis=0)
    needed = float(span[1]) + 2.0 * margin * camera.width_mm
    if needed >= camera.height_mm:
        return camera
    return replace(camera, height_mm=needed, aspect=camera.width_mm / needed)


def small_units(models: PartModels, sizes: Mapping[str, float]) -> tuple[tuple[str, ...], ...]:
    """Return the parts to draw larger beside the overview, one of each small kind: one unit, or two that lie apart.

    ``sizes`` are the greater sides of parts in the overview, as shares of its width. Along the front direction a unit
    ends where the widest gap between neighbours is; none is of fewer than :data:`LEAST_UNIT` kinds.
    """
    front = np.array(models.front)
    kinds: dict[str, list[str]] = {}
    for key, model in models.parts.items():
        kinds.setdefault(model.kind, []).append(key)
    level = {k: float(np.mean(models.parts[k].box(), axis=0) @ front) for k in models.parts}
    small = [keys[0] for keys in kinds.values() if max(sizes[k] for k in keys) < SMALL]
    small.sort(key=lambda k: (level[k], k))
    if len(small) < LEAST_UNIT:
        return ()
    cuts = range(LEAST_UNIT, len(small) - LEAST_UNIT + 1)
    cut = max(cuts, key=lambda n: level[small[n]] - level[small[n - 1]], default=len(small))
    return tuple(tuple(k for k in models.parts if k in unit) for unit in (small[:cut], small[cut:]) if unit)


def some_of(models: PartModels, parts: Iterable[PartModel]) -> PartModels:
    """Return models of some parts of an assembly, in the shapes given, to lay out by themselves.

    Those on axes far from that of the largest are brought as near to it as leaves them clear: a nut out on a stud would
    leave the rest no room.
    """
    some = {m.key: m for m in parts}
    front = np.array(models.front)
    largest = max(some.values(), key=lambda m: m.mesh.volume_mm3)
    size = np.ptp(largest.box(), axis=0)
    near = CLEAR_OF_LARGEST * float(np.linalg.norm(size - front * float(size @ front))) / 2.0
    for key, model in some.items():
        apart = np.mean(model.box(), axis=0) - np.mean(largest.box(), axis=0)
        apart = apart - front * float(apart @ front)
        far = float(np.linalg.norm(apart))
        if far > near:
            some[key] = replace(model, place=model.place.moved(*((near / far - 1.0) * apart).tolist()))
    boxes = [m.box() for m in some.values()]
    extent = float((np.max([b[1] for b in boxes], axis=0) - np.min([b[0] for b in boxes], axis=0)).max())
    return PartModels(models.name, some, models.up, models.front, extent)
