"""A library as one zip file, for a stick, a share or a web server, built as always, and a text on how to begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from ....sequences.fleet.file_kind import is_user_assembly
from ...booklets.library import Built, booklet_setting, build_library
from ...booklets.own_booklet import build_own_booklet
from ...build.fleet_run import open_fleet
from ...build.folders import swapped_in
from ...build.progress import Progress
from ...folders.marks import make_mark, read_mark, write_mark
from ...folders.zip_files import write_folder_zip
from ...pages.pages import Setting
from ...words.languages.fallback import plain
from ..export_jobs import export_jobs

if TYPE_CHECKING:
    from ....render.drawing.settings import PictureSettings

READ_ME = "README.txt"
WHOLE = "library"


@dataclass(frozen=True)
class Shared:
    """A zip file that was written, by its name in the folder, and the library that is in it."""

    name: str
    bytes: int
    built: Built


def share_library(
    file: Path,
    target: Path,
    only: Sequence[str] = (),
    progress: Progress | None = None,
    cache: Path | None = None,
    pictures: PictureSettings | None = None,
    prove: bool = True,
) -> Shared:
    """Write the library of these pumps, of all where none is named, as one zip file in the folder ``target``.

    Equal libraries give equal bytes.

    Args:
        file: a fleet file, or that of an assembly of the user's own.
        target: a new folder, or one that this verb wrote before.
        only: plant tags.
        progress, cache, pictures, prove: as :func:`...booklets.library.build_library`.

    Raises:
        FaultsFound, UserFault: as :func:`...build.fleet_run.open_fleet`.
        NoGraphics, OwnPartError, WorkerLost: as :func:`...booklets.library.build_library`.
        OSError: if a folder cannot be written.
    """
    if is_user_assembly(file):
        (job,) = export_jobs(file, target, only)
        name, setting = job.file_slug, job.setting
    else:
        run = open_fleet(file, target, only, "export")
        name = run.rows[0].slug if len(run.rows) == 1 else WHOLE
        setting = booklet_setting(run.fleet)
    with (
        swapped_in(target, "export") as folder,
        TemporaryDirectory(prefix="benchleaf-", ignore_cleanup_errors=True) as aside,
    ):
        library = Path(aside) / name
        if is_user_assembly(file):
            built = build_own_booklet(
                file, library, progress=progress, cache=cache, pictures=pictures, prove=prove
            )
        else:
            built = build_library(
                file, library, tuple(only), progress=progress, cache=cache, pictures=pictures, prove=prove
            )
        add_read_me(library, setting)
        packed = folder / f"{name}.zip"
        write_folder_zip(packed, library, name)
        return Shared(packed.name, packed.stat().st_size, built)


def add_read_me(library: Path, setting: Setting) -> None:
    """Add the text that says which page to open to a library, and to the list of its files.

    Raises:
        OSError: if it cannot be written.
    """
    words = setting.words
    title = words.say(setting.title) if setting.title else words("library.title")
    lines = [f"{title}, {setting.plant}", ""]
    lines += [words(f"sharing.{k}") for k in ("open", "unpack", "anywhere", "check")]
    if setting.invented:
        lines += [words("demo.text", plant=setting.plant)]
    lines += ["", words("notice.text")]
    # Editors of all systems show lines that end so.
    (library / READ_ME).write_bytes(plain("\r\n".join([*lines, ""])).encode("utf-8-sig"))
    mark = read_mark(library)
    known = {f.path: f.sha256 for f in mark.files} if mark else {}
    write_mark(library, make_mark(library, "build", known))
