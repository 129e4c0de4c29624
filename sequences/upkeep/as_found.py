"""Clearances as earlier overhauls found them, from the fleet file: the trend that the yearly plan goes on from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from pydantic import Field, create_model

from ..files.faults import Faults, shown
from ..files.file_models import FileModel, Text
from ..files.written_types import Figure, IsoDate
from ..files.yaml_files import YamlFile

READINGS = ("front_face_clearance", "rear_clearance", "mesh_clearance", "radial_clearance")
"""Values whose readings make a trend: what wears, creeps or is set wrong shows in them first."""
MOST_MM = Decimal(5)
"""Beyond it the unit or the decimal point is wrong."""

if TYPE_CHECKING:

    class _Readings(FileModel): ...

else:
    _Readings = create_model(
        "Readings",
        __base__=FileModel,
        **{
            name: (Figure | None, Field(None, description="as found, mm; the least reading"))
            for name in READINGS
        },
    )


class AsFoundText(_Readings):
    """What one overhaul found."""

    date: IsoDate = Field(description="day of the readings, year-month-day")
    record: Text = Field(description="where they stand: record sheet or work order")


@dataclass(frozen=True)
class AsFound:
    """The readings of one overhaul, by value name: mm, with the digits that were written."""

    date: str
    record: str
    mm: Mapping[str, Decimal]


def gather_as_found(entries: Iterable[AsFoundText], doc: YamlFile, faults: Faults) -> tuple[AsFound, ...]:
    """Return the overhauls of a pump, the oldest first; mistakes go to ``faults``."""
    found = []
    for text in entries:
        if not text.sound:
            continue
        given = {name: value for name in READINGS if (value := getattr(text, name)) is not None}
        if not given:
            allowed = f"at least one of {', '.join(READINGS)}"
            faults.add(doc.fault(text.path, "an overhaul without a reading", allowed, "add what was read"))
        for name, value in given.items():
            if not 0 <= value <= MOST_MM:
                fix = "write it in mm, and check the decimal point"
                faults.add(doc.fault((*text.path, name), shown(value), f"0 to {MOST_MM} mm", fix))
        found.append(AsFound(text.date, text.record, given))
    return tuple(sorted(found, key=lambda f: f.date))
