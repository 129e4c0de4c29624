"""What the evidence page shows: what was proven and how, the smallest gaps, the order as a picture, the wrong ways."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ...geometry.assembly import Assembly
from ...sequences.misfits.misfits import Misfit
from ...sequences.order.order_graph import PlannedMove
from ...sequences.order.paths import GAP_REACH_MM
from ...sequences.proof.assembly_proof import FOLDER, AssemblyProof
from ...sequences.proof.evidence import METHODS, Evidence
from ...sequences.proof.shaft_timing import TimingEvidence
from ...sequences.steps.part_words import start, words_of_parts
from ...sequences.steps.plan import Plan
from ..words.catalogue import Words
from .cards import CardView
from .order_picture import Node, draw_order
from .view_models import NBSP, Use

PAGE = "evidence.html"
VERDICTS = ("goes in", "stopped", "no difference")


@dataclass(frozen=True)
class MethodView:
    """One thing that was proven, and how."""

    title: str
    text: str
    result: str


@dataclass(frozen=True)
class GapRow:
    """The tightest spot on the way of a move, or of several alike."""

    steps: tuple[Use, ...]
    parts: str
    travel: str
    gap: str
    pair: str
    place: str
    tightest: bool
    blocked: str = ""
    """What is in the way, where the path is not clear."""


@dataclass(frozen=True)
class OrderRow:
    """Why a step stands where it does, and where else it might."""

    step: Use
    title: str
    why: str
    window: str


@dataclass(frozen=True)
class WrongRow:
    """A mistake (of equal parts, counted together) and what came of it."""

    steps: tuple[Use, ...]
    part: str
    way: str
    figures: str
    sentence: str
    weak: bool
    card: Use | None


@dataclass(frozen=True)
class SequenceProof:
    """What was shown about one sequence."""

    id: str
    title: str
    gaps: tuple[GapRow, ...]
    order: tuple[OrderRow, ...]
    picture: Markup
    wrong: tuple[tuple[str, tuple[WrongRow, ...]], ...]
    """Verdict to its rows, what goes in first; empty where nothing is fitted."""
    file: str
    key: str


@dataclass(frozen=True)
class TurnRow:
    """A figure of the turning parts."""

    what: str
    figure: str


@dataclass(frozen=True)
class EvidenceView:
    """Everything on the evidence page of one head."""

    faults: tuple[str, ...]
    methods: tuple[MethodView, ...]
    sequences: tuple[SequenceProof, ...]
    turning: tuple[TurnRow, ...]
    phases: tuple[str, ...]
    """Sentences about the angles of the shafts at which parts go in, and about parts set over."""
    pins: tuple[tuple[str, bool], ...]
    """Sentence, and whether the difference is enough."""


def in_booklet(sequence: str, step: int) -> str:
    """Return the address of a step in a booklet."""
    return f"{sequence}.html#step-{step}"


def make_evidence(
    assembly: Assembly,
    plans: Sequence[Plan],
    proof: AssemblyProof,
    cards: Sequence[CardView],
    words: Words,
    step_at: Callable[[str, int], str] = in_booklet,
) -> EvidenceView:
    """Arrange the proof of a head for reading; ``step_at`` gives the address of a step of a sequence."""
    shown = [p for p in plans if p.sequence in proof.by_sequence]
    sequences = tuple(
        _sequence(assembly, p, proof.by_sequence[p.sequence], cards, words, step_at) for p in shown
    )
    all_of = list(proof.by_sequence.values())
    phases = [text for e in all_of for p in e.phases for text in _phase(p)]
    pins = dict.fromkeys((start(p.sentence), p.enough) for e in all_of for p in e.pins)
    return EvidenceView(
        faults=proof.violations,
        methods=tuple(_methods(proof, words)),
        sequences=sequences,
        turning=tuple(_turning(assembly, proof, words)),
        phases=tuple(dict.fromkeys(phases)),
        pins=tuple(pins),
    )


def mm(value: float, places: int = 2) -> str:
    """Return a length with its unit, never broken between the two.

    >>> mm(0.0512)
    '0.05\\xa0mm'
    """
    return f"{value:.{places}f}{NBSP}mm"


def _methods(proof: AssemblyProof, words: Words) -> Iterable[MethodView]:
    all_of = list(proof.by_sequence.values())
    moves = [m for e in all_of for m in e.moves]
    fits = [f for e in all_of for f in e.wrong_fits]
    gaps = [m.path.gap.mm for m in moves if m.path.gap]
    counted = {v: sum(1 for f in fits if f.verdict == v) for v in VERDICTS}
    results = {
        "in place": words(
            "evidence.overlaps", count=len({(c.part, c.other) for e in all_of for c in e.clashes})
        ),
        "paths": words("evidence.paths_clear", clear=sum(1 for m in moves if m.path.clear), count=len(moves)),
        "gaps": words("evidence.least_gap", gap=mm(min(gaps))) if gaps else words("evidence.no_gap"),
        "order": words("evidence.order_faults", count=sum(len(e.faults) for e in all_of)),
        "wrong ways": words(
            "evidence.tried",
            count=len(fits),
            stopped=counted["stopped"],
            goes_in=counted["goes in"],
            same=counted["no difference"],
        ),
        "turning": words("evidence.turn_least", gap=mm(proof.turn.pair.proven_least_mm, 3))
        if proof.turn
        else words("evidence.turn_none"),
    }
    turns = proof.turn is not None or any(e.turns or e.phases for e in all_of)
    for name, method in METHODS.items():
        if name == "turning" and not turns:
            continue  # nothing turns in any step
        key = name.replace(" ", "_")
        yield MethodView(
            words(f"evidence.topic.{key}"), words.get(f"evidence.method.{key}", method), results[name]
        )


def _sequence(
    assembly: Assembly,
    plan: Plan,
    evidence: Evidence,
    cards: Sequence[CardView],
    words: Words,
    step_at: Callable[[str, int], str],
) -> SequenceProof:
    def use(number: int) -> Use:
        return Use(words("steps.step", number=number), step_at(plan.sequence, number))

    graph = evidence.graph(assembly, plan)
    by_step: dict[int, list[PlannedMove]] = {}
    for m in evidence.moves:
        by_step.setdefault(m.step, []).append(m)
    nodes = []
    for number, moves in by_step.items():
        units = [plan.unit_titles[u] for m in moves if (u := graph.unit_of(m)) and u in plan.unit_titles]
        loose = [k for m in moves if not graph.unit_of(m) for k in m.parts]
        said = ", ".join([*units, *([words_of_parts(assembly.parts, loose)] if loose else [])])
        nodes.append(Node(number, start(said.removeprefix("the ")), step_at(plan.sequence, number)))
    edges = {(evidence.moves[e.first].step, evidence.moves[e.then].step) for e in evidence.edges}
    titles = {s.number: s.title for s in plan.steps}
    order = tuple(
        OrderRow(use(r.step), titles[r.step], r.why_now, _window(r.step, r.earliest, r.latest, words))
        for r in evidence.reasons
    )
    return SequenceProof(
        plan.sequence,
        plan.title,
        tuple(_gaps(assembly, evidence, use, graph.said, words)),
        order,
        draw_order(
            nodes, edges, words("evidence.picture", title=plan.title, count=len(nodes)), plan.sequence
        ),
        tuple(_wrong(assembly, evidence, cards, use, words)),
        f"{FOLDER}/{plan.sequence}.json",
        evidence.key,
    )


def _window(step: int, earliest: int, latest: int, words: Words) -> str:
    if earliest > latest:
        return words("evidence.nowhere")
    if earliest == step == latest:
        return words("evidence.only_here")
    return words("evidence.window", first=earliest, last=latest)


def _gaps(
    assembly: Assembly, evidence: Evidence, use: Callable[[int], Use], said: Callable[..., str], words: Words
) -> Iterable[GapRow]:
    least = min((m.path.gap.mm for m in evidence.moves if m.path.gap), default=math.inf)
    parts = assembly.parts
    alike: dict[tuple[object, ...], list[PlannedMove]] = {}
    for m in evidence.moves:
        gap = m.path.gap
        kinds = tuple(parts[k].kind for k in m.parts)
        found = () if gap is None else (mm(gap.mm), parts[gap.part].kind, parts[gap.other].kind)
        alone = m.number if m.path.blocks else None
        alike.setdefault((kinds, _travel(m, words), found, alone), []).append(m)
    for several in alike.values():
        m = several[0]
        path, gap = m.path, m.path.gap
        blocked = "; ".join(
            words(
                "evidence.blocked",
                part=words_of_parts(parts, [b.part]),
                by=words_of_parts(parts, [b.by]),
                far=mm(b.remaining_mm, 1),
            )
            for b in path.blocks
        )
        yield GapRow(
            tuple(use(n) for n in dict.fromkeys(x.step for x in several)),
            start(said(*several)),
            _travel(m, words),
            "" if blocked else mm(gap.mm) if gap else words("evidence.wide", reach=mm(GAP_REACH_MM, 0)),
            words(
                "evidence.pair",
                part=words_of_parts(parts, [gap.part]),
                other=words_of_parts(parts, [gap.other]),
            )
            if gap
            else "",
            _from_place(gap.from_place_mm, words) if gap else "",
            gap is not None and gap.mm <= least + 1e-9,
            start(blocked),
        )


def _from_place(value: float, words: Words) -> str:
    return words("evidence.at_place") if value < 0.05 else words("evidence.from_place", far=mm(value, 1))


def _travel(move: PlannedMove, words: Words) -> str:
    said = []
    for s in reversed(move.path.stretches) if move.move.into else move.path.stretches:
        if s.turn_deg and s.length_mm > 0.01:
            said.append(words("evidence.screw", turns=f"{abs(s.turn_deg) / 360:.1f}", far=mm(s.length_mm, 0)))
        elif s.turn_deg:
            said.append(words("evidence.turned", angle=f"{abs(s.turn_deg):.0f}"))
        elif s.length_mm > 0.01:
            said.append(words("evidence.slide", far=mm(s.length_mm, 0)))
    text = words("list.then").join(said)
    return words("evidence.found", travel=text) if move.path.found else text


def _wrong(
    assembly: Assembly,
    evidence: Evidence,
    cards: Sequence[CardView],
    use: Callable[[int], Use],
    words: Words,
) -> Iterable[tuple[str, tuple[WrongRow, ...]]]:
    rows: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in evidence.wrong_fits:
        kinds = tuple(sorted(assembly.parts[k].kind for k in fit.parts))
        way = fit.kind if fit.kind in ("end for end", "other side") else _bare(fit.words)
        key = (fit.verdict, kinds, fit.kind, way, _bare(_outcome(fit)))
        rows.setdefault(key, []).append(fit)
    by_verdict: dict[str, list[WrongRow]] = {v: [] for v in VERDICTS}
    for fits in rows.values():
        first = fits[0]
        card = next((c for c in cards if any(_on_card(f, c) for f in fits)), None)
        keys = list(dict.fromkeys(k for f in fits for k in f.parts))
        by_verdict[first.verdict].append(
            WrongRow(
                steps=tuple(use(n) for n in sorted({f.step for f in fits})),
                part=start(words_of_parts(assembly.parts, keys)),
                way=words.get(f"mistake.{first.kind.replace(' ', '_')}", first.kind)
                if first.kind not in ("part turn", "swapped")
                else first.words,
                figures=", ".join(
                    f for f in _figures(first, words) if f.split(NBSP)[0] not in first.sentence
                ),
                sentence=_outcome(first),
                weak=first.weak,
                card=Use(words("evidence.to_card"), f"cards.html#{card.anchor}") if card else None,
            )
        )
    for verdict in VERDICTS:
        if by_verdict[verdict]:
            yield verdict, tuple(by_verdict[verdict])


def _outcome(fit: Misfit) -> str:
    """Return what came of a mistake, without the words that the other columns say."""
    if fit.wrong:
        return " ".join(fit.wrong)
    said = fit.sentence.split(": ", 1)[-1]
    return start(said)


def _on_card(fit: Misfit, card: CardView) -> bool:
    return fit.verdict == "goes in" and all((fit.kind, k) in card.covers for k in fit.parts)


def _bare(text: str) -> str:
    for side in ("drive", "driven"):
        text = text.replace(f" ({side} side)", "")
    return "".join(c for c in text if not c.isdigit())


def _figures(fit: Misfit, words: Words) -> list[str]:
    said = []
    if fit.short_mm > 0:
        said.append(words("evidence.short_of", far=mm(fit.short_mm, 1)))
    if fit.too_big_mm > 0:
        said.append(words("evidence.too_big", far=mm(fit.too_big_mm)))
    if fit.verdict == "goes in" and abs(fit.shift_mm) >= 0.06:
        said.append(words("evidence.shifted", far=mm(abs(fit.shift_mm))))
    return said


def _turning(assembly: Assembly, proof: AssemblyProof, words: Words) -> Iterable[TurnRow]:
    turn = proof.turn
    if turn is None:
        return
    pair = turn.pair
    yield TurnRow(
        words("evidence.pair_least"),
        words("evidence.pair_at", gap=mm(pair.smallest_gap_mm, 3), angle=f"{pair.smallest_at_deg:.1f}"),
    )
    yield TurnRow(words("evidence.pair_proven"), mm(pair.proven_least_mm, 3))
    yield TurnRow(
        words("evidence.pair_most"),
        words("evidence.pair_at", gap=mm(pair.largest_gap_mm, 3), angle=f"{pair.largest_at_deg:.1f}"),
    )
    for s in turn.still[:4]:
        named = [words_of_parts(assembly.parts, [k]) for k in (s.moving, s.still)]
        yield TurnRow(words("evidence.still", part=start(named[0]), other=named[1]), mm(s.gap_mm, 3))


def _phase(p: TimingEvidence) -> list[str]:
    return [p.sentence, *(o.sentence for o in p.out_of_phase)]


__all__ = ["PAGE", "VERDICTS", "EvidenceView", "make_evidence", "mm"]
