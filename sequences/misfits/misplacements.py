"""Credible wrong placements of the parts of a move, from their shape, their features and their twins.

People turn a part end for end, fit it turned round its axis, put it on the other side, take the part that looks
like it, forget it, or fit a second one. Each is a :class:`Misplacement`: where the parts would be, before the solids
are asked whether they get there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...geometry.assembly import Part
from ...geometry.frame import Floats, Place, Vec3, X, Y, Z
from ...geometry.meshes.overlaps import Bodies
from ..steps.claims import MistakeKind

NEAR_SIZE = 0.2
"""Parts whose sorted box sides differ by less than this share look alike in a tray."""
MOST_TURNS = 4
SMALL_SHARE = 0.03
"""Share of the assembly's volume under which a part can be forgotten or taken twice."""
_AXES: dict[str, Vec3] = {"x": X, "y": Y, "z": Z}
_SQUARE = 1.15
"""How many times as wide or as high an outline may be once turned and still look the same."""


@dataclass(frozen=True)
class Misplacement:
    """One way to fit the parts of a move wrong.

    ``motion`` carries each part from its right place to where the mistake aims, in the assembly's frame. ``other``
    names the part that is taken instead (swapped; ``motion`` then carries that one), or the twin (other side).
    """

    kind: MistakeKind
    motion: Place
    about: Literal["", "x", "y", "z"] = ""
    """Own axis about which the parts are turned by ``turn_deg``."""
    turn_deg: float = 0.0
    other: str = ""

    @property
    def mistake(self) -> tuple[MistakeKind, str, float, str]:
        """What the mistake is, wherever it is tried: about an axis through either of two centres."""
        return (self.kind, self.about, self.turn_deg, self.other)


def misplacements_of(bodies: Bodies, keys: Sequence[str], lead: str, whole: bool) -> list[Misplacement]:
    """Return the credible mistakes with parts that travel together.

    Args:
        bodies: of the assembly.
        keys: the parts.
        lead: the one whose axis they turn about.
        whole: whether they can be forgotten or doubled; a built unit is noticed.
    """
    parts = bodies.assembly.parts
    part = parts[lead]
    place = part.place
    low, high = _own_box(bodies, keys, place)
    middle = _on_axis((low + high) / 2, high - low)
    centres = [middle]
    if (middle[0] or middle[1]) and all(a <= 0 <= b for a, b in zip(low[:2], high[:2], strict=True)):
        centres.append((0.0, 0.0, middle[2]))  # a lever is turned about its hole
    found: list[Misplacement] = []

    def turn(kind: MistakeKind, about: Literal["x", "y", "z"], angle: float) -> None:
        for centre in centres:
            motion = place @ Place.turn(angle, _AXES[about], centre) @ place.inverse()
            if all(not _same_motion(motion, m.motion) for m in found):
                found.append(Misplacement(kind, motion, about, angle))

    group = [parts[k] for k in keys]
    # What is screwed in, and a soft ring or spring that nothing holds at an angle, lies as it falls.
    held = not part.thread and not all(p.elastic and not _angles_of(p, part, middle) for p in group)
    if held:
        turn("half turn", "z", 180.0)
    turn("end for end", "x", 180.0)
    if held:
        turn("end for end", "y", 180.0)
        outline = _outline(bodies, keys, place, middle)
        for angle in _part_turns(group, part, middle, outline):
            turn("part turn", "z", angle)
    found += _other_side(bodies, keys, part)
    if len(keys) == 1:
        found += _look_alikes(bodies, part)
    if whole:
        if _could_be_forgotten(bodies, part):
            found.append(Misplacement("left out", Place()))
        if _could_be_doubled(bodies, part):
            found.append(Misplacement("fitted twice", Place()))
    return found


def _own_box(bodies: Bodies, keys: Iterable[str], place: Place) -> tuple[Floats, Floats]:
    """Return the box round ``keys`` along the axes of ``place``."""
    to_own = place.inverse()
    points = []
    for key in keys:
        body = bodies.own(key)
        points.append((to_own @ bodies.assembly.part(key).place).points(body.points))
    both = np.concatenate(points)
    return both.min(axis=0), both.max(axis=0)


def _on_axis(middle: Floats, size: Floats) -> Vec3:
    """Return the point to turn about: on the own axis where the part lies about it, else in the box's middle."""
    near = 0.15 * float(max(size[0], size[1]))
    x, y = (0.0 if abs(float(c)) < near else float(c) for c in middle[:2])
    return (x, y, float(middle[2]))


def _same_motion(a: Place, b: Place) -> bool:
    return bool(np.allclose(a.matrix(), b.matrix(), atol=1e-6))


def _outline(bodies: Bodies, keys: Iterable[str], place: Place, middle: Vec3) -> Floats:
    """Return the corners of the hull of ``keys`` seen along the own Z axis, from ``middle``, (n, 2) float64 mm."""
    import shapely

    to_own = place.inverse()
    flat = np.concatenate(
        [(to_own @ bodies.assembly.part(k).place).points(bodies.own(k).points)[:, :2] for k in keys]
    )
    hull: Floats = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(flat)))
    hull -= np.array(middle[:2])
    return hull


def _looks_alike_turned(outline: Floats, angle_deg: float) -> bool:
    """Return whether an outline turned by an angle is nearly as wide and as high as before: else anyone sees it."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    before, after = np.ptp(outline, axis=0), np.ptp(outline @ np.array([[c, s], [-s, c]]), axis=0)
    return bool((np.abs(after - before) < (_SQUARE - 1) * np.minimum(before, after)).all())


def _angles_of(part: Part, lead: Part, middle: Vec3) -> list[tuple[tuple[str, str], float]]:
    """Return the kinds of a part's features off the axis, each with where it lies about it, degrees."""
    own = lead.place.inverse() @ part.place
    found = []
    for f in part.features:
        x, y, _ = own.point(f.origin)
        d = own.direction(f.direction)
        radius, out = math.hypot(x - middle[0], y - middle[1]), math.hypot(d[0], d[1])
        if radius > 0.5:
            found.append(((f.kind, f.mates), math.degrees(math.atan2(y - middle[1], x - middle[0]))))
        elif out > 0.5:
            found.append(((f.kind, f.mates), math.degrees(math.atan2(d[1], d[0]))))
    return found


def _part_turns(group: Sequence[Part], lead: Part, middle: Vec3, outline: Floats) -> list[float]:
    """Return angles at which some of the parts' features repeat, and a quarter, where the outline is much the same."""
    angles: dict[tuple[str, str], list[float]] = {}
    for part in group:
        for kind, angle in _angles_of(part, lead, middle):
            angles.setdefault(kind, []).append(angle)
    found: set[float] = {90.0}
    for several in angles.values():
        for a in several:
            for b in several:
                pitch = round((b - a) % 360.0, 3)
                if 1.0 < pitch < 359.0:
                    found.add(pitch)
    found.discard(180.0)
    return [a for a in sorted(found) if _looks_alike_turned(outline, a)][:MOST_TURNS]


def _other_side(bodies: Bodies, keys: Sequence[str], part: Part) -> list[Misplacement]:
    """Return the move at its twin's place: as it is, and turned as the twin is where that differs."""
    twins = [p for p in bodies.assembly.of_kind(part.kind) if p.side and part.side and p.side != part.side]
    if not twins or any(bodies.assembly.part(k).side is None for k in keys):
        return []
    twin = min(twins, key=lambda p: math.dist(p.place.shift[1:], part.place.shift[1:]))
    shift = np.array(twin.place.shift) - np.array(part.place.shift)
    as_it_is = Place.at(*shift)
    found = []
    if not np.allclose(twin.place.rotation, part.place.rotation, atol=1e-6):
        found.append(Misplacement("other side", as_it_is, other=twin.key))
    if twin.solid is not part.solid and len(keys) == 1:
        motion = part.place @ twin.place.inverse()
        found.append(Misplacement("swapped", motion, other=twin.key))
    return found


def _look_alikes(bodies: Bodies, part: Part) -> list[Misplacement]:
    """Return the nearest part in size put in this one's place, if it is near enough to be mistaken for it."""
    mine = _sides(bodies, part.key)
    near: dict[int, tuple[float, Part]] = {}
    for other in bodies.assembly:
        if (
            other.solid is part.solid
            or (other.elastic is None) != (part.elastic is None)
            or other.key == part.key
        ):
            continue
        if other.thread != part.thread or (part.elastic and other.material != part.material):
            continue
        if other.kind == part.kind and other.side and part.side and other.side != part.side:
            continue
        theirs = _sides(bodies, other.key)
        differ = float(np.max(np.abs(theirs - mine) / np.maximum(theirs, mine)))
        if differ < NEAR_SIZE and (id(other.solid) not in near or differ < near[id(other.solid)][0]):
            near[id(other.solid)] = (differ, other)
    found = []
    for _, other in sorted(near.values(), key=lambda n: n[0])[:1]:
        a, b = _own_box(bodies, [part.key], part.place), _own_box(bodies, [other.key], other.place)
        level = float((a[0][2] + a[1][2]) / 2 - (b[0][2] + b[1][2]) / 2)
        motion = part.place @ Place.at(0, 0, level) @ other.place.inverse()
        found.append(Misplacement("swapped", motion, other=other.key))
    return found


def _sides(bodies: Bodies, key: str) -> Floats:
    low, high = bodies.own(key).points.min(axis=0), bodies.own(key).points.max(axis=0)
    sides: Floats = np.sort(high - low)
    return sides


def _could_be_doubled(bodies: Bodies, part: Part) -> bool:
    """Return whether a second one could be taken along unnoticed: thin rings, springs, small parts."""
    small = _could_be_forgotten(bodies, part)
    thin = float(_sides(bodies, part.key)[0]) < 0.35 * float(_sides(bodies, part.key)[1])
    return small and (thin or part.elastic is not None)


def _could_be_forgotten(bodies: Bodies, part: Part) -> bool:
    """Return whether a part is small beside the whole: nobody closes a machine without its cover."""
    return bool(bodies.own(part.key).manifold.volume() < SMALL_SHARE * bodies.volume_mm3)
