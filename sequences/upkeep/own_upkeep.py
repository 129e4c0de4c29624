"""What an assembly file of a user's own says beside its sequences: spares of its parts, symptoms, terms.

API::

    OwnSymptomText, OwnTermText                               # as the file has them
    own_upkeep(spares, symptoms, terms, kinds, plans, doc, faults) -> OwnUpkeep
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated

from pydantic import Field

from ..files.faults import Faults, any_of, likely
from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text
from ..files.spoken import Spoken
from ..files.yaml_files import YamlFile
from ..steps.plan import Plan
from .spare_parts import SparePart, SparePartText, gather_spares, spares_of

Steps = Annotated[list[Text], ONE_OR_MANY]


class OwnCauseText(FileModel):
    """A cause of a symptom."""

    cause: Spoken = Field(description="what it is and what is done about it, in a sentence")
    steps: Steps = Field(
        default_factory=list,
        description="steps it leads to, each as sequence/step",
        examples=["assembly/lid"],
    )
    refer: bool = Field(False, description="true where it is not put right here, but referred")


class OwnSymptomText(FileModel):
    """What is noticed, and what causes it."""

    symptom: Spoken = Field(description="what people notice")
    causes: list[OwnCauseText] = Field(min_length=1, description="the likeliest first")


class OwnTermText(FileModel):
    """A term of the glossary."""

    term: Spoken = Field(description="the word")
    text: Spoken = Field(description="what it means, in plain words")
    part: Name | None = Field(
        None, description="part, or kind of part, that its picture is cut round; left out: no picture"
    )
    steps: Steps = Field(
        default_factory=list, description="steps whose pictures show it, each as sequence/step"
    )


@dataclass(frozen=True)
class OwnCause:
    """A cause with the steps it leads to."""

    text: str
    steps: tuple[str, ...] = ()
    refer: bool = False


@dataclass(frozen=True)
class OwnSymptom:
    """A symptom with its causes, the likeliest first."""

    title: str
    causes: tuple[OwnCause, ...]


@dataclass(frozen=True)
class OwnTerm:
    """A term; ``part`` is a kind of part, empty where none shows it."""

    name: str
    text: str
    part: str = ""
    steps: tuple[str, ...] = ()


@dataclass(frozen=True)
class OwnUpkeep:
    """What a file says beside its sequences; empty where it says nothing."""

    spares: Mapping[str, SparePart] = field(default_factory=dict)
    """By part key."""
    symptoms: tuple[OwnSymptom, ...] = ()
    terms: tuple[OwnTerm, ...] = ()

    def __bool__(self) -> bool:
        """Return whether it says anything."""
        return bool(self.spares or self.symptoms or self.terms)


def own_upkeep(
    spares: Mapping[str, SparePartText],
    symptoms: Sequence[OwnSymptomText],
    terms: Sequence[OwnTermText],
    kinds: Mapping[str, str],
    plans: Iterable[Plan],
    doc: YamlFile,
    faults: Faults,
) -> OwnUpkeep:
    """Return what a file says beside its sequences, as far as it is sound.

    Args:
        spares: word that names parts to what is said of them.
        symptoms, terms: as the file has them.
        kinds: part key to kind.
        plans: those of the file; left empty where they are at fault, and steps are then not looked at.
        doc: the file.
        faults: takes each mistake: an unknown part or step, an entry that says nothing.
    """
    words = list(dict.fromkeys([*kinds.values(), *kinds]))
    known = {f"{p.sequence}/{s.id}" for p in plans for s in p.steps}

    def check(steps: Sequence[str], entry: FileModel) -> None:
        for n, step in enumerate(steps):
            if known and step not in known:
                at = (*entry.path, "steps", n)
                near = likely(step, known)
                fix = f"write {near}" if near else "name a step as sequence/step"
                at = at if at in doc.values else (*entry.path, "steps")
                faults.add(doc.fault(at, f"the step '{step}'", any_of(sorted(known), step), fix))

    for symptom in symptoms:
        for cause in symptom.causes:
            check(cause.steps, cause)
    for term in terms:
        check(term.steps, term)
        if term.part is not None and term.part not in words:
            near = likely(term.part, words)
            fix = f"write {near}" if near else "name a part of the file"
            faults.add(
                doc.fault((*term.path, "part"), f"the part '{term.part}'", any_of(words, term.part), fix)
            )
    said = spares_of(kinds, gather_spares(spares, doc, words, faults))
    return OwnUpkeep(
        said,
        tuple(
            OwnSymptom(s.symptom, tuple(OwnCause(c.cause, tuple(c.steps), c.refer) for c in s.causes))
            for s in symptoms
            if s.sound
        ),
        tuple(
            OwnTerm(t.term, t.text, kinds.get(t.part or "", t.part or ""), tuple(t.steps))
            for t in terms
            if t.sound
        ),
    )
