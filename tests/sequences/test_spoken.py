"""Which texts of files people read: every text field is one of them or a name, and translating leaves names alone."""

from __future__ import annotations

import typing
from collections.abc import Iterator
from typing import Any

import pytest
from benchleaf.sequences.additions.addition_form import AdditionsFile
from benchleaf.sequences.files.file_models import FileModel, Text
from benchleaf.sequences.files.spoken import is_spoken, spoken_texts, with_texts
from benchleaf.sequences.fleet.fleet_file import FleetFile
from benchleaf.sequences.fleet.user_assembly import UserAssemblyFile
from benchleaf.sequences.steps.cautions import CautionsFile
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.sequences.steps.sequence_form import SequenceFile

NAMES = {
    "SequenceFile": {"note", "given"},
    "UnitText": {"base"},
    "Named": {"name"},
    "ShownText": {"part", "other", "before"},
    "OperationText": {"on", "between"},
    "Entry": {"part"},
    "Measure": {"value"},
    "AfterText": {"step"},
    "StepText": {"section", "bench", "bears"},
    "CautionsFile": {"note"},
    "Bringing": {"touching", "moving", "stages"},
    "FleetFile": {"plant", "note", "cautions", "sequences", "sizes", "heads_table", "additions"},
    "UserAssemblyFile": {"assembly", "plant", "note", "cautions", "sequences", "additions", "spare_parts"},
    "OwnCauseText": {"steps"},
    "OwnTermText": {"part", "steps"},
    "PartText": {"file", "colour"},
    "SurfaceText": {"name"},
    "ElasticText": {"pressed", "on_its_way"},
    "AdditionsFile": {"note"},
    "AdditionText": {"for_", "step", "act", "was", "file", "messages_to"},
    "NewStepText": {"section", "bench", "bears"},
    "ContactText": {"phone", "mail"},
    "LookText": {"logo", "accent"},
    "BookletText": {"id", "revision", "languages", "translations"},
    "ReleasedText": {"language", "texts"},
    "DecisionRuleText": set(),
    "SourceText": {"document", "revision", "table", "page"},
    "SourcedText": {"unit", "medium"},
    "SizeText": {"note", "spare_parts"},
    "SparePartText": {"number", "compound"},
    "HeadText": {
        *("size", "product", "cleaning", "serial_number", "seal_code", "elastomer_code", "clearance_code"),
        "spare_parts",
    },
    "OwnPartText": {"file"},
    "AsFoundText": {"record"},
}
"""Text fields that hold names of parts, steps, files and documents, words of a table, or notes for editors."""
WRITTEN = typing.get_args(Text)[1]
"""What marks a field as text."""


def _inner(of: Any) -> Iterator[Any]:
    yield of
    for one in (*typing.get_args(of), *getattr(of, "__metadata__", ())):
        yield from _inner(one)


def _models(model: type[FileModel], seen: set[type[FileModel]]) -> set[type[FileModel]]:
    if model in seen:
        return seen
    seen.add(model)
    for field in model.model_fields.values():
        for one in _inner(field.annotation):
            if isinstance(one, type) and issubclass(one, FileModel):
                _models(one, seen)
    return seen


@pytest.mark.parametrize("form", [SequenceFile, CautionsFile, FleetFile, AdditionsFile, UserAssemblyFile])
def test_every_text_field_is_told_as_text_or_as_a_name(form: type[FileModel]) -> None:
    """A field that is added later is decided upon, not forgotten."""
    spoken = 0
    for model in _models(form, set()):
        for name, field in model.model_fields.items():
            holds_text = any(one is WRITTEN for one in (*_inner(field.annotation), *field.metadata))
            if is_spoken(field):
                spoken += 1
            elif holds_text:
                assert name in NAMES.get(model.__name__, set()), (
                    f"{model.__name__}.{name}: Spoken, or a name?"
                )
            assert not (is_spoken(field) and name in NAMES.get(model.__name__, set())), name
    assert spoken >= 3


@pytest.mark.parametrize("kind", [*SHIPPED, *CHECKLISTS])
def test_translating_changes_texts_alone(kind: str) -> None:
    text = load_sequence(kind).text
    turned = with_texts(text, str.swapcase)
    assert turned is not text
    found = list(spoken_texts(text))
    assert [t for _, t in spoken_texts(turned)] == [t.swapcase() for _, t in found]
    places = [place for place, _ in found]
    assert len(places) > 50
    assert len(set(places)) == len(places), "each text has a place of its own"
    assert [s.id for s in turned.steps] == [s.id for s in text.steps]
    assert with_texts(turned, str.swapcase) == text
    assert [s.path for s in turned.steps] == [s.path for s in text.steps], "faults keep their places"


def test_what_is_said_alike_is_the_very_same_model() -> None:
    text = load_sequence("assembly").text
    assert with_texts(text, lambda t: t) is text
