"""Sequences, safety messages and rows of a fleet in another language.

The English of a text goes along with its translation, since some conditions look at English words: a tool whose name
brings a safety message brings it in every language.

API::

    sequence_said(sequence, say) -> Sequence
    row_said(row, say) -> FleetHead | OwnRow
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from ..files.spoken import with_texts
from ..fleet.heads import FleetHead
from ..own.own_work import OwnRow
from ..steps.cautions import Catalogue
from ..steps.marks.plant_marks import NO_MARKS, PlantMarks
from ..steps.sequence_file import Sequence

Say = Callable[[str], str]
AnyRow = TypeVar("AnyRow", FleetHead, OwnRow)


def sequence_said(sequence: Sequence, say: Say) -> Sequence:
    """Return a sequence whose texts, and those of the messages that it calls on, are as ``say`` gives them."""
    return replace(
        sequence,
        text=with_texts(sequence.text, say),
        catalogue=catalogue_said(sequence.catalogue, say),
        plant={step: marks_said(marks, say) for step, marks in sequence.plant.items()},
    )


def catalogue_said(catalogue: Catalogue, say: Say) -> Catalogue:
    """Return safety messages as ``say`` gives them."""
    entries = {name: with_texts(entry, say) for name, entry in catalogue.entries.items()}
    return Catalogue(entries, {name: text and say(text) for name, text in catalogue.plant.items()})


def marks_said(marks: PlantMarks, say: Say) -> PlantMarks:
    """Return what of a step is the plant's own as ``say`` gives it."""
    if marks is NO_MARKS:
        return marks
    return replace(
        marks,
        notes=tuple(map(say, marks.notes)),
        photos=tuple(replace(p, alt=say(p.alt), caption=p.caption and say(p.caption)) for p in marks.photos),
        texts=tuple(replace(t, text=say(t.text), was=t.was and say(t.was)) for t in marks.texts),
        left_out=tuple(replace(x, title=say(x.title), because=say(x.because)) for x in marks.left_out),
    )


def row_said(row: AnyRow, say: Say) -> AnyRow:
    """Return a row whose service is as ``say`` gives it; its values are said where they are put into words."""
    return replace(row, service=say(row.service) if row.service else "")
