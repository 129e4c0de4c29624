"""Motion for viewers: every step of a plan as a node animation in the glTF binary of its assembly."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ...geometry.frame import Floats, Place
from ...sequences.steps.plan import Plan, Step
from ..composition.drawn_travel import DrawnTravel

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
PlacesAt = Callable[[float], Mapping[str, Place]]


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
    glb: bytes,
    plan: Plan,
    places: Mapping[str, Place],
    travels: Callable[[Step], Iterable[DrawnTravel]],
    places_at: PlacesAt | None = None,
) -> bytes:
    """Return ``glb`` with one animation for each step, named by number and title.

    In an animation the parts of the step travel as in the step's picture; parts that are not there yet (or no longer)
    are shrunk to nothing, which every viewer understands. Where the shafts turn, what turns with them turns.

    Args:
        glb: one node a part, named by the part's key, metres, Y up (:func:`.write_glb`).
        plan: the steps.
        places: place of every part of the assembly.
        travels: how each step's moves are drawn, as :func:`..composition.drawn_travel.drawn_travels` gives it.
        places_at: places of the turning parts at a shaft angle in degrees.

    Raises:
        MotionError: if ``glb`` is no glTF binary, or lacks a node of a part.
    """
    binary = _open(glb)
    missing = [k for k in places if k not in binary.nodes]
    if missing:
        raise MotionError(f"the glTF binary has no node for {', '.join(missing[:5])}")
    start = binary.add(np.zeros(1), SCALAR)
    animations = []
    angle = 0.0
    for step in plan.steps:
        turned = (angle, step.shaft_angle_deg)
        channels = _Channels(binary)
        _show(channels, step, places, start)
        _travel(channels, travels(step))
        if places_at is not None:
            _turn(channels, step, turned, places_at)
        angle = step.shaft_angle_deg
        animations.append({"name": f"{step.number} {step.title}", **channels.as_json()})
    if animations:
        binary.scene["animations"] = animations
    return _close(binary)


class _Channels:
    """The channels of one animation."""

    def __init__(self, binary: _Binary) -> None:
        self._binary = binary
        self._samplers: list[dict[str, Any]] = []
        self._channels: list[dict[str, Any]] = []
        self.taken: set[str] = set()
        """Parts whose place is animated; a node takes one channel a path."""

    def add(self, key: str, path: str, times: int, values: int, interpolation: str = "LINEAR") -> None:
        self._samplers.append({"input": times, "output": values, "interpolation": interpolation})
        node = self._binary.nodes[key]
        self._channels.append({"sampler": len(self._samplers) - 1, "target": {"node": node, "path": path}})

    def places(self, key: str, times: Floats, stops: list[Place]) -> None:
        """Animate a part's place through ``stops`` at ``times`` (n,) seconds."""
        self.taken.add(key)
        clock = self._binary.add(times, SCALAR)
        shifts = np.array([Y_UP @ np.array(p.shift) / 1000 for p in stops])
        self.add(key, "translation", clock, self._binary.add(shifts, VEC3))
        turns = np.array([quaternion(p) for p in stops])
        for n in range(1, len(turns)):  # the same turn has two signs; neighbours must have the nearer one
            if turns[n] @ turns[n - 1] < 0:
                turns[n] = -turns[n]
        self.add(key, "rotation", clock, self._binary.add(turns, VEC4))

    def scale(self, key: str, times: int, values: int) -> None:
        self.add(key, "scale", times, values, "STEP")

    def as_json(self) -> dict[str, Any]:
        return {"samplers": self._samplers, "channels": self._channels}


def quaternion(place: Place) -> Floats:
    """Return the turn of ``place`` as glTF has it: (4,) float64 x, y, z, w in the frame with Y up.

    >>> quaternion(Place.turn(90.0)).round(6).tolist()
    [0.0, 0.707107, 0.0, 0.707107]
    """
    r = Y_UP @ np.array(place.rotation) @ Y_UP.T
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


def _show(channels: _Channels, step: Step, places: Mapping[str, Place], clock: int) -> None:
    there = {*step.present, *step.moving, *step.focus}
    binary = channels._binary
    values = {True: binary.add(np.ones((1, 3)), VEC3), False: binary.add(np.zeros((1, 3)), VEC3)}
    for key in places:
        channels.scale(key, clock, values[key in there])


def _travel(channels: _Channels, travels: Iterable[DrawnTravel]) -> None:
    moving = list(travels)
    for number, travel in enumerate(moving):
        # One move after the other, each in its share of the time.
        share = SLIDE_S / len(moving)
        begin = REST_S + number * share
        marks = _marks(travel)
        times = np.array([0.0, *(begin + m * share for m in marks), SLIDE_S + 2 * REST_S])
        for key in travel.seats:
            stops = [travel.place_after(key, m) for m in (0.0, *marks, 1.0)]
            channels.places(key, times, stops)


def _marks(travel: DrawnTravel) -> list[float]:
    """Return the shares of the time of a travel at which a place is stored: at each bend, and often in a turn."""
    total = sum(travel.times) or 1.0
    marks, begin = {0.0, 1.0}, 0.0
    for time, turn_deg in zip(travel.times, travel.turns_deg, strict=True):
        parts = max(1, math.ceil(abs(turn_deg) / MOST_TURN_DEG))
        marks |= {(begin + time * n / parts) / total for n in range(parts)}
        begin += time
    return sorted({round(m, 9) for m in marks})


def _turn(channels: _Channels, step: Step, turned: tuple[float, float], places_at: PlacesAt) -> None:
    before, after = turned
    if before == after == 0.0:
        return
    count = max(1, math.ceil(abs(after - before) / MOST_TURN_DEG))
    poses = [places_at(before + (after - before) * n / count) for n in range(count + 1)]
    times = np.array([0.0, *(REST_S + SLIDE_S * n / count for n in range(count + 1)), SLIDE_S + 2 * REST_S])
    for key in poses[0]:
        if key in step.present and key not in channels.taken:
            channels.places(key, times, [poses[0][key], *(p[key] for p in poses), poses[-1][key]])


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
