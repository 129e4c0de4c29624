"""Begin a new fleet: a folder with a commented fleet file, to be filled in."""

from __future__ import annotations

from contextlib import suppress
from importlib import resources
from pathlib import Path

from ..build.user_faults import UserFault

TEXT = Path(__file__).with_name("starter.yaml")
FLEET = "fleet.yaml"
SCHEMA = "fleet.schema.json"
"""The published schema, copied beside the fleet file for editors that read one."""


class StarterFault(UserFault):
    """The folder for a new fleet cannot be used; the message says why."""


def write_starter(folder: Path) -> Path:
    """Write a new fleet into ``folder``, which is made where it is missing; return the fleet file.

    Where this fails or is stopped, nothing of it is left.

    Raises:
        StarterFault: if there is something of that name already; nothing is ever written over.
        OSError: if the folder cannot be written.
    """
    _check_folder(folder)
    made, written = not folder.exists(), list[Path]()
    schema = resources.files("benchleaf.sequences").joinpath("data/schema_fleet.json")
    try:
        folder.mkdir(exist_ok=True)
        if not (folder / SCHEMA).exists():
            write_new(folder / SCHEMA, schema.read_bytes(), written)
        write_new(folder / FLEET, TEXT.read_bytes(), written)
    except BaseException:
        for file in written:
            file.unlink(missing_ok=True)
        if made:
            with suppress(OSError):
                folder.rmdir()
        raise
    return folder / FLEET


def _check_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise StarterFault(f"{folder} is a file. Name a folder, new or empty.")
    if (folder / FLEET).exists():
        raise StarterFault(
            f"{folder / FLEET} exists and is left alone. Name another folder, or edit that file."
        )
    if not folder.absolute().parent.is_dir():
        raise StarterFault(
            f"{folder.absolute().parent} does not exist. Make it first, or name another folder."
        )


def write_new(file: Path, content: bytes, written: list[Path]) -> None:
    with file.open("xb") as out:
        written.append(file)
        out.write(content)
