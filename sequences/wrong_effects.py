"""What is wrong with a part that went in wrong, read from the solids.

Where it bears and how far out, which elastic parts it presses, which of its mating features meet nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import manifold3d as m3
import numpy as np

from ..geometry.assembly import Feature, Part
from ..geometry.frame import Floats
from ..geometry.overlaps import LEAST_VOLUME_MM3, Body, Box, boxes_meet
from .part_words import start, word_of, words_of_parts
from .trials import STAND_OFF_MM, Mover, Trial, trial_of
from .wrong_places import Mistake

SHIFT_MM = 0.06
"""Smaller shifts are within what the search for the seat can tell."""
FEATURE_MM = 2.0
"""A feature's origin lies within this of the box of what fills it."""
BEARING_MM2 = 2.0
"""Smaller areas of bearing are not judged."""
_PROBE_MM = 0.05
_ABOUT_AXIS = ("bore", "journal", "thread", "groove", "pocket")
"""Features about an axis: turned about it they still meet."""


def what_is_wrong(trial: Trial, mistake: Mistake, movers: Sequence[Mover], shift_mm: float) -> list[str]:
    """Return what differs from the right way, one sentence each, the plainest first.

    ``movers`` are at rest, ``shift_mm`` further out than the right ones.
    """
    moved = {m.key for m in movers}
    shifted = abs(shift_mm) >= SHIFT_MM
    # What comes later follows a part that sits elsewhere: then only what is there already tells.
    around = [k for k in (trial.fixed if shifted else trial.others) if k not in moved]
    wrong = _bearing_changes(trial, movers, around)
    if shifted:
        wrong.append(
            f"It sits {abs(shift_mm):.2f} mm {'proud of' if shift_mm > 0 else 'deeper than'} its place."
        )
    wrong += _squeeze_changes(trial, movers, around)
    wrong += _feature_changes(trial, mistake, movers)
    if mistake.kind == "swapped":
        wrong += _ring_size(trial, trial.parts[mistake.other], trial.parts[trial.cluster[0]])
    return wrong


@dataclass(frozen=True)
class _Bearing:
    """How a part bears on a neighbour along the travel: area and mean radius about the travel's axis."""

    area_mm2: float
    radius_mm: float


def _bearing_changes(trial: Trial, movers: Sequence[Mover], around: Sequence[str]) -> list[str]:
    changes: list[str] = []
    for mover, right in zip(movers, trial.right, strict=False):
        box, was = trial.moved_box(mover, "free"), trial.moved_box(right, "free")
        for k in around:
            theirs = trial.box(k)
            if not (boxes_meet(box, theirs, 2 * _PROBE_MM) or boxes_meet(was, theirs, 2 * _PROBE_MM)):
                continue
            for sign in (-1.0, 1.0):
                said = _change(
                    _bearing(trial, right, k, sign), _bearing(trial, mover, k, sign), trial.parts[k]
                )
                if said and said not in changes:
                    changes.append(said)
    # Where it bears, told as a radius, says more than that it bears at all.
    return sorted(changes, key=lambda c: "radius" not in c)


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


def _change(before: _Bearing, after: _Bearing, other: Part) -> str:
    word = word_of(other)
    big = max(before.area_mm2, after.area_mm2)
    if big < BEARING_MM2:
        return ""
    if after.area_mm2 < 0.1 * big:
        return f"It no longer bears on the {word}."
    if before.area_mm2 < 0.1 * big:
        return f"It bears on the {word}, where it should not."
    if abs(after.radius_mm - before.radius_mm) > max(0.3, 0.04 * before.radius_mm):
        return f"It bears on the {word} at a radius of {after.radius_mm:.1f} mm instead of {before.radius_mm:.1f} mm."
    if after.area_mm2 < 0.6 * before.area_mm2:
        return f"It bears on only {100 * after.area_mm2 / before.area_mm2:.0f} % of its face on the {word}."
    return ""


def _squeeze_changes(trial: Trial, movers: Sequence[Mover], around: Sequence[str]) -> list[str]:
    """Compare how much of each elastic neighbour the parts press aside, and the other way round."""
    changes = []
    parts = trial.parts
    for k in (k for k in around if parts[k].elastic is not None):
        soft, box = trial.there(k, "free"), trial.box(k, "free")
        before = sum(_shared(trial, m, soft, box) for m in trial.right if not m.elastic)
        after = sum(_shared(trial, m, soft, box) for m in movers if not m.elastic)
        if max(before, after) < 0.02 * soft.volume():
            continue
        if after < 0.4 * before:
            changes.append(f"It no longer presses the {word_of(parts[k])}.")
        elif before < 0.4 * after:
            changes.append(f"It presses the {word_of(parts[k])}, where it should not.")
    for m, right in zip(movers, trial.right, strict=False):
        if not m.elastic:
            continue
        hard = [k for k in around if parts[k].elastic is None]
        before = sum(_shared(trial, right, trial.near(k), trial.box(k)) for k in hard)
        after = sum(_shared(trial, m, trial.near(k), trial.box(k)) for k in hard)
        big = max(before, after)
        if big > 0.02 * trial.there(right.key, "free").volume() and abs(after - before) > 0.3 * big:
            less = "less" if after < before else "more"
            changes.append(f"The {word_of(parts[m.key])} is pressed {less} than it should be.")
    return changes


def _shared(trial: Trial, mover: Mover, other: m3.Manifold, box: Box) -> float:
    if not boxes_meet(trial.moved_box(mover, "free"), box):
        return 0.0
    return max(0.0, float((trial.moved(mover, "free") ^ other).volume()))


def _feature_changes(trial: Trial, mistake: Mistake, movers: Sequence[Mover]) -> list[str]:
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
                mate = next(p.name for p in parts.values() if p.kind == f.mates)
                changes.append(f"Its {f.name} does not meet the {mate[:1].lower()}{mate[1:]}.")
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


def _ring_size(trial: Trial, other: Part, part: Part) -> list[str]:
    if part.elastic is None:
        return []
    mine, theirs = (trial.bodies.own(p.key).points for p in (part, other))
    (a, b), (c, d) = (
        (float(np.ptp(p, axis=0).max()), float(np.ptp(p, axis=0).min())) for p in (mine, theirs)
    )
    if abs(a - c) < 0.05 and abs(b - d) < 0.05:
        return []
    return [f"It is {c:.1f} mm across and {d:.2f} mm thick instead of {a:.1f} mm and {b:.2f} mm."]


def missed_without(trial: Trial, gone: Collection[str]) -> list[str]:
    """Return what lacks parts that are left out: features that nothing fills, neighbours that go deeper."""
    parts, graph = trial.parts, trial.graph
    wrong = [
        f"Nothing meets the {f.name} of the {word_of(p)}."
        for p in parts.values()
        for f in p.features
        if p.key not in gone and any(_fills(trial, p, f, k) for k in gone)
    ]
    wrong = wrong or _deeper_without(trial, gone)
    near = sorted({n for k in gone for n in graph.touching[k] if n not in gone}, key=list(parts).index)
    if not wrong and near:
        wrong = [f"{start(words_of_parts(parts, near))} then miss{'es' if len(near) == 1 else ''} it."]
    return list(dict.fromkeys(wrong))


def _fills(trial: Trial, holder: Part, feature: Feature, key: str) -> bool:
    """Return whether part ``key`` is what lies in a feature of its neighbour ``holder``."""
    if feature.mates != trial.parts[key].kind or holder.key not in trial.graph.touching[key]:
        return False
    low, high = trial.bodies.box(key)
    at = np.array(holder.place.point(feature.origin))
    return bool((at > low - FEATURE_MM).all() and (at < high + FEATURE_MM).all())


def _deeper_without(trial: Trial, gone: Collection[str]) -> list[str]:
    """Return which neighbours fitted later go further in when the parts are left out."""
    said = []
    for m in trial.graph.moves:
        near = [k for k in m.parts if trial.graph.touching[k] & set(gone)]
        if m.number <= trial.move.number or m.bench != trial.move.bench or not m.move.into or not near:
            continue
        if not m.path.stretches or m.path.blocks:
            continue
        other = trial_of(trial.ways, trial.graph, m, m.parts)
        deeper, by = other.seat(other.right, [k for k in other.fixed if k not in gone])
        if deeper - other.home > SHIFT_MM:
            far = f"{deeper - other.home:.1f} mm" if by else "far"
            said.append(f"{start(trial.graph.said(m))} then goes {far} deeper.")
    return said
