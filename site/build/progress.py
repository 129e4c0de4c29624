"""Progress of long work: one line that renews itself on a terminal, plain lines now and then anywhere else."""

from __future__ import annotations

import sys
import time
from typing import Protocol, TextIO

QUIET_S = 15.0
"""Away from a terminal, small steps are shown at most this often, in seconds."""


class Progress(Protocol):
    """What hears of a build while it works."""

    def say(self, text: str, small: bool = False) -> None:
        """Take note of one step of the work; ``small`` steps need not all be shown."""

    def close(self) -> None:
        """The work is over."""


class Silent:
    """Progress that nobody reads."""

    def say(self, text: str, small: bool = False) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class ProgressLines:
    """A line for each step of the work; on a terminal they take each other's place."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = sys.stderr if stream is None else stream
        self.live = self.stream.isatty()
        self.start = time.monotonic()
        self._last = self.start
        self._open = False

    def say(self, text: str, small: bool = False) -> None:
        """Show ``text`` with the time since the start."""
        now = time.monotonic()
        if small and not self.live and now - self._last < QUIET_S:
            return
        self._last = now
        line = f"{now - self.start:6.1f} s  {text}"
        if self.live:
            self.stream.write(f"\r\x1b[K{line[:100]}")
            self._open = True
        else:
            self.stream.write(f"{line}\n")
        self.stream.flush()

    def close(self) -> None:
        """Clear the live line."""
        if self._open:
            self.stream.write("\r\x1b[K")
            self.stream.flush()
            self._open = False
