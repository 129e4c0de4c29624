"""How the command ends when it does not end well: exit status, plain words, and what became of the folder."""

from __future__ import annotations

import errno
from pathlib import Path

from .build.folders import folder_identity
from .stop_signals import Terminated

GOOD, FAILED, USER, STOPPED = 0, 1, 2, 130
"""Done; the program failed; something the user can mend; stopped by the user (a signal: 128 and its number)."""


class Output:
    """What a verb is to write, and whether it has: it looks, so that the answer holds wherever the work ended."""

    def __init__(self, path: Path | None) -> None:
        """``path`` is the folder or file that appears at the end; None for a verb that writes nothing."""
        self.path = path
        self._before = folder_identity(path) if path else None

    @property
    def written(self) -> bool:
        """Whether it has appeared, or taken the place of the one before."""
        return self.path is not None and folder_identity(self.path) != self._before

    def __str__(self) -> str:
        return f"{self.path} was written before that." if self.written else "Nothing was written."


def explain(error: BaseException, output: Output, verb: str) -> tuple[int, str]:
    """Return exit status and words for what ended a verb."""
    if isinstance(error, KeyboardInterrupt):
        return error.status if isinstance(error, Terminated) else STOPPED, f"Stopped. {output}"
    if isinstance(error, OSError):
        text = _plain_os_error(error)
        return USER, f"{text} {output}" if output.path else text
    return _explain_own(error, output, verb)


def _explain_own(error: BaseException, output: Output, verb: str) -> tuple[int, str]:
    from ..geometry.dimensions.size import SizeError
    from ..geometry.exchange.own_parts import OwnPartError
    from ..render.engine.gl_probe import NoGraphics
    from ..sequences.files.faults import FaultsFound, printable
    from ..sequences.work.crews import NoCluster
    from ..sequences.work.tasks import PieceGone
    from ..sequences.work.worker_pool import WorkerLost
    from .build.user_faults import UserFault, WorkRefused

    if isinstance(error, WorkRefused):
        return USER, f"{error}\n{output} {error.fix}"
    if isinstance(error, WorkerLost):
        fewer = "Try fewer at the same time: --workers 1"
        fix = fewer if verb == "build" else "Close other programs and run the same again."
        return USER, f"{error} {output} {fix}"
    if isinstance(error, PieceGone):
        return (
            USER,
            f"What is kept from build to build went away while it was used. {output} Run the same again.",
        )
    if isinstance(error, FaultsFound):
        from .words.report_words import faults_text

        # What else holds of the sound heads belongs to those who ask for it: a kit of spares needs none of it.
        return USER, str(error) if verb == "spares" else faults_text(error)
    if isinstance(error, (NoCluster, NoGraphics, OwnPartError, SizeError, UserFault)):
        return USER, printable(str(error))  # it may name what stands in a stranger's file
    return FAILED, (
        f"benchleaf failed: {type(error).__name__}: {error}\n"
        f"{output} This is a fault of the program, not of your files; "
        "run the same with: benchleaf --details ..., and report what it shows."
    )


def _plain_os_error(error: OSError) -> str:
    where = f"{error.filename}: " if error.filename else ""
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"{where}no permission. Choose a place where you may read and write."
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"{where}no room left on the disk. Make room or choose another disk with --to."
    if error.errno == errno.EFBIG:
        return (
            f"{where}larger than a file may be here. Choose another disk with --to, or have the limit raised."
        )
    if error.errno == errno.ENOENT:
        return f"{where}not found."
    if error.errno == errno.ENAMETOOLONG:
        return f"{where}the name is too long for this disk."
    return f"{where}{error.strerror or error}."
