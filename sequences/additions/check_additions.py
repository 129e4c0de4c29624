"""Hold a plant's additions to the sequences and pumps of its fleet, so that whatever is wrong is told in one run.

API::

    check_additions(additions, sequences, pumps, faults)
    Pump(names, options, parts)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Sequence as Many
from dataclasses import dataclass

from ...geometry.dimensions.options import Options
from ..files.faults import Fault, Faults, FaultsFound, any_of, likely
from ..files.yaml_files import words_of
from ..steps.conditions import belongs
from ..steps.resolve import resolve
from ..steps.sequence_file import Sequence
from .additions import Addition, Additions
from .amend import amended


@dataclass(frozen=True)
class Pump:
    """What of a pump, or of an assembly of the owner's own, decides which additions and steps belong to it."""

    names: tuple[str, ...]
    """Its tag and its size."""
    options: Options
    parts: Mapping[str, str]
    """Part key to kind."""
    surfaces: Mapping[str, Many[str]] | None = None
    """Part key to the names of its surfaces; None: those of a head."""


def check_additions(
    additions: Additions, sequences: Iterable[Sequence], pumps: Iterable[Pump], faults: Faults
) -> None:
    """Note whatever keeps additions from being applied: an id that is gone, a text that is not there, a part that
    nobody fits.

    Args:
        sequences: all that the pumps have, sound ones; pictures or none.
        pumps: all of the fleet that are sound.
    """
    given = list(sequences)
    sound = _with_known_steps(additions.entries, given, faults)
    done: set[tuple[object, ...]] = set()
    seen: set[Fault] = set()
    used: set[int] = set()
    for pump in pumps:
        mine = [a for a in sound if a.is_for(pump.names)]
        there = _steps_of(pump, given, mine)
        used |= {id(a) for a in mine if a.text.step is None or a.text.step in there}
        key = (tuple(map(id, mine)), pump.options, tuple(pump.parts))
        if key in done:
            continue
        done.add(key)
        for sequence in given:
            seen.update(_tried(sequence, mine, pump))
    for a in sound:
        if done and id(a) not in used and not _faulty(a, seen):
            whom = f"the pumps of {any_of(a.text.for_)}" if a.text.for_ else "the pumps of the fleet"
            found = f"the step {a.text.step}, which none of {whom} has"
            seen.add(
                a.fault("step", found, "a step that one of them has", "name another step, or other pumps")
            )
    faults.extend(sorted(seen, key=lambda f: f.order))


def _with_known_steps(
    entries: Iterable[Addition], sequences: Many[Sequence], faults: Faults
) -> list[Addition]:
    """Return the additions whose step is there; the others are noted, with what it is likely called now."""
    own = [a for a in entries if a.text.new is not None]
    where: dict[str, list[str]] = {}
    for sequence in sequences:
        for step in sequence.steps:
            where.setdefault(step.id, []).append(sequence.kind)
    for a in own:
        for kind in tuple(
            where.get(a.text.step or "", ("",))
        ):  # an own id may be that of the step it follows
            where.setdefault(a.text.new.id if a.text.new else "", []).append(kind)
    sound = []
    for a in entries:
        at, of = a.text.step, a.text.sequence
        if at is None:
            sound.append(a)
        elif at not in where:
            near = likely(at, where, 50.0)
            fix = f"write {near}" if near else "look the id up: benchleaf explain assembly"
            allowed = any_of(where, at)
            faults.add(a.fault("step", f"the step '{at}', which is gone or never was", allowed, fix))
        elif of is not None and of not in where[at]:
            fix = f"write {where[at][0]}"
            faults.add(a.fault("sequence", f"{of}, which has no step {at}", any_of(where[at]), fix))
        elif of is None and len(set(where[at])) > 1:
            kinds = list(dict.fromkeys(where[at]))
            allowed = f"sequence: {any_of(kinds)}"
            fix = f"add the line sequence: {kinds[0]}"
            faults.add(a.fault("step", f"the step {at}, which {len(kinds)} sequences have", allowed, fix))
        else:
            sound.append(a)
    return sound


def _steps_of(pump: Pump, sequences: Many[Sequence], mine: Many[Addition]) -> set[str]:
    ids = {s.id for x in sequences for s in x.steps if belongs(s.when, pump.options)}
    return ids | {a.text.new.id for a in mine if a.text.new is not None}


def _tried(sequence: Sequence, mine: Many[Addition], pump: Pump) -> set[Fault]:
    """Return what is wrong with a sequence when these additions are put into it for one pump."""
    found = Faults()
    made = amended(sequence, mine, found)
    noted = set(found)
    if noted:  # the others are tried without those that are at fault
        mine = [a for a in mine if not _faulty(a, noted)]
        again = Faults()
        made = amended(sequence, mine, again)
        if len(again):
            return noted | set(again)
    if made is sequence:
        return noted
    wrong = _resolved(made, pump)
    blamed: set[Fault] = set(noted)
    for a in mine:
        step = next((s for s in sequence.steps if s.id == a.text.step), None)
        if a.text.kind != "leave_out" or step is None or not (step.fit or step.remove):
            continue
        rest = _resolved(amended(sequence, [x for x in mine if x is not a]), pump)
        if gone := wrong - rest:
            why = min(gone, key=lambda f: f.order).found
            found_here = f"the step {step.id} left out, which the others need: {why}"
            fix = "take this entry away, or add a step of your own that does it"
            blamed.add(a.fault("step", found_here, "a step that no part needs", fix))
            wrong = rest & wrong
    return wrong | blamed


def _resolved(sequence: Sequence, pump: Pump) -> set[Fault]:
    try:
        resolve(sequence, pump.options, pump.parts, surfaces=pump.surfaces)
    except FaultsFound as e:
        return set(e.faults)
    return set()


def _faulty(a: Addition, seen: Iterable[Fault]) -> bool:
    here = words_of(a.text.path)
    return any(f.file == a.doc.file and (f.path == here or f.path.startswith(f"{here} > ")) for f in seen)
