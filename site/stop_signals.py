"""A request to end, as ``kill``, a service manager or a closing terminal sends it, ends a verb as Ctrl-C does."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

STOPPING = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))


class Terminated(KeyboardInterrupt):
    """The process was asked to end; ``status`` is the exit status by which shells tell so."""

    def __init__(self, number: int) -> None:
        super().__init__(signal.Signals(number).name)
        self.status = 128 + number


class Stop:
    """Whether a signal has come."""

    def __init__(self) -> None:
        self.number = 0

    def behind(self, error: BaseException) -> BaseException:
        """Return what ended the work: the signal where one has come, whatever became of it on its way.

        A compiled module that is stopped while it is imported raises an error of its own.
        """
        return Terminated(self.number) if self.number else error


@contextmanager
def stopped_by_signals() -> Iterator[Stop]:
    """Let the first such signal end all worker processes and raise :class:`Terminated` in the block.

    What follows it is not heeded for as long as the process lasts, so that the folder can be cleared away. A signal
    that the process was started to ignore (``nohup``) stays ignored.
    """
    stop = Stop()
    if threading.current_thread() is not threading.main_thread():
        yield stop
        return

    def heed(number: int, _: FrameType | None) -> None:
        stop.number = number
        for stopping in STOPPING:
            signal.signal(stopping, signal.SIG_IGN)
        _end_workers()
        raise Terminated(number)

    before = {number: signal.getsignal(number) for number in STOPPING}
    heeded = [number for number, handler in before.items() if handler == signal.SIG_DFL]
    for number in heeded:
        signal.signal(number, heed)
    try:
        yield stop
    finally:
        for number in heeded:
            if not stop.number:
                signal.signal(number, before[number])


def _end_workers() -> None:
    """End the processes that work for this one: it would wait for what they are at."""
    from multiprocessing import active_children

    for worker in active_children():
        worker.terminate()
