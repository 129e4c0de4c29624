"""The form of the file behind the pages beside the sequences: names alone, whose words stand in the catalogues.

It comes along (``sequences/data/upkeep.yaml``) and is not the user's to edit; a mistake in it is a mistake of the
program, and raised as the faults of any file are.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import Field

from ...geometry.dimensions.parts_list import KINDS
from ..files.faults import Faults, any_of, likely
from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text, validate_file
from ..files.yaml_files import YamlFile, read_yaml
from ..steps import cautions
from ..steps.conditions import When
from ..steps.sequence_file import CHECKLISTS, SHIPPED
from ..values.value_names import VALUE_NAMES

PageName = Literal["pump", "trouble", "year"]


class EntryText(FileModel):
    """Something that belongs to heads with certain options, and the steps it leads to."""

    id: Name = Field(description="what its words are called by")
    when: When | None = Field(None, description="options of the heads it belongs to")
    steps: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="steps it leads to, each as sequence/step"
    )


class CauseText(EntryText):
    """A cause or a remedy."""

    refer: bool = Field(False, description="it is not put right at the head, but referred")


class TermText(EntryText):
    """A term of the glossary."""

    part: Text | None = Field(
        None, description="kind of part that its picture is cut round; left out: no picture"
    )
    whole: bool = Field(False, description="its picture is that of the whole head, and it leads there")


class SymptomText(FileModel):
    """What is noticed at a pump, and what causes it."""

    id: Name = Field(description="what its words are called by")
    when: When | None = Field(None, description="options of the heads it belongs to")
    causes: list[CauseText] = Field(min_length=1, description="the likeliest first")


class OutsideText(FileModel):
    """What is done about a clearance outside its limits."""

    value: Text = Field(description="the value with the limits")
    too_small: list[CauseText] = Field(description="in the order to try")
    too_large: list[CauseText] = Field(description="in the order to try")


class UpkeepFile(FileModel):
    """The whole file."""

    pages: dict[PageName, list[Text]] = Field(description="page to the safety messages at its head")
    compare: list[EntryText] = Field(description="what to compare before work")
    symptoms: list[SymptomText] = Field(description="symptoms")
    limits: list[OutsideText] = Field(description="clearances")
    tasks: list[EntryText] = Field(description="what comes back every year, or oftener")
    terms: list[TermText] = Field(description="terms of the glossary")


def entries(file: UpkeepFile) -> Iterator[EntryText]:
    """Yield every entry of the file that may lead to steps."""
    yield from file.compare
    for symptom in file.symptoms:
        yield from symptom.causes
    for limit in file.limits:
        yield from (*limit.too_small, *limit.too_large)
    yield from file.tasks
    yield from file.terms


@lru_cache(maxsize=1)
def load_upkeep() -> UpkeepFile:
    """Return the file that comes along, checked.

    Raises:
        FaultsFound: with every mistake in it.
    """
    faults = Faults()
    doc = read_yaml(cautions.DATA / "upkeep.yaml", faults)
    file = validate_file(UpkeepFile, doc, faults) if doc else None
    if doc is not None and file is not None:
        check_upkeep(file, doc, faults)
    faults.check()
    assert file is not None
    return file


def check_upkeep(file: UpkeepFile, doc: YamlFile, faults: Faults) -> None:
    """Note what names a value, a kind of part or a sequence that is not known."""
    known = (*SHIPPED, *CHECKLISTS)

    def check(word: str, allowed: tuple[str, ...], at: tuple[str | int, ...]) -> None:
        if word not in allowed:
            near = likely(word, allowed)
            fix = f"write {near}" if near else ""
            faults.add(doc.fault(at, f"'{word}'", any_of(allowed, word), fix))

    for limit in file.limits:
        check(limit.value, tuple(VALUE_NAMES), (*limit.path, "value"))
    for entry in entries(file):
        for n, step in enumerate(entry.steps):
            check(step.partition("/")[0], known, (*entry.path, "steps", n))
    for term in file.terms:
        if term.part is not None:
            check(term.part, tuple(KINDS), (*term.path, "part"))
