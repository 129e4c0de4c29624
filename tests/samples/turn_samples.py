"""Assemblies in which only a turn frees a part: bayonets, a key, a hook, a lug under claws, and some that stay shut."""

from __future__ import annotations

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place, Vec3
from benchleaf.sequences.steps.travel_poses import Stretch
from proof_samples import assembly_of, part
from sample_solids import kernel, solid_of

W = cq.Workplane
LUG_MM, PLAY_MM = 8.0, 0.4


def _lugs(count: int, width: float, height: float) -> cq.Workplane:
    lugs = W()
    for n in range(count):
        lug = W().box(18, width, height, centered=(False, True, False)).translate((10, 0, 0))
        lugs = lugs.union(lug.rotate((0, 0, 0), (0, 0, 1), 360 / count * n))
    return lugs


def case(
    count: int = 2, slots_deg: float = 0.0, stop_deg: float | None = None, open_slots: bool = True
) -> cq.Workplane:
    """Return a pot with an inner rim 4.1 to 7.1 mm above its floor, slots in it and a stop under it."""
    pot = W().circle(30).extrude(-4).union(W().circle(30).circle(26.2).extrude(7.1))
    rim = W().circle(27).circle(20.2).extrude(3).translate((0, 0, 4.1))
    if open_slots:
        slots = _lugs(count, LUG_MM + PLAY_MM, 20).intersect(W().circle(26.3).extrude(20))
        rim = rim.cut(slots.rotate((0, 0, 0), (0, 0, 1), slots_deg))
    pot = pot.union(rim)
    if stop_deg is not None:
        stop = W().box(4, 3, 4.05, centered=(True, True, False)).translate((24, 0, 0))
        pot = pot.union(stop.rotate((0, 0, 0), (0, 0, 1), stop_deg))
    return pot


def lid(count: int = 2) -> cq.Workplane:
    """Return a lid with lugs that go under the rim; they reach to 26 mm."""
    return W().circle(20).extrude(10).union(_lugs(count, LUG_MM, 4).intersect(W().circle(26).extrude(4)))


def bayonet(
    turn_deg: float,
    count: int = 2,
    stop_deg: float | None = None,
    open_slots: bool = True,
    hollow: bool = False,
) -> Assembly:
    """Return a lid that stands turned by ``turn_deg`` from where its lugs are before the slots; room for more in it
    where it is ``hollow``."""
    pot = solid_of(case(count, 0.0, stop_deg, open_slots))
    cap = lid(count).cut(W().circle(13).extrude(7)) if hollow else lid(count)
    return assembly_of(part("case", pot), part("lid", solid_of(cap), Place.turn(turn_deg)))


def key_in_a_keyhole() -> Assembly:
    """Return a key whose bit stands a quarter of a turn behind a plate with a keyhole, in a closed box."""
    plate = W().box(40, 40, 4).cut(W().circle(4.1).extrude(10, both=True))
    plate = plate.cut(W().box(3.4, 9.3, 20).translate((0, 4.65, 0)))
    room = W().box(40, 40, 30).cut(W().box(36, 36, 26)).translate((0, 0, -17))
    lock = plate.union(room.cut(W().box(30, 30, 10).translate((0, 0, -2))))
    bit = W().box(3, 9, 4).translate((0, 4.5, -5))
    key = W().circle(4).extrude(-9).union(W().circle(4).extrude(16)).union(bit)
    return assembly_of(
        part("lock", solid_of(lock)),
        part("key", solid_of(key.union(W().box(20, 3, 8).translate((0, 0, 18)))), Place.turn(90)),
    )


def hook_on_a_bar() -> Assembly:
    """Return a hook open downwards round a bar, shut in but for one side: it leaves sideways once it is turned.

    The hook's own origin is 14 mm above the bar's axis.
    """
    bar = W("XZ").circle(4).extrude(20, both=True)
    hook = (
        W("XZ").circle(9).circle(4.2).extrude(4, both=True).cut(W().box(8.8, 20, 20).translate((0, 0, -10)))
    )
    hook = hook.union(W().box(6, 8, 12).translate((0, 0, 14)))
    walls = W().box(44, 4, 50).translate((0, 20, 4)).union(W().box(44, 4, 50).translate((0, -20, 4)))
    walls = walls.union(W().box(44, 44, 4).translate((0, 0, 28))).union(
        W().box(4, 44, 50).translate((24, 0, 4))
    )
    walls = walls.union(W().box(44, 44, 4).translate((0, 0, -16)))
    return assembly_of(
        part("frame", solid_of(bar.union(walls))),
        part("hook", solid_of(hook.translate((0, 0, -14))), Place.at(0, 0, 14)),
    )


def met_on_the_way(assembly: Assembly, key: str, way: tuple[Stretch, ...], steps: int = 24) -> float:
    """Return the most that a part shares with any other in poses close to each other on a way, mm3.

    The CAD kernel carries the part, by its own turns and shifts, and intersects it: nothing of the search is used.
    """
    moving = assembly.part(key)
    shape = kernel(moving.solid).moved(moving.place.location())
    others = [kernel(p.solid).moved(p.place.location()) for p in assembly if p.key != key]
    worst = 0.0
    for s in way:
        for n in range(steps + 1):
            at = _carried(shape, s, n / steps)
            worst = max([worst, *(_shared(at, other) for other in others)])
        shape = _carried(shape, s, 1.0)
    return worst


def _carried(shape: cq.Shape, s: Stretch, share: float) -> cq.Shape:
    tip: Vec3 = (s.about[0] + s.axis[0], s.about[1] + s.axis[1], s.about[2] + s.axis[2])
    turned = shape.rotate(cq.Vector(*s.about), cq.Vector(*tip), share * s.turn_deg) if s.turn_deg else shape
    return turned.moved(cq.Location(cq.Vector(*(share * c for c in s.slide))))


def _shared(a: cq.Shape, b: cq.Shape) -> float:
    one, other = a.BoundingBox(), b.BoundingBox()
    apart = one.xmin > other.xmax or other.xmin > one.xmax or one.ymin > other.ymax or other.ymin > one.ymax
    if apart or one.zmin > other.zmax or other.zmin > one.zmax:
        return 0.0
    return float(a.intersect(b).Volume())


def is_out(assembly: Assembly, key: str, way: tuple[Stretch, ...]) -> bool:
    """Return whether a part's box is past the box of every other at the end of its way."""
    moving: Part = assembly.part(key)
    shape = kernel(moving.solid).moved(moving.place.location())
    for s in way:
        shape = _carried(shape, s, 1.0)
    box = shape.BoundingBox()
    for other in (p for p in assembly if p.key != key):
        its = kernel(other.solid).moved(other.place.location()).BoundingBox()
        inside = box.xmin < its.xmax and its.xmin < box.xmax and box.ymin < its.ymax and its.ymin < box.ymax
        if inside and box.zmin < its.zmax and its.zmin < box.zmax:
            return False
    return True
