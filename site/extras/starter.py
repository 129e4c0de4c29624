"""Begin a new fleet: a folder with a commented fleet file, or one with a spreadsheet of pumps, to be filled in.

Beside it lie the published schemas, for editors that read them, and an empty start for the plant's own additions.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from ...sequences.fleet.fleet_additions import FOLDER as ADDITIONS
from ..build.published import SCHEMAS, published_schemas
from ..build.user_faults import UserFault
from .table_starter import TABLE, pump_table

TEXT = Path(__file__).with_name("starter.yaml")
OWN = Path(__file__).with_name("starter_additions.yaml")
OWN_NAME = "plant.yaml.example"
"""Not read as long as it is called so."""
FLEET = "fleet.yaml"


class StarterFault(UserFault):
    """The folder for a new fleet cannot be used; the message says why."""


def write_starter(folder: Path, table: bool = False) -> Path:
    """Write a new fleet into ``folder``, which is made where it is missing; return the fleet file.

    With ``table`` its pumps stand in a spreadsheet beside it.

    Where this fails or is stopped, nothing of it is left.

    Raises:
        StarterFault: if there is something of that name already; nothing is ever written over.
        OSError: if the folder cannot be written.
    """
    _check_folder(folder, TABLE if table else "")
    inside = {f"{SCHEMAS}/{name}": content for name, content in published_schemas().items()}
    inside[f"{ADDITIONS}/{OWN_NAME}"] = OWN.read_bytes()
    written, made = list[Path](), list[Path]()
    try:
        _make(folder, made)
        for name, content in inside.items():
            file = folder / name
            _make(file.parent, made)
            if not file.exists():
                write_new(file, content, written)
        if table:
            write_new(folder / TABLE, pump_table(), written)
        write_new(folder / FLEET, with_table() if table else TEXT.read_bytes(), written)
    except BaseException:
        for file in written:
            file.unlink(missing_ok=True)
        for empty in reversed(made):
            with suppress(OSError):
                empty.rmdir()
        raise
    return folder / FLEET


def _make(folder: Path, made: list[Path]) -> None:
    if not folder.exists():
        folder.mkdir()
        made.append(folder)


def with_table() -> bytes:
    """Return the fleet file of a fleet whose pumps stand in a table."""
    text = TEXT.read_text("utf-8")
    heads = text.index("# ---- Pumps: one entry each.")
    note = "# ---- Pumps: one row each of this workbook; its second sheet explains the columns.\n"
    return f"{text[:heads]}{note}heads_table: {TABLE}\n".encode()


def _check_folder(folder: Path, table: str) -> None:
    if folder.exists() and not folder.is_dir():
        raise StarterFault(f"{folder} is a file. Name a folder, new or empty.")
    if (folder / FLEET).exists():
        raise StarterFault(
            f"{folder / FLEET} exists and is left alone. Name another folder, or edit that file."
        )
    if table and (folder / table).exists():
        raise StarterFault(f"{folder / table} exists and is left alone. Name another folder.")
    if not folder.absolute().parent.is_dir():
        raise StarterFault(
            f"{folder.absolute().parent} does not exist. Make it first, or name another folder."
        )


def write_new(file: Path, content: bytes, written: list[Path]) -> None:
    with file.open("xb") as out:
        written.append(file)
        out.write(content)
