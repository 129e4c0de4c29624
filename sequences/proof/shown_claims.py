"""Whether the solids show what the sentences of steps say of them (:class:`..steps.claims.Claim`)."""

from __future__ import annotations

from collections.abc import Iterator

from ..steps.claims import Angles, Claim
from ..steps.plan import Plan, Step
from .evidence import Evidence


def untrue_claims(plan: Plan, evidence: Evidence) -> Iterator[tuple[Step, Claim]]:
    """Yield every claim of ``plan`` that ``evidence``, of a plan that fits the parts, does not show."""
    for step in plan.steps:
        for claim in step.claims:
            if not is_shown(claim, evidence):
                yield step, claim


def is_shown(claim: Claim, evidence: Evidence) -> bool:
    """Return whether ``evidence`` shows what ``claim`` says; not where it says nothing about it.

    A stop counts where it is one to rely on. Of equal parts, all that were tried have to show it.
    """
    if claim.mistake is not None:
        return _mistake(claim, evidence)
    if claim.before:
        return _before(claim, evidence)
    found = [t for t in evidence.phases if t.part in claim.parts]
    if claim.angles is not None:
        return bool(found) and all(_angles(t.ranges_deg) == claim.angles for t in found)
    over = [o for t in found for o in t.out_of_phase if o.offset_deg == claim.set_over_deg and o.turn_judged]
    said = (claim.goes_in, claim.turns_free)
    return bool(over) and all((o.goes_in, o.collides_at_deg is None) == said for o in over)


def _angles(ranges_deg: tuple[tuple[float, float], ...]) -> Angles:
    if ranges_deg == ((0.0, 360.0),):
        return "every"
    return "some" if ranges_deg else "none"


def _mistake(claim: Claim, evidence: Evidence) -> bool:
    fits = [
        f
        for f in evidence.wrong_fits
        if f.kind == claim.mistake and f.lead in claim.parts and (not claim.other or f.other in claim.other)
    ]
    return bool(fits) and all(f.verdict == claim.verdict and not f.weak for f in fits)


def _before(claim: Claim, evidence: Evidence) -> bool:
    """Return whether the moves of what comes after wait for those of the claim's parts, at once or through others."""
    after: dict[int, set[int]] = {}
    for edge in evidence.edges:
        after.setdefault(edge.first, set()).add(edge.then)
    first, then = (_moves_of(parts, evidence) for parts in (claim.parts, claim.before))
    return bool(first) and bool(then) and all(then & _reached(n, after) for n in first)


def _moves_of(parts: tuple[str, ...], evidence: Evidence) -> set[int]:
    """Return the moves that fit ``parts``: all of them as one, else one by one, else in the smallest unit with them."""
    wanted = set(parts)
    moves = [(m.number, set(m.parts)) for m in evidence.moves if m.move.into]
    as_one = {n for n, moved in moves if moved == wanted}
    singly = {n for n, moved in moves if moved < wanted}
    within = [(len(moved), n) for n, moved in moves if moved > wanted]
    return as_one or singly or ({min(within)[1]} if wanted and within else set())


def _reached(start: int, after: dict[int, set[int]]) -> set[int]:
    found: set[int] = set()
    ahead = [start]
    while ahead:
        for n in after.get(ahead.pop(), set()) - found:
            found.add(n)
            ahead.append(n)
    return found
