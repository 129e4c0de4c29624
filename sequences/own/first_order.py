"""A first order for an assembly that has none: taken apart by what is free, layer by layer, and turned round.

    find_first_order(assembly) -> FirstOrder

Each layer is what can leave straight past all that is still there, and leaves nothing hanging loose: whatever stays
has to touch, through others, the part that everything sits on. Where nothing can leave by itself, parts that leave
together are looked for, and are taken apart on the bench; then ways with bends, and last those with turns. What is left
is told as not found, never as impossible.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ...geometry.assembly import Assembly
from ...geometry.frame import Place, Vec3
from ...geometry.meshes.overlaps import Role
from ..order.paths import Ways
from ..order.travel_search import clear_way, find_travel
from ..order.turn_search import TurnSearch
from ..steps.travel_poses import Stretch
from .free_ways import FreeWays, masses

SECONDS = 600.0
"""After so long the search stops and tells what it has."""
MOST_BENT = 24
"""Parts for which ways with bends, or with turns, are looked for when nothing leaves straight."""
HALF = 0.5
"""A way so much shorter than another, or more, is much shorter."""
BENT_SECONDS = 60.0
"""After so long, all told, no further part is looked at in this way."""
TURN_SECONDS = 90.0
"""The same of ways with turns."""


@dataclass(frozen=True)
class Removal:
    """Parts that leave in one go, each by itself, or all as one unit."""

    parts: tuple[str, ...]
    direction: Vec3 | None
    """The straight way out; None where the way has bends."""
    layer: int
    unit: str = ""
    """Name of the unit that they leave as; it is taken apart by ``inside``."""
    inside: tuple[Removal, ...] = ()
    base: tuple[str, ...] = ()
    """Parts of the unit that stay together when it is taken apart."""
    way: tuple[Stretch, ...] = ()
    """The way out where it is not straight, outwards."""


@dataclass(frozen=True)
class FirstOrder:
    """What was found: removals from the whole assembly to what stays."""

    base: tuple[str, ...]
    """What everything sits on, and what no way out was found for."""
    removals: tuple[Removal, ...]
    stuck: tuple[str, ...] = ()
    """Parts of the base for which no way out was found; that says nothing of whether there is one."""
    loose: tuple[str, ...] = ()
    """Parts that touch nothing that leads to the base."""
    pairs: int = 0
    """Pairs of solids that were held against each other."""
    out_of_time: bool = False


def find_first_order(
    assembly: Assembly, ways: FreeWays | None = None, seconds: float = SECONDS
) -> FirstOrder:
    """Return a first order of an assembly.

    Args:
        assembly: its parts in place.
        ways: of the assembly, where the caller has them.
        seconds: after so long it tells what it has.

    Raises:
        MeshError, OverlapError: if a solid is not fit for booleans.
    """
    return _Search(assembly, ways or FreeWays(assembly), time.monotonic() + seconds).order()


@dataclass
class _Search:
    assembly: Assembly
    ways: FreeWays
    until: float
    witness: dict[tuple[str, Vec3], str] = field(default_factory=dict)
    units: int = 0
    bent_for: float = 0.0
    turned_for: float = 0.0
    was_loose: set[str] = field(default_factory=set)
    """What touches nothing that leads to the base from the beginning."""

    def order(self) -> FirstOrder:
        keys = list(self.assembly.parts)
        weight = masses(self.assembly)
        base = max(keys, key=lambda k: (weight[k], k))
        loose = tuple(k for k in keys if k not in self._held(keys, base))
        removals, left = self._take_apart(keys, base)
        stuck = tuple(k for k in keys if k in left and k != base)
        order = tuple(k for k in keys if k in left)
        return FirstOrder(order, removals, stuck, loose, self.ways.pairs, time.monotonic() > self.until)

    def _take_apart(self, keys: Sequence[str], base: str) -> tuple[tuple[Removal, ...], set[str]]:
        """Return how ``keys`` come apart down to ``base``, and what stays with it."""
        there, removals, layer = list(keys), list[Removal](), 0
        self.was_loose = set(keys) - self._held(keys, base)
        while len(there) > 1 and time.monotonic() < self.until:
            layer += 1
            found = self._layer(there, base, layer) or self._unit(there, base, layer)
            if not found:
                found = self._bent(there, base, layer) or self._turned(there, base, layer)
            if not found:
                break
            removals += found
            gone = {k for r in found for k in r.parts}
            there = [k for k in there if k not in gone]
        return tuple(removals), set(there)

    def _layer(self, there: Sequence[str], base: str, layer: int) -> list[Removal]:
        """Return all that leaves straight now; equal parts that leave the same way together."""
        free: dict[str, Vec3] = {}
        for key in there:
            if key != base and (d := self._way_out(key, there)) is not None:
                free[key] = d
        taken: list[str] = []
        left = list(there)
        # What holds others goes after them: the lightest first, and only while all that stays is held.
        weight = masses(self.assembly)
        for _ in range(2 if free else 0):
            for key in sorted((k for k in free if k not in taken), key=lambda k: (weight[k], k)):
                rest = [k for k in left if k != key]
                if not self._loosened(rest, base) and not self._still_wears(key, left, base):
                    free[key] = self._shorter(key, free[key], left)
                    taken.append(key)
                    left = rest
        groups: dict[tuple[str, Vec3], list[str]] = {}
        for key in taken:
            groups.setdefault((self.assembly.part(key).kind, free[key]), []).append(key)
        order = list(self.assembly.parts)
        return [Removal(tuple(sorted(g, key=order.index)), d, layer) for (_, d), g in groups.items()]

    def _still_wears(self, key: str, there: Sequence[str], base: str) -> bool:
        """Return whether a lighter ring sits on ``key`` that comes off it as things are: a washer, once its nut is off.

        Without what it sits on it would hang in the air.
        """
        weight = masses(self.assembly)
        return any(
            on == key
            and ring in there
            and ring != base
            and weight[ring] < weight[key]
            and self._way_out(ring, there) is not None
            and not self._loosened([k for k in there if k != ring], base)
            for ring, on in self.ways.worn.items()
        )

    def _shorter(self, key: str, known: Vec3, there: Sequence[str]) -> Vec3:
        """Return a way out that is much shorter now that others have left, else the one that is known."""
        now = self._way_out(key, there)
        if now is None or self._to_clear(key, now, there) > HALF * self._to_clear(key, known, there):
            return known
        return now

    def _way_out(self, key: str, there: Sequence[str]) -> Vec3 | None:
        """Return a straight way that is free; of several, the one that is clear of the box of the rest soonest."""
        still = set(there)
        best: tuple[float, Vec3] | None = None
        for d in self.ways.directions(key):
            known = self.witness.get((key, d))
            if known in still:
                continue
            met = self.ways.blocker(key, d, there)
            if met is not None:
                self.witness[key, d] = met
                continue
            length = self._to_clear(key, d, there)
            if best is None or length < best[0] - 1e-6:
                best = (length, d)
        return best[1] if best else None

    def _to_clear(self, key: str, d: Vec3, there: Iterable[str]) -> float:
        from ..order.paths import clear_distance

        rest = self.ways.bodies.box_of_all([k for k in there if k != key])
        return clear_distance(self.ways.bodies.box(key), rest, d)

    def _loosened(self, rest: Iterable[str], base: str) -> set[str]:
        """Return what would fall or hang loose of ``rest``: what touches nothing that leads to the base, and nuts
        without what they are screwed on."""
        kept = set(rest)
        loose = kept - self._held(kept, base) - self.was_loose
        return loose | {nut for nut, on in self.ways.carriers.items() if nut in kept and on not in kept}

    def _held(self, keys: Iterable[str], base: str) -> set[str]:
        """Return what touches, through others of ``keys``, the base."""
        among, found, todo = set(keys), {base}, [base]
        while todo:
            for other in self.ways.touching[todo.pop()] & among - found:
                found.add(other)
                todo.append(other)
        return found

    def _unit(self, there: Sequence[str], base: str, layer: int) -> list[Removal]:
        """Return the fewest parts that leave straight together, with how they come apart on the bench."""
        best: tuple[int, str, Vec3, set[str]] | None = None
        for key in there:
            if key == base or self.assembly.part(key).elastic is not None:
                continue
            for d in self.ways.directions(key):
                members = self._closure(key, d, there, base, best[0] if best else len(there))
                if members is not None and (best is None or (len(members), key) < best[:2]):
                    best = (len(members), key, d, members)
        if best is None:
            return []
        _, _, d, members = best
        order = [k for k in self.assembly.parts if k in members]
        weight = masses(self.assembly)
        head = max(order, key=lambda k: (weight[k], k))
        outside = self.was_loose
        inside, left = self._take_apart(order, head)
        self.was_loose = outside
        self.units += 1
        stays = tuple(k for k in order if k in left)
        return [Removal(tuple(order), d, layer, f"unit_{self.units}", inside, stays)]

    def _closure(
        self, key: str, d: Vec3, there: Sequence[str], base: str, fewer_than: int
    ) -> set[str] | None:
        """Return all that has to leave with ``key`` along ``d``; None where that is the base, or too many."""
        members, todo = {key}, [key]
        while todo:
            further = self.ways.riding_blockers(todo.pop(), d, there) - members
            if not further and not todo:  # what would hang loose without them goes with them
                rest = [k for k in there if k not in members]
                further = self._loosened(rest, base)
            if base in further or len(members | further) >= fewer_than or time.monotonic() > self.until:
                return None
            members |= further
            todo += sorted(further)
        return members

    def _bent(self, there: Sequence[str], base: str, layer: int) -> list[Removal]:
        """Return the first part for which a way with bends is found."""
        exact = Ways(self.ways.bodies)
        for key in self._lightest(there, base):
            if time.monotonic() > self.until or self.bent_for > BENT_SECONDS:
                break
            rest, begun = [k for k in there if k != key], time.monotonic()
            way = find_travel(exact, [key], rest, None, list(self.assembly.parts)).stretches
            self.bent_for += time.monotonic() - begun
            if way is not None:
                return [Removal((key,), None, layer, way=way)]
            exact.forget_sweeps()
        return []

    def _turned(self, there: Sequence[str], base: str, layer: int) -> list[Removal]:
        """Return the first part for which a way with turns is found, one that leaves nothing loose if there is one."""
        exact, everything = Ways(self.ways.bodies), list(self.assembly.parts)
        later: list[Removal] = []
        for long in (False, True):
            for key in self._lightest(there, base):
                begun, left = time.monotonic(), TURN_SECONDS - self.turned_for
                if begun > self.until or left <= 0:
                    return later
                rest = [k for k in there if k != key]
                until = min(self.until, begun + min(left, TURN_SECONDS / 3))
                search = TurnSearch(exact, [key], rest, {}, everything, until)
                way = search.long_way() if long else search.short_way()
                self.turned_for += time.monotonic() - begun
                if way is not None:
                    found = [Removal((key,), None, layer, way=way)]
                    if not self._loosened(rest, base):
                        return found
                    later = later or found
                exact.forget_sweeps()
            if later:
                break
        return later

    def _lightest(self, there: Sequence[str], base: str) -> list[str]:
        weight = masses(self.assembly)
        return sorted((k for k in there if k != base), key=lambda k: (weight[k], k))[:MOST_BENT]


def front_of(order: FirstOrder) -> Vec3:
    """Return the axis direction along which most parts leave: where the person who does the work stands."""
    count: dict[Vec3, int] = {}
    for removal in order.removals:
        d = removal.direction
        if d is not None and max(map(abs, d)) > 1 - 1e-9:
            at = (round(d[0]) + 0.0, round(d[1]) + 0.0, round(d[2]) + 0.0)
            count[at] = count.get(at, 0) + len(removal.parts)
    best = max(count.items(), key=lambda item: (item[1], item[0][2], item[0][1]), default=None)
    return (0.0, 0.0, 1.0) if best is None else best[0]


def replay(assembly: Assembly, order: FirstOrder, ways: FreeWays) -> list[str]:
    """Return every part of ``order`` whose way is not clear when its turn comes; empty where all are."""
    there, wrong, exact = set(assembly.parts), [], Ways(ways.bodies)
    for removal in order.removals:
        for key in removal.parts:
            together = set(removal.parts) if removal.unit else {key}
            d = removal.direction
            role: Role = "core" if removal.unit else "passing"
            if d is not None and any(ways.closes(o, key, d, role) for o in there - together):
                wrong.append(key)
            starts = [Place(), *(s.end for s in removal.way)]
            hangs_together = all(s.start == at for s, at in zip(removal.way, starts, strict=False))
            rest = sorted(there - together)
            if not (hangs_together and clear_way(exact, [key], rest, removal.way, {})):
                wrong.append(key)
            if not removal.unit:
                there.discard(key)
        there -= set(removal.parts)
    return wrong


__all__ = ["FirstOrder", "Removal", "find_first_order", "front_of", "replay"]
