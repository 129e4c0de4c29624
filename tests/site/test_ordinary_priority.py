"""No encoder takes the machine for itself: real-time priority is not to be had while a film is made."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.site.extras.film.film_files import ChapterMark, Timed, write_films
from benchleaf.site.extras.film.ordinary_priority import ordinary_priority
from PIL import Image

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="rights of Linux")


def may_be_real_time() -> bool:
    """Return whether this thread may have real-time priority; it has what it had then."""
    try:
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(1))
    except PermissionError:
        return False
    os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    return True


def test_the_right_is_gone_for_the_block_alone_and_for_threads_begun_there() -> None:
    before, inside = may_be_real_time(), list[bool]()
    with ordinary_priority():
        inside.append(may_be_real_time())
        thread = threading.Thread(target=lambda: inside.append(may_be_real_time()))
        thread.start()
        thread.join()
    assert inside == [False, False]
    assert may_be_real_time() == before


def test_it_comes_back_where_the_block_fails() -> None:
    before = may_be_real_time()
    with pytest.raises(ZeroDivisionError), ordinary_priority():
        raise ZeroDivisionError
    assert may_be_real_time() == before


def test_no_thread_has_real_time_priority_while_a_film_is_made_or_after() -> None:
    seen: set[int] = set()

    def policies() -> set[int]:
        return {os.sched_getscheduler(int(task.name)) for task in Path("/proc/self/task").iterdir()}

    def pictures() -> Iterator[Timed]:
        for n in range(12):
            seen.update(policies())
            yield n * 100, Image.new("RGB", (64, 48), (20 * n, 80, 160))

    made = write_films(pictures(), 1400, (64, 48), "Film", [ChapterMark(0, "One")], {})
    assert all(made.values())
    assert seen | policies() <= {os.SCHED_OTHER, os.SCHED_BATCH, os.SCHED_IDLE}
