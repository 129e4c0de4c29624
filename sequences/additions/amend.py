"""Put a plant's additions into a sequence: new steps first, then acts, texts and messages, then what is left out.

API::

    amended(sequence, additions, faults=None) -> Sequence        # whatever is wrong goes to faults, in its own file
    amended_catalogue(catalogue, additions, faults=None) -> Catalogue

A safety message only ever gains: what is added stands after its own words, its signal word only becomes graver, and the
messages of a step that is left out go to the step that follows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, TypeVar

from ..files.faults import Faults, any_of, likely, shown
from ..files.file_models import FileModel, set_paths
from ..steps.cautions import SEVERITY, Catalogue, CautionEntry, check_entry
from ..steps.conditions import When
from ..steps.marks.plant_marks import NO_MARKS, LeftOutStep, PlantMarks, PlantText
from ..steps.plan import PLACEHOLDER
from ..steps.sequence_file import Sequence, check_names
from ..steps.sequence_form import Act, Named, Said, SequenceFile, StepText
from .additions import Addition, AmendedFile

M = TypeVar("M", bound=FileModel)
_SAID = ("title", "acts", "look", "why", "tools", "supplies")
MAKES_SAFE = ("unexpected start", "pressure")
"""Kinds of hazard whose first step in a sequence makes the pump safe to work on; it is never left out."""


def amended(sequence: Sequence, additions: Iterable[Addition], faults: Faults | None = None) -> Sequence:
    """Return a sequence with the additions that belong to its steps; the sequence itself where there are none.

    Args:
        sequence: a sound one.
        additions: those for one pump; what belongs to steps of other sequences is passed over.
        faults: takes every mistake, each in the file that holds it; left out, there are known to be none.
    """
    found = Faults() if faults is None else faults
    entries = tuple(additions)
    catalogue = amended_catalogue(sequence.catalogue, entries, found)
    here = [a for a in entries if a.text.sequence in (None, sequence.kind)]
    ids = {s.id for s in sequence.steps}
    for _ in here:  # a step of the plant's own may stand beside another of its own
        ids |= {a.text.new.id for a in here if a.text.new is not None and a.text.step in ids}
    mine = [a for a in here if a.text.step in ids]
    if not mine and catalogue is sequence.catalogue:
        return sequence
    work = _Amending(sequence, catalogue, found, {a.text.step for a in mine if a.text.kind == "leave_out"})
    for kind in ("step", "act", "change", "caution", "note", "photo", "leave_out"):
        for a in mine:
            if a.text.kind == kind:
                work.take(a)
    made = work.sequence()
    if faults is not None:
        known = set(check_names(sequence))
        faults.extend(f for f in check_names(made) if f not in known)
    return made


def amended_catalogue(
    catalogue: Catalogue, additions: Iterable[Addition], faults: Faults | None = None
) -> Catalogue:
    """Return the catalogue with the plant's new messages and what it adds to others; itself where that is nothing."""
    found = Faults() if faults is None else faults
    entries, plant = dict(catalogue.entries), dict(catalogue.plant)
    wanted = [a for a in additions if a.text.kind in ("caution", "sharper") and a.text.caution]
    for a in sorted(wanted, key=lambda a: a.text.kind):  # new ones first: they can be made sharper too
        name = a.text.caution or ""
        if a.text.kind == "caution":
            _new_message(a, name, entries, plant, found)
        elif name not in entries:
            near = likely(name, entries)
            fix = f"write {near}" if near else "name a safety message of the booklets"
            found.add(a.fault("caution", f"the caution '{name}'", any_of(entries, name), fix))
        else:
            _sharpen(a, name, entries, plant, found)
    return (
        catalogue if entries == catalogue.entries and plant == catalogue.plant else Catalogue(entries, plant)
    )


def _new_message(
    a: Addition, name: str, entries: dict[str, CautionEntry], plant: dict[str, str], faults: Faults
) -> None:
    keys = ("signal_word", "hazard_kind", "hazard", "consequence", "avoidance")
    given = {k: getattr(a.text, k) for k in keys}
    if not any(given.values()):
        if name not in entries:
            near = likely(name, entries)
            fix = f"write {near}, or give it {any_of(keys).replace(' or ', ' and ')}"
            fix = fix if near else f"give it {any_of(keys).replace(' or ', ' and ')}"
            faults.add(a.fault("caution", f"the caution '{name}'", any_of(entries, name), fix))
        return
    if name in entries:
        if name in plant and all(getattr(entries[name], k) == v for k, v in given.items()):
            return  # the same message at a second step
        found, allowed = f"the id {name}, which a safety message has already", "an id of its own"
        faults.add(
            a.fault("caution", found, allowed, "rename it, or use kind: sharper to add to that message")
        )
        return
    for key in (k for k, v in given.items() if v is None):
        faults.add(
            a.fault(
                "caution", f"a new message without {key}", "all keys of a message", f"add the line {key}: ..."
            )
        )
    if all(given.values()):
        entry = CautionEntry(id=name, **given)
        set_paths(entry, a.text.path)
        check_entry(entry, a.doc, faults)
        entries[name], plant[name] = entry, ""


def _sharpen(
    a: Addition, name: str, entries: dict[str, CautionEntry], plant: dict[str, str], faults: Faults
) -> None:
    entry, word = entries[name], a.text.signal_word
    if word is not None:
        if SEVERITY.index(word) > SEVERITY.index(entry.signal_word):
            found = f"{word} in place of {entry.signal_word}, which is milder"
            allowed = any_of(SEVERITY[: SEVERITY.index(entry.signal_word) + 1])
            faults.add(
                a.fault("signal_word", found, allowed, "take the line away: a message is never weakened")
            )
            return
        graver = entry.model_copy(
            update={"signal_word": word, "consequence": a.text.consequence or entry.consequence}
        )
        set_paths(graver, a.text.path)
        check_entry(graver, a.doc, faults)
        entries[name], plant[name] = graver, plant.get(name, "")
    elif a.text.consequence is not None:
        fix = "write it under text, or make the signal word graver too"
        faults.add(
            a.fault(
                "consequence", "other words for what follows", "a consequence with a graver signal_word", fix
            )
        )
    if a.text.text:
        plant[name] = " ".join(filter(None, (plant.get(name), a.text.text)))


class _Amending:
    """A sequence while additions are put into it."""

    def __init__(
        self, sequence: Sequence, catalogue: Catalogue, faults: Faults, leaving: set[str | None]
    ) -> None:
        self.leaving = leaving
        self.base, self.catalogue, self.faults = sequence, catalogue, faults
        self.steps: list[StepText] = list(sequence.steps)
        self.marks: dict[str, PlantMarks] = dict(sequence.plant)
        self.docs = [*sequence.doc.added.values()] if isinstance(sequence.doc, AmendedFile) else []

    def take(self, a: Addition) -> None:
        """Put one addition in, or note what is wrong with it."""
        if a.doc not in self.docs:
            self.docs.append(a.doc)
        work: dict[str, Callable[[Addition, int], None]] = {
            "step": self._add_step,
            "act": self._add_act,
            "change": self._change,
            "caution": self._add_caution,
            "note": self._note,
            "photo": self._photo,
            "leave_out": self._leave_out,
        }
        at = next((n for n, s in enumerate(self.steps) if s.id == a.text.step), None)
        if at is None or (a.text.kind not in ("step", "leave_out") and a.text.step in self.leaving):
            fix = "take one of the two entries away"
            self.faults.add(
                a.fault("step", f"the step {a.text.step}, which is left out", "a step that stays", fix)
            )
            return
        work[a.text.kind](a, at)

    def sequence(self) -> Sequence:
        """Return the sequence with all that was taken."""
        base = self.base.doc.base if isinstance(self.base.doc, AmendedFile) else self.base.doc
        text: SequenceFile = self.base.text.model_copy(update={"steps": self.steps})
        return replace(
            self.base, text=text, doc=AmendedFile(base, self.docs), catalogue=self.catalogue, plant=self.marks
        )

    def _mark(self, step: str, **more: Any) -> None:
        marks = self.marks.get(step, NO_MARKS)
        joined: dict[str, Any] = {
            k: (*getattr(marks, k), *v) if isinstance(v, tuple) else v for k, v in more.items()
        }
        self.marks[step] = replace(marks, **joined)

    def _add_step(self, a: Addition, at: int) -> None:
        new = a.text.new
        assert new is not None
        beside = self.steps[at]
        step = StepText.model_construct(
            set(new.model_fields_set) | {"section"},
            **{n: getattr(new, n) for n in StepText.model_fields},
        )
        step.section = new.section or beside.section
        set_paths(step, (*a.path, "new"))
        after = a.text.place == "after"
        while after and at + 1 < len(self.steps) and self.marks.get(self.steps[at + 1].id, NO_MARKS).own:
            at += 1  # steps after the same one stand in the order in which they are written
        self.steps.insert(at + 1 if after else at, step)
        self._mark(new.id, own=True)

    def _add_act(self, a: Addition, at: int) -> None:
        step, text = self.steps[at], a.text.text or ""
        act = _with_path(Act.model_validate({"text": text}), (*a.path, "text"))
        where = len(step.acts) if a.text.place == "after" else 0
        if a.text.act is not None:
            named = _same(a.text.act, step.acts)
            if not named:
                self._no_text(a, "act", a.text.act, [x.text for x in step.acts])
                return
            where = step.acts.index(named[0]) + (a.text.place == "after")
        self._put(at, acts=[*step.acts[:where], act, *step.acts[where:]])
        self._mark(step.id, texts=(PlantText(text),))

    def _change(self, a: Addition, at: int) -> None:
        step, was, text = self.steps[at], a.text.was or "", a.text.text or ""
        changed: dict[str, list[FileModel]] = {}
        old = ""
        for key in _SAID:
            said: list[Said] = getattr(step, key)
            if found := _same(was, said):
                old = found[0].text
                changed[key] = [self._said(x, text, a) if x in found else x for x in said]
        if found_in := [m for m in step.measure if _same(was, [m])]:
            old = found_in[0].text
            changed["measure"] = [self._said(m, text, a) if m in found_in else m for m in step.measure]
        if not changed:
            known = [x.text for key in _SAID for x in getattr(step, key)] + [m.text for m in step.measure]
            self._no_text(a, "was", was, known)
            return
        for name in PLACEHOLDER.findall(old):
            if name.startswith("value:") and f"{{{name}}}" not in text:
                allowed = f"a text that still states {{{name}}}"
                fix = f"write {{{name}}} where the value is to stand"
                self.faults.add(a.fault("text", f"a text without {{{name}}}", allowed, fix))
                return
        self._put(at, **changed)
        self._mark(step.id, texts=(PlantText(text, old),))

    def _said(self, said: M, text: str, a: Addition) -> M:
        return _with_path(said.model_copy(update={"text": text}), (*a.path, "text"))

    def _add_caution(self, a: Addition, at: int) -> None:
        if a.text.caution not in self.catalogue.entries:
            return  # told where its message was read
        step = self.steps[at]
        named = _with_path(Named.model_validate({"name": a.text.caution}), (*a.path, "caution"))
        if not any(n.name == named.name and n.when is None for n in step.cautions):
            self._put(at, cautions=[*step.cautions, named])

    def _note(self, a: Addition, at: int) -> None:
        self._mark(self.steps[at].id, notes=(a.text.text or "",))

    def _photo(self, a: Addition, at: int) -> None:
        if a.photo is not None:
            self._mark(self.steps[at].id, photos=(a.photo,))

    def _leave_out(self, a: Addition, at: int) -> None:
        step = self.steps[at]
        if self._makes_safe(at):
            found = f"{step.id} left out, which proves that the pump is safe to work on"
            self.faults.add(
                a.fault("step", found, "any other step", "change its texts instead: kind: change")
            )
            return
        to = self._heirs(a, at)
        if not to:
            return
        named = [self._moved(n, step.when, a) for n in step.cautions]
        for n in to:
            there = {x.name for x in self.steps[n].cautions if x.when is None}
            more = [x for x in named if x.name not in there]
            self._put(n, cautions=[*self.steps[n].cautions, *more])
        title = step.title[-1].text
        self._mark(self.steps[to[-1]].id, left_out=(LeftOutStep(step.id, title, a.text.because or ""),))
        if marks := self.marks.pop(step.id, None):
            self._mark(self.steps[to[-1]].id, left_out=marks.left_out)
        del self.steps[at]
        for n, other in enumerate(self.steps):
            kept = [
                rule.model_copy(update={"step": [s for s in rule.step if s != step.id]})
                for rule in other.after
            ]
            if kept != other.after:
                self._put(n, after=[rule for rule in kept if rule.step])

    def _moved(self, named: Named, when: When | None, a: Addition) -> Named:
        copied = named.model_copy(update={"when": named.when or when})
        return _with_path(copied, (*a.path, "step"))

    def _makes_safe(self, at: int) -> bool:
        """Return whether this step is the first that names a message of what must be made safe before work."""
        for n, step in enumerate(self.steps):
            entries = [self.catalogue.entries.get(x.name) for x in step.cautions]
            if any(
                e and e.hazard_kind in MAKES_SAFE and e.signal_word in ("DANGER", "WARNING") for e in entries
            ):
                return n == at
        return False

    def _heirs(self, a: Addition, at: int) -> list[int]:
        """Return which steps take the messages of the one at ``at``: every pump that had it has one of them."""
        step = self.steps[at]
        if a.text.messages_to is not None:
            ids = [s.id for n, s in enumerate(self.steps) if n != at]
            if a.text.messages_to not in ids:
                near = likely(a.text.messages_to, ids)
                found, fix = (
                    f"the step '{a.text.messages_to}'",
                    f"write {near}" if near else "name a step that stays",
                )
                self.faults.add(a.fault("messages_to", found, any_of(ids, a.text.messages_to), fix))
                return []
            return [next(n for n, s in enumerate(self.steps) if s.id == a.text.messages_to)]
        elsewhere = {x.name for n, s in enumerate(self.steps) if n != at for x in s.cautions}
        alone = [x.name for x in step.cautions if x.name not in elsewhere]
        if alone:
            found = f"{step.id} left out, which alone gives the safety message {any_of(alone)}"
            allowed = "a step whose messages other steps give too, or messages_to"
            near = self.steps[at + 1 if at + 1 < len(self.steps) else at - 1].id
            self.faults.add(a.fault("step", found, allowed, f"add the line messages_to: {near}"))
            return []
        order = [*range(at + 1, len(self.steps)), *range(at - 1, -1, -1)]
        heirs: list[int] = []
        for n in order:
            heirs.append(n)
            if self.steps[n].when is None or self.steps[n].when == step.when:
                return heirs
        return heirs

    def _put(self, at: int, **fields: Any) -> None:
        self.steps[at] = self.steps[at].model_copy(update=fields)

    def _no_text(self, a: Addition, key: str, text: str, known: list[str]) -> None:
        near = likely(text, known, 40.0)
        fix = f'write "{near}"' if near else "copy the text from the booklet"
        self.faults.add(
            a.fault(
                key, f"{shown(text)}, which the step {a.text.step} does not say", "a text of that step", fix
            )
        )


def _with_path(model: M, path: tuple[str | int, ...]) -> M:
    model._path = path
    return model


def _same(text: str, said: Iterable[Any]) -> list[Any]:
    """Return which of ``said`` are worded so, as their file has them or as a booklet prints them."""
    plain = _folded(text)
    return [x for x in said if _folded(x.text) == plain or _printed(x.text).fullmatch(plain)]


def _printed(text: str) -> re.Pattern[str]:
    parts = PLACEHOLDER.split(_folded(text))[::2]
    return re.compile(".+?".join(re.escape(p) for p in parts))


def _folded(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split()).casefold()
