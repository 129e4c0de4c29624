"""Where the additions of a fleet, or of an assembly of the owner's own, are: the folder that its file names."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ..additions.additions import NO_ADDITIONS, Additions
from ..additions.read_additions import read_additions
from ..files.faults import Faults
from ..files.file_paths import NamedFrom, folder_in_folder
from ..files.yaml_files import YamlFile

FOLDER = "additions"
"""The folder beside a fleet file that is taken where the file names none."""


def fleet_additions(
    name: str | None, file: Path, doc: YamlFile, pumps: Mapping[str, str], faults: Faults
) -> Additions:
    """Return the additions in the folder that a fleet file names, or in the usual one beside it where it names none.

    Args:
        name: the folder as the file names it.
        file, doc: the fleet file.
        pumps: plant tag to name of the size.
        faults: takes every mistake.
    """
    if name is None:
        folder: Path | None = file.parent / FOLDER
        if folder is None or not folder.is_dir():
            return NO_ADDITIONS
    else:
        named = NamedFrom(file, doc, ("additions",), "the fleet's folder")
        folder = folder_in_folder(name, named, faults)
    if folder is None:
        return NO_ADDITIONS
    return read_additions(folder, name or FOLDER, pumps, faults)
