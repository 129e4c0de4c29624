"""Asked to end, a verb ends within two seconds: no worker, no folder, the old one as it was, a status that tells."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from benchleaf.site.build.folders import swapped_in
from benchleaf.site.command import main
from benchleaf.site.exit_words import Output, explain
from benchleaf.site.folders.marks import differences, read_mark
from benchleaf.site.stop_signals import STOPPING, Terminated, stopped_by_signals
from build_processes import TOLD, beside, members, start, until

AT_WORK = """\
import os, sys, time
from pathlib import Path
from benchleaf.sequences.work.worker_pool import worker_pool
from benchleaf.site.command import main
from benchleaf.site.extras import exporting
from benchleaf.site.build.folders import swapped_in

def write(fleet, target, only, say):
    workers = set()
    with swapped_in(target, "export") as folder, worker_pool(2) as pool:
        for n in range(200):
            (folder / f"{n}.step").touch()
        while len(workers) < 2:
            workers.add(pool.submit(os.getpid).result())
        tasks = [pool.submit(time.sleep, 120) for _ in range(2)]
        print("at work", flush=True)
        tasks[0].result()
    return 1

if __name__ == "__main__":
    exporting.export_heads = write
    sys.exit(main(sys.argv[1:]))
"""


def _at_work(folder: Path) -> tuple[subprocess.Popen[str], Path]:
    target = folder / "out"
    with swapped_in(target, "export") as fresh:
        (fresh / "old.step").touch()
    script = folder / "at_work.py"
    script.write_text(AT_WORK)
    verb = start("export", "demo", "--to", str(target), program=(str(script),))
    assert verb.stdout is not None
    assert verb.stdout.readline() == "at work\n"
    return verb, target


@pytest.mark.skipif(not TOLD, reason="looks for processes as Linux tells them")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
@pytest.mark.parametrize("times", [1, 3])
def test_a_verb_that_is_asked_to_end_leaves_nothing(
    tmp_path: Path, number: signal.Signals, times: int
) -> None:
    verb, target = _at_work(tmp_path)
    assert len(members(verb.pid)) >= 3
    begin = time.monotonic()
    for _ in range(times if number != signal.SIGINT else 1):
        # From the keyboard it goes to all of them; a service manager or a script asks the one that it started.
        (os.killpg if number == signal.SIGINT else os.kill)(verb.pid, number)
        time.sleep(0.01)
    _, said = verb.communicate(timeout=60)
    assert time.monotonic() - begin < 2
    assert (said, verb.returncode) == ("Stopped. Nothing was written.\n", 128 + number)
    assert until(lambda: not members(verb.pid), 1)
    assert beside(tmp_path) == []
    mark = read_mark(target)
    assert mark is not None
    assert not differences(target, mark)
    assert (target / "old.step").is_file()


def test_the_status_tells_the_signal(tmp_path: Path) -> None:
    for number in STOPPING:
        status, text = explain(Terminated(number), Output(tmp_path / "out"), "build")
        assert (status, text) == (128 + number, "Stopped. Nothing was written.")


def test_a_signal_is_told_whatever_became_of_it_on_its_way() -> None:
    """A compiled module that is being imported makes an error of its own of it."""
    code = (
        "import os, signal, sys\n"
        "from benchleaf.site.command import main\n"
        "from benchleaf.site.extras import checking\n"
        "def check(*_):\n"
        "    try:\n        os.kill(os.getpid(), signal.SIGTERM)\n"
        "    except KeyboardInterrupt:\n        raise ImportError('initialization failed')\n"
        "checking.check_fleet = check\n"
        "sys.exit(main(['check', 'demo']))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (143, "Stopped. Nothing was written.\n")


def test_handlers_are_put_back_and_other_threads_left_alone() -> None:
    before = [signal.getsignal(n) for n in STOPPING]
    with stopped_by_signals():
        assert [signal.getsignal(n) for n in STOPPING] != before
    assert [signal.getsignal(n) for n in STOPPING] == before
    status = list[int]()
    other = threading.Thread(target=lambda: status.append(main(["check", "nowhere"])))
    other.start()
    other.join()
    assert status == [2]


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="no terminal that hangs up")
def test_what_was_started_to_outlive_its_terminal_does() -> None:
    code = (
        "import os, signal\n"
        "from benchleaf.site.stop_signals import stopped_by_signals\n"
        "signal.signal(signal.SIGHUP, signal.SIG_IGN)\n"  # as nohup does
        "with stopped_by_signals():\n    os.kill(os.getpid(), signal.SIGHUP)\n"
        "print('still here')\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "still here\n"
