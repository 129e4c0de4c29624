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


@contextmanager
def stopped_by_signals() -> Iterator[None]:
    """Let the first such signal end all worker processes and raise :class:`Terminated` in the block.

    What follows it is not heeded for as long as the process lasts, so that the folder can be cleared away. A signal
    that the process was started to ignore (``nohup``) stays ignored.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.getsignal(number) for number in STOPPING}
    heeded = [number for number, handler in before.items() if handler == signal.SIG_DFL]
    for number in heeded:
        signal.signal(number, _stop)
    try:
        yield
    finally:
        for number in heeded:
            if signal.getsignal(number) is _stop:
                signal.signal(number, before[number])


def _stop(number: int, _: FrameType | None) -> None:
    for stopping in STOPPING:
        signal.signal(stopping, signal.SIG_IGN)
    _end_workers()
    raise Terminated(number)


def _end_workers() -> None:
    """End the processes that work for this one: it would wait for what they are at."""
    from multiprocessing import active_children

    for worker in active_children():
        worker.terminate()
