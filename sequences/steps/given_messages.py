"""Where each safety message of a plan is given in full, and where in short because its section gave it already.

API::

    give_messages(steps, sections) -> (steps, sections)
    MOST_IN_FULL = 2

A section begins with its own messages in full. A step gives in full what its section has not given yet, at most
:data:`MOST_IN_FULL` of them; what goes beyond that is given in full where the section begins. Each message that a step
holds and its section gave before is a reminder: one line that opens. Nothing is dropped, and no step is told to hold
what it does not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from .cautions import SEVERITY, by_severity
from .plan import Caution, Reminder, Section, Step

MOST_IN_FULL = 2
"""Messages that one step gives in full."""


def give_messages(
    steps: Sequence[Step], sections: Iterable[Section]
) -> tuple[tuple[Step, ...], tuple[Section, ...]]:
    """Return the steps and sections with every message in full once a section, before its first act there.

    Args:
        steps: each with all its messages among its cautions and no reminders.
        sections: each with the messages that it is to begin with.
    """
    told: dict[str, tuple[Caution, ...]] = {}
    done: dict[str, Step] = {}
    for section in sections:
        mine = [s for s in steps if s.section == section.id]
        held = Counter(c.id for s in mine for c in s.cautions)
        opening = list(section.cautions)
        opening += _too_many(mine, {c.id for c in opening}, held)
        told[section.id] = by_severity(opening)
        given: dict[str, int | None] = {c.id: None for c in opening}
        for step in mine:
            new = tuple(c for c in step.cautions if c.id not in given)
            reminders = tuple(Reminder(c, given[c.id]) for c in step.cautions if c.id in given)
            done[step.id] = replace(step, cautions=new, reminders=reminders)
            given |= {c.id: step.number for c in new}
    return tuple(done[s.id] for s in steps), tuple(replace(s, cautions=told[s.id]) for s in sections)


def _too_many(steps: Iterable[Step], given: set[str], held: Counter[str]) -> list[Caution]:
    """Return what must be given before the first step: of what is too much, what most steps hold, then the mildest."""
    known, early = set(given), []
    for step in steps:
        new = [c for c in step.cautions if c.id not in known]
        known |= {c.id for c in new}
        by_use = sorted(new, key=lambda c: (-held[c.id], -SEVERITY.index(c.signal_word)))
        early += by_use[: max(0, len(new) - MOST_IN_FULL)]
    return early
