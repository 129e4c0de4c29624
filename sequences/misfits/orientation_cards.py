"""Orientation cards: each mistake that nothing stops, with what a right and a wrong picture of it show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ...geometry.assembly import Assembly
from ...geometry.frame import Place
from ..order.order_graph import OrderGraph
from ..steps.claims import MistakeKind
from .findings import Effect, Misfit, alike_effect

MOST_AROUND = 6


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
    """Neighbours that belong into both pictures, nearest kin first."""


def make_cards(assembly: Assembly, graph: OrderGraph, fits: Iterable[Misfit]) -> list[OrientationCard]:
    """Return a card for each mistake that goes in; equal parts with the same outcome share one."""
    parts = assembly.parts
    groups: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in fits:
        if fit.verdict != "goes in":
            continue
        kinds = tuple(sorted(parts[k].kind for k in fit.parts))
        other = parts[fit.other].kind if fit.other else ""
        side = parts[fit.other].side if fit.kind == "other side" else None
        likeness = (fit.about, fit.turn_deg, kinds, other, side, *(alike_effect(parts, e) for e in fit.wrong))
        groups.setdefault((fit.kind, *likeness), []).append(fit)
    return [_card(assembly, graph, group) for group in groups.values()]


def _card(assembly: Assembly, graph: OrderGraph, group: list[Misfit]) -> OrientationCard:
    first = group[0]
    parts = assembly.parts
    also = tuple(dict.fromkeys(k for fit in group[1:] for k in fit.parts if k not in first.parts))
    near = {n for k in first.parts for n in graph.touching[k]} - set(first.parts)
    poses = next(m.poses for m in graph.moves if m.step == first.step and set(first.parts) <= set(m.parts))
    mistake = (first.kind, *((first.about, f"{first.turn_deg:g}") if first.about else ()), first.other)
    return OrientationCard(
        id="-".join(w.replace(" ", "-") for w in (first.step_id, first.parts[0], *mistake) if w),
        step=first.step,
        step_id=first.step_id,
        parts=first.parts,
        also=also,
        kind=first.kind,
        other=first.other,
        wrong_because=first.wrong,
        right={k: poses[k] @ parts[k].place if k in poses else parts[k].place for k in first.parts},
        wrong=dict(first.places),
        missing=first.parts if first.kind == "left out" else (),
        second=first.parts if first.kind == "fitted twice" else (),
        around=tuple(
            sorted(near, key=lambda k: (parts[k].elastic is not None, list(parts).index(k)))[:MOST_AROUND]
        ),
    )
