"""A doubt about data that are otherwise sound: what it is about, and the words for it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["torque", "clearance", "O-ring", "spring", "elastomer", "reading"]


@dataclass(frozen=True)
class Doubt:
    """Something to look into before the booklet is used."""

    tag: str
    kind: Kind
    sentence: str
    value: str = ""
    """Name of the value that it doubts, in the fleet file; empty where none alone is in doubt."""
    sheet: str = ""
    """Calculation sheet that shows it."""
    marks: bool = False
    """Whether the value is marked as in doubt wherever the booklet states it."""


def doubts_csv(found: Iterable[Doubt]) -> str:
    """Return doubts as CSV, a line each.

    >>> doubts_csv([]).strip()
    'plant tag,about,value in the fleet file,what speaks against it'
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(("plant tag", "about", "value in the fleet file", "what speaks against it"))
    for d in found:
        cells = (d.tag, d.kind, d.value, d.sentence)
        table.writerow([f"'{c}" if c[:1] in tuple("=+-@\t\r") else c for c in cells])
    return out.getvalue()
