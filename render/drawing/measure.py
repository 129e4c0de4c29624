"""Measuring what is seen: visible pixels, unhidden outline, boxes and anchors, from part-number pictures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Mesh
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.part_models import PartModels
from ..engine.stage import Stage
from .manifest import PartSeen, State

Mask = NDArray[np.bool_]
SLIVER, SPECK = 0.1, 0.0004
"""Less than this share of what a part shows by itself, and of the picture, is a sliver: nobody knows it by that."""
RIM = 3
"""How far inside a part its anchor lies where it can, cells of the grid."""


def outline(mask: Mask) -> Mask:
    """Return the pixels of ``mask`` (h, w) that touch something else or the border of the picture."""
    padded = np.pad(mask, 1)
    inner = padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
    return mask & ~inner


def values_at(grid: NDArray[Any], points: Floats) -> NDArray[Any]:
    """Return what ``grid`` (h, w) holds at ``points`` (n, 2 or more), fractions; beyond it as at its border."""
    height, width = grid.shape
    x = np.clip((points[:, 0] * width).astype(int), 0, width - 1)
    y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
    return np.asarray(grid[y, x])


def visible_outline(ids: Ids, alone: Mask, keys: Sequence[str]) -> float:
    """Return the share of the outline of ``alone`` (the parts drawn by themselves) that is seen in ``ids``.

    0 where the parts are out of frame or too small for the grid.
    """
    rows, columns = (np.flatnonzero(alone.any(axis=a)) for a in (1, 0))
    if not len(rows):
        return 0.0
    there = (slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1))
    line = outline(alone[there])
    return float((line & ids.window(*there).mask(keys)).sum() / line.sum())


def measure_visible(
    stage: Stage, ids: Ids, places: Mapping[str, Place], groups: Iterable[Sequence[str]], camera: Camera
) -> dict[str, float]:
    """Return for each part of ``groups`` the share of its group's outline that others leave unhidden."""
    width = ids.part.shape[1]
    found = {}
    for group in groups:
        alone = stage.mask({k: places[k] for k in group}, camera, width)
        share = visible_outline(ids, alone, group)
        found.update(dict.fromkeys(group, share))
    return found


def parts_seen(
    ids: Ids,
    states: Mapping[str, State],
    visible: Mapping[str, float],
    moved: Mapping[str, Vec3],
) -> dict[str, PartSeen]:
    """Return the manifest's account of every part in ``states``."""
    height, width = ids.part.shape
    flat = ids.part.ravel()
    taken = np.flatnonzero(flat >= 0)
    order = taken[np.argsort(flat[taken], kind="stable")]
    numbers = flat[order]
    seen = {}
    for index, key in enumerate(ids.keys):
        if key not in states:
            continue
        begin, end = np.searchsorted(numbers, [index, index + 1])
        spots = order[begin:end]
        anchor, box = None, None
        if len(spots):
            y, x = np.divmod(spots, width)
            box = (
                float(x.min() / width),
                float(y.min() / height),
                float((x.max() + 1) / width),
                float((y.max() + 1) / height),
            )
            anchor = _anchor(x, y, width, height)
        seen[key] = PartSeen(states[key], len(spots), visible.get(key), anchor, box, moved.get(key))
    return seen


def without_slivers(
    seen: Mapping[str, PartSeen], models: PartModels, places: Mapping[str, Place], ids: Ids, camera: Camera
) -> dict[str, PartSeen]:
    """Return ``seen`` without the anchors of parts of which a sliver is left: nobody would know what it is of.

    That is less than :data:`SLIVER` of what the part shows by itself, and less than :data:`SPECK` of the picture.
    """
    found = dict(seen)
    pixel_mm2 = camera.width_mm * camera.height_mm / ids.part.size
    for key, part in seen.items():
        if part.anchor is None or part.visible_px >= SPECK * ids.part.size:
            continue
        mesh, eye = models.parts[key].mesh, camera.view.axes[2]
        towards = places[key].inverse().direction((float(eye[0]), float(eye[1]), float(eye[2])))
        if part.visible_px * pixel_mm2 < SLIVER * _area_towards(mesh, np.array(towards)):
            found[key] = replace(part, anchor=None)
    return found


def _area_towards(mesh: Mesh, eye: Floats) -> float:
    """Return the area, mm2, of all that faces ``eye`` (3,), as seen from there; what covers itself counts twice."""
    a, b, c = (mesh.points[mesh.triangles[:, n]] for n in range(3))
    facing = np.cross(b - a, c - a) @ eye / 2.0
    return float(facing[facing > 0].sum())


def _anchor(x: NDArray[np.intp], y: NDArray[np.intp], width: int, height: int) -> tuple[float, float]:
    """Return a spot on the part, near the middle of what is seen and away from its rim where it can be."""
    inner = _away_from_rim(x, y)
    cx, cy = x.mean(), y.mean()
    x, y = x[inner], y[inner]
    best = int(np.argmin((x - cx) ** 2 + (y - cy) ** 2))
    return ((float(x[best]) + 0.5) / width, (float(y[best]) + 0.5) / height)


def _away_from_rim(x: NDArray[np.intp], y: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return which of the pixels at ``x``, ``y`` have most of their like about them, up to :data:`RIM` deep."""
    own = np.zeros((int(np.ptp(y)) + 3, int(np.ptp(x)) + 3), dtype=np.bool_)
    row, column = y - y.min() + 1, x - x.min() + 1
    own[row, column] = True
    inner = np.arange(len(x))
    for _ in range(RIM):
        own &= ~outline(own)
        left = np.flatnonzero(own[row, column])
        if not len(left):
            break
        inner = left
    return inner
