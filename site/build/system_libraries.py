"""System libraries that no Python package brings: look for them before an import fails deep inside the CAD kernel."""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from threading import Thread

from ...render.engine.gl_probe import install_hint, renderer_name
from .user_faults import UserFault

NEEDED = ("libGL.so.1", "libX11.so.6")
"""What the CAD kernel is linked to on Linux, though nothing is shown on a screen."""


class MissingLibrary(UserFault):
    """A system library is missing; the message says what to install."""


def check_libraries(needed: Sequence[str] = NEEDED, platform: str = sys.platform) -> None:
    """Refuse to begin where a system library is missing.

    Raises:
        MissingLibrary: naming every library that is missing and the packages to install.
    """
    if not platform.startswith("linux"):
        return
    missing = []
    for name in needed:
        try:
            ctypes.CDLL(name)
        except OSError:
            missing.append(name)
    if missing:
        raise MissingLibrary(
            f"The CAD kernel cannot begin: {' and '.join(missing)} missing.\n{install_hint(platform)}"
        )


class Machine:
    """Whether this machine can make solids and draw: looked into once, beside the work, when it first matters."""

    def __init__(self, here: bool = True, probe: Callable[[], str] = renderer_name) -> None:
        """``here`` says whether this is the machine that works: the others look for themselves."""
        self._here, self._probe = here, probe
        self.renderer = ""
        """What draws on this machine, once that was looked into; empty where nothing is drawn here."""
        self._found: Future[str] | None = None

    def begin(self) -> None:
        """Look for what the CAD kernel needs, and begin to look for a way to draw.

        Raises:
            MissingLibrary: as :func:`check_libraries`.
        """
        if not self._here or self._found is not None:
            return
        check_libraries()
        self._found = Future()
        Thread(target=self._look, args=(self._found,), daemon=True).start()

    def _look(self, found: Future[str]) -> None:
        try:
            found.set_result(self._probe())
        except Exception as error:  # raised where somebody wants to draw
            found.set_exception(error)

    def check(self) -> None:
        """Wait until it is known whether this machine can draw.

        Raises:
            MissingLibrary, NoGraphics: if it cannot.
        """
        self.begin()
        if self._found is not None:
            self.renderer = self._found.result()
