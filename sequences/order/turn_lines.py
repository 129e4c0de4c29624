"""Lines about which a person would turn a part, as the solids suggest them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...geometry.frame import Place, Vec3, X, Y, Z, unit
from ...geometry.meshes.face_axes import round_axes
from ...geometry.meshes.overlaps import Box, boxes_meet
from .paths import STILL, Ways, box_round

MOST_LINES = 6
"""Lines about which a part is turned."""
_NEAR_MM = 0.05


@dataclass(frozen=True)
class TurnLine:
    """A line to turn about, in the assembly's frame: ``rides`` with the part that moves, or stands still."""

    about: Vec3
    axis: Vec3
    rides: bool

    def carried(self, motion: Place) -> TurnLine:
        """Return the line after the parts have made a motion."""
        if not self.rides:
            return self
        return TurnLine(_told(motion.point(self.about)), _snapped(motion.direction(self.axis)), True)


def turn_lines(
    ways: Ways, movers: Sequence[str], fixed: Iterable[str], poses: Mapping[str, Place]
) -> list[TurnLine]:
    """Return lines to turn about, likeliest first: round faces of the movers, their own axis, round faces of what they
    lie against, and lines through their middle."""
    parts = ways.bodies.assembly.parts
    low, high = box = box_round(ways, movers, poses)
    near = [k for k in fixed if boxes_meet(box, ways.bodies.box(k, "core", poses.get(k, STILL)), 0.5)]
    weighed: dict[TurnLine, float] = {}
    for keys, rides in ((movers, True), (near, False)):
        for key in keys:
            place = poses.get(key, STILL) @ parts[key].place
            for point, d, area in round_axes(parts[key].solid):
                line = TurnLine(place.point(point), _snapped(place.direction(d)), rides)
                same = next((k for k in weighed if _same(k, line)), line)
                weighed[same] = weighed.get(same, 0.0) + area
    ordered = sorted((k for k in weighed if k.rides), key=lambda k: -weighed[k])[: MOST_LINES - 2]
    lead = max(movers, key=lambda k: (parts[k].volume_mm3, k))
    own = poses.get(lead, STILL) @ parts[lead].place
    middle = ((low + high) / 2).tolist()
    more = [TurnLine(own.shift, _snapped(own.direction(Z)), True)]
    more += sorted((k for k in weighed if not k.rides), key=lambda k: -weighed[k])
    front = unit(ways.bodies.assembly.front)
    more += [TurnLine((middle[0], middle[1], middle[2]), a, True) for a in (_snapped(front), Z, Y, X)]
    for line in more:
        if all(not _same(line, k) for k in ordered) and _passes(line, box):
            ordered.append(line)
    return [TurnLine(_told(k.about), k.axis, k.rides) for k in ordered[:MOST_LINES]]


def _snapped(d: Vec3) -> Vec3:
    """Return a direction with the noise of figures taken off, as it points along +Z, +Y or +X."""
    r = [round(c, 9) + 0.0 for c in d]
    big = max(range(3), key=lambda i: abs(r[i]))
    if abs(r[big]) > 1 - 1e-9:
        r = [float(i == big) for i in range(3)]
    elif next(c for c in reversed(r) if abs(c) > 1e-6) < 0:
        r = [-c + 0.0 for c in r]
    return unit((r[0], r[1], r[2]))


def _told(p: Vec3) -> Vec3:
    """Return a point as files tell it."""
    return (round(p[0], 6) + 0.0, round(p[1], 6) + 0.0, round(p[2], 6) + 0.0)


def _same(a: TurnLine, b: TurnLine) -> bool:
    if abs(float(np.dot(a.axis, b.axis))) < 1 - 1e-6:
        return False
    off = np.subtract(a.about, b.about)
    return float(np.linalg.norm(np.cross(off, a.axis))) < _NEAR_MM


def _passes(line: TurnLine, box: Box) -> bool:
    """Return whether a line comes by within the size of a box."""
    middle, size = (box[0] + box[1]) / 2, float(np.linalg.norm(box[1] - box[0]))
    return float(np.linalg.norm(np.cross(middle - np.array(line.about), line.axis))) <= size
