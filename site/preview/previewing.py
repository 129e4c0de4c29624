"""The round of a preview: build, serve, wait for a changed file, build again; until it is stopped.

API::

    preview_fleet(file, port, only=(), cache=None, prove=True, say=print, workers=None)
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from ...geometry.dimensions.size import SizeError
from ...geometry.exchange.own_parts import OwnPartError
from ...sequences.files.faults import FaultsFound
from ...sequences.fleet.file_kind import is_user_assembly
from ...sequences.work.tasks import PieceGone
from ...sequences.work.worker_pool import WorkerLost
from ..booklets.kinds.own_booklet import build_own_booklet
from ..booklets.library import build_library
from ..build.progress import Progress
from ..build.user_faults import UserFault
from ..pages.pages import page_text, write_assets
from ..words.catalogue import Words, load_words
from .server import PreviewServer, open_server
from .state import PreviewState, shown_faults

PORT = 8400
SETTLE_MS = 150
"""So long no file may change before a build begins: programs save in several strokes."""
MOST_ALONE = 3
"""So many pumps are made anew in this process, which has everything loaded; more are worth others beside it."""
MENDABLE = (FaultsFound, UserFault, SizeError, OwnPartError, WorkerLost, PieceGone, OSError)
"""What a person can mend while the preview goes on."""


def preview_fleet(
    file: Path,
    port: int = PORT,
    only: Sequence[str] = (),
    cache: Path | None = None,
    prove: bool = True,
    say: Callable[[str], None] = print,
    progress: Progress | None = None,
) -> None:
    """Serve the library of a fleet, or the booklet of an assembly, until Ctrl-C or a signal ends it.

    It is made anew when one of the files changes.

    The library lies in a folder that goes when the preview ends. What the proof finds wrong keeps no page from being
    seen: its pages say so.

    Args:
        file: a fleet file, or that of an assembly of the user's own.
        port: of this machine; 0 takes one that is free.
        only: plant tags; left out, every pump of the fleet.
        cache: folder of the store.
        prove: whether the solids are asked for evidence.
        say: takes what a terminal shows.
        progress: hears of the first build.

    Raises:
        UserFault: if the port cannot be taken, or pumps are named of an assembly.
        KeyboardInterrupt: when it is stopped.
    """
    if only and is_user_assembly(file):
        raise UserFault(f"{file} is an assembly of your own, one booklet: leave --only out.")
    words = load_words()
    with TemporaryDirectory(prefix="benchleaf-preview-") as home:
        library, waiting = Path(home) / "library", Path(home) / "waiting"
        _write_waiting(waiting, words)
        state = PreviewState(library, waiting)
        with _serving(open_server(port, state, words)) as server:
            say(f"Preview of {file}: {server.address}")
            say("Edit and save; the page follows. Ctrl-C ends it.")
            watched = _changes(file.parent)
            next(watched)  # what changes during the first build is not missed
            while True:
                state.begun()
                say(_build(file, library, tuple(only), cache, prove, state, progress))
                progress = None
                changed = next(watched)
                say(f"Changed: {', '.join(changed)}")


def _build(
    file: Path,
    library: Path,
    only: tuple[str, ...],
    cache: Path | None,
    prove: bool,
    state: PreviewState,
    progress: Progress | None,
) -> str:
    """Make the library and return what the terminal says of it."""
    try:
        heads = _build_library(file, library, only, cache, prove, progress)
    except MENDABLE as e:
        state.refused(e)
        faults, more = shown_faults(e)
        lines = [" ".join(filter(None, (f"{f.where}:" if f.where else "", f.found))) for f in faults]
        return "\n".join(
            ["Not made:", *(f"  {line}" for line in lines), *([f"  and {more} more"] if more else [])]
        )
    state.made()
    return f"Made: {heads} {'booklet' if heads == 1 else 'booklets'}."


def _build_library(
    file: Path,
    library: Path,
    only: tuple[str, ...],
    cache: Path | None,
    prove: bool,
    progress: Progress | None,
) -> int:
    here = library.is_dir() and len([p for p in library.iterdir() if (p / "pictures").is_dir()]) <= MOST_ALONE
    workers = 1 if here else None
    if is_user_assembly(file):
        return build_own_booklet(
            file, library, workers, progress, cache=cache, prove=prove, despite_proof=True
        ).heads
    built = build_library(
        file, library, only, workers, progress, cache=cache, prove=prove, despite_proof=True
    )
    return built.heads


@contextmanager
def _serving(server: PreviewServer) -> Iterator[PreviewServer]:
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def _changes(folder: Path) -> Iterator[list[str]]:
    """Yield the names of what has changed, once a round; the first time nothing, as soon as it is on the watch.

    Raises:
        KeyboardInterrupt: when the process is to end.
    """
    from watchfiles import DefaultFilter, watch

    kept = DefaultFilter(ignore_entity_patterns=(*DefaultFilter.ignore_entity_patterns, r"^\.", r"^~", r"~$"))
    ready = watch(
        folder, watch_filter=kept, debounce=1600, step=SETTLE_MS, rust_timeout=250, yield_on_timeout=True
    )
    next(ready)
    yield []
    for changes in ready:
        if changes:
            names = set()
            for _, path in changes:
                with suppress(ValueError):
                    names.add(Path(path).relative_to(folder.resolve()).as_posix())
            yield sorted(names) or [folder.name]
    raise KeyboardInterrupt


def _write_waiting(folder: Path, words: Words) -> None:
    """Write the page that is shown while there is no library."""
    write_assets(folder)
    page = page_text("waiting.html.j2", w=words, booklet_demo=False)
    (folder / "index.html").write_text(page, "utf-8", newline="\n")
