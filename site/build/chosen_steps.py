"""Which steps of a booklet are meant: a sequence, a section of it, one step, or those from one number to another."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from ...sequences.files.faults import likely
from ...sequences.steps.plan import Plan, Step

_NUMBERS = re.compile(r"(\d{1,4})(?:-(\d{1,4}))?", re.A)


class UnknownSteps(ValueError):
    """Names of steps that a booklet does not have; the message tells all of them, with what there is."""


def steps_of(plans: Sequence[Plan]) -> dict[str, tuple[Step, ...]]:
    """Return the steps of each sequence that has any, by its name."""
    return {p.sequence: p.steps for p in plans if p.steps}


def chosen_steps(there: Mapping[str, Sequence[Step]], names: Sequence[str]) -> dict[str, tuple[int, ...]]:
    """Return the numbers of the steps that are meant, by sequence, in the booklet's order; without names, of all.

    ``assembly`` is a whole sequence, ``assembly/rotors`` one of its sections, ``assembly/rotor_drive`` or
    ``assembly/12`` one step, ``assembly/12-15`` a few. A section goes before a step of the same name.

    Raises:
        UnknownSteps: with everything that there is not.
    """
    meant: dict[str, set[int]] = {s: set() for s in there}
    faults = []
    for name in names or list(there):
        sequence, _, inner = name.partition("/")
        if sequence not in there:
            faults.append(_fault(f"no sequence {sequence}", sequence, list(there)))
            continue
        found = _numbers(there[sequence], inner)
        if not found:
            steps = there[sequence]
            inside = [*dict.fromkeys(s.section for s in steps), *(s.id for s in steps)]
            allowed = [*dict.fromkeys(inside), f"or a number from 1 to {steps[-1].number}, such as 2 or 2-4"]
            faults.append(_fault(f"no section or step {inner} in {sequence}", inner, inside, allowed))
        meant[sequence] |= found
    if faults:
        raise UnknownSteps("\n".join(faults))
    return {s: tuple(sorted(n)) for s, n in meant.items() if n}


def _numbers(steps: Sequence[Step], inner: str) -> set[int]:
    if not inner:
        return {s.number for s in steps}
    if found := {s.number for s in steps if s.section == inner} or {s.number for s in steps if s.id == inner}:
        return found
    if not (m := _NUMBERS.fullmatch(inner)):
        return set()
    first, last = int(m[1]), int(m[2] or m[1])
    there = {s.number for s in steps}
    asked = range(first, last + 1)
    return set(asked) if asked and asked[0] in there and asked[-1] in there else set()


def _fault(found: str, name: str, near: Sequence[str], allowed: Sequence[str] = ()) -> str:
    guess = likely(name, list(near))
    fix = f"; did you mean {guess}?" if guess else ""
    return f"{found}{fix}\nallowed: {', '.join(allowed or near)}"
