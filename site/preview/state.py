"""What the pages of a preview have to know: which library stands, what is at work, what is wrong in the files."""

from __future__ import annotations

import json
import threading
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from ...sequences.files.faults import MOST_TOLD, Fault, FaultsFound, printable


@dataclass(frozen=True)
class ShownFault:
    """One mistake as the page shows it; ``where`` names file and place."""

    where: str
    found: str
    allowed: str = ""
    fix: str = ""


@dataclass(frozen=True)
class Told:
    """What a page asks for, again and again."""

    made: int = 0
    """Grows with each library that was made."""
    busy: bool = False
    faults: tuple[ShownFault, ...] = ()
    more: int = 0
    """Mistakes beyond those that are told."""


class PreviewState:
    """Shared by the server's threads and the one that builds."""

    def __init__(self, library: Path, waiting: Path) -> None:
        """``library`` is the folder that builds write, ``waiting`` what is shown while there is none."""
        self._lock = threading.Lock()
        self._told = Told()
        self.library, self.waiting = library, waiting

    @property
    def folder(self) -> Path:
        """What is served now."""
        return self.library if (self.library / "index.html").is_file() else self.waiting

    def begun(self) -> None:
        """A build has begun; what was wrong stays told until it is known better."""
        self._change(busy=True)

    def made(self) -> None:
        """A library was made."""
        with self._lock:
            self._told = Told(self._told.made + 1)

    def refused(self, error: BaseException) -> None:
        """Nothing was made, for this reason."""
        faults, more = shown_faults(error)
        self._change(busy=False, faults=faults, more=more)

    def text(self) -> bytes:
        """Return all of it as JSON."""
        with self._lock:
            return json.dumps(asdict(self._told)).encode()

    def _change(self, **more: object) -> None:
        with self._lock:
            self._told = replace(self._told, **more)  # type: ignore[arg-type]


def shown_faults(error: BaseException) -> tuple[tuple[ShownFault, ...], int]:
    """Return the mistakes behind an error, and how many more there are than are told."""
    if isinstance(error, FaultsFound):
        told = tuple(_shown(f) for f in error.faults[:MOST_TOLD])
        return told, len(error.faults) - len(told)
    return (ShownFault("", printable(str(error))),), 0


def _shown(fault: Fault) -> ShownFault:
    where = fault.file
    if fault.cell:
        where += f", {fault.cell}"
    elif fault.line is not None:
        where += f", line {fault.line}, column {fault.column}"
    if fault.path:
        where += f" ({fault.path})"
    return ShownFault(*(printable(t) for t in (where, fault.found, fault.allowed, fault.fix)))
