"""Sequence files: the schema of a sequence, and the loader that checks every word of it against what is known.

API::

    load_sequence(path_or_name, catalogue=None, faults=None) -> Sequence
    SHIPPED = ("assembly", "disassembly", "inspection")
    CHECKLISTS = ("cleaning", "start_up")                # told without pictures and proof
    Sequence.kind, .title, .file, .steps, .catalogue, .doc

Texts are plain; the only words with a meaning are these, filled in where a head's plan is put into words:

``{count:cover_nut}``  how many parts of that kind the head has
``{value:rotor_nut_torque}``  the sourced value, or a blank to fill in
``{tighten:rotor_nut}`` / ``{loosen:rotor_nut}``  clockwise or anticlockwise, by the hand of the thread
``{option:elastomer}``  the head's choice of that option
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from ...geometry.dimensions.parts_list import KINDS
from ..files.faults import Fault, Faults, any_of, likely
from ..files.file_models import validate_file
from ..files.yaml_files import Path as NodePath
from ..files.yaml_files import YamlFile, read_yaml
from ..values.value_names import VALUE_NAMES
from ..work.keys import digest_of
from .cautions import DATA, Catalogue, load_cautions
from .conditions import OPTION_NAMES
from .marks.plant_marks import PlantMarks
from .plan import PLACEHOLDER, WITHOUT_MOVES
from .sequence_form import SequenceFile, StepText

SHIPPED = ("assembly", "disassembly", "inspection")
"""Sequences that come along, with pictures and proof."""
CHECKLISTS = ("cleaning", "start_up")
"""Sequences that come along and are told in words alone: what is done to the head as a whole."""
_TURNED = ("rotor_nut", "cover_nut", "body_screw", "relief_screw", "stud")


@dataclass
class Sequence:
    """A checked sequence with the places of its words."""

    text: SequenceFile
    doc: YamlFile
    catalogue: Catalogue
    parts: tuple[str, ...] = ()
    """Words that can name parts, where the sequence is not over a head."""
    values: tuple[str, ...] = ()
    """Values of its own that it may state besides, where it is not over a head."""
    plant: Mapping[str, PlantMarks] = field(default_factory=dict)
    """Step id to what of the step is the plant's own; texts with their placeholders."""

    @property
    def kind(self) -> str:
        """assembly, disassembly, inspection, cleaning or start_up."""
        return self.text.sequence

    @property
    def title(self) -> str:
        """Heading."""
        return self.text.title

    @property
    def file(self) -> str:
        """Name of its file, as faults show it."""
        return self.doc.file

    @cached_property
    def digest(self) -> str:
        """Hex digest of all that a plan can take from it; where a word stands in its file does not count."""
        messages = [e.model_dump_json() for e in self.catalogue.entries.values()]
        own = (dict(self.plant), self.catalogue.plant)
        said = (self.text.model_dump_json(), messages, self.parts, self.values)
        return digest_of((*said, *(own if any(own) else ())))

    @property
    def steps(self) -> list[StepText]:
        """All steps, of every option."""
        return self.text.steps


def load_sequence(
    path_or_name: str | Path, catalogue: Catalogue | None = None, faults: Faults | None = None
) -> Sequence:
    """Return a checked sequence.

    Args:
        path_or_name: a file, or the name of one that is shipped (see :data:`SHIPPED` and :data:`CHECKLISTS`).
        catalogue: safety messages it may call on; the shipped ones where left out.
        faults: collects mistakes where given; a sequence with mistakes must then not be resolved.

    Raises:
        FaultsFound: with every mistake of the file, if ``faults`` is not given, or if nothing can be read at all.
    """
    found = Faults() if faults is None else faults
    shipped = path_or_name in (*SHIPPED, *CHECKLISTS)
    path = DATA / f"{path_or_name}.yaml" if shipped else Path(path_or_name)
    doc = read_yaml(path, found)
    sequence = check_sequence_file(doc, catalogue or load_cautions(), found) if doc else None
    if faults is None or sequence is None:
        found.check()
    assert sequence is not None
    return sequence


def check_sequence_file(
    doc: YamlFile,
    catalogue: Catalogue,
    faults: Faults,
    parts: Iterable[str] = (),
    values: Iterable[str] = (),
) -> Sequence | None:
    """Return the sequence of a file that has been read; mistakes go to ``faults``, None where it is no sequence.

    ``parts`` are the words that can name parts where the sequence is not over a head, ``values`` those that it may
    state besides.
    """
    text = validate_file(SequenceFile, doc, faults)
    if text is None:
        return None
    sequence = Sequence(text, doc, catalogue, tuple(parts), tuple(values))
    faults.extend(check_names(sequence))
    return sequence


def check_names(s: Sequence) -> Iterator[Fault]:
    """Yield a fault for every name that is not known, or is used twice."""
    text = s.text
    yield from _unknown(
        s, [(("given", n), k) for n, k in enumerate(text.given) if k != "all"], "part", _parts(s)
    )
    for name, unit in text.units.items():
        base = [((*unit.path, "base", n), k) for n, k in enumerate(unit.base)]
        yield from _unknown(s, base, "part", _parts(s))
        if name in KINDS:
            allowed = "a name that is no kind of part"
            yield s.doc.fault(unit.path, f"the unit {name}", allowed, f"write {name}_unit", key=True)
    yield from _unknown(s, [(n.path, n.name) for n in text.cautions], "caution", s.catalogue.entries)
    for section in text.sections:
        yield from _unknown(s, [(n.path, n.name) for n in section.cautions], "caution", s.catalogue.entries)
    yield from _twice(s, "section", [(x.path, x.id) for x in text.sections])
    yield from _twice(s, "step", [(x.path, x.id) for x in text.steps])
    yield from _twice(s, "reading", [(m.path, m.id) for x in text.steps for m in x.measure])
    sections = [x.id for x in text.sections]
    if not text.steps and "steps" in s.doc.data:
        yield from () if s.doc.data["steps"] else (s.doc.fault(("steps",), "no steps", "at least one step"),)
    for step in text.steps:
        yield from _check_step(s, step, sections)
    yield from _check_rules(s)


def _check_rules(s: Sequence) -> Iterator[Fault]:
    """Yield a fault for every rule of the order that names no step, or that the written order breaks."""
    ids = [step.id for step in s.steps]
    for at, step in enumerate(s.steps):
        if step.after and s.kind in WITHOUT_MOVES:
            fix = "take it away: only the order of fitting and removing is practised"
            allowed = "after, in a sequence that moves parts"
            yield s.doc.fault((*step.path, "after"), "after", allowed, fix, key=True)
            continue
        before: set[str] = set()
        for rule in step.after:
            for n, name in enumerate(rule.step):
                place = (*rule.path, "step", n)
                if name not in ids:
                    yield from _unknown(s, [(place, name)], "step", ids)
                elif name == step.id:
                    fix = "name another step, or take it away"
                    yield s.doc.fault(place, f"{name} after itself", "a step that comes before this one", fix)
                elif name not in ids[:at]:
                    line = s.doc.mark((*s.steps[ids.index(name)].path, "id"))[0]
                    found = f"{step.id} after {name}, which is written later (line {line})"
                    fix = f"move the step {name} before {step.id}, or take the rule away"
                    yield s.doc.fault(place, found, "a rule that the written order keeps", fix)
                elif name in before:
                    fix = "take one away"
                    yield s.doc.fault(place, f"{step.id} after {name} a second time", "each rule once", fix)
                before.add(name)


def _check_step(s: Sequence, step: StepText, sections: list[str]) -> Iterator[Fault]:
    at = step.path
    yield from _unknown(s, [((*at, "section"), step.section)], "section", sections)
    if step.bench is not None:
        yield from _unknown(s, [((*at, "bench"), step.bench)], "bench unit", s.text.units)
    moved = [(e.path, e.part) for e in (*step.fit, *step.remove)]
    seen = [(n.path, n.name) for n in (*step.focus, *step.around) if n.name != "all"]
    borne = [((*at, "bears", n), k) for n, k in enumerate(step.bears)]
    yield from _unknown(s, [*moved, *seen, *borne], "part", _parts(s))
    values = [(n.path, n.name) for n in step.values]
    values += [((*m.path, "value"), m.value) for m in step.measure if m.value]
    yield from _unknown(s, values, "value", (*s.values, *VALUE_NAMES))
    yield from _unknown(s, [(n.path, n.name) for n in step.cautions], "caution", s.catalogue.entries)
    if not step.cautions and step.sound:
        fix = "name the caution that this step needs"
        yield s.doc.fault((*at, "cautions"), "no caution", "at least one caution in every step", fix)
    if s.kind in WITHOUT_MOVES and (moved or step.bench):
        where = "an inspection" if s.kind == "inspection" else f"a {s.kind} sequence"
        yield s.doc.fault(moved[0][0] if moved else (*at, "bench"), "parts that move", f"focus, in {where}")
    if s.kind != "inspection" and step.around:
        fix = "take it away: what is in place is shown anyway"
        yield s.doc.fault((*at, "around"), "around", "around, in an inspection only", fix, key=True)
    if s.kind in CHECKLISTS and step.examples:
        fix = "take it away: a checklist has no pictures"
        yield s.doc.fault(
            (*at, "examples"), "examples", "examples, in a sequence with pictures", fix, key=True
        )
    wrong = {"assembly": ("remove", step.remove), "disassembly": ("fit", step.fit)}.get(s.kind)
    if wrong and wrong[1]:
        other = "fit" if wrong[0] == "remove" else "remove"
        yield s.doc.fault((*at, wrong[0]), wrong[0], f"{other}, in this sequence", f"write {other}", key=True)
    if step.sound and not (moved or seen or any(n.name == "all" for n in step.focus)):
        fix = "name the parts that the reader should look at under focus"
        yield s.doc.fault(at, "a step without parts", "fit, remove or focus", fix)
    shown = [x for said in (*step.acts, *step.look, *step.why) for x in said.shows]
    named = [((*x.path, k), getattr(x, k)) for x in shown for k in ("part", "other", "before")]
    yield from _unknown(s, [(at, name) for at, name in named if name], "part", _parts(s))
    done = [op for said in (*step.acts, *step.look) for op in said.does]
    done += [op for reading in step.measure for op in reading.does]
    named = [
        ((*op.path, at, word), word) for op in done for at in ("on", "between") for word in getattr(op, at)
    ]
    yield from _unknown(s, named, "part", _parts(s), key=True)
    for path, text in _texts(step):
        yield from _check_placeholders(s, path, text)


def _parts(s: Sequence) -> list[str]:
    """Return every word that can name parts: kinds, single parts and bench units."""
    return [*(s.parts or (*KINDS, *single_parts())), *s.text.units]


def single_parts() -> list[str]:
    """Return the keys of all parts that any head can have."""
    from ...geometry.dimensions.options import Options
    from ...geometry.dimensions.parts_list import part_kinds

    full = part_kinds(Options(seal="double", cover="relief"), studs=8, seal_pins=4, relief_screws=6)
    return [key for key in full if key not in KINDS]


def _unknown(
    s: Sequence, named: Iterable[tuple[NodePath, str]], what: str, known: Iterable[str], key: bool = False
) -> Iterator[Fault]:
    words = list(known)
    for path, name in named:
        if name and name not in words:
            near = likely(name, words)
            yield s.doc.fault(
                path, f"the {what} '{name}'", any_of(words, name), f"write {near}" if near else "", key=key
            )


def _twice(s: Sequence, what: str, named: Iterable[tuple[NodePath, str]]) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for path, name in named:
        if name and name in first:
            allowed = f"each {what} once (first in line {first[name]})"
            yield s.doc.fault((*path, "id"), f"the {what} '{name}' a second time", allowed, "rename it")
        first.setdefault(name, s.doc.mark((*path, "id"))[0])


def _texts(step: StepText) -> Iterator[tuple[NodePath, str]]:
    for said in (*step.title, *step.acts, *step.look, *step.why, *step.tools, *step.supplies):
        yield said.path, said.text
    for m in step.measure:
        yield (*m.path, "text"), m.text
        yield (*m.path, "method"), m.method


def placeholder_words(
    word: str, parts: Iterable[str] = (), values: Iterable[str] = ()
) -> Iterable[str] | None:
    """Return what may stand after the colon of a placeholder, None where there is no such placeholder.

    ``parts`` and ``values`` are those of a sequence that is not over a head.
    """
    own = tuple(parts)
    known: dict[str, Iterable[str]] = {
        "count": own or KINDS,
        "value": (*values, *VALUE_NAMES),
        "tighten": own or _TURNED,
        "loosen": own or _TURNED,
        "option": OPTION_NAMES,
    }
    return known.get(word)


_ALL_PLACEHOLDERS = "{count:...}, {value:...}, {tighten:...}, {loosen:...} or {option:...}"


def _check_placeholders(s: Sequence, path: NodePath, text: str) -> Iterator[Fault]:
    known_all = True
    for match in PLACEHOLDER.finditer(text):
        word, colon, name = match[1].partition(":")
        known = placeholder_words(word, s.parts, s.values)
        if colon and known is not None and name in known:
            continue
        known_all = False
        if not colon or known is None:
            near = likely(word, ["count", "value", "tighten", "loosen", "option"])
            fix = f"write {{{near}:{name or '...'}}}" if near else "write the text without { }"
            yield s.doc.fault(path, match[0], _ALL_PLACEHOLDERS, fix)
        else:
            near = likely(name, known)
            yield s.doc.fault(path, match[0], any_of(known, name), f"write {{{word}:{near}}}" if near else "")
    if known_all and re.search(r"[{}]", PLACEHOLDER.sub("", text)):
        yield s.doc.fault(path, "a single { or }", _ALL_PLACEHOLDERS, "take it away")
