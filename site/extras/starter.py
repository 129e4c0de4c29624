"""Begin a new fleet: a folder with a commented fleet file, to be filled in."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

TEXT = Path(__file__).with_name("starter.yaml")


SCHEMA = "fleet.schema.json"
"""The published schema, copied beside the fleet file for editors that read one."""


class StarterFault(Exception):
    """The folder for a new fleet cannot be used; the message says why."""


def write_starter(folder: Path) -> Path:
    """Write a new fleet into ``folder``, which is made where it is missing; return the fleet file.

    Raises:
        StarterFault: if there is something of that name already; nothing is ever written over.
        OSError: if the folder cannot be written.
    """
    file = folder / "fleet.yaml"
    if folder.exists() and not folder.is_dir():
        raise StarterFault(f"{folder} is a file. Name a folder, new or empty.")
    if file.exists():
        raise StarterFault(f"{file} exists and is left alone. Name another folder, or edit that file.")
    if not folder.absolute().parent.is_dir():
        raise StarterFault(
            f"{folder.absolute().parent} does not exist. Make it first, or name another folder."
        )
    folder.mkdir(exist_ok=True)
    with file.open("x", encoding="utf-8", newline="\n") as out:
        out.write(TEXT.read_text("utf-8"))
    schema = folder / SCHEMA
    if not schema.exists():
        schema.write_bytes(
            resources.files("benchleaf.sequences").joinpath("data/schema_fleet.json").read_bytes()
        )
    return file
