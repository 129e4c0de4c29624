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
from ..steps.sequence_file import Sequence

Say = Callable[[str], str]
AnyRow = TypeVar("AnyRow", FleetHead, OwnRow)


def sequence_said(sequence: Sequence, say: Say) -> Sequence:
    """Return a sequence whose texts, and those of the messages that it calls on, are as ``say`` gives them."""
    return replace(
        sequence,
        text=with_texts(sequence.text, say),
        catalogue=catalogue_said(sequence.catalogue, say),
    )


def catalogue_said(catalogue: Catalogue, say: Say) -> Catalogue:
    """Return safety messages as ``say`` gives them."""
    return Catalogue({name: with_texts(entry, say) for name, entry in catalogue.entries.items()})


def row_said(row: AnyRow, say: Say) -> AnyRow:
    """Return a row whose service is as ``say`` gives it; its values are said where they are put into words."""
    return replace(row, service=say(row.service) if row.service else "")
