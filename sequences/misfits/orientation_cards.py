"""Orientation cards: what a right and a wrong picture of a mistake show.

Each mistake that nothing stops has a card. So has which way round a part goes that others tell by its flats, notches or
holes, though the wrong way is stopped: whoever holds the part wants to know it before anything jams.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from ...geometry.assembly import Assembly, Part
from ...geometry.frame import Place, Vec3, Z
from ..order.order_graph import OrderGraph, PlannedMove
from ..steps.claims import MistakeKind
from .findings import Effect, Misfit, alike_effect

MOST_AROUND = 6
ASKED: tuple[tuple[MistakeKind, str], ...] = (
    ("half turn", "hole"),
    ("end for end", "flats"),
    ("end for end", "notch"),
    ("part turn", "notch"),
)
"""Mistakes that are asked about though they are stopped, each with the kind of feature that tells right from wrong."""
SHEATHED = ("ptfe-encapsulated",)
"""Materials that are a core in a sheath."""
LINK_NEAR_MM = 1.0
"""How far beside the hole, notch or keyway that it is for a part may stand, or by half the feature's size."""
FOUND_BY = ("hole", "notch", "keyway")
"""Kinds of features into which a part of the other piece goes: a dowel, a pin, a key."""

Telling = Literal[
    "edges",
    "flats",
    "notches",
    "dowels",
    "keyways",
    "other part",
    "second",
    "gone",
    "turned",
    "sheathed",
    "solid rubber",
]
"""What a pair of pictures is told apart by."""

_TOLD_BY: dict[str, Telling] = {"hole": "dowels", "flats": "flats", "notch": "notches"}


@dataclass(frozen=True)
class OrientationCard:
    """A mistake to look for: what to show right and wrong, and what is then wrong.

    ``right`` and ``wrong`` are places by part key; parts of ``missing`` are shown right and left away wrong, those of
    ``second`` stand in the wrong picture twice. Equal parts (twins, rows) share the card of the first.
    """

    id: str
    step: int
    step_id: str
    parts: tuple[str, ...]
    """What the card shows fitted."""
    also: tuple[str, ...]
    """Equal parts to which it applies alike."""
    kind: MistakeKind
    other: str
    """The part taken instead, or the twin."""
    wrong_because: tuple[Effect, ...]
    right: dict[str, Place] = field(default_factory=dict)
    wrong: dict[str, Place] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    second: tuple[str, ...] = ()
    around: tuple[str, ...] = ()
    """Neighbours that belong into both pictures, nearest kin first; where it is ``opened``, the other piece."""
    out: Vec3 = Z
    """Unit vector from its seat to where it is fitted from."""
    stopped: bool = False
    """Whether the solids stop it: then it is asked about all the same."""
    opened: bool = False
    """Both mating faces are shown, opened like a book."""
    links: tuple[str, ...] = ()
    """Parts of one piece that go into the other: dowels, pins, keys."""
    telling: Telling = "turned"
    wrong_material: str = ""
    """What the part is made of that is taken instead, where that is all that differs."""
    outer: bool | None = None
    """Of *edges*: whether the right one bears at a greater radius than the wrong one."""


def make_cards(assembly: Assembly, graph: OrderGraph, fits: Iterable[Misfit]) -> list[OrientationCard]:
    """Return a card for each mistake that goes in; equal parts with the same outcome share one."""
    groups: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in fits:
        if fit.verdict == "goes in":
            groups.setdefault(_likeness(assembly, fit), []).append(fit)
    return [_card(assembly, graph, group) for group in groups.values()]


def make_asked_cards(assembly: Assembly, graph: OrderGraph, fits: Iterable[Misfit]) -> list[OrientationCard]:
    """Return a card for each mistake of :data:`ASKED` that is stopped, and for each soft part that is stopped weakly.

    Equal parts share one.
    """
    groups: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in fits:
        told_by = {f.kind for k in fit.parts for f in assembly.parts[k].features if f.mates}
        lead_tells = {f.kind for f in assembly.parts[fit.lead].features}
        asked = any(fit.kind == kind and by in told_by & lead_tells for kind, by in ASKED)
        # Rubber gives: a stop that rests on so little of it is none.
        soft = fit.kind == "swapped" and fit.weak and assembly.parts[fit.lead].elastic is not None
        if fit.verdict == "stopped" and (asked or soft) and fit.places:
            key = (fit.kind, *(tuple(sorted(assembly.parts[k].kind for k in fit.parts))))
            groups.setdefault(key, []).append(fit)
    return [_card(assembly, graph, group) for group in groups.values()]


def make_kind_cards(
    assembly: Assembly, moves: Iterable[PlannedMove], touching: Mapping[str, Collection[str]]
) -> list[OrientationCard]:
    """Return a card for each part that one of the same shape in another material is taken for.

    ``touching`` is what touches each part.
    """
    parts = assembly.parts
    found = []
    for move in moves:
        for key in move.parts:
            part = parts[key]
            if not part.taken_for or not move.move.into or len(move.parts) > 1:
                continue
            place = move.poses[key] @ part.place if key in move.poses else part.place
            # Nothing presses it as yet: it lies on the floor of its groove.
            up = part.elastic.squeeze_mm if part.elastic else 0.0
            place = place.moved(*(up * x for x in _out(move)))
            near = [k for k in parts if k in touching.get(key, ()) and k in move.present]
            found.append(
                OrientationCard(
                    id=f"{move.step_id}-{key}-{part.taken_for}",
                    step=move.step,
                    step_id=move.step_id,
                    parts=(key,),
                    also=(),
                    kind="swapped",
                    other=key,
                    wrong_because=(),
                    right={key: place},
                    wrong={key: place},
                    around=tuple(near),
                    out=_out(move),
                    telling="sheathed" if part.material in SHEATHED else "solid rubber",
                    wrong_material=part.taken_for,
                )
            )
    return found


def _likeness(assembly: Assembly, fit: Misfit) -> tuple[object, ...]:
    parts = assembly.parts
    kinds = tuple(sorted(parts[k].kind for k in fit.parts))
    other = parts[fit.other].kind if fit.other else ""
    side = parts[fit.other].side if fit.kind == "other side" else None
    effects = (alike_effect(parts, e) for e in fit.wrong)
    return (fit.kind, fit.about, fit.turn_deg, kinds, other, side, *effects)


def _card(assembly: Assembly, graph: OrderGraph, group: list[Misfit]) -> OrientationCard:
    first = group[0]
    parts = assembly.parts
    also = tuple(dict.fromkeys(k for fit in group[1:] for k in fit.parts if k not in first.parts))
    move = next(m for m in graph.moves if m.step == first.step and set(first.parts) <= set(m.parts))
    poses = move.poses
    mistake = (first.kind, *((first.about, f"{first.turn_deg:g}") if first.about else ()), first.other)
    right = {k: poses[k] @ parts[k].place if k in poses else parts[k].place for k in first.parts}
    wrong = dict(first.places)
    if first.kind == "other side":
        _exchange(assembly, first, right, wrong)
    stopped = first.verdict == "stopped"
    links: tuple[str, ...] = ()
    lead_tells = {f.kind for f in parts[first.lead].features if f.mates}
    opened = any(first.kind == kind and by in lead_tells for kind, by in ASKED)
    # Twins that change places are looked at with all that either is fitted to.
    there = set(parts) if first.kind == "other side" else set(move.present) | set(right)
    if opened or first.kind == "other side":
        links = _links(parts, graph, right, _out(move), there)
        opened |= bool(links)
    near = {n for k in right for n in graph.touching[k]} - set(right)
    around = sorted(near, key=lambda k: (parts[k].elastic is not None, list(parts).index(k)))[:MOST_AROUND]
    if opened:
        other_piece = _other_piece(parts, graph, first, right, links, there)
        opened, around = bool(other_piece), other_piece or around
    telling, outer = _telling(parts, first, bool(links))
    return OrientationCard(
        id="-".join(w.replace(" ", "-") for w in (first.step_id, first.parts[0], *mistake) if w),
        step=first.step,
        step_id=first.step_id,
        parts=first.parts,
        also=also,
        kind=first.kind,
        other=first.other,
        wrong_because=first.wrong,
        right=right,
        wrong=wrong,
        missing=first.parts if first.kind == "left out" else (),
        second=first.parts if first.kind == "fitted twice" else (),
        around=tuple(around),
        out=_out(move),
        stopped=stopped,
        opened=opened,
        links=links,
        telling=telling,
        outer=outer,
    )


def _out(move: PlannedMove) -> Vec3:
    if not move.path.stretches:
        return Z
    x, y, z = move.path.stretches[0].slide
    long = math.hypot(x, y, z)
    return (x / long, y / long, z / long) if long > 1e-9 else Z


def _exchange(assembly: Assembly, fit: Misfit, right: dict[str, Place], wrong: dict[str, Place]) -> None:
    """Let the twins change places: who fits one on the other side has the other left for this one."""
    twin, lead = assembly.parts[fit.other], fit.lead
    x, y, z = (w - r for w, r in zip(wrong[lead].shift, right[lead].shift, strict=True))
    right[twin.key] = twin.place
    wrong[twin.key] = twin.place.moved(-x, -y, -z)


def _links(
    parts: Mapping[str, Part],
    graph: OrderGraph,
    own: Mapping[str, Place],
    out: Vec3,
    there: Collection[str],
) -> tuple[str, ...]:
    """Return what of ``there`` goes from one piece into the other: what a hole, notch or keyway of ``own`` is for."""
    found = set()
    for key, place in own.items():
        for f in parts[key].features:
            if f.kind not in FOUND_BY or not f.mates:
                continue
            near = max(LINK_NEAR_MM, f.size_mm / 2)
            at = np.array(place.point(f.origin))
            for other in parts.values():
                apart = np.array((own.get(other.key) or other.place).shift) - at
                apart -= np.array(out) * float(apart @ np.array(out))
                beyond = other.key not in own or any(
                    n in there and n not in own for n in graph.touching[other.key]
                )
                if other.kind == f.mates and other.key in there and beyond and np.linalg.norm(apart) < near:
                    found.add(other.key)
    return tuple(k for k in parts if k in found)


def _other_piece(
    parts: Mapping[str, Part],
    graph: OrderGraph,
    fit: Misfit,
    own: Mapping[str, Place],
    links: Sequence[str],
    there: Collection[str],
) -> list[str]:
    """Return what of ``there`` ``own`` are fitted to: what the links sit in, or what flats are for."""
    found = {k for k in links if k not in own}
    for link in links:
        found |= {n for n in graph.touching[link] if n not in own and parts[n].elastic is None}
    if not links:
        wanted = {f.mates for f in parts[fit.lead].features if f.kind == "flats"}
        found |= {n for n in graph.touching[fit.lead] if parts[n].kind in wanted}
    return [k for k in parts if k in found and k in there]


def _telling(parts: Mapping[str, Part], fit: Misfit, linked: bool) -> tuple[Telling, bool | None]:
    """Return what the pictures are told apart by."""
    kinds = {f.kind for f in parts[fit.lead].features}
    if fit.kind == "left out":
        return "gone", None
    if fit.kind == "fitted twice":
        return "second", None
    if fit.kind == "swapped":
        return "other part", None
    if fit.kind == "other side":
        return ("keyways" if linked and "keyway" in kinds else "turned"), None
    for e in fit.wrong:
        if e.kind == "bears elsewhere" and e.mm is not None and e.right_mm is not None:
            return "edges", e.right_mm > e.mm
    for kind, by in ASKED:
        if fit.kind == kind and by in kinds:
            return _TOLD_BY[by], None
    return "turned", None
