"""Motion for viewers: every step of a plan as a node animation in the glTF binary of its assembly.

An animation begins as the step does: parts stand as the turned shafts left them. Then what the step moves travels, and
after that its shafts turn.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ...geometry.frame import Floats, Place
from ...sequences.steps.plan import Plan, Step
from ..composition.drawn_travel import DrawnTravel
from ..engine.part_models import PartModels

SLIDE_S = 1.6
"""Time of one travel, however long: slow enough to follow, short enough to watch forty of them."""
REST_S = 0.4
"""Rest before and after, so that a viewer that loops does not jump."""
MOST_TURN_DEG = 60.0
"""Widest turn between two keys: a viewer takes the short way round, so half a turn would be ambiguous."""
Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
"""From the head's frame (Z along the shafts) to that of glTF, as the CAD kernel turns it."""

GLB, JSON_CHUNK, BIN_CHUNK = 0x46546C67, 0x4E4F534A, 0x004E4942
FLOAT, SCALAR, VEC3, VEC4 = 5126, "SCALAR", "VEC3", "VEC4"
Track = list[tuple[float, Place]]
"""Where a part is at which second."""


class MotionError(ValueError):
    """A glTF binary that is not one of this assembly."""


@dataclass
class _Binary:
    """A glTF binary taken apart."""

    scene: dict[str, Any]
    data: bytearray
    nodes: dict[str, int] = field(default_factory=dict)

    def add(self, values: Floats, kind: str) -> int:
        """Store ``values`` as float32 and return the number of their accessor."""
        packed = np.ascontiguousarray(values, dtype="<f4")
        start = len(self.data)
        self.data += packed.tobytes()
        views, accessors = self.scene["bufferViews"], self.scene["accessors"]
        views.append({"buffer": 0, "byteOffset": start, "byteLength": packed.nbytes})
        accessor: dict[str, Any] = {
            "bufferView": len(views) - 1, "componentType": FLOAT, "count": len(packed), "type": kind,
        }  # fmt: skip
        if kind == SCALAR:
            accessor |= {"min": [float(packed.min())], "max": [float(packed.max())]}
        accessors.append(accessor)
        return len(accessors) - 1


def animate(
    glb: bytes, plan: Plan, models: PartModels, travels: Callable[[Step], Iterable[DrawnTravel]]
) -> bytes:
    """Return ``glb`` with one animation for each step, named by number and title.

    In an animation the parts of the step travel as in the step's picture; parts that are not there yet (or no longer)
    are shrunk to nothing, which every viewer understands. What turns with the shafts stands as the steps before left
    it, and turns on in a step that turns them.

    Args:
        glb: one node a part, named by the part's key, metres, Y up (:func:`.write_glb`).
        plan: the steps.
        models: all parts of the assembly, and what turns with its shafts.
        travels: how each step's moves are drawn, as :func:`..composition.drawn_travel.drawn_travels` gives it.

    Raises:
        MotionError: if ``glb`` is no glTF binary, or lacks a node of a part.
    """
    binary = _open(glb)
    missing = [k for k in models.parts if k not in binary.nodes]
    if missing:
        raise MotionError(f"the glTF binary has no node for {', '.join(missing[:5])}")
    start = binary.add(np.zeros(1), SCALAR)
    animations = []
    for step in plan.steps:
        channels = _Channels(binary)
        _show(channels, step, models, start)
        tracks = _tracks(step, models, list(travels(step)))
        for key, track in tracks.items():
            channels.places(key, track)
        standing = models.places_at(step.stands_at_deg)
        for key in _there(step, models):
            if key not in tracks and standing[key] != models.parts[key].place:
                channels.places(key, [(0.0, standing[key])])
        animations.append({"name": f"{step.number} {step.title}", **channels.as_json()})
    if animations:
        binary.scene["animations"] = animations
    return _close(binary)


def _there(step: Step, models: PartModels) -> list[str]:
    """Return the parts that a step shows."""
    shown = {*step.present, *step.moving, *step.focus}
    return [k for k in models.parts if k in shown]


class _Channels:
    """The channels of one animation."""

    def __init__(self, binary: _Binary) -> None:
        self._binary = binary
        self._samplers: list[dict[str, Any]] = []
        self._channels: list[dict[str, Any]] = []

    def add(self, key: str, path: str, times: int, values: int, interpolation: str = "LINEAR") -> None:
        self._samplers.append({"input": times, "output": values, "interpolation": interpolation})
        node = self._binary.nodes[key]
        self._channels.append({"sampler": len(self._samplers) - 1, "target": {"node": node, "path": path}})

    def places(self, key: str, track: Track) -> None:
        """Animate a part's place along ``track``; one of a single stop holds it there."""
        way = "LINEAR" if len(track) > 1 else "STEP"
        clock = self._binary.add(np.array([t for t, _ in track]), SCALAR)
        shifts = np.array([Y_UP @ np.array(p.shift) / 1000 for _, p in track])
        self.add(key, "translation", clock, self._binary.add(shifts, VEC3), way)
        turns = np.array([quaternion(p) for _, p in track])
        for n in range(1, len(turns)):  # the same turn has two signs; neighbours must have the nearer one
            if turns[n] @ turns[n - 1] < 0:
                turns[n] = -turns[n]
        self.add(key, "rotation", clock, self._binary.add(turns, VEC4), way)

    def scale(self, key: str, times: int, values: int) -> None:
        self.add(key, "scale", times, values, "STEP")

    def as_json(self) -> dict[str, Any]:
        return {"samplers": self._samplers, "channels": self._channels}


def quaternion(place: Place) -> Floats:
    """Return the turn of ``place`` as glTF has it: (4,) float64 x, y, z, w in the frame with Y up.

    >>> quaternion(Place.turn(90.0)).round(6).tolist()
    [0.0, 0.707107, 0.0, 0.707107]
    """
    return unit_quaternion(Y_UP @ np.array(place.rotation) @ Y_UP.T)


def unit_quaternion(r: Floats) -> Floats:
    """Return the proper rotation ``r`` (3, 3) as a unit quaternion, (4,) float64 x, y, z, w.

    >>> unit_quaternion(np.array(Place.turn(90.0).rotation)).round(6).tolist()
    [0.0, 0.0, 0.707107, 0.707107]
    """
    # The largest of the four squares is the safe one to divide by (Shepperd, 1978).
    squares = np.array(
        [
            1 + 2 * r[0, 0] - np.trace(r),
            1 + 2 * r[1, 1] - np.trace(r),
            1 + 2 * r[2, 2] - np.trace(r),
            1 + np.trace(r),
        ]
    )
    n = int(np.argmax(squares))
    if n == 3:
        q = np.array([r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1], squares[3]])
    else:
        i, j, k = n, (n + 1) % 3, (n + 2) % 3
        q = np.zeros(4)
        q[i], q[j], q[k], q[3] = squares[n], r[i, j] + r[j, i], r[i, k] + r[k, i], r[k, j] - r[j, k]
    unit: Floats = q / np.linalg.norm(q) + 0.0
    return unit


def _show(channels: _Channels, step: Step, models: PartModels, clock: int) -> None:
    there = set(_there(step, models))
    binary = channels._binary
    values = {True: binary.add(np.ones((1, 3)), VEC3), False: binary.add(np.zeros((1, 3)), VEC3)}
    for key in models.parts:
        channels.scale(key, clock, values[key in there])


def _tracks(step: Step, models: PartModels, travels: list[DrawnTravel]) -> dict[str, Track]:
    """Return the track of each part that travels or turns in ``step``; all end at the same second."""
    turns = step.shaft_turn_deg if models.turning and not step.bench else 0.0
    begin_turn = REST_S + (SLIDE_S if travels else 0.0)
    end = begin_turn + (SLIDE_S if turns else 0.0) + REST_S
    tracks: dict[str, Track] = {}
    for number, travel in enumerate(travels):
        # One move after the other, each in its share of the time.
        share = SLIDE_S / len(travels)
        begin = REST_S + number * share
        marks = _marks(travel)
        for key in travel.seats:
            stops = [(begin + m * share, travel.place_after(key, m)) for m in marks]
            tracks[key] = [(0.0, stops[0][1]), *stops]
    if turns:
        _turn(tracks, step, models, begin_turn)
    for track in tracks.values():
        track.append((end, track[-1][1]))
    return tracks


def _turn(tracks: dict[str, Track], step: Step, models: PartModels, begin: float) -> None:
    """Turn what turns with the shafts from where it stands, parts that the step has fitted too."""
    count = max(1, math.ceil(abs(step.shaft_turn_deg) * _fastest(models) / MOST_TURN_DEG))
    before = step.stands_at_deg
    poses = [models.places_at(before + step.shaft_turn_deg * n / count) for n in range(count + 1)]
    leaving = {k for m in step.moves if not m.into for k in m.parts}
    there = set(_there(step, models)) - leaving
    for key in (k for group in models.turning for k in group.parts if k in there):
        track = tracks.setdefault(key, [(0.0, poses[0][key])])
        if track[-1][0] < begin - 1e-6:  # a viewer takes each second once
            track.append((begin, poses[0][key]))
        track += [(begin + SLIDE_S * n / count, poses[n][key]) for n in range(1, count + 1)]


def _fastest(models: PartModels) -> float:
    return max(abs(group.ratio) for group in models.turning)


def _marks(travel: DrawnTravel) -> list[float]:
    """Return the shares of the time of a travel at which a place is stored: at each bend, and often in a turn."""
    total = sum(travel.times) or 1.0
    marks, begin = {0.0, 1.0}, 0.0
    for time, turn_deg in zip(travel.times, travel.turns_deg, strict=True):
        parts = max(1, math.ceil(abs(turn_deg) / MOST_TURN_DEG))
        marks |= {(begin + time * n / parts) / total for n in range(parts)}
        begin += time
    return sorted({round(m, 9) for m in marks})


def _open(glb: bytes) -> _Binary:
    if len(glb) < 28 or struct.unpack("<II", glb[:8]) != (GLB, 2):
        raise MotionError("not a glTF 2 binary")
    size = struct.unpack("<I", glb[12:16])[0]
    scene = json.loads(glb[20 : 20 + size])
    start = 28 + size
    data = bytearray(glb[start : start + struct.unpack("<I", glb[20 + size : 24 + size])[0]])
    data += b"\0" * (-len(data) % 4)
    nodes = {n["name"]: i for i, n in enumerate(scene["nodes"]) if "mesh" in n}
    return _Binary(scene, data, nodes)


def _close(binary: _Binary) -> bytes:
    binary.scene["buffers"][0]["byteLength"] = len(binary.data)
    text = json.dumps(binary.scene, separators=(",", ":"), ensure_ascii=False).encode("utf-8")
    text += b" " * (-len(text) % 4)
    data = bytes(binary.data) + b"\0" * (-len(binary.data) % 4)
    whole = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        [
            struct.pack("<III", GLB, 2, whole),
            struct.pack("<II", len(text), JSON_CHUNK), text,
            struct.pack("<II", len(data), BIN_CHUNK), data,
        ]
    )  # fmt: skip
