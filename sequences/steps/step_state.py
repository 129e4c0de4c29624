"""Walk the steps of a sequence for one head: what is on the head, what on each bench unit, and what does not fit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ...geometry.dimensions.options import Options
from ..files.faults import Fault
from ..files.yaml_files import Path
from .conditions import belongs, options_in_words
from .plan import WITHOUT_MOVES, Leg, Move, Step, turn_about
from .sequence_file import Sequence
from .sequence_form import DIRECTIONS, Entry, StepText, TravelText, UnitText


@dataclass
class StepState:
    """Walks the steps and keeps what is on the head and on each bench unit."""

    sequence: Sequence
    options: Options
    parts: dict[str, str]
    pitch_mm: Mapping[str, float]
    left_hand: frozenset[str]
    faults: list[Fault] = field(default_factory=list)
    given: list[str] = field(default_factory=list)
    contents: dict[str, list[str]] = field(default_factory=dict)
    """All parts of each unit that belongs, nested units included."""
    bench: dict[str, list[str]] = field(default_factory=dict)
    """What lies on each bench now."""
    head: list[str] = field(default_factory=list)
    place_of: dict[str, str] = field(default_factory=dict)
    """Part key to where it is now: "" on the head, a unit's name, absent where it lies loose."""
    open_steps: dict[str, int] = field(default_factory=dict)
    """Unit to the number of its bench steps that are still to come."""
    gone: set[str] = field(default_factory=set)
    """Units that have been fitted (assembly) or are not yet off the head (disassembly)."""

    def __post_init__(self) -> None:
        s = self.sequence.text
        if s.sequence in WITHOUT_MOVES or "all" in s.given:
            self.given = list(self.parts)
        else:
            self.given = self._keys(s.given, ("given",))
        self._fill_units()
        building = s.sequence == "assembly"
        self.head = list(self.given) if building else list(self.parts)
        self.place_of = {k: "" for k in self.head}
        for name in self.contents:
            base = self._base(name)
            self.bench[name] = list(base) if building else []
            if building:
                for k in base:
                    self._claim(k, name, (*s.units[name].path, "base"))
            else:
                self.gone.add(name)

    # ---- words to keys
    def _keys(self, names: Iterable[str], path: Path) -> list[str]:
        return list(dict.fromkeys(k for n in names for k in self._expand(n)))

    def keys_of(self, name: str) -> tuple[str, ...]:
        """Return the keys that a word means for this head; none where it has no such part."""
        return tuple(self._expand(name))

    def _expand(self, name: str) -> list[str]:
        """Return the keys that a word means for this head; none where it has no such part."""
        if name == "all":
            return list(self.parts)
        if name in self.contents:
            return list(self.contents[name])
        if name in self.parts and self.parts[name] != name:
            return [name]
        return [k for k, kind in self.parts.items() if kind == name]

    def _base(self, name: str) -> list[str]:
        return [k for word in self._unit(name).base for k in self._expand(word)]

    def _unit(self, name: str) -> UnitText:
        return self.sequence.text.units[name]

    def _moved(self, step: StepText) -> list[Entry]:
        return [e for e in (*step.fit, *step.remove) if belongs(e.when, self.options)]

    def _fill_units(self) -> None:
        """Work out what each unit holds: its base and what its bench steps fit or remove."""
        s = self.sequence.text
        units = [n for n, u in s.units.items() if belongs(u.when, self.options)]
        for name in units:
            self.contents[name] = []
        steps = [t for t in s.steps if t.bench in self.contents and belongs(t.when, self.options)]
        self.open_steps = {n: sum(t.bench == n for t in steps) for n in units}
        # A unit may hold another, so the contents settle only after as many rounds as they are nested.
        for _ in range(len(units) + 1):
            before = {n: list(k) for n, k in self.contents.items()}
            for name in units:
                words = [*self._unit(name).base]
                words += [e.part for t in steps if t.bench == name for e in self._moved(t) if e.part != name]
                self.contents[name] = self._keys(words, self._unit(name).path)
            if self.contents == before:
                break

    # ---- one step
    def step(self, text: StepText, number: int) -> Step:
        """Return the bare step: what is present and what moves; the state moves on."""
        doc, bench = self.sequence.doc, text.bench
        if bench is not None and bench not in self.contents:
            self.faults.append(
                doc.fault(
                    (*text.path, "bench"),
                    f"the bench unit {bench}",
                    "a unit that this head has",
                    "add the same when",
                )
            )
            bench = None
        if self.sequence.kind in WITHOUT_MOVES:
            focus = self._keys([n.name for n in text.focus if belongs(n.when, self.options)], text.path)
            around = self._keys([n.name for n in text.around if belongs(n.when, self.options)], text.path)
            present = [k for k in self.parts if k in {*focus, *around}]
            self._check_any(text, focus)
            return Step(number, text.id, text.section, "", tuple(present), focus=tuple(focus))
        present = list(self.bench[bench] if bench else self.head)
        if bench and self.sequence.kind == "disassembly" and bench in self.gone:
            allowed = "a unit that is off the head"
            self.faults.append(
                doc.fault(
                    (*text.path, "bench"), f"{bench}, which is still on the head", allowed, "remove it first"
                )
            )
        moves: list[Move] = []
        for entry in self._moved(text):
            moves += self._moves(entry, text, bench)
        if bench:
            self.open_steps[bench] -= 1
        focus = self._keys([n.name for n in text.focus if belongs(n.when, self.options)], text.path)
        moving = [k for m in moves for k in m.parts]
        self._check_any(text, [*focus, *moving])
        for k in focus:
            if k not in present and k not in moving:
                found = f"{k} in focus, which is not there in this step"
                fix = "move the step, or name the bench unit that holds it"
                at = (*text.path, "focus")
                self.faults.append(doc.fault(at, found, "parts that are in place, or move", fix, key=True))
        return Step(
            number,
            text.id,
            text.section,
            "",
            self._in_order(present),
            tuple(moves),
            bench,
            self._unit(bench).up if bench else None,
            tuple(focus),
        )

    def _in_order(self, keys: Iterable[str]) -> tuple[str, ...]:
        kept = set(keys)
        return tuple(k for k in self.parts if k in kept)

    def _check_any(self, text: StepText, keys: list[str]) -> None:
        if not keys:
            fix = "give the step the same 'when' as its parts"
            allowed = "at least one part of this head in fit, remove or focus"
            self.faults.append(
                self.sequence.doc.fault(
                    text.path,
                    f"the step {text.id} without parts ({options_in_words(self.options) or 'base options'})",
                    allowed,
                    fix,
                )
            )

    def _moves(self, entry: Entry, text: StepText, bench: str | None) -> list[Move]:
        fitting = self.sequence.kind == "assembly"
        travel, at = entry.travel or text.travel, entry.path if entry.travel else text.path
        keys = self._expand(entry.part)
        group = entry.part if entry.part in self.contents else ""
        if group:
            self._take_unit(group, entry, fitting)
        for key in keys:
            if fitting:
                self._claim(key, bench or "", entry.path, group)
            else:
                self._release(key, bench or "", entry.path, group)
        if group:
            # A unit turns by the thread of the part it is built on.
            legs = self._legs(travel, fitting, self.parts[keys[0]] if keys else "", at)
            return [Move(tuple(keys), legs, fitting, group)] if keys else []
        return [Move((k,), self._legs(travel, fitting, self.parts[k], at), fitting) for k in keys]

    def _take_unit(self, group: str, entry: Entry, fitting: bool) -> None:
        doc = self.sequence.doc
        if fitting and self.open_steps[group]:
            fix = "move this step behind the bench steps of the unit"
            self.faults.append(
                doc.fault(entry.path, f"{group}, which is not built yet", "a unit that is complete", fix)
            )
        if fitting:
            for k in self.contents[group]:
                if self.place_of.get(k) == group:
                    del self.place_of[k]

    def _claim(self, key: str, where: str, path: Path, group: str = "") -> None:
        """Put a part on the head or on a bench."""
        if key in self.place_of:
            at = f"on the unit {self.place_of[key]}" if self.place_of[key] else "on the head"
            fix = (
                f"fit the unit {self.place_of[key]} as one"
                if self.place_of[key] and not group
                else "fit it once"
            )
            self.faults.append(
                self.sequence.doc.fault(path, f"{key}, which is {at} already", "each part fitted once", fix)
            )
            return
        self.place_of[key] = where
        target = self.bench[where] if where else self.head
        if key not in target:
            target.append(key)

    def _release(self, key: str, where: str, path: Path, group: str) -> None:
        """Take a part off the head or off a bench; a unit's parts go to its own bench."""
        here = self.place_of.get(key)
        if here != where:
            found = f"{key}, which is {_where(here)}"
            self.faults.append(
                self.sequence.doc.fault(
                    path, found, f"a part that is {_where(where)}", "remove each part once, in order"
                )
            )
            return
        (self.bench[where] if where else self.head).remove(key)
        del self.place_of[key]
        if group:
            self.place_of[key] = group
            self.bench[group].append(key)
            self.gone.discard(group)

    def _legs(self, travel: TravelText | None, fitting: bool, kind: str, path: Path) -> tuple[Leg, ...]:
        if travel is None:
            return (Leg(DIRECTIONS["-z" if fitting else "+z"]),)
        if travel.find:
            return ()
        legs: list[Leg] = []
        outermost = travel.legs[0 if fitting else -1]
        if outermost.about:
            end = "begins" if fitting else "ends"
            found, fix = f"a travel that {end} with a turn", "add the slide by which the parts come or leave"
            self.faults.append(
                self.sequence.doc.fault((*path, "travel"), found, f"a travel that {end} with a slide", fix)
            )
        for leg in travel.legs:
            if leg.slide is None:
                through = (
                    (leg.through_mm[0], leg.through_mm[1], leg.through_mm[2]) if leg.through_mm else None
                )
                legs.append(turn_about(DIRECTIONS[f"+{leg.about}"], leg.deg or 0.0, through))
                continue
            length = leg.mm
            turn = 0.0
            if leg.turns:
                # Clockwise seen from the front is left-handed about +Z, and tightens a right-hand thread.
                clockwise = fitting != (kind in self.left_hand)
                turn = (-360.0 if clockwise else 360.0) * leg.turns
                if length is None and kind in self.pitch_mm:
                    length = leg.turns * self.pitch_mm[kind]
            legs.append(Leg(DIRECTIONS[leg.slide], length, turn))
        return tuple(_joined(legs))

    # ---- the end
    def check_end(self) -> None:
        """Note what was forgotten."""
        doc, text = self.sequence.doc, self.sequence.text
        if text.sequence in WITHOUT_MOVES:
            return
        if text.sequence == "assembly":
            left = [k for k in self.parts if self.place_of.get(k) != ""]
            for k in left:
                at = self.place_of.get(k)
                found = f"{k}, which is never fitted" if at is None else f"{k}, left on the bench unit {at}"
                fix = (
                    f"fit {self.parts[k]} in a step, or list it under given"
                    if at is None
                    else f"fit {at} in a step"
                )
                self.faults.append(
                    doc.fault(("steps",), found, "every part of the head fitted once", fix, key=True)
                )
            return
        staying = {k for name in self.contents for k in self._base(name)}
        for k in self.parts:
            at = self.place_of.get(k)
            if at == "" and k not in self.given:
                found, fix = f"{k}, which is never removed", "remove it in a step, or list it under given"
            elif at and k not in staying:
                found, fix = (
                    f"{k}, left in the unit {at}",
                    "remove it in a bench step, or list it in the unit's base",
                )
            elif at is None and k in self.given:
                found, fix = f"{k}, which is given, removed", "take it out of given, or do not remove it"
            else:
                continue
            self.faults.append(doc.fault(("steps",), found, "every part removed once", fix, key=True))


def _joined(legs: list[Leg]) -> list[Leg]:
    """Join an open leg with an open turning leg after it in the same direction: only one may be open-ended."""
    out: list[Leg] = []
    for leg in legs:
        last = out[-1] if out else None
        if last and last.distance_mm is None and leg.distance_mm is None and last.direction == leg.direction:
            out[-1] = Leg(leg.direction, None, last.turn_deg + leg.turn_deg)
        else:
            out.append(leg)
    return out


def _where(place: str | None) -> str:
    if place is None:
        return "off already"
    return f"in the unit {place}" if place else "on the head"
