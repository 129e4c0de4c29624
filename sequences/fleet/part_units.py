"""Units of the files of own parts: to be said for formats that hold bare figures, and for no other."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePosixPath

from ...geometry.exchange.mesh_files import UNITS_MM, WITHOUT_UNIT
from ..files.faults import Faults, any_of
from ..files.yaml_files import YamlFile
from .fleet_file import OwnPartText


def check_part_unit(text: OwnPartText, names: Iterable[str], doc: YamlFile, faults: Faults) -> None:
    """Note where the files of a part need a unit and none is said, or one is said and none needs it.

    Args:
        text: the part's entry.
        names: its files, by the names it gives them.
        doc: where it stands.
        faults: to be added to.
    """
    given = [name for name in names if name]
    bare = [name for name in given if PurePosixPath(name).suffix.casefold() in WITHOUT_UNIT]
    said = (*text.path, "unit") in doc.values
    if bare and not said:
        found = f"'{bare[0]}' without a unit"
        allowed = f"unit: {any_of(tuple(UNITS_MM))}; {any_of(WITHOUT_UNIT)} files state none"
        faults.add(
            doc.fault((*text.path, "file"), found, allowed, "add the unit that it was exported in: unit: mm")
        )
    elif said and given and not bare:
        found = f"a unit for '{given[0]}', which states its own"
        allowed = f"a unit for {any_of(WITHOUT_UNIT)} files alone"
        faults.add(doc.fault((*text.path, "unit"), found, allowed, "take it away", key=True))
