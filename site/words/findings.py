"""Sentences about what the proof found of a whole plan or head: what is wrong with it, and how its shafts turn."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import Clash
from ...sequences.order.order_graph import OrderFault
from ...sequences.proof.assembly_proof import AssemblyProof, PairNotClear, ProofViolation, TurnIntoStill
from ...sequences.proof.evidence import Evidence, TurnClash, Violation
from ...sequences.proof.shaft_timing import STEP_DEG, OutOfPhase, TimingEvidence
from ...sequences.reach.tool_places import ReachFound
from ...sequences.steps.plan import Plan
from .catalogue import Words
from .order_words import fault_sentence, reach_sentence
from .part_names import PartNames, start

MANY_TEETH = 200
"""Timing gears have fewer teeth than this."""


def proof_sentences(
    proof: AssemblyProof, assembly: Assembly, plans: Iterable[Plan], words: Words
) -> tuple[str, ...]:
    """Return everything that is wrong with a head, one sentence each, with its sequence."""
    by_name = {plan.sequence: plan for plan in plans}
    return tuple(violation_sentence(v, proof.by_sequence, assembly, by_name, words) for v in proof.violations)


def violation_sentence(
    violation: ProofViolation,
    by_sequence: Mapping[str, Evidence],
    assembly: Assembly,
    plans: Mapping[str, Plan],
    words: Words,
) -> str:
    """Return one thing that is wrong with a head, as a sentence."""
    found = violation.finding
    names = PartNames(words, assembly.parts, plans.get(violation.sequence))
    if isinstance(found, PairNotClear):
        return words("violation.pair_not_clear", deg=f"{found.at_deg:.1f}")
    if isinstance(found, TurnIntoStill):
        return start(words("violation.turns_into", part=names.the(found.part), other=names.the(found.other)))
    text = finding_sentence(names, by_sequence[violation.sequence], found)
    return words("violation.of_sequence", sequence=violation.sequence, text=text)


def finding_sentence(names: PartNames, evidence: Evidence, found: Violation) -> str:
    """Return one thing that keeps a plan from being sound, as a sentence."""
    w = names.words
    if isinstance(found, Clash):
        return clash_sentence(names, found)
    if isinstance(found, OrderFault):
        text = fault_sentence(names, evidence.moves, found)
    elif isinstance(found, ReachFound):
        text = reach_sentence(names, found)
    else:
        text = turn_sentence(names, found)
    return w("violation.in_step", number=found.step, id=found.step_id, text=text)


def clash_sentence(names: PartNames, clash: Clash) -> str:
    """Return an overlap in place as a sentence."""
    o = clash.overlap
    part, other = names.several([clash.part]), names.several([clash.other])
    figures = {"mm3": f"{o.volume_mm3:.3g}", "mm": f"{o.depth_mm:.3g}"}
    return start(names.words("violation.overlap", part=part, other=other, **figures))


def turn_sentence(names: PartNames, clash: TurnClash) -> str:
    """Return that a part turns into one that stands still, as a sentence."""
    part, other = names.several([clash.part]), names.several([clash.other])
    return start(names.words("violation.turns_into", part=part, other=other))


# ---- angles of timed shafts


def timing_sentences(names: PartNames, timing: TimingEvidence) -> list[str]:
    """Return at which angles a part goes in, and how a part set over turns, one sentence or two each."""
    return [_goes_in(names, timing), *(_set_over(names, timing, o) for o in timing.out_of_phase)]


def _goes_in(names: PartNames, timing: TimingEvidence) -> str:
    w, part = names.words, names.bare(timing.part)
    if timing.proven:
        text = w("timing.every", part=part)
    elif not timing.ranges_deg:
        text = w("timing.none", part=part)
    elif timing.ranges_deg == ((0.0, 360.0),):
        text = w("timing.looked_at", part=part, deg=f"{STEP_DEG:g}")
    else:
        spans = [w("timing.span", low=f"{a:.1f}", high=f"{b:.1f}") for a, b in timing.ranges_deg]
        told = spans[0]
        for span in spans[1:]:
            told = w("naming.list_next", first=told, next=span)
        text = w("timing.ranges", part=part, spans=told)
    if timing.limit_deg:
        teeth = math.floor(360.0 / timing.limit_deg)
        key = "timing.limit_teeth" if teeth <= MANY_TEETH else "timing.limit"
        text = f"{text} {w(key, deg=f'{timing.limit_deg:.1f}', teeth=teeth)}"
    return start(text)


def _set_over(names: PartNames, timing: TimingEvidence, tried: OutOfPhase) -> str:
    if not tried.turn_judged:
        key = "timing.over_in" if tried.goes_in else "timing.over_not_in"
    elif tried.collides_at_deg is None:
        key = "timing.over_in_free" if tried.goes_in else "timing.over_not_in_free"
    else:
        key = "timing.over_in_collides" if tried.goes_in else "timing.over_not_in_collides"
    at = f"{tried.collides_at_deg or 0.0:.1f}"
    text = names.words(key, deg=f"{tried.offset_deg:g}", part=names.the(timing.part), at=at)
    return start(text)
