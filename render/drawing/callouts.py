"""Callouts: item labels round a picture, each tied to its part by a straight leader.

Labels stand in bands outside the picture, their leaders end on the picture's border, so no leader can run over a label.
Which label goes where is the assignment with the least total length of leaders: two leaders that crossed could be
swapped to a shorter total, so none cross (a property of Euclidean matchings). Labels then slide along their band to
stand squarely over their parts as far as their neighbours let them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

import numpy as np

from ...geometry.frame import Floats

Band = Literal["top", "bottom", "left", "right"]
Spot = tuple[float, float]


@dataclass(frozen=True)
class Callout:
    """One placed label: fractions of the picture, the label's own centre lies outside of it in its band."""

    key: str
    band: Band
    label: Spot
    port: Spot
    """Where the leader ends, on the border of the picture."""
    anchor: Spot


class NoRoomForCallouts(ValueError):
    """More labels than the bands hold at this width; the message says how many fit."""


def place_callouts(
    anchors: Mapping[str, Spot],
    picture_px: tuple[float, float],
    label_px: tuple[float, float],
    bands: Sequence[Band] = ("top", "bottom", "left", "right"),
    gap_px: float = 4.0,
    avoid: Sequence[Spot] = (),
) -> tuple[Callout, ...]:
    """Return a place for a label of ``label_px`` (width, height) for each of ``anchors`` (fractions of the picture).

    ``picture_px`` is the size at which the picture is shown. The order is that of the anchors. Leaders keep off the
    spots to ``avoid`` (fractions of the picture), as far as they can: numbers that stand in the picture.

    Raises:
        NoRoomForCallouts: if the bands are too short for that many labels.

    >>> [c.band for c in place_callouts({"1": (0.5, 0.1), "2": (0.5, 0.9)}, (400, 300), (24, 24))]
    ['top', 'bottom']
    """
    slots = _slots(picture_px, label_px, bands, gap_px)
    if len(anchors) > len(slots):
        raise NoRoomForCallouts(
            f"{len(anchors)} labels of {label_px[0]:g} x {label_px[1]:g} px, room for {len(slots)}"
        )
    if not anchors:
        return ()
    size = np.array(picture_px)
    spots = np.array(list(anchors.values()), dtype=float) * size
    ports = np.array([port for _, port in slots], dtype=float)
    length = np.linalg.norm(spots[:, None] - ports[None], axis=2)

    def placed_by(cost: Floats) -> list[Callout]:
        chosen = least_assignment(cost)
        found = [
            Callout(key, slots[n][0], (0.0, 0.0), _spot(ports[n] / size), (float(a[0]), float(a[1])))
            for key, n, a in zip(anchors, chosen, anchors.values(), strict=True)
        ]
        return _squared(found, picture_px, label_px, gap_px, avoid)

    placed = placed_by(length)
    if avoid and hits(placed, avoid, picture_px):
        struck = np.array([[_struck(s, p, avoid, picture_px) for p in ports] for s in spots])
        other = placed_by(length + struck * float(sum(picture_px)))
        placed = placed if crossings(other) else other
    return tuple(replace(c, label=_label(c, picture_px, label_px, gap_px)) for c in placed)


def _slots(
    picture_px: Spot, label_px: Spot, bands: Sequence[Band], gap_px: float
) -> list[tuple[Band, tuple[float, float]]]:
    """Return ports (px) for as many labels as the bands hold side by side."""
    width, height = picture_px
    slots: list[tuple[Band, tuple[float, float]]] = []
    for band in bands:
        along, size = (width, label_px[0]) if band in ("top", "bottom") else (height, label_px[1])
        pitch = size + gap_px
        count = int((along + gap_px) // pitch)
        first = (along - (count - 1) * pitch) / 2.0
        for n in range(count):
            at = first + n * pitch
            port = {"top": (at, 0.0), "bottom": (at, height), "left": (0.0, at), "right": (width, at)}[band]
            slots.append((band, port))
    return slots


def _label(callout: Callout, picture_px: Spot, label_px: Spot, gap_px: float) -> Spot:
    """Return the centre of the label outside its port, as fractions."""
    out_x = (label_px[0] / 2 + gap_px) / picture_px[0]
    out_y = (label_px[1] / 2 + gap_px) / picture_px[1]
    x, y = callout.port
    return {"top": (x, -out_y), "bottom": (x, 1 + out_y), "left": (-out_x, y), "right": (1 + out_x, y)}[
        callout.band
    ]


MARK_PX = 15.0
"""Radius of what a spot to avoid stands for: a number in a ring."""


def _struck(anchor: Floats, port: Floats, avoid: Sequence[Spot], picture_px: Spot) -> int:
    """Return through how many spots to avoid a leader (px) runs; one that its own part carries is none."""
    along = port - anchor
    total = max(float(along @ along), 1e-9)
    count = 0
    for spot in avoid:
        to = np.array(spot) * np.array(picture_px) - anchor
        share = min(max(float(to @ along) / total, 0.0), 1.0)
        count += np.hypot(*to) > MARK_PX and np.hypot(*(to - share * along)) < MARK_PX
    return int(count)


def hits(callouts: Sequence[Callout], avoid: Sequence[Spot], picture_px: Spot) -> int:
    """Return how often leaders run through spots to avoid (fractions) in a picture of this size, px."""
    size = np.array(picture_px)
    return sum(
        _struck(np.array(c.anchor) * size, np.array(c.port) * size, avoid, picture_px) for c in callouts
    )


def _squared(
    placed: list[Callout], picture_px: Spot, label_px: Spot, gap_px: float, avoid: Sequence[Spot] = ()
) -> list[Callout]:
    """Slide labels along their bands towards their anchors, each where no leader comes to cross or strike."""
    now = list(placed)
    for band in ("top", "bottom", "left", "right"):
        axis = 0 if band in ("top", "bottom") else 1
        members = sorted((n for n, c in enumerate(now) if c.band == band), key=lambda n: now[n].port[axis])
        if not members:
            continue
        room = (label_px[axis] + gap_px) / picture_px[axis]
        half = label_px[axis] / 2 / picture_px[axis]
        wanted = np.array([now[n].anchor[axis] for n in members])
        for n, at in zip(members, _spread(wanted, room, half, 1.0 - half).tolist(), strict=True):
            port = (at, now[n].port[1]) if axis == 0 else (now[n].port[0], at)
            now[n] = replace(now[n], port=port)
    worse = crossings(now) or hits(now, avoid, picture_px) > hits(placed, avoid, picture_px)
    return list(placed) if worse else now


def _spread(wanted: Floats, room: float, low: float, high: float) -> Floats:
    """Return positions (n,) in order, at least ``room`` apart, within bounds, nearest to ``wanted`` (least squares)."""
    offset = room * np.arange(len(wanted))
    # Least squares under an order: pool neighbours that would come out of order and give them their mean.
    pools: list[tuple[float, int]] = []
    for value in (wanted - offset).tolist():
        pools.append((value, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (a, n), (b, m) = pools[-2], pools[-1]
            pools[-2:] = [((a * n + b * m) / (n + m), n + m)]
    levels = np.concatenate([np.full(n, v) for v, n in pools])
    spread: Floats = np.clip(levels, low, high - offset[-1]) + offset
    return spread


def crossings(callouts: Sequence[Callout]) -> list[tuple[str, str]]:
    """Return the pairs of callouts whose leaders cross."""
    return [
        (a.key, b.key) for a, b in combinations(callouts, 2) if _cross(a.anchor, a.port, b.anchor, b.port)
    ]


def _cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Return whether segments ab and cd cross at an inner point of both."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    tiny = 1e-12
    s1, s2, s3, s4 = side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
    return (
        (s1 > tiny) != (s2 > tiny)
        and (s3 > tiny) != (s4 > tiny)
        and min(abs(s1), abs(s2), abs(s3), abs(s4)) > tiny
    )


def least_assignment(cost: Floats) -> list[int]:
    """Return for each row of ``cost`` (n, m), n <= m, a column of its own so that the total is least.

    The Hungarian method by shortest augmenting paths with potentials, O(n^2 m).

    >>> least_assignment(np.array([[1.0, 2.0], [1.0, 5.0]]))
    [1, 0]
    """
    n, m = cost.shape
    u, v = np.zeros(n + 1), np.zeros(m + 1)
    row_of, way = np.zeros(m + 1, dtype=int), np.zeros(m + 1, dtype=int)
    for i in range(1, n + 1):
        row_of[0] = i
        column = 0
        least = np.full(m + 1, np.inf)
        used = np.zeros(m + 1, dtype=bool)
        while row_of[column]:
            used[column] = True
            row = row_of[column]
            reduced = cost[row - 1] - u[row] - v[1:]
            better = ~used[1:] & (reduced < least[1:])
            least[1:][better] = reduced[better]
            way[1:][better] = column
            masked = np.where(used, np.inf, least)
            masked[0] = np.inf
            following = int(np.argmin(masked))
            delta = masked[following]
            u[row_of[used]] += delta
            v[used] -= delta
            least[~used] -= delta
            column = following
        while column:
            before = way[column]
            row_of[column] = row_of[before]
            column = int(before)
    found = [0] * n
    for column in range(1, m + 1):
        if row_of[column]:
            found[row_of[column] - 1] = column - 1
    return found


def _spot(point: Floats) -> Spot:
    return float(point[0]), float(point[1])
