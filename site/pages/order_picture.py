"""The order as a picture: steps in layers, an arrow where the solids say that one has to come before another.

Layers follow the longest chain of steps that must come before; arrows that follow from others are left out; the
order inside a layer is improved by barycentres, as in Sugiyama, Tagawa and Toda (1981), keeping the best of the
sweeps by counted crossings. Long arrows run through the layers between in lanes of their own, past the boxes.
"""

from __future__ import annotations

import itertools
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

BOX = (176, 58)
"""Width and height of a step's box in the picture's units (CSS pixels at full size)."""
LANE = 22
"""Width of a lane for a passing arrow."""
GAP = (18, 44)
LINE_CHARACTERS = 22
_SWEEPS = 24


@dataclass(frozen=True)
class Node:
    """One step: its number, words, and where its box links to."""

    number: int
    text: str
    href: str


@dataclass(frozen=True)
class Spot:
    """Where a box or lane lies: middle of it, x and y, and its half width."""

    x: float
    y: float
    half: float


Lane = tuple[int, int, int]
"""A passing place of the arrow (from, to) in a layer."""
Item = int | Lane


def needed(edges: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the edges that do not follow from others.

    >>> needed([(1, 2), (2, 3), (1, 3)])
    [(1, 2), (2, 3)]
    """
    after: dict[int, set[int]] = {}
    for a, b in edges:
        if a != b:
            after.setdefault(a, set()).add(b)

    def beyond(n: int, seen: set[int]) -> set[int]:
        for m in after.get(n, ()):
            if m not in seen:
                seen.add(m)
                beyond(m, seen)
        return seen

    return [
        (a, b)
        for a, of in sorted(after.items())
        for b in sorted(of)
        if not any(b in beyond(m, {m}) - {m} for m in of if m != b)
    ]


def layers_of(numbers: Sequence[int], edges: Sequence[tuple[int, int]]) -> dict[int, int]:
    """Return the layer of each number: one more than the deepest before it. Numbers in a ring stand as given.

    >>> layers_of([1, 2, 3, 4], [(1, 2), (2, 3), (4, 3)])
    {1: 0, 2: 1, 3: 2, 4: 1}
    """
    layer = dict.fromkeys(numbers, 0)
    for _ in numbers:
        changed = False
        for a, b in edges:
            if layer[b] < layer[a] + 1 <= len(numbers):
                layer[b], changed = layer[a] + 1, True
        if not changed:
            break
    # What needs nothing before it stands just above what needs it: short arrows.
    behind = {b for _, b in edges}
    for n in numbers:
        below = [layer[b] for a, b in edges if a == n]
        if n not in behind and below:
            layer[n] = max(0, min(below) - 1)
    return layer


def draw_order(nodes: Sequence[Node], edges: Iterable[tuple[int, int]], title: str, name: str) -> Markup:
    """Return the picture as SVG markup; ``edges`` are pairs (first, then) of step numbers, ``title`` tells of it.

    ``name`` keeps the ids of several pictures on one page apart. Steps that no arrow touches are left to a last
    row: the solids leave them free.
    """
    by_number = {n.number: n for n in nodes}
    arrows = needed((a, b) for a, b in edges if a in by_number and b in by_number)
    tied = {n for arrow in arrows for n in arrow}
    layer = layers_of([n for n in by_number if n in tied], arrows)
    free = [n for n in by_number if n not in tied]
    rows = _rows(layer, arrows)
    spots, width, depth = _place(rows, _links(layer, arrows))
    rows_end = depth
    for n, number in enumerate(free):
        across = max(1, int((width + GAP[0]) // (BOX[0] + GAP[0])))
        x = (n % across) * (BOX[0] + GAP[0]) + BOX[0] / 2
        y = rows_end + (n // across) * (BOX[1] + GAP[0]) + BOX[1] / 2
        spots[number] = Spot(x, y, BOX[0] / 2)
        width, depth = max(width, x + BOX[0] / 2), y + BOX[1] / 2 + GAP[0]
    lines = [_arrow(a, b, layer, spots, name) for a, b in arrows]
    boxes = [_box(by_number[n], spots[n]) for n in by_number]
    edge = 4
    return Markup(
        '<svg class="order-picture" role="group" viewBox="{l} {l} {w:.0f} {h:.0f}" width="{w:.0f}" height="{h:.0f}" '
        'aria-label="{title}"><defs><marker id="tip-{name}" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="9" '
        'markerHeight="9" orient="auto-start-reverse" markerUnits="userSpaceOnUse"><path d="M0 .6 7.4 4 0 7.4z"/>'
        '</marker></defs><g class="ways">{lines}</g>{boxes}</svg>'
    ).format(
        l=-edge,
        w=width + 2 * edge,
        h=depth + 2 * edge,
        title=title,
        name=name,
        lines=Markup("").join(lines),
        boxes=Markup("").join(boxes),
    )


def _links(layer: Mapping[int, int], arrows: Sequence[tuple[int, int]]) -> list[tuple[Item, Item]]:
    """Return the arrows as links from layer to layer, long ones through their lanes."""
    found: list[tuple[Item, Item]] = []
    for a, b in arrows:
        chain: list[Item] = [a, *((a, b, at) for at in range(layer[a] + 1, layer[b])), b]
        found += itertools.pairwise(chain)
    return found


def _rows(layer: Mapping[int, int], arrows: Sequence[tuple[int, int]]) -> list[list[Item]]:
    """Return the items of each layer, boxes and lanes, in an order with few crossings."""
    rows: list[list[Item]] = [[] for _ in range(max(layer.values(), default=-1) + 1)]
    for n in sorted(layer):
        rows[layer[n]].append(n)
    links: dict[Item, list[Item]] = {}
    backs: dict[Item, list[Item]] = {}
    for one, two in _links(layer, arrows):
        links.setdefault(one, []).append(two)
        backs.setdefault(two, []).append(one)
        if not isinstance(two, int):
            rows[two[2]].append(two)
    best, fewest = [list(r) for r in rows], _crossings(rows, links)
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        for at in range(1, len(rows)) if down else range(len(rows) - 2, -1, -1):
            beside = rows[at - 1 if down else at + 1]
            place = {item: n for n, item in enumerate(beside)}
            of = backs if down else links
            here = {item: n for n, item in enumerate(rows[at])}
            keys = {
                item: sum(place[o] for o in near) / len(near)
                if (near := of.get(item, []))
                else float(here[item])
                for item in rows[at]
            }
            rows[at].sort(key=lambda item: (keys[item], here[item]))
        count = _crossings(rows, links)
        if count < fewest:
            best, fewest = [list(r) for r in rows], count
    return best


def _crossings(rows: Sequence[Sequence[Item]], links: Mapping[Item, Sequence[Item]]) -> int:
    found = 0
    for upper, lower in itertools.pairwise(rows):
        place = {item: n for n, item in enumerate(lower)}
        ends = [(n, place[to]) for n, item in enumerate(upper) for to in links.get(item, ()) if to in place]
        found += sum(1 for i, (a, b) in enumerate(ends) for c, d in ends[i + 1 :] if (a - c) * (b - d) < 0)
    return found


def _place(
    rows: Sequence[Sequence[Item]], links: Sequence[tuple[Item, Item]]
) -> tuple[dict[Item, Spot], float, float]:
    """Return the spots of all items, and width and height of what they take up.

    Items are drawn towards the middle of what they are linked to, as far as the order of their row allows.
    """
    near: dict[Item, list[Item]] = {}
    for a, b in links:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    half = {i: (BOX[0] if isinstance(i, int) else LANE) / 2 for row in rows for i in row}
    x: dict[Item, float] = {}
    for row in rows:
        at = -sum(2 * half[i] + GAP[0] for i in row) / 2
        for i in row:
            x[i] = at + half[i]
            at += 2 * half[i] + GAP[0]
    for sweep in range(_SWEEPS):
        for row in rows if sweep % 2 else reversed(rows):
            wish = [sum(x[o] for o in near[i]) / len(near[i]) for i in row]
            for i, middle in zip(row, _apart(wish, [half[i] for i in row]), strict=True):
                x[i] = middle
    left = min((x[i] - half[i] for i in x), default=0.0)
    width = max((x[i] + half[i] for i in x), default=float(BOX[0])) - left
    spots = {
        i: Spot(x[i] - left, n * (BOX[1] + GAP[1]) + BOX[1] / 2, half[i])
        for n, row in enumerate(rows)
        for i in row
    }
    return spots, width, len(rows) * (BOX[1] + GAP[1])


def _apart(wish: Sequence[float], half: Sequence[float]) -> list[float]:
    """Return middles as near to ``wish`` as can be, in the same order and without overlap.

    Neighbours that want the same room share the way: a group of them moves to the mean of its wishes.

    >>> _apart([0.0, 0.0], [41.0, 41.0])
    [-50.0, 50.0]
    """
    offsets = [0.0]
    for a, b in itertools.pairwise(half):
        offsets.append(offsets[-1] + a + b + GAP[0])
    groups: list[tuple[float, int, int]] = []
    """Sum of the wishes less the offsets, first place, number of places."""
    for n, w in enumerate(wish):
        total, first, count = w - offsets[n], n, 1
        while groups and groups[-1][0] / groups[-1][2] > total / count:
            more, first, many = groups.pop()
            total, count = total + more, count + many
        groups.append((total, first, count))
    return [total / count + offsets[k] for total, first, count in groups for k in range(first, first + count)]


def _arrow(a: int, b: int, layer: Mapping[int, int], spots: Mapping[Item, Spot], name: str) -> Markup:
    start, end = spots[a], spots[b]
    points = [(start.x, start.y + BOX[1] / 2)]
    for at in range(layer[a] + 1, layer[b]):
        lane = spots[a, b, at]
        points += [(lane.x, lane.y - BOX[1] / 2), (lane.x, lane.y + BOX[1] / 2)]
    points.append((end.x, end.y - BOX[1] / 2 - 1))
    path = f"M{points[0][0]:.0f} {points[0][1]:.0f}"
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        bend = (y1 - y0) / 2
        path += (
            f"L{x1:.0f} {y1:.0f}"
            if abs(x1 - x0) < 0.5
            else f"C{x0:.0f} {y0 + bend:.0f} {x1:.0f} {y1 - bend:.0f} {x1:.0f} {y1:.0f}"
        )
    return Markup('<path d="{}" marker-end="url(#tip-{})"/>').format(path, name)


def _box(node: Node, spot: Spot) -> Markup:
    left, top = spot.x - BOX[0] / 2, spot.y - BOX[1] / 2
    lines = textwrap.wrap(node.text, LINE_CHARACTERS, max_lines=3, placeholder=" …")
    first = spot.y - (len(lines) - 1) * 8.5 + 5
    words = Markup("").join(
        Markup('<tspan x="{:.0f}" y="{:.1f}">{}</tspan>').format(left + 42, first + 17 * n, line)
        for n, line in enumerate(lines)
    )
    return Markup(
        '<a href="{}"><title>{}</title><rect x="{:.0f}" y="{:.0f}" width="{}" height="{}"/>'
        '<text class="at" x="{:.0f}" y="{:.1f}">{}</text><text>{}</text></a>'
    ).format(
        node.href,
        f"{node.number} {node.text}",
        left,
        top,
        *BOX,
        left + 20,
        spot.y + 6,
        str(escape(str(node.number))),
        words,
    )
