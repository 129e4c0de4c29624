"""Orientation cards: each mistake that nothing stops, as a right and a wrong picture with a question to answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ...geometry.assembly import Assembly
from ...geometry.frame import Place
from ..order.order_graph import OrderGraph
from ..steps.part_words import start, words_of_parts
from .misfits import Misfit

MOST_AROUND = 6


@dataclass(frozen=True)
class OrientationCard:
    """A mistake to look for: what to show right and wrong, and what to ask.

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
    kind: str
    question: str
    answer: str
    sentence: str
    wrong_because: tuple[str, ...]
    right: dict[str, Place] = field(default_factory=dict)
    wrong: dict[str, Place] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    second: tuple[str, ...] = ()
    around: tuple[str, ...] = ()
    """Neighbours that belong into both pictures, nearest kin first."""


_QUESTIONS = {
    "end for end": "Which way round does {it} go?",
    "half turn": "How is {it} turned?",
    "part turn": "How is {it} turned?",
    "other side": "On which side does {it} belong?",
    "swapped": "Which of the two is {it}?",
    "left out": "What is missing?",
    "fitted twice": "What is there too often?",
}


def make_cards(assembly: Assembly, graph: OrderGraph, fits: Iterable[Misfit]) -> list[OrientationCard]:
    """Return a card for each mistake that goes in; equal parts with the same outcome share one."""
    parts = assembly.parts
    groups: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in fits:
        if fit.verdict != "goes in":
            continue
        kinds = tuple(sorted(parts[k].kind for k in fit.parts))
        other = parts[fit.other].kind if fit.other else ""
        key = (fit.kind, fit.words if fit.kind != "swapped" else "", kinds, other, _plain(fit, assembly))
        groups.setdefault(key, []).append(fit)
    return [_card(assembly, graph, group) for group in groups.values()]


def _plain(fit: Misfit, assembly: Assembly) -> tuple[str, ...]:
    """Return what is wrong without the words that tell twins apart, and without figures."""
    words = []
    for sentence in fit.wrong:
        for side in ("drive", "driven"):
            sentence = sentence.replace(f" ({side} side)", "")
        words.append("".join(c for c in sentence if not c.isdigit()))
    return tuple(words)


def _card(assembly: Assembly, graph: OrderGraph, group: list[Misfit]) -> OrientationCard:
    first = group[0]
    parts = assembly.parts
    it = words_of_parts(parts, first.parts)
    also = tuple(dict.fromkeys(k for fit in group[1:] for k in fit.parts if k not in first.parts))
    near = {n for k in first.parts for n in graph.touching[k]} - set(first.parts)
    poses = next(m.poses for m in graph.moves if m.step == first.step and set(first.parts) <= set(m.parts))
    if first.kind == "left out":
        answer = f"{start(it)}. {' '.join(first.wrong)}"
    elif first.kind == "fitted twice":
        answer = f"{start(it)}: one is enough. {' '.join(first.wrong)}"
    else:
        answer = (
            f"As the right picture shows it. {start(first.words)}, nothing stops it. {' '.join(first.wrong)}"
        )
    return OrientationCard(
        id=f"{first.step_id}-{'-'.join(first.parts[:1])}-{first.words}".replace(" ", "-")
        .replace("(", "")
        .replace(")", ""),
        step=first.step,
        step_id=first.step_id,
        parts=first.parts,
        also=also,
        kind=first.kind,
        question=_QUESTIONS[first.kind].format(it=it),
        answer=answer,
        sentence=first.sentence,
        wrong_because=first.wrong,
        right={k: poses[k] @ parts[k].place if k in poses else parts[k].place for k in first.parts},
        wrong=dict(first.places),
        missing=first.parts if first.kind == "left out" else (),
        second=first.parts if first.kind == "fitted twice" else (),
        around=tuple(
            sorted(near, key=lambda k: (parts[k].elastic is not None, list(parts).index(k)))[:MOST_AROUND]
        ),
    )
