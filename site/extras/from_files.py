"""Begin an assembly of one's own from CAD files: a folder with its parts, its file and a first sequence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from ...geometry.exchange.assemblies.read_assembly import AssemblyFileError, read_assembly
from ...geometry.exchange.mesh_files import Unit
from ...geometry.meshes.closed_bodies import OverlapError
from ...geometry.meshes.tessellation import MeshError
from ...sequences.own.draft import make_draft
from ...sequences.own.draft_files import ASSEMBLY, draft_files
from ...sequences.own.first_order import SECONDS
from ..build.user_faults import UserFault
from .starter import StarterFault, write_new


@dataclass(frozen=True)
class Begun:
    """What was begun."""

    file: Path
    parts: int
    kinds: int
    steps: int
    remarks: tuple[str, ...]


def begin_from(
    files: Sequence[Path],
    folder: Path,
    unit: Unit | None,
    say: Callable[[str], None],
    seconds: float = SECONDS,
) -> Begun:
    """Write the draft of an assembly into ``folder``, which is made where it is missing; nothing is written over.

    Args:
        files: of the assembly, as :func:`read_assembly` takes them.
        folder: new or empty.
        unit: of mesh files that state none.
        say: hears what is being done.
        seconds: limit for the search of an order.

    Raises:
        UserFault: if the files cannot be read or meshed, or the folder cannot be used.
        OSError: if it cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StarterFault(f"{folder} exists and is not an empty folder. Name another one.")
    if not folder.absolute().parent.is_dir():
        raise StarterFault(
            f"{folder.absolute().parent} does not exist. Make it first, or name another folder."
        )
    say("reading the files")
    try:
        found = read_assembly(files, unit)
        say(f"{len(found.parts)} parts, {len(found.solids)} different; looking for an order")
        draft = make_draft(found, seconds)
    except AssemblyFileError as error:
        raise UserFault(str(error)) from error
    except (MeshError, OverlapError) as error:
        fix = "heal the parts where they were drawn and export them again"
        raise UserFault(f"found {error}; allowed: closed, valid solids; likely fix: {fix}") from error
    made, written, made_parts = not folder.exists(), list[Path](), False
    try:
        folder.mkdir(exist_ok=True)
        for name, content in draft_files(draft).items():
            (folder / name).parent.mkdir(exist_ok=True)
            made_parts = True
            write_new(folder / name, content, written)
    except BaseException:
        for file in written:
            file.unlink(missing_ok=True)
        for left in ([folder / "parts"] if made_parts else []) + ([folder] if made else []):
            with suppress(OSError):
                left.rmdir()
        raise
    return Begun(
        folder / ASSEMBLY,
        len(draft.assembly.parts),
        len({p.kind for p in draft.assembly}),
        len(draft.order.removals),
        draft.remarks,
    )
