"""Safety messages: the catalogue, a fleet's own messages, and the conditions that bring a message by themselves.

API::

    load_cautions(*own: Path, faults=None) -> Catalogue       # shipped catalogue, then the fleet's own files
    Catalogue.entries: dict[id, CautionEntry]; catalogue[id] -> plan.Caution; id in catalogue
    Catalogue.brought(at, subject) -> list[id]                # by conditions, at "front", "section" or "step"
    Subject(sequence, options, kinds, moving, staged, ...)    # what a condition looks at
    by_severity(messages) -> tuple[Caution, ...]              # without repeats, gravest first

Signal words follow the definitions of ANSI Z535.6 and ISO 3864-2: DANGER *will*, WARNING *could* (death or serious
injury), CAUTION *could* (minor or moderate injury), NOTICE (no injury). No conformity to either standard is claimed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from ...geometry.dimensions.options import Options
from ...geometry.dimensions.parts_list import KINDS
from ..files.faults import Faults, any_of, likely
from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text, validate_file
from ..files.said import english
from ..files.spoken import Spoken
from ..files.yaml_files import YamlFile, read_yaml
from .conditions import When, belongs
from .plan import Caution, SignalWord

HazardKind = Literal[
    "pressure",
    "unexpected start",
    "hot surface",
    "chemical",
    "pinch and shear",
    "weight",
    "sharp edge",
    "slipping tool",
    "compressed air",
    "flying parts",
    "spring",
    "slip",
    "contamination",
    "damage to parts",
]
At = Literal["front", "section", "step"]
SequenceKind = Literal["assembly", "disassembly", "inspection", "cleaning", "start_up"]

SEVERITY: tuple[SignalWord, ...] = ("DANGER", "WARNING", "CAUTION", "NOTICE")
DATA = Path(__file__).parents[1] / "data"


class Bringing(FileModel):
    """A condition that brings the message by itself; everything it names must hold."""

    at: At = Field("step", description="where the message then stands: front, section or step")
    when: When | None = Field(None, description="conditions on the head's options")
    sequence: Annotated[list[SequenceKind], ONE_OR_MANY] = Field(
        default_factory=list, description="kinds of sequence; left out: each of them"
    )
    touching: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="kinds of part, one of which the step fits, removes or looks at"
    )
    moving: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="kinds of part, one of which the step fits or removes"
    )
    stages: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="words, one of which stands in a tool or supply of the step"
    )
    mass_over_limit: bool = Field(
        False, description="a part or the load of the step is over the lifting limit"
    )
    turns_shafts: bool = Field(False, description="the step turns the shafts")


class CautionEntry(FileModel):
    """One safety message of the catalogue."""

    id: Name = Field(description="what sequences call it by")
    signal_word: SignalWord = Field(description="DANGER, WARNING, CAUTION or NOTICE")
    hazard_kind: HazardKind = Field(description="kind of hazard, for grouping")
    hazard: Spoken = Field(description="what can hurt or harm")
    consequence: Spoken = Field(description="what will or could follow")
    avoidance: Spoken = Field(description="what to do, or not to do")
    brought_by: list[Bringing] = Field(
        default_factory=list, description="conditions that bring it by themselves"
    )


class CautionsFile(FileModel):
    """A file of safety messages."""

    note: Text | None = Field(None, description="a remark for people who edit the file")
    cautions: list[CautionEntry] = Field(description="the messages")


@dataclass(frozen=True)
class Subject:
    """What a condition is held against: a step, a section or the whole head."""

    sequence: str
    options: Options
    kinds: frozenset[str] = frozenset()
    moving: frozenset[str] = frozenset()
    staged: tuple[str, ...] = ()
    over_limit: bool = False
    turning: bool = False


@dataclass
class Catalogue:
    """All safety messages that the sequences may call on."""

    entries: dict[str, CautionEntry] = field(default_factory=dict)
    plant: dict[str, str] = field(default_factory=dict)
    """Messages that the plant has added, made graver or added to: id to its sentences, empty where it has none."""

    def __contains__(self, caution_id: object) -> bool:
        return caution_id in self.entries

    def __getitem__(self, caution_id: str) -> Caution:
        e = self.entries[caution_id]
        added = self.plant.get(e.id)
        return Caution(
            e.id,
            e.signal_word,
            e.hazard,
            e.consequence,
            e.avoidance,
            e.hazard_kind,
            added=added or "",
            plant=added == "",
        )

    def brought(self, at: At, subject: Subject) -> list[str]:
        """Return the ids of the messages that ``subject`` brings by itself at this place."""
        return [
            e.id
            for e in self.entries.values()
            if any(b.at == at and _holds(b, subject) for b in e.brought_by)
        ]


def _holds(b: Bringing, s: Subject) -> bool:
    if b.sequence and s.sequence not in b.sequence:
        return False
    if not belongs(b.when, s.options) or (b.mass_over_limit and not s.over_limit):
        return False
    if b.turns_shafts and not s.turning:
        return False
    if (b.touching and not s.kinds & set(b.touching)) or (b.moving and not s.moving & set(b.moving)):
        return False
    return not b.stages or any(w.casefold() in english(t).casefold() for w in b.stages for t in s.staged)


def by_severity(messages: Iterable[Caution]) -> tuple[Caution, ...]:
    """Return the messages without repeats, gravest first, otherwise in the order given."""
    once = {c.id: c for c in messages}
    return tuple(sorted(once.values(), key=lambda c: _rank(c.signal_word)))


def _rank(word: str) -> int:
    """Return how far down the order of severity a signal word stands; one with a fault of its own stands first."""
    return SEVERITY.index(word) if word in SEVERITY else 0


PUMPS, WORKSHOP = "cautions.yaml", "workshop_cautions.yaml"
"""The shipped files: messages of work on pumps, and of workshop work on anything."""


@lru_cache(maxsize=4)
def _shipped(folder: Path, name: str = PUMPS) -> tuple[CautionEntry, ...]:
    faults = Faults()
    catalogue = Catalogue()
    _add_file(folder / name, name, catalogue, faults)
    faults.check()
    return tuple(catalogue.entries.values())


def load_cautions(*own: Path, faults: Faults | None = None, workshop: bool = False) -> Catalogue:
    """Return the shipped catalogue with the messages of a fleet's own files added.

    Args:
        own: files of the same form; a message with an id that is taken is a mistake.
        faults: collects mistakes where given; without it they are raised.
        workshop: whether the work is on no pump: the messages of workshop work come first, and of those of pumps only
            what a sequence calls on is given, none by itself.

    Raises:
        FaultsFound: with every mistake, if ``faults`` is not given.
    """
    found = Faults() if faults is None else faults
    catalogue = Catalogue({e.id: e for e in _shipped(DATA)})
    if workshop:
        silent = {e.id: e.model_copy(update={"brought_by": []}) for e in catalogue.entries.values()}
        catalogue = Catalogue(silent | {e.id: e for e in _shipped(DATA, WORKSHOP)})
    for path in own:
        _add_file(path, path.name, catalogue, found)
    if faults is None:
        found.check()
    return catalogue


def _add_file(path: Path, shown_as: str, catalogue: Catalogue, faults: Faults) -> None:
    doc = read_yaml(path, faults, shown_as)
    model = validate_file(CautionsFile, doc, faults) if doc else None
    if doc is None or model is None:
        return
    for entry in model.cautions:
        check_entry(entry, doc, faults)
        if entry.id in catalogue:
            found = f"the id {entry.id} a second time"
            faults.add(doc.fault((*entry.path, "id"), found, "each id once", "rename it"))
        elif entry.id:
            catalogue.entries[entry.id] = entry


_MUST_SAY = {"DANGER": ("will",), "WARNING": ("could", "can"), "CAUTION": ("could", "can")}


def check_entry(entry: CautionEntry, doc: YamlFile, faults: Faults) -> None:
    """Note what a message's own words leave open: its signal word says how sure the harm is, and so must they."""
    words = set(entry.consequence.casefold().replace(",", " ").replace(".", " ").split())
    must = _MUST_SAY.get(entry.signal_word, ())
    if must and words and not words & set(must):
        allowed = f"a {entry.signal_word} says what {must[0]} happen"
        fix = f"write the consequence with '{must[0]}', or choose another signal word"
        faults.add(doc.fault((*entry.path, "consequence"), entry.consequence, allowed, fix))
    for n, b in enumerate(entry.brought_by):
        for name in ("touching", "moving"):
            for m, kind in enumerate(getattr(b, name)):
                if kind not in KINDS:
                    near = likely(kind, KINDS)
                    at = (*entry.path, "brought_by", n, name, m)
                    faults.add(
                        doc.fault(at, f"'{kind}'", any_of(KINDS, kind), f"write {near}" if near else "")
                    )
