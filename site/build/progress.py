"""Progress of long work: a bar with the time left on a terminal, plain lines now and then anywhere else."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING, Protocol, TextIO

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

QUIET_S = 15.0
"""Away from a terminal, small steps are shown at most this often, in seconds."""
SURE_S = 5.0
"""Nobody tells the time left before this, in seconds."""


class Progress(Protocol):
    """What hears of a build while it works."""

    def say(self, text: str, small: bool = False) -> None:
        """Take note of one step of the work; ``small`` steps need not all be shown."""

    def expects(self, seconds: float) -> None:
        """So much more work is expected, in seconds of one processor; less, where it is below 0."""

    def has_done(self, seconds: float, what: str) -> None:
        """So much of it is done; ``what`` was the last of it."""

    def close(self) -> None:
        """The work is over."""


class Silent:
    """Progress that nobody reads."""

    def say(self, text: str, small: bool = False) -> None:
        """Do nothing."""

    def expects(self, seconds: float) -> None:
        """Do nothing."""

    def has_done(self, seconds: float, what: str) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class ProgressLines:
    """A line for each step of the work; on a terminal a bar under them renews itself."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = sys.stderr if stream is None else stream
        self.live = self.stream.isatty()
        self.start = time.monotonic()
        self._last = self.start
        self._total = self._done = 0.0
        self._bar: Bar | None = None
        self._task: TaskID | None = None

    def say(self, text: str, small: bool = False) -> None:
        """Show ``text`` with the time since the start."""
        now = time.monotonic()
        if small and (self.live or now - self._last < QUIET_S):
            return
        self._last = now
        line = f"{now - self.start:6.1f} s  {text}"
        if self._bar is not None:
            self._bar.console.print(line, markup=False, highlight=False)
        else:
            self.stream.write(f"{line}\n")
            self.stream.flush()

    def expects(self, seconds: float) -> None:
        """Reckon with more work, or less."""
        self._total += seconds
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, total=max(self._total, self._done))

    def has_done(self, seconds: float, what: str) -> None:
        """Show how far the work is, and how long it may still take."""
        self._done += seconds
        if self.live:
            self._show(what)
            return
        self.say(f"{what}{self._left()}", small=True)

    def _left(self) -> str:
        """Return how long the rest will take at the pace so far, as the end of a sentence."""
        spent = time.monotonic() - self.start
        if spent < SURE_S or not 0 < self._done < self._total:
            return ""
        left = spent * (self._total - self._done) / self._done
        return f"; about {left / 60:.0f} min left" if left > 90 else f"; about {left:.0f} s left"

    def _show(self, what: str) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

        if self._bar is None:
            console = Console(file=self.stream, soft_wrap=True)
            left = TimeRemainingColumn(compact=True)
            columns = (
                TimeElapsedColumn(),
                BarColumn(24),
                left,
                TextColumn("{task.description}", markup=False),
            )
            self._bar = Progress(*columns, console=console, transient=True)
            self._bar.start()
            self._task = self._bar.add_task("", total=max(self._total, self._done))
        assert self._task is not None
        self._bar.update(self._task, completed=self._done, description=what)

    def close(self) -> None:
        """Take the bar away."""
        if self._bar is not None:
            self._bar.stop()
            self._bar = None
