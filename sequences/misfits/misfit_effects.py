"""What is wrong with a part that went in wrong, read from the solids.

Where it bears and how far out, which elastic parts it presses, which of its mating features meet nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import manifold3d as m3
import numpy as np

from ...geometry.assembly import Feature, Part
from ...geometry.frame import Floats, Place
from ...geometry.meshes.overlaps import LEAST_VOLUME_MM3, Body, Box, boxes_meet, gap, offset
from ..order.order import TOUCH_MM
from .findings import Effect
from .insertion_trials import STAND_OFF_MM, Mover, Trial, trial_of
from .misplacements import Misplacement

SHIFT_MM = 0.06
"""Smaller shifts are within what the search for the seat can tell."""
FEATURE_MM = 2.0
"""A feature's origin lies within this of the box of what fills it."""
BEARING_MM2 = 2.0
"""Smaller areas of bearing are not judged."""
REACH_MM = 2.0
REACH_SHARE = 0.1
"""A part that reaches less further than this (mm, and share of its size) is not seen to point elsewhere."""
SHAPE_MM = 0.5
"""What lies elsewhere is seen to be another shape from this thickness on (twice its volume by its surface)."""
ANY_TURN_DEG = 15
PRESSED_SHARE = 0.005
"""A smaller share of an elastic part pressed aside is not judged; a lip presses about a hundredth of its ring."""
_PROBE_MM = 0.05
_HOLLOW = ("groove", "hole", "keyway", "pocket")
"""Features that a missing part leaves empty."""
_ABOUT_AXIS = ("bore", "journal", "thread", "groove", "pocket")
"""Features about an axis: turned about it they still meet."""


def what_is_wrong(
    trial: Trial, mistake: Misplacement, movers: Sequence[Mover], shift_mm: float
) -> list[Effect]:
    """Return what differs from the right way, the plainest first.

    ``movers`` are at rest, ``shift_mm`` further out than the right ones.
    """
    moved = {m.key for m in movers}
    shifted = abs(shift_mm) >= SHIFT_MM
    # What comes later follows a part that sits elsewhere: then only what is there already tells.
    around = [k for k in (trial.fixed if shifted else trial.others) if k not in moved]
    wrong = _bearing_changes(trial, movers, around)
    if shifted:
        wrong.append(Effect("sits proud" if shift_mm > 0 else "sits deep", mm=round(abs(shift_mm), 2)))
    wrong += _squeeze_changes(trial, movers, around)
    wrong += _feature_changes(trial, mistake, movers)
    if mistake.kind == "swapped":
        wrong += _ring_size(trial, trial.parts[mistake.other], trial.parts[trial.cluster[0]])
    return (
        wrong
        or _lost_neighbours(trial, movers, around)
        or _reach_changes(trial, movers)
        or _shape_changes(trial, mistake, movers)
    )


def _lost_neighbours(trial: Trial, movers: Sequence[Mover], around: Sequence[str]) -> list[Effect]:
    """Return which rigid neighbours rigid parts touch when they are right, and do not touch now."""
    parts, lost = trial.parts, list[Effect]()
    for mover, right in zip(movers, trial.right, strict=False):
        if mover.elastic:
            continue  # what presses it tells more
        near = trial.graph.touching[right.key]
        for k in (k for k in around if k in near and parts[k].elastic is None):
            apart = not boxes_meet(trial.moved_box(mover, "free"), trial.box(k), TOUCH_MM)
            if apart or gap(trial.moved(mover, "free"), trial.there(k), TOUCH_MM) >= TOUCH_MM:
                lost.append(Effect("neighbour unmet", (k,)))
    return list(dict.fromkeys(lost))


def _reach_changes(trial: Trial, movers: Sequence[Mover]) -> list[Effect]:
    """Return that a part which bears and drives as it should points elsewhere: a lever to the other side."""
    low, high = trial.bodies.box_of_all(trial.cluster)
    least = max(REACH_MM, REACH_SHARE * float(np.max(high - low)))
    for mover, right in zip(movers, trial.right, strict=False):
        if mover.key != right.key:
            continue
        box, was = trial.moved_box(mover, "free"), trial.moved_box(right, "free")
        further = max(float(np.max(was[0] - box[0])), float(np.max(box[1] - was[1])))
        if further > least:
            return [Effect("points elsewhere", mm=round(further, 1))]
    return []


def _shape_changes(trial: Trial, mistake: Misplacement, movers: Sequence[Mover]) -> list[Effect]:
    """Return that a part which bears and drives as it should is not the same that way: a port, a lip, a mark.

    What screws in stands at any angle, and an elastic ring may lie at any.
    """
    if mistake.kind not in ("half turn", "part turn", "end for end"):
        return []
    for mover, right in zip(movers, trial.right, strict=False):
        if trial.parts[right.key].thread:
            continue
        there = offset(trial.moved(right, "free"), 2 * trial.tolerance_mm)
        turns = range(0, 360, ANY_TURN_DEG) if mover.elastic else (0,)
        ways = (Mover(mover.key, mover.place @ Place.turn(deg), mover.elastic) for deg in turns)
        off = min((_elsewhere(trial.moved(m, "free") - there) for m in ways), default=0.0)
        if off > 0:
            return [Effect("other shape", mm3=round(off, 0))]
    return []


def _elsewhere(rest: m3.Manifold) -> float:
    """Return the volume (mm³) of the pieces thick enough to be seen, 0 where there is none."""
    pieces = [p for p in rest.decompose() if p.volume() > 0 and 2 * p.volume() > SHAPE_MM * p.surface_area()]
    return float(sum(p.volume() for p in pieces))


@dataclass(frozen=True)
class _Bearing:
    """How a part bears on a neighbour along the travel: area and mean radius about the travel's axis."""

    area_mm2: float
    radius_mm: float


def _bearing_changes(trial: Trial, movers: Sequence[Mover], around: Sequence[str]) -> list[Effect]:
    changes: list[Effect] = []
    for mover, right in zip(movers, trial.right, strict=False):
        box, was = trial.moved_box(mover, "free"), trial.moved_box(right, "free")
        for k in around:
            theirs = trial.box(k)
            if not (boxes_meet(box, theirs, 2 * _PROBE_MM) or boxes_meet(was, theirs, 2 * _PROBE_MM)):
                continue
            for sign in (-1.0, 1.0):
                change = _change(_bearing(trial, right, k, sign), _bearing(trial, mover, k, sign), k)
                if change and change not in changes:
                    changes.append(change)
    # Where it bears, told as a radius, says more than that it bears at all.
    return sorted(changes, key=lambda c: c.kind != "bears elsewhere")


def _bearing(trial: Trial, mover: Mover, other: str, sign: float) -> _Bearing:
    """Push the mover a hair along the travel and weigh what it presses into."""
    at = ("bearing", id(trial), mover, other, sign)
    known = trial.ways.memo.get(at)
    if not isinstance(known, _Bearing):
        known = trial.ways.memo[at] = _weigh(trial, mover, other, sign)
    return known


def _weigh(trial: Trial, mover: Mover, other: str, sign: float) -> _Bearing:
    pushed = Mover(mover.key, mover.place.moved(*(sign * _PROBE_MM * trial.out)), mover.elastic)
    pressed = trial.moved(pushed, "core") ^ trial.near(other)
    if pressed.is_empty() or pressed.volume() < LEAST_VOLUME_MM3:
        return _Bearing(0.0, 0.0)
    body = Body.of_manifold(pressed)
    middle = body.points[body.triangles].mean(axis=1) - np.array(trial.place(trial.lead).shift)
    weight: Floats = np.linalg.norm(body.facings, axis=1)
    off = middle - np.outer(middle @ trial.out, trial.out)
    radius = float(np.average(np.linalg.norm(off, axis=1), weights=weight))
    return _Bearing(float(pressed.volume()) / _PROBE_MM, radius)


def _change(before: _Bearing, after: _Bearing, other: str) -> Effect | None:
    """Return how bearing on ``other`` differs; figures as far as a push by a hair can tell them."""
    big = max(before.area_mm2, after.area_mm2)
    if big < BEARING_MM2:
        return None
    if after.area_mm2 < 0.1 * big:
        return Effect("bears no more", (other,))
    if before.area_mm2 < 0.1 * big:
        return Effect("bears wrongly", (other,))
    if abs(after.radius_mm - before.radius_mm) > max(0.3, 0.04 * before.radius_mm):
        now, right = round(after.radius_mm, 1), round(before.radius_mm, 1)
        return Effect("bears elsewhere", (other,), mm=now, right_mm=right)
    if after.area_mm2 < 0.6 * before.area_mm2:
        return Effect("bears less", (other,), percent=round(100 * after.area_mm2 / before.area_mm2, 0))
    return None


def _squeeze_changes(trial: Trial, movers: Sequence[Mover], around: Sequence[str]) -> list[Effect]:
    """Compare how much of each elastic neighbour the parts press aside, and the other way round."""
    changes = []
    parts = trial.parts
    for k in (k for k in around if parts[k].elastic is not None):
        soft, box = trial.there(k, "free"), trial.box(k, "free")
        before = sum(_shared(trial, m, soft, box) for m in trial.right if not m.elastic)
        after = sum(_shared(trial, m, soft, box) for m in movers if not m.elastic)
        if max(before, after) < PRESSED_SHARE * soft.volume():
            continue
        if after < 0.4 * before:
            changes.append(Effect("presses no more", (k,)))
        elif before < 0.4 * after:
            changes.append(Effect("presses wrongly", (k,)))
    for m, right in zip(movers, trial.right, strict=False):
        if not m.elastic:
            continue
        hard = [k for k in around if parts[k].elastic is None]
        before = sum(_shared(trial, right, trial.near(k), trial.box(k)) for k in hard)
        after = sum(_shared(trial, m, trial.near(k), trial.box(k)) for k in hard)
        big = max(before, after)
        if big > PRESSED_SHARE * trial.there(right.key, "free").volume() and abs(after - before) > 0.3 * big:
            changes.append(Effect("pressed less" if after < before else "pressed more", (m.key,)))
    return changes


def _shared(trial: Trial, mover: Mover, other: m3.Manifold, box: Box) -> float:
    if not boxes_meet(trial.moved_box(mover, "free"), box):
        return 0.0
    return max(0.0, float((trial.moved(mover, "free") ^ other).volume()))


def _feature_changes(trial: Trial, mistake: Misplacement, movers: Sequence[Mover]) -> list[Effect]:
    """Return which mating features of the moved parts no longer lie where their mates are."""
    if mistake.kind == "swapped":
        return []
    changes = []
    parts = trial.parts
    kinds = {p.kind for p in parts.values()}
    right = [(f, m) for m in trial.right for f in parts[m.key].features]
    turned = mistake.kind in ("half turn", "part turn")
    for m in movers:
        for f in parts[m.key].features:
            if f.mates not in kinds or (turned and f.kind in (*_ABOUT_AXIS, "face")):
                continue
            if not any(_meets(f, m, g, r) for g, r in right):
                changes.append(Effect("feature unmet", feature=f.name, mates=f.mates))
    return list(dict.fromkeys(changes))[:3]


def _meets(feature: Feature, mover: Mover, other: Feature, right: Mover) -> bool:
    """Return whether a moved feature lies where a like one lies when all is right."""
    if (feature.kind, feature.mates) != (other.kind, other.mates) or abs(
        feature.size_mm - other.size_mm
    ) > 0.05:
        return False
    off = np.array(mover.place.point(feature.origin)) - np.array(right.place.point(other.origin))
    turn = float(np.dot(mover.place.direction(feature.direction), right.place.direction(other.direction)))
    facing = abs(turn) if feature.kind in ("bore", "journal") else turn
    return float(np.linalg.norm(off)) < STAND_OFF_MM and facing > 0.98


def _ring_size(trial: Trial, other: Part, part: Part) -> list[Effect]:
    if part.elastic is None:
        return []
    mine, theirs = (trial.bodies.own(p.key).points for p in (part, other))
    (a, b), (c, d) = (
        (float(np.ptp(p, axis=0).max()), float(np.ptp(p, axis=0).min())) for p in (mine, theirs)
    )
    if abs(a - c) < 0.05 and abs(b - d) < 0.05:
        return []
    across, right_across, thick, right_thick = round(c, 1), round(a, 1), round(d, 2), round(b, 2)
    return [
        Effect("other ring", mm=across, right_mm=right_across, thick_mm=thick, right_thick_mm=right_thick)
    ]


def missed_without(trial: Trial, gone: Collection[str]) -> list[Effect]:
    """Return what lacks parts that are left out: features that nothing fills, neighbours that go deeper."""
    parts, graph = trial.parts, trial.graph
    wrong = [
        Effect("hollow empty" if f.kind in _HOLLOW else "feature unfilled", (p.key,), f.name)
        for p in parts.values()
        for f in p.features
        if p.key not in gone and any(_fills(trial, p, f, k) for k in gone)
    ]
    near = sorted({n for k in gone for n in graph.touching[k] if n not in gone}, key=list(parts).index)
    wrong += _task_undone(parts, gone, [k for k in near if parts[k].elastic is None])
    wrong = wrong or _deeper_without(trial, gone)
    if not wrong and near:
        wrong = [Effect("neighbours miss it", tuple(near))]
    return list(dict.fromkeys(wrong))


def _task_undone(parts: Mapping[str, Part], gone: Collection[str], near: Sequence[str]) -> list[Effect]:
    """Return what a single part that is left out would have done between its rigid neighbours."""
    if len(gone) != 1 or not 1 <= len(near) <= 3:
        return []
    part = parts[next(iter(gone))]
    if part.elastic is not None:
        pressed = part.elastic.squeeze_mm > 0 and len(near) > 1
        return [Effect("nothing squeezed", tuple(near))] if pressed else []
    if part.thread:
        return [Effect("nothing held", tuple(near))] if len(near) > 1 else []
    keyed = [k for k in near if any(f.kind == "keyway" and f.mates == part.kind for f in parts[k].features)]
    if len(keyed) == 2:
        return [Effect("nothing keyed", tuple(near))]
    return []


def _fills(trial: Trial, holder: Part, feature: Feature, key: str) -> bool:
    """Return whether part ``key`` is what lies in a feature of its neighbour ``holder``."""
    if feature.mates != trial.parts[key].kind or holder.key not in trial.graph.touching[key]:
        return False
    low, high = trial.bodies.box(key)
    at = np.array(holder.place.point(feature.origin))
    return bool((at > low - FEATURE_MM).all() and (at < high + FEATURE_MM).all())


def _deeper_without(trial: Trial, gone: Collection[str]) -> list[Effect]:
    """Return which neighbours fitted later go further in when the parts are left out."""
    found = []
    for m in trial.graph.moves:
        near = [k for k in m.parts if trial.graph.touching[k] & set(gone)]
        if m.number <= trial.move.number or m.bench != trial.move.bench or not m.move.into or not near:
            continue
        if not m.path.stretches or m.path.blocks:
            continue
        other = trial_of(trial.ways, trial.graph, m, m.parts)
        if other.bears_without(gone):
            continue
        deeper, by = other.seat(other.right, [k for k in other.fixed if k not in gone])
        if deeper - other.home > SHIFT_MM:
            far = round(deeper - other.home, 1) if by else None
            found.append(Effect("goes deeper" if by else "goes far deeper", m.parts, move=m.number, mm=far))
    return found
