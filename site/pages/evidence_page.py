"""What the evidence page shows: what was proven and how, the smallest gaps, the order as a picture, the wrong ways."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from ...geometry.assembly import Assembly
from ...sequences.misfits.findings import Misfit, alike_outcome, kin
from ...sequences.misfits.misfit_effects import SHIFT_MM
from ...sequences.order.order_graph import PlannedMove
from ...sequences.order.paths import GAP_REACH_MM
from ...sequences.proof.assembly_proof import FOLDER, AssemblyProof, Soundness
from ...sequences.proof.evidence import METHODS, Evidence
from ...sequences.steps.plan import Plan
from ..words.catalogue import Words
from ..words.findings import proof_sentences, timing_sentences
from ..words.misfit_words import mistake_words, outcome_words, pin_sentence, told_figures
from ..words.order_words import why_words
from ..words.part_names import PartNames, start
from .cards.cards import CardView
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

    soundness: Soundness
    faults: tuple[str, ...]
    """What is wrong, one sentence each."""
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
    names = PartNames(words, assembly.parts)
    all_of = list(proof.by_sequence.values())
    # What several sequences show alike is told once.
    timings = dict.fromkeys(replace(t, step=0, step_id="") for e in all_of for t in e.phases)
    pins = {(p.large, p.small): p for e in all_of for p in e.pins}
    return EvidenceView(
        soundness=proof.soundness,
        faults=proof_sentences(proof, assembly, plans, words),
        methods=tuple(_methods(proof, words)),
        sequences=tuple(
            _sequence(PartNames(words, assembly.parts, p), p, proof.by_sequence[p.sequence], cards, step_at)
            for p in shown
        ),
        turning=tuple(_turning(names, proof)),
        phases=tuple(text for t in timings for text in timing_sentences(names, t)),
        pins=tuple((pin_sentence(names, p), p.enough) for p in pins.values()),
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
        "reach": words(
            "evidence.tools_reach",
            reach=sum(len(tools) for e in all_of for tools in e.reach.tools.values())
            - len({(e.sequence, f.step, f.operation, f.at) for e in all_of for f in e.reach.found}),
            count=sum(len(tools) for e in all_of for tools in e.reach.tools.values()),
        ),
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
    turns = proof.turns or proof.turn is not None or any(e.turns or e.phases for e in all_of)
    for name in METHODS:
        if name == "turning" and not turns:
            continue  # nothing turns in any step
        if name == "reach" and not any(e.reach.tools or e.reach.found for e in all_of):
            continue  # no act names a tool
        key = name.replace(" ", "_")
        yield MethodView(words(f"evidence.topic.{key}"), words(f"evidence_method.{key}"), results[name])


def _sequence(
    names: PartNames,
    plan: Plan,
    evidence: Evidence,
    cards: Sequence[CardView],
    step_at: Callable[[str, int], str],
) -> SequenceProof:
    words = names.words

    def use(number: int) -> Use:
        return Use(words("steps.step", number=number), step_at(plan.sequence, number))

    by_step: dict[int, list[PlannedMove]] = {}
    for m in evidence.moves:
        by_step.setdefault(m.step, []).append(m)
    nodes = [
        Node(number, names.box_title(moves), step_at(plan.sequence, number))
        for number, moves in by_step.items()
    ]
    edges = {(evidence.moves[e.first].step, evidence.moves[e.then].step) for e in evidence.edges}
    titles = {s.number: s.title for s in plan.steps}
    order = tuple(
        OrderRow(
            use(r.step),
            titles[r.step],
            why_words(names, evidence, r.step),
            _window(r.step, r.earliest, r.latest, words),
        )
        for r in evidence.reasons
    )
    return SequenceProof(
        plan.sequence,
        plan.title,
        tuple(_gaps(names, evidence, use)),
        order,
        draw_order(
            nodes, edges, words("evidence.picture", title=plan.title, count=len(nodes)), plan.sequence
        ),
        tuple(_wrong(names, evidence, cards, use)),
        f"{FOLDER}/{plan.sequence}.json",
        evidence.key,
    )


def _window(step: int, earliest: int, latest: int, words: Words) -> str:
    if earliest > latest:
        return words("evidence.nowhere")
    if earliest == step == latest:
        return words("evidence.only_here")
    return words("evidence.window", first=earliest, last=latest)


def _gaps(names: PartNames, evidence: Evidence, use: Callable[[int], Use]) -> Iterable[GapRow]:
    least = min((m.path.gap.mm for m in evidence.moves if m.path.gap), default=math.inf)
    parts, words = names.parts, names.words
    alike: dict[tuple[object, ...], list[PlannedMove]] = {}
    for m in evidence.moves:
        gap = m.path.gap
        kinds = tuple(parts[k].kind for k in m.parts)
        found = () if gap is None else (round(gap.mm, 2), parts[gap.part].kind, parts[gap.other].kind)
        alone = m.number if m.path.blocks else None
        alike.setdefault((kinds, tuple(_legs(m)), m.path.found, found, alone), []).append(m)
    for several in alike.values():
        m = several[0]
        path, gap = m.path, m.path.gap
        blocked = "; ".join(
            words(
                "evidence.blocked",
                part=names.several([b.part]),
                by=names.several([b.by]),
                far=mm(b.remaining_mm, 1),
            )
            for b in path.blocks
        )
        yield GapRow(
            tuple(use(n) for n in dict.fromkeys(x.step for x in several)),
            start(names.moves(several)),
            _travel(m, words),
            ""
            if blocked
            else words.figures(mm(gap.mm))
            if gap
            else words("evidence.wide", reach=mm(GAP_REACH_MM, 0)),
            words("evidence.pair", part=names.several([gap.part]), other=names.several([gap.other]))
            if gap
            else "",
            _from_place(gap.from_place_mm, words) if gap else "",
            gap is not None and gap.mm <= least + 1e-9,
            start(blocked),
        )


def _from_place(value: float, words: Words) -> str:
    return words("evidence.at_place") if value < 0.05 else words("evidence.from_place", far=mm(value, 1))


def _legs(move: PlannedMove) -> Iterable[tuple[str, float, float]]:
    """Yield the legs of a travel as they are done: kind, turn (turns of a screw, degrees), slide (mm), as told."""
    for s in reversed(move.path.stretches) if move.move.into else move.path.stretches:
        if s.turn_deg and s.length_mm > 0.01:
            yield "screw", round(abs(s.turn_deg) / 360, 1), round(s.length_mm, 0)
        elif s.turn_deg:
            yield "turned", round(abs(s.turn_deg), 0), 0.0
        elif s.length_mm > 0.01:
            yield "slide", 0.0, round(s.length_mm, 0)


def _travel(move: PlannedMove, words: Words) -> str:
    said = [
        words(f"evidence.{kind}", turns=f"{turn:.1f}", angle=f"{turn:.0f}", far=mm(far, 0))
        for kind, turn, far in _legs(move)
    ]
    text = words("list.then").join(said)
    return words("evidence.found", travel=text) if move.path.found else text


def _wrong(
    names: PartNames, evidence: Evidence, cards: Sequence[CardView], use: Callable[[int], Use]
) -> Iterable[tuple[str, tuple[WrongRow, ...]]]:
    parts, words = names.parts, names.words
    rows: dict[tuple[object, ...], list[Misfit]] = {}
    for fit in evidence.wrong_fits:
        kinds = tuple(sorted(parts[k].kind for k in fit.parts))
        other = kin(parts[fit.other]) if fit.kind == "swapped" else None
        key = (fit.verdict, kinds, fit.kind, other, *alike_outcome(parts, fit))
        rows.setdefault(key, []).append(fit)
    by_verdict: dict[str, list[WrongRow]] = {v: [] for v in VERDICTS}
    for fits in rows.values():
        first = fits[0]
        card = next((c for c in cards if any(_on_card(f, c) for f in fits)), None)
        keys = list(dict.fromkeys(k for f in fits for k in f.parts))
        by_verdict[first.verdict].append(
            WrongRow(
                steps=tuple(use(n) for n in sorted({f.step for f in fits})),
                part=start(names.several(keys)),
                way=mistake_words(names, first),
                figures=", ".join(_figures(first, words)),
                sentence=outcome_words(names, evidence.moves, first),
                weak=first.weak,
                card=Use(words("evidence.to_card"), f"cards.html#{card.anchor}") if card else None,
            )
        )
    for verdict in VERDICTS:
        if by_verdict[verdict]:
            yield verdict, tuple(by_verdict[verdict])


def _on_card(fit: Misfit, card: CardView) -> bool:
    return fit.verdict == "goes in" and all((fit.kind, k) in card.covers for k in fit.parts)


def _figures(fit: Misfit, words: Words) -> Iterable[str]:
    """Yield the figures of a mistake that its outcome does not tell."""
    told = told_figures(fit)
    if fit.short_mm > 0 and "short_mm" not in told:
        yield words("evidence.short_of", far=mm(fit.short_mm, 1))
    if fit.too_big_mm > 0 and "too_big_mm" not in told:
        yield words("evidence.too_big", far=mm(fit.too_big_mm))
    if fit.verdict == "goes in" and abs(fit.shift_mm) >= SHIFT_MM and "shift_mm" not in told:
        yield words("evidence.shifted", far=mm(abs(fit.shift_mm)))


def _turning(names: PartNames, proof: AssemblyProof) -> Iterable[TurnRow]:
    turn, words = proof.turn, names.words
    if turn is None:
        return
    pair = turn.pair
    yield TurnRow(
        words("evidence.pair_least"),
        words("evidence.pair_at", gap=mm(pair.smallest_gap_mm, 3), angle=f"{pair.smallest_at_deg:.1f}"),
    )
    yield TurnRow(words("evidence.pair_proven"), words.figures(mm(pair.proven_least_mm, 3)))
    yield TurnRow(
        words("evidence.pair_most"),
        words("evidence.pair_at", gap=mm(pair.largest_gap_mm, 3), angle=f"{pair.largest_at_deg:.1f}"),
    )
    for s in turn.still[:4]:
        part, other = (names.several([k]) for k in (s.moving, s.still))
        yield TurnRow(words("evidence.still", part=start(part), other=other), words.figures(mm(s.gap_mm, 3)))


__all__ = ["PAGE", "VERDICTS", "EvidenceView", "make_evidence", "mm"]
