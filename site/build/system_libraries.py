"""System libraries that no Python package brings: look for them before an import fails deep inside the CAD kernel."""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Sequence

from ...render.engine.gl_probe import install_hint
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
